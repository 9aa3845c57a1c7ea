// This tablet's clock, and what the server's shows. clock_chain.js says how much can be known; here the two clocks are
// watched, segments begun where they part, and the samples taken that sync.js measures.

import { LONGEST_TRIP_MS, agree, readChain } from "./clock_chain.js";
import { keepSegment, keptSegments, thinSegments } from "./clock_kept.js";
import { newId } from "./device.js";
import { hear, tell } from "./tabs.js";

const PARTED_MS = 500; // more than two readings one after the other, or a clock's drift in hours, can differ
const BACK_MS = 1000;
const WATCH_MS = 5000;
const KEEP_EVERY_MS = 60000;
const FRESH_MS = 60000; // a sample this old, by the steady clock, is worth another
const SAME_MOMENT_MS = 1000; // another tab's sample that took longer to be heard tells nothing

const life = newId().slice(0, 8);
const beginners = new Set();
let chain = null; // what is known of all segments; null: to be worked out when it is asked for
let current = begin(Date.now(), null);

/** The tablet's clock, ms. Whoever asks lets it be watched. */
export function now() {
  const wall = Date.now();
  const steady = performance.now();
  const gap = wall - current.wall - (steady - current.steady);
  if (Math.abs(gap) > PARTED_MS) {
    current = begin(wall, gap);
    for (const callback of beginners) callback();
  } else {
    current.seen = { wall, steady };
  }
  return wall;
}

/** The server's clock, ms, as well as it is known. */
export const serverNow = () => now() + offset();

/** Server's clock minus the tablet's now, ms; 0 before anything was measured. */
export const offset = () => valueAt(mark()).offset;

/** Where in its clock the tablet is: kept with each event. */
export const mark = () => (now(), { segment: current.id, steady: performance.now() });

/** What the clock was worth at a mark: {piece, offset, trip, known}. An event from before marks were kept is taken as
 *  of now. */
export function valueAt(where) {
  chain ??= readChain(withOwn(keptSegments()));
  const { segment, steady } = where ?? { segment: current.id, steady: performance.now() };
  return chain(segment, steady);
}

/** Other tabs may have measured or seen more: what is known is worked out anew. */
export const readAgain = () => (chain = null);

/** Whether a sample should be taken before events are sent. */
export function wantsSample() {
  now();
  const last = current.samples.filter(({ trip }) => trip <= LONGEST_TRIP_MS).at(-1);
  return !last || performance.now() - last.steady > FRESH_MS;
}

/** What begins a measurement: the server was asked now. `end(serverTime)` when its answer came. */
export function measure() {
  const { segment, steady: asked } = mark();
  return (serverTime) => {
    const wall = now();
    const steady = performance.now();
    if (current.id !== segment || !Number.isFinite(serverTime)) return; // the clock was set meanwhile
    const trip = Math.max(0, Math.round(steady - asked));
    const sample = { offset: Math.round(serverTime - (wall - trip / 2)), trip };
    take({ ...sample, steady });
    tell("clock", { ...sample, wall });
  };
}

/** Calls back when the clocks have parted: a sample is worth taking. */
export const onNewSegment = (callback) => beginners.add(callback);

/** Of samples that agree the first, the last and the best are kept: all that the chain needs. */
function take(sample) {
  const like = [];
  while (current.samples.length > 0 && agree(current.samples.at(-1), sample)) like.unshift(current.samples.pop());
  like.push(sample);
  const best = like.reduce((a, b) => (b.trip < a.trip ? b : a));
  current.samples.push(...like.filter((one, at) => at === 0 || at === like.length - 1 || one === best));
  keepSegment(current);
  chain = null;
}

function begin(wall, gap) {
  const kept = keptSegments();
  const newest = Math.max(0, ...kept.map((segment) => segment.seen.wall));
  const back = gap === null ? Math.max(0, newest - wall) : Math.max(0, -gap);
  const no = Math.max(0, ...kept.map((segment) => segment.no)) + 1;
  const steady = performance.now();
  const segment = { id: `${no}.${life}`, no, gap, back: back > BACK_MS ? back : 0, wall, steady, seen: { wall, steady }, samples: [] };
  keepSegment(segment);
  thinSegments();
  chain = null;
  return segment;
}

/** The segment of this page is known better here than in what is kept. */
const withOwn = (segments) => [...segments.filter(({ id }) => id !== current.id), current].sort((a, b) => a.no - b.no);

hear("clock", ({ offset, trip, wall }) => {
  if (Math.abs(now() - wall) <= SAME_MOMENT_MS) take({ offset, trip, steady: performance.now() });
});
setInterval(now, WATCH_MS);
setInterval(() => keepSegment(current), KEEP_EVERY_MS);
addEventListener("pagehide", () => (now(), keepSegment(current)));
document.addEventListener("visibilitychange", () => (now(), keepSegment(current)));
