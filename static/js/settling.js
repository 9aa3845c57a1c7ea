// What becomes of a tap that was set aside, once a supervisor has settled it: the tablet's reading of
// floor/domain/settling.py.

import { SetAside } from "./fields.js";
import { readPayload } from "./payloads.js";
import { apply } from "./rules.js";

const NEVER_LATER = ["open", "take_over", "settle", "undo"];

/** What was set aside in a run so far, and which event settled it. */
export class Aside {
  constructor(other = null) {
    this.events = new Map(other?.events);
    this.settledBy = new Map(other?.settledBy);
  }

  put(event) {
    this.events.set(event.id, event);
  }

  settle(event, targets) {
    for (const target of targets) this.settledBy.set(target.id, event.id);
  }

  /** What that event had settled is open again; which, by id. */
  unsettle(settling) {
    const back = [...this.settledBy].filter(([, by]) => by === settling).map(([target]) => target);
    for (const target of back) this.settledBy.delete(target);
    return back;
  }

  targetOf(event, said) {
    if (event.authority !== "supervisor") throw new SetAside("Only a supervisor can settle what was set aside.");
    if (!this.events.has(said.event)) throw new SetAside("No such tap had been set aside.");
    if (this.settledBy.has(said.event)) throw new SetAside("That had been settled before.");
    return this.events.get(said.event);
  }

  /** What is kept as a note with `target`: all taps together where there is no run that goes on without them. */
  keptWith(target, state) {
    if (state.opened) return [target];
    return [...this.events.values()].filter((event) => !this.settledBy.has(event.id));
  }
}

/** `target` as it counts at the place of `settling`, and the state after it. */
export function letCount(state, settling, target, opened, catalogue) {
  const said = readPayload(target, catalogue);
  if (NEVER_LATER.includes(target.kind)) {
    throw new SetAside("A tap that opens a run, takes it over or takes another tap back cannot count later.");
  }
  const { device, at, offset_ms, authority, by } = settling;
  const event = { ...target, device, at, offset_ms, authority, by, adrift: true };
  return { event, state: apply(state, { ...event, device: state.device }, said, opened, catalogue) };
}

/** What is told of a tap that counts after all. */
export const saidOf = (settling, said) => `${settling.by || "A supervisor"} let it count: ${said.why}`;
