// What may be said of the phase that a run is at: its checks, readings and counts, its end, its approval. The
// tablet's reading of floor/domain/rules_of_phase.py, in the same order and with the same sentences.

import { SetAside } from "./fields.js";
import { settledPlace, triesOf } from "./place_in_run.js";
import { approvalOwed, currentPhase, missingOf } from "./run_state.js";
import { takeName } from "./takes.js";

const set = (values, phase, name, value) => ({ ...values, [phase]: { ...values[phase], [name]: value } });
const without = (accepted, phase, what, name) =>
  accepted.filter((item) => item[0] !== phase || item[1] !== what || item[2] !== name);
const except = (values, phase) =>
  Object.fromEntries(Object.entries(values).filter(([key]) => Number(key) !== phase));
const capital = (word) => word[0].toUpperCase() + word.slice(1);

function told({ what, name, why }) {
  if (what === "reading" && why === "differs") return `no two takes of reading ${name} agreed`;
  return {
    "not given": `${what} ${name} was not given`,
    wrong: `${what} ${name} was answered otherwise`,
    outside: `${what} ${name} was outside its limits`,
    differs: `${name} differed from what was counted out`,
    nudge: "the start was to be moved first",
    "re-lay": "the front was to be laid again first",
    read: "the place was to be read once more",
    decide: "the other front lies so far off that somebody decides about it first",
  }[why];
}

export const RULES_OF_PHASE = {
  check(state, event, said) {
    const check = currentPhase(state).checks.find(({ id }) => id === said.check);
    if (!check) throw new SetAside(`This phase has no check "${said.check}".`);
    if (!check.answers.includes(said.value)) {
      throw new SetAside(`“${said.value}” is not an answer to “${check.ask}”.`);
    }
    return {
      ...state,
      answers: set(state.answers, state.phase, said.check, said.value),
      accepted: without(state.accepted, state.phase, "check", said.check),
    };
  },

  reading(state, event, said) {
    const asked = currentPhase(state).readings.find(({ id }) => id === said.reading);
    if (!asked) throw new SetAside(`This phase has no reading "${said.reading}".`);
    if (said.take > 1 && asked.takes === 1) {
      throw new SetAside(`"${said.reading}" is read once in this phase.`);
    }
    const name = takeName(said.reading, said.take);
    const accepted = without(state.accepted, state.phase, "reading", name);
    return {
      ...state,
      readings: set(state.readings, state.phase, name, said.value),
      // A place read anew is another place than the one that was taken as it lay.
      accepted: without(accepted, state.phase, "place", "place"),
    };
  },

  again(state, event, said) {
    if (currentPhase(state).place?.kind !== "set") throw new SetAside("This phase judges no place.");
    const settled = settledPlace(state, state.phase);
    if (!settled || missingOf(state).some(({ what }) => what === "reading")) {
      throw new SetAside("The place had not been read yet.");
    }
    const [readings, takes] = settled;
    const tried = { readings, takes, how: said.how, along: said.along, across: said.across };
    return {
      ...state,
      readings: except(state.readings, state.phase),
      tries: { ...state.tries, [state.phase]: [...triesOf(state, state.phase), tried] },
      accepted: state.accepted.filter(
        ([phase, what]) => phase !== state.phase || (what !== "reading" && what !== "place"),
      ),
    };
  },

  count(state, event, said) {
    if (!currentPhase(state).counts.some(({ id, side }) => id === said.count && side === said.side)) {
      throw new SetAside(`This phase does not count ${said.count} ${said.side}.`);
    }
    return {
      ...state,
      counts: set(state.counts, state.phase, `${said.count} ${said.side}`, said.value),
      // Either side counted anew makes another difference than the one that was taken as it is.
      accepted: without(state.accepted, state.phase, "count", `${said.count} in`),
    };
  },

  done(state) {
    const missing = missingOf(state);
    if (missing.length > 0) throw new SetAside(`The phase could not end: ${told(missing[0])}.`);
    return { ...state, phase: state.phase + 1 };
  },

  accept(state, event, said) {
    const wanted = missingOf(state).find(({ what, name }) => what === said.what && name === said.name);
    if (!wanted) throw new SetAside(`${capital(said.what)} ${said.name} did not stand in the way.`);
    if (wanted.accept === "nobody") {
      throw new SetAside(`${capital(said.what)} ${said.name} cannot be taken as it is.`);
    }
    if (wanted.accept === "supervisor" && !event.authority) {
      throw new SetAside(`Only a supervisor can take ${said.what} ${said.name} as it is.`);
    }
    return { ...state, accepted: [...state.accepted, [state.phase, said.what, said.name]] };
  },

  approve(state, event) {
    if (!approvalOwed(state)) throw new SetAside("No approval was owed.");
    if (!event.authority) throw new SetAside("Only a supervisor can approve the first piece.");
    return { ...state, approved: [...state.approved, state.phase] };
  },
};
