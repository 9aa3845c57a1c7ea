// The pages as the server would give them, made on the tablet from what it holds: floor/queries/tablet*.py, once more.
// `held`: what all pages need, {shop, catalogue, demo}; `known`: the job with this tablet's own runs counted in.

import { loadSections, nextSection, openJobSection } from "../progress.js";
import { nextLoad, onceOver } from "./next_load.js";
import { numbered } from "./numbered.js";
import { asListed } from "./own_job.js";

const always = (held, now) => ({ server_time: now, demo: held.demo });

/** `lines`: of all jobs held. `tickets`, `has_jobs`: as the newest first page from the server had them. */
export function homePage(held, lines, { tickets, has_jobs }, now) {
  const runs = [...lines].sort((a, b) => b.last_at - a.last_at).map(asListed);
  return { screen: "home", shop: held.shop, error: "", typed: "", has_jobs, runs, tickets, ...always(held, now) };
}

export function jobPage(held, known, chosen, now) {
  const { bundle, terms, progress } = known;
  const { code } = bundle.job;
  return {
    screen: "job",
    shop: held.shop,
    job: {
      ...jobLine(known),
      due: bundle.job.due,
      revision: bundle.revision,
      finished: Object.values(progress.garments).filter(({ finished }) => finished).length,
      load_size: terms.load_size,
    },
    sections: terms.sections.map((section) => ({ ...section, ...standingOfJob(progress, section) })),
    garments: terms.garments.map((garment) => garmentRow(progress, garment)),
    approval: approvalSentence(progress),
    first_piece: { owed: progress.approval_owed, garments: progress.first_piece },
    next: nextLoad(progress, chosen),
    runs: known.lines.map(asListed),
    redo_causes: held.catalogue.redo_causes,
    picture: `/tablet/picture/${code}/${bundle.revision}/closed.svg`,
    chosen: terms.garments.some(({ number }) => number === chosen) ? chosen : null,
    ...always(held, now),
  };
}

/** `own`: the run (own_runs.js); `kept`: its page as the server gave it last, null where it never did. */
export function runPage(held, known, own, kept, now) {
  const { run, opening, checklist, events } = own;
  const { bundle } = known;
  const { terms, seams } = bundle.revisions[opening.revision];
  const loaded = opening.garments.map((number) => terms.garments.find((one) => one.number === number));
  const size = (loaded[0] ?? terms.garments[0]).size;
  const address = `/tablet/picture/${bundle.job.code}/${opening.revision}/${opening.section}`;
  const query = `?size=${size}&load=${Math.max(1, loaded.length)}&first=${Number(opening.first_piece)}`;
  const judges = checklist.phases.some(({ place }) => place?.kind === "set");
  const { title, place, front } = checklist;
  return {
    ...kept,
    screen: "run",
    shop: held.shop,
    run,
    job: jobLine(known),
    revision: opening.revision,
    section: { key: opening.section, title, place, front },
    garments: loaded,
    attempt: known.progress.attempts[run] ?? 1,
    cause: opening.cause,
    opening,
    refusal: known.progress.refusals[run] ?? kept?.refusal ?? "",
    too_late: kept?.too_late ?? {},
    checklist,
    events: events.filter(({ id }) => !own.pending.has(id)), // the page adds those from the outbox itself
    catalogue: held.catalogue,
    pictures: checklist.phases.map((_, index) => `${address}/${index}.svg${query}`),
    seams: judges ? Object.fromEntries(loaded.map((one) => [one.size, seams[one.size]])) : {},
    next: nextLoad(onceOver(known, run, own.lastAt, checklist), opening.garments[0] ?? null),
    job_address: `/T/${bundle.job.code}`,
    ...always(held, now),
  };
}

function jobLine({ bundle, terms }) {
  const { code, code_shown, title, customer } = bundle.job;
  return { code, code_shown, title, customer, garment_count: terms.garments.length };
}

function standingOfJob(progress, section) {
  const { job_done: done, job_under_way: going } = progress;
  if (section.scope !== "job") return { state: "later", run: null };
  if (section.key in done) return { state: "done", run: done[section.key] };
  if (section.key in going) return { state: "under way", run: going[section.key] };
  return { state: openJobSection(progress)?.key === section.key ? "next" : "later", run: null };
}

function garmentRow(progress, { number, size, name }) {
  const garment = progress.garments[number];
  const { finished, scraps, awaits_restart } = garment;
  const cells = loadSections(progress.terms).map(({ key }) => ({
    section: key,
    ...standing(progress, garment, key),
    attempt: garment.attempts[key] ?? 0,
  }));
  return { number, size, name, finished, scraps, awaits_restart, cells };
}

function standing(progress, garment, key) {
  if (garment.under_way && garment.under_way_section === key) return { state: "under way", run: garment.under_way };
  if (key in garment.done) return { state: "done", run: garment.done[key] };
  const isNext = nextSection(progress, garment.number)?.key === key && !garment.under_way;
  return { state: isNext ? "next" : "later", run: null };
}

/** Why the batch waits; "" when it does not, or when nothing has begun yet. */
function approvalSentence({ approval_owed, first_piece }) {
  if (!approval_owed || !first_piece.length) return "";
  return `The batch waits until the first piece, ${numbered("garment", first_piece)}, is approved.`;
}
