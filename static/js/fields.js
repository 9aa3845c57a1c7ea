// Reads the named fields of an event's data; floor/domain/fields.py refuses in the same words.

const MAX_TEXT = 500;
const MAX_ID = 80;
const MAX_GARMENTS_IN_LOAD = 64;
const MAX_GARMENT_NUMBER = 100000;
const MAX_FOUND = 60;
const PLAIN_FROM = 1e-4;
const UUID = /^[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}$/;
// What the server calls blank: the browser's own trim() goes by another list.
const BLANK = /^[\t-\r\x1c-\x20\x85\xa0\u1680\u2000-\u200a\u2028\u2029\u202f\u205f\u3000]*$/u;

/** The event is well formed, but cannot apply; its message is one sentence for people. */
export class SetAside extends Error {}

export const own = (object, name) => (Object.hasOwn(object, name) ? object[name] : undefined);
export const isBlank = (text) => BLANK.test(text);

function asFound(value) {
  if (value === undefined || value === null) return "nothing";
  if (typeof value === "string") return `“${[...value].slice(0, MAX_FOUND).join("")}”`;
  if (typeof value === "boolean") return String(value);
  if (typeof value === "number") return numberAsFound(value);
  return Array.isArray(value) ? "a list" : "an object";
}

function numberAsFound(value) {
  if (value === 0) return "0";
  if (!(Math.abs(value) <= Number.MAX_SAFE_INTEGER)) return "a very large number";
  return Number.isInteger(value) || Math.abs(value) >= PLAIN_FROM ? String(value) : "a very small number";
}

export class Fields {
  constructor(event) {
    this.kind = event.kind;
    this.data = event.data;
  }

  get(name) {
    return own(this.data, name);
  }

  has(name) {
    return Object.hasOwn(this.data, name);
  }

  refuse(name, wants) {
    return new SetAside(`A "${this.kind}" event needs ${name}: ${wants}; found ${asFound(this.get(name))}.`);
  }

  text(name, { limit = MAX_TEXT, optional = false } = {}) {
    const value = this.get(name) ?? null;
    if (value === null && optional) return "";
    if (typeof value !== "string" || [...value].length > limit || (!optional && isBlank(value))) {
      throw this.refuse(name, `a text of 1 to ${limit} characters`);
    }
    return value;
  }

  id(name) {
    return this.text(name, { limit: MAX_ID });
  }

  uuid(name) {
    const value = this.get(name);
    if (typeof value !== "string" || !UUID.test(value)) throw this.refuse(name, "a lower-case UUID");
    return value;
  }

  oneOf(name, allowed) {
    const value = this.get(name);
    if (typeof value !== "string" || !allowed.includes(value)) {
      throw this.refuse(name, `one of ${[...allowed].sort().join(", ")}`);
    }
    return value;
  }

  whole(name, low, high) {
    const value = this.get(name);
    if (!Number.isInteger(value) || value < low || value > high) {
      throw this.refuse(name, `a whole number from ${low} to ${high}`);
    }
    return value + 0; // -0 becomes 0
  }

  number(name, low, high) {
    const value = this.get(name);
    if (typeof value !== "number" || !(low <= value && value <= high)) {
      throw this.refuse(name, `a number from ${low} to ${high}`);
    }
    return value + 0;
  }

  /** An object of just these numbers, in the order of `names`. */
  numbers(name, names, low, high) {
    const value = this.get(name);
    const isObject = typeof value === "object" && value !== null && !Array.isArray(value);
    const fits = isObject && Object.keys(value).length === names.length;
    const found = fits ? names.map((one) => own(value, one)) : [];
    if (!fits || !found.every((one) => typeof one === "number" && low <= one && one <= high)) {
      throw this.refuse(name, `${names.join(", ")}, each a number from ${low} to ${high}`);
    }
    return Object.fromEntries(names.map((one, at) => [one, found[at]]));
  }

  flag(name) {
    const value = this.get(name);
    if (typeof value !== "boolean") throw this.refuse(name, "true or false");
    return value;
  }

  garments(name) {
    const value = this.get(name);
    const listed = Array.isArray(value) ? value : [null];
    const good = listed.filter((n) => Number.isInteger(n) && n >= 1 && n <= MAX_GARMENT_NUMBER);
    if (new Set(good).size !== listed.length || listed.length > MAX_GARMENTS_IN_LOAD) {
      throw this.refuse(name, `at most ${MAX_GARMENTS_IN_LOAD} different garment numbers`);
    }
    return good.sort((a, b) => a - b);
  }
}
