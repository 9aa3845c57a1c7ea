"""What must agree within a route: words and conditions that have a value, answers, counts, flags, limits."""

from __future__ import annotations

from collections.abc import Iterator

from floor.domain.route_parts import PhaseTemplate, Route, RouteError, SectionTemplate
from floor.domain.route_text import check_placeholders, fill, known_words

PLACE_READINGS = ("u", "l", "a", "b")
MOST_ITEMS = 7  # on one screen: the sentence, cautions, checks, readings and counts together


def check_section(route: Route, section: SectionTemplate) -> None:
    """RouteError unless the section has phases and all that goes out in it comes back in."""
    place = f'Section "{section.key}"'
    if not section.phases:
        raise RouteError(f"{place}: it has no phase; it needs one at least.")
    if section.per_front and section.scope == "job":
        raise RouteError(f'{place}: a section of scope "job" is made once and cannot have each = "front".')
    check_placeholders(section.title, known_words(opening=route.opening, section=section), place)
    out: set[str] = set()
    for phase in section.phases:
        for count in phase.counts:
            if count.side == "out":
                out.add(count.id)
            elif count.id not in out:
                raise RouteError(f'{place}, phase "{phase.id}": "{count.id}" are counted in but never out.')
    back = {count.id for phase in section.phases for count in phase.counts if count.side == "in"}
    for lost in sorted(out - back):
        raise RouteError(f'{place}: "{lost}" are counted out and never in; count them in too.')


def check_phase(route: Route, section: SectionTemplate, phase: PhaseTemplate) -> None:
    """RouteError unless the phase can be expanded for every job of the route."""
    place = f'Section "{section.key}", phase "{phase.id}"'
    known = known_words(opening=route.opening, section=section, phase=phase)
    for text in _texts(phase):
        check_placeholders(text, known, place)
    for sentence in (_each, _conditions, _lines, _readings, _place, _endings, _flags):
        wrong = sentence(route, section, phase)
        if wrong:
            raise RouteError(f"{place}: {wrong}")
    _check_answers(route, section, phase, place)


def _texts(phase: PhaseTemplate) -> Iterator[str]:
    yield from (phase.title, phase.text, *phase.cautions)
    for check in phase.checks:
        yield from (check.ask, check.right, *check.answers)
    yield from (reading.ask for reading in phase.readings)
    yield from (count.ask for count in phase.counts)


def _each(route: Route, section: SectionTemplate, phase: PhaseTemplate) -> str:
    if phase.each == "garment" and section.scope == "job":
        return 'each = "garment" needs a section of scope "load".'
    if phase.each == "layer" and not section.per_front:
        return 'each = "layer" needs a section with each = "front".'
    return ""


def _conditions(route: Route, section: SectionTemplate, phase: PhaseTemplate) -> str:
    for condition in phase.when:
        if condition.startswith("layer.") and phase.each != "layer":
            return f'when = "{condition}" needs each = "layer".'
        if condition == "marks" and not section.per_front:
            return 'when = "marks" needs a section with each = "front".'
        if condition == "crossed" and (phase.each != "garment" or "second_front" not in phase.when):
            return 'when = "crossed" needs each = "garment" and when = "second_front" too.'
        if condition == "second_front" and not (route.opening and section.per_front):
            return 'when = "second_front" needs a garment that opens and a section with each = "front".'
    return ""


def _lines(route: Route, section: SectionTemplate, phase: PhaseTemplate) -> str:
    if phase.line is None:
        return ""
    if phase.who != "machine":
        return f'line = "{phase.line}" is sewn by the machine, so who must be "machine".'
    if phase.line == "marks" and not section.per_front:
        return 'line = "marks" needs a section with each = "front".'
    if (phase.line in ("backing", "marks")) == (phase.each == "layer"):
        return 'line = "backing" and "marks" come once, and every other line once for each = "layer".'
    return ""


