from contextlib import suppress
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floor.domain.job import Garment, Job, OpeningSize
from floor.jobfile import JobFileErrors, RouteNeeds, outline_of, read_job, read_job_folder

ROUTES = {
    "split-front": RouteNeeds(opening=True, min_layers=1),
    "closed": RouteNeeds(opening=False, min_layers=1),
    "crest": RouteNeeds(opening=False, min_layers=1),
    "stacked": RouteNeeds(opening=True, min_layers=3),
}
DEMO_JOBS = Path(__file__).parents[2] / "demo_jobs"
SVG = '<svg xmlns="http://www.w3.org/2000/svg"><rect width="20" height="10"/></svg>'
GOOD = """\
title = "Band jackets"
customer = "Larkspur Lane Marching Band"
due = 2026-12-11
route = "split-front"

[opening]
span = "180 mm"
overlap = "20 mm"
over_edge = "2 mm"
under_cover = "8 mm"
button_size = "15 mm"
buttons = 2
top_front = "left"
[opening.sizes.XL]
span = "200 mm"

[design]
outline = "lark.svg"
height = "120 mm"

[[layer]]
name = "Ground"
fabric = "felt"
colour = "purple"
offset = "5 mm"
placement_line = true
tack = "zigzag"
border = { width = "4 mm", spacing = "0.4 mm", thread = "purple 40" }

[[layer]]
name = "Letters"
fabric = "twill"
colour = "cream"
offset = "0 mm"
placement_line = true
tack = "double run"
[layer.border]
width = "4 mm"
spacing = "0.4 mm"
thread = "cream 40"
[layer.stitches]
border = 3200

[hoop]
field = ["360 mm", "200 mm"]
clearance = "5 mm"

[backing]
kind = "tearaway"
sheets = 2

[machine]
speed = 650
heads = 1

[[garment]]
size = "M"
count = 2
names = ["Odile"]

[[garment]]
size = "XL"
count = 1
"""


def problems(toml_text: str, svg_text: str | None = SVG) -> list[str]:
    with pytest.raises(JobFileErrors) as refused:
        read_job(toml_text, svg_text, ROUTES)
    assert str(refused.value) == "\n".join(str(error) for error in refused.value.errors)
    return [str(error) for error in refused.value.errors]


def changed(old: str, new: str) -> str:
    assert old in GOOD
    return GOOD.replace(old, new, 1)


class TestAGoodFile:
    def test_gives_the_job(self) -> None:
        job = read_job(GOOD, SVG, ROUTES)
        assert job.due == date(2026, 12, 11)
        assert job.opening is not None
        assert job.opening.sizes == {"XL": OpeningSize(200.0, 20.0)}
        assert job.opening.under_cover == 8.0
        assert [layer.name for layer in job.layers] == ["Ground", "Letters"]
        assert job.layers[1].stitches.border == 3200
        assert job.layers[1].stitches.tack is None
        assert job.hoop.field == (360.0, 200.0)
        assert job.design.centre == (0.0, 0.0)

    def test_numbers_its_garments_from_one_and_names_the_first(self) -> None:
        assert read_job(GOOD, SVG, ROUTES).garments == (
            Garment(1, "M", "Odile"),
            Garment(2, "M", None),
            Garment(3, "XL", None),
        )

    def test_may_write_lengths_with_tape_fractions(self) -> None:
        job = read_job(changed('height = "120 mm"', "height = '4 1/2\"'"), SVG, ROUTES)
        assert job.design.height == pytest.approx(114.3)

    def test_may_have_windows_line_ends(self) -> None:
        assert read_job(GOOD.replace("\n", "\r\n"), SVG, ROUTES) == read_job(GOOD, SVG, ROUTES)
        assert problems(changed("heads = 1", "heads = 0").replace("\n", "\r\n"))[0].startswith("line 54: ")

    def test_is_read_without_its_svg(self) -> None:
        assert read_job(GOOD, None, ROUTES).design.outline == "lark.svg"


