"""The routes that come with Floor: complete, in plain words, and quick to tap through on any valid job."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from route_cases import (
    BACKGROUND,
    BANNER,
    CLOSED_JOB,
    PENNANT,
    ROUTE_IDS,
    SPLIT_JOB,
    all_texts,
    bar,
    drawn,
    jobs,
    plan_for,
    shop_route,
)

from floor.domain.as_sewn import sewn_sums
from floor.domain.checklist import Checklist, Phase, Reading
from floor.domain.hand import Hand
from floor.domain.job import Front, HouseRules, Job, Machine
from floor.domain.place_sums import CLOSED_TOLERANCE_MM
from floor.domain.plan import JobPlan
from floor.domain.route import expand, sections_of

ROUTES = {id: shop_route(id) for id in ROUTE_IDS}
JOBS = {"split-front": SPLIT_JOB, "closed": CLOSED_JOB, "crest": replace(CLOSED_JOB, route="crest")}
# The normal case is one tap a phase, and half as much again for what a miss would cost. A garment that opens is read
# at four places three times over, each twice, and at three crossings: 30 of its 83 taps tell numbers that nobody can
# know without a tape, and 12 of these are second takes, which is what finds a misread tape.
MOST_TAPS_A_PHASE = {"split-front": 1.85, "closed": 1.5, "crest": 1.5}
MOST_TAPS_WITHOUT_TAPE = 1.25
LONGEST_SENTENCE = 170

a_shop = st.builds(
    HouseRules,
    edge_sealing=st.booleans(),
    first_piece=st.booleans(),
    under_first=st.booleans(),
    step_pass=st.floats(0.2, 2),
    step_fail=st.floats(2, 10),
)


def checklists(plan: JobPlan, house: HouseRules, load: tuple[int, ...], first_piece: bool) -> list[Checklist]:
    route = ROUTES[plan.job.route]
    sections = sections_of(route, plan.job, house)
    return [expand(route, plan, house, section.key, load, first_piece) for section in sections]


def of_the_load(job: Job, house: HouseRules = HouseRules(), first_piece: bool = False) -> list[Checklist]:  # noqa: B008
    """What one garment goes through, without what is done once for the job."""
    found = sections_of(ROUTES[job.route], job, house)
    load_keys = {section.key for section in found if section.scope == "load"}
    return [one for one in checklists(plan_for(job), house, (1,), first_piece) if one.section in load_keys]


def phases_of(route: str, **changes: object) -> dict[str, Phase]:
    """The phases of a demo-like job by key; of both fronts, the second one's under its own section."""
    job = replace(JOBS[route], **changes)  # type: ignore[arg-type]
    return {
        f"{c.section}/{p.key}": p
        for c in checklists(plan_for(job), HouseRules(), (1,), True)
        for p in c.phases
    }


def taps(phase: Phase) -> int:
    """What a clean phase costs: every answer, every take of a reading, every count, and `done` where none of them
    ends it."""
    return taps_without_tape(phase) + sum(reading.takes for reading in phase.readings)


def taps_without_tape(phase: Phase) -> int:
    ends = any(check.ends for check in phase.checks) or any(count.ends for count in phase.counts)
    return len(phase.checks) + len(phase.counts) + (not ends)


# --- quick to tap through


@pytest.mark.parametrize("sealing", [True, False])
@pytest.mark.parametrize("route", ROUTE_IDS)
def test_a_clean_garment_takes_few_taps_a_phase(route: str, sealing: bool) -> None:
    sections = of_the_load(JOBS[route], HouseRules(edge_sealing=sealing))
    phases = [phase for section in sections for phase in section.phases]
    total = sum(map(taps, phases)) + len(sections)
    assert total <= MOST_TAPS_A_PHASE[route] * len(phases), f"{total} taps for {len(phases)} phases"
    assert sum(map(taps_without_tape, phases)) + len(sections) <= MOST_TAPS_WITHOUT_TAPE * len(phases)


def test_two_layers_across_a_split_front_are_about_46_phases_a_garment() -> None:
    plain = sum(len(section.phases) for section in of_the_load(SPLIT_JOB))
    sealed = sum(len(section.phases) for section in of_the_load(SPLIT_JOB, HouseRules(edge_sealing=True)))
    assert (plain, sealed) == (46, 47)


# --- any valid job


