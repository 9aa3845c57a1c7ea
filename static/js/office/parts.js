// Parts of the page that the server writes: put in place without a blink, and without taking anything typed away.

const DECODE_PATIENCE_MS = 1500;

/** Puts `html` into `place`; pictures are ready before they show, and folds stay as they were. */
export async function redraw(place, html, stillWanted) {
  const fresh = document.createElement("template");
  fresh.innerHTML = html;
  await Promise.race([ready(fresh.content, place), sleep(DECODE_PATIENCE_MS)]);
  if (!stillWanted()) return;
  for (const fold of fresh.content.querySelectorAll("details[data-fold]")) {
    const before = place.querySelector(`details[data-fold="${CSS.escape(fold.dataset.fold)}"]`);
    if (before) fold.open = before.open;
  }
  place.replaceChildren(fresh.content);
}

/** Replaces the part only if its own key has changed, and never while somebody types in it. */
export function replacePart(place, html) {
  const fresh = document.createElement("template");
  fresh.innerHTML = html;
  const next = fresh.content.firstElementChild;
  const same = next && place.firstElementChild && next.dataset.key === place.firstElementChild.dataset.key;
  if (same || place.contains(document.activeElement)) return;
  place.replaceChildren(fresh.content);
}

function ready(fresh, place) {
  const open = new Set([...place.querySelectorAll("details[data-fold][open]")].map((one) => one.dataset.fold));
  const shown = [...fresh.querySelectorAll("img")].filter((picture) => {
    const fold = picture.closest("details");
    return !fold || fold.open || open.has(fold.dataset.fold);
  });
  return Promise.all(shown.map((picture) => loaded(picture.getAttribute("src"))));
}

function loaded(address) {
  const picture = new Image();
  picture.src = address;
  return picture.decode().catch(() => null); // a picture that cannot be had shows its words
}

function sleep(ms) {
  return new Promise((go) => setTimeout(go, ms));
}
