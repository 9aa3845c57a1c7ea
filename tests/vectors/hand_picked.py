"""Sequences picked by hand: every kind, every rule broken once, and what two readings could tell apart."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from hand_placed import placed_cases
from hand_settled import settled_cases
from hand_tablets import tablet_cases
from tape import COUNTS, EACH, EVERYTHING, NOTHING, PLAIN, STRANGE, Tape

BY_SUPERVISOR: Any = {"authority": "supervisor"}
Case = tuple[str, Tape]
PICTURE: dict[str, Any] = {
    "photo": "5d0c0f0e-3b57-4c5e-9a53-0f8f6d4b1c21", "of": "phase", "width": 1600, "height": 1200, "bytes": 310_000,
}  # fmt: skip


def all_cases() -> Iterator[Case]:
    yield from _whole_runs()
    yield from _rules_of_the_run()
    yield from _checks_readings_counts()
    yield from _problems()
    yield from _back_and_undo()
    yield from _scrap()
    yield from tablet_cases()
    yield from settled_cases()
    yield from _off_the_grammar()
    yield from _edges()
    yield from placed_cases()


def _at(phases: int, garments: tuple[int, ...] = (4,)) -> Tape:
    return Tape(EVERYTHING, garments).open().through(phases)


def _whole_runs() -> Iterator[Case]:
    yield "a run from end to end", _at(7)
    tape = _at(6)
    tape.say("approve")
    tape.say("done")
    tape.say("approve", authority="self")
    tape.say("approve", authority="self")
    tape.done()
    for kind, data in (
        ("done", {}), ("pause", {"reason": "break"}), ("note", {"text": "well sewn"}),
        ("redo", {"cause": "other", "to": 0}), ("scrap", {"garments": [4], "cause": "other"}),
    ):  # fmt: skip
        tape.say(kind, data)
    yield "approval is owed, and nothing but notes after the end", tape


def _rules_of_the_run() -> Iterator[Case]:
    tape = Tape(EVERYTHING)
    tape.say("check", {"check": "colour", "value": "red"})
    tape.say("note", {"text": "too early"})
    tape.say("undo", {"event": "A1"})
    tape.open().open().open(operator="Bo").open(cause="again")
    tape.say("resume")
    tape.say("done", phase=3)
    tape.say("done", phase=8)
    tape.say("note", {"text": "of the phase after the last"}, phase=7)
    yield "opened late, twice, and otherwise", tape
    tape = Tape(EVERYTHING).open(garments=[5])
    tape.say("done")
    yield "opened for something else only", tape
    tape = _at(1)
    tape.say("pause", {"reason": "end-of-shift"})
    for kind, data in (
        ("done", {}), ("pause", {"reason": "break"}), ("note", {"text": "lights out"}),
        ("hand_over", {"to": "Bo"}), ("problem", {"problem": "broken-needle"}),
        ("cleared", {"problem": "A5", "how": "new needle"}), ("resume", {}), ("done", {}),
        ("pause", {"reason": "question"}), ("done", {}), ("resume", {}),
    ):  # fmt: skip
        tape.say(kind, data)
    yield "paused, with a problem met meanwhile", tape
    tape = _at(2)
    tape.refusal = "Garment 4 was already under way: Left front."
    yield "a run that may not exist", tape
    tape = _at(7)
    last = next(event for event in reversed(tape.events) if event.kind == "done")
    undo = tape.say("undo", {"event": last.id})
    tape.too_late = {undo: "“Right front” had been begun with garment 4 since."}
    tape.say("note", {"text": "it stays finished"})
    yield "an undo that comes too late for another run", tape


def _checks_readings_counts() -> Iterator[Case]:
    tape = Tape(EVERYTHING).open()
    tape.say("done")
    tape.say("check", {"check": "colour", "value": "gold"})
    tape.say("check", {"check": "colour", "value": "blue"})
    tape.say("check", {"check": "shade", "value": "red"})
    tape.say("done")
    tape.say("accept", {"what": "check", "name": "colour", "reason": "the customer wants it"})
    tape.say("accept", {"what": "check", "name": "colour", "reason": "twice"})
    tape.say("accept", {"what": "count", "name": "pins out", "reason": "no pins"})
    tape.say("accept", {"what": "reading", "name": "u", "reason": "not here"})
    tape.say("count", {"count": "pins", "side": "in", "value": 3})
    tape.say("count", {"count": "pins", "side": "out", "value": 0})
    tape.done()
    yield "a check left out with a reason", tape
    tape = Tape(EVERYTHING).open()
    tape.say("accept", {"what": "check", "name": "colour", "reason": "seen already"})
    tape.say("check", {"check": "colour", "value": "gold"})
    tape.say("done")
    yield "an answer takes its acceptance away", tape
    tape = _at(2)
    tape.say("accept", {"what": "check", "name": "half", "reason": "no"}, **BY_SUPERVISOR)
    tape.say("check", {"check": "half", "value": "left"})
    tape.say("accept", {"what": "reading", "name": "u", "reason": "not read yet"}, **BY_SUPERVISOR)
    for value in (8.5, 11.5, 11.500001, 4, 3.999, 16.5, 12.25, -0.0):
        tape.say("reading", {"reading": "u", "value": value})
        tape.say("accept", {"what": "reading", "name": "u", "reason": "it will do"})
    tape.say("reading", {"reading": "a", "value": 2})
    tape.say("reading", {"reading": "b", "value": 2})
    tape.say("accept", {"what": "reading", "name": "a", "reason": "it will do"})
    tape.say("accept", {"what": "reading", "name": "a", "reason": "it will do"}, **BY_SUPERVISOR)
    tape.say("reading", {"reading": "u", "value": 12.25})
    tape.say("done")
    tape.say("accept", {"what": "reading", "name": "u", "reason": "it will do"}, authority="self")
    tape.done()
    tape.say("accept", {"what": "check", "name": "trimmed", "reason": "nobody there"})
    tape.say("accept", {"what": "check", "name": "trimmed", "reason": "seen"}, **BY_SUPERVISOR)
    tape.done()
    tape.say("reading", {"reading": "s", "value": 4.75})
    tape.say("accept", {"what": "reading", "name": "s", "reason": "wide"}, **BY_SUPERVISOR)
    tape.say("done")
    yield "readings at and beyond their limits", tape
    tape = _at(5)
    tape.say("done")
    tape.say("count", {"count": "pins", "side": "in", "value": 11})
    tape.say("done")
    tape.say("accept", {"what": "count", "name": "pins in", "reason": "one lost"})
    tape.say("accept", {"what": "count", "name": "pins in", "reason": "one lost"}, **BY_SUPERVISOR)
    tape.say("count", {"count": "pins", "side": "in", "value": 10})
    tape.say("done")
    tape.say("count", {"count": "pins", "side": "in", "value": 12})
    tape.done()
    yield "pins that do not come back", tape
    tape = Tape(COUNTS).open().through(1)
    for side, value in (("out", 3), ("in", 14), ("in", 15), ("out", 4)):
        tape.say("count", {"count": "pins", "side": side, "value": value})
    tape.say("accept", {"what": "count", "name": "pins in", "reason": "under the table"}, **BY_SUPERVISOR)
    tape.say("count", {"count": "pins", "side": "out", "value": 9})
    tape.say("done")
    tape.say("count", {"count": "pins", "side": "out", "value": 3})
    tape.done()
    tape.say("count", {"count": "pins", "side": "in", "value": 0})
    tape.say("count", {"count": "needles", "side": "in", "value": 1})
    yield "counts over several phases", tape
    yield "counts that come out right", Tape(COUNTS).open().through(4)


def _problems() -> Iterator[Case]:
    tape = _at(1)
    needle = tape.say("problem", {"problem": "broken-needle", "note": "in the seam"})
    tape.say("done")
    tape.say("redo", {"cause": "other", "to": 0})
    tape.say("cleared", {"problem": needle, "how": "new needle"})
    tape.say("cleared", {"problem": "A99", "how": "new needle"})
    said = {"problem": needle, "how": "new needle", "fragments": "missing"}
    tape.say("cleared", said)
    tape.say("cleared", said, **BY_SUPERVISOR)
    tape.say("cleared", {**said, "decision": " \u3000"}, **BY_SUPERVISOR)
    said["decision"] = "set it and its neighbours aside"
    tape.say("cleared", said)
    tape.say("cleared", said, **BY_SUPERVISOR)
    tape.done()
    yield "a broken needle with fragments missing", tape
    tape = _at(1)
    first = tape.say("problem", {"problem": "broken-needle"})
    second = tape.say("problem", {"problem": "missing-material", "note": None})
    tape.say("pause", {"reason": "break"}, after_s=33)
    tape.say("resume", after_s=60)
    tape.say("cleared", {"problem": first, "how": "new needle", "fragments": "all"})
    tape.done()
    tape.say("cleared", {"problem": second, "how": "threaded again", "fragments": None})
    tape.say("cleared", {"problem": second, "how": "threaded again"})
    yield "two problems, one of them blocking", tape
    tape = Tape(PLAIN)
    tape.say("photo", PICTURE)
    tape.open().say("photo", PICTURE, after_s=10)
    tape.say("pause", {"reason": "question"})
    tape.say("photo", PICTURE, after_s=20)
    tape.say("resume")
    needle = tape.say("problem", {"problem": "broken-needle"})
    tape.say("photo", {**PICTURE, "of": "problem", "problem": needle}, phase=0)
    tape.say("undo", {"event": tape.events[-1].id})
    tape.say("photo", {**PICTURE, "of": "meeting", "width": 1600.0}, phase=2)
    tape.say("cleared", {"problem": needle, "how": "new needle", "fragments": "all"})
    tape.done(3)
    tape.say("photo", {**PICTURE, "problem": None}, after_s=30)
    yield "pictures, whatever the run is at", tape
    tape = Tape(PLAIN).open().done(2)
    late = tape.say("problem", {"problem": "cloth-nicked"})
    tape.done()
    tape.say("cleared", {"problem": late, "how": "pressed flat"})
    yield "a problem cleared after the end", tape


def _back_and_undo() -> Iterator[Case]:
    tape = _at(4)
    tape.say("redo", {"cause": "trimmed-badly", "to": 5})
    tape.say("redo", {"cause": "trimmed-badly", "to": 2})
    tape.through(1)
    tape.say("redo", {"cause": "other", "to": 3})
    tape.through(2)
    tape.say("redo", {"cause": "lies-wrong", "to": 0})
    tape.through(6)
    yield "back to earlier phases", tape
    tape = _at(6)
    tape.say("approve", **BY_SUPERVISOR)
    tape.say("redo", {"cause": "halves-do-not-meet", "to": 6})
    tape.say("done")
    tape.say("redo", {"cause": "other", "section": "pack"})
    tape.say("redo", {"cause": "halves-do-not-meet", "section": "hoop"})
    tape.say("done")
    tape.say("note", {"text": "the other front was off"})
    yield "sent back to an earlier section", tape
    tape = Tape(PLAIN).open()
    first = tape.say("done")
    second = tape.say("done")
    tape.say("undo", {"event": first})
    tape.say("undo", {"event": second})
    tape.say("undo", {"event": second})
    tape.say("undo", {"event": first})
    tape.say("undo", {"event": "A1"})
    tape.say("undo", {"event": "A1"})
    tape.say("done")
    tape.open().done(3)
    tape.say("undo", {"event": tape.events[-1].id})
    tape.done()
    yield "taps taken back, down to the opening", tape
    tape = Tape(EVERYTHING).open()
    taken_back = tape.say("check", {"check": "colour", "value": "gold"})
    tape.say("undo", {"event": taken_back}, device="B")
    tape.say("undo", {"event": taken_back}, after_s=77)
    tape.say("take_over", {"operator": "Bo"}, device="B")
    tape.give_all(device="B")
    tape.say("undo", {"event": tape.events[-1].id}, device="A")
    tape.say("undo", {"event": tape.events[-2].id}, device="B")
    yield "a tap of another tablet is not taken back", tape


def _scrap() -> Iterator[Case]:
    tape = _at(2, (3, 1, 2))
    tape.say("scrap", {"garments": [7, 1], "cause": "cloth-cut"})
    tape.say("scrap", {"garments": [3], "cause": "cloth-cut"})
    tape.say("scrap", {"garments": [3, 2], "cause": "cloth-cut"})
    tape.give_all().done()
    tape.say("pause", {"reason": "other-work"})
    tape.say("scrap", {"garments": [2, 1], "cause": "stain-or-glue"})
    tape.say("resume")
    yield "a load lost garment by garment", tape
    tape = _at(1, (10, 9))
    tape.say("problem", {"problem": "broken-needle"})
    tape.say("scrap", {"garments": [9, 10], "cause": "needle-fragments"})
    tape.say("scrap", {"garments": [9], "cause": "other"})
    tape.say("undo", {"event": "A6"})
    yield "scrapped while a needle is broken, and taken back", tape
    tape = Tape(EACH, (1, 2)).open()
    tape.say("scrap", {"garments": [2], "cause": "cloth-cut"})
    tape.say("done")
    tape.say("reading", {"reading": "a", "value": 3.0})
    tape.done(2)
    yield "what is lost is not measured any more", tape


def _off_the_grammar() -> Iterator[Case]:
    tape = Tape(EVERYTHING).open()
    wrong: tuple[Any, ...] = (
        None, "", " \x1f\x85", "x" * 501, True, 0, -1, 1.5, 0.00001, 1e300, 9007199254740993, [], {}, "\ufeff",
        123456789.25, -0.0, ["x"], "𝄞" * 61, "it's", 'a "word"', "constructor", "__proto__",
    )  # fmt: skip
    needs = (
        ("check", "check", {"value": "red"}), ("check", "value", {"check": "colour"}),
        ("reading", "value", {"reading": "u"}), ("count", "side", {"count": "pins", "value": 1}),
        ("count", "value", {"count": "pins", "side": "out"}), ("pause", "reason", {}),
        ("problem", "problem", {}), ("problem", "note", {"problem": "other"}),
        ("cleared", "fragments", {"problem": "A1", "how": "so"}), ("redo", "cause", {"to": 0}),
        ("redo", "to", {"cause": "other"}), ("redo", "section", {"cause": "other"}),
        ("accept", "what", {"name": "colour", "reason": "so"}), ("scrap", "garments", {"cause": "other"}),
        ("hand_over", "to", {}), ("take_over", "operator", {}), ("note", "text", {}),
        ("settle", "how", {"event": "A1", "why": "so"}), ("undo", "event", {}),
        ("photo", "photo", PICTURE),
    )  # fmt: skip
    for at, (kind, field, rest) in enumerate(needs):
        tape = Tape(EVERYTHING).open()
        tape.say(kind, rest)
        for value in wrong:
            tape.say(kind, {**rest, field: value}, after_s=1)
        yield f"off the grammar {at + 1}: {field} of {kind}", tape
    tape = Tape(EVERYTHING).open()
    tape.say("sketch", {"size": 3})
    tape.say("toString")
    tape.say("redo", {"cause": "other", "to": 0, "section": "hoop"})
    tape.say("scrap", {"garments": [1, 1], "cause": "other"})
    tape.say("scrap", {"garments": [4.0], "cause": "rain"})
    tape.say("scrap", {"garments": list(range(1, 66)), "cause": "other"})
    tape.say("scrap", {"garments": [True], "cause": "other"})
    tape.say("scrap", {"garments": [2**53 + 1], "cause": "other"})
    tape.say("note", {"text": "𝄞" * 500})
    tape.say("redo", {"cause": "other", "to": 0.0})
    yield "unknown kinds and broken numbers", tape
    for field, value in (
        ("first_piece", 1),
        ("revision", 0),
        ("operator", " "),
        ("garments", None),
        ("cause", 3),
    ):
        yield f"an opening with a wrong {field}", Tape(PLAIN).open(**{field: value})


def _edges() -> Iterator[Case]:
    yield "a checklist of nothing", Tape(NOTHING).open().done()
    yield "no events at all", Tape(PLAIN)
    tape = Tape(PLAIN, ()).open(cause="").done(3)
    yield "a run without garments", tape
    tape = Tape(STRANGE).open()
    tape.say("done")
    tape.say("accept", {"what": "check", "name": "toString", "reason": "so"})
    tape.say("redo", {"cause": "other", "section": "constructor"})
    tape.give_all()
    tape.say("redo", {"cause": "other", "to": 0})
    tape.give_all()
    tape.done()
    yield "names that mean something else to a browser", tape
    tape = Tape(EVERYTHING).open().through(1)
    tape.say("done", after_s=95.4321)
    yield "a machine that waits for hands", tape
