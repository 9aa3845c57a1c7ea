"""The kinds of problem and the reasons: few, of stable ids, with advice to follow at the machine."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import FrozenInstanceError
from typing import get_args

import pytest

from floor.domain.problems import PAUSE_REASONS, PROBLEMS, REDO_CAUSES, SCRAP_CAUSES
from floor.domain.route_parts import Picture

KEBAB = re.compile(r"[a-z]+(-[a-z]+)*")
REASONS = {"pause": (PAUSE_REASONS, 6), "scrap": (SCRAP_CAUSES, 8), "redo": (REDO_CAUSES, 8)}


def test_there_are_few_enough_kinds_to_find_one_at_a_glance() -> None:
    assert 1 < len(PROBLEMS) <= 12


def test_the_ids_written_into_old_events_are_all_still_known() -> None:
    assert set(PROBLEMS) == {
        "thread-break", "bobbin-out", "broken-needle", "wrong-layer-cut", "cloth-nicked", "garment-caught",
        "lies-wrong", "hoop-slipped", "machine-stopped", "missing-material", "halves-do-not-meet", "other",
    }  # fmt: skip
    assert set(PAUSE_REASONS) == {"break", "waiting-for-cloth", "other-work", "end-of-shift", "question"}


def test_every_kind_is_found_under_its_own_id() -> None:
    for id, kind in PROBLEMS.items():
        assert kind.id == id
        assert KEBAB.fullmatch(id)


def test_every_kind_gives_one_to_four_short_sentences_of_advice() -> None:
    for kind in PROBLEMS.values():
        assert 1 <= len(kind.advice) <= 4
        for sentence in kind.advice:
            assert sentence[0].isupper()
            assert sentence.endswith(".")
            assert len(sentence) <= 110, sentence


def test_no_two_kinds_say_the_same() -> None:
    assert len({kind.words for kind in PROBLEMS.values()}) == len(PROBLEMS)


def test_a_broken_needle_holds_the_run_and_asks_for_every_fragment() -> None:
    needle = PROBLEMS["broken-needle"]
    assert needle.blocking
    assert needle.needs_fragments
    advice = " ".join(needle.advice)
    for must in ("hooped", "every fragment", "named person decides", "nothing ships", "neighbours"):
        assert must in advice


def test_what_may_spoil_the_next_step_unseen_is_blocking() -> None:
    for id in ("broken-needle", "wrong-layer-cut", "garment-caught", "machine-stopped", "hoop-slipped"):
        assert PROBLEMS[id].blocking


def test_what_stops_the_work_is_blocking_so_that_its_time_is_not_called_work() -> None:
    for id in ("thread-break", "bobbin-out", "lies-wrong", "halves-do-not-meet"):
        assert PROBLEMS[id].blocking
    assert not PROBLEMS["missing-material"].blocking


def test_kinds_are_offered_only_at_pictures_that_exist() -> None:
    pictures = set(get_args(Picture))
    for kind in PROBLEMS.values():
        assert set(kind.places) <= pictures
    assert "trim" in PROBLEMS["wrong-layer-cut"].places
    assert "border" not in PROBLEMS["wrong-layer-cut"].places


@pytest.mark.parametrize("name", REASONS)
def test_the_reasons_are_few_and_in_plain_words(name: str) -> None:
    reasons, most = REASONS[name]
    assert 1 < len(reasons) <= most
    assert len(set(reasons.values())) == len(reasons)
    for id, words in reasons.items():
        assert KEBAB.fullmatch(id)
        assert words[0].islower()
        assert not words.endswith(".")


def test_no_one_can_change_the_lists_at_run_time() -> None:
    for mapping in (PROBLEMS, PAUSE_REASONS, SCRAP_CAUSES, REDO_CAUSES):
        assert isinstance(mapping, Mapping)
        with pytest.raises(TypeError):
            mapping["new"] = mapping["other" if "other" in mapping else "break"]  # type: ignore[index]
    with pytest.raises(FrozenInstanceError):
        PROBLEMS["other"].words = "changed"  # type: ignore[misc]