@pytest.mark.parametrize("route", ROUTE_IDS)
@settings(max_examples=60, deadline=None)
@given(st.data())
def test_any_valid_job_can_be_laid_out(route: str, data: st.DataObject) -> None:
    job = data.draw(jobs(route))
    plan = plan_for(job, data.draw(st.sampled_from([BANNER, PENNANT])))
    house, first_piece = data.draw(a_shop), data.draw(st.booleans())
    numbers = [garment.number for garment in job.garments]
    load = tuple(data.draw(st.lists(st.sampled_from(numbers), min_size=1, max_size=8, unique=True)))
    sections = checklists(plan, house, load, first_piece)
    for checklist in sections:
        keys = [phase.key for phase in checklist.phases]
        assert len(set(keys)) == len(keys)
        for phase in checklist.phases:
            low, high = phase.usual_s
            assert 0 < low <= phase.expected_s <= high
            for text in all_texts(phase):
                assert text
                assert "{" not in text
                assert "}" not in text
            for check in phase.checks:
                assert check.answers.count(check.right) == 1
            for reading in phase.readings:
                assert reading.never_low <= reading.low <= reading.expected
                assert reading.expected <= reading.high <= reading.never_high
    assert sections == checklists(plan, house, load, first_piece)


@pytest.mark.parametrize("route", ROUTE_IDS)
@settings(max_examples=40, deadline=None)
@given(st.data())
def test_every_layer_goes_in_the_trades_order(route: str, data: st.DataObject) -> None:
    job = data.draw(jobs(route))
    for checklist in checklists(plan_for(job), HouseRules(), (1,), False):
        if checklist.front is None:
            continue
        for index, layer in enumerate(job.layers):
            found = [phase.picture for phase in checklist.phases if phase.layer == index]
            trimmed = route != "crest" or index > 0
            assert found == [
                *["line"] * layer.placement_line,
                "lay",
                "tack",
                *["trim"] * trimmed,
                "border",
            ]
        layers = [phase.layer for phase in checklist.phases if phase.layer is not None]
        assert layers == sorted(layers)


def test_a_crests_base_layer_is_cut_out_after_its_border_at_the_bench() -> None:
    phases = list(phases_of("crest"))
    assert "sew-whole/trim-background" not in phases
    assert phases.index("finish/cut-out") > phases.index("sew-whole/border-background")
    assert phases_of("crest")["finish/cut-out"].no_return


# --- where a redo can begin, and where it cannot


@pytest.mark.parametrize("route", ROUTE_IDS)
def test_a_redo_begins_at_placement_lines_and_cutting_is_for_good(route: str) -> None:
    for phase in phases_of(route).values():
        assert phase.restart == (phase.picture == "line" or phase.key == "backing-line")
        assert phase.no_return == (phase.picture in ("trim", "border"))


# --- what is asked


def test_the_second_front_begins_with_the_first_as_sewn() -> None:
    phases = phases_of("split-front")
    assert "front-left/measure-other" not in phases
    second = [key for key in phases if key.startswith("front-right/")]
    assert second[0] == "front-right/measure-other"
    assert phases[second[0]].title == "Measure the left front as sewn"
    assert len(second) == 1 + sum(key.startswith("front-left/") for key in phases)


def test_the_under_front_is_measured_before_the_top_one_where_the_house_sews_it_first() -> None:
    house = HouseRules(under_first=True)
    found = {one.section: one.phases for one in checklists(plan_for(SPLIT_JOB), house, (1,), True)}
    assert list(found) == ["prepare", "front-right", "front-left", "finish"]
    assert found["front-left"][0].title == "Measure the right front as sewn"
    assert all(phase.key != "measure-other" for phase in found["front-right"])


def test_the_front_that_is_sewn_is_measured_where_its_sewing_crosses_the_opening() -> None:
    measured = phases_of("split-front")["front-right/measure-other"]
    sums = sewn_sums(plan_for(SPLIT_JOB), "M", "left")
    assert sums is not None
    assert {reading.id: reading.expected for reading in measured.readings} == sums.expected._asdict()
    assert measured.place is not None
    assert (measured.place.kind, measured.place.sums.other, measured.place.relay_to) == ("sewn", sums, "")
    for reading in measured.readings:
        assert (reading.takes, reading.accept) == (2, "supervisor")
        assert (reading.low, reading.high) == pytest.approx((reading.expected - 6, reading.expected + 6))


def test_where_nothing_crosses_the_opening_no_front_is_measured_for_the_other() -> None:
    apart = drawn(bar(-300, -60, -150, 60), bar(150, -60, 300, 60))
    found = checklists(plan_for(SPLIT_JOB, apart), HouseRules(), (1,), True)
    phases = {f"{one.section}/{phase.key}": phase for one in found for phase in one.phases}
    assert "front-right/measure-other" not in phases
    place = phases["front-right/check-place"].place
    assert place is not None
    assert place.against == ""
    assert phases["finish/compare"].readings == ()


