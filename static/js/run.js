// A run's events -> its state: the second reading of the rules, for a tablet that has no network. The first is
// floor/domain/run.py; tests/vectors/*.json hold both equal.

import { SetAside } from "./fields.js";
import { readPayload } from "./payloads.js";
import { apply, checkUndo } from "./rules.js";
import { asJson, voidState } from "./run_state.js";

/** The event's time by the server's clock, ms; an event not sent yet has no offset. */
export const when = (event) => event.at + (event.offset_ms ?? 0);

/** The one order of replay: each device's own sequence, between devices the corrected clock. A clock that
 *  jumps back does not reorder a device's events: its time is held at the latest seen so far. */
function inOrder(events) {
  const byDevice = new Map();
  for (const event of events) {
    if (!byDevice.has(event.device)) byDevice.set(event.device, []);
    byDevice.get(event.device).push(event);
  }
  const rows = [];
  for (const own of byDevice.values()) {
    let latest = -Infinity;
    for (const event of own.sort((a, b) => a.seq - b.seq || byText(a.id, b.id))) {
      latest = Math.max(latest, when(event));
      rows.push({ latest, event });
    }
  }
  rows.sort(
    (a, b) =>
      a.latest - b.latest ||
      byText(a.event.device, b.event.device) ||
      a.event.seq - b.event.seq ||
      byText(a.event.id, b.event.id),
  );
  return rows.map((row) => row.event);
}

const byText = (a, b) => (a < b ? -1 : a > b ? 1 : 0);

/**
 * Replays the events of one run (any order, no repeats). `opening`: the data of the opening event that the
 * checklist was made for; `refusal`: why the run may not exist at all, "" when it may; `tooLate`: undos, by event
 * id, that other runs stand in the way of, with the reason.
 * Never throws: what cannot apply is set aside, and its verdict says why.
 * @returns {{state: object, steps: {event: object, after: object}[],
 *            verdicts: Object<string, {applied: boolean, reason: string}>}}
 */
export function replay(checklist, opening, events, catalogue, refusal = "", tooLate = {}) {
  const opened = readOpening(opening, catalogue);
  const steps = [];
  const verdicts = {};
  let state = voidState(checklist);
  for (const event of inOrder(events)) {
    try {
      if (refusal) throw new SetAside(refusal);
      const said = readPayload(event, catalogue);
      if (event.kind === "undo") {
        checkUndo(event, said, steps.at(-1)?.event);
        if (tooLate[event.id]) throw new SetAside(tooLate[event.id]);
        steps.pop();
        state = steps.at(-1)?.state ?? voidState(checklist);
      } else {
        state = apply(state, event, said, opened, catalogue);
        steps.push({ event, state });
      }
      verdicts[event.id] = { applied: true, reason: "" };
    } catch (broken) {
      if (!(broken instanceof SetAside)) throw broken;
      verdicts[event.id] = { applied: false, reason: broken.message };
    }
  }
  return {
    state: asJson(state),
    steps: steps.map((step) => ({ event: step.event, after: asJson(step.state) })),
    verdicts,
  };
}

/** What the opening event says; null when it cannot be read, and then no event opens the run. */
function readOpening(data, catalogue) {
  try {
    return readPayload({ kind: "open", data }, catalogue);
  } catch (broken) {
    if (!(broken instanceof SetAside)) throw broken;
    return null;
  }
}
