// Lengths as a tape shows them: millimetres, or 64ths of an inch where the operator's tape has those. What is
// logged is always mm.

import { mm } from "./words.js";

export const MM_PER_INCH = 25.4;
const PARTS_OF_AN_INCH = 64;
const MARKS = {
  mm: { least: 0.5, number: 1, middle: 0.5 },
  in: { least: MM_PER_INCH / 64, number: MM_PER_INCH / 16, middle: MM_PER_INCH / 32 },
};
const KEPT_AS = "floor.unit";
const LAST_DIGIT = 1e4; // a logged length is a ten thousandth of a mm

/** The tape's finest mark, its marks with a number, and those between, mm. */
export const marksOf = (unit) => MARKS[unit];

export function keptUnit() {
  try {
    return localStorage.getItem(KEPT_AS) === "in" ? "in" : "mm";
  } catch (barred) {
    return "mm"; // a browser that keeps nothing: the switch then holds as long as the page
  }
}

/** Whether it could be kept beyond this page. */
export function keepUnit(unit) {
  try {
    localStorage.setItem(KEPT_AS, unit);
    return true;
  } catch (barred) {
    return false;
  }
}

/** "1.5 mm", "5/64 in": how much, without its side. */
export function amount(value, unit) {
  return unit === "in" ? `${inches(value)} in` : `${mm(Math.abs(value))} mm`;
}

/** The same without its unit, as a tape has it beside a mark. */
export function figure(value, unit) {
  return unit === "in" ? inches(value) : mm(Math.abs(value));
}

export function snapped(value, step) {
  return logged(Math.round(value / step) * step);
}

export function logged(value) {
  return Math.round(value * LAST_DIGIT) / LAST_DIGIT + 0; // + 0: never -0
}

function inches(value) {
  const parts = Math.round((Math.abs(value) / MM_PER_INCH) * PARTS_OF_AN_INCH);
  const whole = Math.floor(parts / PARTS_OF_AN_INCH);
  let [over, under] = [parts % PARTS_OF_AN_INCH, PARTS_OF_AN_INCH];
  if (!over) return String(whole);
  while (over % 2 === 0) [over, under] = [over / 2, under / 2];
  return whole ? `${whole} ${over}/${under}` : `${over}/${under}`;
}
