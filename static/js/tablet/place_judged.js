// What a place's readings come to: the verdict, the seam as it would look, and the one thing to do about it.

import { judged, settledPlace } from "../place_in_run.js";
import { actionWords, adviceWords, asSewnWords, stepWords, sureWords, triesWords, verdictWord } from "./judged_view.js";
import { nextOf } from "./place_view.js";
import { enlarged, liesOf, stripOf, worstAt } from "./seam_view.js";
import { capital } from "./words.js";

export function placeJudged(record) {
  const weighings = new WeakMap(); // by state: many look at what takes long to weigh
  return {
    get weighed() {
      if (!this.isPlace) return null;
      const { state } = this;
      if (!weighings.has(state)) weighings.set(state, judged(this.whole, state.phase));
      return weighings.get(state);
    },
    get placeAgainst() {
      const { against } = this.phase.place;
      const index = this.checklist.phases.findIndex((phase) => phase.key === against);
      return index < 0 ? null : settledPlace(this.whole, index);
    },
    get isTakenAsItLies() {
      return this.isAccepted("place", "place");
    },
    get verdict() {
      const { weighed } = this;
      if (!weighed) return this.placeMissing ? "Decide" : "Measured";
      return this.isTakenAsItLies ? "Sew" : verdictWord(weighed);
    },
    get verdictSure() {
      if (!this.weighed) return "";
      return this.isTakenAsItLies ? "taken as it lies" : sureWords(this.weighed);
    },
    get verdictAdvice() {
      const { place } = this.phase;
      if (this.weighed) return this.isTakenAsItLies ? `It was: ${adviceWords(this.weighed, place.sums)}` : adviceWords(this.weighed, place.sums);
      const settled = settledPlace(this.whole, this.state.phase);
      const off = settled ? asSewnWords(place, settled) : "";
      const other = place.sums.front === "left" ? "right" : "left";
      const lies = off ? `The ${other} front was sewn off its place: ${off}.` : `The ${other} front was sewn on its place.`;
      if (this.placeMissing) return `${lies} Decide before the ${place.sums.front} front is spent.`;
      return `${lies} The ${place.sums.front} front is now set to it.`;
    },
    get verdictStep() {
      return this.weighed ? stepWords(this.weighed, this.phase.place) : "";
    },
    get triesLine() {
      return this.tries.length ? capital(triesWords(this.tries, this.phase.place.sums)) : "";
    },
    get placeMissing() {
      return this.state.missing.find((one) => one.what === "place") || null;
    },
    get isCloseSew() {
      return Boolean(this.weighed) && this.weighed.verdict === "sew" && this.weighed.sure === "close" && !this.isTakenAsItLies;
    },
    get takingPlaceWords() {
      return `${this.verdictStep} ${this.verdictAdvice}`.trim();
    },
    get takePlaceWords() {
      return this.phase.place.kind === "sewn" ? "Go on with it as it is…" : "Sew it as it lies…";
    },
    get seam() {
      const numbers = this.phase.garment === null ? record.page.opening.garments : [this.phase.garment];
      const garment = record.page.garments.find((one) => one.number === numbers[0]) || record.page.garments[0];
      return garment ? record.page.seams[garment.size] || null : null;
    },
    get hasStrips() {
      return this.isJudged && Boolean(this.weighed) && Boolean(this.seam);
    },
    get stripTimes() {
      return this.weighed ? enlarged(this.weighed.worst) : 1;
    },
    drawStrip(host, isLarge) {
      if (!this.phase || !this.hasStrips) return;
      const { place } = this.phase;
      const times = isLarge ? this.stripTimes : 1;
      const worst = this.weighed.steps.length && this.weighed.worst > 0.05 ? place.sums.steps[worstAt(this.weighed.steps)].y : null;
      host.setAttribute("viewBox", this.seam.box.join(" "));
      host.replaceChildren(...stripOf(this.seam, place.sums.front, liesOf(this.weighed, place, this.placeAgainst), times, worst));
    },

    // ---- the big button
    get placeMain() {
      const { missing } = this.state;
      if (this.placeMode === "begin") {
        const isSet = this.phase.place.kind === "set";
        return { kind: "begin", what: null, label: isSet ? "Traced: measure at 1" : "Measure at 1", then: "by pointing at a tape" };
      }
      if (this.question) return { kind: "first", what: { what: "reading", name: this.target.name }, label: "Answer above first", care: true };
      const next = nextOf(missing);
      if (next) {
        const mark = this.phase.readings.find((one) => one.id === next.id).mark;
        return { kind: "first", what: { what: "reading", name: this.target.name }, ...this.measureWords(mark, next), care: next.take === 3 };
      }
      if (!this.placeMissing) return null;
      if (this.placeMissing.why === "decide") return { kind: "decide", what: this.placeMissing, label: "Decide about it", then: this.alone ? "the log says that you did" : "a supervisor, with a password" };
      return { kind: "again", what: this.placeMissing, ...actionWords(this.weighed, this.phase.place.sums, "") };
    },
    measureWords(mark, { take }) {
      if (take === 3) return { label: `Measure at ${mark} once more`, then: "the two differ" };
      if (take === 2) return { label: `Measure at ${mark} again`, then: "second time, the first is hidden" };
      return { label: `Measure at ${mark}`, then: "point at the tape" };
    },
    doAboutPlace() {
      if (this.unsettled) return;
      const { verdict, nudge } = this.weighed;
      if (verdict === "nudge") this.again(["again", { how: "nudged", along: nudge[0], across: nudge[1] }]);
      else if (verdict === "re-lay") this.layAgain();
      else this.readAgain();
    },
    readAgain() {
      if (!this.unsettled) this.again(["again", { how: "read again" }]);
    },
    // Lifted cloth goes back to its laying: it is looked at and pinned anew before it is read again.
    layAgain() {
      const to = this.checklist.phases.findIndex((phase) => phase.key === this.phase.place.relay_to);
      const back = to < 0 ? [] : [["redo", { cause: "lies-wrong", to }]];
      this.again(["again", { how: "laid again" }], ...back);
    },
    again(...facts) {
      if (this.emit(...facts)) this.justChanged();
    },
  };
}
