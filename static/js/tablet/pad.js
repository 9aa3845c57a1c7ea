// The pad for a length: digits, a point, a fraction's bar, the tape's units, and the two sides as keys that take it.

import { readLength } from "./tape_entry.js";
import { doubtOf, doubtWords, said } from "./place_view.js";
import { capital } from "./words.js";

const LONGEST = 12;

export function pad() {
  return {
    pad: null, // { reading, title, text, unit, fault, instead }
    padTake: null,

    openPad(reading, take) {
      const title = reading.mark ? `${reading.mark}: ${reading.ask}` : reading.ask;
      this.pad = { reading, title, text: "", unit: this.unit, fault: "", instead: null };
      this.padTake = take;
      this.open("pad");
    },
    // Without words for its sides a reading that can be below 0 is typed with its sign, as old runs ask for it.
    get padIsSigned() {
      return !this.pad.reading.plus && this.pad.reading.never_low < 0;
    },
    get padSides() {
      const { plus, minus } = this.pad.reading;
      if (!plus) return [{ key: "only", sign: 1, words: "Take it" }];
      return [{ key: "plus", sign: 1, words: capital(plus) }, { key: "minus", sign: -1, words: capital(minus) }];
    },
    padKey(sign) {
      const { text } = this.pad;
      this.pad.fault = "";
      if (sign === "back") this.pad.text = text.slice(0, -1);
      else if (text.length < LONGEST) this.pad.text = text + sign;
    },
    padUnit(unit) {
      this.pad.unit = unit;
      this.pad.fault = "";
    },
    padTakeIt(sign) {
      const { reading, text, unit } = this.pad;
      const found = readLength(text, unit, this.padIsSigned);
      if (found.fault) {
        this.padFault(found.fault, null);
        return;
      }
      const value = found.mm * sign;
      const doubt = doubtOf(reading, value);
      if (doubt && doubt.kind === "never") this.padFault(doubtWords(reading, doubt, found.unit, true), doubt.instead);
      else this.padGive(value);
    },
    padFault(words, instead) {
      this.pad.fault = words;
      this.pad.instead = instead;
    },
    get padInsteadWords() {
      return this.pad.fault && this.pad.instead !== null ? `Yes, ${said(this.pad.reading, this.pad.instead, this.pad.unit)}` : "";
    },
    padGive(value) {
      this.shut();
      this.padTake(value);
    },
  };
}
