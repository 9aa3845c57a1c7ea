"""`floor place` as people type it: a slanting band across the opening, whose figures can be reckoned by hand."""

from __future__ import annotations

import json
import subprocess
import sys
from dataclasses import dataclass
from math import atan, degrees, sqrt
from pathlib import Path
from typing import Any

import pytest
from test_cli import demo_toml

from floor.cli import main

HALF = 1 / sqrt(2)  # of a shift is seen at an edge that runs at 45 degrees
TALL_MM = 104.0  # the band's 100 mm and half of its border above and below

# The seam lies at x = -10. There the band's edges are 10 mm above and 30 mm below the middle, and slant at 45 degrees.
BAND = '<svg xmlns="http://www.w3.org/2000/svg"><path d="M30 100H70L170 0H130Z"/></svg>'
OPENING = """
[opening]
span = "160 mm"
overlap = "20 mm"
over_edge = "2 mm"
button_size = "15 mm"
buttons = 2
top_front = "left"
"""
OF_XL = '[opening.sizes.XL]\nspan = "180 mm"\n'
JOB = """
title = "Band"
customer = "Larkspur Lane"
due = 2027-02-03
route = "{route}"
{opening}
[design]
outline = "band.svg"
height = "100 mm"
[[layer]]
name = "Sash"
fabric = "felt"
colour = "red"
offset = "0 mm"
placement_line = true
tack = "run"
[layer.border]
width = "4 mm"
spacing = "0.4 mm"
thread = "red 40"
[hoop]
field = ["360 mm", "200 mm"]
clearance = "5 mm"
[backing]
kind = "tearaway"
sheets = 1
[machine]
speed = 650
heads = 1
[[garment]]
size = "M"
count = 2
{more}
"""
ON_ITS_PLACE = ("-28", "-28", "2", "2")  # u, l: 52 - 160/2; a, b: as far past the edge as it is sewn


@dataclass
class Terminal:
    """The command in this process: what it wrote and how it ended."""

    capsys: pytest.CaptureFixture[str]
    monkeypatch: pytest.MonkeyPatch
    out: str = ""
    err: str = ""

    def types(self, *words: str | Path) -> int:
        self.monkeypatch.setattr(sys, "argv", ["floor", "place", *map(str, words)])
        code = 0
        try:
            main()
        except SystemExit as end:
            code = int(end.code or 0)
        self.out, self.err = self.capsys.readouterr()
        return code

    def judges(self, *words: str | Path) -> dict[str, Any]:
        code = self.types(*words, "--json")
        assert code == 0, self.err
        found: dict[str, Any] = json.loads(self.out)
        return found

    def refuses(self, *words: str | Path) -> str:
        """The one line that it says."""
        assert self.types(*words) == 1
        assert self.out == ""
        (line,) = self.err.splitlines()
        return line


