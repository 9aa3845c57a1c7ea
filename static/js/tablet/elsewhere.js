// A run that another tablet has in hand, and taps made here that did not count: both are told, neither is guessed.

import { deviceId, operator, setOperator } from "../device.js";

const UNDERSTOOD = "floor.understood"; // set-aside taps that the operator has read of, newest last
const MOST_UNDERSTOOD = 200;

function understood() {
  try {
    return JSON.parse(localStorage.getItem(UNDERSTOOD) || "[]");
  } catch (barred) {
    return []; // a browser that keeps nothing tells it once more after a reload
  }
}

function keepUnderstood(ids) {
  try {
    localStorage.setItem(UNDERSTOOD, JSON.stringify([...new Set([...understood(), ...ids])].slice(-MOST_UNDERSTOOD)));
  } catch (barred) {
    // the same
  }
}

/** Of the taps that did not count those that the operator has not been told of yet. */
export function untold(aside) {
  const known = new Set(understood());
  return aside.filter(({ id }) => !known.has(id));
}

export function elsewhere(record) {
  return {
    get isElsewhere() {
      return !this.ended && !this.stillborn && Boolean(this.state.device) && this.state.device !== deviceId();
    },
    get isHere() {
      return !this.ended && !this.stillborn && !this.isElsewhere;
    },
    get elsewhereWords() {
      const { since } = this.state;
      const at = since ? ` since ${new Date(since).toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" })}` : "";
      return `${this.state.operator} has this in hand at another tablet${at}`;
    },
    get elsewhereNow() {
      const standing = this.state.pause ? "paused, " : this.blocking ? "held, " : "";
      return this.phase ? `${standing}at: ${this.phase.title}` : "";
    },
    get takerWords() {
      return operator() ? `${operator()} goes on here` : "then say who you are";
    },
    takeOver() {
      if (operator()) this.emit(["take_over", { operator: operator() }]);
      else this.open("take");
    },
    takeOverAs(name) {
      setOperator(name);
      this.shut();
      this.emit(["take_over", { operator: name }]);
    },
    // Taps of this run that the server set aside are told until somebody has read it, after a reload too.
    tellAside(aside) {
      const own = untold(aside.filter(({ run }) => run === record.page.run));
      if (own.length && !this.notice) this.sayAside(own);
    },
    sayAside(taps) {
      const count = taps.length === 1 ? "A tap" : `${taps.length} taps`;
      this.asideTold = [...this.asideTold, ...taps.map(({ id }) => id)];
      this.notice = `${count} did not count: ${taps[0].reason} This is how the run stands.`;
    },
    asideTold: [],
    understand() {
      keepUnderstood(this.asideTold);
      this.asideTold = [];
      this.notice = "";
    },
  };
}