@pytest.mark.parametrize("front", ["left", "right"])
@pytest.mark.parametrize("size", ["M", "XL"])
def test_the_place_is_judged_against_what_this_size_should_read(front: Front, size: str) -> None:
    plan = plan_for(SPLIT_JOB)
    number = next(garment.number for garment in SPLIT_JOB.garments if garment.size == size)
    section = expand(ROUTES["split-front"], plan, HouseRules(), f"front-{front}", (number,), False)
    phase = next(phase for phase in section.phases if phase.key == "check-place")
    expected = plan.sizes[size].expected_readings(front)
    assert {reading.id: reading.expected for reading in phase.readings} == expected._asdict()
    assert phase.place is not None
    assert phase.place.sums.expected == tuple(expected)
    assert phase.place.relay_to == "lay-garment"
    assert phase.place.against == ("measure-other" if front == "right" else "")


def test_each_place_is_read_twice_with_words_for_its_sides() -> None:
    for route, key in (("split-front", "front-left/check-place"), ("closed", "front-whole/check-place")):
        place = phases_of(route)[key]
        assert [reading.mark for reading in place.readings] == ["1", "2", "3", "4"]
        for reading in place.readings:
            assert reading.takes == 2
            assert reading.plus
            assert reading.minus
            assert (reading.low, reading.high) == pytest.approx((reading.expected - 5, reading.expected + 5))
            assert (reading.never_low, reading.never_high) == pytest.approx(
                (reading.expected - 15, reading.expected + 15)
            )


def test_several_garments_of_one_load_are_placed_each_and_set_to_its_own_other_front() -> None:
    section = expand(ROUTES["split-front"], plan_for(SPLIT_JOB), HouseRules(), "front-right", (1, 3), False)
    places = [
        phase.place for phase in section.phases if phase.place is not None and phase.place.kind == "set"
    ]
    assert [place.against for place in places] == ["measure-other", "measure-other-2"]
    assert [place.sums.nudges for place in places] == [False, False]
    assert places[0].sums.expected.u != places[1].sums.expected.u


def test_the_shop_s_hand_goes_with_the_place() -> None:
    hand = Hand(along=0.7, reading=0.2)
    route = ROUTES["split-front"]
    section = expand(route, plan_for(SPLIT_JOB), HouseRules(), "front-left", (1,), False, hand)
    (place,) = (phase.place for phase in section.phases if phase.place is not None)
    assert place.hand == hand


def test_a_closed_garment_is_placed_by_its_four_readings_at_the_drawn_lines() -> None:
    phases = phases_of("closed")
    place = phases["front-whole/check-place"]
    assert [(reading.id, reading.expected) for reading in place.readings] == [
        ("u", 0), ("l", 0), ("a", 0), ("b", 0),
    ]  # fmt: skip
    assert place.place is not None
    assert place.place.sums.side == 0
    assert place.place.sums.tolerance == CLOSED_TOLERANCE_MM
    assert all(step.layer is None for step in place.place.sums.steps)
    assert "chalk each one's centre, top and bottom lines" in phases["prepare/pull"].text


def test_crests_are_placed_against_nothing() -> None:
    assert all(phase.place is None for phase in phases_of("crest").values())


def test_each_size_of_the_job_is_surveyed_once() -> None:
    phases = phases_of("split-front")
    surveys = [phases[key] for key in phases if key.startswith("prepare/survey-")]
    assert [phase.key for phase in surveys] == ["survey-m", "survey-xl", "survey-s"]
    assert [[reading.expected for reading in phase.readings] for phase in surveys] == [
        [25.0, 142.0],
        [27.0, 150.0],
        [25.0, 142.0],
    ]


def compared(house: HouseRules, *outline: tuple[tuple[float, float], ...]) -> tuple[Reading, ...]:
    plan = plan_for(SPLIT_JOB, drawn(*outline) if outline else BANNER)
    section = expand(ROUTES["split-front"], plan, house, "finish", (1,), False)
    return next(phase.readings for phase in section.phases if phase.key == "compare")


