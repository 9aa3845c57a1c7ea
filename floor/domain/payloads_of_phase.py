"""What is said of the phase at hand: what was answered, read and counted, and that it is done."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from floor.domain.events import Kind
from floor.domain.fields import Fields
from floor.domain.place_lie import How
from floor.domain.place_steps import MOST_NUDGE_MM
from floor.domain.takes import MOST_TAKES, take_name


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
class Approved:
    kind: ClassVar[Kind] = Kind.APPROVE

    @classmethod
    def read(cls, f: Fields) -> Approved:
        return cls()

    def sentence(self) -> str:
        return "approved the first piece"
