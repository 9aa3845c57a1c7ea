// A place that is measured twice, as the operator meets it: what is asked next, what the tiles show, on which
// side a needle is, and what is asked back before an odd value counts. Pure: state in, words and numbers out.

import { isDoubtful, isMirrored, takeName } from "../takes.js";
import { amount, figure } from "./tape_units.js";
import { capital } from "./words.js";

const TAKE_OF_NAME = /^(.*?)(?: ([23]))?$/;
const LAST_TAKE = 3;
const REFERENCES = { button: "button’s centre", edge: "folded edge", line: "drawn line" };
const TEN = 10;

/** {id, take} of a reading's name in a run's state: "u 2". */
export function partsOfName(name) {
  const [, id, take] = name.match(TAKE_OF_NAME);
  return { id, take: Number(take || 1) };
}

/** The first reading that the phase still lacks: {id, take, why}; null when all stand. */
export function nextOf(missing) {
  const first = missing.find((one) => one.what === "reading");
  if (!first) return null;
  const { id, take } = partsOfName(first.name);
  return { id, take: first.why === "differs" ? LAST_TAKE : take, why: first.why };
}

/** What is being read: {reading, take, name}. `chosen`: the reading that was gone back to, or null; a place that
 *  has its take of this round is then read anew. */
export function targetOf(phase, missing, takes, chosen) {
  const next = nextOf(missing);
  const id = chosen || (next ? next.id : phase.readings[0].id);
  const reading = phase.readings.find((one) => one.id === id);
  const isNext = next && next.id === id;
  const wanted = next && missing.some((one) => one.name === takeName(id, next.take)) ? next.take : takes(id).length || 1;
  const take = isNext ? next.take : wanted;
  return { reading, take, name: takeName(id, take) };
}

/** Whether the first value must not be seen: this place's second reading is still to come. */
export function isBlind(missing, takes, id) {
  const next = nextOf(missing);
  return Boolean(next) && next.take === 2 && takes(id).length === 1;
}

// ---- sides
export function sideWords(reading, value) {
  if (!reading.plus) return "";
  if (value === 0) return `on the ${reading.plus.split(" the ").pop()}`;
  return value > 0 ? reading.plus : reading.minus;
}

/** "above", "past", "left": the side without what it is a side of. */
export function shortSide(reading, value) {
  return value === 0 ? "on it" : sideWords(reading, value).split(" the ")[0].replace(/ of$/, "");
}

/** "1.5 mm past the edge". */
export function said(reading, value, unit) {
  return value === 0 ? sideWords(reading, 0) || amount(0, unit) : `${amount(value, unit)} ${sideWords(reading, value)}`.trim();
}

/** What the needle is measured from: "button's centre". */
export function referenceOf(reading) {
  const word = reading.plus.split(" the ").pop();
  return REFERENCES[word] || word;
}

/** "1.5 · 2.0 above": the takes of a place on its tile. */
export function tileWords(reading, values, unit) {
  const sides = new Set(values.map((value) => shortSide(reading, value)));
  if (sides.size === 1) return { figures: values.map((value) => figure(value, unit)).join(" · "), side: [...sides][0] };
  return { figures: "", side: values.map((value) => `${figure(value, unit)} ${shortSide(reading, value)}`).join(" · ") };
}

// ---- what is asked back
/**
 * What is odd about a value, before it counts: null when nothing is. `kind`: "never" (cannot be taken; `instead`
 * may be meant), "mirrored" (it fits the other side), "far".
 */
export function doubtOf(reading, value) {
  const can = (one) => reading.never_low <= one && one <= reading.never_high;
  if (isMirrored(reading, value) && can(-value) && !isDoubtful(reading, -value)) return { kind: "mirrored", value };
  if (!can(value)) return { kind: "never", value, instead: [value / TEN, value / (TEN * TEN)].find(can) ?? null };
  return isDoubtful(reading, value) ? { kind: "far", value } : null;
}

export function doubtWords(reading, { kind, value, instead }, unit, isNeedle) {
  const planned = said(reading, reading.expected, unit);
  if (kind === "mirrored") {
    const thing = isNeedle ? "the needle" : "the sewing";
    return `${capital(said(reading, value, unit))}, and ${planned.replace(/ the \w+$/, " it")} is planned. Which side is ${thing} on?`;
  }
  if (kind === "far") return `${amount(value - reading.expected, unit)} off what is planned. Is it really ${said(reading, value, unit)}?`;
  const meant = instead === null || instead === undefined ? "Measure it again." : `Did you mean ${amount(instead, unit)}?`;
  return `${capital(said(reading, value, unit))} is more than a tape here can show. ${meant}`;
}

/** Why a place is asked once more: its takes differ. */
export function differWords(reading, values, unit) {
  const all = values.map((value) => said(reading, value, unit));
  const list = `${all.slice(0, -1).join(", ")} and ${all[all.length - 1]}`;
  return values.length > 2 ? `No two of these agree: ${list}. Measure at ${reading.mark} once more.` : `Read twice, and they differ: ${list}. Measure at ${reading.mark} once more.`;
}
