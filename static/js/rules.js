// What each event may do to a run, and what it does: the tablet's reading of floor/domain/rules.py, in the
// same order and with the same sentences. tests/vectors holds the two equal.

import { SetAside, isBlank } from "./fields.js";
import { RULES_OF_PHASE } from "./rules_of_phase.js";
import { hasEnded, isBlocked, statusOf } from "./run_state.js";
import { when } from "./event_time.js";

const AFTER_THE_END = ["note", "photo", "cleared"];
const WHILE_PAUSED = ["resume", "note", "photo", "hand_over", "take_over", "problem", "scrap"];
const WHILE_BLOCKED = ["cleared", "problem", "note", "photo", "hand_over", "take_over", "pause", "resume", "scrap"];
const BOUND_TO_PHASE = ["check", "reading", "again", "count", "done", "accept", "approve"];
const FROM_ANYWHERE = ["take_over", "approve", "note", "photo"]; // the rest only from the tablet that has the run in hand

/** The state after the event. Throws SetAside when it may not happen now. */
export function apply(state, event, said, opening, catalogue) {
  if (event.kind === "open") return open(state, event, said, opening);
  guard(state, event);
  return RULES[event.kind](state, event, said, catalogue);
}

/** An undo takes back the newest event in force, and only one of the same device. */
export function checkUndo(event, said, newest) {
  if (!newest) throw new SetAside("There was nothing to take back.");
  if (newest.id !== said.event) {
    throw new SetAside("Something newer had happened since; only the newest tap can be taken back.");
  }
  if (newest.device !== event.device) {
    throw new SetAside("The newest tap came from another tablet; only that tablet can take it back.");
  }
}

function guard(state, event) {
  const count = state.checklist.phases.length;
  const isOneOf = (kinds) => kinds.includes(event.kind);
  if (event.phase > count) {
    throw new SetAside(`There is no phase ${event.phase + 1} in this run; it has ${count}.`);
  }
  if (!state.opened) throw new SetAside("The run was not open.");
  if (hasEnded(state)) {
    if (isOneOf(AFTER_THE_END)) return;
    throw new SetAside(`The run had already ended (${statusOf(state)}).`);
  }
  if (event.device !== state.device && !isOneOf(FROM_ANYWHERE)) {
    throw new SetAside(
      `${state.operator} has this run in hand at another tablet; to go on at this one, take it over first.`,
    );
  }
  if (state.pause && !isOneOf(WHILE_PAUSED)) {
    throw new SetAside("The run was paused; going on comes first.");
  }
  if (isBlocked(state) && !isOneOf(WHILE_BLOCKED)) {
    throw new SetAside("A problem was open; putting it right comes first.");
  }
  if (isOneOf(BOUND_TO_PHASE) && event.phase !== state.phase) {
    throw new SetAside(
      `It was said of phase ${event.phase + 1} while the run was at phase ${state.phase + 1}.`,
    );
  }
}

function open(state, event, said, opening) {
  if (state.opened) throw new SetAside("The run was already open.");
  // Both come from the same reader, so their fields stand in the same order.
  if (JSON.stringify(said) !== JSON.stringify(opening)) {
    throw new SetAside("The run had been opened for something else before.");
  }
  const { garments, operator } = said;
  return { ...state, opened: true, garments, operator, device: event.device, since: when(event) };
}

const before = (values, to) =>
  Object.fromEntries(Object.entries(values).filter(([phase]) => Number(phase) < to));

const RULES = {
  ...RULES_OF_PHASE,

  pause: (state, event, said) => ({ ...state, pause: said.reason }),

  resume(state) {
    if (!state.pause) throw new SetAside("The run was not paused.");
    return { ...state, pause: "" };
  },

  problem(state, event, said, catalogue) {
    const { blocking, needs_fragments } = catalogue.problems[said.problem];
    const problem = { event: event.id, kind: said.problem, note: said.note, blocking, needs_fragments };
    return { ...state, problems: [...state.problems, problem] };
  },

  cleared(state, event, said) {
    const problem = state.problems.find((open) => open.event === said.problem);
    if (!problem) throw new SetAside("That problem was not open.");
    if (problem.needs_fragments && said.fragments !== "all") {
      if (said.fragments !== "missing") {
        throw new SetAside("Whether every fragment of the needle was found was not said.");
      }
      if (!event.authority) throw new SetAside("Fragments were missing: a supervisor must decide.");
      if (isBlank(said.decision)) {
        throw new SetAside("Fragments were missing and nothing was said of what was decided.");
      }
    }
    return { ...state, problems: state.problems.filter((open) => open !== problem) };
  },

  redo(state, event, said) {
    if (said.to === null) {
      if (!state.checklist.earlier.some(([key]) => key === said.section)) {
        throw new SetAside(`The run could not be sent back to "${said.section}": it is no earlier section.`);
      }
      return { ...state, sent_back: said.section };
    }
    const to = said.to;
    if (to > state.phase) throw new SetAside(`Phase ${to + 1} had not been reached; a redo goes back.`);
    return {
      ...state,
      phase: to,
      answers: before(state.answers, to),
      readings: before(state.readings, to),
      counts: before(state.counts, to),
      tries: before(state.tries, to),
      accepted: state.accepted.filter(([phase]) => phase < to),
      approved: state.approved.filter((phase) => phase < to),
      rework_until: Math.max(state.rework_until, state.phase + 1),
    };
  },

  scrap(state, event, said) {
    const strange = said.garments.find((number) => !state.garments.includes(number));
    if (strange !== undefined) throw new SetAside(`Garment ${strange} was not in this load.`);
    return {
      ...state,
      garments: state.garments.filter((number) => !said.garments.includes(number)),
      scrapped: [...state.scrapped, ...said.garments].sort((a, b) => a - b),
    };
  },

  hand_over: (state, event, said) => ({ ...state, operator: said.to, since: when(event) }),

  // Also from the tablet that has it: after taps that crossed, whoever takes it over has it for certain.
  take_over: (state, event, said) => ({ ...state, operator: said.operator, device: event.device, since: when(event) }),

  note: (state) => state,
  photo: (state) => state,
};
