"""The demo's data folder: a made-up marching band and its neighbours, their jobs and a little history."""

from __future__ import annotations

import random
import secrets
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from floor.domain.checklist import Phase
from floor.domain.events import Kind
from floor.domain.job import HouseRules
from floor.domain.problems import PAUSE_REASONS
from floor.jobfile import JobSource, read_job_folder
from floor.places import page_folder
from floor.queries.shop_routes import route_needs
from floor.queries.tablet_job import next_load
from floor.queries.views import JobView, find_job, job_view
from floor.services.intake import approve_from_office, take_in
from floor.services.jobs import import_job
from floor.services.people import add_person
from floor.services.rehearsal import Hands, open_run, walk
from floor.store.database import writing
from floor.store.models import Setting, db

SUPERVISOR = "Maren"
OPERATORS = ("Ines", "Tomas")
FOLDERS = ("larkspur-jackets", "tinhill-pullovers", "quarry-crest")
HISTORY_OF = "tinhill-pullovers"
HISTORY_AGE_MS = 26 * 3_600_000
HISTORY_GARMENTS = 2
SEED = 20
APPROVAL_TOOK_MS = 240_000
BETWEEN_RUNS_MS = 180_000
BREAK_TOOK_MS = 95_000
PAUSE_TOOK_MS = 600_000


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
    rows = {
        folder: import_job(
            _source(folder), SUPERVISOR, now_ms - HISTORY_AGE_MS, HouseRules(edge_sealing=True)
        )
        for folder in FOLDERS
    }
    _history(rows[HISTORY_OF].code, now_ms - HISTORY_AGE_MS, new_id)
    with writing():
        db.session.add(Setting(name="demo_password", value=password))
    return Demo(SUPERVISOR, password)


def _source(folder: str) -> JobSource:
    return read_job_folder(page_folder("demo_jobs") / folder, route_needs())


def _history(code: str, start_ms: int, new_id: Callable[[], str]) -> None:
    """The first garments of one job, sewn the day before as the tablet proposes them, the first piece approved."""
    hands = Hands(new_id(), OPERATORS[0], start_ms, random.Random(SEED))  # noqa: S311 - made up, nothing secret
    while True:
        view = _view(code)
        load = next_load(view)
        done = sum(garment.finished for garment in view.progress.garments.values())
        if load is None or done >= HISTORY_GARMENTS:
            return
        _one_run(hands, view, load, new_id)


def _view(code: str) -> JobView:
    row = find_job(code)
    assert row is not None  # the caller has just imported it
    return job_view(row)


def _one_run(hands: Hands, view: JobView, load: dict[str, Any], new_id: Callable[[], str]) -> None:
    section, garments, first = load["section"], load["garments"], load["first_piece"]
    opening = {
        "job": view.row.code, "revision": view.revision, "section": section, "garments": garments,
        "first_piece": first, "operator": hands.operator, "cause": "",
    }  # fmt: skip
    run, checklist = hands.new_run(), view.plan.checklist(section, tuple(garments), first)
    open_run(hands, run, opening)
    slip = next((i for i, p in enumerate(checklist.phases) if p.no_return and p.who == "machine"), None)
    if garments and not first and slip is not None:
        walk(hands, run, checklist, stop=slip)
        _thread_breaks(hands, run, slip, checklist.phases[slip])
        reached = walk(hands, run, checklist, start=slip)
    else:
        reached = walk(hands, run, checklist)
    _send(hands)
    if reached < len(checklist.phases):
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
    take_in(
        {"device": hands.device, "sent_at": hands.at, "events": hands.events}, hands.at, lambda token: None
    )
    hands.events = []
