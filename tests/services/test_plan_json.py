"""The plan of a job file, as a program and as a terminal read it."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from floor.domain.plan_warnings import PlanWarning
from floor.places import page_folder
from floor.queries.planned import NothingToSew, PlannedFile, planned_file, planned_json, planned_text

# A flag on its side: tall on the viewer's left, a bar on the right.
FLAG = '<svg xmlns="http://www.w3.org/2000/svg"><path d="M0 0H60V100H0Z"/><path d="M60 40H200V60H60Z"/></svg>'

WARNING = PlanWarning("span-mismatch", "XL", None, "The span of XL does not suit the design.")


def demo(folder: str) -> PlannedFile:
    return planned_file(page_folder("demo_jobs") / folder)


def as_json(planned: PlannedFile) -> dict[str, Any]:
    read: dict[str, Any] = json.loads(planned_json(planned))
    return read


@pytest.fixture(scope="module")
def larkspur() -> PlannedFile:
    return demo("larkspur-jackets")


def changed(tmp_path: Path, *changes: tuple[str, str]) -> Path:
    """The split-front demo's folder with other words in its job file."""
    folder = page_folder("demo_jobs") / "larkspur-jackets"
    for path in folder.iterdir():
        text = path.read_text(encoding="utf-8")
        if path.suffix == ".toml":
            for old, new in changes:
                assert old in text
                text = text.replace(old, new)
        (tmp_path / path.name).write_text(text, encoding="utf-8")
    return tmp_path


def test_every_size_has_its_window_seam_and_both_fronts(larkspur: PlannedFile) -> None:
    sizes = as_json(larkspur)["sizes"]
    assert list(sizes) == ["M", "XL"]
    for size in sizes.values():
        assert size["window_mm"] == [-68.0, 68.0]
        assert size["seam"]["x_mm"] == -10.0
        assert {crossing["layer"] for crossing in size["seam"]["crossings"]} == {"Ground", "Letters"}
        assert set(size["fronts"]) == {"left", "right"}
    assert sizes["M"]["buttons_mm"] == [[0.0, 90.0], [0.0, -90.0]]
    assert sizes["XL"]["buttons_mm"] == [[0.0, 100.0], [0.0, -100.0]]
    left, right = (sizes["M"]["fronts"][front] for front in ("left", "right"))
    assert (left["edge_x_mm"], left["reach_mm"]) == (-10.0, 2.0)
    assert (right["edge_x_mm"], right["reach_mm"]) == (10.0, -12.0)
    assert left["extent_mm"][0] == -12.0
    assert right["extent_mm"][2] == -2.0
    assert left["fits_hoop"] is True


def test_a_normal_is_of_length_one_and_a_length_has_two_decimals(larkspur: PlannedFile) -> None:
    for crossing in as_json(larkspur)["sizes"]["M"]["seam"]["crossings"]:
        across, up = crossing["normal"]
        assert across**2 + up**2 == pytest.approx(1, abs=1e-4)
        assert crossing["y_mm"] == round(crossing["y_mm"], 2)


def test_a_layers_stitches_are_those_of_its_stops(larkspur: PlannedFile) -> None:
    front = as_json(larkspur)["sizes"]["XL"]["fronts"]["left"]
    for layer in front["layers"]:
        of_stops = {
            stop["sews"]: stop["stitches"] for stop in front["stops"] if stop["layer"] == layer["name"]
        }
        assert layer["stitches"] == of_stops
        assert min(of_stops.values()) > 0
    assert [stop["no"] for stop in front["stops"]] == list(range(1, len(front["stops"]) + 1))
    assert front["stops"][0]["sews"] == "backing"
    assert front["stops"][0]["layer"] is None


def test_a_layer_without_a_placement_line_has_no_stitches_in_one() -> None:
    layers = as_json(demo("tinhill-pullovers"))["sizes"]["S"]["fronts"]["whole"]["layers"]
    assert layers[0]["stitches"]["placement"] > 0
    assert layers[1]["name"] == "Lantern"
    assert layers[1]["stitches"]["placement"] == 0


def test_the_stops_at_the_top_are_those_of_the_first_size(tmp_path: Path) -> None:
    wider = ('span = "200 mm"', 'span = "200 mm"\noverlap = "30 mm"')
    plan = as_json(planned_file(changed(tmp_path, wider)))
    for front in ("left", "right"):
        assert plan["stops"][front] == plan["sizes"]["M"]["fronts"][front]["stops"]
        assert plan["stops"][front] != plan["sizes"]["XL"]["fronts"][front]["stops"]


