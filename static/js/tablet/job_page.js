// The job page: the chart of garments, and the one big button.

import { compose } from "./page.js";
import { refresh } from "./page_data.js";
import { companions, doneCells, garment, jobSections, loadSections, proposal, rowsOf, runNow, runWords } from "./job_view.js";
import { keeping } from "./keeping.js";
import { part } from "./parts.js";
import { pictureOf } from "./pictures.js";
import { go, goAgain, shownPage, shownWhere } from "./screens.js";
import { sheets } from "./sheets.js";
import { who } from "./who.js";
import { day, garmentsNamed, plain } from "./words.js";

const LOOK_AGAIN_MS = 15000; // other tablets begin and end runs too

// What is shown of the page: all of it changes when the page is asked for again.
const shownOf = (page) => ({
  job: page.job,
  people: page.shop.people,
  rows: rowsOf(page),
  columns: loadSections(page),
  wholeJob: jobSections(page),
  approval: page.approval,
  runs: page.runs.map((run) => ({ run: run.run, words: runWords(run), now: runNow(run) })),
  causes: page.redo_causes,
  picture: pictureOf(page.picture),
});

function jobPage(life) {
  const where = shownWhere();
  let page = shownPage();
  return {
    ...shownOf(page),
    stamp: 0, // counts the pages that were taken: what is reckoned from one follows it
    load: page.chosen ? [page.chosen] : [],
    again: null,
    notice: "",
    busy: false,

    init() {
      this.watchKeeping();
      life.on(document, "visibilitychange", () => this.refreshed());
      life.every(LOOK_AGAIN_MS, () => this.refreshed());
      this.$nextTick(() => this.showChosen());
    },
    async refreshed() {
      if (document.visibilityState !== "visible" || this.busy || this.sheet) return;
      const now = await refresh({ screen: "job", code: this.job.code, garment: where.garment || null });
      if (!now || life.ended || this.busy || this.sheet) return;
      page = now;
      for (const [name, value] of Object.entries(shownOf(page))) {
        if (JSON.stringify(this[name]) !== JSON.stringify(value)) this[name] = value; // nothing moves that has not changed
      }
      this.stamp += 1;
    },
    lookAgain() {
      goAgain();
    },
    showChosen() {
      const row = document.getElementById(`garment-${page.chosen || (page.next && page.next.garments[0])}`);
      if (row) row.scrollIntoView({ block: "center" });
    },

    get dueWords() {
      return `due ${day(this.job.due)}`;
    },
    get countWords() {
      return `${this.job.finished} of ${this.job.garment_count} finished`;
    },
    get offer() {
      return this.stamp >= 0 ? proposal(page, this.load) : null;
    },
    get offerLead() {
      return { start: "Start: ", resume: "Go on: ", wait: "", finished: "" }[this.offer.kind];
    },
    get offerWords() {
      return this.offer.kind === "wait" || this.offer.kind === "finished" ? this.offer.sentence : plain(this.offer.sentence);
    },
    get offerNote() {
      if (!this.isReady) return "";
      const anew = (this.offer.garments || []).filter((number) => garment(page, number).awaits_restart);
      if (anew.length) return `a new blank for ${garmentsNamed(anew)}: the one before was scrapped`;
      if (!this.offer.first_piece) return "";
      return page.shop.one_person ? "the first piece: you approve it before the rest" : "the first piece: a supervisor approves it before the rest";
    },
    get isReady() {
      return Boolean(this.offer) && (this.offer.kind === "start" || this.offer.kind === "resume");
    },
    get allFinished() {
      return this.job.finished === this.job.garment_count;
    },
    isInLoad(number) {
      const inOffer = !this.load.length && this.offer && this.offer.garments;
      return this.load.includes(number) || Boolean(inOffer && this.offer.garments.includes(number));
    },
    choose(number) {
      this.load = this.load.length === 1 && this.load[0] === number ? [] : [number];
    },
    get one() {
      return this.load.length === 1 ? garment(page, this.load[0]) : null;
    },
    get redoable() {
      return this.load.length ? doneCells(page, this.load[0]) : [];
    },

    // ---- loads of several garments
    get several() {
      return this.job.load_size > 1 && this.loadChoices.length > 1;
    },
    get loadChoices() {
      const isStart = this.offer && this.offer.kind === "start" && this.offer.garments.length > 0;
      return isStart ? companions(page, this.offer.garments[0]) : [];
    },
    openLoad() {
      this.load = [...this.offer.garments];
      this.open("load");
    },
    toggle(number) {
      if (this.load.includes(number)) {
        if (this.load.length > 1) this.load = this.load.filter((one) => one !== number);
      } else if (this.load.length < this.job.load_size) {
        this.load = [...this.load, number].sort((a, b) => a - b);
      }
    },

    // ---- starting
    begin() {
      if (!this.isReady) return;
      if (this.offer.kind === "resume") {
        go(`/tablet/run/${this.offer.run}`);
        return;
      }
      this.start(this.offer, "");
    },
    openAgain() {
      this.again = null;
      this.open("again");
    },
    redo(cause) {
      const { section } = this.again;
      this.shut();
      const garments = [...this.load];
      this.start({ section, garments, first_piece: page.first_piece.owed }, this.causes[cause]);
    },
    async start({ section, garments, first_piece }, cause) {
      if (this.busy) return;
      if (!this.operator) {
        this.askWho(() => this.start({ section, garments, first_piece }, cause));
        return;
      }
      this.busy = true;
      this.notice = "";
      try {
        const { code, revision } = this.job;
        const opening = { job: code, revision, section, garments: [...garments], first_piece, operator: this.operator, cause };
        const { startRun } = await part("start");
        const address = await startRun(opening, page.shop);
        go(address);
      } catch (refused) {
        this.notice = `It was not started: ${refused.message}`;
        this.busy = false;
      }
    },
  };
}

export const job = (life) => compose(jobPage(life), keeping(life), who(), sheets());
