"""Readings as they are typed: lengths -> mm, takes of one place -> its value, and what looks odd about them."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from floor.domain.checklist import Reading
from floor.domain.english import listed
from floor.domain.fronts import Readings
from floor.domain.lengths import MAX_LENGTH_MM, LengthError, format_mm, parse_length
from floor.domain.takes import AGREE_MM, MOST_TAKES, Settled, is_doubtful, is_mirrored, settle

ASK_BEYOND_MM = 5.0  # farther from what is expected is asked about
MOST_OFF_MM = 50.0  # farther is no reading of this place, but a slip
PLAIN_NUMBER = re.compile(r"[+-]?([0-9]+\.?[0-9]*|\.[0-9]+)([eE][+-]?[0-9]+)?")

# What each reading is measured from, and what a value above and below 0 lies on.
SIDES = {
    "u": ("the upper button's centre", "above", "below"),
    "l": ("the lower button's centre", "below", "above"),
    "a": ("the folded edge at the upper line", "past", "inside"),
    "b": ("the folded edge at the lower line", "past", "inside"),
}
SIDES_OF_CLOSED = {
    "u": ("the drawn top line", "above", "below"),
    "l": ("the drawn bottom line", "below", "above"),
    "a": ("the drawn centre line at the upper line", "right of", "left of"),
    "b": ("the drawn centre line at the lower line", "right of", "left of"),
}


class ReadingRefused(ValueError):
    """A reading that cannot be used; the message says which, what was found and what would do."""


@dataclass(frozen=True)
class Given:
    """`takes`: how many each place's value rests on (their mean); `questions`: what looks odd, in sentences."""

    readings: Readings
    takes: float
    questions: tuple[str, ...]


def given(option: str, takes: Sequence[Sequence[str]], expected: Readings, *, opens: bool) -> Given:
    """What the takes come to. `option`: the name under which they were typed; `takes`: one at least, each the
    texts of u, l, a and b; `opens`: read at buttons and folded edge, not at drawn lines. Raises ReadingRefused."""
    if len(takes) > MOST_TAKES:
        raise ReadingRefused(f"{option} is given {len(takes)} times; {MOST_TAKES} takes are the most.")
    sides, settled = SIDES if opens else SIDES_OF_CLOSED, []
    questions: list[str] = []
    for number, (name, should) in enumerate(expected._asdict().items(), start=1):
        place = f"{option}, {name} (place {number})"
        values = [_value(place, take[number - 1], should) for take in takes]
        found = settle(values, len(values))
        if found is None:
            raise ReadingRefused(_differ(place, values))
        settled.append(found)
        questions += _question(place, name, found.value, should, sides[name])
    return Given(Readings(*(one.value for one in settled)), _mean_takes(settled), tuple(questions))


def _value(place: str, text: str, expected: float) -> float:
    value = _mm(place, text)
    if abs(value - expected) > MOST_OFF_MM:
        meant = value
        while abs(meant - expected) > MOST_OFF_MM:
            meant /= 10
        raise ReadingRefused(
            f"{place} is {format_mm(value)}, {format_mm(abs(value - expected))} from the {format_mm(expected)} "
            f"that is expected; did you mean {meant:.1f}?"
        )
    return value


def _mm(place: str, text: str) -> float:
    if PLAIN_NUMBER.fullmatch(text.strip()) and abs(float(text)) <= MAX_LENGTH_MM:
        return float(text)
    try:
        return parse_length(f"{text} mm" if PLAIN_NUMBER.fullmatch(text.strip()) else text)
    except LengthError as wrong:
        raise ReadingRefused(f"{place}: {wrong}.") from None


def _differ(place: str, values: Sequence[float]) -> str:
    shown = listed(format_mm(value) for value in values)
    if len(values) < MOST_TAKES:
        return (
            f"{place} reads {shown}, more than {AGREE_MM:g} mm apart; read this place again, as a third take."
        )
    return f"{place} reads {shown}, and no two lie within {AGREE_MM:g} mm; read this place anew."


def _mean_takes(settled: Sequence[Settled]) -> float:
    return sum(one.takes for one in settled) / len(settled)


def _question(
    place: str, name: str, value: float, expected: float, sides: tuple[str, str, str]
) -> Iterator[str]:
    what, plus, minus = sides
    where = f"{format_mm(abs(value))} {plus if value >= 0 else minus} {what}"
    limits = expected - ASK_BEYOND_MM, expected + ASK_BEYOND_MM
    reading = Reading(name, "", expected, *limits, *limits, takes=2)
    if is_mirrored(reading, value):
        yield f"{place} says {where}, and {format_mm(expected)} is expected: is its sign right?"
    elif is_doubtful(reading, value):
        off = format_mm(abs(value - expected))
        yield f"{place} says {where}, {off} from the {format_mm(expected)} expected: was it read right?"
