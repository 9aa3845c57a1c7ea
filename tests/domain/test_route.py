"""Reading a route, laying it out for a job, and what it refuses."""

from __future__ import annotations

from dataclasses import replace
from math import sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st
from route_cases import BACKGROUND, CLOSED_JOB, SMALL_ROUTE, SPLIT_JOB

from floor.domain.checklist import Checklist
from floor.domain.job import Garment, HouseRules, Job, Layer, Machine, OpeningSize, Stitches
from floor.domain.load import load_size, pieces_in_hoop
from floor.domain.route import (
    RouteDoesNotFit,
    RouteError,
    UnknownGarment,
    UnknownSection,
    expand,
    read_route,
    sections_of,
    why_not,
)
from floor.domain.stitching import machine_time

ROUTE = read_route(SMALL_ROUTE)
HOUSE = HouseRules()


def laid_out(
    job: Job = SPLIT_JOB, garments: tuple[int, ...] = (1,), section: str = "front-left"
) -> Checklist:
    return expand(ROUTE, job, HOUSE, section, garments, first_piece=False)


def with_size(job: Job, size: str, overlap: float) -> Job:
    assert job.opening is not None
    sizes = {**job.opening.sizes, size: OpeningSize(job.opening.span, overlap)}
    return replace(job, opening=replace(job.opening, sizes=sizes))


# --- what a route says


def test_a_route_is_read_with_its_sections_and_phases() -> None:
    assert (ROUTE.id, ROUTE.opening, ROUTE.min_layers, ROUTE.load, ROUTE.piece) == (
        "small", True, 2, "heads", "garment",
    )  # fmt: skip
    assert [section.key for section in ROUTE.sections] == ["front", "finish"]
    assert [phase.id for phase in ROUTE.sections[0].phases] == ["pin", "place", "border", "unpin"]


def test_sections_come_once_a_front_with_the_top_front_first() -> None:
    keys = [section.key for section in sections_of(ROUTE, SPLIT_JOB)]
    assert keys == ["front-left", "front-right", "finish"]
    assert SPLIT_JOB.opening is not None
    other = replace(SPLIT_JOB, opening=replace(SPLIT_JOB.opening, top_front="right"))
    assert [section.front for section in sections_of(ROUTE, other)] == ["right", "left", None]
    assert sections_of(ROUTE, other)[0].title == "Sew the right front"


def test_a_checklist_names_the_sections_before_it() -> None:
    assert laid_out().earlier == ()
    assert laid_out(section="finish").earlier == (
        ("front-left", "Sew the left front"),
        ("front-right", "Sew the right front"),
    )


# --- repeating


def test_a_stretch_for_each_layer_repeats_layer_after_layer() -> None:
    assert [(p.key, p.layer) for p in laid_out().phases] == [
        ("pin", None),
        ("place", None),
        ("border-background", 0),
        ("border-letters", 1),
        ("unpin", None),
    ]


def test_machine_stops_are_numbered_through_the_section() -> None:
    texts = [phase.text for phase in laid_out().phases if phase.who == "machine"]
    assert texts == ["Stop 1: sew it.", "Stop 2: sew it."]


def test_several_garments_are_placed_one_by_one_each_by_its_own_size() -> None:
    job = replace(with_size(SPLIT_JOB, "XL", 30.0), machine=Machine(700, 2))
    assert job.opening is not None
    job = replace(job, opening=replace(job.opening, under_cover=10.0))
    places = [p for p in laid_out(job, (1, 3), "front-right").phases if p.picture == "check"]
    assert [p.key for p in places] == ["place", "place-2"]
    assert [p.title for p in places] == ["Check the place, garment 1", "Check the place, garment 3"]
    assert [p.text for p in places] == ["Trace garment 1.", "Trace garment 3."]
    assert [p.readings[0].expected for p in places] == [10.0 - 25.0, 10.0 - 30.0]


def test_layers_of_one_name_still_have_keys_of_their_own() -> None:
    job = replace(SPLIT_JOB, layers=(BACKGROUND, BACKGROUND, replace(BACKGROUND, name="★")))
    keys = [phase.key for phase in laid_out(job).phases if phase.layer is not None]
    assert keys == ["border-background", "border-background-2", "border-3"]


# --- times


