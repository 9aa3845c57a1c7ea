"""Plays any number of seeds: `python -m tests.faults --seeds 10000 --jobs 2`. Exit 1 where an invariant broke."""

from __future__ import annotations

import argparse
import sys
from collections import Counter
from concurrent.futures import ProcessPoolExecutor

from tests.faults.play import Outcome, play
from tests.faults.shop import Nursery

AT_ONCE = 25


def play_some(seeds: range) -> list[Outcome]:
    with Nursery() as nursery:
        return [play(nursery, seed) for seed in seeds]


def main() -> int:
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("--seeds", type=int, default=200)
    words.add_argument("--first", type=int, default=0)
    words.add_argument("--jobs", type=int, default=1)
    asked = words.parse_args()
    seeds = range(asked.first, asked.first + asked.seeds)
    parts = [seeds[at : at + AT_ONCE] for at in range(0, len(seeds), AT_ONCE)]
    tally: Counter[str] = Counter()
    played = wrong = 0
    with ProcessPoolExecutor(asked.jobs) as jobs:
        for outcomes in jobs.map(play_some, parts):
            for outcome in outcomes:
                played += 1
                tally.update(outcome.tally)
                wrong += bool(outcome.faults)
                for fault in outcome.faults:
                    print(f"seed {outcome.seed}: {fault}", flush=True)
            print(f"{played} of {asked.seeds} seeds played, {wrong} with faults", flush=True)
    print(", ".join(f"{count} x {what}" for what, count in sorted(tally.items())))
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
