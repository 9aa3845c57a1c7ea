"""The production server, on one folder."""

from __future__ import annotations

import multiprocessing
import os
import signal
import threading
from pathlib import Path
from typing import Any

from flask import Flask
from granian import Granian
from granian.constants import Interfaces, SSLProtocols
from granian.server.common import AbstractServer

THREADS = 4
STOP_WITHIN_S = 10


def serve(folder: Path, host: str, port: int) -> None:
    """Serve the shop in `folder` until the process is told to stop."""
    server_of(folder, host, port).serve()


def server_of(folder: Path, host: str, port: int, certificate: Path | None = None) -> AbstractServer[Any]:
    """The server, not yet serving: by https if a file with certificate and key is given."""
    os.environ["FLOOR_DATA"] = str(folder)
    # A tablet that is some years old may not speak the newest TLS.
    return Granian(
        "floor.serving:worker_app", address=host, port=port, interface=Interfaces.WSGI, factory=True,
        workers=1, blocking_threads=THREADS, log_access=False, workers_kill_timeout=STOP_WITHIN_S,
        ssl_cert=certificate, ssl_key=certificate, ssl_protocol_min=SSLProtocols.tls12,
    )  # fmt: skip


def worker_app() -> Flask:
    """The app in a worker's process.

    A terminal sends Ctrl+C to the server and to its worker, and then the server tells the worker too. A worker
    that is told twice can wait for itself for ever, so it listens to the server alone.
    """
    from floor import create_app

    if hasattr(signal, "pthread_sigmask"):  # Windows has none, and there only the server is told
        signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    threading.Thread(target=_end_with_the_server, daemon=True).start()
    return create_app()


def _end_with_the_server() -> None:
    """A server that is killed cannot tell its worker, which would hold the port against the next server."""
    server = multiprocessing.parent_process()
    if server is not None:
        server.join()
        os.kill(os.getpid(), signal.SIGTERM)
