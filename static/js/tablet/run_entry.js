// Checks, readings and counts of the phase at hand.

import { grouped, isFine, leastOf, standing, stepOf, stepped, tape, verdict } from "./reading_view.js";
import { nextOf } from "./place_view.js";
import { mm } from "./words.js";

const CHIPS = 12;
const LONGEST_NUMBER = 6;
const ADVANCE_MS = 1200; // time for a half millimetre more or less, before the tape goes on to the next place
const NOT_MEANT_MS = 350; // a tap this soon after the tape went on by itself was meant for the place before

export function entry(record, life) {
  let advance = null;
  life.until(() => clearTimeout(advance));
  let wentOnAt = 0;
  return {
    chosen: null, // the reading whose tape is shown
    keypad: null, // { title, text }

    // ---- checks: those that the footer does not ask
    get ticks() {
      const asked = this.main.kind === "answers" ? this.main.check.id : "";
      return this.isOfScrapped ? [] : this.phase.checks.filter((check) => check.id !== asked);
    },
    answer(check) {
      const given = this.state.answers[this.state.phase];
      return given && given[check.id] !== undefined ? given[check.id] : null;
    },
    isWrong(check) {
      return this.state.missing.some((one) => one.what === "check" && one.name === check.id && one.why === "wrong");
    },
    isAccepted(what, name) {
      return this.state.accepted.some((one) => one[0] === this.state.phase && one[1] === what && one[2] === name);
    },
    wrongWords(check) {
      return check.answers.length > 1 ? `You answered “${this.answer(check)}”. It should be “${check.right}”. Put it right before going on.` : "";
    },
    answerWith(check, value) {
      if (this.unsettled) return;
      if (this.answer(check) === value) return;
      this.emit(["check", { check: check.id, value }]);
    },
    // An answer in the footer: the right one also ends the phase, in the same tap.
    endWith(check, value) {
      if (this.unsettled) return;
      const facts = [["check", { check: check.id, value }]];
      const others = this.state.missing.filter((one) => !(one.what === "check" && one.name === check.id));
      if (value === check.right && !others.length) facts.push(["done", {}]);
      this.emit(...facts);
    },

    // ---- readings
    get reading() {
      const readings = this.phase.readings;
      if (!readings.length || this.isOfScrapped) return null;
      const open = readings.find((one) => this.value(one) === null);
      return readings.find((one) => one.id === this.chosen) || open || readings[0];
    },
    choose(id) {
      clearTimeout(advance);
      this.chosen = id;
    },
    value(reading) {
      const taken = this.state.readings[this.state.phase];
      return taken && taken[reading.id] !== undefined ? taken[reading.id] : null;
    },
    valueWords(reading) {
      return this.value(reading) === null ? "–" : mm(this.value(reading));
    },
    standingOf(reading) {
      return standing(reading, this.value(reading), this.isAccepted("reading", reading.id));
    },
    get tapeMarks() {
      return tape(this.reading, this.value(this.reading));
    },
    get readingVerdict() {
      return verdict(this.reading, this.value(this.reading), this.isAccepted("reading", this.reading.id));
    },
    get isOff() {
      return ["outside", "never"].includes(this.standingOf(this.reading));
    },
    get tolerable() {
      return this.standingOf(this.reading) === "outside" && this.reading.accept !== "nobody";
    },
    read(value) {
      if (this.isTooSoon) return;
      const { reading } = this;
      this.choose(reading.id);
      if (this.value(reading) !== value) this.emit(["reading", { reading: reading.id, value }]);
      if (this.standingOf(reading) === "good") this.goOnSoon();
    },
    get isTooSoon() {
      return performance.now() - wentOnAt < NOT_MEANT_MS;
    },
    goOnSoon() {
      clearTimeout(advance);
      advance = setTimeout(() => this.goToNextPlace(), ADVANCE_MS);
    },
    // Once every place is measured, a judged one shows what they come to; others keep the last in view.
    goToNextPlace() {
      if (!this.phase || !this.phase.readings.length) return;
      const open = this.isPlace ? nextOf(this.state.missing) : this.phase.readings.find((one) => this.value(one) === null);
      if (!open && !this.isPlace) return;
      this.choose(open ? open.id : null);
      wentOnAt = performance.now();
    },
    // A little more or less only changes what has been read: a late tap must not make up the next place's reading.
    step(direction) {
      if (this.canStep(direction)) this.read(stepped(this.reading, this.value(this.reading), direction));
    },
    canStep(direction) {
      const value = this.value(this.reading);
      return value !== null && stepped(this.reading, value, direction) >= leastOf(this.reading);
    },
    get readingStepWords() {
      return stepOf(this.reading) < 0.5 ? "¼" : "½";
    },
    // The closed seam is compared: readings of several crossings at once.
    get isSeam() {
      return Boolean(this.phase) && this.phase.readings.length > 1 && Boolean(this.readingGroups[0].title);
    },
    get readingGroups() {
      return grouped(this.phase.readings);
    },
    // Steps and gaps are judged by the shop's limits: what passes, what a supervisor may let pass, what fails.
    get isAtSeam() {
      return isFine(this.reading);
    },
    get isFailed() {
      return this.standingOf(this.reading) === "never";
    },
    readOther() {
      this.openPad(this.reading, (value) => this.read(value));
    },

    // ---- counts
    get countsAsked() {
      return this.isOfScrapped ? [] : this.phase.counts;
    },
    get chips() {
      return Array.from({ length: CHIPS }, (unused, number) => number);
    },
    counted(count) {
      const found = this.state.counts[this.state.phase];
      const name = `${count.id} ${count.side}`;
      return found && found[name] !== undefined ? found[name] : null;
    },
    differs(count) {
      return this.state.missing.some((one) => one.name === `${count.id} ${count.side}` && one.why === "differs");
    },
    countIs(count, value) {
      if (this.unsettled) return;
      const name = `${count.id} ${count.side}`;
      const others = this.state.missing.filter((one) => one.name !== name);
      const fact = ["count", { count: count.id, side: count.side, value }];
      if (!count.ends || others.length) {
        this.emit(fact);
        return;
      }
      // With a count that differs from the other the phase stays open.
      if (record.wouldLack([fact])) this.emit(fact);
      else this.emit(fact, ["done", {}]);
    },
    countOther(count) {
      this.openKeypad(count.ask, (value) => this.countIs(count, value));
    },

    // ---- the keypad
    openKeypad(title, take) {
      this.keypad = { title, text: "" };
      this.keypadTake = take;
      this.open("keypad");
    },
    keypadTake: null,
    key(sign) {
      const { text } = this.keypad;
      if (sign === "back") this.keypad.text = text.slice(0, -1);
      else if (text.length < LONGEST_NUMBER) this.keypad.text = text + sign;
    },
    get keyed() {
      const { text } = this.keypad;
      return /^\d+$/.test(text) ? Number(text) : null;
    },
    takeKeyed() {
      const value = this.keyed;
      if (value === null) return;
      this.shut();
      this.keypadTake(value);
    },
  };
}
