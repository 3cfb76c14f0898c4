// Marks answers from paper while they are typed in, and moves on with Enter as a
// number pad wants it. Nothing is recorded before the form is sent.
"use strict";
for (const form of document.querySelectorAll("form[data-try]")) {
  const answers = [...form.querySelectorAll("input[name*='.']")];
  let wait = 0;
  let asked = null;

  const show = async () => {
    if (asked) asked.abort();
    asked = new AbortController();
    try {
      const answer = await fetch(form.dataset.try, { method: "POST", body: new URLSearchParams(new FormData(form)), signal: asked.signal });
      if (!answer.ok) return;
      const verdicts = await answer.json();
      for (const input of answers) {
        const line = document.getElementById("v" + input.name);
        const verdict = verdicts[input.name];
        line.hidden = !verdict;
        line.textContent = verdict ? verdict.text : "";
        line.className = "verdict tried " + (verdict ? verdict.class : "");
      }
    } catch (fault) {
      if (fault.name !== "AbortError") return; // no network: it is marked when the form is sent
    }
  };

  form.addEventListener("input", () => {
    clearTimeout(wait);
    wait = setTimeout(show, 120);
  });
  form.addEventListener("keydown", (event) => {
    const at = answers.indexOf(event.target);
    if (event.key !== "Enter" || at < 0 || at === answers.length - 1) return;
    event.preventDefault();
    answers[at + 1].focus();
    answers[at + 1].select();
  });
}
