"""What a route is made of: the template of sections and phases, before a job's numbers are filled in."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from floor.domain.checklist import AcceptBy, Who
from floor.domain.job import Front

Scope = Literal["job", "load"]
Place = Literal["bench", "machine"]
LoadRule = Literal["heads", "hooping"]
Each = Literal["layer", "size", "garment"]
Per = Literal["garment", "head", "load"]
Line = Literal["backing", "placement", "tack", "border", "marks"]
Condition = Literal[
    "layer.placement_line", "layer.upper", "layer.sewn", "marks", "first_piece", "several_heads",
    "second_front", "crossed", "edge_sealing",
]  # fmt: skip
Picture = Literal[
    "hoop", "backing", "garment", "check", "line", "lay", "tack", "trim", "border", "marks", "hooped",
    "bench", "closed", "paper",
]  # fmt: skip
HouseLimit = Literal["step_pass", "step_fail"]
PlaceKind = Literal["set", "sewn"]
Crossing = Literal["upper", "middle", "lower"]
Expected = Literal[
    "u", "l", "a", "b", "other.u", "other.l", "other.a", "other.b", "sewn.u", "sewn.l", "sewn.a", "sewn.b",
    "overlap", "span",
]  # fmt: skip


class RouteError(ValueError):
    """A route's text says something that Floor cannot follow; the message names the place."""


class RouteDoesNotFit(ValueError):
    """The job cannot be made by this route; the message says why."""


class UnknownSection(ValueError):
    """The route has no such section for this job."""


class UnknownGarment(ValueError):
    """The job has no such garment, or the load names none, or one twice."""


@dataclass(frozen=True)
class CheckTemplate:
    id: str
    ask: str
    answers: tuple[str, ...]
    right: str
    ends: bool
    accept: AcceptBy


@dataclass(frozen=True)
class ReadingTemplate:
    """Limits, mm, as distances from the expected value: `low` and `high` below and above it, and the same
    for what nobody can accept; a limit may be the house's. `expected`: a number, or the name of one that the job
    gives. `takes`, `plus`, `minus`: as `checklist.Reading`. `at`: asked only where the design crosses the opening
    so often: the upper crossing of all, the lower of two at least, the middle one of three."""

    id: str
    ask: str
    expected: float | Expected
    low: float
    high: float | HouseLimit
    never_low: float
    never_high: float | HouseLimit
    accept: AcceptBy
    mark: str
    takes: int = 1
    plus: str = ""
    minus: str = ""
    at: Crossing | None = None


@dataclass(frozen=True)
class CountTemplate:
    id: str
    side: Literal["out", "in"]
    ask: str
    ends: bool


@dataclass(frozen=True)
class PhaseTemplate:
    """`usual_min`: minutes for one of what `per` says: one garment, one head's hoop, or the whole load.
    `each`: consecutive phases with the same `each` repeat as a group. `when`: all must hold.
    `line`: what the machine sews, which makes this one of its stops; the marks' it only traces.
    `place`: its readings u, l, a, b tell how the front lies ("set"), or how the other was sewn ("sewn").
    `relay_to`: the phase to which a front that lies wrong goes back: pins are counted and layers looked at anew."""

    id: str
    title: str
    text: str
    who: Who
    usual_min: tuple[float, float]
    per: Per
    picture: Picture
    each: Each | None = None
    when: tuple[Condition, ...] = ()
    line: Line | None = None
    cautions: tuple[str, ...] = ()
    checks: tuple[CheckTemplate, ...] = ()
    readings: tuple[ReadingTemplate, ...] = ()
    counts: tuple[CountTemplate, ...] = ()
    restart: bool = False
    no_return: bool = False
    approval: bool = False
    place: PlaceKind | None = None
    relay_to: str = ""


@dataclass(frozen=True)
class SectionTemplate:
    """A stretch done in one go. `per_front`: once for each front of the garment."""

    key: str
    title: str
    scope: Scope
    place: Place
    per_front: bool
    phases: tuple[PhaseTemplate, ...]


@dataclass(frozen=True)
class Route:
    """The way a kind of job is made. `opening`: for garments that open; `load`: what one load holds, a
    garment a head or as many pieces as one hooping takes; `piece`: what the shop calls one of them."""

    id: str
    title: str
    opening: bool
    min_layers: int
    load: LoadRule
    piece: str
    sections: tuple[SectionTemplate, ...]

    @property
    def on_backing(self) -> bool:
        """Whether pieces are sewn on backing alone, several in one hooping, and no garment is hooped."""
        return self.load == "hooping"


@dataclass(frozen=True)
class Section:
    """A section of a route for one job: `key` is unique, with its front ("front-left") where it has one."""

    key: str
    title: str
    scope: Scope
    place: Place
    front: Front | None
