// What a job's progress needs to know of a run, from its replay: as floor/services/opened_runs.py tells it.

import { when } from "./run.js";
import { statusOf } from "./run_state.js";

const ENDED = ["finished", "scrapped", "sent back"];

/** `replayed`: the run as if no other stood in the way of its being; `opening`: what its opening event said. */
export function factsOf(run, opening, replayed) {
  const state = replayed.current;
  const lost = scrappedAt(replayed);
  return {
    run,
    section: opening.section,
    garments: [...opening.garments].sort((a, b) => a - b),
    first_piece: opening.first_piece,
    cause: opening.cause ?? "",
    opened_at: openedAt(replayed),
    status: statusOf(state),
    scrapped: state.scrapped,
    scrapped_at: state.scrapped.map((number) => lost.get(number)),
    sent_back: state.sent_back,
    ended_at: endedAt(replayed),
    approvals: approvals(replayed),
    revision: opening.revision,
  };
}

function openedAt({ steps }) {
  const opening = steps.find(({ event }) => event.kind === "open");
  return opening ? when(opening.event) : 0;
}

/** When the run ended, ms; null while it has not. */
function endedAt({ steps }) {
  let ending = null;
  for (const { event, state } of [...steps].reverse()) {
    if (!ENDED.includes(statusOf(state))) break;
    ending = when(event);
  }
  return ending;
}

/** When the first piece's approval stood, as it appeared at the time: a redo to before it, sending the garment back
 *  and an undo each end it. */
function approvals({ past }) {
  const spans = [];
  let since = null;
  for (const { event, state } of past) {
    const stands = state.opened && state.approved.length > 0 && !state.sent_back;
    if (stands && since === null) {
      since = when(event);
    } else if (!stands && since !== null) {
      spans.push([since, when(event)]);
      since = null;
    }
  }
  return since === null ? spans : [...spans, [since, null]];
}

function scrappedAt({ steps }) {
  const lost = new Map();
  for (const { event } of steps) {
    if (event.kind === "scrap") for (const number of event.data.garments) lost.set(number, when(event));
  }
  return lost;
}
