"""Reading a route, laying it out for a job, and what it refuses."""

from __future__ import annotations

from dataclasses import replace
from math import sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st
from route_cases import BACKGROUND, CLOSED_JOB, PENNANT, SMALL_ROUTE, SPLIT_JOB, bar, drawn, plan_for

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
from floor.domain.route_words import time_text
from floor.domain.trimming import trimming_time

ROUTE = read_route(SMALL_ROUTE)
HOUSE = HouseRules()


def laid_out(
    job: Job = SPLIT_JOB, garments: tuple[int, ...] = (1,), section: str = "front-left"
) -> Checklist:
    return expand(ROUTE, plan_for(job), HOUSE, section, garments, first_piece=False)


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


def test_sections_come_the_under_front_first_where_the_house_works_so() -> None:
    keys = [section.key for section in sections_of(ROUTE, SPLIT_JOB, HouseRules(under_first=True))]
    assert keys == ["front-right", "front-left", "finish"]
    last = expand(
        ROUTE, plan_for(SPLIT_JOB), HouseRules(under_first=True), "front-left", (1,), first_piece=False
    )
    assert last.earlier == (("front-right", "Sew the right front"),)


# --- repeating


def test_a_stretch_for_each_layer_repeats_layer_after_layer() -> None:
    assert [(p.key, p.layer) for p in laid_out().phases] == [
        ("pin", None),
        ("place", None),
        ("border-background", 0),
        ("border-letters", 1),
        ("unpin", None),
    ]


def test_a_machine_stop_has_its_number_on_the_stop_sheet_whatever_the_route_shows() -> None:
    # The machine sews the backing's line, then a placement line, a tack-down and a border for each layer.
    texts = [phase.text for phase in laid_out().phases if phase.who == "machine"]
    assert texts == ["Stop 4 of 7: sew it.", "Stop 7 of 7: sew it."]


def test_a_stop_of_no_front_is_counted_within_its_section() -> None:
    at_bench = 'who = "machine"\nusual_min = [1, 2]\nline = "backing"'
    text = SMALL_ROUTE.replace('who = "hands"\nusual_min = [1, 2]', at_bench)
    text = text.replace("Look at it.", "Stop {stop}, {stop_time}.")
    look = expand(read_route(text), plan_for(SPLIT_JOB), HOUSE, "finish", (1,), first_piece=False).phases[0]
    assert look.text == "Stop 1, 1 min."


def test_a_layer_that_does_not_reach_a_front_is_left_out_where_the_route_asks_for_its_sewing() -> None:
    job = replace(SPLIT_JOB, layers=(BACKGROUND, replace(BACKGROUND, name="crown", offset=-4.0)))
    plan = plan_for(job, PENNANT)
    asks = read_route(SMALL_ROUTE.replace('each = "layer"', 'each = "layer"\nwhen = "layer.sewn"'))

    def borders(front: str) -> list[str]:
        phases = expand(asks, plan, HOUSE, f"front-{front}", (1,), first_piece=False).phases
        return [phase.text for phase in phases if phase.layer is not None]

    assert borders("left") == ["Stop 4 of 7: sew it.", "Stop 7 of 7: sew it."]
    assert borders("right") == ["Stop 4 of 5: sew it."]  # the backing, the background's three, and the marks


def test_marks_come_where_a_front_does_not_reach_the_window() -> None:
    marked = """
[[section.phase]]
id = "marks"
when = "marks"
title = "Stop"
text = "Stop {stop} is never sewn, {stitches}."
who = "machine"
usual_min = [0.1, 0.4]
picture = "marks"
line = "marks"

[[section.phase]]
id = "unpin"
"""
    route = read_route(SMALL_ROUTE.replace('\n[[section.phase]]\nid = "unpin"\n', marked))
    plan = plan_for(SPLIT_JOB, PENNANT)
    left, right = (
        expand(route, plan, HOUSE, f"front-{front}", (1,), first_piece=False).phases
        for front in ("left", "right")
    )
    assert "marks" not in [phase.key for phase in left]
    [marks] = [phase for phase in right if phase.key == "marks"]
    assert marks.text == "Stop 8 of 8 is never sewn, 0 stitches."
    assert marks.usual_s == (6, 24)
    assert right.index(marks) == len(right) - 2


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
    one = next(p for p in laid_out(garments=(3,)).phases if p.key == "border-letters")  # the largest size
    assert border.usual_s == one.usual_s


def test_a_border_is_expected_at_the_time_of_its_stop_as_often_as_the_machine_sews_it() -> None:
    stop = plan_for(SPLIT_JOB).stop("M", "left", "border", 1)
    assert stop is not None
    for load, rounds in (((1,), 1), ((1, 2), 2)):
        border = next(p for p in laid_out(garments=load).phases if p.key == "border-letters")
        assert border.expected_s == pytest.approx(rounds * stop.likely_s)
        assert border.usual_s == pytest.approx((0.75 * border.expected_s, 1.25 * border.expected_s))


