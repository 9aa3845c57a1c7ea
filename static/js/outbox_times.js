// What each event's time is worth: as the server was told, or as it will be.

import { valueAt } from "./clock.js";
import { adriftAmong } from "./clock_chain.js";
import { rowsOf } from "./outbox_rows.js";

/** Map id -> {offset_ms, trip, known, piece, adrift} of these rows. Adrift is what a run's events say together; with
 *  `hopeful` what no later sample has spoken of yet is taken as it likely is. */
export function timesOf(rows, { hopeful = false } = {}) {
  const times = new Map();
  for (const run of new Set(rows.map((row) => row.event.run))) {
    const all = rowsOf(run).map((row) => ({ row, id: row.event.id, ...valueOf(row, hopeful) }));
    const adrift = new Set(adriftAmong(all));
    for (const { row, id, offset_ms, trip, known, piece } of all) {
      times.set(id, row.sent ?? { offset_ms, trip, known, piece, adrift: adrift.has(id) });
    }
  }
  return times;
}

function valueOf(row, hopeful) {
  if (row.sent) return row.sent;
  const { piece, offset, trip, known, likely } = valueAt(row.mark);
  // What Floor 0.3 tapped has no mark; it is taken as of now, as it was then.
  return { piece, offset_ms: offset, trip, known: known || row.mark === null || (hopeful && likely) };
}
