// What was tapped and is not in the database yet, in localStorage: written within the tap's own task, before anything
// can be painted or fail. All rows of one tap lie under one key, so that a tap is there whole or not at all, and no key
// is ever shared by two tabs. Where there is no database this is all the tablet has, and rows stay here till answered.

import { Trouble } from "./store.js";

const TAP = "floor.tap.";
const ORDER = "floor.order"; // no order of tapping above this was given yet
const NUMBER = "floor.number."; // the highest number that was stamped here, by device

const keyOf = new Map(); // a row's id -> the key that holds it
const rowsAt = new Map(); // key -> its rows

/** Keeps the rows of one tap. Throws Trouble when the browser keeps nothing. */
export function keep(rows) {
  const key = TAP + rows[0].event.id;
  write(key, JSON.stringify(rows));
  remember(key, rows);
}

/** Whether this row lies here. */
export const holds = (id) => keyOf.has(id);

/** These rows are safe elsewhere. */
export function release(ids) {
  for (const key of keysOf(ids)) {
    const rest = rowsAt.get(key).filter((row) => !ids.includes(row.event.id));
    for (const id of ids) keyOf.delete(id);
    if (rest.length > 0) rewrite(key, rest);
    else forget(key);
  }
}

/** A row that lies here has changed, its stamp or its verdict. */
export function change(rows) {
  for (const row of rows) {
    const key = keyOf.get(row.event.id);
    if (key) rewrite(key, rowsAt.get(key).map((one) => (one.event.id === row.event.id ? row : one)));
  }
}

/** Rows that were numbered while the database failed: one that lies nowhere here is kept here from now on. */
export function keepStamps(rows) {
  change(rows);
  for (const row of rows.filter((one) => !holds(one.event.id))) {
    remember(TAP + row.event.id, [row]);
    tryWrite(TAP + row.event.id, JSON.stringify([row]));
  }
}

/** All rows that lie here, of every tab; from now on they are this tab's to release. */
export function readAll() {
  for (const key of keys()) remember(key, parsed(localStorage.getItem(key)));
  return [...rowsAt.values()].flat();
}

/** The rows that another tab wrote under this key just now; [] when it is none of ours or was taken away. */
export const rowsUnder = (key, text) => (key?.startsWith(TAP) ? parsed(text) : []);

/** A row that another tab may have left here; undefined when it has not. */
export function leftBehind(id) {
  return keys()
    .flatMap((key) => parsed(localStorage.getItem(key)))
    .find((row) => row.event.id === id);
}

export const orderMark = () => numberAt(ORDER);
export const setOrderMark = (order) => tryWrite(ORDER, order);
export const numberMark = (device) => numberAt(NUMBER + device);
export const setNumberMark = (device, number) => tryWrite(NUMBER + device, Math.max(number, numberMark(device)));

function remember(key, rows) {
  rowsAt.set(key, rows);
  for (const row of rows) keyOf.set(row.event.id, key);
}

function rewrite(key, rows) {
  rowsAt.set(key, rows);
  tryWrite(key, JSON.stringify(rows)); // what stays there then is older, and the server knows a repeat by its id
}

function forget(key) {
  rowsAt.delete(key);
  localStorage.removeItem(key);
}

function parsed(text) {
  try {
    return JSON.parse(text ?? "[]");
  } catch {
    return []; // half a row was never promised to anybody, and must not keep the whole ones from being read
  }
}

const keysOf = (ids) => new Set(ids.map((id) => keyOf.get(id)).filter(Boolean));

function keys() {
  try {
    return Object.keys(localStorage).filter((key) => key.startsWith(TAP));
  } catch {
    return []; // no localStorage: keep() has said so
  }
}

function write(key, value) {
  try {
    localStorage.setItem(key, value);
  } catch (cause) {
    const why = cause.name === "QuotaExceededError" ? "is full" : "is switched off";
    throw new Trouble(`This browser's small storage ${why}.`, cause);
  }
}

function tryWrite(key, value) {
  try {
    localStorage.setItem(key, String(value));
  } catch {
    return; // the database has the same mark; without either the server's ids still hold
  }
}

function numberAt(key) {
  try {
    return Number(localStorage.getItem(key) ?? 0) || 0;
  } catch {
    return 0;
  }
}