BAD = [
    # what stands in the file, what is written instead, the line, what the sentence says
    (
        'colour = "cream"',
        'colur = "cream"',
        33,
        'layer "Letters" has an unknown key "colur"; did you mean "colour"?',
    ),
    ('colour = "cream"\n', "", 30, 'layer "Letters" has no colour'),
    ('title = "Band jackets"\n', "", 1, "the file has no title"),
    ('title = "Band jackets"', "title = 7", 1, "the title of the file is 7; write text"),
    ('title = "Band jackets"', 'title = "  "', 1, "is empty"),
    ('title = "Band jackets"', f'title = "{"x" * 121}"', 1, "has 121 characters"),
    ('title = "Band jackets"', 'title = "a\\u0007b"', 1, "control character"),
    ("due = 2026-12-11", 'due = "2026-12-11"', 3, "write a bare date"),
    ("due = 2026-12-11", "due = 2026-12-11 07:00:00", 3, "write a bare date"),
    ("due = 2026-12-11", "due = 0026-12-11", 3, "the year 26"),
    ("due = 2026-12-11", "due = 2026-02-30", 3, "not TOML"),
    ('route = "split-front"', 'route = "split-font"', 4, 'did you mean "split-front"?'),
    ('route = "split-front"', 'route = "closed"', 6, "without an opening; leave [opening] out"),
    ('route = "split-front"', 'route = "stacked"', 21, "needs 3 layers or more; the file has 2"),
    (
        'span = "180 mm"',
        "span = 180",
        7,
        'the span of [opening] is 180; write a length with a unit, as "180 mm"',
    ),
    ('span = "180 mm"', 'span = "180"', 7, "has no unit"),
    ('span = "180 mm"', 'span = "0 mm"', 7, "must be more than 0 mm and at most 3000 mm"),
    ('span = "180 mm"', 'span = "3.1 m"', 7, "at most 3000 mm"),
    ('overlap = "20 mm"', 'overlap = "-1 mm"', 8, "at least 0 mm"),
    ('overlap = "20 mm"', 'overlap = "180 mm"', 8, "the overlap must be less than the span"),
    ('over_edge = "2 mm"', 'over_edge = "two"', 9, "cannot be read"),
    ("buttons = 2", "buttons = 1", 12, "must be from 2 to 30"),
    ("buttons = 2", "buttons = 2.0", 12, "whole number"),
    ("buttons = 2", "buttons = true", 12, "is true; write a whole number"),
    ('top_front = "left"', 'top_front = "wearer"', 13, "left or right"),
    (
        '[opening.sizes.XL]\nspan = "200 mm"',
        '[opening.sizes.XXL]\nspan = "200 mm"',
        14,
        "no garment has; they have M, XL",
    ),
    ("[opening.sizes.XL]", '[opening.sizes."a\\nb"]', 14, '[opening.sizes."a\\u000ab"] is for a size'),
    (
        'span = "200 mm"',
        'spam = "200 mm"',
        15,
        '[opening.sizes.XL] has an unknown key "spam"; did you mean "span"?',
    ),
    ('span = "200 mm"', 'span = "10 mm"', 15, "the overlap must be less than the span"),
    ('span = "200 mm"', 'overlap = "181 mm"', 15, "the overlap must be less than the span"),
    ('outline = "lark.svg"\n', "", 17, "[design] has no outline"),
    ('height = "120 mm"', 'height = "0 mm"', 19, "more than 0 mm"),
    ('height = "120 mm"', 'height = "9 mm"\ncentre = ["1 mm"]', 20, "has 1 entries; write two"),
    (
        'height = "120 mm"',
        'height = "9 mm"\ncentre = ["1 mm",\n 2]',
        21,
        "the 2nd of the centre of [design] is 2",
    ),
    ('name = "Letters"', 'name = "ground"', 31, "two layers are named"),
    ("placement_line = true", 'placement_line = "yes"', 26, "write true or false"),
    ('tack = "zigzag"', 'tack = "zig-zag"', 27, 'did you mean "zigzag"?'),
    ('width = "4 mm", spacing', 'width = "13 mm", spacing', 28, 'the border of layer "Ground" is "13 mm"'),
    ('width = "4 mm", spacing', 'width = "1.4 mm", spacing', 28, 'the border of layer "Ground" is "1.4 mm"'),
    ('spacing = "0.4 mm", ', "", 28, "has no spacing"),
    ('thread = "purple 40" }', 'thread = "p", twist = 2 }', 28, 'has an unknown key "twist"'),
    ('spacing = "0.4 mm"\n', 'spacing = "0.1 mm"\n', 39, "at least 0.2 mm"),
    ("border = 3200", "border = 0", 42, "must be from 1"),
    ("[layer.stitches]\nborder = 3200", "[layer.stitches]\nbordr = 1", 42, 'did you mean "border"?'),
    ('field = ["360 mm", "200 mm"]', 'field = "360 mm"', 45, "write two lengths"),
    (
        'field = ["360 mm", "200 mm"]',
        'field = [\n "360 mm",\n "-2 mm",\n]',
        47,
        "the 2nd of the field of [hoop]",
    ),
    ('clearance = "5 mm"', 'clearance = "100 mm"', 46, "leaves nothing"),
    ("sheets = 2", "sheets = 7", 50, "from 0 to 6"),
    ("speed = 650", "speed = 99", 53, "from 100 to 1500"),
    ("speed = 650", f"speed = 0x{'f' * 5000}", 53, "a very large number"),
    ("speed = 650", f"speed = {'9' * 5000}", 53, "too many digits"),
    ("heads = 1", "heads = 65", 54, "from 1 to 64"),
    ("count = 2", "count = 2001", 58, "from 1 to 2000"),
    ("count = 2", "count = 2000", 63, "more than 2000 garments"),
    ('names = ["Odile"]', 'names = ["a", "b", "c"]', 59, "has 3 names for a count of 2"),
    ('names = ["Odile"]', 'names = ["a",\n 3]', 60, "the 2nd of the names"),
    ('names = ["Odile"]', 'names = ["a",\n "b\\nc"]', 60, "control character"),
    ("[[garment]]\n", "[[garments]]\n", 56, 'unknown key "garments"; did you mean "garment"?'),
    ("[machine]", "[price]\nmargin = 1\n[machine]", 52, 'the file has an unknown key "price"'),
    ("[backing]", "[backing", 48, "this is not TOML"),
    ("[backing]", f"[{'a.' * 500}b]", 48, "more than 20 parts"),
    ("[backing]", f"x = {'[' * 5000}\n[backing]", 1, "too deep"),
    ("[backing]", "[hoop]", 48, "not TOML"),
]


