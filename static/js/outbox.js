// Events that the server has not answered for yet, and those that it refused. Kept in localStorage, each under a
// key of its own: two open tabs then never write over each other's. Nothing else touches this storage, so
// another store can take its place here.

import { deviceId, lastSeq, useSeq } from "./device.js";

const PENDING = "floor.outbox.";
const REFUSED = "floor.refused.";
const TRIED = "floor.tried"; // the highest number that was ever posted

/** Keeps the event at once; a second time is harmless. Its number is corrected, in place, when another event
 *  has it already. */
export function add(event) {
  if (localStorage.getItem(PENDING + event.id)) return event;
  const taken = pending().some((other) => other.seq === event.seq);
  if (taken || event.seq <= tried()) event.seq = highest() + 1;
  write(PENDING, { event, tried: false });
  useSeq(event.seq);
  return event;
}

/** Events in the order of their numbers, oldest first. */
export const pending = () => rows(PENDING).map((row) => row.event);

/** The oldest `limit` events, to be posted now. Whoever calls holds the lock between tabs: of two events that
 *  two tabs numbered alike, the one that was never posted gets a new number here. So does its device: two tabs
 *  opened at once on a new tablet may each have made an identity before the browser let one of them stand. */
export function takeBatch(limit) {
  for (const row of rows(PENDING)) {
    if (!row.tried && row.event.device !== deviceId()) {
      row.event.device = deviceId();
      write(PENDING, row);
    }
  }
  let last = 0;
  for (const row of rows(PENDING)) {
    if (!row.tried && (row.event.seq === last || row.event.seq <= tried())) {
      row.event.seq = highest() + 1;
      useSeq(row.event.seq);
      write(PENDING, row);
    } else {
      last = row.event.seq;
    }
  }
  const waiting = rows(PENDING);
  const stranger = waiting.findIndex((row) => row.event.device !== waiting[0].event.device);
  const batch = waiting.slice(0, stranger < 0 ? limit : Math.min(limit, stranger)); // a batch is of one device
  for (const row of batch.filter((one) => !one.tried)) write(PENDING, { ...row, tried: true });
  if (batch.length > 0) {
    localStorage.setItem(TRIED, String(Math.max(tried(), batch.at(-1).event.seq)));
  }
  return batch.map((row) => row.event);
}

/** The server has these: they need not be sent again. */
export function acknowledge(ids) {
  for (const id of ids) localStorage.removeItem(PENDING + id);
}

/** The server will never take this one; it is kept apart, with the sentence that says why. */
export function refuse(event, reason) {
  write(REFUSED, { event, reason });
  localStorage.removeItem(PENDING + event.id);
}

/** [{event, reason}] of all that the server refused, oldest first. */
export const refused = () => rows(REFUSED);

/** Calls back when another tab has changed the outbox. */
export function onOtherTab(callback) {
  addEventListener("storage", ({ key }) => {
    if (key === null || key.startsWith(PENDING) || key.startsWith(REFUSED)) callback();
  });
}

const tried = () => Number(localStorage.getItem(TRIED) ?? 0);
const highest = () => Math.max(lastSeq(), tried(), ...pending().map((event) => event.seq));
const write = (prefix, row) => localStorage.setItem(prefix + row.event.id, JSON.stringify(row));

function rows(prefix) {
  return Object.keys(localStorage)
    .filter((key) => key.startsWith(prefix))
    .map((key) => JSON.parse(localStorage.getItem(key)))
    .sort((a, b) => a.event.seq - b.event.seq || a.event.at - b.event.at || (a.event.id < b.event.id ? -1 : 1));
}
