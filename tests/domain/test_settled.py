"""What was set aside, settled by a supervisor: it counts from then on, or stays a note; and that can be taken back."""

from __future__ import annotations

from random import Random
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tape import COUNTS, EVERYTHING, OFFICE, PLAIN, SECOND, Tape
from wander import wandered

from floor.domain.checklist import Checklist
from floor.domain.run import Replay, Verdict
from floor.domain.run_state import RunState
from floor.domain.settling import why_not_now
from floor.domain.timing import time_log

SEEDS = st.integers(0, 2**32)
REFUSAL = "Garment 4 was already under way: Left front."


def state(tape: Tape) -> RunState:
    return tape.replayed().state


def verdict(tape: Tape, event: str) -> Verdict:
    return tape.replayed().verdicts[event]


def with_a_done_of_another_tablet() -> tuple[Tape, str]:
    tape = Tape(PLAIN).open()
    return tape, tape.say("done", device="B")


class TestLetCount:
    def test_it_does_at_the_settling_what_it_could_not_do_before(self) -> None:
        tape, done = with_a_done_of_another_tablet()
        settling = tape.settle(done, "apply", by="Maren", why="Bo stood there")
        assert tape.reason(settling) == ""
        assert state(tape).phase == 1
        found = verdict(tape, done)
        assert (found.applied, found.reason, found.settled) == (
            True,
            "Maren let it count: Bo stood there",
            settling,
        )

    def test_the_run_stays_in_the_hands_that_it_was_in(self) -> None:
        tape, done = with_a_done_of_another_tablet()
        tape.settle(done, "apply")
        assert (state(tape).device, state(tape).operator) == ("A", "Ines")
        assert tape.reason(tape.say("done")) == ""

    def test_the_time_before_it_counts_nothing_and_is_flagged(self) -> None:
        tape, done = with_a_done_of_another_tablet()
        tape.say("note", {"text": "half way"}, after_s=60)
        tape.settle(done, "apply", after_s=1000)
        tape.done(2)
        first, *rest = time_log(PLAIN, tape.replayed().steps)
        assert (first.span_s, first.jumps) == (70.0, 1)
        assert [(phase.span_s, phase.jumps) for phase in rest] == [(10.0, 0), (10.0, 0)]

    def test_what_is_kept_as_a_note_costs_no_time(self) -> None:
        tape, done = with_a_done_of_another_tablet()
        tape.settle(done, "keep", after_s=1000)
        tape.done(after_s=5)
        first, *_ = time_log(PLAIN, tape.replayed().steps)
        assert (first.span_s, first.jumps) == (1015.0, 0)

    def test_only_what_could_happen_now_can(self) -> None:
        tape = Tape(PLAIN).open().done()
        late = tape.say("done", phase=0, device="B")
        why = "It was said of phase 1 while the run was at phase 2."
        assert tape.reason(tape.settle(late, "apply")) == why
        assert why_not_now(state(tape), tape.events[2], tape.opened) == why
        assert not verdict(tape, late).settled

    def test_it_is_tried_as_it_would_be(self) -> None:
        tape, _ = with_a_done_of_another_tablet()
        assert why_not_now(state(tape), tape.events[-1], tape.opened) == ""

    @pytest.mark.parametrize(
        ("kind", "data"), [("open", {}), ("take_over", {"operator": "Bo"}), ("undo", {"event": "A1"})]
    )
    def test_nobody_opens_takes_over_or_takes_back_later(self, kind: str, data: dict[str, Any]) -> None:
        tape = Tape(PLAIN).open().done()
        aside = tape.say(kind, data or tape.opening, device="B", phase=9)
        assert tape.reason(aside)
        assert tape.reason(tape.settle(aside, "apply")) == (
            "A tap that opens a run, takes it over or takes another tap back cannot count later."
        )

    def test_the_supervisor_stands_behind_it(self) -> None:
        tape = Tape(EVERYTHING).open().through(3)
        left_out = tape.say("accept", {"what": "check", "name": "trimmed", "reason": "seen"})
        assert tape.reason(left_out) == "Only a supervisor can take check trimmed as it is."
        tape.settle(left_out, "apply", by="Maren")
        assert tape.reason(tape.say("done")) == ""
        assert tape.replayed().steps[-2].event.by == "Maren"

    def test_a_problem_told_at_another_tablet_can_be_put_right_at_this_one(self) -> None:
        tape = Tape(PLAIN).open()
        needle = tape.say("problem", {"problem": "broken-needle"}, device="B")
        tape.settle(needle, "apply")
        assert state(tape).blocked
        said = {"problem": needle, "how": "new needle", "fragments": "all"}
        assert tape.reason(tape.say("cleared", said)) == ""


class TestWhatCanBeSettled:
    @pytest.mark.parametrize("authority", [None, "self"])
    def test_only_by_a_supervisor(self, authority: Any) -> None:
        tape, done = with_a_done_of_another_tablet()
        settling = tape.settle(done, "apply", authority=authority)
        assert tape.reason(settling) == "Only a supervisor can settle what was set aside."
        assert state(tape).phase == 0

    def test_only_what_was_set_aside_and_came_before(self) -> None:
        tape = Tape(PLAIN).open()
        assert tape.reason(tape.settle("A1")) == "No such tap had been set aside."
        assert tape.reason(tape.settle("B1")) == "No such tap had been set aside."
        done = tape.say("done", device="B")
        assert not verdict(tape, done).settled

    def test_only_once(self) -> None:
        tape, done = with_a_done_of_another_tablet()
        first = tape.settle(done)
        for how in ("keep", "apply"):
            assert tape.reason(tape.settle(done, how)) == "That had been settled before."
        assert verdict(tape, done).settled == first

    def test_no_settling_itself(self) -> None:
        tape = Tape(PLAIN).open()
        assert tape.reason(tape.settle(tape.settle("B1"))) == "No such tap had been set aside."

    def test_taps_that_arrive_late_can_make_it_moot(self) -> None:
        tape, done = with_a_done_of_another_tablet()
        settling = tape.settle(done, "apply", after_s=600)
        tape.now -= 300 * SECOND
        tape.say("done", phase=0)
        assert tape.reason(settling) == "It was said of phase 1 while the run was at phase 2."
        assert not verdict(tape, done).settled


