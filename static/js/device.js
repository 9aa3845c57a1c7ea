// Who this tablet is, and who stands at it. One identity per browser, made once and kept in localStorage; the outbox
// keeps it in the tablet's database too, and brings it back from there.

const DEVICE = "floor.device";
const OPERATOR = "floor.operator";
const MACHINE = "floor.machine";

const unkept = new Map(); // what a browser without localStorage, or with a full one, is told in this life of the page

/** A random UUID, version 4. crypto.randomUUID exists only on https; getRandomValues does everywhere. */
export function newId() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
}

export function deviceId() {
  if (!read(DEVICE)) write(DEVICE, newId());
  return read(DEVICE);
}

/** The identity that the tablet's database has: it stands, since all tabs see the same. */
export const setDevice = (id) => write(DEVICE, id);

/** The name of the person who works at this tablet, "" before one was chosen. */
export const operator = () => read(OPERATOR);
export const setOperator = (name) => write(OPERATOR, name);

/** The name of the machine that this tablet stands at, "" before one was chosen. */
export const machine = () => read(MACHINE);
export const setMachine = (name) => write(MACHINE, name);

function read(key) {
  if (unkept.has(key)) return unkept.get(key);
  try {
    return localStorage.getItem(key) ?? "";
  } catch {
    return ""; // no localStorage: nothing was ever kept
  }
}

function write(key, value) {
  try {
    localStorage.setItem(key, value);
    unkept.delete(key);
  } catch {
    unkept.set(key, value); // asked for again at the next visit; unsaved() of the outbox says why
  }
}
