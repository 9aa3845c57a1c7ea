"""A front's place in a run: what is still to be read, what must be done about it, and what a round leaves."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from tape import (
    EVERYTHING,
    FIRST_FRONT,
    MEASURE,
    RIGHT,
    SECOND_FRONT,
    SEVERAL_HEADS,
    UNSURE,
    Tape,
    section,
)

from floor.domain.checklist import PlaceCheck
from floor.domain.hand import USUAL_HAND, Hand
from floor.domain.place_in_run import judged
from floor.domain.run_state import RunState
from floor.domain.weighing import Weighed

MOVED: dict[str, Any] = {"how": "nudged", "along": -2.0, "across": 0.0}
AS_IT_LIES = {"what": "place", "name": "place", "reason": "the customer wants it today"}
BY_SUPERVISOR: Any = {"authority": "supervisor"}


def set_left() -> Tape:
    """The first front under the needle, its expected readings -3, -7, 3 and 3 mm."""
    return Tape(FIRST_FRONT).open().done()


def set_right(**as_sewn: float) -> Tape:
    """The second front under the needle, the first measured to lie so."""
    tape = Tape(SECOND_FRONT).open().lies(**as_sewn).done()
    tape.say("check", {"check": "colour", "value": "red"})
    return tape


def state(tape: Tape) -> RunState:
    return tape.replayed().state


def lacks(tape: Tape) -> list[tuple[str, str]]:
    return [(missing.name, missing.why) for missing in state(tape).missing]


def told(tape: Tape) -> Weighed:
    found = judged(state(tape), state(tape).phase)
    assert found is not None
    return found


def take(tape: Tape, reading: str, value: float, number: int = 1) -> str:
    return tape.say("reading", {"reading": reading, "value": value, "take": number})


def done(tape: Tape) -> str:
    return tape.reason(tape.say("done"))


def test_every_place_is_read_once_before_any_is_read_again() -> None:
    tape = set_left()
    take(tape, "a", 3.0)
    assert [name for name, _ in lacks(tape)] == ["u", "l", "b", "u 2", "l 2", "a 2", "b 2"]
    assert done(tape) == "The phase could not end: reading u was not given."


def test_a_third_take_is_asked_only_where_two_differ() -> None:
    tape = set_left().read(-3.0, -7.0, 3.0, 3.0, then={"l": -7.6})
    assert lacks(tape) == [("l 3", "not given")]
    take(tape, "l", -7.5, 3)
    assert lacks(tape) == []
    assert told(tape).steps


def test_three_takes_of_which_none_agree_are_told_and_one_is_read_anew() -> None:
    tape = set_left().read(-3.0, -7.0, 3.0, 3.0, then={"l": -8.0})
    take(tape, "l", -9.0, 3)
    assert lacks(tape) == [("l", "differs")]
    assert done(tape) == "The phase could not end: no two takes of reading l agreed."
    accept = tape.say("accept", {"what": "reading", "name": "l", "reason": "so it is"}, **BY_SUPERVISOR)
    assert tape.reason(accept) == "Reading l cannot be taken as it is."
    take(tape, "l", -7.2, 2)
    assert done(tape) == ""


def test_a_reading_that_is_asked_once_has_no_second_take() -> None:
    tape = Tape(EVERYTHING).open().through(2)
    assert tape.reason(take(tape, "u", 10.0, 2)) == '"u" is read once in this phase.'
    assert tape.reason(take(tape, "u", 10.0, 1)) == ""


def test_a_second_take_waits_for_its_first() -> None:
    tape = set_left()
    assert tape.reason(take(tape, "u", -3.0, 2)) == ""
    assert ("u", "not given") in lacks(tape)
    assert ("u 2", "not given") not in lacks(tape)


def test_a_value_for_the_wrong_side_counts_only_once_it_is_taken_or_put_right() -> None:
    tape = set_left().lies()
    take(tape, "a", -2.8)
    assert lacks(tape)[0] == ("a", "outside")
    assert done(tape) == "The phase could not end: reading a was outside its limits."
    assert tape.reason(tape.say("again", {"how": "read again"})) == "The place had not been read yet."
    take(tape, "a", 2.8)
    assert done(tape) == ""


def test_a_front_that_lies_well_is_sewn() -> None:
    tape = set_left().lies(along=0.3, across=0.4)
    assert told(tape).verdict == "sew"
    assert done(tape) == ""


@pytest.mark.parametrize(
    ("lies", "why", "says"),
    [
        ({"along": 2.0}, "nudge", "the start was to be moved first"),
        ({"turned": 4.0}, "re-lay", "the front was to be laid again first"),
    ],
)
def test_a_front_that_lies_wrong_holds_the_phase(lies: dict[str, float], why: str, says: str) -> None:
    tape = set_left().lies(**lies)
    assert lacks(tape) == [("place", why)]
    assert done(tape) == f"The phase could not end: {says}."


def test_what_readings_cannot_tell_is_read_once_more() -> None:
    tape = Tape(UNSURE).open().lies()
    assert lacks(tape) == [("place", "read")]
    assert done(tape) == "The phase could not end: the place was to be read once more."
    tape.say("again", {"how": "read again"})
    tape.lies()
    assert done(tape) == ""


def test_under_several_heads_no_start_is_moved() -> None:
    assert lacks(Tape(SEVERAL_HEADS).open().lies(along=2.0)) == [("place", "re-lay")]


def test_what_is_lost_is_not_judged_any_more() -> None:
    tape = Tape(SEVERAL_HEADS, (4, 5)).open().lies(along=2.0)
    tape.say("scrap", {"garments": [4], "cause": "cloth-cut"})
    assert done(tape) == ""


def test_only_a_supervisor_sews_a_front_that_lies_wrong() -> None:
    tape = set_left().lies(along=2.0)
    assert tape.reason(tape.say("accept", AS_IT_LIES)) == "Only a supervisor can take place place as it is."
    tape.say("accept", AS_IT_LIES, **BY_SUPERVISOR)
    assert done(tape) == ""


def test_a_place_read_anew_is_no_more_the_one_that_was_taken_as_it_lay() -> None:
    tape = set_left().lies(along=2.0)
    tape.say("accept", AS_IT_LIES, **BY_SUPERVISOR)
    take(tape, "u", -0.9)
    assert lacks(tape) == [("place", "nudge")]


def test_a_round_begins_once_the_one_before_is_read() -> None:
    tape = set_left()
    for reading, value in (("u", -3.0), ("l", -7.0), ("a", 3.0), ("b", 3.0)):
        assert tape.reason(tape.say("again", MOVED)) == "The place had not been read yet."
        take(tape, reading, value)
        take(tape, reading, value, 2)
    assert tape.reason(tape.say("again", MOVED)) == ""


def test_a_round_is_for_a_phase_that_judges_a_place() -> None:
    for tape in (Tape(FIRST_FRONT).open(), Tape(SECOND_FRONT).open().lies()):
        assert tape.reason(tape.say("again", {"how": "read again"})) == "This phase judges no place."


def test_a_round_leaves_what_was_read_as_a_try_and_wants_the_place_read_anew() -> None:
    tape = set_left().lies(along=7.0)
    for name in ("u", "u 2", "l", "l 2"):
        tape.say("accept", {"what": "reading", "name": name, "reason": "so it is"})
    tape.say("accept", AS_IT_LIES, **BY_SUPERVISOR)
    tape.say("again", {**MOVED, "along": -7.0})
    now = state(tape)
    (tried,) = now.tries[1]
    assert (tried.readings.u, tried.takes, tried.how, tried.along) == (4.0, 2.0, "nudged", -7.0)
    assert now.readings == {}
    assert now.accepted == frozenset()
    assert lacks(tape) == [(name, "not given") for name in ("u", "l", "a", "b")]


class TestAfterANudge:
    def test_one_take_of_each_place_is_enough_where_it_reads_as_foretold(self) -> None:
        tape = set_left().lies(along=2.0)
        tape.say("again", MOVED)
        for reading, value in (("u", -3.1), ("l", -7.1), ("a", 3.0), ("b", 3.2)):
            take(tape, reading, value)
        assert lacks(tape) == []
        assert done(tape) == ""

    def test_four_takes_that_tell_of_another_place_are_all_taken_twice(self) -> None:
        tape = set_left().lies(along=2.0)
        tape.say("again", MOVED)
        for reading, value in (("u", -5.0), ("l", -5.0), ("a", 3.0), ("b", 3.0)):
            take(tape, reading, value)
        assert lacks(tape) == [(name, "not given") for name in ("u 2", "l 2", "a 2", "b 2")]
        for reading, value in (("u", -5.1), ("l", -5.0), ("a", 3.0), ("b", 3.0)):
            take(tape, reading, value, 2)
        assert told(tape).lie.along.mean == pytest.approx(-2.0, abs=0.1)

    def test_a_second_take_that_was_given_counts_too(self) -> None:
        tape = set_left().lies(along=2.0)
        tape.say("again", MOVED)
        tape.read(-3.2, -7.0, 3.0, 3.0, then={"u": -4.0})
        assert lacks(tape) == [("u 3", "not given")]

    def test_laid_again_every_place_is_read_twice(self) -> None:
        tape = set_left().lies(along=2.0)
        tape.say("again", {"how": "laid again"})
        assert len(lacks(tape)) == 8


def test_a_round_leaves_what_else_was_accepted_in_its_phase() -> None:
    tape = Tape(SECOND_FRONT).open().lies().done()
    tape.say("accept", {"what": "check", "name": "colour", "reason": "seen already"})
    tape.lies(along=2.0)
    tape.say("again", MOVED)
    tape.lies(along=0.1)
    assert done(tape) == ""


def test_what_was_read_before_a_nudge_still_counts() -> None:
    tape = set_left().lies(along=2.0)
    tape.say("again", MOVED)
    tape.lies(along=0.4)
    both = told(tape)
    alone = told(set_left().lies(along=0.4))
    assert both.lie.along.var < alone.lie.along.var
    assert both.lie.along.mean < alone.lie.along.mean  # the nudge was to bring it to nothing


def test_what_was_read_of_cloth_that_was_laid_again_does_not() -> None:
    tape = set_left().lies(along=-2.0, turned=4.0)
    tape.say("again", {"how": "laid again"})
    tape.lies(along=0.4)
    assert told(tape) == told(set_left().lies(along=0.4))


def test_a_redo_clears_the_rounds_from_there_on() -> None:
    tape = set_left().lies(along=2.0)
    tape.say("again", MOVED)
    tape.say("redo", {"cause": "lies-wrong", "to": 1})
    assert state(tape).tries == {}
    tape.lies(along=2.0)
    tape.say("again", MOVED)
    tape.lies().done()
    tape.say("redo", {"cause": "lies-wrong", "to": 2})
    assert set(state(tape).tries) == {1}


def test_a_round_taken_back_brings_its_readings_back() -> None:
    tape = set_left().lies(along=2.0)
    before = state(tape)
    tape.say("undo", {"event": tape.say("again", MOVED)})
    assert state(tape) == before


def test_the_second_front_is_set_to_the_first_as_it_was_sewn() -> None:
    assert told(set_right(along=1.5).lies(along=1.4)).verdict == "sew"
    off = told(set_right(along=2.0).lies())
    assert off.verdict == "nudge"
    assert off.nudge[0] > 1.5  # toward where the first lies, drawn a little toward its drawn place


def test_a_first_front_far_off_is_decided_about_before_the_second_is_spent() -> None:
    tape = Tape(SECOND_FRONT).open().lies(turned=2.6)  # over 132 mm, 1.13 degrees
    assert lacks(tape) == [("place", "decide")]
    assert done(tape) == (
        "The phase could not end: the other front lies so far off that somebody decides about it first."
    )
    tape.say("accept", AS_IT_LIES, **BY_SUPERVISOR)
    assert done(tape) == ""
    assert lacks(Tape(SECOND_FRONT).open().lies(turned=2.2)) == []


def test_a_first_front_six_millimetres_off_is_decided_about_too() -> None:
    def off(along: float) -> list[tuple[str, str]]:
        tape = Tape(SECOND_FRONT).open().lies(along=along)
        for name in ("u", "l", "u 2", "l 2"):
            tape.say("accept", {"what": "reading", "name": name, "reason": "so it is"}, **BY_SUPERVISOR)
        return lacks(tape)

    assert off(5.9) == []
    assert off(6.1) == [("place", "decide")]


def test_a_skew_read_at_crossings_near_each_other_is_hardly_one() -> None:
    """At 8 mm from each other half a millimetre of tape looks like 3.6 degrees."""
    near = replace(RIGHT, other=replace(RIGHT.other, upper=4.0, lower=-4.0))
    measure = replace(MEASURE, place=PlaceCheck("sewn", near, USUAL_HAND))
    assert lacks(Tape(section(measure)).open().lies(turned=0.5)) == []


def test_a_run_is_opened_with_the_hand_and_the_machine_that_it_was_made_for() -> None:
    hand = vars(USUAL_HAND)
    tape = Tape(FIRST_FRONT, machine="Two heads", hand=hand)
    assert tape.opened.hand == USUAL_HAND
    assert tape.opened.machine == "Two heads"
    other = tape.say("open", {**tape.opening, "hand": {**hand, "skew": 0.5}}, phase=0)
    assert tape.reason(other) == "The run had been opened for something else before."
    assert tape.reason(tape.say("open", tape.opening, phase=0)) == ""


@pytest.mark.parametrize(
    ("hand", "found"),
    [
        ({}, "an object"), ([1.0], "a list"), ("steady", "“steady”"), (True, "true"),
        ({**vars(USUAL_HAND), "thumb": 1.0}, "an object"), ({**vars(USUAL_HAND), "along": 0.0}, "an object"),
        ({**vars(USUAL_HAND), "along": True}, "an object"),
    ],
)  # fmt: skip
def test_a_hand_is_all_its_spreads_and_nothing_else(hand: object, found: str) -> None:
    tape = Tape(FIRST_FRONT)
    assert tape.reason(tape.say("open", {**tape.opening, "hand": hand}, phase=0)) == (
        'A "open" event needs hand: along, across, skew, stretch, sewn_along, sewn_across, sewn_skew, reading, '
        f"each a number from 0.02 to 20; found {found}."
    )


def test_an_opening_that_tells_no_hand_has_none() -> None:
    assert Tape(FIRST_FRONT).opened.hand is None
    assert Tape(FIRST_FRONT, hand=vars(Hand(along=2.0))).opened.hand == Hand(along=2.0)
