// The run page's frame: paints the state from the record, emits taps, keeps time, hears what others did.

import { serverNow } from "../clock.js";
import { setOperator } from "../device.js";
import { triesOf } from "../place_in_run.js";
import { send } from "../sync.js";
import { lastThings } from "./event_words.js";
import { elapsedHere, heldFor } from "./phase_view.js";
import { afterPaint, still } from "./page.js";
import { refresh } from "./page_data.js";
import { pictureOf } from "./pictures.js";
import { stayAwake } from "./wake.js";

const POLL_MS = 5000;
const REMIND_MS = 15000; // how long the last things done stay large after a reload or a wake
const DOUBLE_TAP_MS = 600; // the main button stays where it is when the phase changes: a second tap is a slip

// One picture after the other into the browser's store, so that they are there when the network is not.
function fetchAhead([address, ...rest], life) {
  if (!address || life.ended) return;
  const picture = new Image();
  picture.onload = picture.onerror = () => fetchAhead(rest, life);
  picture.src = pictureOf(address);
}

export function frame(record, life) {
  let settledAt = 0;
  let reminded = 0;
  const told = new Set();
  return {
    state: still(record.state),
    elapsed: null,
    held: null,
    last: [],
    large: false,
    notice: "",
    pictureFailed: false,
    job: record.page.job,
    section: record.page.section,
    checklist: still(record.page.checklist),
    catalogue: still(record.page.catalogue),
    people: record.page.shop.people,
    alone: record.page.shop.one_person,
    next: record.page.next,
    refusal: record.page.refusal,

    init() {
      this.paint();
      this.remind();
      this.watchPhotos();
      this.watchKeeping((sync) => this.heard(sync));
      life.every(1000, () => this.tick());
      life.every(POLL_MS, () => this.poll());
      life.on(document, "visibilitychange", () => this.woke());
      life.on(window, "resize", () => this.refit());
      life.on(document, "keydown", (event) => {
        if (event.repeat && event.target.matches("button, a")) event.preventDefault(); // a key held down is one tap
      });
      stayAwake(life);
      afterPaint(() => fetchAhead(record.page.pictures.slice(this.state.phase), life));
      send();
    },

    // ---- taps
    // Records all facts of one tap, paints at once and sends behind. False, with the reason shown, if it cannot be.
    emit(...facts) {
      const before = this.state.phase;
      const reason = record.say(facts);
      this.notice = reason;
      this.large = false;
      const atTheButton = document.activeElement.matches(".foot .main");
      this.paint();
      if (this.state.phase !== before) settledAt = performance.now();
      if (atTheButton) this.$nextTick(() => this.keepFocus());
      if (!reason) afterPaint(() => this.sendOff());
      return !reason;
    },
    // The big button is another one in the next phase: whoever works by keys or a pedal stays at it. An answer is
    // never given by a key that was meant for the phase before.
    keepFocus() {
      const button = document.querySelector(".foot .main:not(.answer)");
      if (button && document.activeElement === document.body) button.focus({ preventScroll: true });
    },
    // At the end of a run only the server knows what can be started next.
    async sendOff() {
      await send();
      if (this.ended && !life.ended) await this.poll();
    },
    get unsettled() {
      return performance.now() - settledAt < DOUBLE_TAP_MS;
    },
    // The button stays where it is and says something else: a second tap is a slip here too.
    justChanged() {
      settledAt = performance.now();
    },
    done() {
      if (!this.unsettled) this.emit(["done", {}]);
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
      const { operator } = this.state;
      const isUndone = this.emit(...facts);
      if (isUndone && !this.stillborn && this.state.operator !== operator) setOperator(this.state.operator); // a hand-over taken back
    },

    // ---- keeping up
    paint() {
      const { state, steps } = record;
      const shown = `${state.phase} ${state.status} ${triesOf(state, state.phase).length}`;
      this.state = still(state);
      this.last = lastThings(steps, this.checklist, this.catalogue);
      this.undoable = record.undoable();
      const aside = record.setAside().filter(({ id }) => !told.has(id));
      for (const { id } of aside) told.add(id);
      if (aside.length) this.sayAside(aside);
      this.tick();
      if (this.phaseShown !== shown) {
        this.phaseShown = shown;
        this.entered();
      } else {
        this.fit();
      }
    },
    phaseShown: "",
    entered() {
      this.pictureFailed = false;
      this.choose(null);
      this.isTraced = false;
      this.doubt = null;
      this.refit();
    },
    tick() {
      const now = serverNow();
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
      const reasons = record.dropRefused();
      if (!reasons.length) {
        this.tellAside(sync.aside);
        if (sync.unsaved && this.unsavedTold !== sync.unsaved) this.notice = sync.unsaved;
        this.unsavedTold = sync.unsaved;
        return;
      }
      this.paint();
      this.notice = `The server could not take a tap: ${reasons[0]} This is how the run stands.`;
    },
    unsavedTold: "",
    async poll() {
      if (document.visibilityState !== "visible") return;
      const page = await refresh({ screen: "run", run: record.page.run });
      if (!page || life.ended) return; // sync.js tells the operator that there is no connection
      if (this.unsent) send(); // the server is back: no need to wait for the next try
      const isOther = record.take(page);
      this.keep("next", page.next);
      this.keep("people", page.shop.people);
      this.refusal = page.refusal;
      if (isOther) this.paint();
    },
    // Only what is different is painted anew.
    keep(name, value) {
      if (JSON.stringify(this[name]) !== JSON.stringify(value)) this[name] = value;
    },
  };
}
