// The outbox's other side: what sync.js sends next, and what the server said of it. Whoever calls holds the lock between
// tabs (alone.js); numbers are given in one transaction all the same.

import { serverNow } from "./clock.js";
import { deviceId } from "./device.js";
import { moved } from "./outbox.js";
import * as disk from "./outbox_disk.js";
import { forgetStale, isSafe, isUnsaved, withDisk } from "./outbox_kept.js";
import * as mirror from "./outbox_mirror.js";
import * as rows from "./outbox_rows.js";
import { timesOf } from "./outbox_times.js";

const STALE_EVERY = 500;

const highest = new Map(); // device -> the highest number that this page knows of
let answeredSince = 0;

/**
 * The oldest events, at most `limit`, numbered and ready to be posted: {device, events, offset_ms, trip, adrift, times}; null
 * when none is waiting. One batch is of one device and one offset of its clock.
 */
export async function takeBatch(limit) {
  for (;;) {
    const chosen = alike(rows.waiting().slice(0, limit));
    if (chosen.length === 0) return null;
    const batch = await numbered(chosen);
    if (batch.length > 0) return dressed(batch);
  }
}

/** What the server said of events of a batch: [{id, verdict, reason}]. */
export async function settle(results, batch) {
  const moves = [];
  for (const { id, verdict, reason } of results) {
    const row = rows.find(id);
    if (!row || !rows.isIn("outbox", id)) continue; // another tab had the answer
    if (verdict === "again") moves.push(["outbox", { ...row, stamp: null }]);
    else if (verdict === "refused") moves.push(["refused", { ...row, verdict, reason }]);
    else moves.push(["answered", { ...row, verdict, reason, answered: serverNow(), sent: batch.times.get(id) }]);
  }
  await move(moves);
  answeredSince += moves.length;
  if (answeredSince > STALE_EVERY) {
    answeredSince = 0;
    await withDisk(forgetStale);
  }
}

/** The server has numbers of this device up to `newest`: no number below is given again. */
export async function raise(device, newest) {
  if (newest <= (highest.get(device) ?? 0)) return;
  highest.set(device, newest);
  mirror.setNumberMark(device, newest);
  await withDisk(() => disk.raiseNumber(device, newest));
}

/** Answered events of this device above `newest`: the server has them no more, it was set back. They go once more.
 *  Returns how many. */
export const sendAgainAbove = (device, newest) =>
  sendAgain((row) => row.stamp.device === device && row.stamp.seq > newest);

/** Numbers that the server never got: what is kept of them goes once more. Returns those that nobody has any more. */
export async function sendAgainOf(device, wanted) {
  const asked = new Set(wanted);
  const own = ({ stamp }) => stamp?.device === device && asked.has(stamp.seq);
  await sendAgain(own);
  const there = new Set(rows.rowsIn("outbox").filter(own).map(({ stamp }) => stamp.seq));
  return wanted.filter((seq) => !there.has(seq));
}

async function sendAgain(which) {
  const back = rows.rowsIn("answered").filter(which);
  await move(back.map(({ verdict, reason, answered, ...row }) => ["outbox", row]));
  return back.length;
}

/** The database first; where it fails memory and mirror go on without it. */
async function move(moves) {
  if (moves.length === 0) return;
  const isKept = await withDisk(() => disk.move(moves));
  const isDone = ([where]) => isKept || where === "answered";
  isSafe(moves.filter(isDone).map(([, row]) => row.event.id));
  mirror.change(moves.filter((one) => !isDone(one)).map(([, row]) => row));
  moved(moves);
}

/** The first rows that go together: of one device, and of one offset of its clock. */
function alike(list) {
  const times = timesOf(list);
  const key = (row) => `${rows.deviceOf(row)} ${times.get(row.event.id).offset_ms}`;
  const end = list.findIndex((row) => key(row) !== key(list[0]));
  return end < 0 ? list : list.slice(0, end);
}

/** Those rows that are still to be sent, with numbers. */
async function numbered(chosen) {
  let found = null;
  const device = deviceId();
  const above = Math.max(highest.get(device) ?? 0, mirror.numberMark(device));
  const left = (id) => isUnsaved(id) || Boolean(mirror.leftBehind(id));
  await withDisk(async () => {
    found = await disk.stamp(chosen, device, above, left);
    isSafe([...found.rows, ...found.moved.map(([, row]) => row)].map((row) => row.event.id));
  });
  found ??= withoutDisk(chosen, device, above);
  const given = found.rows.filter(({ stamp }) => stamp.device === device).map(({ stamp }) => stamp.seq);
  highest.set(device, Math.max(above, ...given));
  mirror.setNumberMark(device, highest.get(device));
  for (const id of found.gone) rows.remove(id);
  moved([...found.moved, ...found.rows.map((row) => ["outbox", row])]);
  return found.rows;
}

/** Numbers that the mirror keeps, since the database does not. */
function withoutDisk(chosen, device, above) {
  const copies = chosen.map((row) => ({ ...row }));
  disk.numbered(copies, device, above);
  mirror.keepStamps(copies);
  return { rows: copies, moved: [], gone: [] };
}

function dressed(batch) {
  const times = timesOf(batch);
  const first = times.get(batch[0].event.id);
  return {
    device: batch[0].stamp.device,
    events: rows.eventsOf(batch),
    offset_ms: first.offset_ms,
    trip: first.trip,
    adrift: batch.map(({ event }) => event.id).filter((id) => times.get(id).adrift),
    times,
  };
}
