"""Floor as it runs in a shop: served by a process of its own on a folder, with tablets that send to it."""

from __future__ import annotations

import json
import os
import signal
import socket
import subprocess
import sys
import threading
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

READY_S = 20.0
GIVE_UP_S = 15.0


@dataclass
class Server:
    """A served folder. It leads a process group of its own, so that all of it can be stopped at once."""

    process: subprocess.Popen[str]
    address: str

    def kill(self) -> None:
        """As a power cut does: nothing is said, nothing is finished."""
        os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait()

    def workers(self) -> list[int]:
        """The processes that answer requests, which the server has started (as Linux lists them)."""
        found = []
        for stat in Path("/proc").glob("[0-9]*/stat"):
            try:
                parent = stat.read_text().rpartition(")")[2].split()[1]
            except (FileNotFoundError, ProcessLookupError):  # it ended while we looked
                continue
            if int(parent) == self.process.pid:
                found.append(int(stat.parent.name))
        return found

    def stop(self) -> tuple[int, str]:
        """As Ctrl+C does; its exit code and what it wrote."""
        os.killpg(self.process.pid, signal.SIGINT)
        out, _ = self.process.communicate(timeout=READY_S)
        return self.process.returncode, out


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port


def start(folder: Path) -> Server:
    port = free_port()
    process = subprocess.Popen(
        [sys.executable, "-c", "from floor.cli import main; main()",
         "serve", "--host", "127.0.0.1", "--port", str(port)],
        env={**os.environ, "FLOOR_DATA": str(folder), "FLOOR_ADDRESS": "", "PYTHONPATH": os.getcwd()},
        stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, start_new_session=True,
    )  # fmt: skip
    server = Server(process, f"http://127.0.0.1:{port}")
    until = time.monotonic() + READY_S
    while time.monotonic() < until:
        try:
            with urllib.request.urlopen(f"{server.address}/help", timeout=2):
                return server
        except OSError:
            time.sleep(0.05)
    server.kill()
    raise AssertionError("the server did not answer in time")


@contextmanager
def served(folder: Path) -> Iterator[Server]:
    server = start(folder)
    try:
        yield server
    finally:
        if server.process.poll() is None:
            server.kill()
        assert server.process.stdout is not None
        server.process.stdout.close()


def send(address: str, device: str, events: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """A batch to the server; what became of each. Raises OSError when no answer came."""
    now_ms = time.time_ns() // 1_000_000
    body = json.dumps({"device": device, "sent_at": now_ms, "events": events}).encode()
    request = urllib.request.Request(
        f"{address}/sync", data=body, headers={"Content-Type": "application/json"}
    )
    with urllib.request.urlopen(request, timeout=GIVE_UP_S) as answer:
        results: list[dict[str, Any]] = json.load(answer)["results"]
        return results


@dataclass
class Sender(threading.Thread):
    """A tablet that sends its events in order, a batch at a time, repeating a batch now and then, and keeps
    which were acknowledged. It ends when all are, or when the server is gone."""

    device: str
    events: list[dict[str, Any]]
    addresses: list[str]
    batch: int = 4
    acknowledged: dict[str, str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        super().__init__(daemon=True)

    def __hash__(self) -> int:
        return id(self)

    def run(self) -> None:
        for turn, first in enumerate(range(0, len(self.events), self.batch)):
            part = self.events[max(0, first - self.batch * (turn % 3 == 0)) : first + self.batch]
            try:
                results = send(self.addresses[turn % len(self.addresses)], self.device, part)
            except (OSError, urllib.error.HTTPError):
                return
            self.acknowledged |= {result["id"]: result["verdict"] for result in results}
