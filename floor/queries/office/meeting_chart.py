"""The charts of how halves meet, laid out: places across in percent, so that words stay text at any width, and
places down in px."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from floor.domain.capability import HELD_MM, IndividualsChart, individuals
from floor.queries.office.meeting_rows import Closed
from floor.queries.office.words import day_words, local_day

MOST_POINTS = 60  # more would run into one another
FEWEST_FOR_LIMITS = 8  # before that, what is usual is not known
MOST_LABELS = 8
IN_A_ROW = 8  # so many newest above the middle are no chance: one in 256
HEIGHT_PX, SCATTER_PX = 240, 280
HEADROOM = 1.12
LABEL_PX = 20  # that words at the ends of lines do not cover one another
TO_MIDDLE_PX = 5  # from a line's height to the foot of the letters beside it
SCATTER_LEAST_MM = 1.5
NEWEST_PAIRS = 200


@dataclass(frozen=True)
class Point:
    """`x`: percent; `y`: px from the top; `label`: words beside it, "" for none."""

    x: str
    y: float
    over: bool = False
    out: bool = False
    label: str = ""


@dataclass(frozen=True)
class Level:
    """A line across: `words` at its right end, at `words_y`."""

    kind: str
    y: float
    words: str
    words_y: float


@dataclass(frozen=True)
class StepChart:
    """Worst steps in the order of time, the newest MOST_POINTS. `sure`: there are enough for limits;
    `left_out`: older garments that are not drawn; `drifting`: the newest IN_A_ROW all lie above the middle."""

    points: tuple[Point, ...]
    levels: tuple[Level, ...]
    first: str
    last: str
    left_out: int
    sure: bool
    out: int
    out_lately: bool
    drifting: bool
    height: int = HEIGHT_PX


@dataclass(frozen=True)
class Scatter:
    """Foretold across, found up, one scale for both. `top`: mm at the upper and right end; `band`: percent of it
    that half a millimetre takes."""

    points: tuple[Point, ...]
    top: str
    band: float
    height: int = SCATTER_PX


def step_chart(closed: Sequence[Closed], tolerance: float) -> StepChart:
    """`closed`: one at least, oldest first."""
    shown = closed[-MOST_POINTS:]
    steps = [one.worst for one in shown]
    chart = individuals(steps)
    sure = len(steps) >= FEWEST_FOR_LIMITS and chart.high is not None
    top = HEADROOM * max(*steps, tolerance, chart.high if sure and chart.high else 0.0)

    def y(value: float) -> float:
        return _down(value, top, HEIGHT_PX)

    out = [at for at in chart.out if sure and steps[at] > (chart.mean or 0.0)]
    labelled = sorted(
        (at for at, step in enumerate(steps) if step > tolerance or at in out), key=lambda at: -steps[at]
    )[:MOST_LABELS]
    points = tuple(
        Point(
            x=_percent((at + 0.5) / len(steps)),
            y=y(step),
            over=step > tolerance,
            out=at in out,
            label=f"{step:.1f}" if at in labelled else "",
        )
        for at, step in enumerate(steps)
    )
    newest = steps[-IN_A_ROW:]
    return StepChart(
        points=points,
        levels=_levels(chart if sure else None, tolerance, top),
        first=day_words(local_day(shown[0].at)),
        last=day_words(local_day(shown[-1].at)),
        left_out=len(closed) - len(shown),
        sure=sure,
        out=len(out),
        out_lately=any(at >= len(steps) - IN_A_ROW for at in out),
        drifting=sure and all(step > (chart.mean or 0.0) for step in newest),
    )


def _levels(chart: IndividualsChart | None, tolerance: float, top: float) -> tuple[Level, ...]:
    lines = [("passes", tolerance, f"{tolerance:.1f} mm passes")]
    if chart is not None and chart.mean is not None and chart.high is not None and chart.low is not None:
        lines += [
            ("middle", chart.mean, f"{chart.mean:.1f} on average"),
            ("limit", chart.high, f"{chart.high:.1f} usual at most"),
        ]
        if chart.low > 0:
            lines.append(("limit", chart.low, f"{chart.low:.1f} usual at least"))
    found, lowest = [], -float(LABEL_PX)
    for kind, value, words in sorted(lines, key=lambda line: -line[1]):
        y = _down(value, top, HEIGHT_PX)
        lowest = max(lowest + LABEL_PX, y)
        found.append(Level(kind, y, words, round(lowest + TO_MIDDLE_PX, 1)))
    return tuple(found)


def scatter(pairs: Sequence[tuple[float, float]], tolerance: float) -> Scatter:
    """`pairs`: (foretold, found), mm, one at least."""
    top = HEADROOM * max(SCATTER_LEAST_MM, *(max(pair) for pair in pairs))
    return Scatter(
        points=tuple(
            Point(_percent(foretold / top), _down(found, top, SCATTER_PX), over=found > tolerance)
            for foretold, found in pairs[-NEWEST_PAIRS:]
        ),
        top=f"{top:.1f}",
        band=round(100 * HELD_MM / top, 2),
    )


def _down(value: float, top: float, height: int) -> float:
    """Px from the top of a chart that ends at `top` mm."""
    return round(height * (1 - value / top), 1)


def _percent(share: float) -> str:
    return f"{100 * share:.2f}%"
