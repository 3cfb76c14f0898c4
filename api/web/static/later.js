// Brings parts that take long to work out after the page is there. Without script,
// or without network, their links open the page with them.
"use strict";
const bring = async (part) => {
  try {
    const answer = await fetch(part.dataset.later, { headers: { Accept: "text/html" } });
    if (!answer.ok) return;
    part.replaceChildren(document.createRange().createContextualFragment(await answer.text()));
    delete part.dataset.later;
  } catch {
    // no network: the link stays
  }
};
document.querySelectorAll("[data-later]").forEach(bring);
