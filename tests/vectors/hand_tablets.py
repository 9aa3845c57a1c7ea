"""Sequences picked by hand: one run at several tablets, whose clocks differ."""

from __future__ import annotations

from collections.abc import Iterator

from tape import EVERYTHING, PLAIN, Tape

Case = tuple[str, Tape]


def tablet_cases() -> Iterator[Case]:
    yield from _in_whose_hand()
    yield from _clocks()
    yield from _adrift()


def _in_whose_hand() -> Iterator[Case]:
    tape = Tape(PLAIN)
    tape.say("take_over", {"operator": "Bo"}, device="B")
    tape.open().done(device="B")
    tape.say("take_over", {"operator": "Bo"}, device="B")
    tape.done()
    taken = tape.done(device="B").say("take_over", {"operator": "Cem"}, device="C")
    tape.say("undo", {"event": taken}, device="B")
    tape.say("undo", {"event": taken}, device="C")
    tape.done(device="C").done(device="B").done(device="B")
    tape.say("take_over", {"operator": "Ines"})
    yield "taken over, given back, gone on with", tape
    tape = Tape(PLAIN).open()
    tape.say("pause", {"reason": "break"})
    tape.say("take_over", {"operator": "Bo"}, device="B")
    tape.say("resume")
    tape.say("resume", device="B", after_s=300)
    needle = tape.say("problem", {"problem": "broken-needle"}, device="B")
    tape.say("take_over", {"operator": "Ines"})
    said = {"problem": needle, "how": "new needle", "fragments": "all"}
    tape.say("cleared", said, device="B")
    tape.say("cleared", said, after_s=99)
    tape.say("take_over", {"operator": "Ines"})
    tape.say("hand_over", {"to": "Cem"}, device="B")
    tape.say("hand_over", {"to": "Cem"})
    tape.done(device="B").done(3)
    yield "taken over while it rested, and twice at the same tablet", tape
    tape = Tape(EVERYTHING).open().through(2)
    tape.say("note", {"text": "by the other tablet"}, device="B")
    tape.give_all(device="B").done()
    tape.say("take_over", {"operator": "Bo"}, device="B")
    tape.through(4, device="B")
    tape.say("approve", authority="supervisor")
    tape.done().done(device="B")
    tape.say("note", {"text": "at any tablet after the end"})
    yield "notes and the approval from a tablet that does not have the run", tape


def _clocks() -> Iterator[Case]:
    tape = Tape(PLAIN)
    tape.skew_ms = {"B": -3_600_000}
    tape.offset_ms = {"A": 250, "B": 3_600_000}
    tape.open().done()
    tape.say("note", {"text": "by the other tablet"}, device="B")
    tape.say("take_over", {"operator": "Bo"}, device="B")
    tape.done(device="B").done(device="A").done(device="B")
    yield "a tablet whose clock is an hour slow", tape
    tape = Tape(PLAIN).open().done()
    tape.now -= 600_000
    tape.say("note", {"text": "the clock went back"})
    tape.done()
    tape.say("done", device="B", phase=1, after_s=100)
    tape.say("take_over", {"operator": "Bo"}, device="B", after_s=0)
    tape.say("done", device="B", phase=2, after_s=900)
    tape.done()
    yield "a clock that jumps back", tape
    tape = Tape(PLAIN).open()
    tape.say("done", phase=0, device="B")
    tape.say("done", phase=0, after_s=0)
    tape.say("take_over", {"operator": "Cem"}, device="C", phase=1, after_s=0)
    tape.say("take_over", {"operator": "Bo"}, device="B", phase=1, after_s=0)
    tape.say("done", phase=1, device="C", after_s=0)
    tape.say("done", phase=1, device="B", after_s=0)
    yield "three tablets at the same moment", tape


def _adrift() -> Iterator[Case]:
    tape = Tape(PLAIN).open()
    tape.done(adrift=True).say("note", {"text": "a minute on"}, after_s=60)
    tape.done(adrift=True)
    yield "the clock changed by nobody knows how much", tape
    tape = Tape(PLAIN).open()
    tape.say("done", phase=2, after_s=600, adrift=True)
    tape.done(after_s=20).done(after_s=30)
    yield "what was adrift is set aside, and what comes next stands behind the change", tape
    tape = Tape(PLAIN).open()
    note = tape.say("note", {"text": "mistaken"}, after_s=600, adrift=True)
    tape.say("undo", {"event": note}, after_s=5)
    tape.done(after_s=20).done(after_s=30)
    note = tape.say("note", {"text": "mistaken too"}, after_s=40)
    tape.say("undo", {"event": note}, after_s=600, adrift=True)
    tape.done(after_s=5)
    yield "what was adrift is taken back, and so is the taking back of another", tape
    tape = Tape(PLAIN).open()
    tape.say("done", phase=2, device="B", after_s=600, adrift=True)
    tape.done(after_s=20)
    tape.say("note", {"text": "from the other one"}, device="B", after_s=30)
    tape.done(after_s=5)
    yield "another tablet's clock changed, not this one's", tape
