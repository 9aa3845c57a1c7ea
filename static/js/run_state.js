// Where a run stands, and what keeps its current phase from ending: the tablet's reading of
// floor/domain/run_state.py. A state is a plain object that is never changed, only made anew.

import { own } from "./fields.js";
import { placeMissing, readingsMissing } from "./place_in_run.js";

const ENDED = ["finished", "scrapped", "sent back"];

export const voidState = (checklist) => ({
  checklist,
  opened: false,
  phase: 0,
  garments: [],
  scrapped: [],
  operator: "",
  device: "", // the tablet that has the run in hand
  since: null, // since when its operator has it there, ms by the server's clock
  pause: "",
  problems: [],
  answers: {}, // answers, readings, counts: by phase, then by id; a count's id is "pins out"
  readings: {}, // a second reading of a place is "u 2"
  counts: {},
  tries: {}, // by phase: the rounds in which a place was read and then something done about it
  accepted: [], // [phase, what, name]
  approved: [],
  rework_until: 0,
  sent_back: "",
});

export const currentPhase = (state) => state.checklist.phases[state.phase];
export const isBlocked = (state) => state.problems.some((problem) => problem.blocking);
export const hasEnded = (state) => ENDED.includes(statusOf(state));
const inRework = (state) => state.phase < state.rework_until;
const given = (values, phase, name) => own(own(values, phase) ?? {}, name);

export function approvalOwed(state) {
  return Boolean(currentPhase(state)?.approval) && !state.approved.includes(state.phase);
}

export function statusOf(state) {
  if (!state.opened) return "void";
  if (state.sent_back) return "sent back";
  if (state.scrapped.length > 0 && state.garments.length === 0) return "scrapped";
  if (!currentPhase(state)) return "finished";
  if (state.pause) return "paused";
  return isBlocked(state) || approvalOwed(state) ? "held" : "working";
}

/** The total of what was counted on that side, over the run's phases; null when nothing was yet. */
function counted(state, count, side) {
  const found = Object.values(state.counts)
    .map((ofPhase) => own(ofPhase, `${count} ${side}`))
    .filter((value) => value !== undefined);
  return found.length === 0 ? null : found.reduce((sum, value) => sum + value, 0);
}

/** What the current phase still needs before it can end; empty when it may. */
export function missingOf(state) {
  const phase = currentPhase(state);
  if (!phase || !state.opened) return [];
  if (state.scrapped.includes(phase.garment)) return []; // what is lost is not looked at, measured or counted any more
  const found = [];
  const lacks = (what, name, why, accept) => found.push({ what, name, why, accept });
  for (const check of phase.checks) {
    const answer = given(state.answers, state.phase, check.id);
    if (answer !== check.right) {
      lacks("check", check.id, answer === undefined ? "not given" : "wrong", check.accept);
    }
  }
  for (const { name, why, accept } of readingsMissing(state)) lacks("reading", name, why, accept);
  for (const { id, side } of phase.counts) {
    if (given(state.counts, state.phase, `${id} ${side}`) === undefined) {
      lacks("count", `${id} ${side}`, "not given", "nobody");
    } else if (side === "in") {
      const out = counted(state, id, "out");
      if (out !== null && out !== counted(state, id, "in")) {
        lacks("count", `${id} in`, "differs", "supervisor");
      }
    }
  }
  if (approvalOwed(state)) lacks("approval", "first piece", "not given", "supervisor");
  const left = notAccepted(state, found);
  if (!phase.place || left.some((missing) => missing.what === "reading")) return left;
  const place = placeMissing(state).map((why) => ({ what: "place", name: "place", why, accept: "supervisor" }));
  return [...left, ...notAccepted(state, place)];
}

function notAccepted(state, missing) {
  const isOf = (m) => ([phase, what, name]) => phase === state.phase && what === m.what && name === m.name;
  return missing.filter((one) => !state.accepted.some(isOf(one)));
}

function byParts(one, other) {
  const at = one.findIndex((part, index) => part !== other[index]);
  return at < 0 ? 0 : one[at] < other[at] ? -1 : 1;
}

/** The state as the server has it too; what is missing is found when somebody asks, for a place takes long to judge. */
export function asJson(state) {
  let missing = null;
  return {
    status: statusOf(state),
    phase: state.phase,
    garments: state.garments,
    scrapped: state.scrapped,
    operator: state.operator,
    device: state.device,
    since: state.since,
    pause: state.pause,
    problems: state.problems,
    answers: state.answers,
    readings: state.readings,
    counts: state.counts,
    tries: state.tries,
    accepted: [...state.accepted].sort(byParts),
    approved: [...state.approved].sort((a, b) => a - b),
    rework: inRework(state),
    sent_back: state.sent_back,
    get missing() {
      return (missing ??= missingOf(state));
    },
  };
}
