// Shows how far a work is. Without script the page asks again by itself.
"use strict";
const state = document.getElementById("state");
const ask = async () => {
  try {
    const answer = await fetch(location.pathname + "/progress", { headers: { Accept: "text/html" } });
    if (!answer.ok) return false;
    const part = document.createRange().createContextualFragment(await answer.text()).getElementById("progress");
    document.getElementById("progress").replaceWith(part);
    if (state.textContent !== part.dataset.says) state.textContent = part.dataset.says; // read out when it changes
    if (part.dataset.ended === undefined) return false;
    const off = document.getElementById("call-off");
    if (off && off.contains(document.activeElement)) state.focus();
    if (off) off.remove(); // it has ended
    return true;
  } catch {
    return false; // no network: the next time
  }
};
const again = async () => (await ask()) || setTimeout(again, 1000);
setTimeout(again, 1000);
