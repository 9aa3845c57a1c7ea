// A phase's readings in a run: which takes it still wants, what they come to, and what is to be done about it.
// The first reading is floor/domain/place_in_run.py. A state is that of run_state.js, or what `replay` gives
// with its checklist beside it: {...state, checklist}.

import { own } from "./fields.js";
import { weigh } from "./place.js";
import { asSewn, isForetold, meansOf } from "./place_lie.js";
import { MOST_TAKES, isDoubtful, settle, takeName } from "./takes.js";

const DECIDE_OFF_MM = 6; // the first front is so far off that somebody decides before the second is spent
const DECIDE_SKEW_DEG = 1;
const TAKES = Array.from({ length: MOST_TAKES }, (_, at) => at + 1);

const phasesOf = (state) => state.checklist.phases;
const valueOf = (state, phase, name) => own(own(state.readings, phase) ?? {}, name);
export const triesOf = (state, phase) => own(state.tries, phase) ?? [];

/** {name, why, accept} of each reading that the current phase lacks: every place's first take, then every
 *  second one, then what must be read again because two takes differ. */
export function readingsMissing(state) {
  const { readings } = phasesOf(state)[state.phase];
  const wanted = new Map(readings.map((reading) => [reading.id, takesWanted(state, state.phase, reading)]));
  const found = [];
  for (const take of TAKES) {
    for (const reading of readings) {
      const name = takeName(reading.id, take);
      const value = valueOf(state, state.phase, name);
      if (value === undefined) {
        if (take <= wanted.get(reading.id)) found.push({ name, why: "not given", accept: "nobody" });
      } else if (isDoubtful(reading, value)) {
        const never = !(reading.never_low <= value && value <= reading.never_high);
        found.push({ name, why: "outside", accept: never ? "nobody" : reading.accept });
      }
    }
  }
  for (const { id } of readings) {
    const values = takesOf(state, state.phase, id);
    if (values.length < wanted.get(id) || settle(values, wanted.get(id))) continue;
    if (values.length < MOST_TAKES) {
      found.push({ name: takeName(id, MOST_TAKES), why: "not given", accept: "nobody" });
    } else {
      found.push({ name: id, why: "differs", accept: "nobody" });
    }
  }
  return found;
}

/** What was read at one place, in the order of its takes. */
export const takesOf = (state, phase, reading) =>
  TAKES.map((take) => valueOf(state, phase, takeName(reading, take))).filter((value) => value !== undefined);

/** How often a place is read in this round. After a nudge what was read before foretells what is read now, and
 *  guards against a slip as a second take does: one is enough, unless the four tell of another place. A second
 *  that was taken counts all the same. */
function takesWanted(state, index, reading) {
  const { place, readings } = phasesOf(state)[index];
  const tries = triesOf(state, index);
  if (!place || !tries.length || tries.at(-1).how === "laid again") return reading.takes;
  const firsts = readings.map(({ id }) => valueOf(state, index, id));
  if (firsts.includes(undefined) || isForetold(place.sums, place.hand, tries, firsts, 1)) {
    return takesOf(state, index, reading.id).length > 1 ? 2 : 1;
  }
  return reading.takes;
}

/** What the readings of a place come to: [[u, l, a, b], how many takes each rests on, their mean]; null while
 *  one is not settled. */
export function settledPlace(state, index) {
  const found = phasesOf(state)[index].readings.map((reading) =>
    settle(takesOf(state, index, reading.id), takesWanted(state, index, reading)),
  );
  if (found.includes(null)) return null;
  return [found.map(({ value }) => value), found.reduce((sum, { takes }) => sum + takes, 0) / found.length];
}

/** What is best done about the front in the hoop, by what phase `index` has read so far, as `weigh` says it;
 *  null while its readings are not settled, or where they tell no such place. */
export function judged(state, index) {
  const { place } = phasesOf(state)[index];
  const settled = place?.kind === "set" ? settledPlace(state, index) : null;
  if (!settled) return null;
  const [readings, takes] = settled;
  const now = { readings, takes, how: null, along: 0, across: 0 };
  return weigh(place.sums, place.hand, [...triesOf(state, index), now], against(state, place));
}

/** What must be done about the current phase's place before it can end, [] for nothing. Its readings are
 *  settled. */
export function placeMissing(state) {
  const { place } = phasesOf(state)[state.phase];
  if (place.kind === "sewn") return isFarOff(state, place) ? ["decide"] : [];
  const found = judged(state, state.phase);
  return found && found.verdict !== "sew" ? [found.verdict] : [];
}

/** Whether the other front was sewn so far off its drawn place that somebody must decide about it first: as far as
 *  is believed, for crossings near each other hardly tell a skew. */
export function isFarOff(state, place) {
  const settled = settledPlace(state, state.phase);
  if (!settled) return false;
  const lies = meansOf(asSewn(place.sums, place.hand, ...settled));
  const skewDeg = Math.abs(lies.skew) * (180 / Math.PI);
  return Math.max(Math.abs(lies.along), Math.abs(lies.across)) > DECIDE_OFF_MM || skewDeg > DECIDE_SKEW_DEG;
}

/** The other front as this run measured it; null for the front that is sewn first. */
function against(state, place) {
  const index = phasesOf(state).findIndex(({ key }) => key === place.against);
  return index < 0 ? null : settledPlace(state, index);
}
