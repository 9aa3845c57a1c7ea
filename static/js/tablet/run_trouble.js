// Problems, going back, scrap, pause and notes.

import { find } from "./phase_view.js";
import { garmentsNamed, plain } from "./words.js";

const FIRST_SHOWN = 6; // with "more" that makes seven things to look at

export function trouble() {
  return {
    allKinds: false,
    allPhases: false,
    note: "",
    noteFor: "", // the kind of problem the note tells of; "" for a plain note
    back: null, // { to } or { section }, and its words
    lost: [], // garments to scrap

    // ---- problems
    get kinds() {
      const fits = (kind) => (kind.places.includes(this.phase.picture) ? 0 : 1);
      const all = Object.values(this.catalogue.problems);
      return all.map((kind, at) => [fits(kind), at, kind]).sort((a, b) => a[0] - b[0] || a[1] - b[1]).map((row) => row[2]);
    },
    get kindsShown() {
      return this.allKinds ? this.kinds : this.kinds.slice(0, FIRST_SHOWN);
    },
    openProblem() {
      this.allKinds = false;
      this.open("problem");
    },
    tell(kind) {
      if (kind.id === "other") {
        this.startNote("other");
        return;
      }
      this.shut();
      this.emit(["problem", { problem: kind.id, note: "" }]);
    },
    kindOf(problem) {
      return this.catalogue.problems[problem.kind];
    },
    get smallProblems() {
      return this.state.problems.filter((problem) => !problem.blocking);
    },
    // Putting a problem right, and what shall happen after it. A broken needle first asks for its fragments.
    putRight(problem, how = "put right", then = []) {
      if (problem.needs_fragments) {
        this.fragments = { problem: problem.event, how, then, missing: false, decision: "" };
        this.openWithAuthority("fragments");
        return;
      }
      this.emit(["cleared", { problem: problem.event, how }], ...then);
    },
    fragments: null,
    allFound() {
      const { problem, how, then } = this.fragments;
      this.shut();
      this.emit(["cleared", { problem, how, fragments: "all" }], ...then);
    },
    async fragmentsMissing() {
      const { problem, how, then, decision } = this.fragments;
      if (!decision.trim()) {
        this.authority.error = "Write what was decided about this garment and its neighbours.";
        return;
      }
      const token = await this.authorised();
      if (token === null) return;
      this.shut();
      this.emit(["cleared", { problem, how, fragments: "missing", decision, ...token }], ...then);
    },

    // ---- going back
    get phasesBehind() {
      const behind = this.checklist.phases.map((phase, index) => ({ index, title: phase.title, restart: phase.restart })).slice(0, this.state.phase + 1).reverse();
      const lines = behind.filter((phase) => phase.restart);
      return this.allPhases || !lines.length ? behind : lines.slice(0, 3);
    },
    get sectionsBehind() {
      return this.checklist.earlier.map(([key, title]) => ({ key, title }));
    },
    openBack() {
      this.back = null;
      this.allPhases = false;
      this.open("back");
    },
    backTo(phase) {
      this.back = { data: { to: phase.index }, words: plain(phase.title) };
    },
    backToSection(section) {
      this.back = { data: { section: section.key }, words: plain(section.title) };
    },
    goBack(cause) {
      const fact = ["redo", { cause, ...this.back.data }];
      const how = `went back: ${this.back.words}`;
      const [first, ...rest] = this.state.problems.filter((problem) => problem.blocking);
      this.shut();
      if (this.state.pause) this.emit(["resume", {}]);
      if (!first) this.emit(fact);
      else this.putRight(first, how, [...rest.map((one) => ["cleared", { problem: one.event, how }]), fact]);
    },

    // ---- scrap
    openScrap() {
      this.lost = this.state.garments.length === 1 ? [...this.state.garments] : [];
      this.open("scrap");
    },
    lose(number) {
      this.lost = this.lost.includes(number) ? this.lost.filter((one) => one !== number) : [...this.lost, number];
    },
    get lostWords() {
      return this.lost.length ? `Why is ${garmentsNamed(this.lost)} lost?` : "Choose the garment first.";
    },
    scrap(cause) {
      if (!this.lost.length) return;
      this.shut();
      this.emit(["scrap", { garments: [...this.lost], cause }]);
    },

    // ---- pause, notes, leaving a check out
    pause(reason) {
      this.shut();
      this.emit(["pause", { reason }]);
    },
    get pauseWords() {
      return this.state.pause ? this.catalogue.pause_reasons[this.state.pause] : "";
    },
    startNote(kind) {
      this.noteFor = kind;
      this.note = "";
      this.open("note");
    },
    keepNote() {
      const text = this.note.trim();
      if (!text) return;
      this.shut();
      this.emit(this.noteFor ? ["problem", { problem: this.noteFor, note: text }] : ["note", { text }]);
    },
    get omittable() {
      const open = this.state.missing.filter((one) => one.what === "check" && one.accept !== "nobody");
      return open.map((missing) => ({ missing, ask: find(this.phase, missing).ask }));
    },
  };
}
