"""What a run tells of its placings and meetings, and what the tables and the shop's hand make of them."""

from __future__ import annotations

import random
from collections import Counter
from dataclasses import replace
from typing import Any

import pytest
from flask import Flask
from hypothesis import given, settings
from hypothesis import strategies as st

from floor.domain.checklist import Checklist
from floor.domain.events import read_event
from floor.domain.hand import HAND_NAMES, USUAL_HAND
from floor.domain.meetings import Meeting, meetings
from floor.domain.payloads import Opened, PhaseDone, ReadAgain, read_payload
from floor.domain.placings import Placing, placings
from floor.domain.run import Replay, replay
from floor.domain.run_state import Status
from floor.queries.hand import NEWEST, hand_numbers, learned_today
from floor.queries.shop_routes import shop_routes
from floor.queries.tablet import shop
from floor.queries.views import Plan, plan_of
from floor.services.projection import stored
from floor.services.proof import check
from floor.services.rehearsal import Hands, answers, open_run
from floor.services.rehearsed_cloth import Cloth, follow
from floor.store.database import writing
from floor.store.models import JobRevision, PlacingRow, RunRow, db
from tests.conftest import START, Tablet, demo_source, make_tablet, view_of
from tests.services.met import garments_met

SIGNED = "signed"
FRONT, SECOND, FINISH = "front-left", "front-right", "finish"
AS_IT_SHOULD = (0.0, 0.0, 0.0, 0.0)


class Bench:
    """One run at a tablet, read as its server would."""

    def __init__(self, plan: Plan, section: str, garment: int = 1, seed: int = 1) -> None:
        self.hands: Hands = make_tablet(seed).hands
        self.run = self.hands.new_run()
        said = {
            "job": "ABC123", "revision": 1, "section": section, "garments": [garment], "first_piece": False,
            "operator": "Ines", "cause": "",
        }  # fmt: skip
        opening = read_payload(read_event(open_run(self.hands, self.run, said)))
        assert isinstance(opening, Opened)
        self.opening = opening
        self.checklist: Checklist = plan.checklist(section, (garment,), False)

    def at(self, key: str) -> int:
        return next(at for at, phase in enumerate(self.checklist.phases) if phase.key == key)

    def tap(self, kind: str, **data: Any) -> None:
        self.hands.at += 1000
        self.hands.tap(self.run, kind, self.replayed().state.phase, data)

    def walk_to(self, key: str) -> Bench:
        for index in range(self.replayed().state.phase, self.at(key)):
            for kind, data in answers(self.checklist.phases[index], self.hands.random):
                self.tap(kind, **data)
            self.tap("done")
        return self

    def read(self, off: tuple[float, ...] = AS_IT_SHOULD) -> Bench:
        phase = self.checklist.phases[self.replayed().state.phase]
        for take in (1, 2):
            for reading, by in zip(phase.readings, off, strict=True):
                self.tap("reading", reading=reading.id, value=round(reading.expected + by, 2), take=take)
        return self

    def measure(self, **found: float) -> Bench:
        phase = self.checklist.phases[self.replayed().state.phase]
        for reading in phase.readings:
            self.tap("reading", reading=reading.id, value=found.get(reading.id.replace("-", "_"), 0.2))
        return self

    def replayed(self) -> Replay:
        """With a supervisor's signature under all that needs one."""
        unsigned = [
            event | {"data": {key: value for key, value in event["data"].items() if key != "token"}}
            for event in self.hands.events
        ]
        events = [replace(read_event(event), authority="supervisor") for event in unsigned]
        return replay(self.checklist, self.opening, events)

    @property
    def placings(self) -> tuple[Placing, ...]:
        return placings(self.replayed())

    @property
    def meetings(self) -> tuple[Meeting, ...]:
        return meetings(self.replayed())


@pytest.fixture
def plan(larkspur: str) -> Plan:
    return view_of(larkspur).plan


def test_a_round_that_is_still_open_is_told_with_nothing_done_about_it(plan: Plan) -> None:
    (one,) = Bench(plan, FRONT).walk_to("check-place").read().placings
    assert (one.did, one.verdict, one.number, one.fresh, one.front, one.garment) == (
        "", "sew", 1, True, "left", 1,
    )  # fmt: skip
    assert (one.takes, one.pairs) == (2.0, (0.0,) * 4)
    assert one.along == pytest.approx(0.0)


def test_readings_that_are_not_all_given_are_no_round_yet(plan: Plan) -> None:
    bench = Bench(plan, FRONT).walk_to("check-place")
    bench.tap("reading", reading="u", value=1.0)
    assert bench.placings == ()


