// What is typed on the pad -> a length: "1.5", "3/16", "1 3/16 in".

import { MM_PER_INCH } from "./tape_units.js";

const WHOLE_AND_FRACTION = /^(?:(\d+)(?: +|-))?(\d+) *\/ *(\d+)$/;
const DECIMAL = /^(?:\d+\.?\d*|\.\d+)$/;
const UNIT = /\s*(mm|in|")$/i;
const MOST_SHOWN = 16;

/** {mm, unit} of the text; or {fault}: one sentence that says what would do. `unit`: where the text names none;
 *  `isSigned`: a sign may stand before it, where no key says the side. */
export function readLength(text, unit, isSigned = false) {
  const plain = text.trim().replace(/\s+/g, " ").replace("−", "-");
  const named = plain.match(UNIT);
  const signed = named ? plain.slice(0, named.index) : plain;
  const number = isSigned ? signed.replace(/^-/, "") : signed;
  const said = `“${plain.slice(0, MOST_SHOWN)}”`;
  if (!number) return { fault: "Type how far it is first, as 1.5 or 3/16." };
  if (number.startsWith("-")) return { fault: "Leave the sign out: the keys below say which side it is." };
  if (/^\d+,\d+$/.test(number)) return { fault: `${said} has a comma; type a point, as ${number.replace(",", ".")}.` };
  const value = valueOf(number);
  if (value === null) return { fault: `${said} is no length on a tape; type one such as 1.5, 3/16 or 1 3/16.` };
  if (!Number.isFinite(value)) return { fault: `${said} divides by nothing; type a fraction such as 3/16.` };
  const isInches = named ? named[1].toLowerCase() !== "mm" : unit === "in";
  const length = isInches ? value * MM_PER_INCH : value;
  return { mm: number === signed ? length : -length, unit: isInches ? "in" : "mm" };
}

function valueOf(number) {
  if (DECIMAL.test(number)) return Number(number);
  const parts = number.match(WHOLE_AND_FRACTION);
  return parts ? Number(parts[1] || 0) + Number(parts[2]) / Number(parts[3]) : null;
}
