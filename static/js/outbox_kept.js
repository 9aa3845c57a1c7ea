// Keeping the outbox: the database behind what is in memory, and what is wrong with it when something is.

import { serverNow } from "./clock.js";
import { deviceId, setDevice } from "./device.js";
import * as disk from "./outbox_disk.js";
import * as mirror from "./outbox_mirror.js";
import { forgetOldRows, oldRows } from "./outbox_old.js";
import * as rows from "./outbox_rows.js";
import { Trouble } from "./store.js";

const SAVE_AGAIN_MS = 5000;
const MOST_ANSWERED = 5000;
const LONGEST_ANSWERED_MS = 14 * 24 * 3600 * 1000;
const NO_DISK = "Taps are kept in this browser's small storage only, and are sent as soon as the server answers.";
const NOWHERE = "Some taps are kept nowhere but on this page: leave it open until they are sent.";

const unsavedIds = new Set();
const watchers = new Set();
let trouble = null; // why the database could not keep what it was given last
let timer = null;

/** Calls back when what is kept has changed. */
export const onKept = (callback) => watchers.add(callback);

/** {taps, sentence}: how many are not in the database yet, and what is wrong with it, "" when nothing is. */
export function unsaved() {
  const isNowhere = [...unsavedIds].some((id) => !mirror.holds(id));
  const sentence = trouble ? `${trouble.message} ${isNowhere ? NOWHERE : NO_DISK}` : "";
  return { taps: unsavedIds.size, sentence };
}

/** Keeps the rows of one tap: in localStorage before it returns, in the database as soon as the tap could be painted.
 *  Throws Trouble when neither can. */
export function keep(fresh) {
  let isMirrored = true;
  try {
    mirror.keep(fresh);
  } catch (full) {
    isMirrored = false;
    // While the database is well it will do, and unsaved() counts them till it has said so.
    if (trouble) throw new Trouble(`This tap is kept nowhere and does not count. ${trouble.message} ${full.message}`, full);
  }
  for (const row of fresh) {
    rows.place("outbox", row);
    unsavedIds.add(row.event.id);
  }
  if (isMirrored) setTimeout(save, 0, fresh);
  else save(fresh);
}

/** Runs what writes to the database; false when it could not. The rest of the outbox goes on without. */
export async function withDisk(work) {
  try {
    await work();
    trouble = null;
  } catch (failure) {
    trouble = failure;
  }
  for (const callback of watchers) callback();
  return !trouble;
}

/** These rows need nothing but the database any more, or are nobody's. */
export function isSafe(ids) {
  mirror.release(ids);
  for (const id of ids) unsavedIds.delete(id);
}

export const isUnsaved = (id) => unsavedIds.has(id);

async function save(list) {
  const isKept = await withDisk(async () => {
    await persist(list);
    isSafe(list.map((row) => row.event.id));
  });
  if (!isKept) timer ??= setTimeout(saveAgain, SAVE_AGAIN_MS);
}

async function persist(list) {
  await disk.save(list.filter((row) => !row.verdict));
  await disk.move(list.filter((row) => row.verdict).map((row) => ["refused", row]), { strict: true });
}

function saveAgain() {
  timer = null;
  save([...unsavedIds].map(rows.find).filter(Boolean));
}

/** All that was ever tapped here comes into memory: from localStorage at once, then from the database, which stands
 *  before it. */
export async function open() {
  const old = takeOver();
  for (const row of mirror.readAll()) placeUnsaved(row);
  const isKept = await withDisk(async () => {
    setDevice(await disk.settleDevice(deviceId()));
    await disk.readAll((where, row) => {
      if (where === "outbox" && rows.find(row.event.id)?.stamp && !row.stamp) return; // numbered while the disk failed
      rows.place(where, row);
      isSafe([row.event.id]);
    });
    await forgetStale();
    const left = [...unsavedIds].map(rows.find);
    await persist(left);
    isSafe(left.map((row) => row.event.id));
    forgetOldRows();
  });
  if (!isKept) keepWithoutDisk(old);
}

/** What lay in the old storage goes where the mirror's rows lie, which can be let go one by one. */
function keepWithoutDisk(old) {
  timer ??= setTimeout(saveAgain, SAVE_AGAIN_MS);
  try {
    for (const row of old) mirror.keep([row]);
    forgetOldRows();
  } catch (full) {
    trouble = full; // the old rows stay where they are
  }
}

/** Answered rows are let go when they are old or too many: the oldest first. */
export async function forgetStale() {
  const answered = rows.rowsIn("answered").sort((a, b) => b.answered - a.answered);
  const oldest = serverNow() - LONGEST_ANSWERED_MS;
  const stale = answered.filter((row, at) => at >= MOST_ANSWERED || row.answered < oldest).map((row) => row.event.id);
  if (stale.length === 0) return;
  await disk.forget(stale);
  for (const id of stale) rows.remove(id);
}

/** The rows that Floor 0.3 left here. */
function takeOver() {
  const { waiting, refused, number } = oldRows();
  const old = [...waiting, ...refused.map((row) => ({ ...row, verdict: "refused" }))];
  for (const row of old) placeUnsaved(row);
  if (number > 0) mirror.setNumberMark(deviceId(), number);
  return old;
}

function placeUnsaved(row) {
  rows.place(row.verdict ? "refused" : "outbox", row);
  unsavedIds.add(row.event.id);
}
