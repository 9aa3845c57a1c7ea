// How a design is believed to lie after rounds of readings. The first reading of these sums is
// floor/domain/weighing.py, done in the same order, so that hardly a last digit differs;
// tests/vectors/place.json holds both equal. Readings are lists [u, l, a, b], mm; skews are in radians.

const NUDGE_SPREAD_MM = 0.1; // of what a machine's start moves when told
const PARTS = ["along", "across", "skew", "stretch"];

// A reading so many spreads from what the one before foretold: the cloth or the start moved.
const OUT_OF_LINE_SPREADS = 4;

export const radians = (degrees) => degrees * (Math.PI / 180);
export const spread = (estimate) => Math.sqrt(estimate.var);

/** +1 where a reading across grows with x: on the right front and on a closed garment. */
export const acrossSign = (sums) => sums.side || 1;

const estimate = (mean, deviation) => ({ mean, var: deviation * deviation });
const partsOf = (make) => Object.fromEntries(PARTS.map((part) => [part, make(part)]));

export const ON_ITS_PLACE = partsOf(() => estimate(0, 0));
export const meansOf = (lie) => partsOf((part) => lie[part].mean);

/** How this front's design lies by one round of readings, the tangent of its skew for the angle. */
export const ownPlacement = (sums, readings) => linear(sums, readings, sums.expected, acrossSign(sums));

/** How the other front was sewn by readings taken on it, in the same terms. */
export const otherPlacement = (sums, readings) =>
  linear(sums, readings, sums.other_expected, -acrossSign(sums));

/** What is believed after these rounds, the last one's move not yet counted. */
export function lieAfter(sums, hand, tries) {
  const fresh = {
    along: estimate(0, hand.along),
    across: estimate(0, hand.across),
    skew: estimate(0, radians(hand.skew)),
    stretch: estimate(0, hand.stretch),
  };
  let lie = fresh;
  tries.forEach((one, at) => {
    const seen = ownPlacement(sums, one.readings);
    const errors = errorsOf(sums, hand, one.takes);
    lie = read(isInLine(lie, seen, errors) ? lie : fresh, seen, errors);
    if (at === tries.length - 1) return;
    if (one.how === "laid again") lie = fresh;
    if (one.how === "nudged") {
      lie = { ...lie, along: moved(lie.along, one.along), across: moved(lie.across, one.across) };
    }
  });
  return lie;
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
  const errors = errorsOf(sums, hand, takes);
  const wide = partsOf((part) => ({ mean: 0, var: 4 * OUT_OF_LINE_SPREADS ** 2 * before[part].var }));
  return read(isInLine(before, seen, errors) ? before : wide, seen, errors);
}

function linear(sums, [u, l, a, b], expected, sign) {
  const [upper, lower, past, pastBelow] = [u - expected[0], l - expected[1], a - expected[2], b - expected[3]];
  return {
    along: (upper - lower) / 2,
    across: (sign * (past + pastBelow)) / 2,
    skew: (-sign * (past - pastBelow)) / sums.height,
    stretch: upper + lower,
  };
}

/** Variances with which a round tells each part. */
function errorsOf(sums, hand, takes) {
  const one = (hand.reading * hand.reading) / takes;
  return { along: one / 2, across: one / 2, skew: (2 * one) / (sums.height * sums.height), stretch: 2 * one };
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
