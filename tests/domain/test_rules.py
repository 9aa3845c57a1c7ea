"""What may happen to a run next, rule by rule."""

from __future__ import annotations

import pytest
from tape import COUNTS, EACH, EVERYTHING, PLAIN, Tape

from floor.domain.run_state import RunState, Status


def at_phase(phase: int, garments: tuple[int, ...] = (4,)) -> Tape:
    """A run of `EVERYTHING`, all well done up to this phase."""
    tape = Tape(EVERYTHING, garments).open().through(phase)
    assert tape.replayed().state.phase == phase
    return tape


def state(tape: Tape) -> RunState:
    return tape.replayed().state


def test_nothing_can_happen_to_a_run_that_is_not_open() -> None:
    tape = Tape(PLAIN)
    assert tape.reason(tape.say("done")) == "The run was not open."
    assert state(tape).status == Status.VOID


def test_a_run_is_opened_once_and_for_one_thing() -> None:
    tape = Tape(PLAIN)
    assert tape.reason(tape.say("open", {**tape.opening, "garments": [5]}, phase=0)) == (
        "The run had been opened for something else before."
    )
    tape.open()
    assert tape.reason(tape.say("open", tape.opening)) == "The run was already open."


def test_the_normal_case_is_one_tap_a_phase() -> None:
    tape = Tape(PLAIN).open().done(3)
    assert state(tape).status == Status.FINISHED
    assert all(verdict.applied for verdict in tape.replayed().verdicts.values())


def test_nothing_but_notes_and_clearing_happens_after_the_end() -> None:
    tape = Tape(PLAIN).open().done(2)
    problem = tape.say("problem", {"problem": "cloth-nicked"})
    tape.done()
    assert tape.reason(tape.say("note", {"text": "well sewn"})) == ""
    assert tape.reason(tape.say("cleared", {"problem": problem, "how": "pressed"})) == ""
    assert tape.reason(tape.say("pause", {"reason": "break"})) == "The run had already ended (finished)."


def test_a_phase_does_not_end_before_its_checks_are_given() -> None:
    tape = Tape(EVERYTHING).open()
    assert tape.reason(tape.say("done")) == "The phase could not end: check colour was not given."
    tape.say("check", {"check": "colour", "value": "gold"})
    assert tape.reason(tape.say("done")) == "The phase could not end: check colour was answered otherwise."
    tape.say("check", {"check": "colour", "value": "red"})
    assert tape.reason(tape.say("done")) == "The phase could not end: count pins out was not given."


def test_an_answer_must_be_one_of_those_offered_to_a_check_of_this_phase() -> None:
    tape = Tape(EVERYTHING).open()
    blue = tape.say("check", {"check": "colour", "value": "blue"})
    assert tape.reason(blue) == "“blue” is not an answer to “Which colour lies on top?”."
    assert tape.reason(tape.say("check", {"check": "half", "value": "left"})) == (
        'This phase has no check "half".'
    )


def test_what_is_said_of_another_phase_is_set_aside() -> None:
    tape = at_phase(1)
    assert tape.reason(tape.say("done", phase=0)) == "It was said of phase 1 while the run was at phase 2."
    assert (
        tape.reason(tape.say("note", {"text": "x"}, phase=9)) == "There is no phase 10 in this run; it has 7."
    )


@pytest.mark.parametrize("value", [8.5, 10, 11.5])
def test_a_reading_within_its_limits_stands_by_itself(value: float) -> None:
    tape = at_phase(2)
    tape.say("check", {"check": "half", "value": "left"})
    tape.say("reading", {"reading": "a", "value": 3.0})
    tape.say("reading", {"reading": "u", "value": value})
    assert tape.reason(tape.say("done")) == ""


@pytest.mark.parametrize("value", [8.4999, 11.5001])
def test_a_reading_outside_its_limits_must_be_taken_with_a_reason(value: float) -> None:
    tape = at_phase(2)
    tape.say("check", {"check": "half", "value": "left"})
    tape.say("reading", {"reading": "a", "value": 3.0})
    tape.say("reading", {"reading": "u", "value": value})
    assert tape.reason(tape.say("done")) == "The phase could not end: reading u was outside its limits."
    tape.say("accept", {"what": "reading", "name": "u", "reason": "it will do"})
    assert tape.reason(tape.say("done")) == ""


def test_some_readings_only_a_supervisor_can_take_and_some_nobody() -> None:
    tape = at_phase(2)
    tape.say("reading", {"reading": "a", "value": 2.0})
    taken = {"what": "reading", "name": "a", "reason": "it will do"}
    assert tape.reason(tape.say("accept", taken)) == "Only a supervisor can take reading a as it is."
    assert tape.reason(tape.say("accept", taken, authority="self")) == ""
    tape.say("reading", {"reading": "a", "value": 0.5})
    assert tape.reason(tape.say("accept", taken, authority="supervisor")) == (
        "Reading a cannot be taken as it is."
    )


