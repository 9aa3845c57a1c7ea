// What to do about a place, in the operator's words; floor/domain/place_words.py says the same.

import { acrossSign, radians } from "./place_lie.js";

const SHOWN_MM = 0.05; // less is shown as nothing

const mm = (value) => `${(Math.floor(value * 10 + 0.5) / 10).toFixed(1)} mm`;

/** One sentence. `skewDeg`: against the other front; `past`: how far the needle would pass the folded edge where
 *  it passes least, once nudged, mm, null where it need not; the rest as a judgement has them. */
export function advice(sums, verdict, cause, nudge, skewDeg, stretch, past) {
  if (verdict === "sew") return "Sew it as it lies.";
  if (verdict === "read") return "Measure at 1 to 4 once more, to be sure.";
  if (verdict === "nudge") return `Move the start ${movedWords(sums, nudge)}, then trace and measure again.`;
  if (cause === "stretch") {
    const apart = stretch > 0 ? "closer together" : "farther apart";
    return (
      `Lift it, and lay it again without stretching: the buttons lie ${mm(Math.abs(stretch))} ${apart} than ` +
      "planned, so measure the span too."
    );
  }
  if (cause === "edge" && sums.keep_past !== null && past !== null) {
    return (
      "Lift it, and lay it straighter: once it meets, the needle would pass the folded edge by only " +
      `${mm(Math.max(past, 0))}, and ${mm(sums.keep_past)} are needed; a supervisor may let it be.`
    );
  }
  if (cause === "step") {
    const back = nudge.map((value) => -value);
    return (
      `Lift it, and lay it ${movedWords(sums, back)}: a nudge would move the garments under the other ` +
      "heads too."
    );
  }
  return `Lift it, and turn ${turnedWords(sums, skewDeg)}.`;
}

/** "1.5 mm toward the hem and 0.5 mm toward the sleeve". */
export function movedWords(sums, [along, across]) {
  const [outward, inward] =
    sums.side === 0 ? ["to the right", "to the left"] : ["toward the folded edge", "toward the sleeve"];
  const parts = [];
  if (Math.abs(along) >= SHOWN_MM) {
    parts.push(`${mm(Math.abs(along))} ${along > 0 ? "toward the collar" : "toward the hem"}`);
  }
  if (Math.abs(across) >= SHOWN_MM) {
    parts.push(`${mm(Math.abs(across))} ${across * acrossSign(sums) > 0 ? outward : inward}`);
  }
  return parts.join(" and ") || "not at all";
}

/** "the lower edge 3.0 mm outward": how the garment turns until the design stands straight on it, by how far its
 *  lower line then goes. */
export function turnedWords(sums, skewDeg) {
  const lower = acrossSign(sums) * Math.tan(radians(skewDeg)) * sums.height;
  const [outward, inward] = sums.side === 0 ? ["to the right", "to the left"] : ["outward", "inward"];
  const what = sums.side === 0 ? "the lower end" : "the lower edge";
  return `${what} ${mm(Math.abs(lower))} ${lower > 0 ? outward : inward}`;
}
