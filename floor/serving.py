"""The production server, on one folder."""

from __future__ import annotations

import os
import signal
from pathlib import Path

from flask import Flask
from granian import Granian
from granian.constants import Interfaces

THREADS = 4
STOP_WITHIN_S = 10


def serve(folder: Path, host: str, port: int) -> None:
    """Serve the shop in `folder` until the process is told to stop."""
    os.environ["FLOOR_DATA"] = str(folder)
    server = Granian(
        "floor.serving:worker_app", address=host, port=port, interface=Interfaces.WSGI, factory=True,
        workers=1, blocking_threads=THREADS, log_access=False, workers_kill_timeout=STOP_WITHIN_S,
    )  # fmt: skip
    server.serve()


def worker_app() -> Flask:
    """The app in a worker's process.

    A terminal sends Ctrl+C to the server and to its worker, and then the server tells the worker too. A worker
    that is told twice can wait for itself for ever, so it listens to the server alone.
    """
    from floor import create_app

    if hasattr(signal, "pthread_sigmask"):  # Windows has none, and there only the server is told
        signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    return create_app()
