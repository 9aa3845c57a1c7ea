"""What is said when something goes wrong: problems and their pictures, going back, scrap."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from floor.domain.events import Kind
from floor.domain.fields import Fields
from floor.domain.problems import PROBLEMS, REDO_CAUSES, SCRAP_CAUSES

PUT_RIGHT = "put right"  # what the tablet sends where nobody said how
PICTURE_OF = {"problem": "the problem", "meeting": "how the halves meet", "phase": "the work"}


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
        how = "" if self.how == PUT_RIGHT else f": {self.how}"
        return f"put right{how}{found}" + (f"; decided: {self.decision}" if self.decision else "")


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
