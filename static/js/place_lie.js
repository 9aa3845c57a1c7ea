// How a design is believed to lie after rounds of readings. The first reading of these sums is
// floor/domain/weighing.py, done in the same order, so that hardly a last digit differs;
// tests/vectors/place.json holds both equal. Readings are lists [u, l, a, b], mm; skews are in radians.

export const NUDGE_SPREAD_MM = 0.1; // of what a machine's start moves when told
const PARTS = ["along", "across", "skew", "stretch"];

// A reading so many spreads from what the one before foretold: the cloth or the start moved.
const OUT_OF_LINE_SPREADS = 3;
const WIDE = 100; // times its usual variance: where another front lies out of line, its readings alone count

export const radians = (degrees) => degrees * (Math.PI / 180);
export const spread = (estimate) => Math.sqrt(estimate.var);

/** +1 where a reading across grows with x: on the right front and on a closed garment. */
export const acrossSign = (sums) => sums.side || 1;

const estimate = (mean, deviation) => ({ mean, var: deviation * deviation });
const partsOf = (make) => Object.fromEntries(PARTS.map((part) => [part, make(part)]));

export const ON_ITS_PLACE = partsOf(() => estimate(0, 0));
export const meansOf = (lie) => partsOf((part) => lie[part].mean);

/** How this front's design lies by one round of readings, the tangent of its skew for the angle. */
export const ownPlacement = (sums, readings) =>
  liesBy(sums.expected, acrossSign(sums), sums.height, readings);

/** How the other front's design lies by readings where it is read. */
export function otherPlacement(sums, readings) {
  const { other } = sums;
  const seen = liesBy(other.expected, -acrossSign(sums), other.upper - other.lower, readings);
  const { skew } = seen;
  const across = seen.across + (skew * (other.upper + other.lower)) / 2;
  // What a slanting edge tells of the height is taken off where it comes from the shift across.
  const byUpper = other.slant_upper * (across - skew * other.upper);
  const byLower = other.slant_lower * (across - skew * other.lower);
  return {
    along: seen.along - (byUpper + byLower) / 2 - skew * other.lever,
    across,
    skew,
    stretch: seen.stretch - byUpper + byLower,
  };
}

/** What is believed after these rounds (one at least), the last one's move not yet counted. */
export function lieAfter(sums, hand, tries) {
  return readRound(sums, hand, foretold(sums, hand, tries.slice(0, -1)), tries.at(-1));
}

/** What is believed before the next round is read: these rounds with what was done after each. */
function foretold(sums, hand, tries) {
  let lie = freshOf(hand);
  for (const one of tries) {
    lie = readRound(sums, hand, lie, one);
    if (one.how === "laid again") lie = freshOf(hand);
    if (one.how === "nudged") {
      lie = { ...lie, along: moved(lie.along, one.along), across: moved(lie.across, one.across) };
    }
  }
  return lie;
}

/** Whether what is read now could be of cloth that lies as the rounds before it foretold. */
export const isForetold = (sums, hand, tries, readings, takes) =>
  isInLine(foretold(sums, hand, tries), ownPlacement(sums, readings), errorsOf(hand, takes, sums.height));

const freshOf = (hand) => ({
  along: estimate(0, hand.along),
  across: estimate(0, hand.across),
  skew: estimate(0, radians(hand.skew)),
  stretch: estimate(0, hand.stretch),
});

function readRound(sums, hand, lie, one) {
  const seen = ownPlacement(sums, one.readings);
  const errors = errorsOf(hand, one.takes, sums.height);
  return read(isInLine(lie, seen, errors) ? lie : freshOf(hand), seen, errors);
}

/** How the other front's design lies, from readings off the hoop. */
export function asSewn(sums, hand, readings, takes) {
  const before = {
    along: estimate(0, hand.sewn_along),
    across: estimate(0, hand.sewn_across),
    skew: estimate(0, radians(hand.sewn_skew)),
    stretch: estimate(0, hand.stretch),
  };
  const seen = otherPlacement(sums, readings);
  const errors = otherErrorsOf(sums.other, hand, takes);
  const wide = partsOf((part) => ({ mean: 0, var: WIDE * before[part].var }));
  return read(isInLine(before, seen, errors) ? before : wide, seen, errors);
}

function liesBy(expected, sign, height, [u, l, a, b]) {
  const [upper, lower, past, pastBelow] = [u - expected[0], l - expected[1], a - expected[2], b - expected[3]];
  return {
    along: (upper - lower) / 2,
    across: (sign * (past + pastBelow)) / 2,
    skew: (-sign * (past - pastBelow)) / height,
    stretch: upper + lower,
  };
}

/** Variances with which a round tells each part. */
function errorsOf(hand, takes, height) {
  const one = (hand.reading * hand.reading) / takes;
  return { along: one / 2, across: one / 2, skew: (2 * one) / (height * height), stretch: 2 * one };
}

/** The same of the other front as it was sewn: what the four readings bring to each part where it is read. */
function otherErrorsOf(other, hand, takes) {
  const height = other.upper - other.lower;
  const one = (hand.reading * hand.reading) / takes;
  const middle = (other.upper + other.lower) / 2 / height;
  const lever = other.lever / height;
  const along = 0.5 + (lever - other.slant_upper / 2) ** 2 + (lever + other.slant_lower / 2) ** 2;
  const stretch = 2 + other.slant_upper ** 2 + other.slant_lower ** 2;
  return {
    along: one * along,
    across: one * (0.5 + 2 * middle ** 2),
    skew: (2 * one) / (height * height),
    stretch: one * stretch,
  };
}

/** Each part drawn toward what was seen, by the share of its own doubt in the whole. */
function read(lie, seen, errors) {
  return partsOf((part) => {
    const { mean, var: doubt } = lie[part];
    const share = doubt / (doubt + errors[part]);
    return { mean: mean + share * (seen[part] - mean), var: doubt * (1 - share) };
  });
}

const moved = ({ mean, var: doubt }, by) => ({ mean: mean + by, var: doubt + NUDGE_SPREAD_MM * NUDGE_SPREAD_MM });

/** Whether what was read could be of cloth that lies as was believed. */
const isInLine = (lie, seen, errors) =>
  PARTS.every(
    (part) =>
      Math.abs(seen[part] - lie[part].mean) <= OUT_OF_LINE_SPREADS * Math.sqrt(lie[part].var + errors[part]),
  );
