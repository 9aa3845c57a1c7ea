// What a tablet's clock was worth at each moment. Pure: segments with their samples in, offsets out.
//
// A tablet's wall clock may be wrong, may be set, and may be set while nobody looks. Beside it runs the browser's steady
// clock (performance.now()), which nobody can set, but which begins anew with each page and may stand still while the
// tablet sleeps. So what is known is this:
//  1. While both clocks go on alike, the wall clock was not touched: that stretch is a *segment*, and one offset
//     (server's clock minus the tablet's) holds for all of it. One good sample anywhere in it gives the offset.
//  2. Where they part, a new segment begins. The wall clock went ahead of the steady one: the tablet slept, or its clock
//     was set forward, or both; only samples tell. It fell behind: it was set back, for no sleep does that.
//  3. Where a page begins, the steady clock does: anything may have happened. That the wall clock shows less than it
//     did before proves that it was set back.
//  4. Two segments with samples are both right, whatever happened between them: durations across need no more.
//  5. Segments without a sample that lie between two samples which agree: nothing was set, what parted was sleep. (A
//     clock that was set forward and back again by the same, both times unseen, would deceive this; where it is seen to
//     have been set back nothing is concluded.)
//  6. Otherwise (samples that differ with more than one place where the change may be, or no sample before) the
//     segment's offset is *not known*: the likeliest is used, so that events keep about their place, and the stretch
//     into it and out of it is to be flagged, not counted. Within it durations are right all the same.
//  7. Two samples of one segment that differ mean that the server's clock was set, or the tablet's in a way that
//     neither clock showed. Between them nothing is known, and each stretch there is to be flagged.

/** A sample's offset is uncertain by half its round trip: slower ones are no measure. */
export const LONGEST_TRIP_MS = 2000;
const AGREE_MS = 1000; // beyond what the trips explain; a clock's own drift in a shift is about this
const SMALL_GAP_MS = 1000; // clocks that drift apart; no place where an hour may have gone
const LONG_SLEEP_MS = 24 * 3600 * 1000; // longer is likelier a clock that was set
const LONG_ABSENCE_MS = 30 * LONG_SLEEP_MS; // without a page open

/**
 * @param {{id: string, gap: ?number, back: number, wall: number, seen: {wall: number}, samples: {steady, offset, trip}[]}[]} segments
 *   in order. gap: how far the wall clock parted from the steady one where it begins, ms, null where a page begins;
 *   back: how far it is seen to have been set back there, ms; wall: its first reading; seen: its last known one
 * @returns {(segment: string, steady: number) => {piece: string, offset: number, trip: number, known: boolean,
 *   likely: boolean}} what was the clock worth then; `piece` tells which moments share one offset; likely: known, or
 *   nothing speaks against it until the next sample is taken. Of a segment not in the chain nothing is known.
 */
export function readChain(segments) {
  const pieces = segments.flatMap(piecesOf);
  spreadOverSmallGaps(pieces);
  fillBetween(pieces);
  leaveOpen(pieces);
  guessTheRest(pieces);
  const bySegment = grouped(pieces);
  return (segment, steady) => {
    const found = bySegment.get(segment)?.find((piece) => steady <= piece.until) ?? pieces.at(-1);
    const strange = !bySegment.has(segment);
    return {
      piece: strange ? `${segment} not in the chain` : found.fog ? `${found.name} at ${steady}` : found.name,
      offset: found?.offset ?? 0,
      trip: found?.trip ?? 0,
      known: !strange && found.known,
      likely: !strange && (found.known || Boolean(found.open)),
    };
  };
}

/** A segment falls into pieces where its samples differ: sure ones around samples that agree, fog between. */
function piecesOf(segment) {
  const samples = segment.samples.filter(({ trip }) => trip <= LONGEST_TRIP_MS);
  const first = { segment: segment.id, gap: segment.gap, back: segment.back, wall: segment.wall, seen: segment.seen.wall };
  if (samples.length === 0) {
    const poor = best(segment.samples); // better than nothing
    return [{ ...first, name: segment.id, until: Infinity, known: false, offset: poor?.offset, trip: poor?.trip }];
  }
  const pieces = [];
  for (const cluster of clustersOf(samples)) {
    const { offset, trip } = best(cluster);
    const own = { segment: segment.id, gap: 0, back: 0, wall: segment.wall, seen: segment.seen.wall };
    const last = pieces.at(-1);
    if (last) pieces.push({ ...own, name: `${last.name}~`, until: cluster[0].steady, known: false, fog: true, offset, trip });
    pieces.push({ ...own, name: last ? `${last.name}'` : segment.id, until: cluster.at(-1).steady, known: true, offset, trip });
  }
  Object.assign(pieces[0], first);
  pieces.at(-1).until = Infinity;
  return pieces;
}

