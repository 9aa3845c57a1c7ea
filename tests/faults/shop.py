"""The shop under simulation: a folder, the one real process that serves it, and the time it goes by."""

from __future__ import annotations

import http.client
import json
import os
import shutil
import sqlite3
import subprocess
import sys
import tempfile
import threading
import time
from pathlib import Path
from types import TracebackType
from typing import Any

from tests.faults.shared_clock import START_MS, SharedClock

ROOT = Path(__file__).parents[2]
ANSWERED_WITHIN_S = 60.0
DATABASE = "floor.sqlite3"


class Unreached(Exception):
    """No answer came: the request may have been taken all the same."""


class Nursery:
    """The process that starts servers; one for any number of seeds."""

    def __init__(self) -> None:
        self.folder = Path(tempfile.mkdtemp(prefix="floor-faults-"))
        self.template = self.folder / "template"
        clock = self.folder / "clock"
        self.clock = SharedClock(clock)
        self.process = subprocess.Popen(
            [sys.executable, "-m", "tests.faults.nursery", self.template, clock],
            cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
            env={**os.environ, "FLOOR_ADDRESS": ""},
        )  # fmt: skip
        self.scripts: dict[str, Any] = self._answer()

    def order(self, **order: Any) -> Any:
        assert self.process.stdin is not None
        self.process.stdin.write(json.dumps(order) + "\n")
        self.process.stdin.flush()
        return self._answer()

    def _answer(self) -> Any:
        assert self.process.stdout is not None
        line = self.process.stdout.readline()
        if not line:
            raise RuntimeError("the process that starts servers has died; its words are above")
        return json.loads(line)

    def __enter__(self) -> Nursery:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None
    ) -> None:
        assert self.process.stdin is not None
        assert self.process.stdout is not None
        self.process.stdin.close()
        self.process.wait(timeout=ANSWERED_WITHIN_S)
        self.process.stdout.close()
        self.clock.close()
        shutil.rmtree(self.folder)


class Shop:
    """One seed's shop. `broken`: the name of the flaw that its intake has; none in a sound one."""

    def __init__(self, nursery: Nursery, seed: int, broken: str = "") -> None:
        self.nursery, self.broken = nursery, broken
        self.folder = nursery.folder / f"seed-{seed}-{time.monotonic_ns()}"
        shutil.copytree(nursery.template, self.folder)
        self.now = START_MS + 3_600_000
        self.pid = self.port = 0
        self.starts = self.kills = 0
        self.backup: Path | None = None

    @property
    def serves(self) -> bool:
        return self.pid != 0

    def start(self) -> None:
        self.nursery.clock.set(self.now)
        told = self.nursery.order(do="serve", folder=str(self.folder), broken=self.broken)
        if not told["port"]:
            raise RuntimeError("the server did not start; its words are above")
        self.pid, self.port = told["pid"], told["port"]
        self.starts += 1

    def kill(self) -> None:
        """As a power cut does: nothing is said, nothing is finished."""
        self.nursery.order(do="stop", pid=self.pid)
        self.pid = self.port = 0
        self.kills += 1

    def pass_time(self, ms: int) -> None:
        self.now += ms
        self.nursery.clock.set(self.now)

    def post(self, body: dict[str, Any]) -> tuple[int, Any]:
        """Status and answer; raises Unreached."""
        if not self.serves:
            raise Unreached
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=ANSWERED_WITHIN_S)
        try:
            connection.request("POST", "/sync", json.dumps(body), {"Content-Type": "application/json"})
            answer = connection.getresponse()
            return answer.status, json.loads(answer.read())
        except (OSError, http.client.HTTPException, ValueError):
            raise Unreached from None
        finally:
            connection.close()

    def post_and_kill(self, body: dict[str, Any], after_s: float) -> tuple[int, Any]:
        """The server is killed while it has the request; what came of it, or Unreached."""
        got: list[tuple[int, Any]] = []

        def ask() -> None:
            try:
                got.append(self.post(body))
            except Unreached:
                return

        asker = threading.Thread(target=ask)
        asker.start()
        time.sleep(after_s)
        self.kill()
        asker.join()
        if not got:
            raise Unreached
        return got[0]

    def back_up(self) -> None:
        """A copy by the database's own backup, as a shop's nightly one is."""
        self.backup = self.folder / "backup.sqlite3"
        source, target = sqlite3.connect(self.folder / DATABASE), sqlite3.connect(self.backup)
        source.backup(target)
        source.close()
        target.close()

    def put_backup_back(self) -> None:
        """The shop's machine was lost, and its last backup is what there is; only while nothing serves."""
        assert self.backup is not None
        for name in (DATABASE, f"{DATABASE}-wal", f"{DATABASE}-shm"):
            (self.folder / name).unlink(missing_ok=True)
        shutil.copy(self.backup, self.folder / DATABASE)

    def look(self) -> Any:
        return self.nursery.order(do="look", folder=str(self.folder))

    def close(self) -> None:
        if self.serves:
            self.kill()
        shutil.rmtree(self.folder)
