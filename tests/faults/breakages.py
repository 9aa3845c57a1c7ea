"""Flaws put into a server's intake on purpose: the simulation must notice each. A sound server has none."""

from __future__ import annotations

import itertools
import threading
import time
from dataclasses import replace
from typing import Any

NAMES = ("no unique id", "acknowledged before the commit", "some never kept", "numbers made up")
LATE_COMMIT_S = 0.05


def put_in(name: str) -> None:
    """Put the flaw of this name into the running process; "" puts in none."""
    if name:
        {
            "no unique id": _no_unique_id,
            "acknowledged before the commit": _early_answers,
            "some never kept": _dropped,
            "numbers made up": _own_numbers,
        }[name]()


def _no_unique_id() -> None:
    """A repeat is taken for a new event: neither ids nor numbers hold events apart."""
    from floor.services.taking import Taking

    sound = Taking._take
    chance = itertools.count(1)

    def take(self: Any, event: Any, raw: Any) -> Any:
        if event.id in self.by_id:
            unheard_of = f"{next(chance):08x}-{event.id[9:]}"
            event = replace(event, id=unheard_of, seq=10_000 + next(chance))
        return sound(self, event, raw)

    Taking._take = take  # type: ignore[method-assign]


def _early_answers() -> None:
    """The answer goes out at once, and the commit follows behind it: as a cache that writes later would do."""
    from floor.services.answers import Answer
    from floor.services.intake import Taken
    from floor.web import sync

    sound = sync.take_batch

    def take_batch(body: Any, now_ms: int, read_token: Any) -> Taken:
        from flask import current_app

        app = current_app._get_current_object()  # type: ignore[attr-defined]

        def behind() -> None:
            time.sleep(LATE_COMMIT_S)
            with app.app_context():
                sound(body, now_ms, read_token)

        threading.Thread(target=behind, daemon=True).start()
        numbers = [event["seq"] for event in body["events"]]
        return Taken(
            [Answer(event["id"], "applied", "") for event in body["events"]], max(numbers, default=0), []
        )

    sync.take_batch = take_batch


def _dropped() -> None:
    """Some events are answered for and never kept."""
    from floor.services.answers import Answer
    from floor.services.taking import Taking

    sound = Taking._take

    def take(self: Any, event: Any, raw: Any) -> Any:
        # Always the same ones: one that fell once would be missed by its number, and come again.
        falls = int(event.id[:8], 16) % 9 == 0
        return Answer(event.id, "applied", "") if falls else sound(self, event, raw)

    Taking._take = take  # type: ignore[method-assign]


def _own_numbers() -> None:
    """The server numbers a batch's events by itself, in another order: the tablet's own is lost."""
    from floor.web import sync

    sound = sync.take_batch

    def take_batch(body: Any, now_ms: int, read_token: Any) -> Any:
        numbers = [event["seq"] for event in body["events"]]
        turned = zip(body["events"], reversed(numbers), strict=True)
        return sound({**body, "events": [{**one, "seq": seq} for one, seq in turned]}, now_ms, read_token)

    sync.take_batch = take_batch
