"""The time by which the simulation and its server go: a number in a file that both have in memory."""

from __future__ import annotations

import mmap
import struct
from pathlib import Path

CLOCK_BYTES = 8
START_MS = 1_796_000_000_000


class SharedClock:
    """ms since 1970. One sets it, the other reads it."""

    def __init__(self, path: Path) -> None:
        if not path.exists():
            path.write_bytes(struct.pack("<q", START_MS))
        with path.open("r+b") as file:
            self.shared = mmap.mmap(file.fileno(), CLOCK_BYTES)

    def now(self) -> int:
        return int(struct.unpack("<q", self.shared[:CLOCK_BYTES])[0])

    def set(self, now_ms: int) -> None:
        self.shared[:CLOCK_BYTES] = struct.pack("<q", now_ms)

    def close(self) -> None:
        self.shared.close()
