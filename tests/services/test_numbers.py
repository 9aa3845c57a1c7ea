"""A tablet's numbers: what never came is asked for, what it lost is not asked for again, and nobody forgets it."""

from __future__ import annotations

import uuid
from typing import Any

import pytest
from click.testing import CliRunner
from flask import Flask
from sqlalchemy import func, select, text

from floor.cli import floor
from floor.config import Settings
from floor.services.intake import BatchRefused, Taken, take_batch
from floor.services.proof import check, rebuild
from floor.store.models import Device, EventRow, Refusal, db
from tests.conftest import Tablet

Body = dict[str, Any]


@pytest.fixture
def taps(tablet: Tablet, larkspur: str) -> list[Body]:
    """Ten taps of one run, numbered 1 to 10, none sent yet."""
    run = tablet.open(larkspur, "prepare")
    for count in range(9):
        tablet.tap(run, "note", 0, text=f"note {count}")
    return tablet.hands.events


def sent(tablet: Tablet, events: list[Body], **more: Any) -> Taken:
    body = {"device": tablet.hands.device, "sent_at": tablet.hands.at, "events": events, **more}
    return take_batch(body, tablet.hands.at, lambda token: None)


def here() -> int:
    return db.session.scalar(select(func.count()).select_from(EventRow)) or 0


class TestAsking:
    def test_the_newest_is_told_and_nothing_asked_for_where_all_came(
        self, tablet: Tablet, taps: list[Body]
    ) -> None:
        taken = sent(tablet, taps)
        assert (taken.newest, taken.wanted) == (10, [])

    def test_what_lies_between_is_asked_for_until_it_comes(self, tablet: Tablet, taps: list[Body]) -> None:
        taken = sent(tablet, [taps[0], taps[6], taps[9]])
        assert (taken.newest, taken.wanted) == (10, [2, 3, 4, 5, 6, 8, 9])
        assert sent(tablet, taps[2:5]).wanted == [2, 6, 8, 9]
        assert sent(tablet, taps).wanted == []

    def test_a_question_without_events_is_answered_too(self, tablet: Tablet, taps: list[Body]) -> None:
        assert sent(tablet, []).newest == 0
        sent(tablet, taps[1:2])
        taken = sent(tablet, [])
        assert (taken.newest, taken.wanted) == (2, [1])

    def test_at_most_a_hundred_are_asked_for_at_once(self, tablet: Tablet, taps: list[Body]) -> None:
        taken = sent(tablet, [{**taps[0], "seq": 5_000_000}])
        assert taken.wanted == list(range(1, 101))

    def test_each_tablet_has_its_own_numbers(self, tablet: Tablet, taps: list[Body]) -> None:
        sent(tablet, taps[4:])
        other = {**taps[0], "device": str(uuid.UUID(int=9, version=4)), "id": str(uuid.uuid4())}
        taken = take_batch(
            {"device": other["device"], "sent_at": tablet.hands.at, "events": [other]},
            tablet.hands.at,
            lambda token: None,
        )
        assert (taken.newest, taken.wanted) == (1, [])

    def test_what_was_refused_is_not_asked_for_whether_it_came_before_its_neighbours_or_after(
        self, tablet: Tablet, taps: list[Body]
    ) -> None:
        bad = {**taps[4], "phase": -1}
        assert sent(tablet, [bad, *taps[:3]]).wanted == []
        assert sent(tablet, taps[5:]).wanted == [4]
        large = {**taps[3], "data": {"text": "x" * 9000}}
        assert sent(tablet, [large]).wanted == []
        assert check().whole


class TestANumberUsedTwice:
    def test_keeps_nothing_of_the_second_and_takes_it_with_a_new_number(
        self, tablet: Tablet, taps: list[Body]
    ) -> None:
        sent(tablet, taps[:5])
        other = {**taps[3], "id": str(uuid.uuid4()), "data": {"text": "after the storage was set back"}}
        taken = sent(tablet, [other])
        assert [answer.verdict for answer in taken.answers] == ["again"]
        assert (here(), db.session.query(Refusal).count()) == (5, 0)
        again = {**other, "seq": taken.newest + 1}
        assert [answer.verdict for answer in sent(tablet, [again]).answers] == ["applied"]
        assert check().whole

    def test_within_one_batch_the_first_has_it(self, tablet: Tablet, taps: list[Body]) -> None:
        twin = {**taps[1], "id": str(uuid.uuid4())}
        verdicts = [answer.verdict for answer in sent(tablet, [*taps[:2], twin]).answers]
        assert verdicts == ["applied", "applied", "again"]

    def test_an_event_that_came_under_another_number_is_not_doubled_and_its_new_number_not_missed(
        self, tablet: Tablet, taps: list[Body]
    ) -> None:
        sent(tablet, taps[:5])
        renumbered = {**taps[4], "seq": 6}
        assert [answer.verdict for answer in sent(tablet, [renumbered]).answers] == ["applied"]
        taken = sent(tablet, taps[6:])
        assert (here(), taken.newest, taken.wanted) == (9, 10, [])
        assert check().whole


