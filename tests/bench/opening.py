"""How long a shop with many events takes to open, and to take one tap.

`python -m tests.bench.opening --events 1000000`. Each in a process of its own, several times in turn with a shop
that is nearly empty; printed are medians and their ratio. Opening is what `floor serve` does before it answers the
first request, the request itself included.
"""

from __future__ import annotations

import argparse
import json
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path

from tests.bench.large_shop import large_shop

FEW = 1_000
ROUNDS = 5
PROGRAM = """
import json, sys, time
from pathlib import Path
started = time.perf_counter()
from floor import create_app
from floor.config import Settings
loaded = time.perf_counter()
app = create_app(Settings(data=Path(sys.argv[1])))
client = app.test_client()
assert client.get("/tablet").status_code == 200
opened = time.perf_counter()
device = "0badf00d-0000-4000-8000-00000000000d"
def tap(number):
    number += int(sys.argv[2]) * 100
    envelope = {"id": f"0badf00d-0000-4000-8000-{number:012x}", "run": device, "device": device, "seq": number}
    event = {**envelope, "kind": "note", "phase": 0, "at": 1796000000000, "data": {"text": "x"}}
    answer = client.post("/sync", json={"device": device, "sent_at": 1796000000000, "events": [event]})
    assert answer.status_code == 200, answer.text
tap(1)
first = time.perf_counter()
for number in range(2, 22):
    tap(number)
done = time.perf_counter()
print(json.dumps({"import": loaded - started, "open": opened - loaded, "tap": (done - first) / 20}))
"""


def measured(folder: Path, turn: int) -> dict[str, float]:
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM, folder, str(turn + 1)], capture_output=True, text=True, check=True
    )
    found: dict[str, float] = json.loads(done.stdout.splitlines()[-1])
    return found


def main() -> None:
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("--events", type=int, default=1_000_000)
    many = words.parse_args().events
    with tempfile.TemporaryDirectory() as place:
        folders = {count: Path(place) / str(count) for count in (FEW, many)}
        for count, folder in folders.items():
            large_shop(folder, count)
        found = {
            count: [measured(folder, turn) for turn in range(ROUNDS)] for count, folder in folders.items()
        }
    for what in ("import", "open", "tap"):
        few, lot = (statistics.median(one[what] for one in found[count]) for count in (FEW, many))
        print(
            f"{what}: {few * 1000:.1f} ms with {FEW:,} events, {lot * 1000:.1f} ms with {many:,}; ratio {lot / few:.2f}"
        )


if __name__ == "__main__":
    main()
