"""One phase of a checklist: a template with the job's words, limits and expected time in it."""

from __future__ import annotations

import re

from floor.domain import route_words
from floor.domain.checklist import Check, Count, Phase, PlaceCheck, Reading
from floor.domain.english import numbered
from floor.domain.job import Front
from floor.domain.place_sums import CLOSED_TOLERANCE_MM, MIN_PAST_EDGE_MM, place_sums
from floor.domain.route_parts import HouseLimit, ReadingTemplate
from floor.domain.route_repeat import Repeat
from floor.domain.route_text import Words, fill, front_words, job_words, layer_words, sentence, size_words
from floor.domain.route_times import times_s

LOWER_FROM, MIDDLE_FROM = 2, 3  # so many crossings of the seam have a lower one, and one between


def build_phase(repeat: Repeat) -> Phase:
    """The phase with everything filled in.

    `expected_s` is the geometric mean of the usual range: times of hand steps are about log-normal, so the
    middle of the usual lies at the same ratio from either end, not at the same distance. A line that the
    machine sews is expected at the plan's likely time, and a trim takes what there is to cut.
    """
    low, expected, high = times_s(repeat)
    template, words = repeat.template, _words(repeat, expected)
    title = sentence(template.title, words)
    return Phase(
        key=f"{template.id}-{repeat.suffix}" if repeat.suffix else template.id,
        title=f"{title}, {words['garments']}" if repeat.one_of_several else title,
        text=sentence(template.text, words),
        who=template.who,
        usual_s=(low, high),
        expected_s=expected,
        cautions=tuple(sentence(caution, words) for caution in template.cautions),
        checks=tuple(
            Check(
                check.id,
                sentence(check.ask, words),
                tuple(fill(answer, words) for answer in check.answers),
                fill(check.right, words),
                check.ends,
                check.accept,
            )
            for check in template.checks
        ),
        readings=tuple(
            _reading(repeat, reading, words) for reading in template.readings if _crossed(repeat, reading)
        ),
        counts=tuple(
            Count(count.id, count.side, sentence(count.ask, words), count.ends) for count in template.counts
        ),
        layer=repeat.layer,
        restart=template.restart,
        no_return=template.no_return,
        approval=template.approval,
        picture=template.picture,
        garment=repeat.garment.number if repeat.garment is not None and repeat.one_of_several else None,
        place=_place(repeat),
    )


def slug(name: str) -> str:
    """The part of a key that a name gives: "Big letters" -> "big-letters"; may be empty."""
    return re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")


def _words(repeat: Repeat, expected_s: float) -> Words:
    job, load, front = repeat.job, (repeat.garment,) if repeat.garment else repeat.load, repeat.on_front
    words = job_words(repeat.route, job, load)
    if front is not None:
        words |= front_words(job, front.front, load) | route_words.of_front(front)
    if (
        front is not None and repeat.layer is not None
    ):  # a layer is sewn on a front: the route's reader holds it
        words |= layer_words(repeat.route, job, repeat.layer, front.below(repeat.layer))
        words |= route_words.of_piece(front, repeat.layer)
    if repeat.size is not None:
        words |= size_words(job, repeat.size)
    if repeat.garment is not None:
        words["garments"] = numbered(repeat.route.piece, [repeat.garment.number])
    if repeat.template.line is not None:
        words |= {
            "stop": route_words.stop_number(front, repeat.template.line, repeat.layer, repeat.stop),
            "stop_time": route_words.time_text(expected_s),
        }
        if front is not None:
            words["stitches"] = route_words.stitches_text(front, repeat.template.line, repeat.layer)
    return words


def _reading(repeat: Repeat, template: ReadingTemplate, words: Words) -> Reading:
    expected = _expected(repeat, template)
    low = expected - template.low
    high, never_high = (_limit(repeat, limit) for limit in (template.high, template.never_high))
    if (
        repeat.template.place is None
        and template.expected in ("a", "b", "other.a", "other.b")
        and expected > 0
    ):
        low = max(low, min(MIN_PAST_EDGE_MM, expected))
    return Reading(
        id=template.id,
        ask=sentence(template.ask, words),
        expected=expected,
        low=low,
        high=expected + high,
        never_low=expected - template.never_low,
        never_high=expected + max(high, never_high),
        accept=template.accept,
        mark=template.mark,
        takes=template.takes,
        plus=template.plus,
        minus=template.minus,
    )


def _limit(repeat: Repeat, limit: float | HouseLimit) -> float:
    if isinstance(limit, float):
        return limit
    return repeat.house.step_pass if limit == "step_pass" else repeat.house.step_fail


def _crossed(repeat: Repeat, template: ReadingTemplate) -> bool:
    """Whether the design crosses the opening there."""
    if template.at is None:
        return True
    assert repeat.size is not None  # the route's reader saw to it
    seam = repeat.plan.sizes[repeat.size].seam
    count = len({round(crossing.y, 1) for crossing in seam.crossings}) if seam is not None else 0
    return count >= {"upper": 1, "lower": LOWER_FROM, "middle": MIDDLE_FROM}[template.at]


def _place(repeat: Repeat) -> PlaceCheck | None:
    kind, job, front = repeat.template.place, repeat.job, repeat.section.front
    if kind is None:
        return None
    assert front is not None
    assert repeat.size is not None
    sewn = repeat.sewn_sums
    sums = place_sums(
        job,
        repeat.plan.sizes[repeat.size],
        front,
        tolerance=CLOSED_TOLERANCE_MM if job.opening is None else repeat.house.step_pass,
        nudges=len(repeat.load) == 1,
        other_sums=sewn,
    )
    return PlaceCheck(
        kind=kind,
        sums=sums,
        hand=repeat.hand,
        against=_measured(repeat) if kind == "set" and sewn is not None else "",
        relay_to=repeat.template.relay_to,
    )


def _measured(repeat: Repeat) -> str:
    """The key of the phase in which the front that is sewn first is measured, "" where the route has none."""
    phases = (phase for section in repeat.route.sections for phase in section.phases)
    id = next((phase.id for phase in phases if phase.place == "sewn"), "")
    return f"{id}-{repeat.suffix}" if id and repeat.suffix else id


def _expected(repeat: Repeat, template: ReadingTemplate) -> float:
    """The number that the job gives for what the template names; reading a route made sure that it can."""
    if isinstance(template.expected, float):
        return template.expected
    job, front, size = repeat.job, repeat.section.front, repeat.size
    assert job.opening is not None
    assert size is not None
    if template.expected == "overlap":
        return job.opening.of(size).overlap
    if template.expected == "span":
        return job.opening.of(size).span
    assert front is not None
    other, _, name = template.expected.rpartition(".")
    if other == "sewn":
        sums = repeat.sewn_sums
        assert sums is not None  # the condition that goes with it held
        found: float = getattr(sums.expected, name)
        return found
    at: Front = front
    if other:
        at = "left" if front == "right" else "right"
    value: float = getattr(repeat.plan.sizes[size].expected_readings(at), name)
    return value
