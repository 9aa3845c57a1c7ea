"""What a run has let go of, and when."""

from __future__ import annotations

import pytest
from tape import EVERYTHING, PLAIN, Tape

from floor.domain.history import (
    CLOCK_GRACE_MS,
    Beginning,
    Reopening,
    approvals,
    reopenings,
    scrapped_at,
    stood_at,
    too_late,
)
from floor.domain.run import replay

MINUTE = 60_000
REOPENED = Reopening("undo", (1, 2), since=10 * MINUTE, at=20 * MINUTE)


def test_an_approval_stands_from_within_the_grace_until_the_moment_it_ends() -> None:
    span = ((10 * MINUTE, 20 * MINUTE),)
    assert stood_at(span, 10 * MINUTE - CLOCK_GRACE_MS)
    assert not stood_at(span, 10 * MINUTE - CLOCK_GRACE_MS - 1)
    assert stood_at(span, 20 * MINUTE - 1)
    assert not stood_at(span, 20 * MINUTE)
    assert stood_at(((10 * MINUTE, None),), 10**15)
    assert not stood_at((), 0)


@pytest.mark.parametrize(
    ("garments", "opened_at", "says"),
    [
        ((1,), 15 * MINUTE, "“Right front” had been begun with garment 1 since"),
        ((2, 3), 10 * MINUTE - CLOCK_GRACE_MS, "“Right front” had been begun with garment 2 since"),
        ((1,), 10 * MINUTE - CLOCK_GRACE_MS - 1, ""),
        ((1,), 20 * MINUTE, ""),
        ((3,), 15 * MINUTE, ""),
        ((), 15 * MINUTE, ""),
    ],
)
def test_an_undo_comes_too_late_only_after_a_run_that_has_begun_with_what_it_puts_back(
    garments: tuple[int, ...], opened_at: int, says: str
) -> None:
    reason = too_late("own", REOPENED, [Beginning("other", "Right front", garments, opened_at)])
    assert reason == (f"{says}; the tap before that can no longer be taken back." if says else "")


def test_a_run_does_not_stand_in_its_own_way_and_the_first_of_several_is_named() -> None:
    own = Beginning("own", "Left front", (1,), 15 * MINUTE)
    assert too_late("own", REOPENED, [own]) == ""
    later = Beginning("b", "Finish", (1,), 16 * MINUTE)
    first = Beginning("a", "Right front", (1,), 15 * MINUTE)
    assert too_late("own", REOPENED, [later, own, first]) == too_late("own", REOPENED, [first, later])
    assert "Right front" in too_late("own", REOPENED, [later, first])


def test_only_an_undo_that_puts_garments_back_is_a_reopening() -> None:
    tape = Tape(PLAIN, (4, 5)).open()
    noted = tape.say("note", {"text": "so"})
    tape.say("undo", {"event": noted})
    assert reopenings(tape.replayed()) == ()
    lost = tape.say("scrap", {"garments": [5], "cause": "cloth-cut"})
    lost_at = tape.events[-1].when
    assert scrapped_at(tape.replayed()) == {5: lost_at}
    one = Reopening(tape.say("undo", {"event": lost}), (5,), lost_at, tape.events[-1].when)
    assert reopenings(tape.replayed()) == (one,)
    assert scrapped_at(tape.replayed()) == {}
    tape.done(3)
    last = tape.events[-1]
    two = Reopening(tape.say("undo", {"event": last.id}), (4, 5), last.when, tape.events[-1].when)
    assert reopenings(tape.replayed()) == (one, two)


def test_an_undo_that_is_set_aside_as_too_late_leaves_the_run_as_it_was() -> None:
    tape = Tape(PLAIN).open().done(3)
    undo = tape.say("undo", {"event": tape.events[-1].id})
    late = replay(PLAIN, tape.opened, tape.events, too_late={undo: "It had gone on."})
    assert late.state.status == "finished"
    assert (late.verdicts[undo].applied, late.verdicts[undo].reason) == (False, "It had gone on.")
    assert reopenings(late) == ()


def test_an_approval_stands_from_when_it_is_given_until_a_redo_an_undo_or_a_sending_back() -> None:
    tape = Tape(EVERYTHING).open().through(6)
    assert approvals(tape.replayed()) == ()
    given = tape.say("approve", authority="supervisor")
    first = tape.events[-1].when
    assert approvals(tape.replayed()) == ((first, None),)
    tape.say("undo", {"event": given})
    taken = tape.events[-1].when
    assert approvals(tape.replayed()) == ((first, taken),)
    tape.say("approve", authority="supervisor")
    second = tape.events[-1].when
    tape.say("redo", {"to": 5, "cause": "lies-wrong"})
    redone = tape.events[-1].when
    assert approvals(tape.replayed()) == ((first, taken), (second, redone))
    tape.through(1).give_all()
    third = tape.events[-1].when
    tape.say("redo", {"section": "hoop", "cause": "lies-wrong"})
    back = tape.events[-1].when
    assert approvals(tape.replayed()) == ((first, taken), (second, redone), (third, back))
