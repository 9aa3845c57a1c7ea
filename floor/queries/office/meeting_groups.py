"""Where steps come from: garments and lays by hoop, size, machine and front. Never by person."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from math import sqrt
from statistics import fmean, median, stdev

from floor.domain.capability import Share, share_beyond
from floor.domain.place_sums import CLOSED_TOLERANCE_MM
from floor.queries.office.meeting_rows import Closed, Round

NO_MACHINE = "no machine told"
FRONTS = {"left": "left front", "right": "right front", "whole": "front that does not open"}
FEWEST_FOR_A_LEAN = 5  # fewer lays say nothing of how a shop lays
LEAST_LEAN_MM = 0.3  # less is not worth a word to anybody
CLEAR_ERRORS = 3.0  # standard errors of a mean beyond which a lean is hardly chance, with many looked at


@dataclass(frozen=True)
class Lean:
    """Which way lays lie off on average: `words` say it; `clear`: beyond chance, and worth correcting."""

    mean: float
    words: str
    clear: bool


@dataclass(frozen=True)
class Group:
    """`share` and `middle` (mm): of the worst steps, found on closed garments or, by front, expected as first
    laid. `lays`: fronts freshly laid; `along`, `across`: which way they lay, None for too few; `nudges`,
    `relays`: a garment, None where none was laid."""

    name: str
    share: Share
    middle: float | None
    lays: int
    along: Lean | None
    across: Lean | None
    nudges: float | None
    relays: float | None

    @property
    def leans(self) -> tuple[Lean, ...]:
        """The ways in which it clearly lies off."""
        return tuple(one for one in (self.along, self.across) if one is not None and one.clear)


@dataclass(frozen=True)
class Grouping:
    what: str
    groups: tuple[Group, ...]

    @property
    def only(self) -> str:
        """The group's name where there is but one, and nothing to compare; "" where nobody told it either."""
        names = [group.name for group in self.groups]
        return names[0] if len(names) == 1 and names != [NO_MACHINE] else ""


def groupings(closed: Sequence[Closed], rounds: Sequence[Round], tolerance: float) -> tuple[Grouping, ...]:
    """By hoop, size and machine, as far as garments were closed there."""
    by: tuple[tuple[str, Callable[[Closed | Round], str]], ...] = (
        ("Hoop", lambda one: one.hoop),
        ("Size", lambda one: one.size),
        ("Machine", lambda one: one.machine or NO_MACHINE),
    )
    found = []
    for what, key in by:
        groups = (
            _group(
                name,
                [one.worst for one in closed if key(one) == name],
                [one for one in rounds if key(one) == name],
                tolerance,
            )
            for name in sorted(set(map(key, closed)), key=lambda name: (name == NO_MACHINE, name))
        )
        found.append(Grouping(what, tuple(groups)))
    return tuple(found)


def by_front(rounds: Sequence[Round], tolerance: float) -> Grouping:
    """Fronts as they lay first: before anybody moved or lifted them."""
    groups = []
    for front, words in FRONTS.items():
        own = [one for one in rounds if one.front == front]
        if own:
            limit = CLOSED_TOLERANCE_MM if front == "whole" else tolerance
            groups.append(_group(words, [one.worst for one in own if one.fresh], own, limit))
    return Grouping("Front", tuple(groups))


def _group(name: str, steps: Sequence[float], rounds: Sequence[Round], tolerance: float) -> Group:
    garments = len({one.garment for one in rounds})
    fresh = [one for one in rounds if one.fresh]
    opening = [one for one in fresh if one.front != "whole"]
    outward = ("out past the edge", "in from the edge") if opening else ("to the right", "to the left")
    return Group(
        name=name,
        share=share_beyond(steps, tolerance),
        middle=median(steps) if steps else None,
        lays=len(fresh),
        along=_lean([one.along for one in fresh], ("toward the collar", "toward the hem")),
        across=_lean([one.outward for one in opening or fresh], outward),
        nudges=_each(rounds, "nudged", garments),
        relays=_each(rounds, "laid again", garments),
    )


def _each(rounds: Iterable[Round], did: str, garments: int) -> float | None:
    return sum(one.did == did for one in rounds) / garments if garments else None


def _lean(values: Sequence[float], ways: tuple[str, str]) -> Lean | None:
    if len(values) < FEWEST_FOR_A_LEAN:
        return None
    mean = fmean(values)
    error = stdev(values) / sqrt(len(values))
    size = f"{abs(mean):.1f} mm"
    words = "hardly any" if size == "0.0 mm" else f"{size} {ways[mean < 0]}"
    return Lean(mean, words, abs(mean) >= LEAST_LEAN_MM and abs(mean) >= CLEAR_ERRORS * error)