def test_a_nudge_keeps_its_round_and_what_is_read_after_it_is_no_fresh_lay(plan: Plan) -> None:
    bench = Bench(plan, FRONT).walk_to("check-place").read((-3.0, 3.0, 0.0, 0.0))
    bench.tap("again", how="nudged", along=3.0, across=0.0)
    bench.read().tap("done")
    first, second = bench.placings
    assert (first.did, first.verdict, first.nudge, first.fresh) == ("nudged", "nudge", (3.0, 0.0), True)
    assert first.along == pytest.approx(-3.0)
    assert (second.did, second.number, second.fresh) == ("sewn", 2, False)


def test_a_front_that_goes_back_to_its_laying_is_laid_afresh(plan: Plan) -> None:
    bench = Bench(plan, FRONT).walk_to("check-place").read((0.0, 0.0, 3.5, -3.5))
    bench.tap("redo", cause="lies-wrong", to=bench.at("lay-garment"))
    bench.walk_to("check-place").read().tap("done")
    lifted, laid = bench.placings
    assert (lifted.did, lifted.verdict) == ("laid again", "re-lay")
    assert (laid.did, laid.number, laid.fresh) == ("sewn", 2, True)


def test_a_front_that_goes_back_no_further_than_its_pins_lies_as_it_lay(plan: Plan) -> None:
    bench = Bench(plan, FRONT).walk_to("check-place").read()
    bench.tap("redo", cause="other", to=bench.at("pin"))
    bench.walk_to("check-place").read()
    assert [(one.did, one.fresh) for one in bench.placings] == [("read again", True), ("", False)]


def test_a_supervisor_can_take_a_front_as_it_lies(plan: Plan) -> None:
    bench = Bench(plan, FRONT).walk_to("check-place").read((-3.0, 3.0, 0.0, 0.0))
    bench.tap("accept", what="place", name="place", reason="the last blank")
    bench.tap("done")
    assert [one.did for one in bench.placings] == ["taken as it lay"]


def test_what_was_taken_back_never_happened(plan: Plan) -> None:
    bench = Bench(plan, FRONT).walk_to("check-place").read()
    bench.tap("done")
    bench.tap("undo", event=bench.hands.events[-1]["id"])
    assert [one.did for one in bench.placings] == [""]


def test_the_other_front_as_it_was_sewn_is_measured_not_judged(plan: Plan) -> None:
    bench = Bench(plan, SECOND).walk_to("measure-other").read()
    bench.tap("done")
    (one,) = bench.placings
    assert (one.kind, one.front, one.did, one.worst, one.verdict) == ("sewn", "left", "measured", None, "")


def test_a_scrapped_garment_leaves_its_round_as_lost(plan: Plan) -> None:
    bench = Bench(plan, FRONT).walk_to("check-place").read()
    bench.tap("scrap", garments=[1], cause="other")
    assert bench.replayed().state.status == Status.SCRAPPED
    assert [one.did for one in bench.placings] == ["scrapped"]


def test_halves_that_meet_pass_with_what_was_found_at_each_crossing(plan: Plan) -> None:
    bench = Bench(plan, FINISH).walk_to("compare").measure(step_upper=0.6, gap_lower=0.9)
    (one,) = bench.meetings
    assert one.outcome == "open"
    bench.tap("done")
    (one,) = bench.meetings
    assert (one.outcome, one.worst_step, one.worst_gap, one.passes) == ("passed", 0.6, 0.9, 1.0)
    assert one.steps == {"upper": 0.6, "middle": 0.2, "lower": 0.2}


def test_a_step_that_a_supervisor_lets_stand_is_conceded(plan: Plan) -> None:
    bench = Bench(plan, FINISH).walk_to("compare").measure(step_lower=1.4)
    bench.tap("accept", what="reading", name="step-lower", reason="at the hem, hardly seen")
    bench.tap("done")
    assert [one.outcome for one in bench.meetings] == ["conceded"]


@pytest.mark.parametrize(
    ("kind", "data", "outcome"),
    [
        ("redo", {"cause": "halves-do-not-meet", "section": SECOND}, "sent back"),
        ("scrap", {"garments": [1], "cause": "other"}, "scrapped"),
    ],
)
def test_halves_that_do_not_meet_are_told_as_they_ended(
    plan: Plan, kind: str, data: dict[str, Any], outcome: str
) -> None:
    bench = Bench(plan, FINISH).walk_to("compare").measure(step_upper=2.6)
    bench.tap(kind, **data)
    assert [(one.outcome, one.worst_step) for one in bench.meetings] == [(outcome, 2.6)]


def test_a_garment_that_is_measured_anew_has_the_newest_measures(plan: Plan) -> None:
    bench = Bench(plan, FINISH).walk_to("compare").measure(step_upper=0.8)
    bench.tap("done")
    bench.tap("redo", cause="other", to=bench.at("compare"))
    assert bench.meetings == ()
    bench.measure(step_upper=0.4).tap("done")
    assert [one.worst_step for one in bench.meetings] == [0.4]