def test_step_and_gap_are_measured_at_three_crossings_where_there_are_as_many() -> None:
    names = [reading.id for reading in compared(HouseRules())]
    assert names == ["step-upper", "gap-upper", "step-middle", "gap-middle", "step-lower", "gap-lower"]
    one_layer = replace(SPLIT_JOB, layers=(BACKGROUND,))
    section = expand(ROUTES["split-front"], plan_for(one_layer), HouseRules(), "finish", (1,), False)
    assert [reading.id for reading in section.phases[0].readings] == [
        "step-upper", "gap-upper", "step-lower", "gap-lower",
    ]  # fmt: skip


def test_a_step_up_to_1_mm_passes_up_to_2_mm_is_a_supervisors_and_more_fails() -> None:
    for reading in compared(HouseRules()):
        assert (reading.low, reading.high, reading.never_high) == (0, 1, 2)
        assert reading.accept == "supervisor"


def test_a_house_may_let_less_pass_or_more() -> None:
    for house in (HouseRules(step_pass=0.5, step_fail=0.8), HouseRules(step_pass=3, step_fail=3)):
        for reading in compared(house):
            assert (reading.high, reading.never_high) == (house.step_pass, house.step_fail)
        section = expand(ROUTES["split-front"], plan_for(SPLIT_JOB), house, "front-left", (1,), False)
        (place,) = (phase.place for phase in section.phases if phase.place is not None)
        assert place.sums.tolerance == house.step_pass


def test_the_half_on_the_screen_is_named_by_its_value() -> None:
    phases = phases_of("split-front")
    for front in ("left", "right"):
        (check,) = phases[f"front-{front}/load-design"].checks
        assert (check.answers, check.right) == (("right half", "left half"), f"{front} half")
        assert check.ends


def test_the_layer_is_named_before_it_is_cut() -> None:
    trim = phases_of("split-front")["front-left/trim-letters"]
    (check,) = trim.checks
    assert check.answers == ("Only the old gold letters layer",)
    assert not check.ends
    assert "1 to 2 mm" in trim.text
    assert "Keep the red background whole" in trim.text


# --- what the plan says


def test_each_step_of_a_layer_names_what_there_is_of_it_on_this_front() -> None:
    plan, phases = plan_for(SPLIT_JOB), phases_of("split-front")
    for front in ("left", "right"):
        piece = plan.sizes["M"].fronts["left" if front == "left" else "right"].pieces[1]
        stop = plan.stop("M", "left" if front == "left" else "right", "border", 1)
        assert piece.blank is not None
        assert stop is not None
        said = {step: phases[f"front-{front}/{step}-letters"].text for step in ("lay", "trim", "border")}
        assert f"a blank of {piece.blank[0]:g} x {piece.blank[1]:g} mm" in said["lay"]
        assert f"{piece.cut_length / 10:.0f} cm, {piece.corners} corners" in said["trim"]
        assert said["border"].startswith("Machine stop 7 of 7: ")
        assert f"{stop.stitches:,} stitches, about {stop.likely_s / 60:.0f} min" in said["border"]
        assert "must list 7 stops" in phases[f"front-{front}/load-design"].text


@pytest.mark.parametrize("route", ROUTE_IDS)
def test_the_machines_phases_count_its_stops_from_first_to_last(route: str) -> None:
    for checklist in of_the_load(JOBS[route]):
        texts = [phase.text for phase in checklist.phases if phase.who == "machine"]
        for number, text in enumerate(texts, start=1):
            assert text.startswith(f"Machine stop {number} of {len(texts)}")


def test_a_front_that_does_not_reach_the_window_is_traced_from_its_marks_and_stopped_before_them() -> None:
    phases = {
        checklist.section: checklist.phases
        for checklist in checklists(plan_for(SPLIT_JOB, PENNANT), HouseRules(), (1,), False)
    }
    right = {phase.key: phase for phase in phases["front-right"]}
    assert "from the last stop, the marks," in right["check-place"].text
    assert "the last stop, 8 of 8, the marks" in right["marks"].text
    assert [taps(right["marks"]), len(right["marks"].cautions)] == [1, 1]
    order = list(right)
    assert order.index("border-letters") + 1 == order.index("marks") == order.index("before-unhooping") - 1
    left = {phase.key: phase for phase in phases["front-left"]}
    assert "marks" not in left
    assert left["check-place"].text.startswith("Trace the window on garment 1")
    for front in (left, right):
        for phase in front.values():
            assert len(phase.text) <= 200, phase.text


