"""Events -> state: one order, whatever arrives, and nothing that can break it."""

from __future__ import annotations

import json
from dataclasses import replace
from random import Random
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tape import COUNTS, EVERYTHING, NOTHING, PLAIN, STRANGE, Tape
from wander import wandered

from floor.domain.checklist import Checklist
from floor.domain.events import Event, Kind, in_order
from floor.domain.problems import PROBLEMS, REDO_CAUSES
from floor.domain.run import Replay, replay
from floor.domain.run_state import Status

CHECKLISTS = [EVERYTHING, COUNTS, STRANGE, PLAIN, NOTHING]
SEEDS = st.integers(0, 2**32)


def test_a_devices_events_keep_its_own_order_when_its_clock_goes_back() -> None:
    tape = Tape(PLAIN).open().done()
    tape.now -= 3_600_000
    tape.done()
    assert [event.id for event in in_order(reversed(tape.events))] == ["A1", "A2", "A3"]


def test_between_devices_the_corrected_clock_decides() -> None:
    tape = Tape(PLAIN)
    tape.skew_ms, tape.offset_ms = {"B": 7_200_000}, {"B": -7_200_000}
    tape.open()
    tape.say("note", {"text": "second"}, device="B")
    tape.done()
    assert [event.id for event in in_order(tape.events)] == ["A1", "B1", "A2"]


def test_a_run_that_may_not_exist_sets_everything_aside_with_its_refusal() -> None:
    tape = Tape(PLAIN).open().done()
    tape.refusal = "Garment 4 was already under way: Left front."
    replayed = tape.replayed()
    assert replayed.state.status == Status.VOID
    assert {verdict.reason for verdict in replayed.verdicts.values()} == {tape.refusal}


def test_an_unknown_kind_is_kept_and_set_aside() -> None:
    tape = Tape(PLAIN).open()
    reason = tape.reason(tape.say("dance"))
    assert reason.startswith('There is no event kind "dance"; known are open, check,')


def test_the_run_ends_with_the_event_that_ended_it_not_with_a_later_note() -> None:
    tape = Tape(PLAIN).open().done(3)
    ended = tape.events[-1].when
    tape.say("note", {"text": "well sewn"})
    assert tape.replayed().ended_at == ended
    assert tape.replayed().opened_at == tape.events[0].when


def test_a_run_that_was_taken_back_to_work_has_not_ended() -> None:
    tape = Tape(PLAIN).open().done(3)
    tape.say("undo", {"event": tape.events[-1].id})
    assert tape.replayed().ended_at is None


json_values = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(2**60), 2**60)
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(max_size=20),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=8), inner, max_size=4),
    max_leaves=8,
)
FIELDS = [
    "job", "revision", "section", "garments", "first_piece", "operator", "cause", "check", "value", "reading", "count",
    "side", "reason", "problem", "note", "how", "fragments", "decision", "to", "what", "name", "text", "event",
]  # fmt: skip
LIKELY = [
    "colour", "red", "gold", "pins", "out", "in", "u", "a", "check", "reading", "break", "other", "hoop", "yes",
    "__proto__", "constructor", "A1", "B2", "C3", *PROBLEMS, *REDO_CAUSES, 0, 1, 3, 12, 3.5, [4], [4, 5],
    "all", "missing",
]  # fmt: skip


@st.composite
def any_event(draw: st.DrawFn, number: int) -> Event:
    data = draw(st.dictionaries(st.sampled_from(FIELDS), st.sampled_from(LIKELY) | json_values, max_size=5))
    kind = draw(st.sampled_from([str(kind) for kind in Kind] * 3) | st.text(min_size=1, max_size=10))
    device = draw(st.sampled_from("ABC"))
    return Event(
        id=f"{device}{number}",
        run="run",
        device=device,
        seq=draw(st.integers(1, 40)),
        kind=kind,
        phase=draw(st.integers(0, 8)),
        at=draw(st.integers(0, 10**7)),
        data=data,
        offset_ms=draw(st.integers(-(10**6), 10**6)),
        authority=draw(st.sampled_from([None, "supervisor", "self"])),
    )


@st.composite
def any_events(draw: st.DrawFn) -> list[Event]:
    """Events of any kind, known or not, with any data; mostly of a run that was opened."""
    tape = Tape(EVERYTHING).open()
    opening = [replace(tape.events[0], seq=1, at=0, id="A0")] if draw(st.booleans()) else []
    return opening + [draw(any_event(number)) for number in range(1, draw(st.integers(1, 15)))]


@given(any_events(), st.sampled_from(CHECKLISTS))
def test_whatever_arrives_is_replayed_and_gets_its_verdict(events: list[Event], checklist: Checklist) -> None:
    replayed = replay(checklist, Tape(EVERYTHING).opened, events)
    assert replayed.verdicts.keys() == {event.id for event in events}
    assert all(verdict.applied or verdict.reason.endswith(".") for verdict in replayed.verdicts.values())
    json.dumps(replayed.state.as_json(), allow_nan=False)


