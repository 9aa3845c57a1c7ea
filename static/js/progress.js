// A job's runs -> what each garment has behind it, and which run may exist: the tablet's reading of
// floor/domain/progress.py, whose docstrings say what the words mean; tests/vectors/progress.json holds both equal.
//
// Terms are {sections, garments, load_size, approval_needed, opens}; facts of a run are as factsOf (run_facts.js) and
// the server make them, each with the number of its `revision`.

import { hasBy, lostBy, overBy, stoodAt } from "./progress_moments.js";
import { whyNot } from "./progress_why.js";

const AFTER_ALL_MS = 1e15; // past every run's opening

export const loadSections = (terms) => terms.sections.filter((section) => section.scope === "load");

/** The section that this garment needs next; undefined when it is finished. */
export const nextSection = (progress, number) =>
  loadSections(progress.terms).find((section) => !(section.key in progress.garments[number].done));

/** The first section that the job as a whole still owes before any garment. */
export const openJobSection = (progress) =>
  progress.terms.sections.find((section) => section.scope === "job" && !(section.key in progress.job_done));

/** Weighs all runs of a job. `newest`: the terms of its newest revision; `termsOf`: those of a run's own. */
export function settle(newest, runs, termsOf = () => newest) {
  const fold = new Fold(newest, termsOf);
  const ordered = runs.filter((facts) => facts.status !== "void").sort(byOpening);
  for (const facts of ordered) {
    const refusal = whyNot(fold, facts);
    if (refusal) fold.refusals[facts.run] = refusal;
    else fold.take(facts);
  }
  fold.finish();
  const now = Math.max(0, ...fold.kept.map((facts) => facts.opened_at)) + AFTER_ALL_MS;
  return {
    terms: newest,
    garments: fold.garments,
    job_done: fold.job_done,
    job_under_way: fold.job_under_way,
    refusals: fold.refusals,
    attempts: fold.attempts,
    approval_owed: newest.approval_needed && !fold.approvedBy(now),
    first_piece: fold.firstPieceOf(now),
  };
}

/** Why a run with these facts may not be opened now, after all that `runs` did; "" when it may. */
export function whyNotOpened(newest, runs, facts, termsOf) {
  return settle(newest, [...runs, facts], termsOf).refusals[facts.run] ?? "";
}

const byOpening = (a, b) => a.opened_at - b.opened_at || (a.run < b.run ? -1 : 1);

class Fold {
  constructor(newest, termsOf) {
    this.newest = newest;
    this.termsOf = termsOf;
    this.garments = Object.fromEntries(newest.garments.map(({ number }) => [number, untouched(number)]));
    this.job_done = {};
    this.job_under_way = {};
    this.refusals = {};
    this.attempts = {};
    this.kept = [];
  }

  /** The garments whose approval the batch waits for: the first load that is not wholly scrapped. */
  firstPieceOf(moment) {
    for (const [at, facts] of this.kept.entries()) {
      if (!facts.first_piece) continue;
      const lost = new Set(this.kept.slice(at).flatMap((later) => lostBy(later, moment)));
      const alive = facts.garments.filter((number) => !lost.has(number));
      if (alive.length) return alive;
    }
    return [];
  }

  /** What ends later does not count, or a run would be refused today and spring to life tomorrow. */
  jobDid(section, moment) {
    return this.kept.some((f) => f.section === section && f.status === "finished" && overBy(f, moment));
  }

  approvedBy(moment) {
    return this.kept.some((facts) => stoodAt(facts.approvals, moment));
  }

  /** The run that had that garment in hand then. */
  holderOf(number, moment) {
    return this.kept.find((facts) => hasBy(facts, number, moment));
  }

  take(facts) {
    this.kept.push(facts);
    if (facts.garments.length) for (const number of facts.garments) this.#takeOne(facts, this.garments[number]);
    else this.#takeJobs(facts);
  }

  #takeJobs({ run, section, status }) {
    this.attempts[run] = this.kept.filter((facts) => facts.section === section).length;
    if (status === "finished") {
      this.job_done[section] = run;
      delete this.job_under_way[section];
    } else {
      this.job_under_way[section] = run;
    }
  }

  #takeOne(facts, garment) {
    const { run, section, status } = facts;
    const attempt = (garment.attempts[section] ?? 0) + 1;
    garment.attempts[section] = attempt;
    this.attempts[run] = Math.max(this.attempts[run] ?? 1, attempt);
    garment.awaits_restart = false;
    // Only then: another revision may have the fronts the other way round, and what it has already sewn would be
    // sewn twice.
    if (section in garment.done) this.#forgetFrom(garment, facts, section);
    if (facts.scrapped.includes(garment.number)) {
      Object.assign(garment, { done: {}, scraps: garment.scraps + 1, awaits_restart: true, under_way: null });
    } else if (status === "finished") {
      garment.done[section] = run;
      garment.under_way = null;
    } else if (status === "sent back") {
      this.#forgetFrom(garment, facts, facts.sent_back);
      garment.under_way = null;
    } else {
      Object.assign(garment, { under_way: run, under_way_section: section });
    }
  }

  /** A section done again makes what comes after it undone too, in the order of the run that does it again. */
  #forgetFrom(garment, facts, section) {
    const keys = loadSections(this.termsOf(facts)).map(({ key }) => key);
    if (keys.includes(section)) for (const key of keys.slice(keys.indexOf(section))) delete garment.done[key];
  }

  finish() {
    const keys = loadSections(this.newest).map(({ key }) => key);
    for (const garment of Object.values(this.garments)) {
      garment.finished = keys.length > 0 && keys.every((key) => key in garment.done);
    }
  }
}

const untouched = (number) => ({
  number,
  done: {}, // section key -> the run that did it, for this piece of cloth
  attempts: {}, // section key -> how often it was begun
  under_way: null,
  under_way_section: "",
  scraps: 0,
  awaits_restart: false,
  finished: false,
});

