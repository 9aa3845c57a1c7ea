"""A phase's readings in a run: which takes it still wants, what they come to, and what is to be done about it."""

from __future__ import annotations

from collections.abc import Iterator
from math import degrees
from typing import TYPE_CHECKING, Literal

from floor.domain.checklist import AcceptBy, Phase, PlaceCheck, Reading
from floor.domain.fronts import Readings
from floor.domain.place_lie import Try, as_sewn, is_foretold
from floor.domain.takes import MOST_TAKES, Settled, is_doubtful, settle, take_name
from floor.domain.weighing import Weighed, weigh

if TYPE_CHECKING:
    from floor.domain.run_state import RunState

DECIDE_OFF_MM = 6.0  # the first front is so far off that somebody decides about it before the second is spent
DECIDE_SKEW_DEG = 1.0


def readings_missing(
    state: RunState,
) -> Iterator[tuple[str, Literal["not given", "outside", "differs"], AcceptBy]]:
    """Name, why and who may accept of each reading that the current phase lacks: every place's first take, then
    every second one, then what must be read again because two takes differ."""
    phase = state.current
    assert phase is not None
    wanted = {reading.id: takes_wanted(state, state.phase, reading) for reading in phase.readings}
    for take in range(1, MOST_TAKES + 1):
        for reading in phase.readings:
            name = take_name(reading.id, take)
            value = state.readings.get((state.phase, name))
            if value is not None:
                if is_doubtful(reading, value):
                    never = not reading.never_low <= value <= reading.never_high
                    yield name, "outside", "nobody" if never else reading.accept
            elif take <= wanted[reading.id]:
                yield name, "not given", "nobody"
    for reading in phase.readings:
        values = takes_of(state, state.phase, reading.id)
        if len(values) >= wanted[reading.id] and settle(values, wanted[reading.id]) is None:
            if len(values) < MOST_TAKES:
                yield take_name(reading.id, MOST_TAKES), "not given", "nobody"
            else:
                yield reading.id, "differs", "nobody"


def takes_of(state: RunState, phase: int, reading: str) -> list[float]:
    """What was read at one place, in the order of its takes."""
    names = (take_name(reading, take) for take in range(1, MOST_TAKES + 1))
    return [value for name in names if (value := state.readings.get((phase, name))) is not None]


def takes_wanted(state: RunState, index: int, reading: Reading) -> int:
    """How often a place is read in this round. After a nudge what was read before foretells what is read now, and
    guards against a slip as a second take does: one is enough, unless the four tell of another place. A second
    that was taken counts all the same."""
    place, tries = state.phases[index].place, state.tries.get(index, ())
    if place is None or not tries or tries[-1].how == "laid again":
        return reading.takes
    firsts = [state.readings.get((index, one.id)) for one in state.phases[index].readings]
    known = [value for value in firsts if value is not None]
    if len(known) < len(firsts) or is_foretold(place.sums, place.hand, tries, Readings(*known), 1):
        return 2 if len(takes_of(state, index, reading.id)) > 1 else 1
    return reading.takes


def settled_place(state: RunState, index: int) -> tuple[Readings, float] | None:
    """What the readings of a place come to, and how many takes each rests on (their mean); None while one is
    not settled."""
    found: list[Settled] = []
    for reading in state.phases[index].readings:
        settled = settle(takes_of(state, index, reading.id), takes_wanted(state, index, reading))
        if settled is None:
            return None
        found.append(settled)
    return Readings(*(one.value for one in found)), sum(one.takes for one in found) / len(found)


def judged(state: RunState, index: int) -> Weighed | None:
    """What is best done about the front in the hoop, by what phase `index` has read so far; None while its
    readings are not settled, or where they tell no such place."""
    place = state.phases[index].place
    settled = settled_place(state, index) if place is not None and place.kind == "set" else None
    if place is None or settled is None:
        return None
    tries = (*state.tries.get(index, ()), Try(*settled))
    return weigh(place.sums, place.hand, tries, _against(state, place))


def place_missing(state: RunState) -> Iterator[Literal["nudge", "re-lay", "read", "decide"]]:
    """What must be done about the current phase's place before it can end. Its readings are settled."""
    phase = state.current
    assert phase is not None
    assert phase.place is not None
    if phase.place.kind == "sewn":
        if is_far_off(state, phase.place):
            yield "decide"
        return
    found = judged(state, state.phase)
    if found is not None and found.verdict != "sew":
        yield found.verdict


def is_far_off(state: RunState, place: PlaceCheck) -> bool:
    """Whether the other front was sewn so far off its drawn place that somebody must decide about it first: as far
    as is believed, for crossings near each other hardly tell a skew."""
    settled = settled_place(state, state.phase)
    if settled is None:
        return False
    lies = as_sewn(place.sums, place.hand, *settled).mean
    return max(abs(lies.along), abs(lies.across)) > DECIDE_OFF_MM or abs(degrees(lies.skew)) > DECIDE_SKEW_DEG


def _against(state: RunState, place: PlaceCheck) -> tuple[Readings, float] | None:
    """The other front as this run measured it; None for the front that is sewn first."""
    index = index_of(state.phases, place.against)
    return None if index is None else settled_place(state, index)


def index_of(phases: tuple[Phase, ...], key: str) -> int | None:
    return next((at for at, phase in enumerate(phases) if phase.key == key), None)
