// What was tapped here and what became of it: what pages ask. A tap is in this page's memory at once and in
// localStorage before add() returns (outbox_mirror.js), then strictly in the tablet's database (outbox_disk.js), and
// stays till the server has answered for it. Answered events are kept a while: the server may have been set back to a
// backup, and a run is replayed from them while it is away.

import { mark } from "./clock.js";
import * as disk from "./outbox_disk.js";
import { isSafe, isUnsaved, keep, onKept, open, unsaved, withDisk } from "./outbox_kept.js";
import * as mirror from "./outbox_mirror.js";
import * as rows from "./outbox_rows.js";
import { timesOf } from "./outbox_times.js";
import { hear, tell } from "./tabs.js";

export { unsaved };
export { addPhoto, photoSent, photosHere, photosPending, photosWait } from "./outbox_photos.js";

const ORDERS_AT_ONCE = 1000; // of tapping, reserved in one write

const changed = new Set();
let reserved = mirror.orderMark();
let isTelling = false;

rows.orderFrom(reserved);

/** Resolves when all that was ever tapped here is in memory, with a database or without. Never rejects. */
export const ready = open().then(tellChange);

/** Keeps one tap's event {id, run, kind, phase, at, data}; see addAll. */
export const add = (event) => addAll([event])[0];

/** Keeps the events of one tap, all or none; a second time is harmless. Returns them as they stand till they are
 *  numbered. Throws Trouble, one sentence, when this browser can keep nothing: then it was not tapped. */
export function addAll(events) {
  const fresh = events.filter(({ id }) => !rows.find(id)).map(rowOf);
  if (fresh.length > 0) {
    keep(fresh);
    setTimeout(tell, 0, "rows", [["outbox", fresh]]);
    tellChange();
  }
  return rows.eventsOf(events.map(({ id }) => rows.find(id)));
}

/** Events that the server has not answered for, oldest first. */
export const pending = () => known(rows.waiting());

/** What this tablet still knows of a run: what is pending, and what was answered and is kept. Each has `offset_ms` and
 *  `adrift` as the server was told, or will be as far as can be known now. */
export const ofRun = (run) => known(rows.rowsOf(run));

/** [{event, reason}] of what the server refused, in the order of tapping. */
export const refused = () =>
  rows
    .rowsIn("refused")
    .sort((a, b) => a.order - b.order)
    .map((row) => ({ event: rows.eventsOf([row])[0], reason: row.reason }));

/** {verdict, reason} of an event that the server has answered for, else null. */
export function verdictOf(id) {
  const row = rows.find(id);
  return row?.verdict ? { verdict: row.verdict, reason: row.reason } : null;
}

/** [{id, run, reason}] of what the server set aside. */
export const setAside = () => rows.aside().map(({ event, reason }) => ({ id: event.id, run: event.run, reason }));

export const counts = () => ({ unsent: rows.count("outbox"), refused: rows.count("refused") });

/** Calls back, soon after, whenever anything of this has changed, in this tab or another. */
export const onChange = (callback) => changed.add(callback);

/** outbox_sending.js has moved rows, [[where, row]]: memory, mirror and the other tabs follow. */
export function moved(moves) {
  for (const [where, row] of moves) rows.place(where, row);
  tell("rows", moves.map(([where, row]) => [where, [row]]));
  tellChange();
}

function known(list) {
  const times = timesOf(list, { hopeful: true });
  return rows.eventsOf(list).map((event) => {
    const { offset_ms, adrift } = times.get(event.id);
    return { ...event, offset_ms, adrift };
  });
}

function rowOf({ id, run, kind, phase, at, data }) {
  const order = rows.nextOrder();
  if (order > reserved) mirror.setOrderMark((reserved = order + ORDERS_AT_ONCE));
  return { event: { id, run, kind, phase, at, data: plain(data) }, order, mark: mark(), stamp: null };
}

/** What a page watches for changes is no plain object, and the database takes nothing else. */
const plain = (data) => JSON.parse(JSON.stringify(data));

function takeFromOthers(told) {
  for (const [where, list] of told) {
    for (const row of list) {
      const before = rows.find(row.event.id);
      const isLate = where === "outbox" && before && (before.verdict || (before.stamp && !row.stamp));
      if (!isLate) rows.place(where, row);
    }
  }
  tellChange();
}

/** A tab that slept may have missed what the others told. */
async function lookAgain() {
  await withDisk(async () => {
    const kept = await disk.readWaiting();
    takeFromOthers([["outbox", kept]]);
    const there = new Set(kept.map((row) => row.event.id));
    const missed = rows.rowsIn("outbox").filter(({ event }) => !there.has(event.id) && !isUnsaved(event.id));
    for (const row of missed.filter(({ event }) => !mirror.leftBehind(event.id))) {
      const [where, found] = await disk.find(row.event.id);
      if (where) rows.place(where, found);
      else rows.remove(row.event.id); // answered by another tab, and let go since
      isSafe([row.event.id]);
    }
  });
}

function tellChange() {
  if (isTelling) return;
  isTelling = true;
  queueMicrotask(() => {
    isTelling = false;
    for (const callback of changed) callback();
  });
}

onKept(tellChange);
hear("rows", takeFromOthers);
addEventListener("storage", ({ key, newValue }) => {
  const told = mirror.rowsUnder(key, newValue);
  if (told.length > 0) takeFromOthers(told.map((row) => [row.verdict ? "refused" : "outbox", [row]]));
});
document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && lookAgain());
