"""The demo as anybody starts it: a process of its own, on a free port, with a fresh folder."""

from __future__ import annotations

import os
import re
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from dataclasses import dataclass
from pathlib import Path

START_SECONDS = 40


@dataclass
class Demo:
    address: str
    folder: Path
    supervisor: str
    password: str
    process: subprocess.Popen[str]

    def floor(self, *words: str) -> subprocess.CompletedProcess[str]:
        """A `floor` command on the demo's folder."""
        return subprocess.run(
            [sys.executable, "-c", "from floor.cli import main; main()", *words],
            env={**os.environ, "FLOOR_DATA": str(self.folder)},
            capture_output=True, text=True, check=False, timeout=60,
        )  # fmt: skip

    def stop(self) -> None:
        self.process.send_signal(signal.SIGINT)
        try:
            self.process.wait(timeout=15)
        except subprocess.TimeoutExpired:
            self.process.kill()
            self.process.wait(timeout=15)
        if self.process.stdout is not None:
            self.process.stdout.close()


def start_demo(folder: Path) -> Demo:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    process = subprocess.Popen(
        [sys.executable, "-c", "from floor.cli import main; main()", "demo", "--port", str(port), "--data", folder],
        stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True,
    )  # fmt: skip
    assert process.stdout is not None
    said = ""
    while "password" not in said:
        line = process.stdout.readline()
        assert line, f"the demo ended before it served: {said}"
        said += line
    found = re.search(r"supervisor: (\w+), password (\S+)\.", said)
    assert found, said
    demo = Demo(f"http://127.0.0.1:{port}", folder, found.group(1), found.group(2), process)
    _wait_for(demo)
    return demo


def _wait_for(demo: Demo) -> None:
    until = time.monotonic() + START_SECONDS
    while True:
        try:
            urllib.request.urlopen(demo.address + "/tablet", timeout=2).close()
            return
        except OSError:
            assert time.monotonic() < until, "the demo does not answer"
            time.sleep(0.2)
