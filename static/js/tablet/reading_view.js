// A reading as the operator meets it: a stretch of tape around the expected value, and words for what it says.

import { mm } from "./words.js";

export const STEP_MM = 0.5;
const TAPE_MARKS = 7;

// A step or a gap is 0 at the least: then nothing below 0 is offered.
export function leastOf(reading) {
  return reading.never_low >= 0 ? 0 : -Infinity;
}

// Seven whole millimetres around what is expected; they move along when the value lies beyond them.
export function tape(reading, value) {
  const half = (TAPE_MARKS - 1) / 2;
  const middle = Math.round(reading.expected);
  const around = Math.max(middle, leastOf(reading) + half); // the middle of the tape before it moves
  const away = value === null ? 0 : value - around;
  const shift = Math.abs(away) > half + STEP_MM ? Math.round(away) : 0;
  const first = Math.max(leastOf(reading), around + shift - half);
  return Array.from({ length: TAPE_MARKS }, (unused, at) => {
    const whole = first + at;
    return {
      value: whole,
      words: mm(whole),
      within: whole >= reading.low && whole <= reading.high,
      expected: whole === middle,
    };
  });
}

export function stepped(value, by) {
  return Math.round((value + by) / STEP_MM) * STEP_MM;
}

export function standing(reading, value, accepted) {
  if (value === null) return "open";
  if (value >= reading.low && value <= reading.high) return "good";
  if (accepted) return "accepted";
  return value < reading.never_low || value > reading.never_high ? "never" : "outside";
}

export function verdict(reading, value, accepted) {
  const kind = standing(reading, value, accepted);
  const limits = `${mm(reading.low)} to ${mm(reading.high)} mm`;
  if (kind === "outside") return `${mm(value)} mm is outside ${limits}. Put it right and measure again.`;
  if (kind === "never") return `${mm(value)} mm is much too far from ${limits}. Measure again, or put it right.`;
  return kind === "accepted" ? `${mm(value)} mm was taken as it is.` : "";
}
