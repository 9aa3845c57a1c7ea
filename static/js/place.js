// Readings of a front's place -> what to do, and how sure that is: the tablet's reading of
// floor/domain/weighing.py. tests/vectors/place.json holds both equal.

import {
  NUDGE_SPREAD_MM, ON_ITS_PLACE, acrossSign, asSewn, lieAfter, meansOf, otherPlacement, ownPlacement, radians, spread,
} from "./place_lie.js";
import { bestNudge, nudged, riskOf, stepsBetween, worstOf } from "./place_steps.js";

const MAX_SKEW_DEG = 1; // more shows as a kink even where nothing steps
const MAX_STRETCH_MM = 1.5; // more: the span was measured wrong, or the cloth is stretched
const SEW_RISK = 0.05; // sewn as it lies when a step beyond the tolerance is no likelier than this
const NUDGE_RISK = 0.2; // nudged, and read again, when the nudge brings the risk to this
const CLEAR_SEW_RISK = 0.02; // above it another reading could turn "sew"
const CLEAR_NUDGE_RISK = 0.2; // as it lies; below it another reading could turn "nudge" into "sew"
const CLEAR_LAY_RISK = 0.5; // once nudged; below it another reading could turn "re-lay" into "nudge"
const CLEAR_SPREADS = 1.64; // so many spreads beyond a limit nothing is turned by another reading
const ENOUGH_ROUNDS = 4; // of readings on one lay: what they leave open, the tape cannot tell
const MOST_OUTWARD = 0.4; // of the tolerance: so much farther out than meets best to keep past the edge
const LEAST_OUTWARD = 2; // tenths of a mm
const KEPT = 32; // results: a replay asks for the same ones again at every step

let kept = [];

/**
 * What to do after the last of `tries` ({readings, takes, how, along, across}, one at least). `against`: the
 * other front as it was sewn, [readings, takes]; null judges against its plan.
 * The result has the server's names: lie, steps, worst, risk, nudge [along, across], after_nudge, risk_after,
 * skew_deg, past, verdict "sew" | "nudge" | "re-lay" | "read", cause, sure "clear" | "close".
 */
export function weigh(sums, hand, tries, against) {
  const said = JSON.stringify([hand, tries, against]);
  const found = kept.find((one) => one.sums === sums && one.said === said);
  if (found) return found.weighed;
  const weighed = weighAnew(sums, hand, tries, against);
  kept = [{ sums, said, weighed }, ...kept.slice(0, KEPT - 1)];
  return weighed;
}

/** The plain rule's steps of one round of readings; `against`: the other front's readings, or null. */
export function linearSteps(sums, readings, against) {
  const other = against === null ? meansOf(ON_ITS_PLACE) : otherPlacement(sums, against);
  return stepsBetween(sums, ownPlacement(sums, readings), other);
}

function weighAnew(sums, hand, tries, against) {
  const own = lieAfter(sums, hand, tries);
  const other = against === null ? ON_ITS_PLACE : asSewn(sums, hand, ...against);
  const [means, otherMeans] = [meansOf(own), meansOf(other)];
  const steps = stepsBetween(sums, means, otherMeans);
  const nudge = keptPast(sums, own, other, steps, bestNudge(sums, steps, means, otherMeans));
  const after = nudged(sums, steps, nudge);
  const risks = { now: riskOf(sums, own, other, steps), after: riskOf(sums, own, other, after) };
  const skew = { mean: means.skew - otherMeans.skew, var: own.skew.var + other.skew.var };
  const past = { now: pastEdge(sums, means, 0), after: pastEdge(sums, means, nudge[1]) };
  // Where even a front laid just right would be risky, what is believed decides whether a nudge is enough.
  const nowhere = risks.after > NUDGE_RISK && riskOf(sums, own, other, steps.map(() => 0)) > SEW_RISK;
  const foreseen = { now: risks.now, after: nowhere ? asBelieved(sums, after) : risks.after };
  let [verdict, cause] = verdictOf(sums, means, skew, foreseen, past, nudge);
  if (verdict === "read" && roundsOfThisLay(tries) >= ENOUGH_ROUNDS) [verdict, cause] = ["sew", ""];
  return {
    lie: own,
    steps,
    worst: worstOf(steps),
    risk: risks.now,
    nudge,
    after_nudge: worstOf(after),
    risk_after: risks.after,
    skew_deg: skew.mean * (180 / Math.PI),
    past: past.now,
    past_after: past.after,
    verdict,
    cause,
    sure: sureOf(own, skew, verdict, cause, risks),
  };
}

