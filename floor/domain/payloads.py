"""What an event says, kind by kind: one frozen dataclass each, read from the event's data.

Each says itself as one human sentence, for the log.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import ClassVar

from floor.domain.events import Event, Kind, UnreadableData
from floor.domain.fields import Fields
from floor.domain.hand import HAND_NAMES, LEAST_SPREAD, MOST_SPREAD, Hand
from floor.domain.place_lie import How
from floor.domain.place_steps import MOST_NUDGE_MM
from floor.domain.problems import PAUSE_REASONS, PROBLEMS, REDO_CAUSES, SCRAP_CAUSES
from floor.domain.takes import MOST_TAKES, take_name

PICTURE_OF = {"problem": "the problem", "meeting": "how the halves meet", "phase": "the work"}


@dataclass(frozen=True)
class Opened:
    kind: ClassVar[Kind] = Kind.OPEN
    job: str
    revision: int
    section: str
    garments: tuple[int, ...]
    first_piece: bool
    operator: str
    cause: str
    machine: str = ""
    hand: Hand | None = None

    @classmethod
    def read(cls, f: Fields) -> Opened:
        hand = None
        if f.data.get("hand") is not None:
            hand = Hand(*f.numbers("hand", HAND_NAMES, LEAST_SPREAD, MOST_SPREAD))
        return cls(
            f.id("job"), f.whole("revision", 1, 100_000), f.id("section"), f.garments("garments"),
            f.flag("first_piece"), f.text("operator", 120), f.text("cause", optional=True),
            f.text("machine", 120, optional=True), hand,
        )  # fmt: skip

    def sentence(self) -> str:
        which = " with garments " + ", ".join(map(str, self.garments)) if self.garments else ""
        again = f" again ({self.cause})" if self.cause else ""
        return f"{self.operator} began {self.section}{which}{again}"


@dataclass(frozen=True)
class CheckAnswered:
    kind: ClassVar[Kind] = Kind.CHECK
    check: str
    value: str

    @classmethod
    def read(cls, f: Fields) -> CheckAnswered:
        return cls(f.id("check"), f.text("value"))

    def sentence(self) -> str:
        return f"answered “{self.value}”"


@dataclass(frozen=True)
class ReadingTaken:
    kind: ClassVar[Kind] = Kind.READING
    reading: str
    value: float
    take: int = 1

    @classmethod
    def read(cls, f: Fields) -> ReadingTaken:
        take = f.whole("take", 1, MOST_TAKES) if f.data.get("take") is not None else 1
        return cls(f.id("reading"), f.number("value", -10_000, 10_000), take)

    @property
    def name(self) -> str:
        """The key under which a run keeps it: "u", "u 2"."""
        return take_name(self.reading, self.take)

    def sentence(self) -> str:
        return f"read {self.value:g} mm for {self.name}"


@dataclass(frozen=True)
class ReadAgain:
    """The place is to be read anew, for something was done about it."""

    kind: ClassVar[Kind] = Kind.AGAIN
    how: How
    along: float
    across: float

    @classmethod
    def read(cls, f: Fields) -> ReadAgain:
        how: How = f.one_of("how", ("nudged", "laid again", "read again"))  # type: ignore[assignment]
        if how != "nudged":
            return cls(how, 0.0, 0.0)
        return cls(
            how,
            f.number("along", -MOST_NUDGE_MM, MOST_NUDGE_MM),
            f.number("across", -MOST_NUDGE_MM, MOST_NUDGE_MM),
        )

    def sentence(self) -> str:
        if self.how == "nudged":
            return f"moved the start: {self.along:+g} mm along, {self.across:+g} mm across"
        return "laid it again" if self.how == "laid again" else "read the place again"


@dataclass(frozen=True)
class Counted:
    kind: ClassVar[Kind] = Kind.COUNT
    count: str
    side: str
    value: int

    @classmethod
    def read(cls, f: Fields) -> Counted:
        return cls(f.id("count"), f.one_of("side", ("out", "in")), f.whole("value", 0, 10_000))

    def sentence(self) -> str:
        return f"counted {self.value} {self.count} {self.side}"


@dataclass(frozen=True)
class PhaseDone:
    kind: ClassVar[Kind] = Kind.DONE

    @classmethod
    def read(cls, f: Fields) -> PhaseDone:
        return cls()

    def sentence(self) -> str:
        return "done"


@dataclass(frozen=True)
class Paused:
    kind: ClassVar[Kind] = Kind.PAUSE
    reason: str

    @classmethod
    def read(cls, f: Fields) -> Paused:
        return cls(f.one_of("reason", PAUSE_REASONS))

    def sentence(self) -> str:
        return f"paused: {PAUSE_REASONS[self.reason]}"


@dataclass(frozen=True)
class Resumed:
    kind: ClassVar[Kind] = Kind.RESUME

    @classmethod
    def read(cls, f: Fields) -> Resumed:
        return cls()

    def sentence(self) -> str:
        return "went on"


@dataclass(frozen=True)
class ProblemMet:
    kind: ClassVar[Kind] = Kind.PROBLEM
    problem: str
    note: str

    @classmethod
    def read(cls, f: Fields) -> ProblemMet:
        return cls(f.one_of("problem", PROBLEMS), f.text("note", optional=True))

    def sentence(self) -> str:
        return f"problem: {PROBLEMS[self.problem].words}" + (f" ({self.note})" if self.note else "")


@dataclass(frozen=True)
class ProblemCleared:
    kind: ClassVar[Kind] = Kind.CLEARED
    problem: str
    how: str
    fragments: str
    decision: str

    @classmethod
    def read(cls, f: Fields) -> ProblemCleared:
        fragments = f.one_of("fragments", ("all", "missing")) if f.data.get("fragments") is not None else ""
        return cls(f.id("problem"), f.text("how"), fragments, f.text("decision", optional=True))

    def sentence(self) -> str:
        found = {"all": "; every fragment found", "missing": "; fragments missing", "": ""}[self.fragments]
        return f"put right: {self.how}{found}" + (f"; decided: {self.decision}" if self.decision else "")


@dataclass(frozen=True)
class Redone:
    kind: ClassVar[Kind] = Kind.REDO
    cause: str
    to: int | None
    section: str

    @classmethod
    def read(cls, f: Fields) -> Redone:
        cause = f.one_of("cause", REDO_CAUSES)
        if ("to" in f.data) == ("section" in f.data):
            raise f.refuse("to", "either a phase (to) or a section, not both")
        if "to" in f.data:
            return cls(cause, f.whole("to", 0, 10_000), "")
        return cls(cause, None, f.id("section"))

    def sentence(self) -> str:
        where = f"section {self.section}" if self.to is None else f"phase {self.to + 1}"
        return f"back to {where}: {REDO_CAUSES[self.cause]}"


@dataclass(frozen=True)
class Accepted:
    kind: ClassVar[Kind] = Kind.ACCEPT
    what: str
    name: str
    reason: str

    @classmethod
    def read(cls, f: Fields) -> Accepted:
        return cls(f.one_of("what", ("check", "reading", "count", "place")), f.id("name"), f.text("reason"))

    def sentence(self) -> str:
        return f"{self.what} {self.name} taken as it is: {self.reason}"


@dataclass(frozen=True)
class Scrapped:
    kind: ClassVar[Kind] = Kind.SCRAP
    garments: tuple[int, ...]
    cause: str

    @classmethod
    def read(cls, f: Fields) -> Scrapped:
        garments = f.garments("garments")
        if not garments:
            raise f.refuse("garments", "at least one garment")
        return cls(garments, f.one_of("cause", SCRAP_CAUSES))

    def sentence(self) -> str:
        return f"scrapped garment {', '.join(map(str, self.garments))}: {SCRAP_CAUSES[self.cause]}"


@dataclass(frozen=True)
class HandedOver:
    kind: ClassVar[Kind] = Kind.HAND_OVER
    to: str

    @classmethod
    def read(cls, f: Fields) -> HandedOver:
        return cls(f.text("to", 120))

    def sentence(self) -> str:
        return f"handed over to {self.to}"


@dataclass(frozen=True)
class Approved:
    kind: ClassVar[Kind] = Kind.APPROVE

    @classmethod
    def read(cls, f: Fields) -> Approved:
        return cls()

    def sentence(self) -> str:
        return "approved the first piece"


@dataclass(frozen=True)
class Noted:
    kind: ClassVar[Kind] = Kind.NOTE
    text: str

    @classmethod
    def read(cls, f: Fields) -> Noted:
        return cls(f.text("text"))

    def sentence(self) -> str:
        return f"noted: {self.text}"


@dataclass(frozen=True)
class Pictured:
    """A picture was taken. `problem`: the event of the problem that it shows, "" where it shows none; `size`: bytes."""

    kind: ClassVar[Kind] = Kind.PHOTO
    photo: str
    of: str
    problem: str
    width: int
    height: int
    size: int

    @classmethod
    def read(cls, f: Fields) -> Pictured:
        problem = f.id("problem") if f.data.get("problem") is not None else ""
        return cls(
            f.uuid("photo"), f.one_of("of", tuple(PICTURE_OF)), problem,
            f.whole("width", 1, 20_000), f.whole("height", 1, 20_000), f.whole("bytes", 1, 100_000_000),
        )  # fmt: skip

    def sentence(self) -> str:
        return f"took a picture of {PICTURE_OF[self.of]}"


@dataclass(frozen=True)
class Undone:
    kind: ClassVar[Kind] = Kind.UNDO
    event: str

    @classmethod
    def read(cls, f: Fields) -> Undone:
        return cls(f.id("event"))

    def sentence(self) -> str:
        return "took the last tap back"


Payload = (
    Opened | CheckAnswered | ReadingTaken | ReadAgain | Counted | PhaseDone | Paused | Resumed | ProblemMet
    | ProblemCleared | Redone | Accepted | Scrapped | HandedOver | Approved | Noted | Pictured | Undone
)  # fmt: skip

READERS: Mapping[Kind, type[Payload]] = {
    cls.kind: cls
    for cls in (
        Opened, CheckAnswered, ReadingTaken, ReadAgain, Counted, PhaseDone, Paused, Resumed, ProblemMet, ProblemCleared,
        Redone, Accepted, Scrapped, HandedOver, Approved, Noted, Pictured, Undone,
    )
}  # fmt: skip


def read_payload(event: Event) -> Payload:
    """What the event says. Raises UnreadableData, with a sentence: unknown kind or data off the grammar."""
    try:
        kind = Kind(event.kind)
    except ValueError:
        raise UnreadableData(f'There is no event kind "{event.kind}"; known are {", ".join(Kind)}.') from None
    return READERS[kind].read(Fields(event))
