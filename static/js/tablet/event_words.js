// An event as a few words, for "the last things done".

import { said } from "./place_view.js";
import { garmentsNamed, mm, plain } from "./words.js";

const AGAIN = { nudged: "moved the start", "laid again": "lifted it to lay it again", "read again": "measures once more" };

const TOLD = {
  open: (data) => `${data.operator} began`,
  check: (data) => `answered “${data.value}”`,
  reading: (data, phase) => {
    const reading = phase ? phase.readings.find((one) => one.id === data.reading) : null;
    const value = reading && reading.plus ? said(reading, data.value, "mm") : `${mm(data.value)} mm`;
    return `read ${value}${reading && reading.mark ? ` at ${reading.mark}` : ""}`;
  },
  again: (data) => AGAIN[data.how],
  count: (data) => `counted ${data.value} ${data.count}`,
  done: (data, phase) => `done: ${phase ? plain(phase.title) : "a step"}`,
  pause: (data, phase, catalogue) => `paused: ${catalogue.pause_reasons[data.reason]}`,
  resume: () => "went on",
  problem: (data, phase, catalogue) => `told: ${plain(catalogue.problems[data.problem].words)}`,
  cleared: () => "put right",
  redo: (data, phase, catalogue) => `went back: ${catalogue.redo_causes[data.cause]}`,
  accept: (data) => `taken as it is: ${data.reason}`,
  scrap: (data) => `scrapped ${garmentsNamed(data.garments)}`,
  hand_over: (data) => `handed over to ${data.to}`,
  take_over: (data) => `${data.operator} took it over`,
  approve: () => "approved",
  note: (data) => `noted: ${data.text}`,
  photo: () => "took a picture",
  settle: () => "a supervisor kept a tap as a note",
};

function eventWords(event, checklist, catalogue) {
  const tell = TOLD[event.kind];
  return tell ? tell(event.data, checklist.phases[event.phase], catalogue) : event.kind;
}

// `brief`: for the narrow row, where "done: " three times over would leave no room for what was done.
export function lastThings(steps, checklist, catalogue, count = 3) {
  return steps.slice(-count).map(({ event }) => {
    const words = eventWords(event, checklist, catalogue);
    return { id: event.id, words, brief: event.kind === "done" ? words.replace("done: ", "") : words };
  });
}
