// One run as this tablet knows it: what the server told, what was tapped here, and what both amount to.

import { replay } from "../run.js";
import { deviceId, newId, nextSeq } from "../device.js";
import { add, pending, refused } from "../outbox.js";

const AFTER_ALL_OTHERS = Number.MAX_SAFE_INTEGER; // where an event stands that is only tried out
const MOST_FACTS = 100; // of one tap

export class RunRecord {
  constructor(page) {
    this.mine = new Map();
    this.steps = [];
    this.take(page);
    for (const event of pending()) if (event.run === page.run) this.mine.set(event.id, event);
  }

  take(page) {
    this.page = page;
    this.offset = page.server_time - Date.now();
    this.known = new Set(page.events.map((event) => event.id));
  }

  get events() {
    const own = [...this.mine.values()].filter((event) => !this.known.has(event.id));
    return [...this.page.events, ...own.map((event) => this.dressed(event))];
  }

  // The server adds these three; until it has answered, the tablet assumes what it will add.
  dressed(event) {
    const alone = this.page.shop.one_person;
    const authority = alone ? "self" : event.data.token ? "supervisor" : null;
    return { ...event, offset_ms: this.offset, authority, by: null };
  }

  replayed(more = []) {
    const { checklist, opening, catalogue, refusal, too_late: tooLate } = this.page;
    return replay(checklist, opening, [...this.events, ...more], catalogue, refusal, tooLate);
  }

  // All facts of one tap, or none: each is tried on the state first. Returns "" or why it cannot be.
  say(facts) {
    const at = Date.now();
    const tried = [];
    for (const [kind, data] of facts) {
      const phase = this.replayed(tried.map((event) => this.dressed(event))).state.phase;
      const event = this.event(kind, data, phase, at, tried.length);
      tried.push(event);
      const verdict = this.replayed(tried.map((one) => this.dressed(one))).verdicts[event.id];
      if (!verdict.applied) return verdict.reason;
    }
    for (const event of tried) {
      event.seq = nextSeq();
      add(event);
      this.mine.set(event.id, event);
    }
    return "";
  }

  // What the server will never take of this run is no part of it. Returns the server's sentences.
  dropRefused() {
    const gone = refused().filter(({ event }) => this.mine.delete(event.id));
    return gone.map(({ reason }) => reason);
  }

  // Whether these facts, said now, would leave something missing.
  wouldLack(facts) {
    const { state } = this.replayed();
    const tried = facts.map(([kind, data], at) => this.dressed(this.event(kind, data, state.phase, Date.now(), at)));
    return this.replayed(tried).state.missing.length > 0;
  }

  event(kind, data, phase, at, place) {
    const seq = AFTER_ALL_OTHERS - MOST_FACTS + place;
    return { id: newId(), run: this.page.run, device: deviceId(), seq, kind, phase, at, data };
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

  // Events tapped here, in this life of the page, that did not count after all.
  setAside(verdicts) {
    return [...this.mine.values()].filter((event) => verdicts[event.id] && !verdicts[event.id].applied);
  }
}