class TestToldLost:
    def test_is_not_asked_for_again(self, tablet: Tablet, taps: list[Body]) -> None:
        sent(tablet, [taps[0], taps[9]])
        assert sent(tablet, [], lost=[2, 3, 5]).wanted == [4, 6, 7, 8, 9]
        assert sent(tablet, []).wanted == [4, 6, 7, 8, 9]

    def test_what_is_here_or_was_never_used_is_not_believed_lost(
        self, tablet: Tablet, taps: list[Body]
    ) -> None:
        sent(tablet, taps[:3])
        assert sent(tablet, [], lost=[2, 4, 9]).wanted == []
        assert sent(tablet, [taps[4]]).wanted == [4]

    def test_what_turns_up_after_all_is_taken(self, tablet: Tablet, taps: list[Body]) -> None:
        sent(tablet, [taps[0], taps[2]], lost=[2])
        assert not check().whole
        sent(tablet, [taps[1]])
        assert check().whole

    def test_is_a_fault_in_words_of_its_own(self, tablet: Tablet, taps: list[Body]) -> None:
        sent(tablet, [*taps[:2], taps[6], taps[9]], lost=[3, 4, 5, 6])
        missing, lost = check().faults
        assert "2 of its 10 events never arrived (numbers 8, 9)" in missing
        assert "4 of its 10 events are lost (numbers 3 to 6)" in lost
        assert "written as a note" in lost

    def test_survives_a_rebuild_which_also_mends_what_was_kept_wrongly(
        self, tablet: Tablet, taps: list[Body]
    ) -> None:
        sent(tablet, [taps[0], taps[4]], lost=[2])
        db.session.execute(text("UPDATE device SET newest = 3, missing = '[[1, 2]]'"))
        db.session.commit()
        assert any("floor rebuild" in fault for fault in check().faults)
        rebuild()
        assert not any("floor rebuild" in fault for fault in check().faults)
        assert sent(tablet, []).wanted == [3, 4]

    def test_numbers_of_a_tablet_that_was_forgotten_are_read_from_its_events(
        self, tablet: Tablet, taps: list[Body]
    ) -> None:
        sent(tablet, taps[:3])
        db.session.execute(text("DELETE FROM device"))
        db.session.commit()
        db.session.expire_all()
        rebuild()
        assert sent(tablet, []).newest == 3

    def test_the_command_counts_one_fault_as_one(
        self, app: Flask, settings: Settings, tablet: Tablet, taps: list[Body]
    ) -> None:
        sent(tablet, [taps[1]])
        db.session.remove()
        said = CliRunner().invoke(floor, ["check"], env={"FLOOR_DATA": str(settings.data)})
        assert said.exit_code == 1
        assert "not whole: 1 fault in 1 event of 1 tablet in 0 runs" in said.output


@pytest.mark.parametrize(
    "more",
    [
        {"lost": [0]}, {"lost": ["2"]}, {"lost": 2}, {"lost": [True]}, {"lost": [1] * 501}, {"clock": None},
        {"clock": {"offset_ms": 1, "round_trip_ms": 1}}, {"what": 1},
        {"clock": {"offset_ms": 1.5, "round_trip_ms": 1, "adrift": []}},
        {"clock": {"offset_ms": 10**15, "round_trip_ms": 1, "adrift": []}},
        {"clock": {"offset_ms": 1, "round_trip_ms": -1, "adrift": []}},
        {"clock": {"offset_ms": 1, "round_trip_ms": 1, "adrift": ["A1"]}},
    ],
)  # fmt: skip
def test_a_batch_that_says_more_than_can_be_read_is_refused_whole_and_keeps_nothing(
    tablet: Tablet, taps: list[Body], more: Body
) -> None:
    with pytest.raises(BatchRefused):
        sent(tablet, taps, **more)
    assert (here(), db.session.query(Device).count()) == (0, 0)
