"""One phase of a checklist: a template with the job's words, limits and expected time in it."""

from __future__ import annotations

import re
from dataclasses import dataclass
from math import sqrt

from floor.domain.checklist import Check, Count, Phase, Reading
from floor.domain.english import numbered
from floor.domain.fronts import expected_readings
from floor.domain.job import Front, Garment, Job
from floor.domain.route_parts import PhaseTemplate, ReadingTemplate, Route, Section
from floor.domain.route_text import Words, fill, front_words, job_words, layer_words, sentence, size_words
from floor.domain.stitching import machine_time

MIN_PAST_EDGE_MM = 1.0  # where the sewing passes the folded edge, the needle must stay past it by this
STITCHED_SPREAD = 0.25  # a time from a stitch count is good to a quarter either way


@dataclass(frozen=True)
class Repeat:
    """One phase to be: a template, and the layer, size or garment that it is for. `suffix` marks its key,
    `stop` is its number among the machine's stops, `machine_rounds` how often the machine sews its line."""

    route: Route
    job: Job
    section: Section
    load: tuple[Garment, ...]
    template: PhaseTemplate
    machine_rounds: int
    layer: int | None = None
    size: str | None = None
    garment: Garment | None = None
    suffix: str = ""
    stop: int = 0

    @property
    def one_of_several(self) -> bool:
        return self.garment is not None and len(self.load) > 1


def build_phase(repeat: Repeat) -> Phase:
    """The phase with everything filled in.

    `expected_s` is the geometric mean of the usual range: times of hand steps are about log-normal, so the
    middle of the usual lies at the same ratio from either end, not at the same distance. A line of measured
    stitches is expected at its sewing time.
    """
    template, words = repeat.template, _words(repeat)
    title = sentence(template.title, words)
    low, expected, high = _times_s(repeat)
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
        readings=tuple(_reading(repeat, reading, words) for reading in template.readings),
        counts=tuple(
            Count(count.id, count.side, sentence(count.ask, words), count.ends) for count in template.counts
        ),
        layer=repeat.layer,
        restart=template.restart,
        no_return=template.no_return,
        approval=template.approval,
        picture=template.picture,
        garment=repeat.garment.number if repeat.garment is not None and repeat.one_of_several else None,
    )


def slug(name: str) -> str:
    """The part of a key that a name gives: "Big letters" -> "big-letters"; may be empty."""
    return re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")


def _words(repeat: Repeat) -> Words:
    job, load = repeat.job, (repeat.garment,) if repeat.garment else repeat.load
    words = job_words(repeat.route, job, load)
    if repeat.section.front is not None:
        words |= front_words(job, repeat.section.front, load)
    if repeat.layer is not None:
        words |= layer_words(repeat.route, job, repeat.layer)
    if repeat.size is not None:
        words |= size_words(job, repeat.size)
    if repeat.garment is not None:
        words["garments"] = numbered(repeat.route.piece, [repeat.garment.number])
    if repeat.template.line is not None:
        words["stop"] = str(repeat.stop)
    return words


def _times_s(repeat: Repeat) -> tuple[float, float, float]:
    """Low end, middle and high end for the whole load, seconds; from the stitch count where measured."""
    stitches = _stitches(repeat)
    if stitches is not None:
        seconds = repeat.machine_rounds * machine_time(stitches, repeat.job.machine.speed)
        return seconds * (1 - STITCHED_SPREAD), seconds, seconds * (1 + STITCHED_SPREAD)
    low, high = (60 * minutes * _times(repeat) for minutes in repeat.template.usual_min)
    return low, sqrt(low * high), high


def _stitches(repeat: Repeat) -> int | None:
    if repeat.layer is None or repeat.template.line is None:
        return None
    counts = repeat.job.layers[repeat.layer].stitches
    by_line = {"placement": counts.placement, "tack": counts.tack, "border": counts.border}
    return by_line.get(repeat.template.line)


def _times(repeat: Repeat) -> int:
    """How often the minutes are spent in one load: hands work garment by garment, heads sew at once."""
    if repeat.section.scope == "job" or repeat.garment is not None:
        return 1
    if repeat.template.who == "machine":
        return repeat.machine_rounds
    if repeat.template.per == "garment":
        return len(repeat.load)
    return min(len(repeat.load), repeat.job.machine.heads) if repeat.template.per == "head" else 1


def _reading(repeat: Repeat, template: ReadingTemplate, words: Words) -> Reading:
    expected = _expected(repeat, template)
    low = expected - template.low
    if template.expected in ("a", "b", "other.a", "other.b") and expected > 0:
        low = max(low, min(MIN_PAST_EDGE_MM, expected))
    return Reading(
        id=template.id,
        ask=sentence(template.ask, words),
        expected=expected,
        low=low,
        high=expected + template.high,
        never_low=expected - template.never_low,
        never_high=expected + template.never_high,
        accept=template.accept,
        mark=template.mark,
    )


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
    at: Front = front
    if other:
        at = "left" if front == "right" else "right"
    value: float = getattr(expected_readings(job, at, size), name)
    return value