@pytest.fixture(scope="module")
def no_shops() -> Plan:
    """The plan of the split-front demo job, read without a shop: one for all that hypothesis tries."""
    source = demo_source("larkspur-jackets")
    route = shop_routes()[source.job.route].text
    return plan_of(
        JobRevision(
            digest="", job_text=source.toml_text, outline_text=source.svg_text, route_text=route, house={}
        )
    )


@given(seed=st.integers(0, 2**32), undos=st.integers(0, 3))
@settings(max_examples=30)
def test_each_try_is_told_once_whatever_hands_do(no_shops: Plan, seed: int, undos: int) -> None:
    """As many rounds as were closed: by something done about them, or by the end of their phase."""
    chance = random.Random(seed)
    cloth = Cloth(chance, SIGNED)
    cloth.lay("left")
    bench = Bench(no_shops, chance.choice((FRONT, SECOND)), seed=seed)
    bench.hands.random = chance
    follow(bench.hands, bench.run, bench.checklist, bench.opening, cloth)
    for _ in range(undos):
        newest = bench.replayed().steps[-1].event
        bench.tap("undo", event=newest.id)
    found = bench.replayed()
    told = placings(found)
    places = {at for at, phase in enumerate(bench.checklist.phases) if phase.place is not None}
    again = sum(isinstance(step.payload, ReadAgain) for step in found.steps)
    done = sum(isinstance(step.payload, PhaseDone) and step.event.phase in places for step in found.steps)
    lifted = sum(one.did == "laid again" for one in told)
    still_open = sum(one.did == "" for one in told)
    assert len(told) == again + done + lifted + still_open
    assert still_open <= 1
    numbers = Counter(one.phase for one in told)
    assert all(
        [one.number for one in told if one.phase == phase] == list(range(1, count + 1))
        for phase, count in numbers.items()
    )
    assert [one.at for one in told] == sorted(one.at for one in told)
    nudges = [one.nudge for one in told if one.did == "nudged"]
    assert nudges == [
        (step.payload.along, step.payload.across)
        for step in found.steps
        if isinstance(step.payload, ReadAgain) and step.payload.how == "nudged"
    ]


def test_the_tables_hold_what_the_run_tells(tablet: Tablet, larkspur: str) -> None:
    tablet.walk(larkspur, "prepare")
    for section in (FRONT, SECOND, FINISH):
        tablet.walk(larkspur, section, (1,))
    tablet.send()
    rows = stored()
    assert Counter(row["kind"] for row in rows.placings.values()) == {"set": 2, "sewn": 1}
    assert [row["size"] for row in rows.meetings.values()] == ["M"]
    assert {row["hoop"] for row in rows.runs.values()} == {"360 x 200"}
    assert check().whole


def test_a_run_says_at_which_machine_it_was_sewn(tablet: Tablet, larkspur: str) -> None:
    view = view_of(larkspur)
    run = tablet.hands.new_run()
    opening = {
        "job": larkspur, "revision": 1, "section": "prepare", "garments": [], "first_piece": False,
        "operator": "Ines", "cause": "", "machine": "The one by the window", "hand": shop()["hand"],
    }  # fmt: skip
    open_run(tablet.hands, run, opening)
    assert [answer.verdict for answer in tablet.send()] == ["applied"]
    assert db.session.get_one(RunRow, run).machine == "The one by the window"
    assert view.row.code == larkspur


def test_a_shop_that_has_laid_nothing_lays_as_shops_usually_do(app: Flask) -> None:
    assert shop()["hand"] == vars(USUAL_HAND)
    assert learned_today().laid == 0


def test_the_hand_that_tablets_get_is_learned_from_first_rounds_and_has_every_name(app: Flask) -> None:
    garments_met([0.3] * 12)
    learned = learned_today()
    assert (learned.laid, learned.sewn) == (24, 0)
    assert learned.pairs == 4 * 24
    assert tuple(hand_numbers(learned.hand)) == HAND_NAMES
    assert learned.hand.along < USUAL_HAND.along


def test_only_the_newest_lays_teach(app: Flask) -> None:
    garments_met([0.3])
    [old] = db.session.scalars(db.select(PlacingRow).where(PlacingRow.number == 1).limit(1))
    with writing():
        for phase in range(100, 100 + NEWEST):
            values = {c.key: getattr(old, c.key) for c in PlacingRow.__table__.columns}
            db.session.add(PlacingRow(**values | {"phase": phase, "along": 0.0, "at": START + phase}))
    assert learned_today().laid == NEWEST