@given(SEEDS, st.sampled_from([EVERYTHING, COUNTS]), st.randoms(use_true_random=False))
def test_the_order_of_arrival_changes_nothing(seed: int, checklist: Checklist, random: Any) -> None:
    tape = wandered(checklist, Random(seed))
    shuffled = list(tape.events)
    random.shuffle(shuffled)
    assert replay(checklist, tape.opened, shuffled) == tape.replayed()


@given(SEEDS, any_event(900))
def test_taking_the_newest_tap_back_restores_what_was_before(seed: int, odd: Event) -> None:
    tape = wandered(EVERYTHING, Random(seed), careful=0.95, clocks_jump=False)
    tape.now += 100_000  # later than every clock's error
    for kind, data in (
        (odd.kind, odd.data),
        ("note", {"text": "seen"}),
        ("done", {}),
        ("pause", {"reason": "break"}),
    ):
        before = tape.replayed()
        tapped = tape.say(kind, data, authority="supervisor")
        after = tape.replayed()
        if after.verdicts[tapped].applied and kind != "undo":
            tape.say("undo", {"event": tapped})
            restored = tape.replayed()
            assert restored.verdicts[tape.events[-1].id].applied
            assert restored.state == before.state
            assert restored.steps == before.steps


class Slip(Exception):
    """A phase was passed without what it asks for."""


def look_over(checklist: Checklist, replayed: Replay) -> None:
    """Goes through the steps of a run by hand, knowing nothing of how states are kept: raises Slip when a phase
    was passed without something it asks for, in the pass that counts."""
    given: dict[tuple[int, str, str], Any] = {}
    for step in replayed.steps:
        event, data = step.event, step.event.data
        if event.kind == "redo" and "to" in data:
            given = {key: value for key, value in given.items() if key[0] < data["to"]}
        elif event.kind in ("check", "reading"):
            given[event.phase, event.kind, data[event.kind]] = data["value"]
            given.pop((event.phase, f"accepted {event.kind}", data[event.kind]), None)
        elif event.kind == "count":
            given[event.phase, "count", f"{data['count']} {data['side']}"] = data["value"]
            given.pop((event.phase, "accepted count", f"{data['count']} in"), None)
        elif event.kind == "accept":
            given[event.phase, f"accepted {data['what']}", data["name"]] = event.authority
        elif event.kind == "approve":
            given[event.phase, "approve", ""] = event.authority
        elif event.kind == "done":
            _look_at_phase(checklist, event.phase, given)


def _look_at_phase(checklist: Checklist, at: int, given: dict[tuple[int, str, str], Any]) -> None:
    phase = checklist.phases[at]

    def accepted(what: str, name: str, by: str) -> bool:
        key = (at, f"accepted {what}", name)
        return key in given and by != "nobody" and (by == "operator" or given[key] is not None)

    def total(name: str) -> int:
        return sum(value for (_, what, of), value in given.items() if what == "count" and of == name)

    for check in phase.checks:
        if given.get((at, "check", check.id)) != check.right and not accepted(
            "check", check.id, check.accept
        ):
            raise Slip(f"check {check.id} of phase {at}")
    for reading in phase.readings:
        value = given.get((at, "reading", reading.id))
        if value is None or not reading.never_low <= value <= reading.never_high:
            raise Slip(f"reading {reading.id} of phase {at}")
        if not reading.low <= value <= reading.high and not accepted("reading", reading.id, reading.accept):
            raise Slip(f"reading {reading.id} of phase {at}")
    for count in phase.counts:
        if (at, "count", f"{count.id} {count.side}") not in given:
            raise Slip(f"count {count.id} {count.side} of phase {at}")
        out = any(key[1:] == ("count", f"{count.id} out") for key in given)
        agree = not out or total(f"{count.id} out") == total(f"{count.id} in")
        if count.side == "in" and not agree and not accepted("count", f"{count.id} in", "supervisor"):
            raise Slip(f"count {count.id} in of phase {at}")
    if phase.approval and given.get((at, "approve", "")) is None:
        raise Slip(f"approval of phase {at}")


@given(SEEDS, st.sampled_from([EVERYTHING, COUNTS]), st.sampled_from([0.5, 0.8, 0.98]))
def test_no_run_passes_a_phase_without_what_it_asks_for(
    seed: int, checklist: Checklist, careful: float
) -> None:
    replayed = wandered(checklist, Random(seed), careful).replayed()
    look_over(checklist, replayed)
    if replayed.state.status == Status.FINISHED:
        ended = {step.event.phase for step in replayed.steps if step.event.kind == "done"}
        assert ended == set(range(len(checklist.phases)))


@pytest.mark.parametrize("checklist", [EVERYTHING, COUNTS])
def test_many_of_those_runs_do_finish(checklist: Checklist) -> None:
    ends = [wandered(checklist, Random(seed), 0.98).replayed().state.status for seed in range(60)]
    assert ends.count(Status.FINISHED) >= 10


def test_looking_over_finds_a_phase_that_was_passed_without_its_check() -> None:
    replayed = Tape(EVERYTHING).open().through(7).replayed()
    look_over(EVERYTHING, replayed)
    for kind in ("check", "reading", "count", "approve"):
        steps = tuple(step for step in replayed.steps if step.event.kind != kind)
        with pytest.raises(Slip):
            look_over(EVERYTHING, replace(replayed, steps=steps))
