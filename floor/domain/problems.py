"""What can go wrong with a run, and the reasons a person gives: few, of fixed ids, in the trade's words.

The ids are written into events for good: never rename one, never use one again for something else. Whether a
kind is blocking is part of the rules by which old runs are replayed: changing it changes what they say.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType


@dataclass(frozen=True)
class ProblemKind:
    """`blocking`: the run is held until it is cleared. `advice`: how the trade recovers, in order.
    `needs_fragments`: clearing it must say that every fragment was found.
    `places`: pictures of the phases (Phase.picture) at which it is offered first; empty: never first."""

    id: str
    words: str
    blocking: bool
    advice: tuple[str, ...]
    needs_fragments: bool = False
    places: tuple[str, ...] = ()


KINDS = (
    ProblemKind(
        "thread-break",
        "The thread broke or nested",
        blocking=True,
        advice=(
            "Leave it hooped and cut any nest away from the back.",
            "Thread again, back up 5 to 10 stitches and go on over them.",
            "Three breaks in a row on one head: switch that head off and say so.",
        ),
        places=("line", "tack", "border"),
    ),
    ProblemKind(
        "bobbin-out",
        "The bobbin ran out",
        blocking=True,
        advice=(
            "Leave it hooped and put in a full bobbin.",
            "Back up 5 to 10 stitches so that the new thread overlaps the old.",
        ),
        places=("border", "tack", "line"),
    ),
    ProblemKind(
        "broken-needle",
        "A needle broke",
        blocking=True,
        advice=(
            "Stop; keep the garment hooped and apart from the others.",
            "Find every fragment and keep them with the record; check hook, garment and floor.",
            "A new needle only for the old one; guards, covers and power as the maker's manual says.",
            "Fragments missing: set it and its neighbours aside; a named person decides, nothing ships.",
        ),
        needs_fragments=True,
        places=("border", "tack", "line"),
    ),
    ProblemKind(
        "wrong-layer-cut",
        "The wrong layer is cut",
        blocking=True,
        advice=(
            "Leave it hooped.",
            "Replace the layer that was cut.",
            "Go back to that layer's placement line and sew on from there.",
        ),
        places=("trim",),
    ),
    ProblemKind(
        "cloth-nicked",
        "The garment is nicked",
        blocking=False,
        advice=(
            "Leave it hooped and see where the nick lies.",
            "It is saved only if the border will cover it whole.",
            "If it will not, the garment is scrap: say so now, before more work goes into it.",
        ),
        places=("trim", "bench"),
    ),
    ProblemKind(
        "garment-caught",
        "The garment is caught under the hoop",
        blocking=True,
        advice=(
            "Stop the machine before a hand goes in.",
            "Cut the stitches from the back and draw them out.",
            "Look for holes; felt and fleece hide them, satin, nylon, leather and fine twill do not.",
        ),
        places=("garment", "tack", "border"),
    ),
    ProblemKind(
        "lies-wrong",
        "It lies wrong or has crept",
        blocking=True,
        advice=(
            "Before its tack-down: lift it and lay it again.",
            "After it: take the tack out, then lay it again.",
            "Go back to the latest placement line that is still whole.",
        ),
        places=("check", "lay", "tack", "garment"),
    ),
    ProblemKind(
        "hoop-slipped",
        "The hoop slipped or the backing is slack",
        blocking=True,
        advice=(
            "Do not take the hoop off while anything is unfinished.",
            "Nothing tacked yet: hoop again and sew the placement line anew.",
            "Something tacked: trace, read the place again and go on only if it still agrees.",
        ),
        places=("backing", "hoop", "border"),
    ),
    ProblemKind(
        "machine-stopped",
        "The machine stopped or missed a stop",
        blocking=True,
        advice=(
            "Leave it hooped, read what the machine says; only qualified people open covers, power isolated.",
            "A border sewn on untrimmed cloth: unpick it back to the tack-down.",
            "Check every stop that is still to come, then go on.",
        ),
        places=("line", "tack", "border", "hooped"),
    ),
    ProblemKind(
        "missing-material",
        "Something is missing or short",
        blocking=False,
        advice=(
            "Cloth too small: fetch a bigger piece before anything is tacked.",
            "A garment of the wrong lot, colour or size: stop and ask the office.",
        ),
        places=("bench", "lay", "backing"),
    ),
    ProblemKind(
        "halves-do-not-meet",
        "The halves do not meet",
        blocking=True,
        advice=(
            "Close it again, flat and on a form, and measure once more.",
            "Up to 1 mm passes; from 1 to 2 mm a supervisor decides; over 2 mm it fails.",
            "Find out which front is off before a second one is spent.",
        ),
        places=("closed", "check"),
    ),
    ProblemKind(
        "other",
        "Something else",
        blocking=True,
        advice=("Say in a note what you see.", "Leave it hooped until somebody has looked."),
    ),
)

PROBLEMS: Mapping[str, ProblemKind] = MappingProxyType({kind.id: kind for kind in KINDS})

PAUSE_REASONS: Mapping[str, str] = MappingProxyType(
    {
        "break": "a break",
        "waiting-for-cloth": "waiting for cloth",
        "other-work": "other work",
        "end-of-shift": "end of the shift",
        "question": "a question for the office",
    }
)

SCRAP_CAUSES: Mapping[str, str] = MappingProxyType(
    {
        "cloth-cut": "the garment is cut",
        "sewn-in-the-wrong-place": "it was sewn in the wrong place",
        "wrong-half": "the wrong half was sewn, or upside down",
        "caught-and-sewn": "it was caught and sewn through",
        "needle-fragments": "needle fragments are missing",
        "stain-or-glue": "a stain or glue will not come out",
        "faulty-garment": "the garment was faulty when it came",
        "other": "something else",
    }
)

REDO_CAUSES: Mapping[str, str] = MappingProxyType(
    {
        "lies-wrong": "it lay wrong",
        "wrong-layer-cut": "the wrong layer was cut",
        "thread-trouble": "thread or bobbin trouble left a gap",
        "trimmed-badly": "the trim was too close or too wide",
        "hoop-slipped": "the hoop slipped",
        "step-skipped": "a step had been left out",
        "halves-do-not-meet": "the halves do not meet",
        "other": "something else",
    }
)
