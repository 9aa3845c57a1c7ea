"""What an event says, kind by kind: one frozen dataclass each, read from the event's data.

Each says itself as one human sentence, for the log. They lie in `payloads_of_*.py` by subject.
"""

from __future__ import annotations

from collections.abc import Mapping

from floor.domain.events import Event, Kind, UnreadableData
from floor.domain.fields import Fields
from floor.domain.payloads_of_phase import (
    Accepted,
    Approved,
    CheckAnswered,
    Counted,
    PhaseDone,
    ReadAgain,
    ReadingTaken,
)
from floor.domain.payloads_of_run import (
    HandedOver,
    Noted,
    Opened,
    Paused,
    Resumed,
    Settled,
    TakenOver,
    Undone,
)
from floor.domain.payloads_of_trouble import (
    PICTURE_OF,
    Pictured,
    ProblemCleared,
    ProblemMet,
    Redone,
    Scrapped,
)

__all__ = [
    "PICTURE_OF",
    "READERS",
    "Accepted",
    "Approved",
    "CheckAnswered",
    "Counted",
    "HandedOver",
    "Noted",
    "Opened",
    "Paused",
    "Payload",
    "PhaseDone",
    "Pictured",
    "ProblemCleared",
    "ProblemMet",
    "ReadAgain",
    "ReadingTaken",
    "Redone",
    "Resumed",
    "Scrapped",
    "Settled",
    "TakenOver",
    "Undone",
    "read_payload",
]

Payload = (
    Opened | CheckAnswered | ReadingTaken | ReadAgain | Counted | PhaseDone | Paused | Resumed | ProblemMet
    | ProblemCleared | Redone | Accepted | Scrapped | HandedOver | TakenOver | Approved | Noted | Pictured | Settled
    | Undone
)  # fmt: skip

READERS: Mapping[Kind, type[Payload]] = {
    cls.kind: cls
    for cls in (
        Opened, CheckAnswered, ReadingTaken, ReadAgain, Counted, PhaseDone, Paused, Resumed, ProblemMet, ProblemCleared,
        Redone, Accepted, Scrapped, HandedOver, TakenOver, Approved, Noted, Pictured, Settled, Undone,
    )
}  # fmt: skip


def read_payload(event: Event) -> Payload:
    """What the event says. Raises UnreadableData, with a sentence: unknown kind or data off the grammar."""
    try:
        kind = Kind(event.kind)
    except ValueError:
        raise UnreadableData(f'There is no event kind "{event.kind}"; known are {", ".join(Kind)}.') from None
    return READERS[kind].read(Fields(event))