class TestKept:
    def test_it_stays_out_with_its_reason_and_counts_as_settled(self) -> None:
        tape, done = with_a_done_of_another_tablet()
        before = state(tape)
        settling = tape.settle(done)
        found = verdict(tape, done)
        assert (found.applied, found.settled, state(tape)) == (False, settling, before)
        assert "in hand at another tablet" in found.reason

    def test_a_run_that_may_not_exist_is_kept_as_one(self) -> None:
        tape = Tape(PLAIN).open().done(2)
        tape.refusal = REFUSAL
        assert tape.reason(tape.settle("A1", "apply")) == REFUSAL
        settling = tape.settle("A1")
        later = tape.say("note", {"text": "still here"})
        found = tape.replayed().verdicts
        assert [found[id].settled for id in ("A1", "A2", "A3")] == [settling] * 3
        assert (found[later].settled, found[later].reason) == ("", REFUSAL)
        assert tape.replayed().opened_at is None
        assert time_log(PLAIN, tape.replayed().steps, tape.now) == ()

    def test_so_are_taps_that_no_run_was_opened_for(self) -> None:
        tape = Tape(PLAIN)
        taps = [tape.say("done", device="B"), tape.say("note", {"text": "so"}, device="C")]
        taps.append(tape.say("done"))
        settling = tape.settle(taps[0])
        assert {verdict(tape, tap).settled for tap in taps} == {settling}


class TestTakenBack:
    @pytest.mark.parametrize("how", ["apply", "keep"])
    def test_by_the_office_while_it_is_the_newest(self, how: str) -> None:
        tape, done = with_a_done_of_another_tablet()
        before = tape.replayed()
        settling = tape.settle(done, how)
        assert "came from another tablet" in tape.reason(tape.say("undo", {"event": settling}))
        assert tape.reason(tape.say("undo", {"event": settling}, device=OFFICE)) == ""
        after = tape.replayed()
        assert (after.state, after.steps) == (before.state, before.steps)
        assert after.verdicts[done] == before.verdicts[done]
        assert tape.reason(tape.settle(done, how)) == ""

    def test_not_once_the_run_has_gone_on(self) -> None:
        tape, done = with_a_done_of_another_tablet()
        settling = tape.settle(done, "apply")
        tape.done()
        assert "Something newer" in tape.reason(tape.say("undo", {"event": settling}, device=OFFICE))

    def test_of_a_run_that_may_not_exist_too(self) -> None:
        tape = Tape(PLAIN).open().done()
        tape.refusal = REFUSAL
        settling = tape.settle("A1")
        tape.say("undo", {"event": settling}, device=OFFICE)
        assert [verdict(tape, id).settled for id in ("A1", "A2")] == ["", ""]

    def test_an_undo_names_the_settling_not_the_tap_that_it_let_count(self) -> None:
        tape, done = with_a_done_of_another_tablet()
        tape.settle(done, "apply")
        assert "Something newer" in tape.reason(tape.say("undo", {"event": done}, device="B"))


def settled_and_counted(replayed: Replay) -> tuple[set[str], set[str]]:
    """Which events the verdicts call let count, and which stand in the steps by a settling."""
    told = {id for id, found in replayed.verdicts.items() if found.settled and found.applied}
    return told, {step.event.id for step in replayed.steps if step.settling is not None}


@given(SEEDS, st.sampled_from([EVERYTHING, COUNTS]))
def test_what_is_settled_stands_once_and_only_by_a_settling_in_force(seed: int, checklist: Checklist) -> None:
    tape = wandered(checklist, Random(seed))
    replayed = tape.replayed()
    told, stands = settled_and_counted(replayed)
    assert told == stands
    ids = [step.event.id for step in replayed.steps]
    assert len(ids) == len(set(ids))
    in_force = {step.tapped.id for step in replayed.steps}
    by = {found.settled for found in replayed.verdicts.values() if found.settled}
    assert by <= in_force
    assert all(verdict.applied or verdict.reason for verdict in replayed.verdicts.values())


@given(SEEDS, st.sampled_from([EVERYTHING, COUNTS]))
def test_what_the_rules_foretell_of_letting_a_tap_count_comes_true(seed: int, checklist: Checklist) -> None:
    tape = wandered(checklist, Random(seed), clocks_jump=False)
    tape.now += 100_000  # later than every clock's error
    before = tape.replayed()
    open_ones = [e for e in tape.events if not before.verdicts[e.id].applied and e.kind != "settle"]
    for target in open_ones[:3]:
        settled = before.verdicts[target.id].settled
        foretold = why_not_now(tape.replayed().state, target, tape.opened)
        said = tape.reason(tape.settle(target.id, "apply", by="Maren"))
        assert said == ("That had been settled before." if settled else foretold)


def test_wandering_runs_settle_and_take_over() -> None:
    tapes = [wandered(EVERYTHING, Random(seed)) for seed in range(150)]
    applied = [
        (event.kind, event.data.get("how"))
        for tape in tapes
        for event in tape.events
        if tape.replayed().verdicts[event.id].applied
    ]
    for least in (("take_over", None), ("settle", "apply"), ("settle", "keep")):
        assert applied.count(least) >= 10, least