def test_hands_work_garment_by_garment_and_all_heads_sew_at_once() -> None:
    four = replace(SPLIT_JOB, machine=Machine(700, 4))
    pin, border = (
        {p.key: p for p in laid_out(four, (1, 2, 3, 4)).phases}[key] for key in ("pin", "border-letters")
    )
    assert pin.usual_s == (4 * 60, 4 * 240)
    assert pin.expected_s == pytest.approx(sqrt(240 * 960))
    assert border.usual_s == (300, 900)


def test_a_border_of_measured_stitches_is_expected_at_its_sewing_time() -> None:
    job = replace(SPLIT_JOB, layers=(replace(BACKGROUND, stitches=Stitches(border=9000)), BACKGROUND))
    border = next(p for p in laid_out(job).phases if p.layer == 0)
    assert border.expected_s == pytest.approx(machine_time(9000, 700))
    assert border.usual_s == pytest.approx((0.75 * border.expected_s, 1.25 * border.expected_s))


# --- readings


@pytest.mark.parametrize(
    ("over_edge", "low"),
    [(3.0, 1.5), (2.0, 1.0), (0.5, 0.5), (0.0, -1.5), (-4.0, -5.5)],
)
def test_where_the_sewing_passes_the_edge_the_needle_stays_a_millimetre_past_it(
    over_edge: float, low: float
) -> None:
    assert SPLIT_JOB.opening is not None
    job = replace(SPLIT_JOB, opening=replace(SPLIT_JOB.opening, over_edge=over_edge))
    reading = next(p for p in laid_out(job).phases if p.readings).readings[0]
    assert (reading.expected, reading.low, reading.high) == (over_edge, low, over_edge + 1.5)
    assert (reading.never_low, reading.never_high) == (over_edge - 15, over_edge + 15)
    assert reading.mark == "3"


# --- what does not fit


def test_a_job_that_does_not_fit_the_route_is_told_why() -> None:
    one_layer = replace(SPLIT_JOB, layers=(BACKGROUND,))
    assert why_not(ROUTE, SPLIT_JOB) is None
    assert why_not(ROUTE, one_layer) == 'The route "small" needs 2 layers at least; the job has 1.'
    with pytest.raises(RouteDoesNotFit, match=r"has no \[opening\]"):
        sections_of(ROUTE, CLOSED_JOB)
    closed = replace(ROUTE, opening=False)
    assert "without an opening" in (why_not(closed, SPLIT_JOB) or "")


def test_an_unknown_section_is_refused_with_those_there_are() -> None:
    with pytest.raises(UnknownSection, match=r'no section "front" .* front-left, front-right, finish'):
        laid_out(section="front")


@pytest.mark.parametrize(
    ("garments", "says"),
    [((9,), "no garment 9"), ((1, 1), "garment 1 twice"), ((), "names no garment")],
)
def test_a_load_of_unknown_doubled_or_no_garments_is_refused(garments: tuple[int, ...], says: str) -> None:
    with pytest.raises(UnknownGarment, match=says):
        laid_out(garments=garments)


# --- what reading refuses: each case spoils one place of a sound route