def test_the_scissors_keep_what_lies_below_on_this_front() -> None:
    job = replace(SPLIT_JOB, layers=(replace(SPLIT_JOB.layers[0], offset=-4.0), SPLIT_JOB.layers[1]))
    kept = {}
    for checklist in checklists(plan_for(job, PENNANT), HouseRules(), (1,), False):
        for phase in checklist.phases:
            if phase.key == "trim-letters":
                kept[checklist.front] = phase.text
    assert kept["left"].endswith("Keep the red background whole.")
    assert kept["right"].endswith("Keep the garment whole.")


def test_a_layer_that_does_not_reach_a_front_has_no_phase_there() -> None:
    job = replace(SPLIT_JOB, layers=(SPLIT_JOB.layers[0], replace(SPLIT_JOB.layers[1], offset=-4.0)))
    for checklist in checklists(plan_for(job, PENNANT), HouseRules(), (1,), False):
        if checklist.front is not None:
            layers = {phase.layer for phase in checklist.phases} - {None}
            assert layers == ({0, 1} if checklist.front == "left" else {0})


def test_pins_are_counted_out_and_in_on_each_front() -> None:
    phases = phases_of("split-front")
    for front in ("left", "right"):
        sides = [c.side for key, p in phases.items() if key.startswith(f"front-{front}/") for c in p.counts]
        assert sides == ["out", "in"]


@pytest.mark.parametrize("route", ROUTE_IDS)
def test_the_first_piece_is_approved_only_when_it_is_first_and_the_house_wants_it(route: str) -> None:
    def approvals(house: HouseRules, first_piece: bool) -> list[str]:
        sections = of_the_load(JOBS[route], house, first_piece)
        return [phase.who for section in sections for phase in section.phases if phase.approval]

    assert approvals(HouseRules(first_piece=True), True) == ["supervisor"]
    assert approvals(HouseRules(first_piece=True), False) == []
    assert approvals(HouseRules(first_piece=False), True) == []


@pytest.mark.parametrize("route", ROUTE_IDS)
def test_edges_are_sealed_only_where_the_house_allows_it(route: str) -> None:
    for sealing in (True, False):
        sections = of_the_load(JOBS[route], HouseRules(edge_sealing=sealing))
        seals = [phase for section in sections for phase in section.phases if phase.key == "seal"]
        assert len(seals) == sealing
        assert all(any("extinguisher" in caution for caution in phase.cautions) for phase in seals)


@pytest.mark.parametrize("route", ROUTE_IDS)
def test_every_heads_threads_are_checked_when_there_are_several(route: str) -> None:
    assert not any(key.endswith("/head-threads") for key in phases_of(route))
    several = phases_of(route, machine=Machine(700, 4))
    assert any(key.endswith("/head-threads") for key in several)


# --- words and cautions


@pytest.mark.parametrize("route", ROUTE_IDS)
def test_what_is_read_at_arms_length_is_short_and_begins_like_a_sentence(route: str) -> None:
    for phase in phases_of(route).values():
        assert len(phase.text) <= LONGEST_SENTENCE, phase.text
        assert phase.text.endswith(".")
        assert not phase.title.endswith(".")
        assert len(phase.cautions) <= 2
        assert phase.title[0].isupper()
        for caution in phase.cautions:
            assert caution.endswith(".")
            assert len(caution) <= 110


@pytest.mark.parametrize("route", ROUTE_IDS)
def test_a_danger_is_told_before_the_hands_go_in(route: str) -> None:
    told = {
        "hoop": ("slide them apart", "implanted device"),
        "trim": ("Cut away from the hand",),
        "lay": ("Stop the machine",),
        "border": ("Hands stay out",),
        "tack": ("Hands stay out",),
        "hooped": ("Stop the machine",),
    }
    of_phase = {"unhoop": ("slide them apart", "implanted device"), "pin": ("Keep the machine stopped",)}
    for phase in phases_of(route).values():
        cautions = " ".join(phase.cautions)
        for words in (*told.get(phase.picture, ()), *of_phase.get(phase.key, ())):
            assert words in cautions, phase.key


@pytest.mark.parametrize("route", ["split-front", "closed"])
def test_spray_is_kept_from_the_machine_and_from_flames(route: str) -> None:
    spray = next(phase for phase in phases_of(route).values() if phase.key == "adhesive")
    cautions = " ".join(spray.cautions)
    for words in ("Flammable", "ventilated", "never on the machine", "label and data sheet", "local rules"):
        assert words in cautions


@pytest.mark.parametrize("route", ROUTE_IDS)
def test_no_phase_prints_a_safe_distance(route: str) -> None:
    for phase in phases_of(route).values():
        assert not any("distance" in text for text in all_texts(phase))
