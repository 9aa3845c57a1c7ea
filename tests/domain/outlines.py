"""Drawings that each stress one thing, with the area that they enclose in closed form."""

from __future__ import annotations

from itertools import pairwise
from math import acos, cos, pi, radians, sin, sqrt, tan
from typing import NamedTuple

import pytest

from floor.domain.outline import OutlineError, read_outline

SQUARE = '<rect width="2" height="2"/>'


class Drawing(NamedTuple):
    """`area`: what `svg` encloses, in its own user units squared; None: no closed form is known."""

    name: str
    svg: str
    area: float | None
    note: str


def svg(body: str, attributes: str = 'viewBox="0 0 200 100"') -> str:
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
        f"{attributes}>{body}</svg>"
    )


def refusal(text: str) -> str:
    """The one sentence with which the SVG is refused."""
    with pytest.raises(OutlineError) as refused:
        read_outline(text)
    assert "\n" not in str(refused.value)
    return str(refused.value)


# A chord that an ellipse's centre sees under 120 degrees cuts off this part of rx * ry.
SMALL_SEGMENT = (2 * pi / 3 - sin(2 * pi / 3)) / 2
HALF_CHORD = 40 * sin(radians(60))


def arc(large: int, sweep: int) -> Drawing:
    body = f'<path d="M{100 - HALF_CHORD} 50A40 24 0 {large} {sweep} {100 + HALF_CHORD} 50Z"/>'
    part = pi - SMALL_SEGMENT if large else SMALL_SEGMENT
    return Drawing(
        f"arc-{'large' if large else 'small'}-{'sweep' if sweep else 'counter'}",
        svg(body),
        40 * 24 * part,
        "an elliptic arc under one of its four pairs of flags",
    )


def points(pairs: list[tuple[float, float]]) -> str:
    return " ".join(f"{x!r},{y!r}" for x, y in pairs)


def polar(radius: float, degrees: float) -> tuple[float, float]:
    return 100 + radius * sin(radians(degrees)), 50 - radius * cos(radians(degrees))


PENTAGRAM = points([polar(45, 144 * i) for i in range(5)])
NOTCH = 45 * sin(radians(18)) / sin(radians(54))  # how far its inner corners lie from the middle
STAR = 5 * 45 * NOTCH * sin(radians(36))
CORE = 2.5 * NOTCH**2 * sin(radians(72))

COUNT = 20_000
WAVES = [(40 + 2 * sin(2 * pi * 40 * i / COUNT), 360 * i / COUNT) for i in range(COUNT)]
WAVY = sum(a * b for (a, _), (b, _) in pairwise([*WAVES, WAVES[0]])) * sin(2 * pi / COUNT) / 2

LENS = 2 * 20**2 * acos(15 / 20) - 15 * sqrt(4 * 20**2 - 30**2)  # two circles of radius 20, 30 apart

BANNER = "M10 10H90V60L70 50 10 80ZM20 20V40H50V20Z"  # its hole is wound the other way
BANNER_AREA = 80 * 40 + 20 * 10 / 2 + 60 * 30 / 2 - 30 * 20