SPOILT = {
    "text that is no TOML": ("[[section]]", "[[section", "not TOML"),
    "unknown key of the route": ('id = "small"', 'id = "small"\ncolour = 1', '"colour" is not a key'),
    "missing key": ('text = "Pin {garments}."\n', "", 'phase "pin": "text" is missing'),
    "empty text": ('text = "Look at it."', 'text = " "', '"text" is empty'),
    "unknown key of a phase": ('title = "Look"', 'title = "Look"\ncolor = "x"', '"look": "color" is not'),
    "unknown placeholder": ("Pin {garments}.", "Pin {garmets}.", 'no placeholder "{garmets}"'),
    "layer word outside a layer": ("Pin {garments}.", "Pin {layer}.", '"pin": there is no placeholder'),
    "front word at the bench": ("Look at it.", "Look at the {front}.", '"look": there is no placeholder'),
    "size word for all": ("Pin {garments}.", "Pin {size}.", 'no placeholder "{size}"'),
    "stop word without a line": ("Look at it.", "Stop {stop}.", 'no placeholder "{stop}"'),
    "braces with a format": ("Pin {garments}.", "Pin {garments:>9}.", "cannot read the braces"),
    "braces into a value": ("Pin {garments}.", "Pin {garments.real}.", "cannot read the braces"),
    "unpaired brace": ("Pin {garments}.", "Pin {garments.", "cannot read the braces"),
    "unknown word in a section's title": ("Sew the {front} front", "Sew {layer}", '"front": there is no'),
    "unknown when": ('title = "Look"', 'title = "Look"\nwhen = "tuesday"', 'no condition "tuesday"'),
    "one unknown when of two": (
        'title = "Look"', 'title = "Look"\nwhen = ["first_piece", "x"]', 'no condition "x"',
    ),
    "layer condition outside a layer": (
        'title = "Look"', 'title = "Look"\nwhen = "layer.placement_line"', 'needs each = "layer"',
    ),
    "second front at the bench": ('title = "Look"', 'title = "Look"\nwhen = "second_front"', "second_front"),
    "unknown who": ('who = "machine"', 'who = "robot"', '"who" must be one of hands, machine, supervisor'),
    "unknown each": ('each = "layer"', 'each = "button"', '"each" must be one of layer, size, garment'),
    "unknown picture": ('picture = "check"', 'picture = "cat"', '"picture" must be one of'),
    "unknown expected": ('expected = "a"', 'expected = "c"', '"expected" must be one of'),
    "doubled section": ('key = "finish"', 'key = "front-left"', '2 of section "front-left"'),
    "doubled phase": ('id = "unpin"', 'id = "pin"', 'Section "front": there are 2 of phase "pin"'),
    "name with spaces": ('id = "look"', 'id = "Look here"', "use small letters"),
    "title too long": ('title = "Look"', f'title = "{"o" * 61}"', "has 61 characters; 60 are the most"),
    "text too long": ("Look at it.", "o" * 201, "has 201 characters"),
    "caution too long": ("Mind the pins.", "o" * 111, "has 111 characters"),
    "too many cautions": ('["Mind the pins."]', '["a", "b", "c"]', "3 entries; 2 are the most"),
    "times the wrong way round": ("usual_min = [5, 15]", "usual_min = [15, 5]", "give the lower first"),
    "a time of nothing": ("usual_min = [5, 15]", "usual_min = [0, 5]", "above 0"),
    "a time of one number": ("usual_min = [5, 15]", "usual_min = 5", '"usual_min" must be a list'),
    "a number in quotes": ("within = 1.5", 'within = "1.5"', "must be a number from 0 upward"),
    "a number below zero": ("within = 1.5", "within = -1", "found -1"),
    "a number that is none": ("within = 1.5", "within = nan", "must be a number"),
    "no limits": ("within = 1.5\n", "", 'needs "within"'),
    "limits twice": ("within = 1.5", "within = 1.5\nbelow = 1\nabove = 1", "not all of them"),
    "never nearer than within": ("never = 15", "never = 1", "must not lie nearer"),
    "no right answer": ('right = "nothing"', 'right = "none"', "must stand once among its answers"),
    "answers alike": ('["a hole", "nothing"]', '["nothing", "nothing"]', "must stand once"),
    "pins never counted in": ('side = "in"', 'side = "out"', '"pins" are counted out and never in'),
    "pins never counted out": ('side = "out"', 'side = "in"', '"pins" are counted in but never out'),
    "line sewn by hands": ('who = "machine"', 'who = "hands"', "sewn by the machine"),
    "line sewn once for all layers": ('line = "border"', 'line = "backing"', "is sewn once"),
    "restart after no return": ("no_return = true", "no_return = true\nrestart = true", "cannot be both"),
    "approval by hands": ('title = "Look"', 'title = "Look"\napproval = true', 'needs who = "supervisor"'),
    "ending with more to ask": (
        "    [[section.phase.check]]",
        '    [[section.phase.reading]]\n    id = "gap"\n    ask = "How wide?"\n    expected = 0\n'
        "    within = 1\n    never = 2\n\n    [[section.phase.check]]",
        "ends = true is for the one thing that a phase asks",
    ),
    "machine times several heads": ('line = "border"', 'line = "border"\nper = "head"', "sew at once"),
    "readings of a garment for all": ('each = "garment"\n', "", 'needs each = "garment"'),
    "other front when none is sewn": ('expected = "a"', 'expected = "other.a"', 'when = "second_front"'),
    "edges of a closed garment": ("opening = true", "opening = false", "needs a garment that opens"),
    "layers without a front": ('each = "front"\n', "", "there is no placeholder"),
    "a job's front": ('scope = "load"\nplace = "machine"', 'scope = "job"\nplace = "machine"', "once"),
    "too few layers to be a number": ("min_layers = 2", "min_layers = 0", "whole number from 1"),
    "flag as a text": ("opening = true", 'opening = "yes"', "must be true or false"),
    "section that is no table": (SMALL_ROUTE[SMALL_ROUTE.index("[[section]]") :], "section = [1]", "tables"),
    "no sections": (SMALL_ROUTE[SMALL_ROUTE.index("[[section]]") :], "", "has no section"),
}  # fmt: skip


