// What the run page shows of the state: the head, the picture, the clock and the big button, in words.

import { mainAction, nextWords, timeBar } from "./phase_view.js";
import { pictureOf } from "./pictures.js";
import { capital, clock, garmentsNamed, plain, roughly, usually } from "./words.js";

const NOTHING = [];
const ENDED = ["finished", "scrapped", "sent back"];

export function seen(record) {
  return {
    get phase() {
      return this.checklist.phases[this.state.phase] || null;
    },
    // In a load of several a phase may be about one garment, and that may be lost by now.
    get isOfScrapped() {
      return this.state.scrapped.includes(this.phase.garment);
    },
    get sentence() {
      if (this.isOfScrapped) return `Garment ${this.phase.garment} was scrapped: nothing is to be done here.`;
      return this.isPlace && this.tries.length ? "Trace the window again, and measure at 1 to 4." : this.phase.text;
    },
    get cautions() {
      return this.phase.cautions.join(" ");
    },
    // Beside the tape or the count.
    get isMeasured() {
      return !this.isPlace && !this.isOfScrapped && this.phase.readings.length + this.phase.counts.length > 0;
    },
    // After a reload or a wake what was done last is said large.
    get lastLarge() {
      return this.large && this.last.length > 1 ? this.last : NOTHING;
    },
    get ended() {
      return ENDED.includes(this.state.status);
    },
    get stillborn() {
      return this.state.status === "void";
    },
    get working() {
      return this.isHere && !this.blocking && !this.pausedFor;
    },
    get blocking() {
      return this.state.problems.find((problem) => problem.blocking) || null;
    },
    get pausedFor() {
      return this.state.pause;
    },
    get isPaused() {
      return this.isHere && Boolean(this.pausedFor);
    },
    // Held by a problem, and nothing else keeps it.
    get isStopped() {
      return this.isHere && !this.pausedFor && Boolean(this.blocking);
    },
    get canScrap() {
      return this.state.garments.length > 0;
    },
    get mainKind() {
      return this.working ? this.main.kind : "";
    },
    get main() {
      return (this.isPlace && this.placeMain) || mainAction(this.phase, this.state, this.alone);
    },
    get upNext() {
      return nextWords(this.checklist, this.state.phase);
    },
    get bar() {
      return timeBar(this.phase.usual_s, this.elapsed);
    },
    get isOver() {
      return this.elapsed !== null && this.elapsed > this.phase.usual_s[1];
    },
    get clockWords() {
      return this.elapsed === null ? "–:––" : clock(this.elapsed);
    },
    // While a place is read there is no room for more of its time.
    get headTime() {
      return this.phase && this.isOver ? `${this.clockWords} over` : this.clockWords;
    },
    get usualWords() {
      return this.isOver ? `${roughly(this.elapsed - this.phase.usual_s[1])} over, ${usually(this.phase.usual_s)}` : usually(this.phase.usual_s);
    },
    get heldWords() {
      return clock(this.held || 0);
    },
    get picture() {
      return pictureOf(record.page.pictures[this.state.phase] || "");
    },
    get pictureWords() {
      return `How it should look now: ${plain(this.phase.title)}.`;
    },
    get which() {
      const numbers = this.state.garments.length ? this.state.garments : record.page.opening.garments;
      if (!numbers.length) return this.section.title;
      const words = garmentsNamed(numbers);
      const count = numbers.length === 1 ? ` of ${this.job.garment_count}` : "";
      return capital(words) + count;
    },
    get about() {
      const sizes = [...new Set(record.page.garments.map((garment) => garment.size))].join(", ");
      const front = this.section.front && this.section.front !== "whole" ? `${this.section.front} front` : "";
      const title = front || (record.page.opening.garments.length ? this.section.title : "the whole job");
      const name = record.page.garments.length === 1 ? record.page.garments[0].name || "" : "";
      const again = record.page.attempt > 1 ? "again" : "";
      return [sizes, title, name, again].filter(Boolean).join(" · ");
    },
    // A stitch for each phase: sewn behind, a chalk mark at the needle, pin-pricks ahead.
    drawStitches(host) {
      const { phase } = this.state;
      const { phases } = this.checklist;
      if (host.childElementCount !== phases.length) host.replaceChildren(...phases.map(() => document.createElement("i")));
      [...host.children].forEach((stitch, at) => {
        const look = at < phase ? "is-sewn" : at === phase ? "is-here" : "is-ahead";
        if (stitch.className !== look) stitch.className = look;
      });
    },
    get progressWords() {
      const { length } = this.checklist.phases;
      return `${Math.min(this.state.phase + 1, length)} of ${length}`;
    },
  };
}
