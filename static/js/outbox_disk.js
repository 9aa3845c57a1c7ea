// The outbox's rows in the tablet's database. Each function is one transaction that also looks at what other tabs have
// done meanwhile: a row is never put back that was answered, and never numbered twice.

import { all, change, many, some } from "./store.js";

const ROWS = ["outbox", "answered", "refused"];
const AT_ONCE = 200; // rows read in one go: more would hold the page up

/** Calls back with (where, row) for all that is kept. */
export async function readAll(found) {
  for (const where of ["outbox", "refused"]) for (const row of await all(where)) found(where, row);
  let last = null;
  do {
    const rows = await some("answered", last, AT_ONCE);
    for (const [, row] of rows) found("answered", row);
    last = rows.length === AT_ONCE ? rows.at(-1)[0] : null;
  } while (last !== null);
}

export const readWaiting = () => all("outbox");

/** [where, row] of an id; [] when nothing is kept of it. */
export const find = (id) =>
  change(ROWS, "readonly", (tx, give) => {
    give([]);
    whereKept(tx, id, (where, row) => where && give([where, row]));
  });

/** The identity of this tablet: the one that is kept, or `own`, which is kept from now on. */
export const settleDevice = (own) =>
  change(["meta"], "readwrite", (tx, give) => {
    const meta = tx.objectStore("meta");
    meta.get("device").onsuccess = ({ target }) => {
      if (!target.result) meta.put(own, "device");
      give(target.result ?? own);
    };
  });

/** Keeps what was tapped. A row that another tab has numbered, or had answered, stays as that tab has it. */
export const save = (rows) =>
  change(
    ROWS,
    "readwrite",
    (tx) => {
      for (const row of rows) {
        const { id } = row.event;
        whereKept(tx, id, (where, kept) => {
          const isNewer = !where || (where === "outbox" && row.stamp && !kept.stamp);
          if (isNewer) tx.objectStore("outbox").put(row, id);
        });
      }
    },
    true,
  );

/**
 * Gives the rows numbers above all that were given, in one transaction with the mark of the highest: two tabs never
 * number alike. Resolves to {rows: [...] as they stand now, moved: [[where, row]], gone: [id]}. `left(id)` says whether
 * a row that is not in the database yet lies in the mirror, of this tab or another.
 */
export function stamp(rows, device, above, left) {
  return change(
    [...ROWS, "meta"],
    "readwrite",
    (tx, give) => {
      const answer = { rows: [], moved: [], gone: [] };
      give(answer);
      for (const row of rows) {
        const { id } = row.event;
        whereKept(tx, id, (where, kept) => {
          if (where === "outbox") answer.rows.push(kept);
          else if (where) answer.moved.push([where, kept]);
          else if (left(id)) answer.rows.push({ ...row });
          else answer.gone.push(id);
        });
      }
      tx.objectStore("meta").get(`number ${device}`).onsuccess = ({ target }) => {
        const highest = numbered(answer.rows, device, Math.max(above, target.result ?? 0));
        for (const row of answer.rows) tx.objectStore("outbox").put(row, row.event.id);
        tx.objectStore("meta").put(highest, `number ${device}`);
      };
    },
    true,
  );
}

/** Stamps those that have no number yet, in their order; returns the highest number. */
export function numbered(rows, device, above) {
  let number = above;
  for (const row of rows) row.stamp ??= { device, seq: (number += 1) };
  return number;
}

/** Moves rows to where they belong now: [[where, row]]. */
export const move = (moves, { strict = false } = {}) =>
  many(
    moves.flatMap(([where, row]) =>
      ROWS.map((store) => ({ store, key: row.event.id, value: store === where ? row : undefined })),
    ),
    { strict },
  );

/** The server has numbers of this device up to this one. */
export const raiseNumber = (device, to) =>
  change(["meta"], "readwrite", (tx) => {
    const meta = tx.objectStore("meta");
    meta.get(`number ${device}`).onsuccess = ({ target }) => {
      if (to > (target.result ?? 0)) meta.put(to, `number ${device}`);
    };
  });

export const forget = (ids) => many(ids.map((key) => ({ store: "answered", key })));

/** Calls back, within the transaction, with the store that has this id and its row; with nothing when none has. */
function whereKept(tx, id, then) {
  const found = ROWS.map((store) => tx.objectStore(store).get(id));
  found.at(-1).onsuccess = () => {
    const at = found.findIndex((request) => request.result !== undefined); // requests answer in order
    then(ROWS[at], found[at]?.result);
  };
}
