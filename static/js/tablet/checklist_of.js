// The checklist of a load, laid out on the tablet from what it holds of the job: just what the server's
// plan.checklist(…).as_json() gives. floor/queries/held_layouts.py tells how the templates are made.

import { numbered } from "./numbered.js";

// Signs for the load's garments and for the phase's own one; the others begin a sentence.
const [ALL, ALL_FIRST, ONE, ONE_FIRST] = ["\u0001", "\u0002", "\u0003", "\u0004"];
const ANY_SIGN = /[\u0001-\u0004]/g;
// How a shop lays and reads before its own runs have told (floor/domain/hand.py).
const USUAL_HAND = {
  along: 1.2, across: 1.2, skew: 0.33, stretch: 0.5, sewn_along: 0.5, sewn_across: 0.5, sewn_skew: 0.3, reading: 0.35,
};

/** `revision`: of a bundle's, with its layouts. null where this tablet has no such checklist. */
export function checklistOf(revision, section, garments, firstPiece, hand) {
  const { terms, layouts, piece } = revision;
  const of = terms.sections.find(({ key }) => key === section);
  if (!of || !layouts) return null;
  const isOfJob = of.scope === "job";
  const lists = isOfJob ? [layouts.lists[section]] : listsOf(revision, section, garments, firstPiece);
  if (!lists?.length || lists.some((list) => !list)) return null;
  const { title, place, front, earlier } = layouts.sections[section];
  return {
    section,
    title,
    place,
    front,
    phases: lists[0].map((_, index) => {
      // A phase that is about one garment is as that garment's size has it.
      const about = isOfJob ? null : lists[0][index][4];
      const row = lists[about ?? 0][index];
      return phaseOf(layouts, row, wordsOf(piece, isOfJob ? [] : garments, about), garments[about], hand ?? USUAL_HAND);
    }),
    earlier,
  };
}

/** The template of each garment's size. */
function listsOf({ terms, layouts }, section, garments, firstPiece) {
  const first = Number(firstPiece && terms.approval_needed);
  return garments.map((number) => {
    const garment = terms.garments.find((one) => one.number === number);
    return garment && layouts.lists[`${section}|${garment.size}|${garments.length}|${first}`];
  });
}

function wordsOf(piece, garments, about) {
  const all = numbered(piece, garments);
  const one = about === null ? all : numbered(piece, [garments[about]]);
  return { [ALL]: all, [ALL_FIRST]: capital(all), [ONE]: one, [ONE_FIRST]: capital(one) };
}

const capital = (text) => text.slice(0, 1).toUpperCase() + text.slice(1);

function phaseOf(layouts, [at, from, to, expected], words, garment, hand) {
  const part = filled(layouts.parts[at], words);
  return {
    key: part.key,
    title: part.title,
    text: part.text,
    who: part.who,
    usual_s: [from, to],
    expected_s: expected,
    cautions: part.cautions,
    checks: part.checks,
    readings: part.readings,
    counts: part.counts,
    layer: part.layer,
    restart: part.restart,
    no_return: part.no_return,
    approval: part.approval,
    picture: part.picture,
    garment: garment ?? null,
    place: placeOf(layouts, part.place, hand),
  };
}

function placeOf(layouts, place, hand) {
  if (!place) return null;
  const { kind, nudges, against, relay_to } = place;
  return { kind, sums: { ...layouts.sums[place.sums], nudges }, hand, against, relay_to };
}

function filled(value, words) {
  if (typeof value === "string") return value.replace(ANY_SIGN, (sign) => words[sign]);
  if (Array.isArray(value)) return value.map((one) => filled(one, words));
  if (value === null || typeof value !== "object") return value;
  return Object.fromEntries(Object.entries(value).map(([key, one]) => [key, filled(one, words)]));
}
