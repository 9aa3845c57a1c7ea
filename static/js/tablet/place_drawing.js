// One reading place, large enough to point at: what it is measured from, the needle or the sewing's edge, and a
// tape beside them. Where all of it lies is reckoned in place_layout.js.

import { amount, figure, marksOf } from "./tape_units.js";
import { line, rect, svg, words } from "./svg.js";
import { referenceOf, shortSide, sideWords } from "./place_view.js";

const TORN_PX = 44; // from what lies beyond the tape to the torn edge
const TAPE_PX = 132; // its width
const FROM_THE_SIDE_PX = 28;
const LYING_TAPE_PX = 100; // its height where it lies
const ROOM_FOR_ONE_PX = 330; // for a side's words beside the tape
const ROOM_FOR_BOTH_PX = 640; // for the words of both sides in one row
const INK = "var(--ink)";
const CHALK = "var(--chalk)";
const PAPER = "var(--paper)";
const WHITE = "var(--white)";
const CLOTH = "var(--cloth)";
const CLOTH_LINE = "var(--cloth-line)";
const BACKING = "var(--backing)";
const THREAD = "var(--thread)";
const STITCH = "var(--rule)";
const TAPE = "var(--care-pale)";
const BIG = { "font-size": 30, "font-weight": 800, fill: INK, stroke: PAPER, "stroke-width": 7, "paint-order": "stroke" };

/** The drawing, as SVG elements. `value`: where the line stands, null: not read yet, it is drawn pale as planned. */
export function drawingOf({ reading, kind, value, unit, layout }) {
  const board = layout.isAcross ? acrossTheEdge(layout) : alongTheEdge(layout);
  const sewn = kind === "sewn" ? board.sewing(layout.at(value ?? reading.expected), reading) : [];
  return [
    ...board.ground(reading),
    ...sewn,
    ...needleOf({ reading, kind, value, layout, board }),
    ...tapeOf(layout, board, unit),
    ...board.reference(reading),
    ...board.sides(reading),
    tagOf({ reading, value, unit, layout, board }),
  ];
}

// ---- the tape: lengths of its marks (a number's, the one between, the finest), px between numbers, their size
const LOOKS = { mm: { ticks: [48, 30, 16], room: 34, letters: 30 }, in: { ticks: [32, 22, 14], room: 76, letters: 25 } };

function tapeOf(layout, board, unit) {
  const { middle, reach, at } = layout;
  const { least, number, middle: half } = marksOf(unit);
  const look = LOOKS[unit];
  const long = layout.isAcross ? layout.width : layout.height;
  const [first, last] = [Math.ceil((middle - reach) / least), Math.floor((middle + reach) / least)];
  const drawn = [board.band(0, long, { fill: TAPE, stroke: INK, "stroke-width": 2 })];
  let written = -Infinity;
  for (let part = first; part <= last; part += 1) {
    const mm = part * least;
    const isNumber = isWhole(mm / number);
    const tall = look.ticks[isNumber ? 0 : isWhole(mm / half) ? 1 : 2];
    drawn.push(board.mark(at(mm), tall, { stroke: INK, "stroke-width": isNumber ? 4 : 2 }));
    if (isNumber && Math.abs(at(mm) - written) >= look.room) {
      drawn.push(board.number(figure(mm, unit), at(mm), look.letters));
      written = at(mm);
    }
  }
  return drawn;
}

const isWhole = (value) => Math.abs(value - Math.round(value)) < 1e-6;

// ---- the needle's line, or the sewing's edge
function needleOf({ reading, kind, value, layout, board }) {
  const isRead = value !== null;
  const at = layout.at(isRead ? value : reading.expected);
  const drawn = [];
  const look = kind === "sewn" ? {} : { "stroke-dasharray": "22 12" };
  drawn.push(board.across(at, { stroke: PAPER, "stroke-width": 13 }));
  drawn.push(board.across(at, { stroke: CHALK, "stroke-width": 6, opacity: isRead ? null : 0.55, ...look }));
  if (kind === "set") drawn.push(...board.corner(at, reading, isRead));
  return drawn;
}

function tagOf({ reading, value, unit, layout, board }) {
  if (value === null) return board.tag("planned", layout.at(reading.expected), false);
  const side = shortSide(reading, value);
  return board.tag(value === 0 ? side : `${amount(value, unit)} ${side}`, layout.at(value), true);
}

