// Shows the answer of a form while somebody types in it. The form works without:
// its button opens the same page. What the server answers is HTML of its own
// templates; nothing is computed here.
"use strict";
for (const form of document.querySelectorAll("form[data-live]")) {
  const into = document.getElementById(form.dataset.into);
  let busy = false;
  let next = null; // what changed while an answer was on its way

  const address = () => {
    const filled = new URLSearchParams();
    for (const [name, value] of new FormData(form)) {
      if (value !== "" && !(name === "slip" && value === "0")) filled.append(name, value);
    }
    return filled.toString();
  };

  const mark = () => {
    const faults = new Set([...(into.querySelector(".problem")?.querySelectorAll("a[href^='#']") ?? [])].map((a) => a.hash.slice(1)));
    for (const input of form.elements) {
      if (faults.has(input.id)) input.setAttribute("aria-invalid", "true");
      else input.removeAttribute("aria-invalid");
    }
    for (const old of form.querySelectorAll(".fault")) old.remove();
  };

  // place puts an answer where the last one stands. Sections that are there already
  // stay and take over what is new in them: the browser then knows their size, and
  // need not lay out those out of sight to keep the page where it was scrolled to.
  const place = (made) => {
    const [home, fresh] = [into, made].map((root) => root.firstElementChild);
    const answers = [into, made].every((root) => root.childElementCount === 1 && root.firstElementChild.matches(".answer"));
    if (!answers) return into.replaceChildren(made);
    const old = new Map([...home.children].map((e) => [e.id, e]));
    const parts = [...fresh.children].map((e) => {
      const there = e.id && old.get(e.id);
      if (!there || !there.cloneNode(false).isEqualNode(e.cloneNode(false))) return e;
      if (!there.isEqualNode(e)) there.replaceChildren(...e.childNodes);
      return there;
    });
    for (const e of [...home.children]) if (!parts.includes(e)) e.remove();
    parts.forEach((e, i) => home.children[i] === e || home.insertBefore(e, home.children[i] ?? null));
  };

  // ask asks for the whole answer, or for the one section that a slider moves.
  const ask = async (section) => {
    const query = address();
    const answer = await fetch(`${section ? section.dataset.part : form.dataset.live}?${query}`, { headers: { Accept: "text/html" } });
    const html = await answer.text();
    const held = document.activeElement && into.contains(document.activeElement) ? document.activeElement.id : "";
    const made = document.createRange().createContextualFragment(html);
    if (section && answer.ok) into.querySelector("#" + section.id).replaceWith(made);
    else place(made);
    if (held) document.getElementById(held)?.focus();
    mark();
    if (form.method === "get") history.replaceState(null, "", query ? `${location.pathname}?${query}` : location.pathname);
  };

  // show asks at once, and once more for what changed until the answer came.
  const show = async (section) => {
    if (busy) {
      next = { section: next && !next.section ? null : section };
      return;
    }
    busy = true;
    into.setAttribute("aria-busy", "true");
    try {
      await ask(section);
      delete into.dataset.stale;
      into.setAttribute("aria-busy", "false");
    } catch {
      into.dataset.stale = "true"; // no network: the last answer stays
    }
    busy = false;
    const then = next;
    next = null;
    if (then) await show(then.section);
  };

  const later = (event) => {
    if (event.target.form !== form) return;
    if (event.target.id === "slip") event.target.nextElementSibling.value = event.target.value;
    show(event.target.closest("[data-part]"));
  };
  document.addEventListener("input", later);
  document.addEventListener("change", later);
  if (form.method !== "get") continue; // it records something: the button is needed
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    show().then(() => (into.querySelector(".problem a, .problem") || into.querySelector("h2"))?.scrollIntoView());
  });
}
