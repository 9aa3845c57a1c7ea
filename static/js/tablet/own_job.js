// A job as this tablet knows it: what the server told of its runs, and what this tablet's own have come to since.

import { settle } from "../progress.js";

const OVER = ["finished", "scrapped", "sent back", "void"];

/** `bundle`: as held; `own`: this tablet's runs of the job (own_runs.js), which count where the server knows less.
 *  @returns {{bundle, terms, termsOf, facts, progress, lines}} `lines`: of the runs under way, the newest first. */
export function ownJob(bundle, own = []) {
  const termsOf = (facts) => (bundle.revisions[facts.revision] ?? bundle.revisions[bundle.revision]).terms;
  const terms = bundle.revisions[bundle.revision].terms;
  const newer = own.filter((run) => knowsMore(run, bundle));
  const replaced = new Set(newer.map(({ run }) => run));
  const facts = [...bundle.facts.filter(({ run }) => !replaced.has(run)), ...newer.map((run) => run.facts)];
  const progress = settle(terms, facts, termsOf);
  const going = newer.filter(({ facts: { run, status } }) => !OVER.includes(status) && !(run in progress.refusals));
  const lines = [...bundle.runs.filter(({ run }) => !replaced.has(run)), ...going.map((run) => lineOf(run, bundle.job))];
  lines.sort((a, b) => b.last_at - a.last_at);
  return { bundle, terms, termsOf, facts, progress, lines };
}

/** Whether this tablet has events of the run that the bundle was made without. What the server has refused, for another
 *  run's sake, is none of the job's runs. */
function knowsMore({ run, events, isPending, refusal }, bundle) {
  if (refusal) return false;
  const told = bundle.facts.find((facts) => facts.run === run);
  return isPending || !told || events.length > told.events;
}

/** A run under way as the first page and the job's page list it. */
function lineOf({ run, opening, checklist, replayed, facts, lastAt }, job) {
  const { phase, operator } = replayed.current;
  return {
    run,
    job_code: job.code,
    job_code_shown: job.code_shown,
    job_title: job.title,
    section: opening.section,
    title: checklist.title,
    garments: facts.garments,
    phase_title: checklist.phases[phase]?.title ?? "",
    phase,
    phase_count: checklist.phases.length,
    operator: operator || opening.operator,
    status: facts.status,
    opened_at: facts.opened_at,
    last_at: lastAt,
  };
}

/** What the server gives of a line. */
export const asListed = ({ last_at, ...line }) => line;
