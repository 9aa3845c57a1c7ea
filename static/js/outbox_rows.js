// The outbox's rows as this page has them in memory: what is waiting for an answer, answered, or refused. Nothing here
// touches a disk.
//
// A row: {event: {id, run, kind, phase, at, data}, order, mark, stamp, verdict, reason, answered, sent}
//   order     of tapping, in this browser          stamp    {device, seq} once it was numbered for sending, else null
//   mark      where in its clock (clock.js)        sent     {offset_ms, trip, known, piece, adrift} as told
//   verdict, reason, answered: what the server said, and when (ms); of rows that are no longer waiting

import { deviceId } from "./device.js";

/** An event without a number stands after all numbered ones, in the order of tapping. */
const UNNUMBERED = 2 ** 52;

const places = { outbox: new Map(), answered: new Map(), refused: new Map() };
const byRun = new Map();
const asides = new Map(); // of the answered ones, those that the server set aside
let highestOrder = 0;

/** Puts the row where it belongs now: "outbox", "answered" or "refused"; takes it out of where it was. */
export function place(where, row) {
  remove(row.event.id);
  places[where].set(row.event.id, row);
  highestOrder = Math.max(highestOrder, row.order);
  if (where === "answered" && row.verdict === "aside") asides.set(row.event.id, row);
  if (where === "refused") return; // what the server never takes is no part of its run
  if (!byRun.has(row.event.run)) byRun.set(row.event.run, new Map());
  byRun.get(row.event.run).set(row.event.id, row);
}

export function remove(id) {
  const row = find(id);
  if (!row) return;
  for (const map of [...Object.values(places), asides]) map.delete(id);
  const run = byRun.get(row.event.run);
  run?.delete(id);
  if (run?.size === 0) byRun.delete(row.event.run);
}

export const find = (id) => Object.values(places).map((map) => map.get(id)).find(Boolean);
export const isIn = (where, id) => places[where].has(id);
export const aside = () => [...asides.values()];
export const count = (where) => places[where].size;
export const rowsIn = (where) => [...places[where].values()];

/** Rows in the order in which the server has or will have them. */
export const waiting = () => inOrder(rowsIn("outbox"));
export const rowsOf = (run) => inOrder([...(byRun.get(run)?.values() ?? [])]);

export const nextOrder = () => (highestOrder += 1);
export const orderFrom = (order) => (highestOrder = Math.max(highestOrder, order));

export const seqOf = (row) => row.stamp?.seq ?? UNNUMBERED + row.order;
export const deviceOf = (row) => row.stamp?.device ?? deviceId();

/** Events as pages and the server know them. */
export function eventsOf(list) {
  const own = deviceId(); // asked for once: it lies in localStorage
  return list.map(({ event, order, stamp }) => {
    const { id, run, kind, phase, at, data } = event;
    return { id, run, device: stamp?.device ?? own, seq: stamp?.seq ?? UNNUMBERED + order, kind, phase, at, data };
  });
}

/** What was numbered under an older identity comes first: it was tapped before. */
function inOrder(list) {
  const own = deviceId();
  const isOwn = ({ stamp }) => Number(!stamp || stamp.device === own);
  return list.sort(
    (a, b) =>
      isOwn(a) - isOwn(b) || seqOf(a) - seqOf(b) || a.event.at - b.event.at || (a.event.id < b.event.id ? -1 : 1),
  );
}
