"""Sequences picked by hand about a front's place: its takes, what they come to, and what is done about it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from tape import CLOSED_FRONT, EVERYTHING, FIRST_FRONT, SECOND_FRONT, SEVERAL_HEADS, TOO_FINE, UNSURE, Tape

from floor.domain.hand import USUAL_HAND
from floor.domain.weighing import ENOUGH_ROUNDS

BY_SUPERVISOR: Any = {"authority": "supervisor"}
PLACE_AS_IT_IS = {"what": "place", "name": "place", "reason": "it will do"}
HAND = vars(USUAL_HAND)
Case = tuple[str, Tape]


def placed_cases() -> Iterator[Case]:
    yield from _takes()
    yield from _sides_and_limits()
    yield from _verdicts()
    yield from _rounds()
    yield from _second_front()
    yield from _openings()


def _set_left() -> Tape:
    return Tape(FIRST_FRONT).open().done()


def _take(tape: Tape, reading: str, value: float, take: int = 1) -> str:
    return tape.say("reading", {"reading": reading, "value": value, "take": take})


def _takes() -> Iterator[Case]:
    tape = _set_left()
    _take(tape, "u", -3.0)
    tape.say("done")
    tape.say("again", {"how": "read again"})
    for reading, value in (("l", -7.0), ("a", 3.0), ("b", 3.0)):
        tape.say("reading", {"reading": reading, "value": value})
    tape.say("done")
    tape.say("again", {"how": "nudged", "along": 0.5, "across": 0.0})
    for reading, value in (("u", -2.5), ("l", -7.2), ("a", 2.6), ("b", 3.4)):
        _take(tape, reading, value, 2)
    tape.done()
    yield "takes that agree to the last tenth", tape
    tape = _set_left().read(-3.0, -7.0, 1.1, 1.1, then={"a": 0.6, "b": 0.6})
    tape.say("done")
    yield "half a millimetre apart, whatever the last binary digit says", tape
    tape = _set_left().read(-3.0, -7.0, 3.0, 3.0, then={"u": -3.6, "b": 2.4})
    tape.say("done")
    tape.say("again", {"how": "laid again"})
    _take(tape, "u", -3.5, 3)
    tape.say("done")
    _take(tape, "b", 2.7, 3)
    tape.done()
    yield "a third take that settles two that differ", tape
    tape = _set_left().read(-3.0, -7.0, 3.0, 3.0, then={"l": -8.0})
    _take(tape, "l", -9.0, 3)
    tape.say("done")
    tape.say("accept", {"what": "reading", "name": "l", "reason": "near enough"}, **BY_SUPERVISOR)
    tape.say("again", {"how": "read again"})
    _take(tape, "l", -7.2, 2)
    tape.done()
    yield "three takes of which no two agree", tape
    tape = _set_left()
    _take(tape, "u", -3.0, 2)
    _take(tape, "u", -3.2, 3)
    tape.lies(along=0.1)
    tape.done()
    yield "later takes given first", tape
    tape = Tape(FIRST_FRONT).open()
    _take(tape, "u", -3.0)
    tape.say("again", {"how": "read again"})
    tape.say("accept", PLACE_AS_IT_IS, **BY_SUPERVISOR)
    yield "a phase that judges no place", tape
    tape = Tape(EVERYTHING).open().through(2)
    for number in (2, 3, 1):
        _take(tape, "u", 10.0, number)
    yield "a second take of what is read once", tape


def _sides_and_limits() -> Iterator[Case]:
    tape = _set_left().lies(across=0.2)
    _take(tape, "a", -2.8)
    tape.say("done")
    tape.say("accept", {"what": "reading", "name": "a", "reason": "read twice"})
    tape.say("again", {"how": "read again"})
    _take(tape, "a", 2.8)
    tape.done()
    yield "told for the wrong side of the edge, and put right", tape
    tape = _set_left()
    for reading, value in (("u", 3.4), ("l", -7.0), ("a", 3.0), ("b", -2.9)):
        for take in (1, 2):
            _take(tape, reading, value, take)
    tape.say("done")
    for name in ("u", "b", "u 2", "b 2"):
        tape.say("accept", {"what": "reading", "name": name, "reason": "so it is"})
    tape.say("done")
    tape.say("again", {"how": "laid again"})
    tape.say("accept", {"what": "reading", "name": "u", "reason": "so it is"})
    tape.lies().done()
    yield "on the other side indeed, taken as read, and laid again", tape
    tape = _set_left().lies(along=7.0)
    tape.say("accept", {"what": "reading", "name": "u", "reason": "so it is"})
    tape.say("again", {"how": "nudged", "along": -7.0, "across": 0.0})
    for name in ("u 2", "l", "l 2"):
        tape.say("accept", {"what": "reading", "name": name, "reason": "so it is"})
    tape.say("done")
    tape.say("again", {"how": "nudged", "along": -7.0, "across": 0.0})
    tape.lies(along=0.1).done()
    yield "outside its limits, accepted and moved", tape
    tape = _set_left().lies(along=20.0)
    tape.say("accept", {"what": "reading", "name": "u", "reason": "so it is"}, **BY_SUPERVISOR)
    yield "a reading that nobody takes", tape


def _verdicts() -> Iterator[Case]:
    yield "sewn as it lies", _set_left().lies(along=0.3, across=-0.4, turned=0.4).done().done()
    for name, lies in (
        ("a stair", {"along": 2.5, "across": -1.0}),
        ("turned too far", {"turned": 4.5}),
        ("too near the folded edge", {"across": 2.3}),
    ):
        tape = _set_left().lies(**lies)
        tape.say("done")
        tape.say("accept", PLACE_AS_IT_IS)
        tape.say("accept", PLACE_AS_IT_IS, **BY_SUPERVISOR)
        tape.say("again", {"how": "read again"})
        tape.lies(**lies)
        tape.say("done")
        tape.say("accept", PLACE_AS_IT_IS, authority="self")
        tape.done()
        yield f"{name}, and taken as it is", tape
    tape = _set_left().read(-1.6, -5.4, 3.0, 3.0)
    tape.say("done")
    tape.say("accept", PLACE_AS_IT_IS, **BY_SUPERVISOR)
    _take(tape, "l", -5.5, 2)
    tape.say("done")
    yield "cloth that is stretched; a reading takes the acceptance away", tape
    tape = Tape(UNSURE).open().lies()
    tape.say("done")
    tape.say("again", {"how": "read again"})
    tape.lies()
    tape.say("done")
    yield "read once more until it is sure", tape
    tape = Tape(TOO_FINE).open().lies()
    for _ in range(ENOUGH_ROUNDS - 1):
        tape.say("done")
        tape.say("again", {"how": "read again"})
        tape.lies()
    tape.say("done")
    yield "read as often as is of use, and sewn", tape
    tape = Tape(SEVERAL_HEADS).open().lies(along=2.0)
    tape.say("done")
    tape.say("scrap", {"garments": [4], "cause": "cloth-cut"})
    yield "under several heads nothing is nudged", tape
    tape = Tape(CLOSED_FRONT).open().lies(along=0.8, across=0.9)
    tape.done()
    tape.say("redo", {"cause": "lies-wrong", "to": 0})
    tape.lies(along=3.0, across=-2.0)
    tape.say("done")
    tape.say("again", {"how": "nudged", "along": -3.0, "across": 2.0})
    tape.lies(along=0.1).done()
    yield "a closed garment on its drawn lines", tape


def _rounds() -> Iterator[Case]:
    tape = _set_left().lies(along=2.0)
    tape.say("again", {"how": "nudged", "along": -2.0, "across": 0.0})
    tape.say("done")
    tape.say("again", {"how": "nudged", "along": -2.0, "across": 0.0})
    tape.lies(along=0.2).done()
    tape.say("undo", {"event": tape.events[-1].id})
    tape.done()
    tape.say("redo", {"cause": "lies-wrong", "to": 1})
    tape.lies(along=-0.3, turned=3.5)
    tape.say("again", {"how": "laid again"})
    tape.say("redo", {"cause": "lies-wrong", "to": 1})
    tape.lies(along=0.4).done().done()
    yield "nudged, laid again, and done again from before: the rounds go too", tape
    tape = _set_left().lies(along=2.0)
    tape.say("again", {"how": "nudged", "along": -2.0, "across": 0.0})
    tape.lies(along=2.0)
    tape.say("done")
    tape.say("again", {"how": "nudged", "along": -2.0, "across": 0.0})
    tape.lies(along=4.5, turned=-4.0)
    tape.say("done")
    yield "a machine that did not move, and cloth that did", tape
    tape = _set_left().lies(along=2.0)
    tape.say("again", {"how": "nudged", "along": -2.0, "across": 0.0})
    for reading, value in (("u", -3.1), ("l", -7.1), ("a", 3.0), ("b", 3.2)):
        tape.say("done")
        _take(tape, reading, value)
    tape.done()
    yield "one take of each place is enough where a nudge did what it should", tape
    tape = _set_left().lies(along=2.0)
    tape.say("again", {"how": "nudged", "along": -2.0, "across": 0.0})
    for take in (1, 2):
        for reading, value in (("u", -5.0), ("l", -5.0), ("a", 3.0), ("b", 3.0)):
            _take(tape, reading, value, take)
            tape.say("done")
    yield "takes that tell of another place than the nudge's are taken twice", tape
    tape = _set_left().lies(along=2.0)
    again = tape.say("again", {"how": "nudged", "along": -2.0, "across": 0.0})
    tape.say("undo", {"event": again})
    tape.say("done")
    again = tape.say("again", {"how": "laid again"})
    _take(tape, "u", -3.0)
    tape.say("undo", {"event": again})
    tape.say("undo", {"event": tape.events[-2].id})
    tape.say("undo", {"event": again})
    tape.say("done")
    yield "a round taken back brings its readings back", tape
    tape = _set_left()
    for data in (
        {}, {"how": "turned"}, {"how": "nudged"}, {"how": "nudged", "along": 1}, {"how": "nudged", "along": "1"},
        {"how": "nudged", "along": 30.5, "across": 0}, {"how": "nudged", "along": 0, "across": -30.01},
        {"how": "nudged", "along": True, "across": 0}, {"how": "laid again", "along": "far"}, {"how": ["nudged"]},
    ):  # fmt: skip
        tape.say("again", data)
    for take in (0, 4, 1.5, "2", True, 2.0, None, []):
        tape.say("reading", {"reading": "u", "value": -3.0, "take": take})
    yield "rounds and takes off the grammar", tape


def _second_front() -> Iterator[Case]:
    for name, as_sewn, lies in (
        ("set to the first as it was sewn", {"along": 1.5, "across": 0.5}, {"along": 1.4, "across": 0.4}),
        ("where it is drawn, but not where the first was sewn", {"along": 2.0}, {}),
        ("turned as the first was", {"turned": 1.8}, {"turned": -1.8}),
        ("turned against the first", {"turned": 1.6}, {"turned": 1.6}),
    ):
        tape = Tape(SECOND_FRONT).open().lies(**as_sewn)
        tape.say("again", {"how": "read again"})
        tape.done()
        tape.say("check", {"check": "colour", "value": "red"})
        tape.lies(**lies)
        tape.say("done")
        tape.say("done")
        yield f"the second front {name}", tape
    for turned in (2.3039, 2.3042):  # over 132 mm: a hair's breadth this side of one degree, and that
        tape = Tape(SECOND_FRONT).open().lies(turned=turned)
        tape.say("done")
        yield f"a first front turned by {turned} mm", tape
    tape = Tape(SECOND_FRONT).open().lies().done()
    tape.say("accept", {"what": "check", "name": "colour", "reason": "seen already"})
    tape.lies(along=2.0)
    tape.say("again", {"how": "nudged", "along": -2.0, "across": 0.0})
    tape.lies(along=0.1).done()
    yield "a round leaves a check that was left out", tape
    tape = Tape(SECOND_FRONT).open().lies(turned=2.6)
    tape.say("done")
    tape.say("accept", PLACE_AS_IT_IS)
    tape.say("accept", PLACE_AS_IT_IS, **BY_SUPERVISOR)
    tape.done()
    tape.say("check", {"check": "colour", "value": "red"})
    tape.lies(turned=-2.6)
    tape.say("done")
    tape.say("redo", {"cause": "other", "to": 0})
    tape.lies(along=6.5)
    for name in ("u", "l", "u 2", "l 2"):
        tape.say("accept", {"what": "reading", "name": name, "reason": "so it is"})
        tape.say("accept", {"what": "reading", "name": name, "reason": "so it is"}, **BY_SUPERVISOR)
    tape.say("done")
    tape.say("accept", PLACE_AS_IT_IS, **BY_SUPERVISOR)
    tape.done()
    yield "a first front so far off that somebody decides", tape


def _openings() -> Iterator[Case]:
    for name, told in (
        ("with the machine and the shop's hand", {"machine": "Two heads", "hand": HAND}),
        ("with a hand of nothing told", {"machine": None, "hand": None}),
        ("with a hand of whole numbers", {"hand": {**HAND, "along": 2, "reading": 1.0}}),
    ):
        tape = Tape(FIRST_FRONT, **told).open()
        tape.open(hand={**HAND, "skew": 0.5})
        tape.done()
        yield f"opened {name}", tape
    tape = Tape(FIRST_FRONT, machine="Two heads", hand=HAND)
    tape.open(hand={**HAND, "skew": 0.5}).open(machine="One head").open(hand=None).open()
    yield "opened with another hand than the one it was made for", tape
    for wrong in (
        [], "steady", 1.0, {}, {**HAND, "left": 1.0}, {**HAND, "along": 0.019}, {**HAND, "skew": 20.1},
        {**HAND, "stretch": True}, {**HAND, "reading": "0.4"},
        {key: value for key, value in HAND.items() if key != "reading"},
    ):  # fmt: skip
        tape = Tape(FIRST_FRONT).open(hand=wrong)
        tape.open()
        yield f"opened with a hand of {wrong}"[:80], tape
    yield "opened with a machine of 121 letters", Tape(FIRST_FRONT).open(machine="x" * 121).open(machine=5)
