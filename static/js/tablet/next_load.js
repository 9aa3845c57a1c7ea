// What the one big button proposes: as floor/queries/tablet_job.py's next_load gives it.

import { loadSections, nextSection, openJobSection, settle } from "../progress.js";
import { numbered } from "./numbered.js";

const OVER = ["finished", "scrapped", "sent back", "void"];

/** The job's own preparation, else the load that is furthest on; null: nothing. */
export function nextLoad(progress, chosen = null) {
  const owed = openJobSection(progress);
  if (owed) {
    if (owed.key in progress.job_under_way) return null;
    return { section: owed.key, title: owed.title, garments: [], first_piece: false, sentence: owed.title };
  }
  const ready = readyGarments(progress);
  if (!ready.length) return null;
  const keys = loadSections(progress.terms).map(({ key }) => key);
  const upcoming = ({ number }) => nextSection(progress, number);
  const further = (a, b) =>
    (a.number !== chosen) - (b.number !== chosen) ||
    keys.indexOf(upcoming(b).key) - keys.indexOf(upcoming(a).key) ||
    a.number - b.number;
  const lead = [...ready].sort(further)[0];
  const section = upcoming(lead);
  return { section: section.key, title: section.title, ...loadWith(progress, ready, lead, section) };
}

/** Before the first piece is approved only its own garments are sewn. */
function readyGarments(progress) {
  const held = progress.approval_owed && progress.first_piece.length > 0;
  return progress.terms.garments.filter(
    ({ number }) =>
      !progress.garments[number].under_way &&
      nextSection(progress, number) &&
      (!held || progress.first_piece.includes(number)),
  );
}

function loadWith(progress, ready, lead, section) {
  const { opens, load_size } = progress.terms;
  const others = ready.filter(
    (one) =>
      one.number !== lead.number &&
      nextSection(progress, one.number) === section &&
      (!opens || one.size === lead.size),
  );
  const load = [lead, ...others].slice(0, load_size);
  const numbers = load.map(({ number }) => number).sort((a, b) => a - b);
  const which = numbered("garment", numbers) + (load.length === 1 ? ` (${lead.size})` : "");
  return { garments: numbers, first_piece: progress.approval_owed, sentence: `${section.title}, ${which}` };
}

/** The job's progress as it will be once this run is finished, if it is not over yet. `known`: as ownJob has it. */
export function onceOver(known, run, lastAt, checklist) {
  const mine = known.facts.find((facts) => facts.run === run);
  if (!mine || OVER.includes(mine.status) || known.progress.refusals[run]) return known.progress;
  const asks = checklist.phases.some((phase) => phase.approval);
  const approvals = asks ? [[lastAt, null]] : mine.approvals;
  const over = { ...mine, status: "finished", ended_at: lastAt, approvals };
  return settle(known.terms, [...known.facts.filter((facts) => facts !== mine), over], known.termsOf);
}
