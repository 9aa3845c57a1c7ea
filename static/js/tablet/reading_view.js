// A reading that stands for itself, as the operator meets it: a stretch of tape around the expected value, and
// words for what it says.

import { mm } from "./words.js";

const STEP_MM = 0.5;
const FINE_STEP_MM = 0.25; // where little is allowed: a step at the seam
const FINE_BELOW_MM = 5; // of room between what can be taken at all
const TAPE_MARKS = 7;

// A step or a gap is 0 at the least: then nothing below 0 is offered.
export function leastOf(reading) {
  return reading.never_low >= 0 ? 0 : -Infinity;
}

export const isFine = (reading) => leastOf(reading) === 0 && reading.never_high - reading.never_low < FINE_BELOW_MM;

export function stepOf(reading) {
  return isFine(reading) ? FINE_STEP_MM : STEP_MM;
}

// Seven marks around what is expected, whole millimetres or halves where little is allowed; they move along when
// the value lies beyond them.
export function tape(reading, value) {
  const apart = isFine(reading) ? STEP_MM : 1;
  const half = ((TAPE_MARKS - 1) / 2) * apart;
  const middle = Math.round(reading.expected / apart) * apart;
  const around = Math.max(middle, leastOf(reading) + half); // the middle of the tape before it moves
  const away = value === null ? 0 : value - around;
  const shift = Math.abs(away) > half + stepOf(reading) ? Math.round(away / apart) * apart : 0;
  const first = Math.max(leastOf(reading), around + shift - half);
  return Array.from({ length: TAPE_MARKS }, (unused, at) => {
    const mark = first + at * apart;
    return {
      value: mark,
      words: mm(mark),
      within: mark >= reading.low && mark <= reading.high,
      expected: mark === middle,
    };
  });
}

export function stepped(reading, value, direction) {
  const step = stepOf(reading);
  return Math.round((value + direction * step) / step) * step;
}

// Readings of one crossing belong together: "Upper crossing: how big is the step?" -> {title, readings}. One group
// without a title where the readings are of no crossings.
export function grouped(readings) {
  const titleOf = (reading) => (reading.id.includes("-") && reading.ask.includes(": ") ? reading.ask.split(": ")[0] : "");
  const titles = [...new Set(readings.map(titleOf))];
  return titles.map((title) => ({
    title,
    readings: readings.filter((one) => titleOf(one) === title).map((reading) => ({ reading, label: title ? reading.id.split("-")[0] : "" })),
  }));
}

export function standing(reading, value, accepted) {
  if (value === null) return "open";
  if (value >= reading.low && value <= reading.high) return "good";
  if (accepted) return "accepted";
  return value < reading.never_low || value > reading.never_high ? "never" : "outside";
}

export function verdict(reading, value, accepted) {
  const kind = standing(reading, value, accepted);
  if (isFine(reading)) return seamVerdict(reading, value, kind);
  const limits = `${mm(reading.low)} to ${mm(reading.high)} mm`;
  if (kind === "outside") return `${mm(value)} mm is outside ${limits}. Put it right and measure again.`;
  if (kind === "never") return `${mm(value)} mm is much too far from ${limits}. Measure again, or put it right.`;
  return kind === "accepted" ? `${mm(value)} mm was taken as it is.` : "";
}

function seamVerdict(reading, value, kind) {
  if (kind === "outside") return `${mm(value)} mm is more than the ${mm(reading.high)} mm that pass: a supervisor may let it pass.`;
  if (kind === "never") return `${mm(value)} mm fails: over ${mm(reading.never_high)} mm nothing passes. Sew it again, or scrap it.`;
  return kind === "accepted" ? `${mm(value)} mm was let pass.` : "";
}
