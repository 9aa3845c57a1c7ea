// The run page's frame: paints the state from the record, emits taps, keeps time, hears what others did.

import { send, onChange } from "../sync.js";
import { lastThings } from "./event_words.js";
import { elapsedHere, heldFor, mainAction, nextWords, timeBar } from "./phase_view.js";
import { openTicket, listenForScans } from "./wedge.js";
import { stayAwake } from "./wake.js";
import { clock, garmentsNamed, plain, roughly, usually } from "./words.js";

const POLL_MS = 5000;
const REMIND_MS = 15000; // how long the last things done stay large after a reload or a wake
const DOUBLE_TAP_MS = 600; // the main button stays where it is when the phase changes: a second tap is a slip
// $refs would look from the button that was tapped, and that may be gone from the page by then.
const MOST_CROWDED = 2;
const wordsColumn = () => document.querySelector(".words");
const ENDED = ["finished", "scrapped", "sent back"];

export function frame(record) {
  let settledAt = 0;
  let reminded = 0;
  const told = new Set();
  return {
    state: record.replayed().state,
    elapsed: null,
    held: null,
    last: [],
    large: false,
    notice: "",
    unsent: 0,
    online: true,
    more: false,
    pictureFailed: false,
    job: record.page.job,
    section: record.page.section,
    checklist: record.page.checklist,
    catalogue: record.page.catalogue,
    people: record.page.shop.people,
    alone: record.page.shop.one_person,
    next: record.page.next,
    refusal: record.page.refusal,

    init() {
      this.paint();
      this.remind();
      onChange((sync) => this.heard(sync));
      setInterval(() => this.tick(), 1000);
      setInterval(() => this.poll(), POLL_MS);
      document.addEventListener("visibilitychange", () => this.woke());
      window.addEventListener("pageshow", (event) => (event.persisted ? this.woke() : null));
      window.addEventListener("resize", () => this.entered());
      listenForScans(openTicket);
      stayAwake();
      send();
    },

    // ---- what there is to see
    get phase() {
      return this.checklist.phases[this.state.phase] || null;
    },
    get ended() {
      return ENDED.includes(this.state.status);
    },
    get stillborn() {
      return this.state.status === "void";
    },
    get working() {
      return !this.ended && !this.stillborn && !this.blocking && !this.state.pause;
    },
    get blocking() {
      return this.state.problems.find((problem) => problem.blocking) || null;
    },
    get main() {
      return mainAction(this.phase, this.state, this.alone);
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
    get usualWords() {
      return this.isOver ? `${roughly(this.elapsed - this.phase.usual_s[1])} over, ${usually(this.phase.usual_s)}` : usually(this.phase.usual_s);
    },
    get heldWords() {
      return clock(this.held || 0);
    },
    get picture() {
      return record.page.pictures[this.state.phase] || "";
    },
    get pictureWords() {
      return `How it should look now: ${plain(this.phase.title)}.`;
    },
    get which() {
      const numbers = this.state.garments.length ? this.state.garments : record.page.opening.garments;
      if (!numbers.length) return this.section.title;
      const words = garmentsNamed(numbers);
      const count = numbers.length === 1 ? ` of ${this.job.garment_count}` : "";
      return words.slice(0, 1).toUpperCase() + words.slice(1) + count;
    },
    get about() {
      const sizes = [...new Set(record.page.garments.map((garment) => garment.size))].join(", ");
      const front = this.section.front && this.section.front !== "whole" ? `${this.section.front} front` : "";
      const title = front || (record.page.opening.garments.length ? this.section.title : "the whole job");
      const name = record.page.garments.length === 1 ? record.page.garments[0].name || "" : "";
      const again = record.page.attempt > 1 ? "again" : "";
      return [sizes, title, name, again].filter(Boolean).join(" · ");
    },
    get progress() {
      return this.checklist.phases.map((phase, index) => ({
        key: phase.key,
        state: index < this.state.phase ? "sewn" : index === this.state.phase ? "here" : "ahead",
      }));
    },
    get progressWords() {
      return `${Math.min(this.state.phase + 1, this.progress.length)} of ${this.progress.length}`;
    },
    get saved() {
      return this.unsent ? `${this.unsent} to send` : "saved";
    },

    // ---- taps
    // Records all facts of one tap, paints at once and sends behind. False, with the reason shown, if it cannot be.
    emit(...facts) {
      const before = this.state.phase;
      const reason = record.say(facts);
      this.notice = reason;
      this.large = false;
      this.paint();
      if (this.state.phase !== before) settledAt = performance.now();
      if (!reason) queueMicrotask(send);
      return !reason;
    },
    get unsettled() {
      return performance.now() - settledAt < DOUBLE_TAP_MS;
    },
    done() {
      if (!this.unsettled) this.emit(["done", {}]);
    },
    // The button that says what is wanted first also leads there.
    showMissing() {
      const { what } = this.main;
      if (what.what === "reading") this.choose(what.name);
      const place = wordsColumn().querySelector(".readings, .count, .check");
      if (place) place.scrollIntoView({ block: "nearest" });
    },
    goOn() {
      this.emit(["resume", {}]);
    },
    undoable: { can: false, why: "" },
    undo() {
      const { can, why } = this.undoable;
      if (!can) {
        this.notice = why;
        return;
      }
      // One tap may have told two facts; they go back together, newest first.
      const at = record.steps[record.steps.length - 1].event.at;
      const facts = [];
      for (let index = record.steps.length - 1; index >= 0; index -= 1) {
        const { event } = record.steps[index];
        if (event.at !== at || !record.isMine(event)) break;
        facts.push(["undo", { event: event.id }]);
      }
      this.emit(...facts);
    },

    // ---- keeping up
    paint() {
      const { state, steps, verdicts } = record.replayed();
      const moved = !this.phaseShown || this.phaseShown !== `${state.phase} ${state.status}`;
      record.steps = steps;
      this.state = state;
      this.last = lastThings(steps, this.checklist, this.catalogue);
      this.undoable = record.undoable();
      for (const event of record.setAside(verdicts)) {
        if (!told.has(event.id)) this.notice = `A tap did not count: ${verdicts[event.id].reason} This is how the run stands.`;
        told.add(event.id);
      }
      this.tick();
      if (moved) {
        this.phaseShown = `${state.phase} ${state.status}`;
        this.entered();
      } else {
        this.fit();
      }
    },
    phaseShown: "",
    entered() {
      this.pictureFailed = false;
      this.choose(null);
      const ahead = record.page.pictures[this.state.phase + 1];
      if (ahead) new Image().src = ahead;
      requestAnimationFrame(() => {
        if (!wordsColumn()) return;
        wordsColumn().scrollTop = 0;
        wordsColumn().parentElement.dataset.crowd = 0;
      });
      this.fit();
    },
    // What does not fit beside the picture goes below it, first the clock, then the cautions: the picture shrinks
    // before any text does. Measured in the frame that paints it, so nothing is seen to jump.
    fit() {
      requestAnimationFrame(() => {
        const words = wordsColumn();
        if (!words) return;
        const { dataset } = words.parentElement;
        // Within a phase it only grows: nothing moves back under a finger.
        while (words.scrollHeight > words.clientHeight + 2 && Number(dataset.crowd) < MOST_CROWDED) dataset.crowd = Number(dataset.crowd) + 1;
        this.scrolled();
      });
    },
    scrolled() {
      const words = wordsColumn();
      this.more = Boolean(words) && words.scrollHeight - words.scrollTop - words.clientHeight > 24;
    },
    showMore() {
      wordsColumn().scrollBy({ top: wordsColumn().clientHeight * 0.8 });
    },
    tick() {
      const now = Date.now() + record.offset;
      this.elapsed = elapsedHere(record.steps, now);
      this.held = heldFor(record.steps, now);
      if (this.large && Date.now() > reminded + REMIND_MS) this.large = false;
    },
    remind() {
      reminded = Date.now();
      this.large = record.steps.length > 1;
    },
    woke() {
      if (document.visibilityState !== "visible") return;
      this.remind();
      this.tick();
      this.poll();
    },
    heard(sync) {
      this.unsent = sync.unsent;
      this.online = sync.online;
      const reasons = record.dropRefused();
      if (!reasons.length) return;
      this.paint();
      this.notice = `The server could not take a tap: ${reasons[0]} This is how the run stands.`;
    },
    async poll() {
      if (document.visibilityState !== "visible") return;
      let answer;
      try {
        answer = await fetch(`/tablet/run/${record.page.run}.json`, { headers: { Accept: "application/json" } });
      } catch (unreachable) {
        return; // sync.js tells the operator that there is no connection
      }
      if (!answer.ok) return;
      record.take(await answer.json());
      this.next = record.page.next;
      this.refusal = record.page.refusal;
      this.people = record.page.shop.people;
      this.paint();
    },
  };
}
