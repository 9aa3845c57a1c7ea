"""What the events say each phase took."""

from __future__ import annotations

from dataclasses import replace
from random import Random

from hypothesis import given
from hypothesis import strategies as st
from tape import COUNTS, EVERYTHING, PLAIN, Tape
from wander import wandered

from floor.domain.checklist import Checklist
from floor.domain.run import Replay
from floor.domain.timing import PhaseTime, time_log

MS = 1000


def log_of(tape: Tape, until: int | None = None) -> list[PhaseTime]:
    return list(time_log(tape.checklist, tape.replayed().steps, until))


def parts_ms(time: PhaseTime) -> list[int]:
    parts = (time.work_s, time.rework_s, time.waiting_s, time.pause_s, time.problem_s)
    return [round(part * MS) for part in parts]


def test_each_phase_has_the_time_between_the_taps_that_ended_it_and_the_one_before() -> None:
    tape = Tape(PLAIN).open()
    for took in (61.5, 20, 7.001):
        tape.done(after_s=took)
    log = log_of(tape)
    assert [(time.key, time.work_s, time.times) for time in log] == [
        ("one", 61.5, 1), ("two", 20, 1), ("three", 7.001, 1),
    ]  # fmt: skip
    assert [time.started for time in log[1:]] == [time.ended for time in log[:-1]]
    assert log[-1].ended == tape.now


def test_a_pause_and_a_blocking_problem_are_logged_beside_the_work() -> None:
    tape = Tape(PLAIN).open()
    tape.say("pause", {"reason": "break"}, after_s=10)
    tape.say("resume", after_s=300)
    problem = tape.say("problem", {"problem": "hoop-slipped"}, after_s=5)
    tape.say("note", {"text": "hooping anew"}, after_s=100)
    tape.say("cleared", {"problem": problem, "how": "hooped again"}, after_s=20)
    tape.done(after_s=7)
    first = log_of(tape)[0]
    assert (first.work_s, first.pause_s, first.problem_s) == (22, 300, 120)
    assert first.span_s == 442


def test_a_pause_within_a_problem_is_a_pause() -> None:
    tape = Tape(PLAIN).open()
    tape.say("problem", {"problem": "hoop-slipped"}, after_s=5)
    tape.say("pause", {"reason": "end-of-shift"}, after_s=10)
    tape.say("resume", after_s=1000)
    first = log_of(tape, until=tape.now + 30_000)[0]
    assert (first.work_s, first.problem_s, first.pause_s) == (5, 40, 1000)


def test_a_problem_that_does_not_block_is_work() -> None:
    tape = Tape(PLAIN).open()
    tape.say("problem", {"problem": "missing-material"}, after_s=10)
    tape.done(after_s=30)
    assert log_of(tape)[0].work_s == 40


def test_a_machines_time_beyond_its_stitching_is_waiting() -> None:
    tape = Tape(PLAIN).open().done(after_s=1)
    tape.done(after_s=50)
    machine = log_of(tape)[1]
    assert (machine.expected_s, machine.work_s, machine.waiting_s) == (20, 20, 30)
    tape.say("redo", {"cause": "thread-trouble", "to": 1}, after_s=4)
    tape.done(after_s=15)
    again = log_of(tape)[1]
    assert (again.work_s, again.rework_s, again.waiting_s, again.times) == (20, 15, 30, 2)


def test_the_time_an_approval_is_owed_is_waiting() -> None:
    tape = Tape(EVERYTHING).open().through(6)
    tape.say("note", {"text": "where is Maren?"}, after_s=600)
    tape.say("approve", authority="supervisor", after_s=60)
    tape.done(after_s=5)
    approval = log_of(tape)[-1]
    assert (approval.waiting_s, approval.work_s) == (660, 5)


def test_the_times_after_a_redo_are_rework_until_it_is_back_where_it_was() -> None:
    tape = Tape(PLAIN).open().done(2, after_s=10)
    tape.say("redo", {"cause": "lies-wrong", "to": 0}, after_s=3)
    for took in (11, 12, 13):
        tape.done(after_s=took)
    assert [(t.work_s, t.rework_s, t.times) for t in log_of(tape)] == [(10, 11, 2), (10, 12, 2), (3, 13, 2)]


def test_a_tap_that_was_taken_back_never_happened() -> None:
    tape = Tape(PLAIN).open()
    early = tape.say("done", after_s=10)
    tape.say("undo", {"event": early}, after_s=5)
    tape.done(after_s=30)
    tape.done(after_s=1)
    assert [(t.work_s, t.times) for t in log_of(tape)] == [(45, 1), (1, 1), (0, 1)]


def test_a_clock_that_jumps_back_is_flagged_and_counts_nothing() -> None:
    tape = Tape(PLAIN).open()
    tape.say("note", {"text": "before"}, after_s=10)
    tape.now -= 3_600_000
    tape.say("note", {"text": "after"}, after_s=0)
    tape.done(after_s=30)
    first, second = log_of(tape)
    assert (first.work_s, first.jumps) == (40, 1)
    assert second.jumps == 0


