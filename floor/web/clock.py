"""The one place where the web reads the clock."""

from __future__ import annotations

import time


def now_ms() -> int:
    """Milliseconds since 1970, UTC, by the server's clock."""
    return time.time_ns() // 1_000_000
