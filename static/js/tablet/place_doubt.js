// A value that was pointed at or typed, and what is asked back before it counts: too far off what is planned, on
// the other side, or more than any tape shows.

import { doubtOf, doubtWords, said } from "./place_view.js";
import { logged } from "./tape_units.js";
import { capital } from "./words.js";

const MEASURED_SO = "measured so";

const readingFact = (reading, take, value) => ["reading", { reading: reading.id, value: logged(value), ...(take > 1 ? { take } : {}) }];

export function placeDoubt() {
  return {
    doubt: null, // {kind, value, instead, reading, take}
    waived: "", // the name of a kept reading that is measured again

    takeValue(value) {
      const { reading, take } = this.target;
      this.choose(reading.id);
      this.isTraced = true;
      const doubt = doubtOf(reading, value);
      this.doubt = doubt ? { ...doubt, reading, take } : null;
      if (doubt) return;
      this.waived = "";
      if (this.kept !== logged(value)) this.emit(readingFact(reading, take, value));
      this.goOnSoon();
    },
    // A question of this page, or one that a reading kept earlier has left open.
    get question() {
      if (this.doubt) return this.doubt;
      if (!this.isReading) return null;
      const { reading, take, name } = this.target;
      const odd = this.state.missing.find((one) => one.what === "reading" && one.name === name && one.why === "outside");
      if (!odd || name === this.waived) return null;
      const value = this.kept;
      return { ...(doubtOf(reading, value) || { kind: "far", value }), reading, take };
    },
    get questionWords() {
      return this.question ? doubtWords(this.question.reading, this.question, this.unit, this.phase.place.kind === "set") : "";
    },
    get questionSides() {
      if (!this.question || this.question.kind !== "mirrored") return [];
      const { reading } = this.question;
      return [{ key: "plus", words: capital(reading.plus) }, { key: "minus", words: capital(reading.minus) }];
    },
    get questionYes() {
      if (!this.question || this.question.kind !== "far") return "";
      return this.asksSupervisor ? "Yes: a supervisor takes it…" : "Yes, it lies so";
    },
    get questionInstead() {
      const instead = this.question && this.question.kind === "never" ? this.question.instead : null;
      return instead === null || instead === undefined ? "" : `Yes, ${said(this.question.reading, instead, this.unit)}`;
    },
    get asksSupervisor() {
      return this.question.reading.accept === "supervisor" && !this.alone;
    },
    answerSide(key) {
      const { reading, take, value } = this.question;
      const chosen = (key === "plus" ? 1 : -1) * Math.abs(value);
      if (chosen !== value) this.takeValue(chosen);
      else if (chosen < reading.never_low || chosen > reading.never_high) this.doubt = { kind: "never", value, instead: null, reading, take };
      else this.takeAsMeasured();
    },
    answerInstead() {
      this.takeValue(this.question.instead);
    },
    takeAsMeasured() {
      const { reading, take, value } = this.question;
      const { name } = this.target;
      const kept = this.kept === logged(value);
      this.choose(reading.id);
      if (this.asksSupervisor) {
        this.doubt = null;
        if (!kept) this.emit(readingFact(reading, take, value));
        this.takeMissing("reading", name);
        return;
      }
      const accept = ["accept", { what: "reading", name, reason: MEASURED_SO }];
      this.doubt = null;
      this.emit(...(kept ? [] : [readingFact(reading, take, value)]), accept);
      this.goOnSoon();
    },
    measureAgain() {
      const { name } = this.target;
      this.doubt = null;
      this.waived = name;
    },
  };
}
