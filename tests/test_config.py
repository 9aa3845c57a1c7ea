"""The settings that a shop gives in its environment."""

from __future__ import annotations

import pytest

from floor.config import SettingRefused, settings_from
from floor.domain.job import HouseRules


def house(**environ: str) -> HouseRules:
    return settings_from(environ).house


def test_a_shop_that_sets_nothing_has_the_usual_rules() -> None:
    assert house() == HouseRules()
    assert house(FLOOR_STEP_PASS=" ", FLOOR_FIRST_FRONT="", FLOOR_EDGE_SEALING="") == HouseRules()


def test_each_rule_of_the_house_has_a_variable() -> None:
    found = house(
        FLOOR_EDGE_SEALING="yes",
        FLOOR_FIRST_PIECE="No",
        FLOOR_FIRST_FRONT="under",
        FLOOR_STEP_PASS="0.5 mm",
        FLOOR_STEP_FAIL="1/16 in",
    )
    assert found == HouseRules(True, False, True, 0.5, 25.4 / 16)


@pytest.mark.parametrize(
    ("text", "budget"), [("", 2 * 10**9), ("500MB", 500_000_000), (" 1.5 gb ", 1_500_000_000)]
)
def test_what_pictures_may_take_up_is_a_size(text: str, budget: int) -> None:
    assert settings_from({"FLOOR_PHOTO_BUDGET": text}).photo_budget == budget


def test_the_top_front_comes_first_also_when_it_is_said() -> None:
    assert not house(FLOOR_FIRST_FRONT="Top").under_first


def test_what_fails_is_never_less_than_what_passes() -> None:
    assert house(FLOOR_STEP_PASS="3 mm").step_fail == 3.0
    assert house(FLOOR_STEP_PASS="1.5 mm", FLOOR_STEP_FAIL="1.5 mm").step_fail == 1.5
    with pytest.raises(SettingRefused, match=r"FLOOR_STEP_FAIL is 1.5 mm and FLOOR_STEP_PASS 3 mm"):
        house(FLOOR_STEP_PASS="3 mm", FLOOR_STEP_FAIL="1.5 mm")


@pytest.mark.parametrize(
    ("name", "value", "says"),
    [
        ("FLOOR_FIRST_FRONT", "left", 'FLOOR_FIRST_FRONT is "left"; it must be top or under.'),
        ("FLOOR_FIRST_PIECE", "perhaps", 'FLOOR_FIRST_PIECE is "perhaps"; it must be yes or no.'),
        ("FLOOR_EDGE_SEALING", "1", 'FLOOR_EDGE_SEALING is "1"; it must be yes or no.'),
        ("FLOOR_STEP_PASS", "1", 'FLOOR_STEP_PASS cannot be used: "1" has no unit; write "1 mm" or "1 in".'),
        ("FLOOR_STEP_FAIL", "wide", "FLOOR_STEP_FAIL cannot be used"),
        ("FLOOR_STEP_PASS", "0.1 mm", 'FLOOR_STEP_PASS is "0.1 mm"; it must be from 0.2 mm to 10 mm.'),
        ("FLOOR_STEP_FAIL", "1 in", 'FLOOR_STEP_FAIL is "1 in"; it must be from 0.2 mm to 10 mm.'),
        ("FLOOR_STEP_PASS", "-1 mm", "it must be from 0.2 mm"),
        ("FLOOR_PHOTO_BUDGET", "2", 'FLOOR_PHOTO_BUDGET is "2"; it must be a size of 10 MB or more'),
        ("FLOOR_PHOTO_BUDGET", "9 MB", "it must be a size of 10 MB or more"),
        ("FLOOR_ADDRESS", "shop.local", "must begin with http:// or https://"),
    ],
)
def test_a_setting_that_cannot_be_used_is_refused_in_one_sentence(name: str, value: str, says: str) -> None:
    with pytest.raises(SettingRefused) as refused:
        settings_from({name: value})
    assert says in str(refused.value)
    assert "\n" not in str(refused.value)
