// What the readings of a place come to, in the operator's words: the verdict, how sure it is, the step it would
// make, the one thing to do, and what was tried before. Pure: what `judged` found in, words out.

import { advice, movedWords, turnedWords } from "../place_words.js";
import { asSewn, meansOf } from "../place_lie.js";
import { ordinal } from "./words.js";

const VERDICTS = { sew: "Sew", nudge: "Nudge", "re-lay": "Re-lay", read: "Read again" };
const SHOWN_MM = 0.05; // less is shown as nothing
const SHOWN_DEG = 0.1;
const MOST_TRIES = 3;

const mm = (value) => `${(Math.floor(Math.abs(value) * 10 + 0.5) / 10).toFixed(1)} mm`;

export const verdictWord = (weighed) => VERDICTS[weighed.verdict];

export function sureWords(weighed) {
  return weighed.sure === "clear" ? "clear" : "close: another reading could turn it";
}

/** "Move the start 1.5 mm toward the hem, then trace and measure again." */
export function adviceWords(weighed, sums) {
  return advice(sums, weighed.verdict, weighed.cause, weighed.nudge, weighed.skew_deg, weighed.lie.stretch.mean, weighed.past_after);
}

/** What it would look like, sewn as it lies. */
export function stepWords(weighed, place) {
  const worst = mm(weighed.worst);
  const moved = weighed.verdict === "nudge" ? ` Nudged: ${mm(weighed.after_nudge)}.` : "";
  if (place.against) return `As it lies the halves would step by ${worst}.${moved}`;
  if (place.sums.side === 0) return `As it lies it would be up to ${worst} off its drawn lines.${moved}`;
  return `As it lies it would be up to ${worst} off its place.${moved}`;
}

/** The one big button: what is done now, and what comes after it. */
export function actionWords(weighed, sums, upNext) {
  if (weighed.verdict === "nudge") return { label: `Nudge ${movedWords(sums, weighed.nudge)}`, then: "tap when moved, then trace again" };
  if (weighed.verdict === "re-lay") {
    const what = weighed.cause === "skew" ? `: ${turnedWords(sums, weighed.skew_deg)}` : "";
    return { label: `Lift it and lay it again${what}`, then: "tap when it is lifted" };
  }
  if (weighed.verdict === "read") return { label: "Measure once more", then: "1 to 4, as before" };
  return { label: "Done", then: upNext };
}

/** "1st: nudged 1.5 mm toward the hem", the last few of them. */
export function triesWords(tries, sums) {
  const told = tries.map((one, at) => `${ordinal(at + 1)}: ${tryWords(one, sums)}`);
  return told.slice(-MOST_TRIES).join("; ");
}

function tryWords(one, sums) {
  if (one.how === "nudged") return `nudged ${movedWords(sums, [one.along, one.across])}`;
  return one.how === "laid again" ? "laid again" : "read, and read again";
}

/** How the front that was sewn first lies, from its own place: "1.2 mm toward the hem, turned by 0.4°". */
export function asSewnWords(place, settled) {
  const lies = meansOf(asSewn(place.sums, place.hand, ...settled));
  const inward = place.sums.side || 1; // the other front's folded edge lies the other way
  const parts = [];
  if (Math.abs(lies.along) >= SHOWN_MM) parts.push(`${mm(lies.along)} toward the ${lies.along > 0 ? "collar" : "hem"}`);
  if (Math.abs(lies.across) >= SHOWN_MM) parts.push(`${mm(lies.across)} toward the ${lies.across * inward > 0 ? "sleeve" : "folded edge"}`);
  const degrees = Math.abs(lies.skew) * (180 / Math.PI);
  if (degrees >= SHOWN_DEG) parts.push(`turned by ${degrees.toFixed(1)}°`);
  return parts.length ? parts.join(", ") : "";
}