function tagAt(text, x, y, isRead) {
  const wide = 24 + text.length * 17;
  return svg(
    "g",
    {},
    rect(x, y - 25, wide, 50, { rx: 8, fill: isRead ? CHALK : PAPER, stroke: CHALK, "stroke-width": isRead ? null : 2 }),
    words(text, x + wide / 2, y + 11, { "font-size": 30, "font-weight": 800, fill: isRead ? WHITE : INK, "text-anchor": "middle" }),
  );
}

function clothLines(x, y, width, height) {
  const rows = Array.from({ length: Math.ceil(height / 26) }, (_, row) => y + 13 + row * 26);
  return rows.filter((at) => at < y + height).map((at) => line(x, at, x + width, at, { stroke: CLOTH_LINE, "stroke-width": 2, "stroke-dasharray": "13 13" }));
}

function button(x, y) {
  const hole = (dx, dy) => svg("circle", { cx: x + dx, cy: y + dy, r: 4.5, fill: INK });
  return svg(
    "g",
    {},
    svg("circle", { cx: x, cy: y, r: 34, fill: WHITE, stroke: INK, "stroke-width": 3 }),
    [[-11, -11], [11, -11], [-11, 11], [11, 11]].map(([dx, dy]) => hole(dx, dy)),
    line(x - 50, y, x + 50, y, { stroke: INK, "stroke-width": 3 }),
    line(x, y - 50, x, y + 50, { stroke: INK, "stroke-width": 3 }),
  );
}

// Where the tape begins too far away to show it, a torn edge parts it from what it counts from.
function torn(points) {
  const path = points.map(([x, y], at) => `${at ? "L" : "M"}${Math.round(x)} ${Math.round(y)}`).join("");
  return svg("g", {}, svg("path", { d: path, fill: "none", stroke: PAPER, "stroke-width": 14 }), svg("path", { d: path, fill: "none", stroke: INK, "stroke-width": 3 }));
}

const zigzag = (length, at) => Array.from({ length: Math.ceil(length / 20) + 1 }, (_, step) => [step * 20, at + (step % 2 ? 7 : -7)]);

// ---- u and l: up and down, the tape at the right
function alongTheEdge({ width, height, towardPlus, zero, isBeyond }) {
  const tape = width - FROM_THE_SIDE_PX - TAPE_PX;
  return {
    ground: () => [rect(0, 0, width, height, { fill: CLOTH }), ...clothLines(0, 0, width, height)],
    band: (from, to, look) => rect(tape, from - 4, TAPE_PX, to - from + 8, look),
    mark: (at, tall, look) => line(tape, at, tape + tall, at, look),
    number: (text, at, size) => words(text, tape + TAPE_PX - 10, at + 10, { "font-size": size, "font-weight": 700, fill: INK, "text-anchor": "end" }),
    across: (at, look) => line(0, at, tape, at, look),
    reference: (reading) => {
      const name = referenceOf(reading);
      const inner = zero < height / 2 ? 1 : -1;
      const side = zero + (isBeyond ? 9 : -14);
      const label = words(name, name.startsWith("button") ? tape * 0.42 + 62 : tape - 14, side, { ...BIG, "font-size": 26, "text-anchor": name.startsWith("button") ? null : "end" });
      const sign = name.startsWith("button") ? button(tape * 0.42, zero) : null;
      const own = line(0, zero, isBeyond ? tape - 10 : tape + TAPE_PX, zero, { stroke: INK, "stroke-width": 4 });
      return [own, sign, label, isBeyond ? torn(zigzag(width, zero + inner * TORN_PX)) : null].filter(Boolean);
    },
    sides: (reading) => {
      const [up, down] = towardPlus < 0 ? [1, -1] : [-1, 1];
      const sideOf = tape < ROOM_FOR_ONE_PX ? shortSide : sideWords;
      const top = words(`↑ ${sideOf(reading, up)}`, 18, 40, BIG);
      const bottom = words(`↓ ${sideOf(reading, down)}`, 18, height - 20, BIG);
      if (isBeyond) return [zero < height / 2 ? bottom : top];
      return [top, bottom];
    },
    // The design lies below the upper line and above the lower one.
    sewing: (at, reading) => {
      const [from, to] = reading.id === "u" ? [at, height] : [0, at];
      return [rect(0, from, tape, to - from, { fill: THREAD }), ...everyStitch(tape, (x) => stitch(x, from, x + 7, to))];
    },
    corner: () => [],
    tag: (text, at, isRead) => tagAt(text, Math.max(16, tape - 40 - text.length * 17), at + (at > height - 130 || (zero > at && at > 130) ? -46 : 46), isRead),
  };
}

