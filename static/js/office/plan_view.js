// The plan beside the form: the newest that the numbers allowed, and marked as such while they allow none.

import { redraw } from "./parts.js";

/** `name`: of the draft; its last plan outlives a reload of this tab. `mark`: where it is said that it is old. */
export function planView(name, place, mark) {
  let turn = 0;

  function show(html, whyOld) {
    const mine = ++turn;
    if (html === null) return old(whyOld);
    mark.hidden = true;
    remember(html);
    return redraw(place, html, () => mine === turn);
  }

  /** No plan can be made of what stands there: the last one stays, if there ever was one. */
  function old(why) {
    if (!drawn()) {
      const last = sessionStorage.getItem(name);
      if (last) place.innerHTML = last;
    }
    mark.textContent = why;
    mark.hidden = !drawn();
  }

  function remember(html) {
    try {
      sessionStorage.setItem(name, html);
    } catch {
      // A browser may give no room; then a reload of a page with faults shows no plan until they are put right.
    }
  }

  const drawn = () => place.querySelector("img") !== null;

  if (drawn()) remember(place.innerHTML);
  else if (mark.dataset.why) old(mark.dataset.why);
  return { show };
}
