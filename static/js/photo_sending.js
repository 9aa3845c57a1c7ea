// Sends pictures, each to an address of its own, once taps have been sent: a picture is large, and no tap waits for it.
// Sending twice is harmless. What the server will never take is kept apart with its sentence; what it has no room for
// stays, and goes by itself when there is room. sync.js calls this, in one tab at a time.

import { deviceId } from "./device.js";
import { photoApart, photoSent, photosPending, photosWaitFor } from "./outbox_photos.js";
import { get } from "./store.js";
import { send } from "./sync.js";

const PATIENCE_MS = 60000; // a picture over a slow network
const FIRST_WAIT_S = 5;
const LONGEST_WAIT_S = 300;
const FULL_WAIT_S = 600; // a supervisor makes room, and that takes a while
// What the server says of the picture itself. Any other refusal is of the way there, and may pass.
const OF_THE_PICTURE = [400, 409, 413, 415, 422];
const NO_ROOM = 507;

let wait = FIRST_WAIT_S;
let notBefore = 0; // by the steady clock: a tap that is sent must not try a picture each time

/** The server has no room for pictures; the message is its sentence. */
class NoRoom extends Error {}

/** Sends all pictures that wait, one after the other. Resolves when they are sent or have to wait; never rejects. */
export async function sendPhotos() {
  if (performance.now() < notBefore) return;
  try {
    for (let [next] = photosPending(); next; [next] = photosPending()) await sendOne(next);
    wait = FIRST_WAIT_S;
    photosWaitFor("");
  } catch (failure) {
    const isFull = failure instanceof NoRoom;
    photosWaitFor(isFull ? failure.message : "");
    again(isFull ? FULL_WAIT_S : wait);
    wait = Math.min(2 * wait, LONGEST_WAIT_S);
  }
}

function again(seconds) {
  notBefore = performance.now() + seconds * 1000;
  setTimeout(send, seconds * 1000 + 1);
}

async function sendOne({ id, run }) {
  const kept = await get("photos", id);
  if (!kept) return photoSent(id); // another tab has sent it
  const response = await put(`/tablet/photo/${id}?run=${run}&device=${deviceId()}`, kept.blob);
  const answer = await response.json().catch(() => null); // a proxy's own page is no answer of Floor's
  if (response.ok && answer?.photo === id) return photoSent(id);
  const said = answer?.error?.message;
  if (typeof said === "string" && response.status === NO_ROOM) throw new NoRoom(said);
  if (typeof said === "string" && OF_THE_PICTURE.includes(response.status)) return photoApart(id, said);
  throw new Error(`The server could not take a picture just now (${response.status}).`);
}

async function put(address, body) {
  const impatient = new AbortController();
  const patience = setTimeout(() => impatient.abort(), PATIENCE_MS);
  try {
    return await fetch(address, { method: "PUT", body, signal: impatient.signal });
  } finally {
    clearTimeout(patience);
  }
}
