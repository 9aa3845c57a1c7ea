// One run as this tablet can tell it without a server: its events, its checklist, and what they amount to.

import { replay, when } from "../run.js";
import { factsOf } from "../run_facts.js";
import { readPayload } from "../payloads.js";
import { SetAside } from "../fields.js";
import { checklistOf } from "./checklist_of.js";

/** What the event that opened the run said, as the server reads it; null where none of the events can. */
export function openingOf(events, catalogue) {
  for (const event of events.filter(({ kind }) => kind === "open")) {
    try {
      return readPayload(event, catalogue);
    } catch (unreadable) {
      if (!(unreadable instanceof SetAside)) throw unreadable;
    }
  }
  return null;
}

/** `events`: all that are known, as the server has them or would; `pending`: ids of those that it has not answered for;
 *  `bundle`: of the run's job; `kept`: the run's page as the server gave it last, or null. null where the tablet has no
 *  checklist for it. */
export function ownRun(run, events, pending, bundle, catalogue, kept = null) {
  const opening = kept?.opening ?? openingOf(events, catalogue);
  const revision = opening && bundle.revisions[opening.revision];
  if (!revision) return null;
  const { section, garments, first_piece, hand } = opening;
  const checklist = kept?.checklist ?? checklistOf(revision, section, garments, first_piece, hand);
  if (!checklist) return null;
  const replayed = replay(checklist, opening, events, catalogue, "", kept?.too_late ?? {});
  const facts = factsOf(run, opening, replayed);
  const lastAt = Math.max(facts.opened_at, ...replayed.steps.map(({ event }) => when(event)));
  const refusal = kept?.refusal ?? "";
  return { run, opening, events, pending, isPending: pending.size > 0, checklist, replayed, facts, lastAt, refusal };
}

/** The event as the server will have it, as far as a tablet can know: until it has answered, the rest is assumed. */
export function dressed(event, shop, offset) {
  const { token, ...data } = event.data;
  const authority = SIGNED.includes(event.kind) ? (token ? "supervisor" : shop.one_person ? "self" : null) : null;
  return { ...event, data, offset_ms: event.offset_ms ?? offset, authority, by: null };
}

const SIGNED = ["approve", "accept", "cleared"]; // what a supervisor may have to stand behind
