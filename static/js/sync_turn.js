// One turn of sending: every batch that is waiting, and what each answer asks for. Throws Unusable when the server cannot
// be had; what was not answered for stays where it is.

import { mark, measure, now, valueAt, wantsSample } from "./clock.js";
import { deviceId } from "./device.js";
import { unsaved } from "./outbox.js";
import { raise, sendAgainAbove, sendAgainOf, settle, takeBatch } from "./outbox_sending.js";
import { Refused, Unusable, post } from "./post.js";

const BATCH = 100;
const LATEST_MS = 4_102_444_800_000; // the server reads no later time than the year 2100

const lost = new Map(); // device -> numbers it was asked for and no longer has, until the server was told

/** Sends all; `onBatch` is called before each batch and after each. Resolves to whether the server was asked anything. */
export async function exchangeAll(onBatch) {
  const setBack = new Set(); // devices whose events went once more in this turn
  const isFirst = wantsSample();
  if (isFirst) await ping(setBack);
  let batch = await takeBatch(BATCH);
  const hasSent = isFirst || batch !== null;
  while (batch) {
    onBatch({ isAnswered: false });
    await sendBatch(batch, setBack);
    onBatch({ isAnswered: true });
    batch = await takeBatch(BATCH);
  }
  if (lost.size > 0) await ping(setBack);
  return hasSent;
}

/** Asks without events: what the server's clock shows, and which numbers it has. */
async function ping(setBack) {
  const { offset, trip, known } = valueAt(mark());
  const device = lost.keys().next().value ?? deviceId();
  try {
    const clock = known ? { offset_ms: offset, round_trip_ms: trip, adrift: [] } : undefined;
    await exchange({ device, events: [], clock }, setBack);
  } catch (failure) {
    if (!(failure instanceof Refused)) throw failure;
    throw new Unusable(failure.message, { reached: true, cause: failure });
  }
}

async function sendBatch(batch, setBack) {
  const ids = new Set(batch.events.map(({ id }) => id));
  const adrift = batch.adrift.filter((id) => ids.has(id));
  const clock = { offset_ms: batch.offset_ms, round_trip_ms: batch.trip, adrift };
  try {
    await exchange({ device: batch.device, events: batch.events, clock }, setBack, batch);
  } catch (failure) {
    if (!(failure instanceof Refused)) throw failure;
    await apart(batch, failure, setBack);
  }
}

/** A batch that is refused whole goes in halves: one bad event keeps no other out. */
async function apart(batch, failure, setBack) {
  const { events } = batch;
  if (events.length === 1) {
    await ping(setBack); // throws when it is not the event that the server will not have, but all that comes
    await settle([{ id: events[0].id, verdict: "refused", reason: failure.message }], batch);
    return;
  }
  const half = Math.ceil(events.length / 2);
  await sendBatch({ ...batch, events: events.slice(0, half) }, setBack);
  await sendBatch({ ...batch, events: events.slice(half) }, setBack);
}

async function exchange({ device, events, clock }, setBack, batch = null) {
  const told = [...(lost.get(device) ?? [])];
  const measured = measure();
  const body = { device, sent_at: Math.min(Math.max(now(), 0), LATEST_MS), events };
  if (clock) body.clock = clock;
  if (told.length > 0) body.lost = told;
  const answer = await post(body);
  measured(answer.server_time);
  lost.delete(device);
  if (batch) await settleAll(answer.results, events, batch);
  await heed(device, answer, setBack);
}

/** Of a batch at least one event must be answered for, or the same would go for ever. */
async function settleAll(results, events, batch) {
  const sent = new Set(events.map(({ id }) => id));
  const known = results.filter(({ id }) => sent.has(id));
  if (known.length === 0) throw new Unusable("The server answered for none of the taps that were sent.", { reached: true });
  if (known.some(({ verdict }) => verdict === "again")) await raise(batch.device, Math.max(...events.map(({ seq }) => seq)));
  await settle(known, batch);
}

/** What the server says of this device's numbers. */
async function heed(device, { newest, wanted }, setBack) {
  if (!Number.isInteger(newest)) return;
  await raise(device, newest);
  if (!setBack.has(device) && (await sendAgainAbove(device, newest)) > 0) setBack.add(device);
  if (!wanted?.length) return;
  const gone = await sendAgainOf(device, wanted);
  if (gone.length > 0 && !unsaved().sentence) lost.set(device, gone); // a store that fails may still have them
}