@pytest.mark.parametrize("case", SPOILT)
def test_a_spoilt_route_is_refused_with_one_sentence_that_names_the_place(case: str) -> None:
    old, new, says = SPOILT[case]
    assert old in SMALL_ROUTE
    with pytest.raises(RouteError) as refused:
        read_route(SMALL_ROUTE.replace(old, new, 1))
    sentence = str(refused.value)
    assert says in sentence
    assert "\n" not in sentence
    assert sentence.endswith(".")
    assert sentence.startswith(("The route", 'Section "'))


def test_a_phase_shows_no_more_than_seven_things() -> None:
    reading = SMALL_ROUTE[SMALL_ROUTE.index("    [[section.phase.reading]]") :].split('mark = "3"')[0]
    more = "".join(reading.replace('id = "a"', f'id = "a{n}"') + 'mark = "3"\n\n' for n in range(6))
    with pytest.raises(RouteError, match="shows 8 things at once; 7 are the most"):
        read_route(SMALL_ROUTE.replace(reading, more + reading))


@given(st.text(max_size=80))
def test_any_text_is_read_or_refused_and_nothing_else(text: str) -> None:
    with pytest.raises(RouteError):
        read_route(text)


# --- how much one load holds


def test_a_load_is_a_garment_a_head() -> None:
    assert load_size(ROUTE, replace(SPLIT_JOB, machine=Machine(700, 6)), 90.0) == 6


def test_a_hooping_holds_what_fits_its_field() -> None:
    hooping = replace(ROUTE, load="hooping")
    layer: Layer = replace(BACKGROUND, offset=3.0)  # sewn 3 + 4/2 = 5 mm beyond the outline
    job = replace(
        CLOSED_JOB,
        design=replace(CLOSED_JOB.design, height=40.0),
        layers=(layer,),
        hoop=replace(CLOSED_JOB.hoop, field=(300.0, 200.0), clearance=5.0),
        machine=Machine(700, 2),
        garments=(Garment(1, "one"),),
    )
    # 50 + 10 + 2 x 5 = 70 across: 4; 40 + 10 + 2 x 5 = 60 down: 3; on two heads
    assert load_size(hooping, job, 50.0) == 2 * 4 * 3
    assert load_size(hooping, job, 900.0) == 2


@pytest.mark.parametrize(
    ("field", "extent", "clearance", "fit"),
    [
        ((300, 200), (100, 100), 0, 6),
        ((299.9, 200), (100, 100), 0, 4),
        ((300, 200), (90, 90), 5, 6),
        ((0.3, 0.3), (0.1, 0.1), 0, 9),
        ((50, 50), (60, 10), 0, 0),
    ],
)
def test_pieces_lie_in_the_hoop_on_a_plain_grid(
    field: tuple[float, float], extent: tuple[float, float], clearance: float, fit: int
) -> None:
    assert pieces_in_hoop(field, extent, clearance) == fit


@given(
    st.tuples(st.floats(50, 500), st.floats(50, 500)),
    st.tuples(st.floats(1, 200), st.floats(1, 200)),
    st.floats(0, 20),
)
def test_the_grid_never_holds_more_than_the_hoops_area(
    field: tuple[float, float], extent: tuple[float, float], clearance: float
) -> None:
    cell = (extent[0] + 2 * clearance) * (extent[1] + 2 * clearance)
    assert pieces_in_hoop(field, extent, clearance) * cell <= field[0] * field[1] * (1 + 1e-6)


def test_a_piece_of_no_size_is_refused() -> None:
    with pytest.raises(ValueError, match="wider and taller than 0"):
        pieces_in_hoop((100, 100), (0, 10), 1)
