// Numbers as the server's sentences have them (floor/domain/english.py).

import { listed } from "./words.js";

/** "garment 4", "garments 1 to 4", "garments 1, 3 and 5". */
export function numbered(noun, numbers) {
  const ordered = [...numbers].sort((a, b) => a - b);
  if (ordered.length === 1) return `${noun} ${ordered[0]}`;
  const inARow = ordered.length > 2 && ordered.every((number, at) => number === ordered[0] + at);
  if (inARow) return `${noun}s ${ordered[0]} to ${ordered.at(-1)}`;
  return `${noun}s ${listed(ordered.map(String))}`;
}