@pytest.fixture
def terminal(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Terminal:
    return Terminal(capsys, monkeypatch)


def written(folder: Path, *, opens: bool = True, sizes: bool = False) -> Path:
    (folder / "band.svg").write_text(BAND, encoding="utf-8")
    job = JOB.format(
        route="split-front" if opens else "closed",
        opening=OPENING + (OF_XL if sizes else "") if opens else "",
        more='[[garment]]\nsize = "XL"\ncount = 1\n' if sizes else "",
    )
    (folder / "band.toml").write_text(job, encoding="utf-8")
    return folder / "band.toml"


@pytest.fixture
def band(tmp_path: Path) -> Path:
    return written(tmp_path)


def steps(found: dict[str, Any]) -> list[tuple[str, float, float]]:
    return [(step["layer"], step["y_mm"], step["step_mm"]) for step in found["steps"]]


class TestTheFigures:
    def test_of_a_front_on_its_place_are_nothing_off_and_sew(self, terminal: Terminal, band: Path) -> None:
        found = terminal.judges(band, "--front", "left", "--read", *ON_ITS_PLACE)
        assert list(found) == [
            "front", "along_mm", "across_mm", "skew_deg", "stretch_mm", "steps", "worst_step_mm", "nudge_mm",
            "after_nudge_mm", "verdict", "advice", "weighed", "questions",
        ]  # fmt: skip
        assert steps(found) == [("Sash", -30.0, 0.0), ("Sash", 10.0, 0.0)]
        assert found["verdict"] == found["weighed"]["verdict"] == "sew"
        assert found["nudge_mm"] == {"along": 0.0, "across": 0.0}
        assert "-0.0" not in terminal.out
        assert found["questions"] == []

    def test_along_is_half_of_what_the_upper_reading_gains_on_the_lower(
        self, terminal: Terminal, band: Path
    ) -> None:
        found = terminal.judges(band, "--front", "left", "--read", "-26.4", "-29.6", "2", "2")
        assert (found["along_mm"], found["across_mm"], found["stretch_mm"]) == (1.6, 0.0, 0.0)
        assert [step for *_, step in steps(found)] == pytest.approx([1.6 * HALF] * 2, abs=6e-4)
        assert found["worst_step_mm"] == pytest.approx(1.6 * HALF, abs=6e-4)
        assert found["nudge_mm"] == {"along": -1.6, "across": 0.0}
        assert (found["after_nudge_mm"], found["verdict"]) == (0.0, "nudge")
        assert found["advice"] == "Move the start 1.6 mm toward the hem, then trace and measure again."

    def test_past_the_left_front_s_edge_is_to_the_viewer_s_left(self, terminal: Terminal, band: Path) -> None:
        found = terminal.judges(band, "--front", "left", "--read", "-28", "-28", "3", "3")
        assert found["across_mm"] == -1.0
        found = terminal.judges(band, "--front", "right", "--read", "-28", "-28", "3", "3")
        assert found["across_mm"] == 1.0

    def test_skew_grows_with_the_distance_from_the_window_s_middle(
        self, terminal: Terminal, band: Path
    ) -> None:
        found = terminal.judges(band, "--front", "left", "--read", "-28", "-28", "2.5", "1.5")
        theta = atan(1 / TALL_MM)
        assert found["skew_deg"] == pytest.approx(degrees(theta), abs=6e-5)
        assert [step for *_, step in steps(found)] == pytest.approx(
            [30 * theta * HALF, 10 * theta * HALF], abs=6e-4
        )
        # The crossings' mean height is 10 mm below the middle: moved there, both are 20 mm of skew off.
        assert found["nudge_mm"] == {"along": 0.0, "across": pytest.approx(-10 * theta, abs=6e-4)}
        assert found["after_nudge_mm"] == pytest.approx(20 * theta * HALF, abs=6e-4)

    def test_the_second_front_s_skew_works_by_the_overlap(self, terminal: Terminal, band: Path) -> None:
        found = terminal.judges(band, "--front", "right", "--read", "-28", "-28", "2.5", "1.5")
        theta = -atan(1 / TALL_MM)  # its edge lies 20 mm beyond the seam
        along, across_lower, across_upper = -20 * theta, 30 * theta, -10 * theta
        assert [step for *_, step in steps(found)] == pytest.approx(
            [abs(across_lower - along) * HALF, abs(along - across_upper) * HALF], abs=6e-4
        )

    def test_what_both_fronts_share_makes_no_step(self, terminal: Terminal, band: Path) -> None:
        words = ("--read", "-27", "-29", "3", "3", "--against", "-27", "-29", "1", "1")
        for front, across in (("right", 1.0), ("left", -1.0)):
            found = terminal.judges(band, "--front", front, *words)
            assert (found["along_mm"], found["across_mm"]) == (1.0, across)
            assert found["worst_step_mm"] == 0.0

    def test_of_each_front_against_the_other_are_the_same_steps_and_opposite_nudges(
        self, terminal: Terminal, band: Path
    ) -> None:
        left, right = ("-27.6", "-28.2", "1.5", "1.8"), ("-28.3", "-27.8", "2.4", "2.2")
        first = terminal.judges(band, "--front", "left", "--read", *left, "--against", *right)
        second = terminal.judges(band, "--front", "right", "--read", *right, "--against", *left)
        assert steps(first) == steps(second)
        assert {way: -by for way, by in first["nudge_mm"].items()} == second["nudge_mm"]

    def test_that_show_the_buttons_too_near_say_to_lay_it_without_stretching(
        self, terminal: Terminal, band: Path
    ) -> None:
        found = terminal.judges(band, "--front", "left", "--read", "-27", "-27", "2", "2")
        assert (found["stretch_mm"], found["verdict"]) == (2.0, "re-lay")
        assert "2.0 mm closer together" in found["advice"]

    def test_that_leave_too_little_past_the_edge_say_by_how_much(
        self, terminal: Terminal, band: Path
    ) -> None:
        words = ("--read", "-28", "-28", "1.4", "1.4", "--against", "-28", "-28", "3.1", "3.1")
        found = terminal.judges(band, "--front", "left", *words)
        assert found["nudge_mm"]["across"] == 0.5
        assert found["verdict"] == "sew"
        words = ("--read", "-28", "-28", "1.4", "1.4", "--against", "-28", "-28", "4.1", "4.1")
        found = terminal.judges(band, "--front", "left", *words)
        assert found["verdict"] == "re-lay"
        assert "pass the folded edge by only 0.0 mm, and 1.0 mm are needed" in found["advice"]

    def test_that_are_weighed_have_their_risk_and_lie_nearer_to_the_plan(
        self, terminal: Terminal, band: Path
    ) -> None:
        weighed = terminal.judges(band, "--front", "left", "--read", "-26.4", "-29.6", "2", "2")["weighed"]
        assert 1.4 < weighed["along_mm"] < 1.6
        assert weighed["risk"] > 0.5 > weighed["risk_after"]
        assert (weighed["verdict"], weighed["sure"], weighed["cause"]) == ("nudge", "clear", "step")
        assert weighed["advice"].startswith("Move the start 1.5 mm toward the hem")

    def test_are_those_of_the_size(self, terminal: Terminal, tmp_path: Path) -> None:
        job = written(tmp_path, sizes=True)
        for size, along in {"M": "-28", "XL": "-38"}.items():
            words = ("--front", "left", "--read", along, along, "2", "2")
            found = terminal.judges(job, "--size", size, *words)
            assert (found["worst_step_mm"], found["stretch_mm"]) == (0.0, 0.0)

    def test_of_the_demo_s_job_are_seen_at_its_level_bars(self, terminal: Terminal) -> None:
        job = demo_toml("larkspur-jackets")
        found = terminal.judges(job, "--size", "XL", "--front", "left", "--read", "-31", "-33", "2", "2")
        assert found["along_mm"] == 1.0
        level = {("Ground", -66.0), ("Ground", -42.0), ("Letters", -60.0), ("Letters", -48.0)}
        assert {(layer, y) for layer, y, step in steps(found) if step == 1.0} >= level


class TestWhatIsTyped:
    def test_may_be_inches_in_fractions_or_mm_with_their_unit(self, terminal: Terminal, band: Path) -> None:
        words = ("-1 3/32 in", "-2.8 cm", "2mm", '1/16"')
        found = terminal.judges(band, "--front", "left", "--read", *words)
        u, b = -(1 + 3 / 32) * 25.4, 25.4 / 16
        assert found["along_mm"] == pytest.approx((u + 28) / 2, abs=6e-4)
        assert found["across_mm"] == pytest.approx(-(b - 2) / 2, abs=6e-4)

    @pytest.mark.parametrize("text", ["-28", "-28.0", "-2.8e1", "-28.", " -28 ", "\u221228 mm"])
    def test_may_be_a_number_alone_for_mm(self, terminal: Terminal, band: Path, text: str) -> None:
        found = terminal.judges(band, "--front", "left", "--read", text, "-28", "2", "2")
        assert (found["along_mm"], found["questions"]) == (0.0, [])

    def test_may_come_in_any_order(self, terminal: Terminal, band: Path) -> None:
        assert terminal.types("--read", *ON_ITS_PLACE, "--front", "left", band, "--size", "M") == 0
        assert terminal.out.startswith("SEW: Sew it as it lies.\n")

    def test_twice_counts_as_its_mean(self, terminal: Terminal, band: Path) -> None:
        takes = ("--read", "-27.0", "-28", "2", "2", "--read", "-27.4", "-28", "2", "2")
        found = terminal.judges(band, "--front", "left", *takes)
        assert found["along_mm"] == 0.4
        once = terminal.judges(band, "--front", "left", "--read", "-27.2", "-28", "2", "2")
        assert once["weighed"]["along_mm"] < found["weighed"]["along_mm"]

    def test_three_times_counts_as_the_two_that_agree(self, terminal: Terminal, band: Path) -> None:
        takes = [word for u in ("-27.0", "-24", "-27.2") for word in ("--read", u, "-28", "2", "2")]
        found = terminal.judges(band, "--front", "left", *takes)
        assert found["along_mm"] == 0.45

    def test_is_asked_about_where_it_is_far_from_what_is_expected(
        self, terminal: Terminal, band: Path
    ) -> None:
        assert terminal.types(band, "--front", "left", "--read", "-22.9", "-28", "2", "-2") == 0
        assert "LOOK AGAIN: --read, u (place 1) says 22.9 mm below the upper button's centre" in terminal.out
        assert "5.1 mm from the -28 mm expected" in " ".join(terminal.out.split())
        assert "2 mm inside the folded edge at the lower line, and 2 mm is expected: is its sign" in " ".join(
            terminal.out.split()
        )
        found = terminal.judges(band, "--front", "left", "--read", "-23", "-28", "2", "0")
        assert found["questions"] == []

    def test_of_the_other_front_is_asked_about_too(self, terminal: Terminal, band: Path) -> None:
        against = ("-28", "-28", "2", "8")
        found = terminal.judges(band, "--front", "left", "--read", *ON_ITS_PLACE, "--against", *against)
        (question,) = found["questions"]
        assert question.startswith("--against, b (place 4) says 8 mm past the folded edge at the lower line")


class TestAGarmentThatDoesNotOpen:
    def test_is_judged_by_how_far_it_lies_off_its_drawn_lines(
        self, terminal: Terminal, tmp_path: Path
    ) -> None:
        job = written(tmp_path, opens=False)
        found = terminal.judges(job, "--read", "1.2", "-1.2", "0.5", "-0.5")
        assert (found["front"], found["steps"]) == ("whole", [])
        assert (found["along_mm"], found["across_mm"]) == (1.2, 0.0)
        # Counter-clockwise leans the upper line's middle to the left.
        assert found["skew_deg"] == pytest.approx(-degrees(atan(1 / TALL_MM)), abs=6e-5)
        assert (found["worst_step_mm"], found["verdict"]) == (1.2, "sew")
        found = terminal.judges(job, "--front", "whole", "--read", "0", "0", "1.6", "1.6")
        assert (found["worst_step_mm"], found["verdict"]) == (1.6, "nudge")
        assert found["advice"].startswith("Move the start 1.6 mm to the left")

    def test_says_so_in_words(self, terminal: Terminal, tmp_path: Path) -> None:
        job = written(tmp_path, opens=False)
        assert terminal.types(job, "--read", "0", "0", "6", "6") == 0
        words = " ".join(terminal.out.split())
        assert "6 mm right of the drawn centre line at the upper line, 6 mm from the 0 mm expected" in words
        assert "The design, size M, against the drawn lines: 6.0 mm to the right" in words
        assert "Worst distance off at the window's lines 6.00 mm; 0.00 mm once nudged" in words

    def test_has_no_other_front(self, terminal: Terminal, tmp_path: Path) -> None:
        job = written(tmp_path, opens=False)
        zeros = ("0",) * 4
        assert "no other front" in terminal.refuses(job, "--read", *zeros, "--against", *zeros)
        assert 'no front "left"' in terminal.refuses(job, "--front", "left", "--read", *zeros)


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--read", *ON_ITS_PLACE), "say which front is placed, --front left or --front right"),
        (("--front", "whole", "--read", *ON_ITS_PLACE), 'no front "whole"; it has "left" and "right"'),
        (("--front", "left", "--size", "S", "--read", *ON_ITS_PLACE), 'no size "S"; it has size M alone'),
        (("--front", "left", "--read", "x", "-28", "2", "2"), 'u (place 1): "x" is not a length'),
        (("--front", "left", "--read", "-28", "", "2", "2"), "l (place 2): the length is empty"),
        (("--front", "left", "--read", "-28", "-28", "1,5", "2"), 'a (place 3): "1,5" has a comma'),
        (("--front", "left", "--read", "-28", "-28", "3/16", "2"), 'a (place 3): "3/16" has no unit'),
        (("--front", "left", "--read", "-28", "-28", "2", "nan"), 'b (place 4): "nan" is not a number'),
        (("--front", "left", "--read", "-28", "-28", "200", "2"), "did you mean 20.0?"),
        (("--front", "left", "--read", "-28", "1e999", "2", "2"), "l (place 2)"),
        (("--front", "left", "--read", *ON_ITS_PLACE, "--against", "-28", "-28", "2", "-60"),
         "--against, b (place 4) is -60 mm, 62 mm from the 2 mm that is expected; did you mean -6.0?"),
        (("--front", "left", "--read", *ON_ITS_PLACE, "--read", "-28", "-27.4", "2", "2"),
         "l (place 2) reads -28 mm and -27.4 mm, more than 0.5 mm apart; read this place again"),
        (("--front", "left", *("--read", "-28", "-28", "2", "2"), *("--read", "-28", "-28", "3", "2"),
          *("--read", "-28", "-28", "4", "2")), "a (place 3) reads 2 mm, 3 mm and 4 mm, and no two lie"),
        (("--front", "left", *("--read", *ON_ITS_PLACE) * 4), "--read is given 4 times; 3 takes"),
    ],
)  # fmt: skip
def test_what_cannot_be_judged_is_refused_in_one_line(
    terminal: Terminal, band: Path, words: tuple[str, ...], says: str
) -> None:
    assert says in terminal.refuses(band, *words)


