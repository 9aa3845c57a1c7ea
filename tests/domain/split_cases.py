"""Jobs and shapes that the tests of the split share, and the split of any region."""

from __future__ import annotations

import math
from dataclasses import replace

import shapely
from hypothesis import assume
from hypothesis import strategies as st
from route_cases import BACKGROUND, SPLIT_JOB
from shapely import MultiPolygon, Polygon

from floor.domain.english import unique
from floor.domain.fronts import SizePlan, cloths_of, split
from floor.domain.job import Border, Design, Garment, Job, Layer, Opening
from floor.domain.region import as_multi

# The right front's sewing ends at x = -10 + 8 = -2 and, half a border within, its cloth at -4; the left
# front's sewing at -10 - 2 = -12 and its cloth at -10, which is where the seam is too.
OPENING = Opening(
    span=200.0,
    overlap=20.0,
    over_edge=2.0,
    button_size=15.0,
    under_cover=8.0,
    buttons=2,
    top_front="left",
    sizes={},
)
GROUND = replace(BACKGROUND, name="Ground", offset=0.0)
JOB = replace(
    SPLIT_JOB,
    opening=OPENING,
    design=Design("any.svg", 100.0, (0.0, 0.0)),
    layers=(GROUND,),
    garments=(Garment(1, "M"),),
)
WHOLE = replace(JOB, opening=None, route="closed")


def layer(offset: float, border: float = 4.0) -> Layer:
    return replace(GROUND, offset=offset, border=Border(border, 0.4, "1801 red"))


def opened(job: Job = JOB, **changes: object) -> Job:
    assert job.opening is not None
    return replace(job, opening=replace(job.opening, **changes))


def planned(job: Job, shape: object) -> dict[str, SizePlan]:
    """The split of the shape, which stands where the scaled outline would."""
    sizes = tuple(unique(garment.size for garment in job.garments))
    return split(job, cloths_of(job, as_multi(shape)), sizes)


def disc(x: float, y: float, radius: float) -> Polygon:
    """Of so many corners that a polygon is as good as the disc to 1/100,000 of its length."""
    steps = (2 * math.pi * (i + 0.5) / 1440 for i in range(1440))
    return Polygon([(x + radius * math.cos(t), y + radius * math.sin(t)) for t in steps])


def annulus(outer: float, inner: float) -> Polygon:
    return disc(0, 0, outer).difference(disc(0, 0, inner))


@st.composite
def blobs(draw: st.DrawFn, around: tuple[float, float], at_least: int, at_most: int) -> Polygon:
    """A simple polygon round a point, of 3 to 14 corners."""
    count = draw(st.integers(3, 14))
    radii = draw(st.lists(st.integers(at_least, at_most), min_size=count, max_size=count))
    turn = draw(st.integers(0, 359))
    steps = [math.radians(turn + 360 * i / count) for i in range(count)]
    return Polygon(
        [
            (around[0] + r * math.cos(t), around[1] + r * math.sin(t))
            for r, t in zip(radii, steps, strict=True)
        ]
    )


@st.composite
def regions(draw: st.DrawFn) -> MultiPolygon:
    """One to four islands, some with holes, on either side of the opening or across it."""
    islands = draw(
        st.lists(
            st.tuples(st.integers(-90, 90), st.integers(-40, 40)).flatmap(
                lambda at: st.tuples(blobs(at, 9, 45), st.one_of(st.none(), blobs(at, 3, 8)))
            ),
            min_size=1,
            max_size=4,
        )
    )
    shapes = [island if hole is None else island.difference(hole) for island, hole in islands]
    region = as_multi(shapely.union_all(shapes))
    # Where parts hang together by a thread, the last binary digit decides whether they do.
    assume(_parts(region) == _parts(region.buffer(-0.1)) == _parts(region.buffer(0.1)))
    return region


def _parts(region: object) -> tuple[int, int]:
    polygons = as_multi(region).geoms
    return len(polygons), sum(len(polygon.interiors) for polygon in polygons)


@st.composite
def split_jobs(draw: st.DrawFn) -> Job:
    """An opening and layers of any measures, both reaches included."""
    lengths = st.integers(-60, 60).map(lambda quarters: quarters / 4)
    layers = draw(
        st.lists(
            st.tuples(st.just(0) | st.integers(-8, 40), st.integers(4, 32)).map(
                lambda q: layer(q[0] / 4, q[1] / 4)
            ),
            min_size=1,
            max_size=3,
        )
    )
    return replace(
        opened(
            span=float(draw(st.integers(60, 300))),
            overlap=draw(st.integers(20, 160)) / 4,
            over_edge=draw(lengths),
            under_cover=draw(st.one_of(st.none(), lengths)),
            buttons=draw(st.integers(2, 5)),
            top_front=draw(st.sampled_from(["left", "right"])),
        ),
        layers=tuple(layers),
    )
