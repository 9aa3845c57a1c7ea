// What an event says, kind by kind: the reading of its data. The grammar is told in floor/domain/events.py,
// and read there by floor/domain/payloads.py.

import { Fields, SetAside } from "./fields.js";
import { MOST_TAKES } from "./takes.js";

const MAX_NAME = 120;
const MAX_PHASE = 10000;
const MOST_PIXELS = 20000; // a side
const MOST_BYTES = 100000000;
const PICTURE_OF = ["problem", "meeting", "phase"];
const MOST_NUDGE_MM = 30;
const HAND = ["along", "across", "skew", "stretch", "sewn_along", "sewn_across", "sewn_skew", "reading"];
const [LEAST_SPREAD, MOST_SPREAD] = [0.02, 20]; // what any shop's hand can be, in mm or degrees

const isTold = (f, name) => (f.get(name) ?? null) !== null;

const READERS = {
  open: (f) => {
    const hand = isTold(f, "hand") ? f.numbers("hand", HAND, LEAST_SPREAD, MOST_SPREAD) : null;
    return {
      job: f.id("job"),
      revision: f.whole("revision", 1, 100000),
      section: f.id("section"),
      garments: f.garments("garments"),
      first_piece: f.flag("first_piece"),
      operator: f.text("operator", { limit: MAX_NAME }),
      cause: f.text("cause", { optional: true }),
      machine: f.text("machine", { limit: MAX_NAME, optional: true }),
      hand,
    };
  },
  check: (f) => ({ check: f.id("check"), value: f.text("value") }),
  reading: (f) => {
    const take = isTold(f, "take") ? f.whole("take", 1, MOST_TAKES) : 1;
    return { reading: f.id("reading"), value: f.number("value", -10000, 10000), take };
  },
  again: (f) => {
    const how = f.oneOf("how", ["nudged", "laid again", "read again"]);
    if (how !== "nudged") return { how, along: 0, across: 0 };
    return {
      how,
      along: f.number("along", -MOST_NUDGE_MM, MOST_NUDGE_MM),
      across: f.number("across", -MOST_NUDGE_MM, MOST_NUDGE_MM),
    };
  },
  count: (f) => ({
    count: f.id("count"),
    side: f.oneOf("side", ["out", "in"]),
    value: f.whole("value", 0, 10000),
  }),
  done: () => ({}),
  pause: (f, catalogue) => ({ reason: f.oneOf("reason", Object.keys(catalogue.pause_reasons)) }),
  resume: () => ({}),
  problem: (f, catalogue) => ({
    problem: f.oneOf("problem", Object.keys(catalogue.problems)),
    note: f.text("note", { optional: true }),
  }),
  cleared: (f) => {
    const fragments = isTold(f, "fragments") ? f.oneOf("fragments", ["all", "missing"]) : "";
    return {
      problem: f.id("problem"),
      how: f.text("how"),
      fragments,
      decision: f.text("decision", { optional: true }),
    };
  },
  redo: (f, catalogue) => {
    const cause = f.oneOf("cause", Object.keys(catalogue.redo_causes));
    if (f.has("to") === f.has("section")) {
      throw f.refuse("to", "either a phase (to) or a section, not both");
    }
    if (f.has("to")) return { cause, to: f.whole("to", 0, MAX_PHASE), section: "" };
    return { cause, to: null, section: f.id("section") };
  },
  accept: (f) => ({
    what: f.oneOf("what", ["check", "reading", "count", "place"]),
    name: f.id("name"),
    reason: f.text("reason"),
  }),
  scrap: (f, catalogue) => {
    const garments = f.garments("garments");
    if (garments.length === 0) throw f.refuse("garments", "at least one garment");
    return { garments, cause: f.oneOf("cause", Object.keys(catalogue.scrap_causes)) };
  },
  hand_over: (f) => ({ to: f.text("to", { limit: MAX_NAME }) }),
  take_over: (f) => ({ operator: f.text("operator", { limit: MAX_NAME }) }),
  approve: () => ({}),
  note: (f) => ({ text: f.text("text") }),
  photo: (f) => {
    const problem = isTold(f, "problem") ? f.id("problem") : "";
    return {
      photo: f.uuid("photo"),
      of: f.oneOf("of", PICTURE_OF),
      problem,
      width: f.whole("width", 1, MOST_PIXELS),
      height: f.whole("height", 1, MOST_PIXELS),
      size: f.whole("bytes", 1, MOST_BYTES),
    };
  },
  settle: (f) => {
    const how = f.oneOf("how", ["apply", "keep"]);
    return { event: f.id("event"), how, why: f.text("why") };
  },
  undo: (f) => ({ event: f.id("event") }),
};

/** What the event says. Throws SetAside for a kind that nobody knows, or data off the grammar. */
export function readPayload(event, catalogue) {
  if (!Object.hasOwn(READERS, event.kind)) {
    throw new SetAside(`There is no event kind "${event.kind}"; known are ${Object.keys(READERS).join(", ")}.`);
  }
  return READERS[event.kind](new Fields(event), catalogue);
}