def test_a_job_of_several_sizes_wants_one(terminal: Terminal, tmp_path: Path) -> None:
    job = written(tmp_path, sizes=True)
    line = terminal.refuses(job, "--front", "left", "--read", *ON_ITS_PLACE)
    assert line == "The job has the sizes M and XL; say which with --size."


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--front", "left"), "--read"),
        (("--front", "left", "--read", "1", "2", "3"), "--read"),
        (("--read", "-28", "-28", "2", "--front", "left"), "--front stands where B should be"),
        (
            ("--read", *ON_ITS_PLACE, "--against", "-28", "-28", "--json", "2", "--front", "left"),
            "where A should",
        ),
    ],
)
def test_too_few_readings_are_a_matter_of_usage(
    terminal: Terminal, band: Path, words: tuple[str, ...], says: str
) -> None:
    assert terminal.types(band, *words) == 2
    assert says in terminal.err


def test_a_job_file_with_faults_is_refused_as_its_plan_is(terminal: Terminal, band: Path) -> None:
    band.write_text(band.read_text(encoding="utf-8").replace("speed", "sped"), encoding="utf-8")
    assert terminal.types(band, "--front", "left", "--read", *ON_ITS_PLACE) == 1
    assert "sped" in terminal.err


def test_the_house_s_own_limit_of_a_step_counts(
    terminal: Terminal, band: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    words = (band, "--front", "left", "--read", "-26.4", "-29.6", "2", "2")
    assert terminal.judges(*words)["verdict"] == "nudge"
    monkeypatch.setenv("FLOOR_STEP_PASS", "1.2 mm")
    assert terminal.judges(*words)["verdict"] == "sew"
    monkeypatch.setenv("FLOOR_STEP_PASS", "thin")
    assert terminal.refuses(*words).startswith("FLOOR_STEP_PASS")


def test_it_runs_as_a_command_of_its_own_without_a_shop(band: Path, tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-c", "from floor.cli import main; main()",
         "place", str(band), "--front", "left", "--read", *ON_ITS_PLACE],
        capture_output=True, text=True, check=False, timeout=60,
    )  # fmt: skip
    assert (done.returncode, done.stderr) == (0, "")
    assert "Left front, size M, against its drawn place: on its place" in done.stdout
