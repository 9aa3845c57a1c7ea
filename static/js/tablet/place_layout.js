// Where a reading place and its tape lie in a pane, and what the tape shows at a point of it. Pointing anywhere
// reads the tape at that height; where it lies, at that place across.

import { marksOf, snapped } from "./tape_units.js";

const LEAST_PX_PER_MM = 42; // half a millimetre is then half a finger wide, and the steppers do the rest
const LEAST_REACH_MM = 3; // of tape to either side of its middle
const MOST_REACH_MM = 6;
const MARGIN_PX = 34;
const BEYOND_PX = 112; // where what is measured from lies beyond the tape
const BEYOND_AT_PX = 36; // from the pane's end to it

/**
 * How a place lies in a pane of that many px. `kind`: "set" or "sewn"; `side`: which way x runs toward the folded
 * edge of the front that is read, +1 or -1; `value`: mm, null before it is read: the tape moves along to it.
 */
export function layoutOf({ reading, side, value, width, height }) {
  const isAcross = reading.id === "a" || reading.id === "b";
  const long = isAcross ? width : height;
  const towardPlus = isAcross ? side : reading.id === "l" ? 1 : -1; // on the screen, x to the right and y down
  const planned = Math.round(reading.expected);
  const sure = (long - 2 * BEYOND_PX) / 2 / LEAST_PX_PER_MM;
  const reach = Math.min(MOST_REACH_MM, Math.max(LEAST_REACH_MM, Math.floor(sure)));
  const away = value === null ? 0 : value - planned;
  const middle = Math.abs(away) > reach - 0.5 ? Math.round(value) : planned;
  const isBeyond = Math.abs(middle) > reach; // what is measured from
  const before = isBeyond && towardPlus * Math.sign(-middle) < 0 ? BEYOND_PX : MARGIN_PX;
  const after = isBeyond && towardPlus * Math.sign(-middle) > 0 ? BEYOND_PX : MARGIN_PX;
  const scale = (long - before - after) / (2 * reach);
  const at = (mm) => before + (reach + towardPlus * (mm - middle)) * scale;
  return { isAcross, towardPlus, width, height, middle, reach, isBeyond, scale, at, zero: isBeyond ? (before > after ? BEYOND_AT_PX : long - BEYOND_AT_PX) : at(0) };
}

/** The value on the tape nearest to a point of the pane, mm. */
export function valueAt(layout, x, y, unit) {
  const { isAcross, towardPlus, middle, reach, scale, at } = layout;
  const along = (isAcross ? x : y) - at(middle);
  const value = middle + (towardPlus * along) / scale;
  const { least } = marksOf(unit);
  return snapped(Math.min(middle + reach, Math.max(middle - reach, value)), least);
}