/** The risk if it lies just as is believed. */
const asBelieved = (sums, steps) => (worstOf(steps) > sums.tolerance ? 1 : 0);

const roundsOfThisLay = (tries) => tries.length - 1 - tries.findLastIndex(({ how }) => how === "laid again");

/** The nudge, a little farther out where it would leave the needle too near the folded edge: sewing that is
 *  planned to pass it by hardly more than it must would else be laid again for every tenth. */
function keptPast(sums, own, other, steps, nudge) {
  const past = pastEdge(sums, meansOf(own), nudge[1]);
  if (past === null || past >= sums.keep_past) return nudge;
  const short = sums.keep_past - past + NUDGE_SPREAD_MM;
  const tenths = Math.max(LEAST_OUTWARD, Math.ceil(10 * short));
  const farther = [nudge[0], Math.floor(10 * nudge[1] + acrossSign(sums) * tenths + 0.5) / 10];
  if (short > MOST_OUTWARD * sums.tolerance) return nudge;
  return riskOf(sums, own, other, nudged(sums, steps, farther)) <= NUDGE_RISK ? farther : nudge;
}

/** How far the needle is believed to pass the edge where it passes least, moved by `across`; null where it
 *  need not. */
function pastEdge(sums, means, across) {
  if (sums.keep_past === null) return null;
  const middle = (sums.expected[2] + sums.expected[3]) / 2;
  return middle + acrossSign(sums) * (means.across + across) - (Math.abs(means.skew) * sums.height) / 2;
}

function verdictOf(sums, means, skew, risks, past, nudge) {
  if (Math.abs(means.stretch) > MAX_STRETCH_MM) return ["re-lay", "stretch"];
  if (Math.abs(skew.mean) > radians(MAX_SKEW_DEG)) return ["re-lay", "skew"];
  const stays = (value) => sums.keep_past === null || value >= sums.keep_past;
  if (risks.now <= SEW_RISK && stays(past.now)) return ["sew", ""];
  if (risks.after > NUDGE_RISK) return ["re-lay", "skew"]; // the nudge cures a shift; what is left is skew
  if (!stays(past.after)) return ["re-lay", "edge"];
  if (nudge[0] === 0 && nudge[1] === 0) return ["read", "step"];
  if (!sums.nudges) return ["re-lay", "step"];
  return ["nudge", risks.now > SEW_RISK ? "step" : "edge"];
}

/** Whether another round of readings would hardly turn it. */
function sureOf(own, skew, verdict, cause, risks) {
  const clear = (isClear) => (isClear ? "clear" : "close");
  if (verdict === "sew") return clear(risks.now <= CLEAR_SEW_RISK);
  if (verdict === "read") return "close";
  if (verdict === "nudge" || cause === "step") return clear(risks.now >= CLEAR_NUDGE_RISK);
  const beyond = (estimate, limit) => Math.abs(estimate.mean) - limit;
  if (cause === "stretch") {
    return clear(beyond(own.stretch, MAX_STRETCH_MM) >= CLEAR_SPREADS * spread(own.stretch));
  }
  if (cause === "skew" && beyond(skew, radians(MAX_SKEW_DEG)) > 0) {
    return clear(beyond(skew, radians(MAX_SKEW_DEG)) >= CLEAR_SPREADS * spread(skew));
  }
  return clear(risks.after >= CLEAR_LAY_RISK);
}
