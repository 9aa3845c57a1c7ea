// The pages that the screens are made of: from the server, or from what this tablet keeps, with its own runs counted in.
// `where` is {screen: "home"}, {screen: "job", code, garment}, {screen: "run", run} or {screen: "ticket", typed}. A page
// is the server's JSON and `from`: "server", or "kept" where it was made here.

import { serverNow } from "../clock.js";
import { pending, ready as outboxReady } from "../outbox.js";
import { get, put } from "../store.js";
import { send, status } from "../sync.js";
import { ask } from "./asking.js";
import { heldForAll, hold, ready as heldReady } from "./held.js";
import { keepRun, keptPage } from "./kept_runs.js";
import { part } from "./parts.js";
import { readPictures } from "./pictures.js";
import { CodeMistyped, readCode, readTicket } from "./tickets.js";

const PATIENCE_MS = 8000;
const PATIENCE_WITH_KEPT_MS = 3000; // as long as a page that is kept may wait for a newer one
const SENDING_MS = 1500;
const HOME = "home"; // in the store "pages"

const NOT_KEPT = {
  home: "The server does not answer, and this tablet has not reached it yet. Try again in a moment.",
  job: "The server does not answer, and that job is not kept on this tablet. Try again once the server is back.",
  run: "The server does not answer, and that run is not kept on this tablet. Try again once the server is back.",
};

const ADDRESSES = {
  home: () => "/tablet/home.json",
  job: ({ code, garment }) => `/tablet/job/${encodeURIComponent(code)}.json${garment ? `?garment=${garment}` : ""}`,
  run: ({ run }) => `/tablet/run/${run}.json`,
};

/** There is no such page; the message is the sentence that says so. */
export class Missing extends Error {}

/** The page, from the server if it answers soon, else as it is kept. Throws Missing. */
export async function getPage(asked) {
  const where = meant(asked);
  await Promise.all([outboxReady, heldReady]);
  const kept = await ownPage(where);
  if (kept && (isOnlyHere(where) || isAway() || !(await isAllSent(where)))) return shown(kept);
  const answer = await ask(ADDRESSES[where.screen](where), kept ? PATIENCE_WITH_KEPT_MS : PATIENCE_MS);
  if (answer && !answer.error) return shown(andKept(answer));
  if (kept && !answer) return shown(kept);
  throw new Missing(answer ? answer.error.message : NOT_KEPT[where.screen]);
}

/** The page as the server has it now; null when it gives none, or has not heard all that was tapped here. */
export async function refresh(where) {
  if (isOnlyHere(where) || !(await isAllSent(where))) return null;
  const answer = await ask(ADDRESSES[where.screen](where), PATIENCE_WITH_KEPT_MS);
  return !answer || answer.error ? null : andKept(answer);
}

/** The page that came with the document: kept as any other that the server gave. */
export function came(page) {
  andKept(page);
  if (page.job) readPictures(page.job.code);
}

/** The page made here alone, of what is kept and was tapped; null where this tablet does not hold enough. */
export async function ownPage(where) {
  await Promise.all([outboxReady, heldReady]);
  const page = await MAKERS[where.screen](where);
  return page && { ...page, from: "kept" };
}

const MAKERS = {
  async home() {
    const last = (await get("pages", HOME).catch(() => null)) ?? null;
    if (!heldForAll()) return last;
    const { homePage, knownJobs } = await part("pages");
    const jobs = await knownJobs();
    const seen = last ?? { tickets: [], has_jobs: jobs.length > 0 }; // whoever came by a ticket never saw the first page
    const lines = jobs.flatMap((known) => known.lines);
    return homePage(heldForAll(), lines, seen, serverNow());
  },
  async job({ code, garment }) {
    const { jobPage, knownJob } = await part("pages");
    const known = await knownJob(code);
    if (known?.bundle.removed_by) throw new Missing(removed(known.bundle));
    return known && jobPage(heldForAll(), known, garment, serverNow());
  },
  async run({ run }) {
    const { codeOfRun, knownJob, ownOf, runPage } = await part("pages");
    const kept = await keptPage(run);
    const known = await knownJob(await codeOfRun(run), run);
    const own = known && (await ownOf(run, known.bundle));
    return own ? runPage(heldForAll(), known, own, kept, serverNow()) : kept;
  },
};

const removed = ({ job, removed_by }) =>
  `${job.code_shown} "${job.title}" was removed by ${removed_by}; a supervisor can put it back.`;

/** A ticket means a job. */
function meant(where) {
  if (where.screen === "run" || where.screen === "home") return where;
  try {
    if (where.screen === "ticket") return { screen: "job", ...readTicket(where.typed) };
    return { ...where, code: readCode(where.code) };
  } catch (wrong) {
    if (wrong instanceof CodeMistyped) throw new Missing(wrong.message);
    throw wrong;
  }
}

const isAway = () => !status().online;

/** Of a run the page itself counts in what is not sent; any other page of the server's would be without it. */
async function isAllSent(where) {
  if (where.screen === "run" || pending().length === 0) return true;
  if (!isAway()) await Promise.race([send(), new Promise((later) => setTimeout(later, SENDING_MS))]);
  return pending().length === 0;
}

/** A run that was begun here and has not reached the server. */
const isOnlyHere = ({ screen, run }) => screen === "run" && pending().some((event) => event.run === run && event.kind === "open");

/** What the server gave is kept for when it is away. */
function andKept(page) {
  if (page.screen === "home") put("pages", HOME, page).catch(() => null); // a full disk is told of where taps are kept
  if (page.screen === "run") keepRun(page);
  if (page.screen !== "home") hold(page.job.code).catch(() => null);
  return { ...page, from: "server" };
}

async function shown(page) {
  if (page.job) await readPictures(page.job.code);
  return page;
}
