// Opening a run: the event goes to the server first, since it lays out the checklist.

import { deviceId, newId, nextSeq } from "../device.js";
import { add, pending, refused } from "../outbox.js";
import { send } from "../sync.js";
import { machineOf } from "./machine.js";

const TRIES = 8;
const BETWEEN_TRIES_MS = 700;

// The new run's address, once the server has taken it. `shop`: as the page has it, whose hand and machine the run
// opens with. Throws an Error with one sentence when it has not.
export async function startRun({ job, revision, section, garments, first_piece, operator, cause }, shop) {
  const run = newId();
  const data = { job, revision, section, garments, first_piece, operator, cause: cause || "", hand: shop.hand };
  if (machineOf(shop)) data.machine = machineOf(shop);
  const event = { id: newId(), run, device: deviceId(), seq: nextSeq(), kind: "open", phase: 0, at: Date.now(), data };
  add(event);
  for (let at = 0; at < TRIES; at += 1) {
    const answers = await send();
    const answer = answers[event.id] || (await askedAgain(event));
    if (answer && answer.verdict !== "applied") throw new Error(answer.reason);
    if (answer) return `/tablet/run/${run}`;
    await new Promise((later) => setTimeout(later, BETWEEN_TRIES_MS));
  }
  throw new Error("The server does not answer, and starting needs it. The start is kept and will be sent; look again in a moment.");
}

// Another turn of sync.js may have had the answer: then the run's own page tells.
async function askedAgain(event) {
  if (pending().some((one) => one.id === event.id)) return null;
  const refusal = refused().find((one) => one.event.id === event.id);
  if (refusal) return { verdict: "refused", reason: refusal.reason };
  const answer = await fetch(`/tablet/run/${event.run}.json`);
  if (!answer.ok) return null;
  const { refusal: reason } = await answer.json();
  return reason ? { verdict: "aside", reason } : { verdict: "applied", reason: "" };
}
