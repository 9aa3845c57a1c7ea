// The tablet's first page: a ticket is scanned, typed or taken from the runs under way.

import { onChange } from "../sync.js";
import { component, compose, readPage } from "./page.js";
import { runNow, runWords } from "./job_view.js";
import { machines } from "./machine.js";
import { sheets } from "./sheets.js";
import { listenForScans, openTicket } from "./wedge.js";
import { who } from "./who.js";

const KEYS = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"; // of a ticket's code: no I, L, O or U, which look like others
const CODE_LENGTH = 6;
const LONGEST_TYPED = 300;

function homePage(page) {
  return {
    people: page.shop.people,
    runs: page.runs.map((run) => ({ run: run.run, words: runWords(run), now: runNow(run), job: run.job_title })),
    tickets: page.tickets,
    typed: page.error ? page.typed : "",
    error: page.error,
    keys: [...KEYS],
    unsent: 0,

    init() {
      onChange((sync) => {
        this.unsent = sync.unsent;
      });
      listenForScans(openTicket);
      document.addEventListener("keydown", (event) => this.heard(event));
      if (page.error) this.$nextTick(() => this.$refs.typed.select()); // what is typed next takes its place
      window.addEventListener("pageshow", (event) => (event.persisted ? window.location.reload() : null));
    },
    // Typing begins the code whatever has the focus; within a field the browser does it.
    heard(event) {
      if (event.ctrlKey || event.altKey || event.metaKey || event.defaultPrevented || this.sheet === "who") return;
      if (event.target.matches("input, textarea")) return;
      if (event.key.length === 1 && event.key !== " ") {
        event.preventDefault();
        this.press(event.key);
        if (!this.sheet) this.$refs.typed.focus();
      } else if (event.key === "Enter" && this.typed && event.target === document.body) {
        this.look();
      }
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

function home() {
  const page = readPage();
  return compose(homePage(page), who(), machines(page.shop), sheets());
}

component("home", home);
