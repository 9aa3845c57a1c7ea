// What this tablet knows of its own runs beyond what a job's bundle tells: gathered from the outbox and the kept pages.

import { offset } from "../clock.js";
import { ofRun, pending } from "../outbox.js";
import { bundleOf, heldCodes, heldForAll } from "./held.js";
import { keptOf, keptPage, ready as keptReady } from "./kept_runs.js";
import { ownJob } from "./own_job.js";
import { dressed, openingOf, ownRun } from "./own_run.js";

const made = new Map(); // run -> {key, own}: a run of 60 taps is not replayed for every look at the job

/** The job with this tablet's own runs counted in, `run` among them; null where it is not held. */
export async function knownJob(code, run = null) {
  const bundle = bundleOf(code);
  if (!bundle || !heldForAll()) return null;
  await keptReady;
  const runs = new Set([...runsNewerThan(bundle), ...runsOpened(code), ...(run ? [run] : [])]);
  const own = await Promise.all([...runs].map((one) => ownOf(one, bundle)));
  return ownJob(bundle, own.filter(Boolean));
}

/** All jobs held, so. */
export async function knownJobs() {
  return (await Promise.all(heldCodes().map((code) => knownJob(code)))).filter(Boolean);
}

/** The job that a run belongs to, as far as this tablet can tell; "" where it cannot. */
export async function codeOfRun(run) {
  const kept = await keptPage(run);
  if (kept) return kept.job.code;
  const all = heldForAll();
  return (all && openingOf(ofRun(run), all.catalogue)?.job) ?? "";
}

/** One run with all that is known of it; null where this tablet has no checklist or no event of it. */
export async function ownOf(run, bundle) {
  const kept = await keptPage(run);
  const { shop, catalogue } = heldForAll();
  const told = kept?.events ?? [];
  const there = new Set(told.map(({ id }) => id));
  const mine = ofRun(run).filter(({ id }) => !there.has(id));
  const events = [...told, ...mine.map((event) => dressed(event, shop, offset()))];
  if (events.length === 0) return null;
  const waiting = new Set(pending().filter((event) => event.run === run).map(({ id }) => id));
  const key = JSON.stringify([events.map(({ id, offset_ms }) => [id, offset_ms]), [...waiting], bundle.revision, kept?.too_late]);
  if (made.get(run)?.key !== key) made.set(run, { key, own: ownRun(run, events, waiting, bundle, catalogue, kept) });
  return made.get(run).own;
}

/** Those whose kept page or outbox may hold more than the bundle was told: most do not, and need no reading. */
function runsNewerThan(bundle) {
  const told = new Map(bundle.facts.map((facts) => [facts.run, facts.events]));
  return keptOf(bundle.job.code)
    .filter(([run, { others }]) => !told.has(run) || ofRun(run).length + others > told.get(run))
    .map(([run]) => run);
}

/** Those that were opened here and not told yet. */
const runsOpened = (code) =>
  pending()
    .filter(({ kind, data }) => kind === "open" && data.job === code)
    .map(({ run }) => run);
