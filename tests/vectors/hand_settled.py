"""Sequences picked by hand: what was set aside, and how a supervisor settled it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from tape import EVERYTHING, OFFICE, PLAIN, Tape

Case = tuple[str, Tape]
MAREN: Any = {"by": "Maren"}
NEEDLE = {"problem": "broken-needle"}


def settled_cases() -> Iterator[Case]:
    yield from _let_count()
    yield from _kept()
    yield from _taken_back()
    yield from _runs_that_never_were()


def _let_count() -> Iterator[Case]:
    tape = Tape(PLAIN).open()
    done = tape.say("done", device="B", after_s=40)
    tape.say("note", {"text": "he did it"}, after_s=100)
    tape.settle(done, "apply", after_s=500, **MAREN)
    tape.settle(done, "apply", **MAREN)
    tape.settle(done, "keep", **MAREN)
    tape.done(2)
    yield "a tap of another tablet is let count, once", tape
    tape = Tape(PLAIN).open().done()
    crossed = tape.say("done", phase=0, device="B")
    tape.settle(crossed, "apply", **MAREN)
    tape.settle("A1", "apply", **MAREN)
    tape.settle("B99", "apply", **MAREN)
    tape.settle(crossed, "apply", authority=None)
    tape.settle(crossed, "apply", authority="self")
    tape.settle(crossed, "apply", device="A")
    tape.settle(tape.say("take_over", {"operator": "Bo"}, device="B", phase=9), "apply", **MAREN)
    tape.settle(tape.say("undo", {"event": "A1"}), "apply", **MAREN)
    tape.settle(tape.say("open", tape.opening, phase=0), "apply", **MAREN)
    tape.settle(tape.say("dance"), "apply", **MAREN)
    tape.settle(tape.settle("B99", "apply"), "keep", **MAREN)
    tape.done(2)
    tape.settle(crossed, "apply", **MAREN)
    yield "what cannot be let count", tape
    tape = Tape(EVERYTHING).open().through(1)
    needle = tape.say("problem", NEEDLE, device="B")
    tape.say("done")
    tape.settle(needle, "apply", by=None)
    tape.say("done")
    tape.say("cleared", {"problem": needle, "how": "new needle", "fragments": "all"})
    accept = tape.say("accept", {"what": "reading", "name": "a", "reason": "it will do"})
    tape.give_all()
    tape.say("reading", {"reading": "a", "value": 2})
    accept = tape.say("accept", {"what": "reading", "name": "a", "reason": "it will do"})
    tape.settle(accept, "apply", **MAREN)
    tape.done()
    yield "a problem and an exception that the supervisor stands behind", tape
    tape = Tape(EVERYTHING, (3, 4)).open().through(1)
    tape.say("pause", {"reason": "break"})
    scrap = tape.say("scrap", {"garments": [3], "cause": "cloth-cut"}, device="B")
    redo = tape.say("redo", {"cause": "other", "to": 0})
    tape.settle(scrap, "apply", **MAREN)
    tape.settle(redo, "apply", **MAREN)
    tape.say("resume")
    tape.settle(redo, "apply", after_s=700, **MAREN)
    tape.through(7)
    tape.settle(tape.say("note", {"text": "of nothing"}, phase=9), "apply", **MAREN)
    yield "a garment is lost and the work goes back after all", tape


def _kept() -> Iterator[Case]:
    tape = Tape(PLAIN).open()
    first, second = tape.say("done", device="B"), tape.say("done", device="B")
    tape.settle(first, why="done twice", **MAREN)
    tape.settle(first, "apply", **MAREN)
    tape.done(3)
    tape.settle(second, "apply", **MAREN)
    tape.settle(second, why="the run is over", **MAREN)
    yield "kept as notes, one by one, and after the end", tape


def _taken_back() -> Iterator[Case]:
    tape = Tape(PLAIN).open()
    done = tape.say("done", device="B", after_s=40)
    settling = tape.settle(done, "apply", **MAREN)
    tape.say("undo", {"event": settling})
    tape.say("undo", {"event": done}, device="B")
    tape.say("undo", {"event": done}, device=OFFICE)
    tape.say("undo", {"event": settling}, device=OFFICE)
    kept = tape.settle(done, **MAREN)
    tape.say("undo", {"event": kept}, device=OFFICE)
    tape.settle(done, "apply", after_s=90, **MAREN)
    tape.done()
    tape.say("undo", {"event": tape.events[-2].id}, device=OFFICE)
    yield "settled, taken back and settled again", tape


def _runs_that_never_were() -> Iterator[Case]:
    tape = Tape(PLAIN)
    tape.refusal = "Garment 4 was already under way: Left front."
    tape.open().done(2)
    tape.say("undo", {"event": tape.events[-1].id})
    tape.settle("A1", "apply", **MAREN)
    kept = tape.settle("A1", **MAREN)
    tape.say("done", phase=1)
    tape.settle("A2", **MAREN)
    tape.say("undo", {"event": kept})
    tape.say("undo", {"event": kept}, device=OFFICE)
    tape.settle("A5", why="cut off the roll anew", **MAREN)
    yield "a run that may not exist, kept as one", tape
    tape = Tape(PLAIN)
    early = tape.say("done", device="B", phase=0)
    tape.say("note", {"text": "of nothing"}, device="B")
    tape.settle(early, "apply", **MAREN)
    tape.settle(early, after_s=60, **MAREN)
    tape.open(after_s=0).done(3)
    yield "kept before anything was opened", tape
    tape = Tape(PLAIN).open()
    tape.say("undo", {"event": "A1"})
    late = tape.say("done")
    tape.settle(late, after_s=60, **MAREN)
    yield "an opening that was taken back, and what came after it", tape
