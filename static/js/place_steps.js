// The steps at the seam of a front that lies so: how likely one is too big, and the nudge that makes the worst
// least. The first reading is floor/domain/placement.py and weighing.py.

import { spread } from "./place_lie.js";

const NUDGE_STEP_MM = 0.1; // machines are moved in tenths
const LEAST_NUDGE_MM = 0.15; // less than this in a direction is not asked for
const CHANCES = 512; // ways it could lie that a risk is counted over
const MEAN_WEIGHT = 0.02; // mm of worst step that a mm off the mean nudge is worth
const SEARCH_FROM_MM = 1;
const SEARCH_TO_MM = 0.01;
const STRICTLY_LESS_MM = 1e-9; // a move of the search must win more than a last digit
const WAYS = [[1, 0], [-1, 0], [0, 1], [0, -1], [1, 1], [-1, -1], [1, -1], [-1, 1]];

/** Signed, at each point of `sums.steps`: + where this front's edge lies further out than the other's. */
export function stepsBetween(sums, own, other) {
  const along = own.along - other.along;
  const across = own.across - other.across;
  return sums.steps.map(
    (step) => step.along * along + step.across * across + step.skew * own.skew - step.other_skew * other.skew,
  );
}

/** The steps once the start point has moved. */
export const nudged = (sums, steps, [along, across]) =>
  steps.map((value, at) => value + sums.steps[at].along * along + sums.steps[at].across * across);

export const worstOf = (steps) => Math.max(...steps.map(Math.abs));

/** The share of the ways it could lie in which some step exceeds the tolerance. */
export function riskOf(sums, own, other, steps) {
  const along = Math.sqrt(own.along.var + other.along.var);
  const across = Math.sqrt(own.across.var + other.across.var);
  const [skew, otherSkew] = [spread(own.skew), spread(other.skew)];
  const rows = steps.map((mean, at) => {
    const one = sums.steps[at];
    return [mean, one.along * along, one.across * across, one.skew * skew, one.other_skew * otherSkew];
  });
  const beyond = chances().filter(([first, second, third, fourth]) =>
    rows.some(
      ([mean, byAlong, byAcross, bySkew, byOther]) =>
        Math.abs(mean + first * byAlong + second * byAcross + third * bySkew + fourth * byOther) > sums.tolerance,
    ),
  );
  return beyond.length / CHANCES;
}

let known = null;

/** Evenly spread standard-normal fours: an additive recurrence on the roots of x^5 = x + 1, put through the
 *  transform of Box and Muller. */
function chances() {
  if (known) return known;
  let root = 1;
  for (let at = 0; at < 64; at += 1) root = (1 + root) ** 0.2;
  known = Array.from({ length: CHANCES }, (_, index) => {
    const [one, two, three, four] = [1, 2, 3, 4].map((power) => (0.5 + (index + 1) * root ** -power) % 1);
    const [far, near] = [Math.sqrt(-2 * Math.log(one)), Math.sqrt(-2 * Math.log(three))];
    const [turn, other] = [2 * Math.PI * two, 2 * Math.PI * four];
    return [far * Math.cos(turn), far * Math.sin(turn), near * Math.cos(other), near * Math.sin(other)];
  });
  return known;
}

/** The nudge [along, across] after which the worst step is expected least; where steps leave it open, the one
 *  that makes the mean displacement zero. A search by halves from there: what it looks for is convex. */
export function bestNudge(sums, steps, own, other) {
  const toMean = nudgeToMean(sums, own, other);
  const worth = (along, across) => {
    const [offAlong, offAcross] = [along - toMean[0], across - toMean[1]];
    const off = Math.sqrt(offAlong * offAlong + offAcross * offAcross);
    return worstOf(nudged(sums, steps, [along, across])) + MEAN_WEIGHT * off;
  };
  let [along, across] = toMean;
  let best = worth(along, across);
  let by = SEARCH_FROM_MM;
  while (by > SEARCH_TO_MM) {
    const better = WAYS.map(([da, dx]) => [along + da * by, across + dx * by]).find(
      (at) => worth(...at) < best - STRICTLY_LESS_MM,
    );
    if (better) {
      [along, across] = better;
      best = worth(along, across);
    } else {
      by /= 2;
    }
  }
  return [asked(along), asked(across)];
}

function nudgeToMean(sums, own, other) {
  const along = own.along + own.skew * sums.lever - other.along - other.skew * sums.other_lever;
  const across = own.across - other.across - (own.skew - other.skew) * sums.mean_y;
  return [-along, -across];
}

/** What a machine can be told: tenths, and nothing that is not worth a hand on it. */
function asked(value) {
  if (Math.abs(value) < LEAST_NUDGE_MM) return 0;
  return (Math.sign(value) * Math.floor(Math.abs(value) / NUDGE_STEP_MM + 0.5)) / 10;
}
