// Sends what the outbox holds, in order, until the server has answered for each event. Sending twice is harmless: the
// server knows an event by its id. Importing this module is enough: it sends on load, when the network comes back, when
// the page is looked at again, by a timer after a failure, and now and then asks how the server is and what its clock
// shows.

import { alone } from "./alone.js";
import { onNewSegment, readAgain, wantsSample } from "./clock.js";
import { counts, onChange as onOutbox, pending, photosPending, ready, setAside, unsaved, verdictOf } from "./outbox.js";
import { onPhotos, photosReady } from "./outbox_photos.js";
import { exchangeAll } from "./sync_turn.js";

const FIRST_WAIT_S = 1;
const LONGEST_WAIT_S = 30;
const SHORTEST_SHARE = 0.75; // of a wait: tablets that lost the server together do not all come back together
const ASK_EVERY_MS = 60000;

const listeners = new Set();
let online = navigator.onLine;
let lastError = "";
let reached = false;
let wait = FIRST_WAIT_S;
let timer = null;
let current = null;
let following = null;

/**
 * {unsent, photos, refused, aside, online, reached, lastError, unsaved}
 * online: what the last try found, the browser's word before one; reached: Floor's server answered, be it that it could
 * not take anything; lastError: one sentence, "" when all went well; unsaved: what is wrong with keeping taps on this
 * tablet, "" when nothing is; aside: [{id, run, reason}] of taps that did not count.
 */
export const status = () => ({
  ...counts(),
  photos: photosPending().length,
  aside: setAside(),
  online,
  reached,
  lastError,
  unsaved: unsaved().sentence,
});

/** Calls back with the status now and whenever it changes; returns a function that ends it. */
export function onChange(callback) {
  listeners.add(callback);
  callback(status());
  return () => listeners.delete(callback);
}

/**
 * Sends all that is pending. Resolves, never rejects, to {id: {verdict, reason}} of what was pending and is answered
 * now; what could not be sent stays pending and is tried again by itself.
 */
export function send() {
  if (!current) {
    current = turn().finally(() => (current = null));
    return current;
  }
  // One more turn after this one: what was added meanwhile may have missed it.
  following ??= current.then(() => {
    following = null;
    return send();
  });
  return following;
}

async function turn() {
  await ready;
  const asked = new Set(pending().map(({ id }) => id));
  await alone("floor.sync", sendAll);
  if (!lastError) sendPictures(); // taps never wait for them
  return answersTo(asked);
}

async function sendAll() {
  clearTimeout(timer);
  readAgain();
  try {
    const isAnswered = await exchangeAll(progress);
    online = isAnswered || navigator.onLine;
    reached ||= isAnswered;
    lastError = "";
    wait = FIRST_WAIT_S;
  } catch (failure) {
    online = false;
    reached = failure.reached ?? false;
    lastError = failure.message;
    const share = SHORTEST_SHARE + (1 - SHORTEST_SHARE) * Math.random();
    timer = setTimeout(send, wait * share * 1000);
    wait = Math.min(2 * wait, LONGEST_WAIT_S);
  }
  tell();
}

function progress({ isAnswered }) {
  if (isAnswered) wait = FIRST_WAIT_S;
  tell();
}

async function sendPictures() {
  await photosReady;
  if (photosPending().length === 0) return;
  await alone("floor.photos", async () => {
    const { sendPhotos } = await import("./photo_sending.js");
    await sendPhotos();
  }).catch(() => null); // they stay pending and counted, and are tried after the next turn
}

function answersTo(ids) {
  const answers = {};
  for (const id of ids) {
    const verdict = verdictOf(id);
    if (verdict) answers[id] = verdict;
  }
  return answers;
}

function tell() {
  for (const callback of listeners) callback(status());
}

addEventListener("online", send);
addEventListener("offline", () => {
  online = false;
  tell();
});
addEventListener("pageshow", send);
document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && send());
onNewSegment(() => queueMicrotask(send));
setInterval(() => document.visibilityState === "visible" && wantsSample() && send(), ASK_EVERY_MS);
onOutbox(tell);
onPhotos(tell);
send();
