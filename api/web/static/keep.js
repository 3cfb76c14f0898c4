// Sends answers without leaving the page, and keeps them when the network drops:
// they are sent again until the server says it has them. Every try bears an id of
// its own, so that one sent twice counts once. Without script the form works as
// forms do.
"use strict";
const store = "halfnut.answers";
const kept = () => JSON.parse(localStorage.getItem(store) || "[]");
const keep = (list) => (list.length ? localStorage.setItem(store, JSON.stringify(list)) : localStorage.removeItem(store));
// note says what became of an answer, in the words that the page gives for it.
const note = (what) => {
  const line = document.getElementById("kept");
  if (!line) return;
  line.textContent = line.dataset[what];
  line.hidden = false;
};

// later says of an answer's status that the same may be taken another time: the
// service is away or busy, or who sends has to join again first.
const later = (status) => status >= 500 || status === 429 || status === 401;
const away = () => note("away");

const post = (a) => fetch(a.to, { method: "POST", headers: { "Content-Type": "application/x-www-form-urlencoded" }, body: a.body });

// place puts the answered page in place of this one's content.
const place = (html, where) => {
  const page = new DOMParser().parseFromString(html, "text/html");
  const main = page.getElementById("main");
  if (!main) return false;
  document.getElementById("main").replaceChildren(...main.childNodes);
  document.title = page.title;
  listen();
  const section = where && document.getElementById(where);
  const wrong = section?.querySelector("[aria-invalid=true]");
  const said = wrong || section?.querySelector(".verdict, .solution");
  if (said) {
    if (!wrong) said.tabIndex = -1;
    said.focus({ preventScroll: true });
    section.scrollIntoView({ block: "start" });
  }
  return true;
};

// foreign says that the sheet is not of who is signed in now: the answer waits
// for whoever gave it, a fortnight at most, and is not tried again on this page.
const foreign = (status) => status === 403 || status === 404;
const fortnight = 14 * 24 * 3600 * 1000;
const waiting = new Set();

let busy = false;
const resend = async () => {
  if (busy) return;
  busy = true;
  try {
    keep(kept().filter((a) => !(Date.now() - a.at > fortnight)));
    for (const a of kept().filter((k) => !waiting.has(k.body))) {
      const answer = await post(a);
      if (later(answer.status)) throw new Error("later");
      if (foreign(answer.status)) {
        waiting.add(a.body);
        note("foreign");
        continue;
      }
      // What is asked back waits for the page on which it can be answered.
      const asked = answer.status === 422;
      if (asked && location.pathname !== a.page) {
        waiting.add(a.body);
        continue;
      }
      keep(kept().filter((k) => k.body !== a.body));
      if (location.pathname === a.page) {
        place(await answer.text(), a.section);
        if (!asked) note("sent");
      }
    }
  } catch {
    away();
  } finally {
    busy = false;
  }
};

const listen = () => {
  for (const form of document.querySelectorAll("form[data-keep]")) {
    form.addEventListener("submit", async (event) => {
      event.preventDefault();
      const button = event.submitter;
      const data = new FormData(form, button);
      const section = form.closest("section")?.id;
      const a = { to: button?.getAttribute("formaction") || form.getAttribute("action"), body: new URLSearchParams(data).toString(), page: location.pathname, section, at: Date.now() };
      const hint = button?.name === "hint"; // a hint is not an answer: it is not kept
      try {
        const answer = await post(a);
        if (later(answer.status)) throw new Error("later");
        if (answer.redirected) history.replaceState(null, "", answer.url);
        if (!place(await answer.text(), section)) location.reload();
      } catch {
        if (hint) {
          note("hint");
          return;
        }
        keep([...kept().filter((k) => k.body !== a.body), a]);
        for (const b of form.querySelectorAll("button")) b.disabled = true;
        away();
      }
    });
  }
};
listen();
resend();
addEventListener("online", resend);
setInterval(() => kept().some((a) => !waiting.has(a.body)) && resend(), 5000);
