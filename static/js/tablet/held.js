// The jobs that this tablet holds ahead of need, with their pictures: fetched on load, now and then, and after taps
// were sent, so that a job opens, starts and ends its runs when no server answers. In memory and in the store "held":
//   "all"            what every page needs: {shop, catalogue, demo}
//   "job CODE"       a job's bundle               "pictures CODE"   {stamp, of: revision -> pictures}

import { alone } from "../alone.js";
import { pending } from "../outbox.js";
import { get, keys, many } from "../store.js";
import { onChange as onSync } from "../sync.js";
import { hear, tell } from "../tabs.js";
import { ask } from "./asking.js";

const EVERY_MS = 5 * 60 * 1000;
const AFTER_SENDING_MS = 3000;
const PATIENCE_MS = 15000; // nobody waits for these
const BUNDLE = "job ";
const PICTURES = "pictures ";

const bundles = new Map();
let all = null;

/** Resolves when what was held before is in memory; without a database nothing was. Never rejects. */
export const ready = read().catch(() => null);

/** What every page needs; null before this tablet has reached a server. */
export const heldForAll = () => all;
export const bundleOf = (code) => bundles.get(code) ?? null;
export const heldCodes = () => [...bundles.keys()];

/** The job as the server has it now, if it answers in time, else as it is held; null when neither. Held from now on. */
export async function freshBundle(code, patienceMs) {
  const found = await ask(`/tablet/held/${code}.json`, patienceMs);
  if (found?.revisions && found.stamp !== bundles.get(code)?.stamp) await keep([[BUNDLE + code, found]]);
  return found?.revisions ? found : bundleOf(code);
}

/** Holds a job that was opened here though it is none of those to be held. */
export async function hold(code) {
  await ready;
  if (bundles.has(code)) return;
  await freshBundle(code, PATIENCE_MS);
  await keepPictures(code, null);
}

/** Brings all that is held up to date; resolves to whether the server answered for all of it. */
export const keepUp = () => alone("floor.held", keepAllUp);

async function keepAllUp() {
  await ready;
  const told = await ask("/tablet/held.json", PATIENCE_MS);
  if (!told?.jobs) return false;
  const { jobs, ...rest } = told;
  await keep([["all", rest]]);
  let isWhole = true;
  for (const { code, stamp, pictures } of jobs) {
    const isFresh = bundles.get(code)?.stamp === stamp || (await freshBundle(code, PATIENCE_MS)) !== null;
    const isDrawn = await keepPictures(code, pictures);
    isWhole &&= isFresh && isDrawn;
  }
  await letGo(new Set(jobs.map(({ code }) => code)));
  return isWhole;
}

/** `stamp`: of those that the server has, null where nothing told it: then any that are held will do. */
async function keepPictures(code, stamp) {
  const held = await get("held", PICTURES + code);
  if (held && (stamp === null || held.stamp === stamp)) return true;
  const found = await ask(`/tablet/held/${code}/pictures.json`, PATIENCE_MS);
  if (!found || found.error) return false;
  await keep([[PICTURES + code, { stamp, of: found }]]);
  return true;
}

/** Drops what is over, never a job with runs that the server has not heard all of. */
async function letGo(wanted) {
  const open = pending().filter(({ kind }) => kind === "open");
  const unsent = new Set(pending().map(({ run }) => run));
  const isNeeded = (code) =>
    wanted.has(code) ||
    open.some(({ data }) => data.job === code) ||
    bundles.get(code).facts.some(({ run }) => unsent.has(run));
  const over = heldCodes().filter((code) => !isNeeded(code));
  await keep(over.flatMap((code) => [[BUNDLE + code], [PICTURES + code]]));
}

/** Writes [key, value], without a value deletes, then has memory and the other tabs follow. */
async function keep(entries) {
  if (entries.length === 0) return;
  take(entries);
  await many(entries.map(([key, value]) => ({ store: "held", key, value }))).catch(() => null); // memory has it
  tell("held", entries.map(([key]) => key));
}

function take(entries) {
  for (const [key, value] of entries) {
    if (key === "all") all = value;
    else if (key.startsWith(BUNDLE) && value) bundles.set(key.slice(BUNDLE.length), value);
    else if (key.startsWith(BUNDLE)) bundles.delete(key.slice(BUNDLE.length));
  }
}

async function read() {
  const found = (await keys("held")).filter((key) => !key.startsWith(PICTURES));
  await readAgain(found);
}

async function readAgain(which) {
  take(await Promise.all(which.map(async (key) => [key, await get("held", key)])));
}

let unsent = 0;
let soon = null;

/** To be called once the page stands: what is fetched ahead must not keep the first screen waiting. */
export function begin() {
  const now = () => keepUp().catch(() => false); // what could not be kept is tried again
  now();
  setInterval(() => document.visibilityState === "visible" && now(), EVERY_MS);
  addEventListener("online", now);
  hear("held", (which) => readAgain(which.filter((key) => !key.startsWith(PICTURES))).catch(() => null));
  onSync((sync) => {
    if (sync.unsent < unsent) {
      clearTimeout(soon);
      soon = setTimeout(now, AFTER_SENDING_MS);
    }
    unsent = sync.unsent;
  });
}