@pytest.mark.parametrize(("old", "new", "line", "part"), BAD)
def test_a_problem_is_named_with_its_line(old: str, new: str, line: int, part: str) -> None:
    found = problems(changed(old, new))
    mine = [problem for problem in found if part in problem]
    assert mine, found
    assert mine[0].startswith(f"line {line}: ")
    assert all("\n" not in problem for problem in found)


@pytest.mark.parametrize(
    "heading", ["[opening]", "[design]", "[[layer]]", "[hoop]", "[backing]", "[machine]", "[[garment]]"]
)
def test_a_missing_table_is_named(heading: str) -> None:
    tables = {"": ""}
    for line in GOOD.splitlines(keepends=True):
        key = line.strip("[]\n").split(".")[0] if line.startswith("[") else list(tables)[-1]
        tables[key] = tables.get(key, "") + line
    missing = heading.strip("[]")
    found = problems("".join(text for key, text in tables.items() if key != missing))
    assert len(found) == 1
    assert found[0].startswith("line 1: the file has no ")
    assert heading in found[0]


@pytest.mark.parametrize(
    ("old", "new", "line", "part"),
    [
        ("[hoop]", "[hoop.inner]", 45, "[hoop] has an unknown key"),
        ("[[layer]]\n", "[layer]\n", 30, "not TOML"),
        ("[backing]\nkind", "[machine.backing]\nkind", 48, "[machine] has an unknown key"),
    ],
)
def test_a_table_in_the_wrong_place_is_named(old: str, new: str, line: int, part: str) -> None:
    assert any(part in problem for problem in problems(changed(old, new)))


def test_a_single_table_in_place_of_entries_is_refused() -> None:
    text = GOOD[: GOOD.index("[[garment]]")] + '[garment]\nsize = "M"\ncount = 1\n'
    assert (
        "line 56: the file has a table in place of [[garment]]; write at least one [[garment]] table"
        in problems(text)
    )


