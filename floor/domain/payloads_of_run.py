"""What is said of a run as a whole: how it was opened, who has it in hand, when it rested, what was noted."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar, Literal

from floor.domain.events import Kind
from floor.domain.fields import Fields
from floor.domain.hand import HAND_NAMES, LEAST_SPREAD, MOST_SPREAD, Hand
from floor.domain.problems import PAUSE_REASONS


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
class HandedOver:
    kind: ClassVar[Kind] = Kind.HAND_OVER
    to: str

    @classmethod
    def read(cls, f: Fields) -> HandedOver:
        return cls(f.text("to", 120))

    def sentence(self) -> str:
        return f"handed over to {self.to}"


@dataclass(frozen=True)
class TakenOver:
    kind: ClassVar[Kind] = Kind.TAKE_OVER
    operator: str

    @classmethod
    def read(cls, f: Fields) -> TakenOver:
        return cls(f.text("operator", 120))

    def sentence(self) -> str:
        return f"{self.operator} took it over at another tablet"


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
class Settled:
    """What a supervisor decided about a tap that had been set aside."""

    kind: ClassVar[Kind] = Kind.SETTLE
    event: str
    how: Literal["apply", "keep"]
    why: str

    @classmethod
    def read(cls, f: Fields) -> Settled:
        how: Literal["apply", "keep"] = f.one_of("how", ("apply", "keep"))  # type: ignore[assignment]
        return cls(f.id("event"), how, f.text("why"))

    def sentence(self) -> str:
        did = (
            "let a tap count that was set aside"
            if self.how == "apply"
            else "kept what was set aside as a note"
        )
        return f"{did}: {self.why}"


@dataclass(frozen=True)
class Undone:
    kind: ClassVar[Kind] = Kind.UNDO
    event: str

    @classmethod
    def read(cls, f: Fields) -> Undone:
        return cls(f.id("event"))

    def sentence(self) -> str:
        return "took the last tap back"
