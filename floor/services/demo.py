"""The demo's data folder: a made-up marching band and its neighbours, their jobs and a little history."""

from __future__ import annotations

import random
import secrets
from collections.abc import Callable
from dataclasses import dataclass

from floor.domain.job import HouseRules
from floor.jobfile import JobSource, read_job_folder
from floor.places import page_folder
from floor.queries.shop_routes import route_needs
from floor.queries.views import JobView, find_job, job_view
from floor.services.intake import approve_from_office, take_in
from floor.services.jobs import import_job
from floor.services.people import add_person
from floor.services.rehearsal import Hands, open_run, walk
from floor.store.database import writing
from floor.store.models import JobRow, Setting, db

SUPERVISOR = "Maren"
OPERATORS = ("Ines", "Tomas")
FOLDERS = ("larkspur-jackets", "tinhill-pullovers", "quarry-crest")
HISTORY_OF = "tinhill-pullovers"
HISTORY_AGE_MS = 26 * 3_600_000
HISTORY_GARMENTS = 2
SEED = 20
APPROVAL_TOOK_MS = 240_000
BETWEEN_RUNS_MS = 180_000


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
    _history(rows[HISTORY_OF], now_ms - HISTORY_AGE_MS, new_id)
    with writing():
        db.session.add(Setting(name="demo_password", value=password))
    return Demo(SUPERVISOR, password)


def _source(folder: str) -> JobSource:
    return read_job_folder(page_folder("demo_jobs") / folder, route_needs())


def _history(row: JobRow, start_ms: int, new_id: Callable[[], str]) -> None:
    """The first garments of one job, sewn the day before, with the first piece approved on the way."""
    chance = random.Random(SEED)  # noqa: S311 - made-up history, nothing secret
    hands = Hands(str(new_id()), OPERATORS[0], start_ms, chance)
    code = row.code
    for _ in range(2 + HISTORY_GARMENTS * 4):
        found = find_job(code)
        assert found is not None
        view = job_view(found)
        owed = view.progress.open_job_section
        done = sum(g.finished for g in view.progress.garments.values())
        if done >= HISTORY_GARMENTS:
            return
        if owed is not None:
            _one_run(hands, view, owed.key, (), new_id)
            continue
        number = next(g.number for g in view.job.garments if not view.progress.garments[g.number].finished)
        section = view.progress.next_section(number)
        assert section is not None
        _one_run(hands, view, section.key, (number,), new_id)


def _one_run(
    hands: Hands, view: JobView, section: str, garments: tuple[int, ...], new_id: Callable[[], str]
) -> None:
    first = bool(garments) and view.progress.approval_owed
    opening = {
        "job": view.row.code, "revision": view.revision, "section": section, "garments": list(garments),
        "first_piece": first, "operator": hands.operator, "cause": "",
    }  # fmt: skip
    run, checklist = hands.new_run(), view.plan.checklist(section, garments, first)
    open_run(hands, run, opening)
    reached = walk(hands, run, checklist)
    _send(hands)
    if reached < len(checklist.phases):
        hands.at += APPROVAL_TOOK_MS
        approve_from_office(run, SUPERVISOR, hands.at, new_id())
        walk(hands, run, checklist, start=reached)
        _send(hands)
    hands.at += BETWEEN_RUNS_MS


def _send(hands: Hands) -> None:
    take_in(
        {"device": hands.device, "sent_at": hands.at, "events": hands.events}, hands.at, lambda token: None
    )
    hands.events = []