def test_nobody_can_take_a_reading_that_was_not_read() -> None:
    tape = at_phase(2)
    accept = tape.say("accept", {"what": "reading", "name": "u", "reason": "so"}, authority="supervisor")
    assert tape.reason(accept) == "Reading u cannot be taken as it is."


def test_reading_again_takes_the_acceptance_of_the_old_value_away() -> None:
    tape = at_phase(2)
    tape.say("check", {"check": "half", "value": "left"})
    tape.say("reading", {"reading": "a", "value": 3.0})
    tape.say("reading", {"reading": "u", "value": 12.0})
    tape.say("accept", {"what": "reading", "name": "u", "reason": "it will do"})
    tape.say("reading", {"reading": "u", "value": 15.0})
    assert tape.reason(tape.say("done")) == "The phase could not end: reading u was outside its limits."


def test_a_check_may_be_left_out_only_by_whom_the_checklist_says() -> None:
    tape = at_phase(2)
    half = {"what": "check", "name": "half", "reason": "I know it"}
    assert tape.reason(tape.say("accept", half, authority="supervisor")) == (
        "Check half cannot be taken as it is."
    )
    tape = at_phase(3)
    trimmed = {"what": "check", "name": "trimmed", "reason": "seen"}
    assert tape.reason(tape.say("accept", trimmed)) == "Only a supervisor can take check trimmed as it is."
    assert tape.reason(tape.say("accept", trimmed, authority="supervisor")) == ""
    assert tape.reason(tape.say("accept", trimmed)) == "Check trimmed did not stand in the way."


def test_pins_that_do_not_all_come_back_hold_the_phase_until_a_supervisor_takes_it() -> None:
    tape = at_phase(5)
    tape.say("count", {"count": "pins", "side": "in", "value": 11})
    assert (
        tape.reason(tape.say("done"))
        == "The phase could not end: pins in differed from what was counted out."
    )
    taken = {"what": "count", "name": "pins in", "reason": "one fell into the machine"}
    assert tape.reason(tape.say("accept", taken)) == "Only a supervisor can take count pins in as it is."
    tape.say("accept", taken, authority="supervisor")
    assert tape.reason(tape.say("done")) == ""


def test_counting_either_side_anew_takes_the_acceptance_of_the_difference_away() -> None:
    tape = Tape(COUNTS).open().through(1)
    tape.say("count", {"count": "pins", "side": "out", "value": 3})
    tape.say("count", {"count": "pins", "side": "in", "value": 14})
    taken = {"what": "count", "name": "pins in", "reason": "under the table"}
    tape.say("accept", taken, authority="supervisor")
    tape.say("count", {"count": "pins", "side": "out", "value": 9})
    assert (
        tape.reason(tape.say("done"))
        == "The phase could not end: pins in differed from what was counted out."
    )


def test_counts_of_several_phases_are_added_up() -> None:
    tape = Tape(COUNTS).open().through(1)
    for side, value in (("out", 5), ("in", 17)):
        tape.say("count", {"count": "pins", "side": side, "value": value})
    assert tape.reason(tape.say("done")) == ""


def test_a_paused_run_goes_on_before_anything_else() -> None:
    tape = at_phase(1)
    tape.say("pause", {"reason": "break"})
    assert state(tape).status == Status.PAUSED
    assert tape.reason(tape.say("done")) == "The run was paused; going on comes first."
    for kind, data in (
        ("note", {"text": "x"}),
        ("hand_over", {"to": "Bo"}),
        ("problem", {"problem": "other"}),
    ):
        assert tape.reason(tape.say(kind, data)) == ""
    assert tape.reason(tape.say("resume")) == ""
    assert tape.reason(tape.say("resume")) == "The run was not paused."
    assert state(tape).operator == "Bo"


def test_a_blocking_problem_holds_the_run_until_it_is_put_right() -> None:
    tape = at_phase(1)
    problem = tape.say("problem", {"problem": "garment-caught"})
    assert state(tape).status == Status.HELD
    held = "A problem was open; putting it right comes first."
    assert tape.reason(tape.say("done")) == held
    assert tape.reason(tape.say("redo", {"cause": "other", "to": 0})) == held
    assert tape.reason(tape.say("cleared", {"problem": "A99", "how": "cut"})) == "That problem was not open."
    tape.say("cleared", {"problem": problem, "how": "cut the stitches from the back"})
    assert tape.reason(tape.say("done")) == ""


def test_a_problem_that_does_not_block_is_only_recorded() -> None:
    tape = at_phase(1)
    tape.say("problem", {"problem": "missing-material"})
    assert state(tape).status == Status.WORKING
    assert tape.reason(tape.say("done")) == ""


