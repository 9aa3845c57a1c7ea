// Opening a run, with or without a server: the tablet lays it out of what it holds of the job, and weighs whether it may
// exist by what it knows of the job's runs. What another tablet opens at the same time the server weighs afterwards.

import { now, offset, serverNow } from "../clock.js";
import { newId } from "../device.js";
import { add, ready as outboxReady } from "../outbox.js";
import { whyNotOpened } from "../progress.js";
import { send, status } from "../sync.js";
import { checklistOf } from "./checklist_of.js";
import { bundleOf, freshBundle, heldForAll, ready as heldReady } from "./held.js";
import { keepRun } from "./kept_runs.js";
import { machineOf } from "./machine.js";
import { runPage } from "./own_pages.js";
import { knownJob, ownOf } from "./own_runs.js";
import { openingOf } from "./own_run.js";

const PATIENCE_MS = 3000;
const PATIENCE_WITH_KEPT_MS = 1500;

/** The new run's address. `asked`: {job, section, garments, first_piece, operator, cause}; `shop`: as the page has it,
 *  whose hand and machine the run opens with. Throws an Error with one sentence when it cannot be; nothing is then kept
 *  of it. */
export async function startRun(asked, shop) {
  await Promise.all([outboxReady, heldReady]);
  const bundle = await newestBundle(asked.job);
  const known = bundle && (await knownJob(asked.job));
  if (!known) {
    throw new Error("This tablet does not hold the job yet, and the server does not answer; it can be started where it does.");
  }
  const event = openingEvent(asked, shop, known);
  refuseWhatCannotBe(event, known);
  add(event);
  await keepItsPage(event.run, known);
  send();
  return `/tablet/run/${event.run}`;
}

/** What other tablets began meanwhile is asked for, but not waited for long. */
function newestBundle(code) {
  const held = bundleOf(code);
  if (held && !status().online) return held;
  return freshBundle(code, held ? PATIENCE_WITH_KEPT_MS : PATIENCE_MS);
}

/** A run opens with the revision that this tablet holds. */
function openingEvent({ job, section, garments, operator, cause }, shop, { bundle, terms, progress }) {
  const ofLoad = terms.sections.find(({ key }) => key === section)?.scope === "load";
  const data = {
    job,
    revision: bundle.revision,
    section,
    garments,
    first_piece: ofLoad && progress.approval_owed,
    operator,
    cause: cause || "",
    hand: shop.hand,
  };
  if (machineOf(shop)) data.machine = machineOf(shop);
  // What a page watches is no plain object, and no database would take it.
  return { id: newId(), run: newId(), kind: "open", phase: 0, at: now(), data: JSON.parse(JSON.stringify(data)) };
}

function refuseWhatCannotBe({ run, data }, { bundle, terms, termsOf, facts }) {
  if (bundle.removed_by) throw new Error(`The job was removed by ${bundle.removed_by}; a supervisor can put it back.`);
  if (!openingOf([{ kind: "open", data }], heldForAll().catalogue)) {
    throw new Error("The opening cannot be read as it stands: look at the operator's name and the machine's.");
  }
  const opening = { ...data, run, opened_at: serverNow(), status: "working", ...UNTOUCHED };
  const refusal = whyNotOpened(terms, facts, opening, termsOf);
  if (refusal) throw new Error(refusal);
  const { revision, section, garments, first_piece, hand } = data;
  if (!checklistOf(bundle.revisions[revision], section, garments, first_piece, hand)) {
    throw new Error("This tablet has no checklist for such a load; it can be started where the server is reached.");
  }
}

const UNTOUCHED = { scrapped: [], scrapped_at: [], sent_back: "", ended_at: null, approvals: [] };

async function keepItsPage(run, { bundle }) {
  const known = await knownJob(bundle.job.code, run);
  const own = await ownOf(run, bundle);
  await keepRun(runPage(heldForAll(), known, own, null, own.events[0].at + offset()));
}
