// The job page's chart and what may be started from it. Pure.

import { garmentsNamed, plain } from "./words.js";

const STATE_WORDS = { done: "done", "under way": "under way", next: "next", later: "to come" };

export function rowsOf(page) {
  return page.garments.map((garment) => ({
    ...garment,
    about: [garment.size, garment.name].filter(Boolean).join(", "),
    standing: garment.awaits_restart ? "scrapped: a new blank" : garment.finished ? "finished" : "",
    cells: garment.cells.map((cell) => ({
      ...cell,
      look: cell.state === "done" ? "sewn" : cell.state === "under way" ? "here" : "ahead",
      words: `${titleOf(page, cell.section)}: ${STATE_WORDS[cell.state]}`,
    })),
  }));
}

function titleOf(page, key) {
  const section = page.sections.find((one) => one.key === key);
  return section ? section.title : key;
}

export function loadSections(page) {
  return page.sections.filter((section) => section.scope === "load");
}

export function jobSections(page) {
  return page.sections.filter((section) => section.scope === "job");
}

// What the big button does for the garments chosen: "start", "resume", "finished" or "wait"; null: nothing to do.
export function proposal(page, load) {
  if (!load.length) return proposed(page);
  const first = garment(page, load[0]);
  const running = first.cells.find((cell) => cell.state === "under way");
  if (running) return { kind: "resume", run: running.run, sentence: sentence(page, running.section, load) };
  const cell = nextCell(first);
  if (first.finished || !cell) return { kind: "finished", sentence: `Garment ${first.number} is finished` };
  if (page.next && page.next.section === cell.section && same(page.next.garments, load)) return proposed(page);
  const owed = jobSections(page).find((section) => section.state !== "done");
  if (owed) return { kind: "wait", sentence: `${owed.title} comes first for the whole job` };
  if (!load.every((number) => mayBeSewn(page, number))) return { kind: "wait", sentence: page.approval };
  return { kind: "start", section: cell.section, garments: load, first_piece: page.first_piece.owed, sentence: sentence(page, cell.section, load) };
}

// Before the first piece is approved only its own garments are sewn.
function mayBeSewn(page, number) {
  const { owed, garments } = page.first_piece;
  return !owed || !garments.length || garments.includes(number);
}

function proposed(page) {
  if (page.next) return { ...page.next, kind: "start" };
  const [running] = page.runs;
  return running ? { kind: "resume", run: running.run, sentence: runWords(running), first_piece: false } : null;
}

function nextCell(garment) {
  return garment.cells.find((cell) => cell.state === "next") || garment.cells.find((cell) => cell.state === "later");
}

export function garment(page, number) {
  return page.garments.find((one) => one.number === number);
}

// Those that may share the load with the garment: of its size, with the same section next.
export function companions(page, number) {
  const first = garment(page, number);
  const wanted = nextCell(first);
  if (!wanted) return [];
  return page.garments.filter((one) => {
    const cell = nextCell(one);
    const free = !one.finished && !one.cells.some((own) => own.state === "under way") && mayBeSewn(page, one.number);
    return free && one.size === first.size && cell && cell.section === wanted.section;
  });
}

export function doneCells(page, number) {
  const first = garment(page, number);
  return first.cells.filter((cell) => cell.state === "done").map((cell) => ({ ...cell, title: titleOf(page, cell.section) }));
}

export function sentence(page, section, load) {
  const one = load.length === 1 ? ` (${garment(page, load[0]).size})` : "";
  return `${titleOf(page, section)}, ${garmentsNamed(load)}${one}`;
}

function same(a, b) {
  return a.length === b.length && a.every((number) => b.includes(number));
}

export function runWords(run) {
  const what = run.garments.length ? garmentsNamed(run.garments) : "the whole job";
  return `${what.slice(0, 1).toUpperCase()}${what.slice(1)}, ${plain(run.title)}`;
}

export function runNow(run) {
  const standing = { paused: "paused", held: "held" }[run.status];
  return [standing, run.phase_title ? plain(run.phase_title) : "", run.operator].filter(Boolean).join(" — ");
}
