"""An event in one sentence for people, with the words that the operator saw."""

from __future__ import annotations

from floor.domain.checklist import Checklist, Phase, Reading
from floor.domain.events import Event, UnreadableData
from floor.domain.lengths import format_mm
from floor.domain.payloads import (
    CheckAnswered,
    Counted,
    Opened,
    PhaseDone,
    ReadAgain,
    ReadingTaken,
    Redone,
    read_payload,
)
from floor.domain.place_words import moved_words

TAKES = {2: "second time", 3: "third time"}


def sentence_of(event: Event, checklist: Checklist | None) -> str:
    """What the event says; in ids where there is no checklist to take the words from."""
    try:
        said = read_payload(event)
    except UnreadableData:
        return f"said “{event.kind}”"
    if checklist is None:
        return said.sentence()
    phase = checklist.phases[event.phase] if event.phase < len(checklist.phases) else None
    if isinstance(said, Opened):
        again = f", again: {said.cause}" if said.cause else ""
        return f"{said.operator} began: {checklist.title}{_loaded(said.garments)}{again}"
    if isinstance(said, Redone):
        return _sent_back(said, checklist)
    if phase is None:
        return said.sentence()
    if isinstance(said, PhaseDone):
        return f"done: {phase.title}"
    if isinstance(said, CheckAnswered):
        asked = next((check.ask for check in phase.checks if check.id == said.check), said.check)
        return f"answered “{said.value}” to “{asked}”"
    if isinstance(said, ReadingTaken):
        return _read(said, next((one for one in phase.readings if one.id == said.reading), None))
    if isinstance(said, ReadAgain) and said.how == "nudged" and phase.place is not None:
        return f"moved the start {moved_words(phase.place.sums, (said.along, said.across))}"
    if isinstance(said, Counted):
        asked = next((c.ask for c in phase.counts if (c.id, c.side) == (said.count, said.side)), said.count)
        return f"counted {said.value}: {asked}"
    return said.sentence()


def _read(said: ReadingTaken, reading: Reading | None) -> str:
    shown, side = format_mm(said.value), ""
    if reading is not None and reading.plus and shown != "0 mm":
        shown, side = format_mm(abs(said.value)), f" {reading.plus if said.value > 0 else reading.minus}"
    take = f", {TAKES[said.take]}" if said.take in TAKES else ""
    return f"read {shown}{side}{take}: {said.reading if reading is None else reading.ask}"


def _loaded(garments: tuple[int, ...]) -> str:
    if not garments:
        return ""
    return f", garment {garments[0]}" if len(garments) == 1 else ", garments " + ", ".join(map(str, garments))


def _sent_back(said: Redone, checklist: Checklist) -> str:
    words = said.sentence().partition(": ")[2]
    if said.to is None:
        title = dict(checklist.earlier).get(said.section, said.section)
        return f"sent back to “{title}”: {words}"
    where: Phase | None = checklist.phases[said.to] if said.to < len(checklist.phases) else None
    return f"back to “{where.title if where else said.to + 1}”: {words}"