def test_a_measured_count_of_stitches_sets_the_time_of_its_border() -> None:
    def border(stitches: Stitches) -> float:
        job = replace(SPLIT_JOB, layers=(replace(BACKGROUND, stitches=stitches), BACKGROUND))
        return next(p.expected_s for p in laid_out(job).phases if p.layer == 0)

    assert border(Stitches(border=9000)) - border(Stitches(border=8000)) == pytest.approx(
        60 * 1000 / (700 * 0.8)
    )


def test_where_the_sizes_of_a_load_differ_the_largest_decides_the_time() -> None:
    job = with_size(SPLIT_JOB, "XL", 60.0)
    stops = {size: plan_for(job).stop(size, "left", "border", 0) for size in ("M", "XL")}
    times = {size: stop.likely_s for size, stop in stops.items() if stop is not None}
    assert times["XL"] > times["M"]
    for load in ((1,), (3,), (1, 3)):
        border = next(p for p in laid_out(job, load).phases if p.key == "border-background")
        size = "M" if load == (1,) else "XL"
        assert border.expected_s == pytest.approx(len(load) * times[size])


def test_a_trim_takes_what_there_is_to_cut_of_each_garment() -> None:
    trimmed = SMALL_ROUTE.replace(
        'who = "machine"\nusual_min = [5, 15]\nline = "border"',
        'who = "hands"\nusual_min = [5, 15]\npicture = "trim"',
    ).replace("Stop {stop}: sew it.", "Cut {trim_length}.")
    plan = plan_for(SPLIT_JOB)
    phases = expand(read_route(trimmed), plan, HOUSE, "front-left", (1, 2), first_piece=False).phases
    for layer in (0, 1):
        phase = next(p for p in phases if p.layer == layer)
        piece = plan.sizes["M"].fronts["left"].pieces[layer]
        low, high = trimming_time(piece, SPLIT_JOB.layers[layer].fabric, upper=layer > 0)
        assert phase.usual_s == pytest.approx((2 * low, 2 * high))
        assert phase.expected_s == pytest.approx(sqrt(phase.usual_s[0] * phase.usual_s[1]))


@pytest.mark.parametrize(
    ("seconds", "words"),
    [
        (0.4, "5 s"),
        (24, "25 s"),
        (57, "55 s"),
        (58, "1 min"),
        (89, "1 min"),
        (91, "2 min"),
        (549, "9 min"),
        (7200, "120 min"),
    ],
)
def test_an_expected_time_is_said_as_near_as_an_estimate_is_worth(seconds: float, words: str) -> None:
    assert time_text(seconds) == words


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
    "marks at the bench": ('title = "Look"', 'title = "Look"\nwhen = "marks"', '"marks" needs a section with'),
    "marks of each layer": ('line = "border"', 'line = "marks"', 'come once'),
    "blank outside a layer": ("Pin {garments}.", "Pin {blank}.", 'no placeholder "{blank}"'),
    "window at the bench": ("Look at it.", "Look at {window}.", 'no placeholder "{window}"'),
    "window in a section's title": ("Sew the {front} front", "Sew {window}", '"front": there is no'),
    "stitches without a line": ("Pin {garments}.", "Pin {stitches}.", 'no placeholder "{stitches}"'),
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
    "line sewn once for all layers": ('line = "border"', 'line = "backing"', "come once"),
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


# The place phase as routes have it that judge a place: four readings, each taken twice, each with its sides.
PLACED = SMALL_ROUTE.replace(
    SMALL_ROUTE[SMALL_ROUTE.index("    [[section.phase.reading]]") : SMALL_ROUTE.index('id = "border"')],
    'place = "set"\nrelay_to = "pin"\n'
    + "".join(
        f'\n    [[section.phase.reading]]\n    id = "{name}"\n    ask = "Where?"\n    expected = "{name}"\n'
        f'    within = 5\n    never = 15\n    takes = 2\n    mark = "{mark}"\n'
        f'    plus = "{name} out"\n    minus = "{name} in"\n'
        for name, mark in zip("ulab", "1234", strict=True)
    )
    + "\n[[section.phase]]\n",
)
MEASURED = PLACED.replace(
    'each = "garment"\n', 'each = "garment"\nwhen = ["second_front", "crossed"]\n'
).replace('place = "set"\nrelay_to = "pin"', 'place = "sewn"')

