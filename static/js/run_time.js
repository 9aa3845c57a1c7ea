// A run's steps -> its time log: the tablet's reading of floor/domain/timing.py. Every stretch between two
// events belongs to one phase and to one of the parts, so that the parts add up to the run's span.

import { when } from "./run.js";

const MS = 1000;
const CLOCK_ERROR_MS = 2000; // two taps in haste may seem to go backwards by as much as a measured clock is off
const NOT_UNDER_WAY = ["void", "finished", "scrapped", "sent back"];

/** To which part of a phase's time a stretch in this state belongs. */
function partOf(state) {
  if (state.pause) return "pause";
  if (state.problems.some((problem) => problem.blocking)) return "problem";
  if (state.status === "held") return "waiting"; // nothing blocks, so an approval is owed
  return state.rework ? "rework" : "work";
}

/**
 * The time of each phase that was begun, in the route's order. `until`: ms by the server's clock, to where the
 * open stretch of a run that goes on is counted; left out when null.
 */
export function timeLog(checklist, steps, until = null) {
  const sums = new Map();
  let before = null;
  steps.forEach((step, at) => {
    const state = step.after;
    const start = when(step.event);
    const entered = NOT_UNDER_WAY.includes(state.status) ? null : state.phase;
    if (before !== null && before !== entered) sums.get(before).ended = start;
    if (entered !== null && entered !== before) {
      if (!sums.has(entered)) sums.set(entered, begun(start));
      sums.get(entered).times += 1;
      sums.get(entered).ended = null;
    }
    before = entered;
    const end = at + 1 < steps.length ? when(steps[at + 1].event) : until;
    if (entered === null || end === null) return;
    if (end < start - CLOCK_ERROR_MS || steps[at + 1]?.event.adrift) sums.get(entered).jumps += 1;
    else sums.get(entered).ms[partOf(state)] += Math.max(0, end - start);
  });
  return [...sums.keys()]
    .sort((a, b) => a - b)
    .map((index) => phaseTime(index, checklist.phases[index], sums.get(index)));
}

const begun = (started) => ({
  started,
  ended: null,
  times: 0,
  jumps: 0,
  ms: { work: 0, rework: 0, waiting: 0, pause: 0, problem: 0 },
});

function phaseTime(index, phase, sums) {
  const ms = { ...sums.ms };
  if (phase.who === "machine") {
    // A machine sews no longer than its stitches take: the rest of its time somebody was waited for.
    const beyond = Math.max(0, ms.work - halfToEven(phase.expected_s * MS));
    ms.work -= beyond;
    ms.waiting += beyond;
  }
  return {
    index,
    key: phase.key,
    title: phase.title,
    who: phase.who,
    layer: phase.layer,
    expected_s: phase.expected_s,
    work_s: ms.work / MS,
    rework_s: ms.rework / MS,
    waiting_s: ms.waiting / MS,
    pause_s: ms.pause / MS,
    problem_s: ms.problem / MS,
    started: sums.started,
    ended: sums.ended,
    times: sums.times,
    jumps: sums.jumps,
  };
}

/** Rounds as the server does: a half goes to the even neighbour. */
function halfToEven(value) {
  const floor = Math.floor(value);
  if (value - floor !== 0.5) return Math.round(value);
  return floor % 2 === 0 ? floor : floor + 1;
}