function clustersOf(samples) {
  const clusters = [];
  for (const sample of samples) {
    const cluster = clusters.at(-1);
    if (cluster && cluster.every((other) => agree(other, sample))) cluster.push(sample);
    else clusters.push([sample]);
  }
  return clusters;
}

export const agree = (a, b) => Math.abs(a.offset - b.offset) <= AGREE_MS + (a.trip + b.trip) / 2;

const best = (samples) => samples.reduce((a, b) => (b.trip < a.trip ? b : a), samples[0]);

/** A small gap is drift: what is known on one side is known on the other, as long as little adds up. */
function spreadOverSmallGaps(pieces) {
  const joined = (piece) => piece.gap !== null && Math.abs(piece.gap) <= SMALL_GAP_MS && piece.back <= SMALL_GAP_MS;
  const spread = (from, to, gap) => {
    if (!from.known || to.known || to.fog) return;
    const slack = (from.slack ?? 0) + Math.abs(gap);
    if (slack <= SMALL_GAP_MS) Object.assign(to, { known: true, offset: from.offset, trip: from.trip, slack });
  };
  for (let at = 1; at < pieces.length; at += 1) if (joined(pieces[at])) spread(pieces[at - 1], pieces[at], pieces[at].gap);
  for (let at = pieces.length - 1; at > 0; at -= 1) if (joined(pieces[at])) spread(pieces[at], pieces[at - 1], pieces[at].gap);
}

/** What lies between two sure pieces that agree is sure too, unless the clock was seen to be set back between. */
function fillBetween(pieces) {
  let left = -1;
  for (let at = 0; at < pieces.length; at += 1) {
    if (!pieces[at].known) continue;
    const between = pieces.slice(left + 1, at);
    const isUntouched = pieces.slice(left + 1, at + 1).every((piece) => !piece.fog && piece.back <= SMALL_GAP_MS);
    if (left >= 0 && isUntouched && agree(pieces[left], pieces[at])) {
      for (const piece of between) Object.assign(piece, { known: true, offset: pieces[at].offset, trip: pieces[at].trip });
    }
    left = at;
  }
}

/** What came after the last sample is likely as it was, unless the clock was seen to be set back. */
function leaveOpen(pieces) {
  const last = pieces.findLastIndex((piece) => piece.known);
  for (const piece of pieces.slice(last + 1)) piece.open = piece.back <= SMALL_GAP_MS;
}

/** The likeliest offset of what is not known: from the next later piece that is, else from the one before. */
function guessTheRest(pieces) {
  for (let at = pieces.length - 2; at >= 0; at -= 1) {
    const later = pieces[at + 1];
    if (pieces[at].offset === undefined && later.offset !== undefined) {
      Object.assign(pieces[at], { offset: later.offset + setBy(pieces[at], later), trip: later.trip });
    }
  }
  for (let at = 1; at < pieces.length; at += 1) {
    const before = pieces[at - 1];
    if (pieces[at].offset === undefined && before.offset !== undefined) {
      Object.assign(pieces[at], { offset: before.offset - setBy(before, pieces[at]), trip: before.trip });
    }
  }
}

/** How far the wall clock was likely set where `later` begins, ms. */
function setBy(before, later) {
  if (later.back > SMALL_GAP_MS) return -later.back;
  if (later.gap === null) return later.wall - before.seen > LONG_ABSENCE_MS ? later.wall - before.seen : 0;
  return later.gap > LONG_SLEEP_MS || later.gap < 0 ? later.gap : 0;
}

function grouped(pieces) {
  const groups = new Map();
  for (const piece of pieces) groups.set(piece.segment, [...(groups.get(piece.segment) ?? []), piece]);
  return groups;
}

/**
 * Which of these events, one run's, in order, stand behind a change of the clock that cannot be measured: the stretch
 * before such an event counts nothing. @param {{id, piece, known}[]} events what readChain says of each
 */
export function adriftAmong(events) {
  const adrift = [];
  for (let at = 0; at < events.length; at += 1) {
    const before = events[at - 1];
    const isContinued = before && before.piece === events[at].piece;
    if (!isContinued && (!events[at].known || (before && !before.known))) adrift.push(events[at].id);
  }
  return adrift;
}
