"""One run, two tablets: it is in one hand at a time, and whoever goes on with it elsewhere says so first."""

from __future__ import annotations

import pytest
from tape import EVERYTHING, PLAIN, START_MS, Tape

from floor.domain.run_state import RunState, Status

IN_OTHER_HANDS = "Ines has this run in hand at another tablet; to go on at this one, take it over first."


def state(tape: Tape) -> RunState:
    return tape.replayed().state


def taken_over(tape: Tape, operator: str = "Bo", device: str = "B") -> str:
    event = tape.say("take_over", {"operator": operator}, device=device)
    assert tape.reason(event) == ""
    return event


def test_the_tablet_that_opened_a_run_has_it_in_hand() -> None:
    tape = Tape(PLAIN).open()
    assert (state(tape).device, state(tape).operator, state(tape).since) == ("A", "Ines", START_MS)


def test_a_tap_at_another_tablet_is_set_aside_and_says_who_has_the_run() -> None:
    tape = Tape(PLAIN).open().done()
    assert tape.reason(tape.say("done", device="B")) == IN_OTHER_HANDS
    assert tape.reason(tape.say("done", phase=0, device="B")) == IN_OTHER_HANDS
    assert state(tape).phase == 1


def test_it_goes_on_where_it_was_taken_over_and_no_longer_where_it_was() -> None:
    tape = Tape(PLAIN).open().done()
    taken_over(tape)
    assert (state(tape).device, state(tape).operator, state(tape).since) == ("B", "Bo", tape.now)
    assert tape.reason(tape.say("done", device="B")) == ""
    assert tape.reason(tape.say("done", device="A")) == (
        "Bo has this run in hand at another tablet; to go on at this one, take it over first."
    )
    assert tape.reason(tape.say("done", phase=1, device="B")) == (
        "It was said of phase 2 while the run was at phase 3."
    )


def test_notes_and_approvals_come_from_any_tablet_and_leave_the_run_in_its_hands() -> None:
    tape = Tape(EVERYTHING).open().through(6)
    assert tape.reason(tape.say("note", {"text": "well sewn"}, device="B")) == ""
    assert tape.reason(tape.say("approve", device="C", authority="supervisor")) == ""
    assert (state(tape).device, state(tape).operator) == ("A", "Ines")


def test_a_run_is_handed_over_only_at_the_tablet_that_has_it() -> None:
    tape = Tape(PLAIN).open()
    assert tape.reason(tape.say("hand_over", {"to": "Bo"}, device="B")) == IN_OTHER_HANDS
    assert tape.reason(tape.say("hand_over", {"to": "Bo"})) == ""
    assert (state(tape).device, state(tape).operator, state(tape).since) == ("A", "Bo", tape.now)


@pytest.mark.parametrize(
    ("kind", "data"), [("pause", {"reason": "break"}), ("problem", {"problem": "broken-needle"})]
)
def test_a_run_that_rests_can_be_taken_over_as_it_is(kind: str, data: dict[str, str]) -> None:
    tape = Tape(PLAIN).open()
    tape.say(kind, data)
    before = state(tape).status
    taken_over(tape)
    assert state(tape).status == before != Status.WORKING


def test_what_has_ended_is_in_nobodys_hand() -> None:
    tape = Tape(PLAIN).open().done(2)
    problem = tape.say("problem", {"problem": "cloth-nicked"})
    tape.done()
    late = tape.say("take_over", {"operator": "Bo"}, device="B")
    assert tape.reason(late) == "The run had already ended (finished)."
    assert tape.reason(tape.say("cleared", {"problem": problem, "how": "pressed"}, device="B")) == ""


def test_taking_over_is_taken_back_by_who_took_over_and_gives_the_run_back() -> None:
    tape = Tape(PLAIN).open().done()
    before = state(tape)
    event = taken_over(tape)
    assert tape.reason(tape.say("undo", {"event": event}, device="A")) == (
        "The newest tap came from another tablet; only that tablet can take it back."
    )
    assert tape.reason(tape.say("undo", {"event": event}, device="B")) == ""
    assert state(tape) == before
    assert tape.reason(tape.say("done")) == ""


def test_an_opening_taken_back_leaves_the_run_in_nobodys_hand() -> None:
    tape = Tape(PLAIN).open()
    tape.say("undo", {"event": "A1"})
    assert (state(tape).device, state(tape).since) == ("", None)
    tape.say("open", tape.opening, phase=0, device="B")
    assert state(tape).device == "B"


def test_a_run_cannot_be_taken_over_before_it_is_opened() -> None:
    tape = Tape(PLAIN)
    assert tape.reason(tape.say("take_over", {"operator": "Bo"}, device="B")) == "The run was not open."


def test_of_taps_that_crossed_those_before_the_take_over_count() -> None:
    """Ines taps on without a network while Bo takes over: the clocks decide which of hers still count."""
    tape = Tape(PLAIN).open()
    before = tape.say("done")
    taken_over(tape)
    after = tape.say("done", phase=1)
    tape.events.reverse()
    assert (tape.reason(before), tape.reason(after)) == (
        "",
        "Bo has this run in hand at another tablet; to go on at this one, take it over first.",
    )


def test_two_that_take_over_at_once_leave_the_run_to_the_later_one() -> None:
    tape = Tape(PLAIN).open()
    taken_over(tape)
    taken_over(tape, "Cem", "C")
    assert tape.reason(tape.say("done", device="B")) == (
        "Cem has this run in hand at another tablet; to go on at this one, take it over first."
    )
    assert (state(tape).device, state(tape).operator) == ("C", "Cem")