def test_two_taps_in_haste_that_seem_to_go_backwards_by_what_a_clock_may_be_off_take_no_time() -> None:
    for backwards_ms, jumps in ((1, 0), (2_000, 0), (2_001, 1)):
        tape = Tape(PLAIN).open()
        tape.say("note", {"text": "before"}, after_s=10)
        tape.now -= backwards_ms
        tape.say("note", {"text": "after"}, after_s=0)
        tape.done(after_s=30)
        first, _ = log_of(tape)
        assert (first.work_s, first.jumps) == (40, jumps)


def test_a_stretch_before_which_the_clock_changed_by_nobody_knows_how_much_counts_nothing_and_is_flagged() -> (
    None
):
    tape = Tape(PLAIN).open()
    tape.say("note", {"text": "before"}, after_s=10)
    tape.say("note", {"text": "after"}, after_s=500)
    tape.events[-1] = replace(tape.events[-1], adrift=True)
    tape.done(after_s=30).done(after_s=7)
    first, second, _ = log_of(tape)
    assert (first.work_s, first.jumps) == (40, 1)
    assert (second.work_s, second.jumps) == (7, 0)


def test_what_was_adrift_and_does_not_count_still_flags_what_comes_next_from_its_tablet() -> None:
    for kind, data, phase in (("note", {"text": "mistaken"}, 0), ("done", {}, 2)):
        tape = Tape(PLAIN).open()
        said = tape.say(kind, data, phase=phase, after_s=600, adrift=True)
        if kind == "note":
            tape.say("undo", {"event": said}, after_s=5)
        tape.done(after_s=20).done(after_s=7)
        first, second, _ = log_of(tape)
        assert (first.work_s, first.jumps) == (0, 1)
        assert (second.work_s, second.jumps) == (7, 0)


def test_the_first_event_of_a_run_ends_no_stretch_and_so_flags_none() -> None:
    tape = Tape(PLAIN).open()
    tape.events[0] = replace(tape.events[0], adrift=True)
    tape.done(after_s=10)
    assert [(time.work_s, time.jumps) for time in log_of(tape)] == [(10, 0), (0, 0)]


def test_the_open_stretch_counts_only_up_to_a_given_moment() -> None:
    tape = Tape(PLAIN).open().done(after_s=10)
    unknown, known = log_of(tape), log_of(tape, until=tape.now + 12_000)
    assert (unknown[1].work_s, unknown[1].ended) == (0, None)
    assert known[1].work_s == 12


def test_nothing_is_counted_after_the_end() -> None:
    tape = Tape(PLAIN).open().done(3, after_s=10)
    before = log_of(tape)
    tape.say("note", {"text": "next day"}, after_s=86_400)
    assert log_of(tape, until=tape.now + 5000) == before


def test_a_run_that_never_opened_has_no_log() -> None:
    assert log_of(Tape(PLAIN), until=1) == []


def spent_ms(replayed: Replay, until: int | None) -> int:
    """From the opening to the end, or to `until`, or else to the newest event in force."""
    if replayed.opened_at is None:
        return 0
    newest = replayed.steps[-1].event.when
    end = replayed.ended_at if replayed.ended_at is not None else until if until is not None else newest
    return end - replayed.opened_at


def stretches_let_count(replayed: Replay) -> list[int]:
    """What lies before each tap that a supervisor let count, ms: nobody knows what was done then."""
    pairs = zip(replayed.steps, replayed.steps[1:], strict=False)
    return [
        late.event.when - before.event.when
        for before, late in pairs
        if late.settling is not None and before.after.opened and not before.after.ended
    ]


@given(
    st.integers(0, 2**32), st.sampled_from([EVERYTHING, COUNTS, PLAIN]), st.sampled_from([None, 0, 55_555])
)
def test_the_parts_add_up_to_the_runs_span_to_the_millisecond(
    seed: int, checklist: Checklist, later_ms: int | None
) -> None:
    tape = wandered(checklist, Random(seed), clocks_jump=False)
    newest = max(event.when for event in tape.events)
    until = None if later_ms is None else newest + later_ms
    log = log_of(tape, until)
    unknown = stretches_let_count(tape.replayed())
    assert sum(sum(parts_ms(time)) for time in log) == spent_ms(tape.replayed(), until) - sum(unknown)
    assert sum(time.jumps for time in log) == len(unknown)


@given(st.integers(0, 2**32))
def test_no_part_is_ever_negative_and_no_machine_works_longer_than_it_sews(seed: int) -> None:
    tape = wandered(EVERYTHING, Random(seed))
    for time in log_of(tape, until=tape.now):
        assert min(parts_ms(time)) >= 0
        assert time.times >= 1
        if time.who == "machine":
            assert time.work_s <= time.expected_s + 0.001