OUTLINES = [
    *(arc(large, sweep) for large in (0, 1) for sweep in (0, 1)),
    Drawing(
        "arc-too-small",
        svg('<path d="M60 50A5 3 30 0 1 140 50A5 3 30 0 1 60 50Z"/>'),
        # The radii grow until the ellipse, turned by 30 degrees, passes through both ends: by 40 to its reach.
        pi * 15 * (40 * sqrt((cos(radians(30)) / 5) ** 2 + (sin(radians(30)) / 3) ** 2)) ** 2,
        "radii too small for their chord are enlarged",
    ),
    Drawing(
        "nested-transforms",
        svg(
            '<g transform="translate(60,10) rotate(30)"><g transform="scale(2 -1.5)">'
            '<g transform="skewX(20)"><rect x="3" y="-30" width="12" height="20" transform="rotate(-8 5 5)"/>'
            "</g></g></g>"
        ),
        12 * 20 * 3.0,
        "rotated, scaled, mirrored and skewed in groups",
    ),
    Drawing(
        "skewed-circle",
        svg(f'<g transform="matrix(1 .5 {tan(radians(35))} 2 20 10)"><circle cx="20" cy="5" r="15"/></g>'),
        pi * 225 * (2 - 0.5 * tan(radians(35))),
        "a circle through a matrix that is no similarity",
    ),
    Drawing(
        "even-odd-ring",
        svg(
            '<defs><path id="r" d="M100 10A40 40 0 0 1 100 90A40 40 0 0 1 100 10Z'
            'M100 25A25 25 0 0 1 100 75A25 25 0 0 1 100 25Z"/></defs>'
            '<g style="fill-rule: evenodd"><use href="#r"/></g>'
        ),
        pi * (1600 - 625),
        "both rings run the same way; the rule comes from a group, by way of use",
    ),
    Drawing(
        "hole-wound-the-other-way",
        svg(f'<path d="{BANNER}"/>'),
        BANNER_AREA,
        "a hole under the rule that SVG begins with",
    ),
    Drawing(
        "no-hole-wound-the-same-way",
        svg('<path fill-rule="nonzero" d="M10 10H90V80H10ZM20 20H40V40H20Z"/>'),
        80 * 70.0,
        "the inner ring is inside anyway",
    ),
    Drawing(
        "mirrored",
        svg(f'<g transform="translate(120 0) scale(-1,1)"><path d="{BANNER}"/></g>'),
        BANNER_AREA,
        "a mirrored group turns every ring's direction",
    ),
    Drawing(
        "units",
        svg(
            '<rect width="1in" height="25.4mm"/><rect x="100" width="72pt" height="2.54cm"/>'
            '<rect x="1pc" y="100px" width="25%" height="50%"/>'
            '<circle cx="150" cy="150" r="10%"/>'
        ),
        2 * 96**2 + 50 * 50 + pi * 0.01 * (200**2 + 100**2) / 2,
        "inches, mm, points, cm, picas and per cent of the viewBox",
    ),
    Drawing(
        "symbol",
        svg(
            '<symbol id="s" viewBox="0 0 10 20"><path d="M0 0H10V20Z"/></symbol>'
            '<use href="#s" x="10" y="5" width="40" height="80"/>'
            '<use xlink:href="#s" x="100" y="5" width="80" height="40" transform="rotate(10)"/>'
        ),
        40 * 80 / 2 + 20 * 40 / 2,
        "a symbol with a viewBox, used in two sizes",
    ),
    Drawing(
        "nested-svg",
        svg(
            '<svg x="10" y="10" width="60" height="30" viewBox="0 0 10 10" preserveAspectRatio="xMaxYMin meet">'
            '<circle cx="5" cy="5" r="5"/></svg>'
            '<svg x="80" y="10" width="60" height="30" viewBox="0 0 10 10" preserveAspectRatio="none">'
            '<circle cx="5" cy="5" r="5"/></svg>'
            '<svg x="10" y="50" width="60" height="30" viewBox="0 0 10 10" preserveAspectRatio="xMidYMid slice">'
            '<rect width="10" height="10"/></svg>'
        ),
        pi * 15**2 + pi * 30 * 15 + 60 * 30,
        "nested drawings that fit, that stretch, and that are cut off at their edge",
    ),
    Drawing(
        "tiny-islands",
        svg("".join(f'<circle cx="{5 + 9.5 * i}" cy="{20 + i * i % 7 * 9}" r=".5"/>' for i in range(20))),
        20 * pi / 4,
        "twenty dots, 1 across",
    ),
    Drawing(
        "twenty-thousand-points",
        svg(f'<polygon points="{points([polar(*wave) for wave in WAVES])}"/>'),
        WAVY,
        "a wavy edge as a long list of points",
    ),
    Drawing(
        "pentagram-nonzero", svg(f'<polygon points="{PENTAGRAM}"/>'), STAR, "it winds twice round its core"
    ),
    Drawing(
        "pentagram-even-odd",
        svg(f'<style>polygon{{fill-rule:evenodd}}</style><polygon points="{PENTAGRAM}"/>'),
        STAR - CORE,
        "its core is open",
    ),
    Drawing(
        "style-sheet",
        svg(
            "<style>/* notes */ @media print { .cut { display: none } } .guide, g.off > * { display: none }"
            " .cut { fill: #123 } #only { fill: none; stroke: red } .cut.b { fill: none !important }</style>"
            '<rect class="cut a" x="10" y="10" width="40" height="30"/>'
            '<rect class="guide" x="60" y="10" width="40" height="30"/>'
            '<g class="off"><rect x="110" y="10" width="40" height="30"/></g>'
            '<rect id="only" x="10" y="60" width="40" height="30"/>'
            '<rect class="cut b" style="fill: red" x="60" y="60" width="40" height="30"/>'
            '<g visibility="hidden"><rect x="110" y="60" width="40" height="30"/>'
            '<rect visibility="visible" x="160" y="60" width="20" height="30"/></g>'
            '<g opacity="0"><rect x="160" y="10" width="20" height="30"/></g>'
        ),
        40 * 30 + 20 * 30,
        "rules, attributes and groups hide most of it",
    ),
    Drawing(
        "smooth-curves",
        svg(
            '<path d="M10 50Q20 30 30 50T50 50T70 50V90H10Z"/>'
            '<path d="M100 50C100 40 120 40 120 50S140 60 140 50s20-10 20 0v40h-60z"/>'
        ),
        60 * 40 + 2 / 3 * 20 * 10 + 60 * 40 + 0.6 * 20 * 10,
        "the control points that T and S leave out",
    ),
    Drawing(
        "compact-numbers",
        svg('<path d="m5 5a5 5 0 1010 0 5 5 0 10-10 0zm20-5h10v10h-10z"/><path d="M49.5.5l1.5e1-1e1.5.5z"/>'),
        25 * pi + 100 + 6.25,
        "flags without blanks, numbers that begin with a point, a move from where the last ring began",
    ),
    Drawing(
        "overlapping-shapes",
        svg('<circle cx="60" cy="50" r="20"/><circle cx="90" cy="50" r="20" fill-rule="evenodd"/>'),
        2 * pi * 400 - LENS,
        "what two shapes share counts once",
    ),
    Drawing(
        "rounded-rect",
        svg('<rect x="10" y="10" width="60" height="40" rx="8" ry="12"/>'),
        60 * 40 - (4 - pi) * 8 * 12,
        "elliptic corners",
    ),
    Drawing(
        "very-small",
        svg(f'<path transform="scale(1e-4)" d="{BANNER}"/>', 'viewBox="0 0 .01 .01"'),
        BANNER_AREA * 1e-8,
        "a drawing whose units are metres",
    ),
    Drawing(
        "stretched-page",
        svg(
            '<circle cx="5" cy="5" r="4"/>',
            'viewBox="0 0 10 10" width="200px" height="100px" preserveAspectRatio="none"',
        ),
        pi * 80 * 40,
        "a page that is wider than its viewBox",
    ),
]
