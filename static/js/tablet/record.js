// One run as this tablet knows it: what the server told, what was tapped here, and what both amount to. A tap is
// replayed on what is known; all is replayed from the beginning only when something came late.

import { now, offset } from "../clock.js";
import { deviceId, newId } from "../device.js";
import { addAll, ofRun, pending, refused } from "../outbox.js";
import { replay } from "../run.js";
import { Trouble } from "../store.js";

const AFTER_ALL_OTHERS = 2 ** 52; // where the events stand that have no number yet, in the order of tapping

export class RunRecord {
  constructor(page) {
    this.here = new Set(pending().map((event) => event.id)); // tapped here, or not sent before: what is told of when it fails
    this.take(page);
  }

  /** Takes the page as it is known now; whether the run stands otherwise than before. */
  take(page) {
    this.page = page;
    this.known = new Set(page.events.map((event) => event.id));
    const told = page.events.map((event) => [event.id, event.offset_ms, event.authority, event.by, event.adrift]);
    const before = this.told;
    this.told = JSON.stringify([page.refusal, page.too_late, told, this.own().map((event) => event.id)]);
    if (this.told === before) return false;
    this.run = this.replayed();
    return true;
  }

  get state() {
    return this.run.state;
  }

  get steps() {
    return this.run.steps;
  }

  // What this tablet said of the run and the page does not have yet.
  own() {
    return ofRun(this.page.run).filter((event) => !this.known.has(event.id));
  }

  // Who stands behind an event is the server's to say; until it has answered, the tablet assumes what it will say.
  dressed(event) {
    const alone = this.page.shop.one_person;
    const authority = alone ? "self" : event.data.token ? "supervisor" : null;
    return { ...event, authority, by: null };
  }

  replayed(more = []) {
    const { checklist, opening, catalogue, refusal, too_late: tooLate, events } = this.page;
    const own = [...this.own(), ...more].map((event) => this.dressed(event));
    return replay(checklist, opening, [...events, ...own], catalogue, refusal, tooLate);
  }

  // All facts of one tap, or none: each is tried on the state first. Returns "" or why it cannot be.
  say(facts) {
    const { run, tried, reason } = this.tried(facts);
    if (reason) return reason;
    try {
      addAll(tried.map(({ id, run: of, kind, phase, at, data }) => ({ id, run: of, kind, phase, at, data })));
    } catch (trouble) {
      if (!(trouble instanceof Trouble)) throw trouble;
      return `It was not kept: ${trouble.message}`;
    }
    for (const event of tried) this.here.add(event.id);
    this.run = run;
    return "";
  }

  // What these facts would come to, said now: {run, tried, reason}.
  tried(facts) {
    const at = now();
    const tried = [];
    let run = this.run.fork();
    for (const [kind, data] of facts) {
      const event = this.event(kind, data, run.state.phase, at, run);
      tried.push(event);
      const dressed = this.dressed(event);
      if (run.follows(dressed)) run.take(dressed);
      else run = this.replayed(tried); // by its clock another tablet was later
      const verdict = run.verdicts[event.id];
      if (!verdict.applied) return { run, tried, reason: verdict.reason };
    }
    return { run, tried, reason: "" };
  }

  // Whether these facts, said now, would leave something missing.
  wouldLack(facts) {
    return this.tried(facts).run.state.missing.length > 0;
  }

  event(kind, data, phase, at, run) {
    const device = deviceId();
    const newest = run.newest.get(device);
    const seq = Math.max(AFTER_ALL_OTHERS, newest ? newest.event.seq : 0) + 1;
    return { id: newId(), run: this.page.run, device, seq, kind, phase, at, data, offset_ms: offset(), adrift: false };
  }

  // What the server will never take of this run is no part of it. Returns the server's sentences.
  dropRefused() {
    const gone = refused().filter(({ event }) => this.here.delete(event.id));
    if (gone.length) this.run = this.replayed();
    return gone.map(({ reason }) => reason);
  }

  // Whether the newest tap can be taken back here, and if not, why not.
  undoable() {
    const newest = this.steps[this.steps.length - 1];
    if (!newest) return { can: false, why: "Nothing has been tapped yet." };
    if (this.isMine(newest.event)) return { can: true, why: "" };
    return { can: false, why: "The last tap came from another tablet; only there can it be taken back." };
  }

  isMine(event) {
    return event.device === deviceId();
  }

  // What was tapped here, in this life of the page, and did not count after all: [{id, reason}].
  setAside() {
    const { verdicts } = this.run;
    return [...this.here].filter((id) => verdicts[id] && !verdicts[id].applied).map((id) => ({ id, reason: verdicts[id].reason }));
  }
}