def test_without_an_opening_seam_edge_and_reach_are_null() -> None:
    plan = as_json(demo("quarry-crest"))
    (size,) = plan["sizes"].values()
    assert size["seam"] is None
    front = size["fronts"]["whole"]
    assert front["edge_x_mm"] is None
    assert front["reach_mm"] is None
    assert list(plan["stops"]) == ["whole"]


def test_marks_are_needed_where_a_front_is_shorter_than_the_window(tmp_path: Path) -> None:
    path = changed(tmp_path)
    (path / "lark.svg").write_text(FLAG, encoding="utf-8")
    size = as_json(planned_file(path))["sizes"]["M"]
    right, left = size["fronts"]["right"], size["fronts"]["left"]
    assert right["marks_needed"] is False
    assert right["marks_mm"] == []
    assert right["stops"][-1]["sews"] == "border"
    assert left["marks_needed"] is True
    assert [y for _, y in left["marks_mm"]] == size["window_mm"]
    assert left["stops"][-1]["sews"] == "marks"
    assert left["stops"][-1]["thread"] is None


def test_a_layer_that_a_front_does_not_have_needs_no_blank_there(tmp_path: Path) -> None:
    # The right front keeps a sliver of the ground's edge, which the letters do not come near.
    path = changed(tmp_path, ('centre = ["20 mm"', 'centre = ["142 mm"'))
    fronts = as_json(planned_file(path))["sizes"]["M"]["fronts"]
    ground, letters = fronts["right"]["layers"]
    assert ground["area_mm2"] > 0
    assert letters["area_mm2"] == 0
    assert letters["blank_mm"] is None
    assert letters["stitches"] == {"placement": 0, "tack": 0, "border": 0}


def test_a_warning_names_its_size_and_front_or_null(larkspur: PlannedFile) -> None:
    warned = replace(
        larkspur, plan=replace(larkspur.plan, warnings=(WARNING,)), left_out=("a line was open",)
    )
    assert as_json(warned)["warnings"] == [
        {"code": "span-mismatch", "size": "XL", "front": None, "text": WARNING.text}
    ]
    assert as_json(warned)["left_out"] == ["a line was open"]
    text = planned_text(warned)
    assert "span-mismatch: Size XL: The span of XL does not suit the design." in text
    assert "a line was open" in text


def test_what_to_pull_is_counted_over_all_garments(larkspur: PlannedFile) -> None:
    needs = as_json(larkspur)["materials"]
    garments = {need["size"]: need["count"] for need in needs if need["kind"] == "garments"}
    assert garments == {"M": 4, "XL": 2}
    (purple,) = (need for need in needs if need.get("colour") == "purple")
    assert sum(blanks["count"] for blanks in purple["blanks"]) == 12


def test_a_hoop_that_holds_several_crests_needs_backing_once_for_them() -> None:
    (backing,) = (n for n in as_json(demo("quarry-crest"))["materials"] if n["kind"] == "backing")
    assert backing["hoopings"] < 8


def test_sizes_that_are_sewn_alike_stand_together_in_the_text(larkspur: PlannedFile, tmp_path: Path) -> None:
    text = planned_text(larkspur)
    assert "SIZES: M and XL" in text
    assert "span M 180 mm, XL 200 mm; overlap 20 mm" in text
    assert text.count("Left front, sewn first") == 1
    wider = ('span = "200 mm"', 'span = "200 mm"\noverlap = "30 mm"')
    apart = planned_text(planned_file(changed(tmp_path, wider)))
    assert "SIZE: M" in apart
    assert "SIZE: XL" in apart


def test_the_text_is_never_wider_than_a_terminal(tmp_path: Path) -> None:
    long = "The letters of the second company, drawn by hand and traced in 1987"
    path = changed(tmp_path, ('name = "Letters"', f'name = "{long}"'), ('"cream 40"', f'"{long}"'),
                   ('customer = "Larkspur', f'customer = "{long} Larkspur'))  # fmt: skip
    lines = planned_text(planned_file(path)).splitlines()
    assert max(map(len, lines)) <= 100
    assert any(re.search(r"^ +7  The letters of the .*…", line) for line in lines)


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (('offset = "0 mm"', 'offset = "-40 mm"'), 'The layer "Letters" has no cloth left'),
        (('centre = ["20 mm"', 'centre = ["400 mm"'), "Nothing of the design lies on the right front"),
    ],
)
def test_a_job_with_nothing_to_sew_has_no_plan(tmp_path: Path, change: tuple[str, str], says: str) -> None:
    with pytest.raises(NothingToSew, match=says):
        planned_file(changed(tmp_path, change))
