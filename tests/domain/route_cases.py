"""Jobs, outlines and routes that the tests of routes share: one like the demo's, and any valid one."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

from hypothesis import strategies as st

import floor
from floor.domain.checklist import Phase
from floor.domain.job import (
    Backing,
    Border,
    Design,
    Garment,
    Hoop,
    Job,
    Layer,
    Machine,
    Opening,
    OpeningSize,
    Stitches,
)
from floor.domain.outline import Figure, Outline
from floor.domain.plan import JobPlan, plan_job
from floor.domain.route import Route, read_route

ROUTES = Path(floor.__file__).parent / "routes"
ROUTE_IDS = ("split-front", "closed", "crest")


def shop_route(id: str) -> Route:
    return read_route((ROUTES / f"{id}.toml").read_text(encoding="utf-8"))


def drawn(*rings: tuple[tuple[float, float], ...]) -> Outline:
    return Outline(tuple(Figure((ring,)) for ring in rings))


def bar(x0: float, y0: float, x1: float, y1: float) -> tuple[tuple[float, float], ...]:
    return (x0, y0), (x1, y0), (x1, y1), (x0, y1)


BANNER = drawn(bar(-400, -60, 400, 60))  # wide enough to lie on both fronts of any job
PENNANT = drawn(
    bar(-300, -3, 101, 3), bar(100, -60, 300, 60)
)  # a low bar on the right front, a tall left part


def plan_for(job: Job, outline: Outline = BANNER) -> JobPlan:
    """The plan of the job with this outline in place of the SVG that it names."""
    scaled = outline.scaled(job.design.height, job.design.centre)
    return plan_job(job, scaled, on_backing=job.route == "crest")


BACKGROUND = Layer("Background", "felt", "red", 4.0, True, "zigzag", Border(4.0, 0.4, "1801 red"))
LETTERS = Layer("letters", "twill", "old gold", 0.0, True, "run", Border(3.5, 0.4, "1070 gold"))
OPENING = Opening(
    span=142.0,
    overlap=25.0,
    over_edge=3.0,
    button_size=18.0,
    under_cover=None,
    buttons=2,
    top_front="left",
    sizes={"XL": OpeningSize(span=150.0, overlap=27.0)},
)
SPLIT_JOB = Job(
    title="Jackets for the spring parade",
    customer="Larkfield Marching Band",
    due=date(2026, 12, 11),
    route="split-front",
    opening=OPENING,
    design=Design("plume.svg", 120.0, (0.0, 2.0)),
    layers=(BACKGROUND, LETTERS),
    hoop=Hoop((300.0, 200.0), 10.0),
    backing=Backing("cutaway", 2),
    machine=Machine(700, 1),
    garments=tuple(Garment(number, size) for number, size in enumerate(("M", "M", "XL", "S"), start=1)),
)
CLOSED_JOB = replace(SPLIT_JOB, route="closed", opening=None)

NAMES = st.sampled_from(["Background", "letters", "Letters", "Plume 2", "2", "ähren", "★", "garment"])
SIZES = st.sampled_from(["S", "M", "XL", "One size", "½"])
LENGTHS = st.floats(-10, 40).map(lambda mm: round(mm, 2))


@st.composite
def jobs(draw: st.DrawFn, route: str) -> Job:
    """Any valid job of the route: 1 to 4 layers, either top front, 1 to 8 heads."""
    layers = draw(
        st.lists(
            st.builds(
                Layer,
                name=NAMES,
                fabric=st.sampled_from(["felt", "twill"]),
                colour=st.sampled_from(["red", "old gold", "navy"]),
                offset=st.floats(0, 10).map(lambda mm: round(mm, 2)),
                placement_line=st.booleans(),
                tack=st.sampled_from(["run", "double run", "zigzag"]),
                border=st.builds(
                    Border, st.floats(0.5, 10), st.just(0.4), st.sampled_from(["1801 red", "1070 gold"])
                ),
                stitches=st.builds(
                    Stitches, *[st.one_of(st.none(), st.integers(1, 40_000)) for _ in range(3)]
                ),
            ),
            min_size=1,
            max_size=4,
        )
    )
    opening = st.builds(
        Opening,
        span=st.floats(40, 400),
        overlap=st.floats(5, 60),
        over_edge=LENGTHS,
        button_size=st.just(18.0),
        under_cover=st.one_of(st.none(), LENGTHS),
        buttons=st.integers(2, 6),
        top_front=st.sampled_from(["right", "left"]),
        sizes=st.dictionaries(
            SIZES, st.builds(OpeningSize, st.floats(40, 400), st.floats(5, 60)), max_size=3
        ),
    )
    sizes = draw(st.lists(SIZES, min_size=1, max_size=12))
    return replace(
        SPLIT_JOB,
        route=route,
        opening=draw(opening) if route == "split-front" else None,
        layers=tuple(layers),
        backing=Backing("tearaway", draw(st.integers(1, 3))),
        machine=Machine(draw(st.integers(300, 1200)), draw(st.integers(1, 8))),
        garments=tuple(Garment(number, size) for number, size in enumerate(sizes, start=1)),
    )


def all_texts(phase: Phase) -> Iterator[str]:
    """Everything that a person reads of a phase."""
    yield from (phase.title, phase.text, *phase.cautions)
    for check in phase.checks:
        yield from (check.ask, check.right, *check.answers)
    yield from (reading.ask for reading in phase.readings)
    yield from (count.ask for count in phase.counts)


# A route as small as can be, to be spoilt in one place at a time.
SMALL_ROUTE = """
id = "small"
title = "A small route"
opening = true
min_layers = 2

[[section]]
key = "front"
title = "Sew the {front} front"
scope = "load"
place = "machine"
each = "front"

[[section.phase]]
id = "pin"
title = "Pin"
text = "Pin {garments}."
who = "hands"
usual_min = [1, 4]
cautions = ["Mind the pins."]

    [[section.phase.count]]
    id = "pins"
    side = "out"
    ask = "How many?"
    ends = true

[[section.phase]]
id = "place"
each = "garment"
title = "Check the place"
text = "Trace {garments}."
who = "hands"
usual_min = [1, 3]
picture = "check"

    [[section.phase.reading]]
    id = "a"
    ask = "How far past the edge?"
    expected = "a"
    within = 1.5
    never = 15
    mark = "3"

[[section.phase]]
id = "border"
each = "layer"
title = "Border of the {layer}"
text = "Stop {stop}: sew it."
who = "machine"
usual_min = [5, 15]
line = "border"
no_return = true

[[section.phase]]
id = "unpin"
title = "Unpin"
text = "Take them out."
who = "hands"
usual_min = [1, 1]

    [[section.phase.count]]
    id = "pins"
    side = "in"
    ask = "How many?"
    ends = true

[[section]]
key = "finish"
title = "Finish"
scope = "load"
place = "bench"

[[section.phase]]
id = "look"
title = "Look"
text = "Look at it."
who = "hands"
usual_min = [1, 2]

    [[section.phase.check]]
    id = "found"
    ask = "What did you find?"
    answers = ["a hole", "nothing"]
    right = "nothing"
    ends = true
"""
