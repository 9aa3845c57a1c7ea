// The tablet's first page: a ticket is scanned, typed or taken from the runs under way.

import { untold } from "./elsewhere.js";
import { compose } from "./page.js";
import { refresh } from "./page_data.js";
import { runNow, runWords } from "./job_view.js";
import { keeping } from "./keeping.js";
import { machines } from "./machine.js";
import { shownPage } from "./screens.js";
import { sheets } from "./sheets.js";
import { openTicket } from "./wedge.js";
import { who } from "./who.js";

const KEYS = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"; // of a ticket's code: no I, L, O or U, which look like others
const CODE_LENGTH = 6;
const LONGEST_TYPED = 300;
const LOOK_AGAIN_MS = 15000; // other tablets begin and end runs too

const runsOf = (page) => page.runs.map((run) => ({ run: run.run, words: runWords(run), now: runNow(run), job: run.job_title }));

function homePage(page, life) {
  return {
    people: page.shop.people,
    runs: runsOf(page),
    tickets: page.tickets,
    hasJobs: page.has_jobs,
    isDemo: page.demo,
    typed: page.error ? page.typed : "",
    error: page.error,
    keys: [...KEYS],

    init() {
      this.watchKeeping();
      life.on(document, "keydown", (event) => this.heard(event));
      life.on(document, "visibilitychange", () => this.lookAgain());
      life.every(LOOK_AGAIN_MS, () => this.lookAgain());
      if (page.error) this.$nextTick(() => this.$refs.typed.select()); // what is typed next takes its place
    },
    async lookAgain() {
      if (document.visibilityState !== "visible") return;
      const now = await refresh({ screen: "home" });
      if (!now || life.ended) return;
      const { people, machines } = now.shop;
      const seen = { runs: runsOf(now), tickets: now.tickets, people, machines, hasJobs: now.has_jobs };
      for (const [name, value] of Object.entries(seen)) {
        if (JSON.stringify(this[name]) !== JSON.stringify(value)) this[name] = value; // nothing moves that has not changed
      }
    },
    // Typing begins the code whatever has the focus; within a field the browser does it.
    heard(event) {
      if (event.ctrlKey || event.altKey || event.metaKey || event.defaultPrevented || this.sheet === "who") return;
      if (event.target.matches("input, textarea")) return;
      if (event.key.length === 1 && event.key !== " ") {
        event.preventDefault();
        this.press(event.key);
        if (!this.sheet) this.$refs.typed.focus();
      } else if (event.key === "Enter" && this.typed && !event.target.closest("a, button")) {
        this.look();
      }
    },
    get asides() {
      return untold(this.sync.aside);
    },
    get asideWords() {
      const { length } = this.asides;
      if (!length) return "";
      return length === 1 ? `A tap made here did not count: ${this.asides[0].reason}` : `${length} taps made here did not count: ${this.asides[0].reason}`;
    },
    get asideAddress() {
      return this.asides.length ? `/tablet/run/${this.asides[0].run}` : "/tablet";
    },
    press(sign) {
      this.error = "";
      if (this.typed.length < LONGEST_TYPED) this.typed += sign;
    },
    erase() {
      this.typed = this.typed.slice(0, -1);
    },
    openKeys() {
      this.typed = "";
      this.error = "";
      this.open("keys");
    },
    get keyedWords() {
      const shown = this.typed.toUpperCase().padEnd(CODE_LENGTH, "·");
      return `${shown.slice(0, 3)} ${shown.slice(3)}`;
    },
    get complete() {
      return this.typed.trim().length >= CODE_LENGTH;
    },
    look() {
      if (this.typed.trim()) openTicket(this.typed.trim());
    },
  };
}

export function home(life) {
  const page = shownPage();
  return compose(homePage(page, life), keeping(life), who(), machines(page.shop), sheets());
}
