"""Makes the vectors that hold the two readings of the rules equal: `python -m tests.vectors.make`.

Each file has one checklist and its cases; what is expected is what floor/domain says of them. Run it again,
and look at what changed, whenever a rule changes on purpose.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from dataclasses import asdict, fields
from pathlib import Path
from random import Random
from typing import Any

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE.parents[1]), str(HERE.parent / "domain"), str(HERE)]

from hand_picked import all_cases  # noqa: E402
from place_vectors import is_steady_throughout, place_file  # noqa: E402
from progress_vectors import progress_file  # noqa: E402
from route_cases import SPLIT_JOB, plan_for, shop_route  # noqa: E402
from tape import COUNTS, EVERYTHING, FIRST_FRONT, PLAIN, SECOND_FRONT, Tape  # noqa: E402
from wander import wandered  # noqa: E402

from floor.domain.checklist import Checklist  # noqa: E402
from floor.domain.events import Event  # noqa: E402
from floor.domain.job import HouseRules  # noqa: E402
from floor.domain.problems import PAUSE_REASONS, PROBLEMS, REDO_CAUSES, SCRAP_CAUSES  # noqa: E402
from floor.domain.route import expand, sections_of  # noqa: E402
from floor.domain.timing import time_log  # noqa: E402

SEED = 20261211
UNTIL_AFTER_MS = 45_500
SECTIONS_OF_THE_SHOP = 4


def catalogue() -> dict[str, Any]:
    """Problems and reasons as the run page has them."""
    return {
        "problems": {id: asdict(kind) for id, kind in PROBLEMS.items()},
        "pause_reasons": dict(PAUSE_REASONS),
        "redo_causes": dict(REDO_CAUSES),
        "scrap_causes": dict(SCRAP_CAUSES),
    }


def case(name: str, tape: Tape, shuffle: Random) -> dict[str, Any]:
    """One case as JSON; the events in any order, for the order of arrival must not matter."""
    replayed = tape.replayed()
    until = tape.now + UNTIL_AFTER_MS
    events = [event_json(event) for event in tape.events]
    shuffle.shuffle(events)
    log = [asdict(time) for time in time_log(tape.checklist, replayed.steps, until)]
    return {
        "name": name,
        "opening": tape.opening,
        "refusal": tape.refusal,
        "too_late": tape.too_late,
        "until": until,
        "events": events,
        "expected": {
            "state": replayed.state.as_json(),
            "in_force": [step.event.id for step in replayed.steps],
            "verdicts": {id: [v.applied, v.reason, v.settled] for id, v in sorted(replayed.verdicts.items())},
            "time_log": {"keys": list(log[0]) if log else [], "rows": [list(row.values()) for row in log]},
        },
    }


def event_json(event: Event) -> dict[str, Any]:
    """Without the run, and without what the server adds where it is at its default: an event that is not sent
    yet lacks these too."""
    added = {f.name: f.default for f in fields(Event) if f.name in ("offset_ms", "authority", "by", "adrift")}
    return {
        key: value
        for key, value in asdict(event).items()
        if key != "run" and (key not in added or value != added[key])
    }


def shop_checklists() -> Iterator[Checklist]:
    """The sections of the split front with the most to ask, for the first piece."""
    route, plan = shop_route("split-front"), plan_for(SPLIT_JOB)
    made = [
        expand(route, plan, HouseRules(), section.key, (1,), first_piece=True)
        for section in sections_of(route, SPLIT_JOB)
    ]
    asked = [sum(len(p.checks) + len(p.readings) + 2 * len(p.counts) for p in one.phases) for one in made]
    most = sorted(range(len(made)), key=lambda at: -asked[at])[:SECTIONS_OF_THE_SHOP]
    return (made[at] for at in sorted(most))


def files() -> dict[str, Any]:
    """File name -> content: one group for each checklist."""
    random = Random(SEED)
    groups: dict[str, tuple[Checklist, list[dict[str, Any]]]] = {}

    def put(group: str, name: str, tape: Tape) -> None:
        groups.setdefault(group, (tape.checklist, []))[1].append(case(name, tape, random))

    def put_wandered(group: str, checklist: Checklist, number: int, careful: float = 0.8) -> None:
        made = 0
        while made < number:
            tape = wandered(checklist, random, careful)
            if is_steady_throughout(tape):
                made += 1
                put(group, f"random {made}", tape)

    for name, tape in all_cases():
        assert is_steady_throughout(tape), name
        put(f"hand-{tape.checklist.phases[0].key if tape.checklist.phases else 'nothing'}", name, tape)
    for name, checklist, number in (
        ("everything", EVERYTHING, 31),
        ("counts", COUNTS, 8),
        ("plain", PLAIN, 8),
    ):
        put_wandered(f"random-{name}", checklist, number)
    put_wandered("random-first-front", FIRST_FRONT, 13, careful=0.95)
    put_wandered("random-second-front", SECOND_FRONT, 13, careful=0.97)
    for checklist in shop_checklists():
        put_wandered(f"shop-{checklist.section}", checklist, 6, careful=0.93)
    made: dict[str, Any] = {
        f"{group}.json": {"checklist": checklist.as_json(), "cases": cases}
        for group, (checklist, cases) in groups.items()
    }
    return {
        "catalogue.json": catalogue(),
        "place.json": place_file(Random(SEED)),
        "progress.json": progress_file(Random(SEED)),
        **made,
    }


def main() -> None:
    for old in HERE.glob("*.json"):
        old.unlink()
    total = 0
    for name, content in files().items():
        text = json.dumps(content, ensure_ascii=True, separators=(",", ":")).replace('{"name":', '\n{"name":')
        (HERE / name).write_text(text + "\n", encoding="ascii")
        total += len(text)
        print(f"{name}: {len(text) // 1024} KiB")
    print(f"{total // 1024} KiB in all")


if __name__ == "__main__":
    main()
