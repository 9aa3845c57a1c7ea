"""The same shop by https, beside plain http: a process of its own, which a keeper starts and ends.

It loads a renewed certificate without ceasing to listen. Plain http goes on whatever becomes of https, for taps that
a tablet kept under the old address can be sent from there alone.
"""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import threading
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import click
from granian.server.common import AbstractServer

from floor.certificates.authority import AuthorityRefused
from floor.certificates.names import machine_names
from floor.certificates.upkeep import Kept, keep_certificates
from floor.serving import STOP_WITHIN_S, server_of

CHECK_EVERY_S = 30.0
START_AGAIN_AFTER_S = 5.0
STANDARD_INPUT = 0
PORT_SETTING = "FLOOR_HTTPS_PORT"


def shop_certificates(folder: Path, shop_address: str) -> Kept:
    """The certificates of the shop in `folder`, good for this machine as it is reached now."""
    return keep_certificates(folder, socket.gethostname(), machine_names(shop_address), datetime.now(UTC))


class Keeper:
    """Keeps https served while its `with` lasts: starts its process, and starts it again should it end."""

    def __init__(self, folder: Path, host: str, port: int, shop_address: str) -> None:
        self._command = [
            sys.executable, "-m", "floor.serving_secure",
            str(folder), host, str(port), str(CHECK_EVERY_S), shop_address,
        ]  # fmt: skip
        os.environ[PORT_SETTING] = str(port)  # for the pages that tell tablets of it
        self._ending = threading.Event()
        self._started = threading.Condition()
        self._process: subprocess.Popen[bytes] | None = None
        self._thread = threading.Thread(target=self._keep, daemon=True)

    def __enter__(self) -> None:
        self._thread.start()

    def __exit__(self, *_: object) -> None:
        self._ending.set()
        with self._started:
            process = self._process
        if process is not None:
            _end(process)
        self._thread.join()

    def _keep(self) -> None:
        if hasattr(
            signal, "pthread_sigmask"
        ):  # Ctrl+C reaches the whole group: this part waits until it is told
            signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
        while True:
            with self._started:
                if self._ending.is_set():
                    return
                self._process = subprocess.Popen(self._command, stdin=subprocess.PIPE)  # noqa: S603 - our own
            code = self._process.wait()
            if self._ending.wait(START_AGAIN_AFTER_S):
                return
            click.echo(f"https ended (exit code {code}) and is started again; plain http goes on.", err=True)


def _end(process: subprocess.Popen[bytes]) -> None:
    """The process ends when its standard input does, and so it ends too should this one be killed."""
    assert process.stdin is not None
    process.stdin.close()
    try:
        process.wait(STOP_WITHIN_S * 2)
    except subprocess.TimeoutExpired:
        process.terminate()


def serve_secure(folder: Path, host: str, port: int, check_every_s: float, shop_address: str) -> None:
    """Serve by https until standard input ends."""
    kept = shop_certificates(folder, shop_address)
    server = server_of(folder, host, port, kept.server_file)
    told = threading.Event()
    threading.Thread(target=_until_told, args=(told,), daemon=True).start()
    threading.Thread(
        target=_look_after, args=(server, told, folder, check_every_s, shop_address), daemon=True
    ).start()
    server.serve()


def _until_told(told: threading.Event) -> None:
    # The descriptor, not sys.stdin: a worker that is forked while this thread waits in it could not close its own.
    while os.read(STANDARD_INPUT, 1):
        pass
    told.set()


def _look_after(
    server: AbstractServer[Any], told: threading.Event, folder: Path, check_every_s: float, shop_address: str
) -> None:
    """Renew the certificate when it must be, and have a new worker load it; then end the server when told."""
    last = ""
    while not told.wait(check_every_s):
        try:
            kept = shop_certificates(folder, shop_address)
        except (AuthorityRefused, OSError) as wrong:
            # What is served goes on; it is tried again each time, and said once.
            said = f"The server's certificate could not be looked after: {wrong}"
            if said != last:
                click.echo(said, err=True)
            last = said
            continue
        last = ""
        for sentence in kept.said:
            click.echo(sentence)
        if kept.renewed:
            server.signal_handler_reload()  # type: ignore[no-untyped-call]
    server.signal_handler_interrupt()  # type: ignore[no-untyped-call]


if __name__ == "__main__":
    serve_secure(Path(sys.argv[1]), sys.argv[2], int(sys.argv[3]), float(sys.argv[4]), sys.argv[5])
