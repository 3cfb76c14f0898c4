// Shows the answer of a form while somebody types in it. The form works without:
// its button opens the same page. What the server answers is HTML of its own
// templates; nothing is computed here.
"use strict";
for (const form of document.querySelectorAll("form[data-live]")) {
  const into = document.getElementById(form.dataset.into);
  let wait = 0;
  let asked = null;

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

  // show asks for the whole answer, or for the one section that a slider moves.
  const show = async (section) => {
    if (asked) asked.abort();
    asked = new AbortController();
    const query = address();
    into.setAttribute("aria-busy", "true");
    try {
      const answer = await fetch(`${section ? section.dataset.part : form.dataset.live}?${query}`, { signal: asked.signal, headers: { Accept: "text/html" } });
      const html = await answer.text();
      const held = document.activeElement && into.contains(document.activeElement) ? document.activeElement.id : "";
      const made = document.createRange().createContextualFragment(html);
      if (section && answer.ok) into.querySelector("#" + section.id).replaceWith(made);
      else into.replaceChildren(made);
      if (held) document.getElementById(held)?.focus();
      mark();
      if (form.method === "get") history.replaceState(null, "", query ? `${location.pathname}?${query}` : location.pathname);
    } catch (fault) {
      if (fault.name !== "AbortError") into.dataset.stale = "true"; // no network: the last answer stays
      return;
    }
    delete into.dataset.stale;
    into.setAttribute("aria-busy", "false");
  };

  const later = (event) => {
    if (event.target.form !== form) return;
    if (event.target.id === "slip") event.target.nextElementSibling.value = event.target.value;
    clearTimeout(wait);
    const section = event.target.closest("[data-part]");
    wait = setTimeout(show, section ? 10 : 40, section);
  };
  document.addEventListener("input", later);
  document.addEventListener("change", later);
  if (form.method !== "get") continue; // it records something: the button is needed
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    clearTimeout(wait);
    show().then(() => (into.querySelector(".problem a, .problem") || into.querySelector("h2"))?.scrollIntoView());
  });
}
