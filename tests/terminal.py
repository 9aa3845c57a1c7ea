"""The `floor` command typed in this process: a new one takes longer to import Floor than to do what it is told."""

from __future__ import annotations

import io
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager, redirect_stderr, redirect_stdout
from pathlib import Path

import pytest
from flask import Flask

from floor import cli
from floor.config import Settings
from floor.store.models import db


class Kept(io.BytesIO):
    """What was written stays when the command lets go of its output."""

    def close(self) -> None:
        self.flush()


def floor(shop: Path, *words: str | Path) -> subprocess.CompletedProcess[str]:
    """How the command ended and what it wrote, its data in `shop`. What a process alone can show, such as where its
    output goes, is tried with one."""
    out, err = (io.TextIOWrapper(Kept(), "utf-8") for _ in range(2))
    with pytest.MonkeyPatch.context() as patch, _let_go_of(patch), redirect_stdout(out), redirect_stderr(err):
        patch.setenv("FLOOR_DATA", str(shop))
        patch.setenv("FLOOR_ADDRESS", "")
        patch.setattr(sys, "argv", ["floor", *map(str, words)])
        try:
            cli.main()
            code = 0
        except SystemExit as end:
            code = int(end.code or 0)
    return subprocess.CompletedProcess(words, code, *map(_written, (out, err)))


def _written(stream: io.TextIOWrapper) -> str:
    stream.flush()
    kept = stream.buffer
    assert isinstance(kept, Kept)
    return kept.getvalue().decode("utf-8")


@contextmanager
def _let_go_of(patch: pytest.MonkeyPatch) -> Iterator[None]:
    """The shop's file is closed afterwards, as when a process ends."""
    opened: list[Flask] = []

    def open_shop(settings: Settings | None = None) -> Flask:
        opened.append(create_app(settings))
        return opened[-1]

    create_app = cli.create_app
    patch.setattr(cli, "create_app", open_shop)
    try:
        yield
    finally:
        for app in opened:
            with app.app_context():
                db.session.remove()
                db.engine.dispose()
