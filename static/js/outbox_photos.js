// Pictures that are not sent yet, in the tablet's database. They have no mirror: a picture does not fit there.

import { all, del, get, put } from "./store.js";
import { hear, tell } from "./tabs.js";

const waiting = new Map(); // id -> what is told of it, without the picture itself
const changed = new Set();
let why = "";

/** Keeps a picture until it is sent: {id, run, blob, of, small}; `small`: an address to show it by. Resolves when the disk has it; rejects with Trouble. */
export async function addPhoto(photo) {
  await put("photos", photo.id, photo, { strict: true });
  note(photo);
  tell("photos", { added: withoutBlob(photo) });
}

/** The pictures that the server does not have yet: [{id, run, of, small}]; the store "photos" has their blobs under
 *  their ids. */
export const photosPending = () => photosHere().filter(({ apart }) => !apart);

/** Those, and what the server will never take: that has `apart`, its sentence. */
export const photosHere = () => [...waiting.values()];

/** Why pictures wait, in the server's words; "" while they do not, or nobody knows. */
export const photosWait = () => why;

export function photosWaitFor(words) {
  if (words === why) return;
  why = words;
  tellChange();
}

/** The server will never take this one, and `sentence` says why: it stays here, and is not sent again. */
export async function photoApart(id, sentence) {
  const kept = await get("photos", id);
  if (kept) await addPhoto({ ...kept, apart: sentence });
}

/** The server has this one, or it was never told of. */
export async function photoSent(id) {
  await del("photos", id);
  waiting.delete(id);
  tell("photos", { sent: id });
  tellChange();
}

export const onPhotos = (callback) => changed.add(callback);

/** Reads what earlier pages left; resolves in any case, since without a database there is nothing to read. */
export const photosReady = all("photos").then(
  (kept) => kept.forEach(note),
  () => null,
);

function note(photo) {
  waiting.set(photo.id, withoutBlob(photo));
  tellChange();
}

function withoutBlob(photo) {
  const { blob, ...rest } = photo;
  return rest;
}

function tellChange() {
  for (const callback of changed) callback();
}

hear("photos", ({ added, sent }) => {
  if (added) note(added);
  else if (waiting.delete(sent)) tellChange();
});
