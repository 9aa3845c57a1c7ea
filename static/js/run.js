// A run's events -> its state: the second reading of the rules, for a tablet that has no network. The first is
// floor/domain/run.py; tests/vectors/*.json hold both equal.

import { when } from "./event_time.js";
import { SetAside } from "./fields.js";
import { readPayload } from "./payloads.js";
import { apply, checkUndo } from "./rules.js";
import { asJson, voidState } from "./run_state.js";

export { when };

const byText = (a, b) => (a < b ? -1 : a > b ? 1 : 0);

const byPlace = (a, b) =>
  a.latest - b.latest ||
  byText(a.event.device, b.event.device) ||
  a.event.seq - b.event.seq ||
  byText(a.event.id, b.event.id);

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
  return rows.sort(byPlace).map((row) => row.event);
}

/** An event in force and the state after it, as the server has it too: made when somebody looks. */
class Step {
  #after = null;

  constructor(event, state) {
    this.event = event;
    this.state = state;
  }

  get after() {
    return (this.#after ??= asJson(this.state));
  }
}

/** A run's state, event by event. What cannot apply is set aside, and its verdict says why; nothing throws. */
export class Replay {
  /** `opening`: the data of the opening event that the checklist was made for; `refusal`: why the run may not exist
   *  at all, "" when it may; `tooLate`: undos, by event id, that other runs stand in the way of, with the reason. */
  constructor(checklist, opening, catalogue, refusal = "", tooLate = {}) {
    this.terms = { checklist, catalogue, refusal, tooLate, opened: readOpening(opening, catalogue) };
    this.steps = [];
    this.verdicts = {};
    this.past = []; // all that applied, {event, state}, with what was taken back later and the undos themselves
    this.current = voidState(checklist);
    this.newest = new Map(); // by device: where its newest event stands
  }

  /** The same so far, to try on it what might come. */
  fork() {
    const other = Object.assign(Object.create(Replay.prototype), this);
    other.steps = [...this.steps];
    other.verdicts = { ...this.verdicts };
    other.past = [...this.past];
    other.newest = new Map(this.newest);
    return other;
  }

  get state() {
    return this.steps.length && this.steps.at(-1).state === this.current ? this.steps.at(-1).after : asJson(this.current);
  }

  /** Whether the event comes after all that were taken: only such a one may be taken next. */
  follows(event) {
    const row = this.#row(event);
    const own = this.newest.get(event.device);
    if (own && (own.event.seq > event.seq || (own.event.seq === event.seq && own.event.id >= event.id))) return false;
    return [...this.newest.values()].every((before) => byPlace(before, row) < 0);
  }

  take(event) {
    this.newest.set(event.device, this.#row(event));
    try {
      this.#apply(event);
      this.past.push({ event, state: this.current });
      this.verdicts[event.id] = { applied: true, reason: "" };
    } catch (broken) {
      if (!(broken instanceof SetAside)) throw broken;
      this.verdicts[event.id] = { applied: false, reason: broken.message };
    }
    return this.verdicts[event.id];
  }

  #row(event) {
    const own = this.newest.get(event.device);
    return { latest: Math.max(own ? own.latest : -Infinity, when(event)), event };
  }

  #apply(event) {
    const { checklist, catalogue, refusal, tooLate, opened } = this.terms;
    if (refusal) throw new SetAside(refusal);
    const said = readPayload(event, catalogue);
    if (event.kind === "undo") {
      checkUndo(event, said, this.steps.at(-1)?.event);
      if (tooLate[event.id]) throw new SetAside(tooLate[event.id]);
      this.steps.pop();
      this.current = this.steps.at(-1)?.state ?? voidState(checklist);
    } else {
      this.current = apply(this.current, event, said, opened, catalogue);
      this.steps.push(new Step(event, this.current));
    }
  }
}

/**
 * Replays the events of one run (any order, no repeats); Replay says what the rest is.
 * @returns {Replay} of it `state`, `steps` ({event, after}[]) and `verdicts` (by event id {applied, reason})
 */
export function replay(checklist, opening, events, catalogue, refusal = "", tooLate = {}) {
  const run = new Replay(checklist, opening, catalogue, refusal, tooLate);
  for (const event of inOrder(events)) run.take(event);
  return run;
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
