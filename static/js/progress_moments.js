// How a run stood at a moment: of floor/domain/progress.py and history.py, what asks for the time. All ms.

// Two tablets' clocks, corrected, still differ a little: a run that begins this soon before another's end has begun
// after it.
export const CLOCK_GRACE_MS = 60_000;

export const overBy = ({ ended_at }, moment) => ended_at !== null && ended_at <= moment + CLOCK_GRACE_MS;

/** The garments that were scrapped by then: scrapped later, one is still in the load. */
export const lostBy = ({ scrapped, scrapped_at }, moment) =>
  scrapped.filter((_, at) => scrapped_at[at] <= moment + CLOCK_GRACE_MS);

export const hasBy = (facts, number, moment) =>
  facts.garments.includes(number) && !overBy(facts, moment) && !lostBy(facts, moment).includes(number);

/** Whether one of the spans, [from, until or null], held at `moment`. */
export const stoodAt = (spans, moment) =>
  spans.some(([start, until]) => start <= moment + CLOCK_GRACE_MS && (until === null || moment < until));