// The sewing lies on one side of its edge: a border's stitches, side by side.
const STITCH_PX = 12;
const everyStitch = (length, draw) => Array.from({ length: Math.ceil(length / STITCH_PX) }, (_, at) => draw(at * STITCH_PX + 5));
const stitch = (x1, y1, x2, y2) => line(x1, y1, x2, y2, { stroke: STITCH, "stroke-width": 3 });

// ---- a and b: across, the tape at the foot
function acrossTheEdge({ width, height, towardPlus, zero, isBeyond }) {
  const tape = height - FROM_THE_SIDE_PX - LYING_TAPE_PX;
  const high = height - tape - FROM_THE_SIDE_PX;
  return {
    ground: (reading) => {
      const isEdge = referenceOf(reading) === "folded edge";
      const [from, to] = !isEdge ? [0, width] : towardPlus > 0 ? [0, zero] : [zero, width];
      return [rect(0, 0, width, height, { fill: BACKING }), rect(from, 0, Math.max(0, to - from), height, { fill: CLOTH }), ...clothLines(from, 0, Math.max(0, to - from), height)];
    },
    band: (from, to, look) => rect(from - 4, tape, to - from + 8, high, look),
    mark: (at, tall, look) => line(at, tape, at, tape + tall, look),
    number: (text, at, size) => words(text, at, tape + high - 14, { "font-size": size, "font-weight": 700, fill: INK, "text-anchor": "middle" }),
    across: (at, look) => line(at, 0, at, tape, look),
    reference: (reading) => {
      const inner = zero < width / 2 ? 1 : -1;
      const turned = isBeyond ? `rotate(${zero < width / 2 ? -90 : 90} ${zero} ${tape / 2})` : null;
      const label = isBeyond
        ? words(referenceOf(reading), zero, tape / 2 - 12, { ...BIG, "font-size": 26, "text-anchor": "middle", transform: turned })
        : words(referenceOf(reading), zero + (zero > width - 190 ? -12 : 12), tape - 18, { ...BIG, "font-size": 26, "text-anchor": zero > width - 190 ? "end" : "start" });
      const own = line(zero, 0, zero, isBeyond ? tape - 8 : tape + high, { stroke: INK, "stroke-width": 8 });
      return [own, isBeyond ? torn(zigzag(height, zero + inner * TORN_PX).map(([y, x]) => [x, y])) : null, label].filter(Boolean);
    },
    sides: (reading) => {
      const [left, right] = towardPlus > 0 ? [-1, 1] : [1, -1];
      const sideOf = !isBeyond && width < ROOM_FOR_BOTH_PX ? shortSide : sideWords;
      const drawn = [];
      const isLeft = isBeyond && zero < width / 2;
      if (!isLeft) drawn.push(words(`← ${sideOf(reading, left)}`, 18, 40, BIG));
      if (!isBeyond || isLeft) drawn.push(words(`${sideOf(reading, right)} →`, width - 18, 40, { ...BIG, "text-anchor": "end" }));
      return drawn;
    },
    sewing: (at) => {
      const [from, to] = towardPlus > 0 ? [0, at] : [at, width];
      return [rect(from, 0, to - from, tape, { fill: THREAD }), ...everyStitch(tape, (y) => stitch(from, y, to, y + 7))];
    },
    // The trace turns here: at 3 it comes along the upper line, at 4 along the lower one.
    corner: (at, reading, isRead) => {
      const y = reading.id === "a" ? 78 : tape - 52;
      return [line(at, y, towardPlus > 0 ? 0 : width, y, { stroke: CHALK, "stroke-width": 4, "stroke-dasharray": "14 10", opacity: isRead ? 0.7 : 0.4 })];
    },
    tag: (text, at, isRead) => {
      const wide = 24 + text.length * 17;
      const beside = at + wide + 20 > width ? at - wide - 14 : at + 14;
      return tagAt(text, Math.max(8, beside), Math.min(tape - 84, Math.max(130, tape * 0.5)), isRead);
    },
  };
}
