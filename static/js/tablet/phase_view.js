// What the run page says of the phase at hand. Pure: state in, words and numbers out.

import { partsOfName } from "./place_view.js";
import { listed, plain, roughly } from "./words.js";

const ROOM_BEYOND_USUAL = 1.4; // the time bar ends this far beyond the usual range, or at what it took

// Seconds in the present visit to the current phase, pauses and blocking problems left out; null before it began.
export function elapsedHere(steps, until) {
  if (!steps.length) return null;
  const phase = steps[steps.length - 1].after.phase;
  let from = steps.length - 1;
  while (from > 0 && steps[from - 1].after.phase === phase && steps[from].event.kind !== "redo") from -= 1;
  let ms = 0;
  for (let at = from; at < steps.length; at += 1) {
    const start = when(steps[at].event);
    const end = at + 1 < steps.length ? when(steps[at + 1].event) : until;
    const isUnknown = at + 1 < steps.length && steps[at + 1].event.adrift; // nobody knows how long it was
    if (!isUnknown && !stands(steps[at].after)) ms += Math.max(0, end - start);
  }
  return ms / 1000;
}

// Seconds since the run came to stand still; null while it does not.
export function heldFor(steps, until) {
  let from = steps.length;
  while (from > 0 && stands(steps[from - 1].after)) from -= 1;
  return from === steps.length ? null : Math.max(0, until - when(steps[from].event)) / 1000;
}

export function when(event) {
  return event.at + event.offset_ms;
}

function stands(state) {
  return state.status === "paused" || state.problems.some((problem) => problem.blocking);
}

export function timeBar([low, high], elapsed) {
  const full = Math.max(high * ROOM_BEYOND_USUAL, elapsed || 0);
  const percent = (seconds) => `${Math.round((1000 * Math.min(seconds, full)) / full) / 10}%`;
  return { from: percent(low), width: percent(high - low), now: percent(elapsed || 0) };
}

export function nextWords(checklist, index) {
  const next = checklist.phases[index + 1];
  if (!next) return { title: `the last step: ${plain(checklist.title)} is then finished`, time: "" };
  return { title: `next: ${plain(next.title)}`, time: `${roughly(next.expected_s)}, ${next.who === "hands" ? "by hand" : next.who}` };
}

// The one big button. `kind`: "done", "answers", "first", "approve"; `what`: the missing thing it speaks of. What is
// missing of a judged place has buttons of its own (place_judged.js).
export function mainAction(phase, state, alone) {
  const owed = state.missing.filter((missing) => missing.what !== "approval");
  const ending = (missing) => find(phase, missing) && find(phase, missing).ends;
  const first = owed.find((missing) => !ending(missing));
  if (first) return { kind: "first", what: first, label: sayFirst(phase, owed, first), care: first.why !== "not given" };
  const last = owed[0];
  if (last && last.what === "check") return { kind: "answers", what: last, check: find(phase, last), label: "" };
  if (last) return { kind: "first", what: last, label: sayFirst(phase, owed, last), care: last.why !== "not given" };
  if (state.missing.length) {
    return { kind: "approve", what: state.missing[0], label: alone ? "Approve it: it is good" : "A supervisor approves it here" };
  }
  return { kind: "done", what: null, label: "Done" };
}

export function find(phase, missing) {
  if (missing.what === "check") return phase.checks.find((check) => check.id === missing.name);
  if (missing.what === "reading") return phase.readings.find((reading) => reading.id === partsOfName(missing.name).id);
  if (missing.what === "place") return { ask: phase.title };
  return phase.counts.find((count) => `${count.id} ${count.side}` === missing.name);
}

function sayFirst(phase, owed, first) {
  const marks = (why) =>
    owed.filter((one) => one.what === "reading" && one.why === why).map((one) => find(phase, one).mark || "it");
  if (first.what === "check" && first.why === "wrong") return "Put it right, then answer again";
  if (first.what === "check") return find(phase, first).answers.length === 1 ? "Look first, then tick it above" : "Answer above first";
  if (first.what === "count") return first.why === "differs" ? "The counts do not agree" : "Count, then tap the number";
  if (first.why === "outside") return `Outside its limits: ${listed(marks("outside"))}`;
  return `Measure first: ${listed(marks("not given"))}`;
}
