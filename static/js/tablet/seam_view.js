// The seam as it would look if the front were sewn as it lies: both halves of the design around it, to scale and
// enlarged in their difference, with a ring at the worst step.

import { asSewn, meansOf, ON_ITS_PLACE } from "../place_lie.js";
import { line, rect, svg } from "./svg.js";

const DEGREES = 180 / Math.PI;
const TIMES = [10, 5, 2]; // how often the difference is enlarged: the most that stays within the picture
const MOST_SEEN_MM = 9;
const INK = "var(--ink)";
const CHALK = "var(--chalk)";
const RING_MM = 6;

/** How this front and the other lie, by what was read: {own, other}. `against`: [readings, takes] or null. */
export function liesOf(weighed, place, against) {
  return {
    own: meansOf(weighed.lie),
    other: meansOf(against ? asSewn(place.sums, place.hand, ...against) : ON_ITS_PLACE),
  };
}

export function enlarged(worst) {
  return TIMES.find((times) => worst * times <= MOST_SEEN_MM) ?? TIMES[TIMES.length - 1];
}

/** Which of the points that are judged steps most. */
export function worstAt(steps) {
  return steps.reduce((worst, step, at) => (Math.abs(step) > Math.abs(steps[worst]) ? at : worst), 0);
}

/** One strip, as SVG elements for a viewBox of `seam.box`. `front`: the one being placed; `times`: how often the
 *  difference is enlarged; `ring`: the height of the worst step, mm. */
export function stripOf(seam, front, lies, times, ring) {
  const isSecond = lies.other.along !== 0 || lies.other.across !== 0 || lies.other.skew !== 0;
  const drawn = seam.halves.map((half) => {
    const lie = half.front === front ? lies.own : lies.other;
    const isFaint = half.front !== front && !isSecond;
    const ground = half.ground ? rect(half.ground[0], half.ground[1], half.ground[2], half.ground[3], { fill: seam.garment }) : null;
    const cloths = half.cloths.map((cloth) =>
      svg("path", { d: cloth.path, fill: cloth.fill, stroke: cloth.line, "stroke-width": cloth.width, "fill-rule": "evenodd", "stroke-linejoin": "round" }),
    );
    const planned = half.front === front && !isSecond ? half.cloths.map(({ path }) => svg("path", { d: path, fill: "none", stroke: INK, "stroke-width": 0.5, "stroke-dasharray": "2 1.5" })) : [];
    const moved = svg("g", { transform: moveOf(lie, half.edge, seam.middle, times), opacity: isFaint ? 0.45 : null }, cloths);
    return svg("g", {}, ground, moved, planned);
  });
  const [, top, , height] = seam.box;
  const lines = seam.lines.map(([x1, y1, x2, y2]) => line(x1, y1, x2, y2, { stroke: INK, "stroke-width": 0.7, "stroke-dasharray": seam.seam === null ? "3 2" : null }));
  const mean = (lies.own.along + lies.other.along) / 2;
  const circle = ring === null ? null : svg("circle", { cx: seam.seam ?? seam.box[0] + seam.box[2] / 2, cy: clamped(-(ring + times * mean), top, height), r: RING_MM, fill: "none", stroke: CHALK, "stroke-width": 1.4 });
  return [...drawn, ...lines, circle].filter(Boolean);
}

const clamped = (y, top, height) => Math.min(top + height - RING_MM, Math.max(top + RING_MM, y));

// The plan's y runs up, the screen's down: what turns counter-clockwise there does so here with the sign turned.
function moveOf({ along, across, skew }, edge, middle, times) {
  const turn = -skew * times * DEGREES;
  return `translate(${across * times} ${-along * times}) rotate(${turn} ${edge} ${-middle})`;
}
