// A run's end for the operator: what each phase took against what is usual.

import { timeLog } from "../run_time.js";
import { plain } from "./words.js";

const LEAST_S = 1;

export function summarise(checklist, steps, catalogue, until) {
  const rows = timeLog(checklist, steps, until).filter((row) => spent(row) >= LEAST_S);
  const usualOf = (row) => checklist.phases[row.index].usual_s;
  const full = Math.max(1, ...rows.map((row) => Math.max(spent(row), usualOf(row)[1])));
  const percent = (seconds) => `${Math.round((1000 * seconds) / full) / 10}%`;
  const sum = (list) => list.reduce((total, value) => total + value, 0);
  return {
    took: sum(rows.map(spent)),
    usual: [sum(rows.map((row) => usualOf(row)[0])), sum(rows.map((row) => usualOf(row)[1]))],
    away: sum(rows.map((row) => row.pause_s + row.problem_s)),
    rework: sum(rows.map((row) => row.rework_s)),
    rows: rows.map((row) => ({
      index: row.index,
      title: row.title,
      machine: row.who === "machine",
      over: spent(row) > usualOf(row)[1],
      minutes: (spent(row) / 60).toFixed(1),
      usualMinutes: usualOf(row).map((seconds) => (seconds / 60).toFixed(1)).join(" to "),
      from: percent(usualOf(row)[0]),
      band: percent(usualOf(row)[1] - usualOf(row)[0]),
      work: percent(row.work_s + row.rework_s),
      waiting: percent(row.waiting_s),
      hasWaiting: row.waiting_s >= LEAST_S,
    })),
    problems: steps.filter((step) => step.event.kind === "problem").map((step) => ({
      id: step.event.id,
      words: catalogue.problems[step.event.data.problem].words + (step.event.data.note ? `: ${step.event.data.note}` : ""),
      where: checklist.phases[step.event.phase] ? plain(checklist.phases[step.event.phase].title) : "",
    })),
  };
}

function spent(row) {
  return row.work_s + row.rework_s + row.waiting_s;
}