def _readings(route: Route, section: SectionTemplate, phase: PhaseTemplate) -> str:
    for reading in phase.readings:
        expected = reading.expected
        if isinstance(expected, float):
            continue
        if not route.opening:
            return f'expected = "{expected}" needs a garment that opens.'
        if expected in ("overlap", "span"):
            if phase.each not in ("size", "garment"):
                return f'expected = "{expected}" differs by size; it needs each = "size" or each = "garment".'
        elif phase.each != "garment" or not section.per_front:
            return f'expected = "{expected}" needs each = "garment" in a section with each = "front".'
        elif expected.startswith(("other.", "sewn.")) and "second_front" not in phase.when:
            return f'expected = "{expected}" needs when = "second_front": before it no other front is sewn.'
        elif expected.startswith("sewn.") and "crossed" not in phase.when:
            return f'expected = "{expected}" needs when = "crossed": elsewhere nothing could be measured.'
    return ""


def _place(route: Route, section: SectionTemplate, phase: PhaseTemplate) -> str:
    if phase.place is not None:
        if not section.per_front or phase.each != "garment":
            return f'place = "{phase.place}" needs each = "garment" in a section with each = "front".'
        if [reading.id for reading in phase.readings] != list(PLACE_READINGS):
            return (
                f'place = "{phase.place}" is told by the readings {", ".join(PLACE_READINGS)}, in this order.'
            )
        if (phase.place == "set") != bool(phase.relay_to):
            return 'place = "set" needs relay_to, the phase to which a lifted front goes back; nothing else has one.'
        if phase.place == "set" and not _comes_before(section, phase.relay_to, phase):
            return f'relay_to = "{phase.relay_to}" is no phase without each before this one.'
        if phase.place == "sewn" and "second_front" not in phase.when:
            return 'place = "sewn" needs when = "second_front": before it no other front is sewn.'
    elif phase.relay_to:
        return 'relay_to needs place = "set".'
    if any(reading.at for reading in phase.readings) and not (route.opening and phase.each == "garment"):
        return '"at" is for a garment that opens, and needs each = "garment".'
    return ""


def _comes_before(section: SectionTemplate, id: str, phase: PhaseTemplate) -> bool:
    before = section.phases[: section.phases.index(phase)]
    return any(one.id == id and one.each is None and not one.when for one in before)


def _endings(route: Route, section: SectionTemplate, phase: PhaseTemplate) -> str:
    asked = len(phase.checks) + len(phase.readings) + len(phase.counts)
    ends = any(check.ends for check in phase.checks) or any(count.ends for count in phase.counts)
    if ends and asked > 1:
        return "ends = true is for the one thing that a phase asks, and this one asks more."
    items = 1 + len(phase.cautions) + asked
    if items > MOST_ITEMS:
        return f"it shows {items} things at once; {MOST_ITEMS} are the most."
    return ""


def _flags(route: Route, section: SectionTemplate, phase: PhaseTemplate) -> str:
    if phase.restart and phase.no_return:
        return "a phase cannot be both a restart and a point of no return."
    if phase.approval and phase.who != "supervisor":
        return 'approval = true needs who = "supervisor".'
    return ""


def _check_answers(route: Route, section: SectionTemplate, phase: PhaseTemplate, place: str) -> None:
    """The right answer must be offered, once, on either front, whatever the job's other words are."""
    known = known_words(opening=route.opening, section=section, phase=phase)
    for front, other in (("right", "left"), ("left", "right")) if route.opening else (("front", "front"),):
        words = {word: f"<{word}>" for word in known} | {"front": front, "other_front": other}
        for check in phase.checks:
            answers = [fill(answer, words) for answer in check.answers]
            right = fill(check.right, words)
            if answers.count(right) != 1 or len(set(answers)) != len(answers):
                raise RouteError(
                    f'{place}, check "{check.id}": its right answer "{right}" must stand once among '
                    f"its answers, all different; found {', '.join(answers) or 'none'}."
                )
