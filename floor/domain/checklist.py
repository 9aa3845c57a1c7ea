"""The checklist of a run: what the route says, with this job's own numbers filled in.

Everything here travels to the tablet as JSON (`as_json`), so names are those of the JSON too.
"""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any, Literal

from floor.domain.hand import Hand
from floor.domain.place_sums import PlaceSums

Who = Literal["hands", "machine", "supervisor"]
AcceptBy = Literal["operator", "supervisor", "nobody"]


@dataclass(frozen=True)
class Check:
    """A yes that the operator must give, by naming the value: `right` is the one answer that counts.

    `ends`: the right answer is also the end of the phase, in one tap. `accept`: who may leave it out.
    """

    id: str
    ask: str
    answers: tuple[str, ...]
    right: str
    ends: bool = False
    accept: AcceptBy = "operator"


@dataclass(frozen=True)
class Reading:
    """A number that the operator measures, mm. Within `low`..`high` it stands by itself; outside, somebody
    (`accept`) must take it with a reason; outside `never_low`..`never_high` nobody can.
    `mark`: the figure of the place to measure in the phase's picture. `takes`: how often it is read at least.
    `plus`, `minus`: what a value above and below 0 is called ("past the edge", "inside the edge"), "" where it
    has no sides."""

    id: str
    ask: str
    expected: float
    low: float
    high: float
    never_low: float
    never_high: float
    accept: AcceptBy = "operator"
    mark: str = ""
    takes: int = 1
    plus: str = ""
    minus: str = ""


@dataclass(frozen=True)
class PlaceCheck:
    """That a phase's readings u, l, a and b tell a place. `kind` "set": of the front in the hoop, which is judged
    before it is sewn; "sewn": of the other front as it was sewn. `sums`: of the front in the hoop, for both.
    `against`: the key of the phase in which the other front is measured, "" for the front that is sewn first.
    `relay_to`: the key of the phase to which a front that is lifted goes back, "" for "sewn".
    """

    kind: Literal["set", "sewn"]
    sums: PlaceSums
    hand: Hand
    against: str = ""
    relay_to: str = ""


@dataclass(frozen=True)
class Count:
    """A blind count of things that must all come back: `side` "out" or "in" of the same `id`.

    The two are entered apart and compared by Floor. `ends`: the count is also the end of the phase.
    """

    id: str
    side: Literal["out", "in"]
    ask: str
    ends: bool = False


@dataclass(frozen=True)
class Phase:
    """One step. `key` is unique within the checklist ("trim-letters"); `usual_s` is the usual range, seconds,
    for the whole load; `layer` the layer's index or None; `restart`: a placement line, where a redo can begin;
    `no_return`: after this phase the cloth is cut or sewn for good; `approval`: a supervisor must approve;
    `picture`: what the run page draws ("hoop", "backing", "garment", "check", "line", "lay", "tack", "trim",
    "border", "marks", "hooped", "bench", "closed", "paper"); `garment`: the one that it is about, of a load
    of several; `place`: what its readings tell, None where they stand for themselves."""

    key: str
    title: str
    text: str
    who: Who
    usual_s: tuple[float, float]
    expected_s: float
    cautions: tuple[str, ...] = ()
    checks: tuple[Check, ...] = ()
    readings: tuple[Reading, ...] = ()
    counts: tuple[Count, ...] = ()
    layer: int | None = None
    restart: bool = False
    no_return: bool = False
    approval: bool = False
    picture: str = "paper"
    garment: int | None = None
    place: PlaceCheck | None = None


@dataclass(frozen=True)
class Checklist:
    """The phases of one section for one load, in order. `front` is None for a spell at the bench.

    `earlier`: key and title of the load's earlier sections, to which a run can be sent back.
    """

    section: str
    title: str
    place: Literal["bench", "machine"]
    front: Literal["right", "left", "whole"] | None
    phases: tuple[Phase, ...]
    earlier: tuple[tuple[str, str], ...] = ()

    def as_json(self) -> dict[str, Any]:
        """Plain dicts and lists of the same names, for the tablet."""
        return asdict(self)
