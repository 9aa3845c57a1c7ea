// A run's events -> its state: the second reading of the rules, for a tablet that has no network. The first is
// floor/domain/run.py; tests/vectors/*.json hold both equal.

import { when } from "./event_time.js";
import { SetAside } from "./fields.js";
import { readPayload } from "./payloads.js";
import { apply, checkUndo } from "./rules.js";
import { asJson, voidState } from "./run_state.js";
import { Aside, letCount, saidOf } from "./settling.js";

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

/** An event in force and the state after it, as the server has it too: made when somebody looks. `settling`: the
 *  event that let it count, where it had been set aside; it then stands at that one's place and time. */
class Step {
  #after = null;

  constructor(event, state, settling = null) {
    this.event = event;
    this.state = state;
    this.settling = settling;
  }

  /** What was tapped to bring the step about; an undo names it. */
  get tapped() {
    return this.settling ?? this.event;
  }

  /** Nobody knows how long after the step before it came. */
  drift() {
    this.event = { ...this.event, adrift: true };
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
    this.terms = { checklist, catalogue, refusal, tooLate, opening, opened: readOpening(opening, catalogue) };
    this.steps = [];
    this.verdicts = {};
    this.past = []; // all that applied, {event, state}, with what was taken back later and the undos themselves
    this.current = voidState(checklist);
    this.aside = new Aside();
    this.asideWith = {}; // what became of a tap before it was settled
    this.newest = new Map(); // by device: where its newest event stands
    this.adrift = new Set(); // devices whose next step is adrift: what was so itself does not count
  }

  /** The same so far, to try on it what might come. */
  fork() {
    const { checklist, opening, catalogue } = this.terms;
    const other = Object.assign(new Replay(checklist, opening, catalogue), this);
    other.steps = [...this.steps];
    other.verdicts = { ...this.verdicts };
    other.past = [...this.past];
    other.aside = new Aside(this.aside);
    other.asideWith = { ...this.asideWith };
    other.newest = new Map(this.newest);
    other.adrift = new Set(this.adrift);
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
      this.verdicts[event.id] = { applied: true, reason: "", settled: "" };
    } catch (broken) {
      if (!(broken instanceof SetAside)) throw broken;
      this.verdicts[event.id] = { applied: false, reason: broken.message, settled: "" };
      this.#leavesOut(event);
      if (event.kind !== "settle") this.#putAside(event);
    }
    return this.verdicts[event.id];
  }

  #row(event) {
    const own = this.newest.get(event.device);
    return { latest: Math.max(own ? own.latest : -Infinity, when(event)), event };
  }

  #putAside(event) {
    this.aside.put(event);
    this.asideWith[event.id] = this.verdicts[event.id];
  }

  #apply(event) {
    const { catalogue, refusal, opened } = this.terms;
    // Settling, and taking that back, is all that can be done about a run that may not exist.
    const isBeyond = event.kind === "settle" || (event.kind === "undo" && this.steps.length > 0);
    if (refusal && !isBeyond) throw new SetAside(refusal);
    const said = readPayload(event, catalogue);
    if (event.kind === "undo") this.#takeBack(event, said);
    else if (event.kind === "settle") this.#settle(event, said);
    else this.#goOn(new Step(event, apply(this.current, event, said, opened, catalogue)));
  }

  /** The clock had changed before it all the same: whatever comes next from its tablet stands behind that. */
  #leavesOut(event) {
    if (event.adrift) this.adrift.add(event.device);
  }

  #goOn(step) {
    if (this.adrift.delete(step.tapped.device)) step.drift();
    this.steps.push(step);
    this.current = step.state;
  }

  #takeBack(event, said) {
    const { checklist, tooLate } = this.terms;
    checkUndo(event, said, this.steps.at(-1)?.tapped);
    if (tooLate[event.id]) throw new SetAside(tooLate[event.id]);
    const gone = this.steps.pop();
    this.#leavesOut(gone.tapped);
    this.#leavesOut(event);
    this.current = this.steps.at(-1)?.state ?? voidState(checklist);
    for (const target of this.aside.unsettle(gone.tapped.id)) this.verdicts[target] = this.asideWith[target];
  }

  #settle(event, said) {
    const { catalogue, refusal, opened } = this.terms;
    const target = this.aside.targetOf(event, said);
    let settled = [target];
    if (said.how === "keep") {
      settled = this.aside.keptWith(target, this.current);
      this.#goOn(new Step(event, this.current));
      for (const { id } of settled) this.verdicts[id] = { ...this.verdicts[id], settled: event.id };
    } else {
      if (refusal) throw new SetAside(refusal);
      const found = letCount(this.current, event, target, opened, catalogue);
      this.#goOn(new Step(found.event, found.state, event));
      this.verdicts[target.id] = { applied: true, reason: saidOf(event, said), settled: event.id };
    }
    this.aside.settle(event, settled);
  }
}

/**
 * Replays the events of one run (any order, no repeats); Replay says what the rest is.
 * @returns {Replay} of it `state`, `steps` ({event, after}[]) and `verdicts` (by event id {applied, reason, settled})
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
