// A place that is measured: what is read next, its tiles, the tape that is pointed at, the steppers. What a value
// means is asked in place_doubt.js; what all come to is in place_judged.js.

import { own } from "../fields.js";
import { takesOf, triesOf } from "../place_in_run.js";
import { drawingOf } from "./place_drawing.js";
import { layoutOf, valueAt } from "./place_layout.js";
import { differWords, isBlind, nextOf, partsOfName, said, targetOf, tileWords } from "./place_view.js";
import { amount, keepUnit, keptUnit, marksOf, snapped } from "./tape_units.js";

const ACROSS = ["a", "b"];
const NOTHING_ASKED = { reading: { id: "", mark: "", ask: "" }, take: 1, name: "" };

export function placeEntry(life) {
  const wholes = new WeakMap(); // by state
  return {
    unit: keptUnit(),
    isTraced: false, // the tape is shown, not the whole front
    live: null, // where the finger is on the tape
    pane: { width: 0, height: 0 },

    get isPlace() {
      return Boolean(this.phase) && Boolean(this.phase.place) && !this.isOfScrapped;
    },
    get whole() {
      const { state, checklist } = this;
      if (!wholes.has(state)) wholes.set(state, { ...state, checklist });
      return wholes.get(state);
    },
    takes(id) {
      return takesOf(this.whole, this.state.phase, id);
    },
    get tries() {
      return triesOf(this.state, this.state.phase);
    },
    get isNewRound() {
      return this.phase.readings.every((one) => !this.takes(one.id).length);
    },
    // "begin": the whole front, before anything is read; "read": one place; "judged": what it comes to.
    get placeMode() {
      if (this.chosen) return "read";
      if (!nextOf(this.state.missing)) return "judged";
      const last = this.tries[this.tries.length - 1];
      const wasReadBefore = Boolean(last) && last.how === "read again"; // nothing moved: no trace comes first
      return this.isTraced || wasReadBefore || !this.isNewRound ? "read" : "begin";
    },
    get isReading() {
      return this.isPlace && this.placeMode === "read";
    },
    get isJudged() {
      return this.isPlace && this.placeMode === "judged";
    },
    beginReading() {
      if (!this.unsettled) this.isTraced = true;
    },

    // ---- the place that is read
    get target() {
      if (!this.isPlace) return NOTHING_ASKED; // a part of the page that is about to go may still look
      return targetOf(this.phase, this.state.missing, (id) => this.takes(id), this.chosen);
    },
    // What stands of it in the run, mm; null before it is read.
    get kept() {
      return own(own(this.state.readings, this.state.phase) || {}, this.target.name) ?? null;
    },
    get placeValue() {
      return this.live === null ? this.kept : this.live;
    },
    // What the drawing shows: a value that is asked back stands there too, unless no tape could show it.
    get shownValue() {
      const { question } = this;
      return this.live === null && question && question.kind !== "never" ? question.value : this.placeValue;
    },
    get placeSaid() {
      return this.placeValue === null ? "not measured yet" : said(this.target.reading, this.placeValue, this.unit);
    },
    get placeAmount() {
      return this.placeValue === null ? "–" : amount(this.placeValue, this.unit);
    },
    get placeSide() {
      if (this.placeValue === null) return "not measured yet";
      return said(this.target.reading, this.placeValue, this.unit).replace(`${this.placeAmount} `, "");
    },
    get placeAsk() {
      return this.target.reading.ask;
    },
    get differWords() {
      const { reading, take } = this.target;
      if (take !== 3 || this.question) return "";
      return differWords(reading, this.takes(reading.id), this.unit);
    },
    tileOf(reading) {
      const values = this.takes(reading.id);
      if (!values.length) return { figures: "–", side: "" };
      if (isBlind(this.state.missing, (id) => this.takes(id), reading.id)) return { figures: "once", side: "" };
      return tileWords(reading, values, this.unit);
    },
    isOpenTile(reading) {
      return this.isReading && this.target.reading.id === reading.id;
    },
    isOddTile(reading) {
      return this.state.missing.some((one) => one.what === "reading" && one.why !== "not given" && partsOfName(one.name).id === reading.id);
    },
    choosePlace(id) {
      this.doubt = null;
      this.isTraced = true;
      this.choose(id);
    },
    showFront() {
      this.choose(null);
      this.isTraced = false;
    },

    // ---- pointing at the tape
    get layout() {
      const { place } = this.phase;
      const side = (place.kind === "sewn" ? -place.sums.side : place.sums.side) || 1;
      const value = this.live === null ? this.shownValue : this.pointedFrom;
      return layoutOf({ reading: this.target.reading, side, value, width: this.pane.width, height: this.pane.height });
    },
    pointedFrom: null, // the value when the finger came down: the tape stays put under it
    watchPane(host) {
      const watch = new ResizeObserver(() => {
        this.pane = { width: host.clientWidth, height: host.clientHeight };
      });
      watch.observe(host);
      life.until(() => watch.disconnect());
    },
    drawPlace(host) {
      if (!this.phase || !this.isReading || !this.pane.width) return;
      const { reading } = this.target;
      const value = this.shownValue;
      host.setAttribute("viewBox", `0 0 ${this.pane.width} ${this.pane.height}`);
      host.replaceChildren(...drawingOf({ reading, kind: this.phase.place.kind, value, unit: this.unit, layout: this.layout }));
    },
    press(event) {
      if (this.isTooSoon) return;
      event.currentTarget.setPointerCapture(event.pointerId);
      this.doubt = null;
      this.pointedFrom = this.placeValue;
      this.pointed(event);
    },
    slide(event) {
      if (this.live !== null) this.pointed(event);
    },
    pointed(event) {
      const box = event.currentTarget.getBoundingClientRect();
      this.live = valueAt(this.layout, event.clientX - box.left, event.clientY - box.top, this.unit);
    },
    lift() {
      if (this.live === null) return;
      const value = this.live;
      this.live = null;
      this.takeValue(value);
    },
    letGo() {
      this.live = null;
    },

    // ---- steppers, in the directions of the picture
    get isAcross() {
      return ACROSS.includes(this.target.reading.id);
    },
    get tapeStep() {
      return marksOf(this.unit).least;
    },
    get tapeStepWords() {
      return amount(this.tapeStep, this.unit);
    },
    get ways() {
      return this.isAcross
        ? [{ key: "less", sign: "←", way: "to the left" }, { key: "more", sign: "→", way: "to the right" }]
        : [{ key: "less", sign: "↓", way: "lower" }, { key: "more", sign: "↑", way: "higher" }];
    },
    canStepPlace() {
      return this.placeValue !== null && !this.question;
    },
    stepPlace(key) {
      if (!this.canStepPlace() || this.isTooSoon) return;
      const onScreen = (key === "more") === this.isAcross ? 1 : -1; // to the right and down are + on the screen
      const by = onScreen * this.layout.towardPlus * this.tapeStep;
      this.takeValue(snapped(this.placeValue + by, this.tapeStep));
    },
    stepByKey(event) {
      const keys = { ArrowLeft: [true, "less"], ArrowRight: [true, "more"], ArrowDown: [false, "less"], ArrowUp: [false, "more"] };
      const [isAcross, key] = keys[event.key] || [];
      if (isAcross !== this.isAcross) return;
      event.preventDefault();
      this.stepPlace(key);
    },
    switchUnit() {
      this.unit = this.unit === "mm" ? "in" : "mm";
      if (!keepUnit(this.unit)) this.notice = "This browser keeps nothing: the unit holds until the page is opened again.";
    },
    get unitKey() {
      return this.unit === "mm" ? "in inches" : "in mm";
    },
    typePlace() {
      const { reading } = this.target;
      this.choose(reading.id);
      this.openPad(reading, (value) => this.takeValue(value));
    },
  };
}
