"""A folder or file that cannot be used is refused in one clear line; an older file is brought up to date."""

from __future__ import annotations

import os
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest
from alembic import command
from alembic.config import Config
from sqlalchemy import create_engine, text

from floor import create_app
from floor.config import Settings
from floor.domain.problems import SCRAP_CAUSES
from floor.services.proof import check
from floor.store.database import MIGRATIONS, DatabaseRefused
from floor.store.models import RunRow, db
from tests.conftest import Tablet

STARTERS = 4


@pytest.fixture(scope="module")
def tables() -> None:
    """Here every shop makes its own tables."""


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """Where a shop's database is, in a folder that is empty yet."""
    (tmp_path / "shop").mkdir()
    return tmp_path / "shop" / "floor.sqlite3"


def floor(folder: Path, *words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-c", "from floor.cli import main; main()", *words],
        env={**os.environ, "FLOOR_DATA": str(folder), "PYTHONPATH": os.getcwd()},
        capture_output=True, text=True, check=False, timeout=60,
    )  # fmt: skip


def refused_in_one_line(answer: subprocess.CompletedProcess[str], says: str) -> None:
    assert answer.returncode == 1
    [line] = answer.stderr.splitlines()
    assert says in line
    assert answer.stdout == ""


@pytest.mark.parametrize("words", [("check",), ("serve", "--port", "18431"), ("export", "runs")])
def test_a_file_that_is_no_database_is_refused_and_left_as_it_is(file: Path, words: tuple[str, ...]) -> None:
    file.write_text("a shopping list, and long enough to be read as a header\n" * 40)
    before = file.read_bytes()
    refused_in_one_line(floor(file.parent, *words), "floor.sqlite3 cannot be used: file is not a database")
    assert file.read_bytes() == before


def test_an_empty_file_becomes_a_shop(file: Path) -> None:
    file.touch()
    answer = floor(file.parent, "check")
    assert (answer.returncode, answer.stderr) == (0, "")


def test_a_database_of_a_newer_floor_is_refused_and_left_as_it_is(file: Path) -> None:
    assert floor(file.parent, "check").returncode == 0
    with sqlite3.connect(file) as connection:
        connection.execute("UPDATE alembic_version SET version_num = '9999'")
    connection.close()
    for words in (("check",), ("serve", "--port", "18431"), ("user", "add", "Ines")):
        refused_in_one_line(floor(file.parent, *words), "was written by a newer Floor; use that one.")
    with sqlite3.connect(file) as connection:
        assert connection.execute("SELECT version_num FROM alembic_version").fetchall() == [("9999",)]
        assert connection.execute("SELECT count(*) FROM person").fetchall() == [(0,)]
    connection.close()


def test_a_folder_where_a_file_should_be_is_refused(file: Path) -> None:
    file.mkdir()
    refused_in_one_line(floor(file.parent, "check"), "cannot be used: unable to open database file")


def test_a_folder_that_cannot_be_made_is_refused(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("no folder")
    refused_in_one_line(floor(tmp_path / "file" / "shop", "check"), "cannot be used: Not a directory.")


def test_a_database_that_another_holds_is_refused_in_one_line(file: Path) -> None:
    assert floor(file.parent, "check").returncode == 0
    hog = sqlite3.connect(file, isolation_level=None)
    try:
        hog.execute("BEGIN IMMEDIATE")
        refused_in_one_line(floor(file.parent, "user", "add", "Ines"), "did not answer (database is locked)")
    finally:
        hog.close()
    assert floor(file.parent, "user", "add", "Ines").returncode == 0


def test_several_that_start_at_once_on_an_empty_folder_make_one_shop(tmp_path: Path) -> None:
    starting = [
        subprocess.Popen(
            [sys.executable, "-c", "from floor import create_app; print(create_app().config['SECRET_KEY'])"],
            env={**os.environ, "FLOOR_DATA": str(tmp_path / "shop"), "PYTHONPATH": os.getcwd()},
            stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        )
        for _ in range(STARTERS)
    ]  # fmt: skip
    said = [process.communicate(timeout=60) for process in starting]
    assert [errors for _, errors in said] == [""] * STARTERS
    assert len({key for key, _ in said}) == 1


def test_a_shop_of_the_first_tables_is_brought_up_to_date_with_what_its_events_say(
    tablet: Tablet, larkspur: str, settings: Settings
) -> None:
    tablet.walk(larkspur, "prepare")
    run = tablet.walk(larkspur, "front-left", (1,), stop=3)
    tablet.tap(run, "scrap", 3, garments=[1], cause=next(iter(SCRAP_CAUSES)))
    tablet.send()
    scrapped_at = db.session.get_one(RunRow, run).scrapped_at
    assert scrapped_at == [tablet.hands.at]
    db.session.remove()
    db.engine.dispose()
    _back_to(settings, "0001")
    again = create_app(settings)
    with again.app_context():
        assert db.session.get_one(RunRow, run).scrapped_at == scrapped_at
        proof = check()
        assert proof.whole, proof.faults
        db.session.remove()
        db.engine.dispose()


def _back_to(settings: Settings, revision: str) -> None:
    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS))
    engine = create_engine(f"sqlite:///{settings.database_file}")
    with engine.connect() as connection:
        config.attributes["connection"] = connection
        command.downgrade(config, revision)
        connection.commit()
        columns = {row[1] for row in connection.execute(text("PRAGMA table_info(run)"))}
        assert "scrapped_at" not in columns
    engine.dispose()


def test_a_refusal_is_an_exception_of_its_own(file: Path) -> None:
    file.write_text("no database at all, though long enough for a header" * 20)
    with pytest.raises(DatabaseRefused, match="file is not a database"):
        create_app(Settings(data=file.parent))