SPOILT_PLACE = {
    "set for the whole load": (PLACED, 'each = "garment"\n', "", 'needs each = "garment" in a section with'),
    "set at the bench": (PLACED, 'each = "front"\n', "", "there is no placeholder"),
    "other readings": (PLACED, 'id = "l"', 'id = "low"', "by the readings u, l, a, b, in this order"),
    "another order": (PLACED, 'id = "u"', 'id = "v"', "in this order"),
    "nowhere to go back to": (PLACED, 'relay_to = "pin"\n', "", 'place = "set" needs relay_to'),
    "an unknown phase to go back to": (PLACED, 'relay_to = "pin"', 'relay_to = "lay"', "is no phase without each"),
    "a later phase to go back to": (PLACED, 'relay_to = "pin"', 'relay_to = "unpin"', "before this one"),
    "a repeated phase to go back to": (PLACED, 'relay_to = "pin"', 'relay_to = "place"', "before this one"),
    "going back with no place": (PLACED, 'place = "set"\n', "", 'relay_to needs place = "set"'),
    "an unknown kind": (PLACED, 'place = "set"', 'place = "laid"', '"place" must be one of set, sewn'),
    "three takes": (PLACED, "takes = 2", "takes = 3", '"takes" must be a whole number from 1 to 2'),
    "one side": (PLACED, '    minus = "u in"\n', "", "give both or neither"),
    "the other side": (PLACED, '    plus = "u out"\n', "", "give both or neither"),
    "a side too long": (PLACED, '"u out"', f'"{"o" * 31}"', "has 31 characters"),
    "an unknown crossing": (PLACED, "takes = 2", 'takes = 2\n    at = "edge"', '"at" must be one of upper, middle'),
    "an unknown limit of the house": (
        PLACED, "within = 5", 'below = 5\n    above = "step_max"', '"above" must be one of step_pass, step_fail',
    ),
    "sewn before any front is": (
        MEASURED, 'when = ["second_front", "crossed"]\n', "", 'needs when = "second_front"',
    ),
    "sewn that goes back": (MEASURED, 'place = "sewn"', 'place = "sewn"\nrelay_to = "pin"', "nothing else has one"),
    "crossed on either front": (MEASURED, '["second_front", "crossed"]', '"crossed"', 'when = "second_front" too'),
    "measured where nothing crosses": (
        MEASURED.replace('expected = "u"', 'expected = "sewn.u"'), '["second_front", "crossed"]', '"second_front"',
        'expected = "sewn.u" needs when = "crossed"',
    ),
}  # fmt: skip


@pytest.mark.parametrize("case", SPOILT_PLACE)
def test_a_place_that_cannot_be_judged_is_refused_with_one_sentence(case: str) -> None:
    text, old, new, says = SPOILT_PLACE[case]
    assert old in text
    read_route(text)
    with pytest.raises(RouteError) as refused:
        read_route(text.replace(old, new, 1))
    sentence = str(refused.value)
    assert says in sentence
    assert "\n" not in sentence
    assert sentence.endswith(".")


def test_a_crossing_is_asked_only_of_a_garment_that_opens() -> None:
    look = 'id = "look"\n'
    reading = (
        '    [[section.phase.reading]]\n    id = "step"\n    at = "upper"\n    ask = "How big?"\n    expected = 0\n'
        "    within = 1\n    never = 2\n\n    [[section.phase.check]]"
    )
    text = SMALL_ROUTE.replace("    [[section.phase.check]]", reading).replace("    ends = true\n", "")
    read_route(text.replace(look, look + 'each = "garment"\n'))
    with pytest.raises(RouteError, match='"at" is for a garment that opens, and needs each = "garment"'):
        read_route(text)


def test_a_place_is_laid_out_with_its_readings_as_the_route_has_them() -> None:
    checklist = expand(read_route(PLACED), plan_for(SPLIT_JOB), HOUSE, "front-right", (1,), False)
    phase = next(phase for phase in checklist.phases if phase.place is not None)
    assert [(r.id, r.takes, r.plus, r.minus, r.mark) for r in phase.readings] == [
        (name, 2, f"{name} out", f"{name} in", mark) for name, mark in zip("ulab", "1234", strict=True)
    ]
    assert phase.place is not None
    # Without a phase that measures the other front this one is judged against its own plan.
    assert (phase.place.kind, phase.place.against, phase.place.relay_to) == ("set", "", "pin")


def test_a_limit_of_the_house_is_the_house_s_when_it_is_laid_out() -> None:
    text = SMALL_ROUTE.replace(
        "within = 1.5\n    never = 15",
        'below = 1\n    above = "step_pass"\n    never_below = 1\n    never_above = "step_fail"',
    ).replace('expected = "a"', "expected = 0")
    house = HouseRules(step_pass=0.7, step_fail=1.9)
    checklist = expand(read_route(text), plan_for(SPLIT_JOB), house, "front-left", (1,), False)
    reading = next(phase for phase in checklist.phases if phase.readings).readings[0]
    assert (reading.low, reading.high, reading.never_low, reading.never_high) == (-1, 0.7, -1, 1.9)


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
    assert load_size(ROUTE, plan_for(replace(SPLIT_JOB, machine=Machine(700, 6)))) == 6


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
    assert load_size(hooping, plan_for(job, drawn(bar(0, 0, 50, 40)))) == 2 * 4 * 3
    assert load_size(hooping, plan_for(job, drawn(bar(0, 0, 900, 40)))) == 2


def test_a_layer_that_is_sewn_away_takes_no_room_in_the_hoop() -> None:
    hooping = replace(ROUTE, load="hooping")
    job = replace(CLOSED_JOB, layers=(replace(BACKGROUND, offset=-500.0),))
    assert load_size(hooping, plan_for(job)) == job.machine.heads


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
