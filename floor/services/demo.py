"""The demo's data folder: a made-up marching band and its neighbours, their jobs and a little history."""

from __future__ import annotations

import random
import secrets
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from floor.domain.checklist import Phase
from floor.domain.events import Kind, read_event
from floor.domain.job import HouseRules
from floor.domain.payloads import Opened, read_payload
from floor.domain.problems import PAUSE_REASONS
from floor.jobfile import JobSource, read_job_folder
from floor.places import page_folder
from floor.queries.hand import hand_numbers, learned_today
from floor.queries.shop_routes import route_needs
from floor.queries.tablet_job import next_load
from floor.queries.views import JobView, find_job, job_view
from floor.services.intake import approve_from_office, take_in
from floor.services.jobs import import_job, remove_job
from floor.services.machines import add_machine
from floor.services.people import add_person
from floor.services.rehearsal import Hands, open_run, walk
from floor.services.rehearsed_cloth import Cloth, follow
from floor.store.database import writing
from floor.store.models import Setting, db

SUPERVISOR = "Maren"
OPERATORS = ("Ines", "Tomas")
MACHINES = ("Machine 1", "Machine 2")
FOLDERS = ("larkspur-jackets", "tinhill-pullovers", "quarry-crest")
HISTORY_OF = "tinhill-pullovers"
HOUR_MS = 3_600_000
HISTORY_AGE_MS = 26 * HOUR_MS
HISTORY_GARMENTS = 2
SEED = 20
DELIVERED = "zephyr-jackets"  # finished, taken off the lists, and still there to learn from
DELIVERED_AGE_MS = 20 * 24 * HOUR_MS
DELIVERED_SEED = 2
SKEWED, CREPT = 4, 6  # garments of it that did not go by themselves
BETWEEN_GARMENTS_MS = 22 * HOUR_MS
SIGNATURE = "signed by the demo's supervisor"
APPROVAL_TOOK_MS = 240_000
BETWEEN_RUNS_MS = 180_000
BREAK_TOOK_MS = 95_000
PAUSE_TOOK_MS = 600_000


@dataclass
class Seat:
    """Rehearsed hands at one of the machines."""

    hands: Hands
    machine: str


@dataclass(frozen=True)
class Demo:
    supervisor: str
    password: str


def demo() -> Demo | None:
    """The demo's supervisor, where this shop's folder is a demo's; None in a real shop."""
    setting = db.session.get(Setting, "demo_password")
    return Demo(SUPERVISOR, setting.value) if setting else None


def seed_demo(now_ms: int, new_id: Callable[[], str]) -> Demo:
    """Fill an empty folder with the demo's people, jobs and history; a folder that was filled stays as it is."""
    found = demo()
    if found is not None:
        return found
    password = "-".join(secrets.choice(("chalk", "felt", "twill", "pin", "hoop", "thread")) for _ in range(2))
    password += f"-{secrets.randbelow(9000) + 1000}"
    add_person(SUPERVISOR, True, password)
    for name in OPERATORS:
        add_person(name, False, None)
    for machine in MACHINES:
        add_machine(machine)
    house = HouseRules(edge_sealing=True)
    _delivered(
        import_job(_source(DELIVERED), SUPERVISOR, now_ms - DELIVERED_AGE_MS, house).code, now_ms, new_id
    )
    rows = {
        folder: import_job(_source(folder), SUPERVISOR, now_ms - HISTORY_AGE_MS, house) for folder in FOLDERS
    }
    _history(rows[HISTORY_OF].code, now_ms - HISTORY_AGE_MS, new_id)
    with writing():
        db.session.add(Setting(name="demo_password", value=password))
    return Demo(SUPERVISOR, password)


def _source(folder: str) -> JobSource:
    return read_job_folder(page_folder("demo_jobs") / folder, route_needs())