def test_all_problems_are_told_at_once_in_the_order_of_the_lines() -> None:
    text = changed("heads = 1", "heads = 0").replace('span = "180 mm"', "span = 180").replace('"cream"', "3")
    assert [problem.split(":")[0] for problem in problems(text)] == ["line 7", "line 33", "line 54"]


@pytest.mark.parametrize(
    ("old", "new", "path"),
    [
        ('title = "Band jackets"\n', "", ("title",)),
        ('overlap = "20 mm"', 'overlap = "-1 mm"', ("opening", "overlap")),
        ('span = "200 mm"', 'span = "10 mm"', ("opening", "sizes", "XL", "span")),
        ('span = "180 mm"\n', "", ("opening", "span")),
        ('field = ["360 mm", "200 mm"]', 'field = ["360 mm", "-2 mm"]', ("hoop", "field", 1)),
        ('colour = "cream"\n', "", ("layer", 1, "colour")),
        ('spacing = "0.4 mm", ', "", ("layer", 0, "border", "spacing")),
        ("count = 2", "count = 0", ("garment", 0, "count")),
        ('outline = "lark.svg"\n', "", ("design", "outline")),
        ("[backing]", "[backing", ()),
    ],
)
def test_a_problem_has_the_path_of_its_key_there_or_missing(
    old: str, new: str, path: tuple[str | int, ...]
) -> None:
    with pytest.raises(JobFileErrors) as refused:
        read_job(changed(old, new), SVG, ROUTES)
    assert [error.path for error in refused.value.errors] == [path]


def test_an_outline_that_cannot_be_sewn_is_named_with_its_line() -> None:
    drawn = SVG.replace('<rect width="20" height="10"/>', '<path id="K" d="M0 0 L10 0 L10 10"/>')
    assert problems(GOOD, drawn) == [
        'line 18: the outline "lark.svg" cannot be sewn: the 1st path (line 1) is open: its ends are'
        " 14.14 units apart; close the path (Z)"
    ]


def test_a_syntax_error_at_the_end_has_the_last_line() -> None:
    assert problems('title = "a"\nnames = [')[0].startswith("line 2: this is not TOML")


@given(st.integers(0, len(GOOD) - 1))
def test_a_file_with_a_character_missing_gives_a_job_or_its_problems(deleted: int) -> None:
    with suppress(JobFileErrors):
        assert isinstance(read_job(GOOD[:deleted] + GOOD[deleted + 1 :], SVG, ROUTES), Job)


def test_each_single_missing_character_gives_a_job_or_problems_with_a_line_of_the_file() -> None:
    last = GOOD.count("\n") + 1
    for deleted in range(len(GOOD)):
        try:
            read_job(GOOD[:deleted] + GOOD[deleted + 1 :], None, ROUTES)
        except JobFileErrors as refused:
            lines = [error.line for error in refused.errors]
            assert all(line is not None and 1 <= line <= last for line in lines), deleted


@given(st.integers(0, len(GOOD) - 1), st.sampled_from("\"'[]{}=.#\n\\0é\x00\u2028"))
def test_a_file_with_a_character_replaced_gives_a_job_or_its_problems(place: int, other: str) -> None:
    with suppress(JobFileErrors):
        assert isinstance(read_job(GOOD[:place] + other + GOOD[place + 1 :], SVG, ROUTES), Job)


@pytest.mark.parametrize(
    ("folder", "route", "garments", "layers", "rings"),
    [
        ("larkspur-jackets", "split-front", 6, ["Ground", "Letters"], 7),
        ("tinhill-pullovers", "closed", 3, ["Glow", "Lantern"], 2),
        ("quarry-crest", "crest", 8, ["Base", "Shield"], 2),
    ],
)
def test_the_demo_jobs_are_good(
    folder: str, route: str, garments: int, layers: list[str], rings: int
) -> None:
    source = read_job_folder(DEMO_JOBS / folder, ROUTES)
    assert source.job.route == route
    assert len(source.job.garments) == garments
    assert [layer.name for layer in source.job.layers] == layers
    outline = outline_of(source.svg_text, source.job.design)
    assert len(outline.rings) == rings
    x0, y0, x1, y1 = outline.bounds
    assert y1 - y0 == pytest.approx(source.job.design.height)
    assert ((x0 + x1) / 2, (y0 + y1) / 2) == pytest.approx(source.job.design.centre)
