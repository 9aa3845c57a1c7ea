// Sends what the outbox holds, in order, until the server has answered for each event. Sending twice is harmless:
// the server knows an event by its id. Importing this module is enough: it sends on load, when the network
// comes back, when the page is looked at again, and by a timer after a failure.

import { acknowledge, onOtherTab, pending, refuse, refused, takeBatch } from "./outbox.js";
import { Refused, post } from "./post.js";

const BATCH = 100;
const FIRST_WAIT_S = 1;
const LONGEST_WAIT_S = 30;

const listeners = new Set();
let online = navigator.onLine;
let lastError = "";
let wait = FIRST_WAIT_S;
let timer = null;
let current = null;
let following = null;

/** {unsent, refused, online, lastError}: `online` is what the last try found; the browser's word before one. */
export const status = () => ({ unsent: pending().length, refused: refused().length, online, lastError });

/** Calls back with the status now and whenever it changes; returns a function that ends it. */
export function onChange(callback) {
  listeners.add(callback);
  callback(status());
  return () => listeners.delete(callback);
}

/**
 * Sends all that is pending. Resolves, never rejects, to {id: {verdict, reason}} of what was answered; what
 * could not be sent stays pending and is tried again by itself.
 */
export function send() {
  if (!current) {
    current = alone(sendAll).finally(() => (current = null));
    return current;
  }
  // One more turn after this one: what was added meanwhile may have missed it.
  following ??= current.then(() => {
    following = null;
    return send();
  });
  return following;
}

/** Only one tab of this browser sends at a time; without the lock (plain http) the server's ids still hold. */
const alone = (work) =>
  navigator.locks ? navigator.locks.request("floor.sync", work) : Promise.resolve().then(work);

async function sendAll() {
  const answers = {};
  let answered = false;
  clearTimeout(timer);
  try {
    for (let batch = takeBatch(BATCH); batch.length > 0; batch = takeBatch(BATCH)) {
      tell();
      await sendBatch(batch, answers);
      answered = true;
      wait = FIRST_WAIT_S;
    }
    online = answered || navigator.onLine;
    lastError = "";
  } catch (failure) {
    online = false;
    lastError = failure.message;
    timer = setTimeout(send, wait * 1000);
    wait = Math.min(2 * wait, LONGEST_WAIT_S);
  }
  tell();
  return answers;
}

async function sendBatch(events, answers) {
  try {
    settle(events, await post({ device: events[0].device, sent_at: Date.now(), events }), answers);
  } catch (failure) {
    if (!(failure instanceof Refused)) throw failure;
    if (events.length === 1) {
      refuse(events[0], failure.message);
      answers[events[0].id] = { verdict: "refused", reason: failure.message };
      return;
    }
    for (const event of events) await sendBatch([event], answers);
  }
}

/** Takes what was answered for out of the outbox; at least one must be, or the same batch would go for ever. */
function settle(events, results, answers) {
  const byId = new Map(events.map((event) => [event.id, event]));
  const known = results.filter(({ id }) => byId.has(id));
  if (known.length === 0) throw new Error("The server answered for none of the events that were sent.");
  for (const { id, verdict, reason } of known) {
    if (verdict === "refused") refuse(byId.get(id), reason);
    else acknowledge([id]);
    answers[id] = { verdict, reason };
  }
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
onOtherTab(tell);
send();