def _delivered(code: str, now_ms: int, new_id: Callable[[], str]) -> None:
    """A whole job at two machines, each front set as its readings asked, and then taken off the lists."""
    chance = random.Random(DELIVERED_SEED)  # noqa: S311 - made up, nothing secret
    seats = [
        Seat(Hands(new_id(), operator, now_ms - DELIVERED_AGE_MS, chance), machine)
        for operator, machine in zip(OPERATORS, MACHINES, strict=True)
    ]
    cloths: dict[int, Cloth] = {}
    while (load := next_load(view := _view(code))) is not None:
        number = next(iter(load["garments"]), 0)
        seat = seats[number % len(seats)]
        seat.hands.at = max(seat.hands.at for seat in seats)
        if number not in cloths:
            cloths[number] = Cloth(chance, SIGNATURE, skewed=number == SKEWED, creeps=number == CREPT)
            seat.hands.at += BETWEEN_GARMENTS_MS if cloths.keys() - {0, number} else 0
        _one_run(seat, view, load, new_id, cloths[number])
    remove_job(code, SUPERVISOR, max(seat.hands.at for seat in seats) + HOUR_MS)


def _history(code: str, start_ms: int, new_id: Callable[[], str]) -> None:
    """The first garments of one job, sewn the day before as the tablet proposes them, the first piece approved."""
    hands = Hands(new_id(), OPERATORS[0], start_ms, random.Random(SEED))  # noqa: S311 - made up, nothing secret
    seat = Seat(hands, MACHINES[0])
    while True:
        view = _view(code)
        load = next_load(view)
        done = sum(garment.finished for garment in view.progress.garments.values())
        if load is None or done >= HISTORY_GARMENTS:
            return
        _one_run(seat, view, load, new_id)


def _view(code: str) -> JobView:
    row = find_job(code)
    assert row is not None  # the caller has just imported it
    return job_view(row)


def _one_run(
    seat: Seat, view: JobView, load: dict[str, Any], new_id: Callable[[], str], cloth: Cloth | None = None
) -> None:
    """A load through its section. With `cloth` its fronts are set as their readings ask; without, they lie as they
    should, and after the first piece a thread breaks."""
    hands = seat.hands
    section, garments, first = load["section"], load["garments"], load["first_piece"]
    opening = {
        "job": view.row.code, "revision": view.revision, "section": section, "garments": garments,
        "first_piece": first, "operator": hands.operator, "cause": "", "machine": seat.machine,
        "hand": hand_numbers(learned_today().hand),
    }  # fmt: skip
    run = hands.new_run()
    opened = read_payload(read_event(open_run(hands, run, opening)))
    assert isinstance(opened, Opened)
    checklist = view.plan.checklist(section, tuple(garments), first, opened.hand)
    slip = next((i for i, p in enumerate(checklist.phases) if p.no_return and p.who == "machine"), None)
    if cloth is not None:
        reached = follow(hands, run, checklist, opened, cloth)
    elif garments and not first and slip is not None:
        walk(hands, run, checklist, stop=slip)
        _thread_breaks(hands, run, slip, checklist.phases[slip])
        reached = walk(hands, run, checklist, start=slip)
    else:
        reached = walk(hands, run, checklist)
    _send(hands)
    if reached < len(checklist.phases) and checklist.phases[reached].approval:
        hands.at += APPROVAL_TOOK_MS
        approve_from_office(run, SUPERVISOR, hands.at, new_id())
        walk(hands, run, checklist, start=reached, approved=True)
        _send(hands)
    hands.at += BETWEEN_RUNS_MS


def _thread_breaks(hands: Hands, run: str, index: int, phase: Phase) -> None:
    """Midway in a machine phase the thread breaks; then there is a pause."""
    hands.work(phase, share=0.4)
    problem = hands.tap(run, Kind.PROBLEM, index, {"problem": "thread-break"})
    hands.at += BREAK_TOOK_MS
    hands.tap(
        run, Kind.CLEARED, index, {"problem": problem["id"], "how": "threaded again, backed up ten stitches"}
    )
    hands.tap(run, Kind.PAUSE, index, {"reason": next(iter(PAUSE_REASONS))})
    hands.at += PAUSE_TOOK_MS
    hands.tap(run, Kind.RESUME, index)


def _send(hands: Hands) -> None:
    body = {"device": hands.device, "sent_at": hands.at, "events": hands.events}
    take_in(body, hands.at, {SIGNATURE: SUPERVISOR}.get)
    hands.events = []
