// Floor 0.3 kept its outbox in localStorage alone. What such a tablet has not sent yet is taken over once.

const PENDING = "floor.outbox.";
const REFUSED = "floor.refused.";
const SEQ = "floor.seq"; // the highest number given
const TRIED = "floor.tried"; // the highest number ever posted

/** {waiting: rows, refused: rows, number: the highest number that was posted} */
export function oldRows() {
  const waiting = read(PENDING).map(({ event, tried }) => row(event, tried));
  const refused = read(REFUSED).map(({ event, reason }) => ({ ...row(event, true), reason }));
  const unposted = waiting.filter(({ stamp }) => !stamp).length;
  const number = numberAt(TRIED) ?? Math.max(0, (numberAt(SEQ) ?? 0) - unposted);
  return { waiting, refused, number };
}

/** All of it lies elsewhere now. */
export function forgetOldRows() {
  const isOld = (key) => key.startsWith(PENDING) || key.startsWith(REFUSED) || key === SEQ || key === TRIED;
  for (const key of keys().filter(isOld)) localStorage.removeItem(key);
}

/** A number that was never posted was a guess: it is given anew. */
function row({ device, seq, ...event }, posted) {
  return { event, order: seq, mark: null, stamp: posted ? { device, seq } : null };
}

const read = (prefix) =>
  keys()
    .filter((key) => key.startsWith(prefix))
    .map((key) => JSON.parse(localStorage.getItem(key)))
    .sort((a, b) => a.event.seq - b.event.seq || a.event.at - b.event.at);

const numberAt = (key) => (keys().includes(key) ? Number(localStorage.getItem(key)) : undefined);

function keys() {
  try {
    return Object.keys(localStorage);
  } catch {
    return [];
  }
}
