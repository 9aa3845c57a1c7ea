// The segments of this tablet's clock, in localStorage, one key each: two tabs never write over each other's, and a
// page that begins finds what the ones before it knew.

const SEGMENT = "floor.clock.";
const MOST = 100; // older ones are let go: events tapped in them and never sent are flagged

/** All segments of this browser, oldest first. */
export function keptSegments() {
  return keys()
    .map((key) => parsed(localStorage.getItem(key)))
    .filter(Boolean)
    .sort((a, b) => a.no - b.no || (a.id < b.id ? -1 : 1));
}

export function keepSegment(segment) {
  try {
    localStorage.setItem(SEGMENT + segment.id, JSON.stringify(segment));
  } catch {
    return; // a full storage: this page knows its segment all the same, and the next one flags what it cannot know
  }
}

/** Lets the oldest segments go. */
export function thinSegments() {
  for (const { id } of keptSegments().slice(0, -MOST)) localStorage.removeItem(SEGMENT + id);
}

function keys() {
  try {
    return Object.keys(localStorage).filter((key) => key.startsWith(SEGMENT));
  } catch {
    return []; // no localStorage
  }
}

function parsed(text) {
  try {
    return JSON.parse(text);
  } catch {
    return null; // cut off when the tablet went out: as good as none
  }
}
