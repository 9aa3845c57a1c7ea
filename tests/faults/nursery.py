"""Starts real server processes quickly: everything is imported once, and each server is a fork of that.

Run as `python -m tests.faults.nursery TEMPLATE_FOLDER CLOCK_FILE`; it reads an order a
line, as JSON, and answers each with one line.
"""

from __future__ import annotations

import json
import logging
import os
import random
import signal
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import floor.web.clock
from floor import create_app
from floor.config import Settings
from floor.domain.job import HouseRules
from floor.jobfile import read_job_folder
from floor.places import page_folder
from floor.queries.shop_routes import route_needs
from floor.queries.views import find_job, job_view
from floor.services.jobs import import_job
from floor.services.people import add_person
from floor.services.rehearsal import Hands, open_run, walk
from floor.store.models import db
from tests.faults import breakages, findings
from tests.faults.hands import GARMENTS
from tests.faults.shared_clock import START_MS, SharedClock

PEOPLE = ("Ines", "Tomas")


def go_by(clock: SharedClock) -> None:
    """Whoever asks the time on the web's side is told the simulation's."""
    told = floor.web.clock.now_ms
    for module in list(sys.modules.values()):
        if getattr(module, "now_ms", None) is told:
            module.now_ms = clock.now  # type: ignore[attr-defined]


def furnish(folder: Path) -> dict[str, Any]:
    """A shop with two people and one job, which each simulated shop is a copy of; the taps of its clean runs."""
    app = create_app(Settings(data=folder))
    with app.app_context():
        for name in PEOPLE:
            add_person(name, False, None)
        source = read_job_folder(page_folder("demo_jobs") / "larkspur-jackets", route_needs())
        code = import_job(source, PEOPLE[0], START_MS, HouseRules(first_piece=False)).code
        scripts = dict(clean_runs(code))
        db.session.remove()
        db.engine.dispose()
    return scripts


def clean_runs(code: str) -> Iterator[tuple[str, list[Any]]]:
    """By "section garment": kind, phase and data of each tap, the opening first."""
    row = find_job(code)
    assert row is not None  # it was just imported
    view = job_view(row)
    for section in view.plan.sections:
        for number in (0,) if section.scope == "job" else GARMENTS:
            garments = (number,) if number else ()
            hands = Hands("", PEOPLE[0], START_MS, random.Random(number))
            opening = {
                "job": code, "revision": view.revision, "section": section.key, "garments": list(garments),
                "first_piece": False, "operator": PEOPLE[0], "cause": "" if number < 3 else "sewn again",
            }  # fmt: skip
            open_run(hands, "", opening)
            walk(hands, "", view.plan.checklist(section.key, garments, False))
            yield f"{section.key} {number}", [[e["kind"], e["phase"], e["data"]] for e in hands.events]


def serve(order: dict[str, Any], tell: int) -> None:
    """Serve a folder until this process is killed; its port is told first."""
    from werkzeug.serving import make_server

    logging.getLogger("werkzeug").setLevel(logging.ERROR)
    app = create_app(Settings(data=Path(order["folder"])))
    breakages.put_in(order.get("broken", ""))
    server = make_server("127.0.0.1", 0, app, threaded=True)
    os.write(tell, f"{server.port}\n".encode())
    os.close(tell)
    server.serve_forever()


def look(order: dict[str, Any], tell: int) -> None:
    """What the folder holds, and whether `floor check` finds its log whole."""
    app = create_app(Settings(data=Path(order["folder"])))
    with app.app_context():
        os.write(tell, (json.dumps(findings.found()) + "\n").encode())
    os.close(tell)


def forked(work: Callable[[dict[str, Any], int], None], order: dict[str, Any]) -> tuple[int, str]:
    """A child that does the work; its process id and the line that it told."""
    read, write = os.pipe()
    child = os.fork()
    if child == 0:
        code = 1
        try:
            os.close(read)
            signal.signal(signal.SIGINT, signal.SIG_DFL)
            work(order, write)
            code = 0
        finally:
            os._exit(code)
    os.close(write)
    with os.fdopen(read) as told:
        return child, told.readline()


def main() -> None:
    go_by(SharedClock(Path(sys.argv[2])))
    scripts = furnish(Path(sys.argv[1]))
    answers = os.fdopen(os.dup(1), "w", buffering=1)
    os.dup2(2, 1)  # whatever prints shall not be taken for an answer
    print(json.dumps(scripts), file=answers)
    for line in sys.stdin:
        order = json.loads(line)
        if order["do"] == "stop":
            os.kill(order["pid"], signal.SIGKILL)
            os.waitpid(order["pid"], 0)
            print("{}", file=answers)
            continue
        pid, told = forked(serve if order["do"] == "serve" else look, order)
        if order["do"] == "serve":
            print(json.dumps({"pid": pid, "port": int(told or 0)}), file=answers)
        else:
            os.waitpid(pid, 0)
            print(told.strip() or "null", file=answers)


if __name__ == "__main__":
    main()
