"""Every event says itself in one sentence, in the words that the operator saw."""

import uuid

from route_cases import SPLIT_JOB, plan_for, shop_route

from floor.domain.events import Event
from floor.domain.job import HouseRules
from floor.domain.route import expand
from floor.domain.sentences import sentence_of

CHECKLIST = expand(shop_route("split-front"), plan_for(SPLIT_JOB), HouseRules(), "front-right", (4,), False)


def said(kind: str, phase: int = 0, **data: object) -> str:
    event = Event(str(uuid.uuid4()), str(uuid.uuid4()), str(uuid.uuid4()), 1, kind, phase, 0, data)
    return sentence_of(event, CHECKLIST)


def phase_with(what: str) -> int:
    return next(i for i, phase in enumerate(CHECKLIST.phases) if getattr(phase, what))


def test_an_opening_names_who_what_and_which() -> None:
    opening = {"job": "X", "revision": 1, "section": "front-right", "garments": [4], "first_piece": False}
    assert said("open", **opening, operator="Ines") == f"Ines began: {CHECKLIST.title}, garment 4"
    two = {**opening, "garments": [4, 5]}
    assert said("open", **two, operator="Ines", cause="a skew").endswith("garments 4, 5, again: a skew")


def test_answers_readings_and_counts_bring_their_question() -> None:
    at = phase_with("checks")
    check = CHECKLIST.phases[at].checks[0]
    assert (
        said("check", at, check=check.id, value=check.right) == f"answered “{check.right}” to “{check.ask}”"
    )
    at = phase_with("readings")
    reading = CHECKLIST.phases[at].readings[0]
    assert (
        said("reading", at, reading=reading.id, value=-2.5) == f"read 2.5 mm below the button: {reading.ask}"
    )
    at = phase_with("counts")
    count = CHECKLIST.phases[at].counts[0]
    assert said("count", at, count=count.id, side=count.side, value=6) == f"counted 6: {count.ask}"


def test_a_reading_names_its_side_and_its_take() -> None:
    at = phase_with("place")
    upper, _, edge, _ = CHECKLIST.phases[at].readings
    assert said("reading", at, reading="u", value=2.5, take=2) == (
        f"read 2.5 mm above the button, second time: {upper.ask}"
    )
    assert said("reading", at, reading="a", value=-1.5, take=3) == (
        f"read 1.5 mm inside the edge, third time: {edge.ask}"
    )
    assert said("reading", at, reading="u", value=-0.04, take=1) == f"read 0 mm: {upper.ask}"


def test_a_reading_without_sides_keeps_its_sign() -> None:
    prepare = expand(shop_route("split-front"), plan_for(SPLIT_JOB), HouseRules(), "prepare", (), False)
    at = next(i for i, phase in enumerate(prepare.phases) if phase.readings)
    reading = prepare.phases[at].readings[0]
    event = Event("", "", "", 1, "reading", at, 0, {"reading": reading.id, "value": -2.5})
    assert sentence_of(event, prepare) == f"read -2.5 mm: {reading.ask}"


def test_a_round_says_what_was_done_about_the_place() -> None:
    at = next(i for i, phase in enumerate(CHECKLIST.phases) if phase.place and phase.place.kind == "set")
    assert said("again", at, how="nudged", along=-1.5, across=0.5) == (
        "moved the start 1.5 mm toward the hem and 0.5 mm toward the folded edge"
    )
    assert said("again", at, how="nudged", along=0, across=0) == "moved the start not at all"
    assert said("again", at, how="laid again") == "laid it again"
    assert said("again", at, how="read again") == "read the place again"
    assert said("again", phase_with("checks"), how="nudged", along=-1.5, across=0) == (
        "moved the start: -1.5 mm along, +0 mm across"
    )


def test_done_and_redo_name_their_phase_or_section() -> None:
    assert said("done", 2) == f"done: {CHECKLIST.phases[2].title}"
    assert said("redo", 3, to=1, cause="lies-wrong") == f"back to “{CHECKLIST.phases[1].title}”: it lay wrong"
    key, title = CHECKLIST.earlier[0]
    assert said("redo", 3, section=key, cause="lies-wrong") == f"sent back to “{title}”: it lay wrong"


def test_what_cannot_be_read_is_still_said() -> None:
    assert said("dance") == "said “dance”"
    assert said("done", 999) == "done"
    assert said("check", phase_with("checks"), check="gone", value="yes") == "answered “yes” to “gone”"
