// One place read more than once: whether the takes agree, and what they come to. The first reading of these
// rules is floor/domain/takes.py; tests/vectors hold both equal.

const AGREE_MM = 0.5;
const MIRRORED_MM = 1.0; // a value that fits so much better with the other sign was told for the wrong side
const LAST_DIGIT_MM = 1e-9;

export const MOST_TAKES = 3;

/** The name under which a run keeps a take: "u", then "u 2" and "u 3". */
export const takeName = (reading, take) => (take === 1 ? reading : `${reading} ${take}`);

const mean = (values) => values.reduce((sum, value) => sum + value, 0) / values.length;

/**
 * What the takes of a place come to, mm, where `wanted` are asked: {value, takes}; null while it wants another
 * take, or none agrees. Of three, one that neither of the others bears out is left aside.
 */
export function settle(values, wanted) {
  if (values.length < wanted) return null;
  if (wanted === 1) return { value: values.at(-1), takes: 1 };
  const ordered = [...values].sort((a, b) => a - b);
  const agree = (difference) => difference <= AGREE_MM + LAST_DIGIT_MM;
  if (agree(ordered.at(-1) - ordered[0])) return { value: mean(ordered), takes: ordered.length };
  if (ordered.length < MOST_TAKES) return null;
  const [lower, middle, upper] = ordered;
  const [below, above] = [middle - lower, upper - middle];
  if (!agree(Math.min(below, above))) return null;
  // The middle one bears both out.
  if (agree(Math.max(below, above))) return { value: mean(ordered), takes: 3 };
  return { value: below < above ? (lower + middle) / 2 : (middle + upper) / 2, takes: 2 };
}

/** Whether the value looks as if it was told for the wrong side of the button or the edge. */
export const isMirrored = (reading, value) =>
  reading.takes > 1 &&
  Math.abs(value - reading.expected) > Math.abs(-value - reading.expected) + MIRRORED_MM;

/** Whether it is asked about before it counts: outside what stands by itself, or on the wrong side. */
export const isDoubtful = (reading, value) =>
  !(reading.low <= value && value <= reading.high) || isMirrored(reading, value);