def test_a_broken_needle_asks_for_every_fragment() -> None:
    tape = at_phase(1)
    needle = tape.say("problem", {"problem": "broken-needle"})
    said = {"problem": needle, "how": "new needle"}
    assert tape.reason(tape.say("cleared", said)) == (
        "Whether every fragment of the needle was found was not said."
    )
    said["fragments"] = "missing"
    assert tape.reason(tape.say("cleared", said)) == "Fragments were missing: a supervisor must decide."
    assert tape.reason(tape.say("cleared", said, authority="supervisor")) == (
        "Fragments were missing and nothing was said of what was decided."
    )
    said["decision"] = "set it aside"
    assert tape.reason(tape.say("cleared", said)) == "Fragments were missing: a supervisor must decide."
    assert tape.reason(tape.say("cleared", said, authority="supervisor")) == ""


def test_a_redo_forgets_what_was_given_from_there_on_and_nothing_before() -> None:
    tape = at_phase(4)
    tape.say("redo", {"cause": "trimmed-badly", "to": 2})
    now = state(tape)
    assert (now.phase, now.in_rework) == (2, True)
    assert {phase for phase, _ in now.answers} == {0}
    assert tape.reason(tape.say("done")) == "The phase could not end: check half was not given."
    tape.through(2)
    assert state(tape).in_rework  # the phase that it came from is done again too
    tape.through(1)
    assert not state(tape).in_rework


def test_a_redo_goes_back_never_forward() -> None:
    tape = at_phase(2)
    assert tape.reason(tape.say("redo", {"cause": "other", "to": 3})) == (
        "Phase 4 had not been reached; a redo goes back."
    )


def test_a_run_can_be_sent_back_to_an_earlier_section_only() -> None:
    tape = at_phase(6)
    assert tape.reason(tape.say("redo", {"cause": "other", "section": "pack"})) == (
        'The run could not be sent back to "pack": it is no earlier section.'
    )
    tape.say("redo", {"cause": "halves-do-not-meet", "section": "hoop"})
    assert (state(tape).status, state(tape).sent_back) == (Status.SENT_BACK, "hoop")


def test_scrap_takes_garments_out_of_the_load_and_ends_an_empty_one() -> None:
    tape = at_phase(2, (1, 2, 3))
    assert tape.reason(tape.say("scrap", {"garments": [2, 9], "cause": "other"})) == (
        "Garment 9 was not in this load."
    )
    tape.say("scrap", {"garments": [2], "cause": "cloth-cut"})
    assert (state(tape).garments, state(tape).scrapped, state(tape).status) == ((1, 3), (2,), Status.WORKING)
    tape.say("scrap", {"garments": [3, 1], "cause": "cloth-cut"})
    assert (state(tape).scrapped, state(tape).status) == ((1, 2, 3), Status.SCRAPPED)


def test_what_is_lost_is_not_measured_any_more() -> None:
    tape = Tape(EACH, (1, 2)).open()
    tape.say("scrap", {"garments": [2], "cause": "cloth-cut"})
    assert tape.reason(tape.say("done")) == "The phase could not end: reading a was not given."
    tape.say("reading", {"reading": "a", "value": 3.0})
    tape.say("done")
    assert (state(tape).phase, state(tape).missing) == (1, ())
    tape.say("done")
    assert state(tape).status == Status.FINISHED


def test_the_first_piece_is_held_until_a_supervisor_approves_it() -> None:
    tape = at_phase(6)
    assert state(tape).status == Status.HELD
    assert tape.reason(tape.say("approve")) == "Only a supervisor can approve the first piece."
    assert tape.reason(tape.say("done")) == "The phase could not end: approval first piece was not given."
    assert tape.reason(tape.say("approve", authority="self")) == ""
    assert tape.reason(tape.say("approve", authority="self")) == "No approval was owed."
    assert tape.reason(tape.say("done")) == ""


def test_only_the_newest_tap_of_the_same_tablet_can_be_taken_back() -> None:
    tape = Tape(PLAIN).open()
    first = tape.say("done")
    second = tape.say("done")
    assert tape.reason(tape.say("undo", {"event": first})) == (
        "Something newer had happened since; only the newest tap can be taken back."
    )
    assert tape.reason(tape.say("undo", {"event": second}, device="B")) == (
        "The newest tap came from another tablet; only that tablet can take it back."
    )
    assert tape.reason(tape.say("undo", {"event": second})) == ""
    assert tape.reason(tape.say("undo", {"event": first})) == ""
    assert state(tape).phase == 0
    tape.say("undo", {"event": "A1"})
    assert tape.reason(tape.say("undo", {"event": "A1"})) == "There was nothing to take back."
