// Who this tablet is, and who stands at it. One identity per browser, made once and kept in localStorage.

const DEVICE = "floor.device";
const OPERATOR = "floor.operator";
const MACHINE = "floor.machine";
const SEQ = "floor.seq";

/** A random UUID, version 4. crypto.randomUUID exists only on https; getRandomValues does everywhere. */
export function newId() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
}

export function deviceId() {
  if (!localStorage.getItem(DEVICE)) localStorage.setItem(DEVICE, newId());
  return localStorage.getItem(DEVICE);
}

/** The number that the next event will have. It is not used up before outbox.add() has kept an event with it,
 *  so a page that closes in between leaves no gap. */
export const nextSeq = () => lastSeq() + 1;

/** The highest number given to an event of this browser, 0 before the first. */
export const lastSeq = () => Number(localStorage.getItem(SEQ) ?? 0);

/** Marks every number up to `seq` as used; never goes back. */
export const useSeq = (seq) => localStorage.setItem(SEQ, String(Math.max(lastSeq(), seq)));

/** The name of the person who works at this tablet, "" before one was chosen. */
export const operator = () => localStorage.getItem(OPERATOR) ?? "";
export const setOperator = (name) => localStorage.setItem(OPERATOR, name);

/** The name of the machine that this tablet stands at, "" before one was chosen. */
export const machine = () => localStorage.getItem(MACHINE) ?? "";
export const setMachine = (name) => localStorage.setItem(MACHINE, name);
