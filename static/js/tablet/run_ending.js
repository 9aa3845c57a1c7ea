// When the run is over: its summary, and what comes next.

import { operator } from "../device.js";
import { go } from "./screens.js";
import { startRun } from "./start.js";
import { summarise } from "./summary_view.js";
import { garmentsNamed, minutes, plain, roughly } from "./words.js";

export function ending(record) {
  return {
    starting: false,

    get summary() {
      return this.ended ? summarise(this.checklist, record.steps, this.catalogue, null) : null;
    },
    get endWords() {
      const { garments } = record.page.opening;
      const which = garments.length ? `, ${garmentsNamed(garments)}` : "";
      if (this.state.status === "finished") return `${this.section.title}${which}: done`;
      if (this.state.status === "scrapped") return `Scrapped: ${garmentsNamed(this.state.scrapped)}`;
      const back = this.checklist.earlier.find(([key]) => key === this.state.sent_back);
      return `Sent back: ${plain(back ? back[1] : this.state.sent_back)} is done again`;
    },
    get tookWords() {
      const { took } = this.summary;
      return took < 60 ? roughly(took) : `${minutes(took)} min`;
    },
    get againstWords() {
      const [low, high] = this.summary.usual;
      const usual = `usually ${minutes(low)} to ${minutes(high)} min for the steps it went through`;
      const { took } = this.summary;
      if (took > high) return `That is longer than usual: ${usual}.`;
      return took < low ? `That is quicker than usual: ${usual}.` : `That is as usual: ${usual}.`;
    },
    get awayWords() {
      const { away, rework } = this.summary;
      const parts = [];
      if (away >= 1) parts.push(`${roughly(away)} of pauses and problems are not counted`);
      if (rework >= 1) parts.push(`${roughly(rework)} were spent on doing steps again`);
      return parts.length ? `${parts.join("; ")}.` : "";
    },
    get nextWords() {
      return this.next ? plain(this.next.sentence) : "";
    },
    async startNext() {
      if (this.starting) return;
      this.starting = true;
      try {
        const { section, garments, first_piece } = this.next;
        const who = operator() || this.state.operator;
        const revision = this.next.revision || record.page.revision;
        const opening = { job: this.job.code, revision, section, garments: [...garments], first_piece, operator: who, cause: "" };
        const address = await startRun(opening, record.page.shop);
        go(address);
      } catch (refused) {
        this.notice = refused.message;
        this.starting = false;
        this.poll();
      }
    },
  };
}
