"""The checklists of one revision as templates, for tablets that lay a run out by themselves.

A template is laid out of stand-in garments: signs stand where their numbers are named, and a tablet puts the numbers
of its load there. What templates share is given once. static/js/tablet/checklist_of.js reads them back.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass, field, replace
from functools import lru_cache
from typing import Any

from floor.domain.checklist import Checklist, Phase, PlaceCheck
from floor.domain.english import numbered
from floor.domain.job import Garment
from floor.domain.route import Section, lay_out
from floor.queries.views import Plan

Page = dict[str, Any]

LAYOUTS_KEPT_IN_MEMORY = 64
STAND_IN = 8_000_001  # above every garment's number, and two apart, so that no two are "1 to 2"
ALL, ALL_FIRST, ONE, ONE_FIRST = "\x01", "\x02", "\x03", "\x04"
"""Signs for the load's garments and for the phase's own one; the others begin a sentence, with a capital."""


@lru_cache(maxsize=LAYOUTS_KEPT_IN_MEMORY)
def layouts(plan: Plan) -> Page:
    """All checklists that runs of this revision can have.

    `sections`: by key, what holds for the whole checklist. `lists`: by section, size, how many garments the load
    has and whether it is the first piece ("front-left|M|2|1"; "prepare" for what is done once for the job), each
    phase as [index of its part, usual from, to, expected, which of the load it is about or null]. `parts`: the
    rest of the phases; their places' sums stand in `sums`.
    """
    made = _Shared(plan.route.piece)
    heads: Page = {}
    lists: Page = {}
    for section in plan.sections:
        for name, checklist, load in _templates(plan, section):
            heads[section.key] = _head(checklist)
            lists[name] = [made.row(phase, load) for phase in checklist.phases]
    return {"sections": heads, "lists": lists, "parts": made.parts, "sums": made.sums}


def loads_of(plan: Plan) -> Iterator[tuple[str, int, bool]]:
    """Size, count and whether it is the first piece, of every load that a section of loads can have."""
    firsts = (False, True) if plan.approval_needed else (False,)
    of_size = {garment.size: 0 for garment in plan.job.garments}
    for garment in plan.job.garments:
        of_size[garment.size] += 1
    for size, number in of_size.items():
        # Where nothing opens sizes may share a load, and nothing but its name tells one from another.
        most = min(plan.load_size, number if plan.job.opening is not None else len(plan.job.garments))
        yield from ((size, count, first) for count in range(1, most + 1) for first in firsts)


def _templates(plan: Plan, section: Section) -> Iterator[tuple[str, Checklist, tuple[Garment, ...]]]:
    if section.scope == "job":
        yield section.key, plan.checklist(section.key, (), False), ()
        return
    for size, count, first in loads_of(plan):
        load = tuple(Garment(STAND_IN + 2 * at, size) for at in range(count))
        checklist = lay_out(plan.route, plan.sums, plan.house, section.key, load, first)
        yield f"{section.key}|{size}|{count}|{int(first)}", checklist, load


def _head(checklist: Checklist) -> Page:
    return {
        "title": checklist.title,
        "place": checklist.place,
        "front": checklist.front,
        "earlier": [list(one) for one in checklist.earlier],
    }


@dataclass
class _Shared:
    """What the templates share, each thing once."""

    piece: str
    parts: list[Page] = field(default_factory=list)
    sums: list[Page] = field(default_factory=list)
    _at: dict[str, int] = field(default_factory=dict)

    def row(self, phase: Phase, load: Sequence[Garment]) -> list[Any]:
        numbers = [garment.number for garment in load]
        about = None if phase.garment is None else numbers.index(phase.garment)
        part = asdict(replace(phase, garment=None, place=None))
        for name in ("usual_s", "expected_s", "garment"):
            del part[name]
        part["place"] = self._place(phase.place)
        signed = _signed(part, [*_signs(self.piece, numbers, phase.garment)])
        return [self._once(self.parts, signed), *phase.usual_s, phase.expected_s, about]

    def _place(self, place: PlaceCheck | None) -> Page | None:
        """Without the hand, which comes with the run."""
        if place is None:
            return None
        sums = asdict(place.sums)
        nudges = sums.pop("nudges")
        own = {"kind": place.kind, "against": place.against, "relay_to": place.relay_to, "nudges": nudges}
        return own | {"sums": self._once(self.sums, sums)}

    def _once(self, kept: list[Page], thing: Page) -> int:
        text = f"{id(kept)} {json.dumps(thing)}"
        if text not in self._at:
            self._at[text] = len(kept)
            kept.append(thing)
        return self._at[text]


def _signs(piece: str, numbers: list[int], own: int | None) -> Iterator[tuple[str, str]]:
    """The stand-ins' words, and the sign for each."""
    named = [(numbered(piece, numbers), ALL, ALL_FIRST)] if numbers else []
    if own is not None:
        named.append((numbered(piece, [own]), ONE, ONE_FIRST))
    for words, sign, first in named:
        yield words, sign
        yield words[:1].upper() + words[1:], first


def _signed(value: Any, signs: list[tuple[str, str]]) -> Any:
    if isinstance(value, dict):
        return {key: _signed(one, signs) for key, one in value.items()}
    if isinstance(value, (list, tuple)):
        return [_signed(one, signs) for one in value]
    if isinstance(value, str):
        for words, sign in signs:
            value = value.replace(words, sign)
        assert str(STAND_IN)[:-2] not in value, value  # or a tablet would show a stand-in's number
    return value
