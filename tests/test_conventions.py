"""Conventions, held by tests: which way imports run, what is vendored, what a setting must have."""

from __future__ import annotations

import ast
import dataclasses
import hashlib
import re
import tomllib
from pathlib import Path

import pytest

import floor
from floor.config import Settings
from floor.places import page_folder

PACKAGE = Path(floor.__file__).parent
ROOT = PACKAGE.parent

# Imports run one way: a part may import parts of a lower or the same rank only.
RANKS = {
    "domain": 0, "places": 0, "certificates": 0, "config": 1, "jobfile": 1, "store": 2, "queries": 3, "drawing": 1,
    "ticket_page": 4, "services": 4, "web": 5, "cli": 6, "serving": 6, "serving_secure": 6, "__init__": 6,
}  # fmt: skip
NOT_IN_DOMAIN = {
    "flask",
    "sqlalchemy",
    "flask_sqlalchemy",
    "time",
    "os",
    "pathlib",
    "sqlite3",
    "alembic",
    "open",
}


def imports_of(source: str) -> set[str]:
    found = set()
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            found.add(node.module)
            if node.module == "floor":
                found |= {f"floor.{alias.name}" for alias in node.names}
    return found


def part_of(path: Path) -> str:
    first = path.relative_to(PACKAGE).parts[0]
    return first.removesuffix(".py")


def wrong_way(part: str, source: str) -> list[str]:
    """The imports in `source` that climb: sentences, one each."""
    rank = RANKS[part]
    wrong = []
    for name in imports_of(source):
        pieces = name.split(".")
        if pieces[0] == "floor" and len(pieces) > 1 and RANKS.get(pieces[1], 0) > rank:
            wrong.append(f"{part} may not import {name}")
        if part == "domain" and pieces[0] in NOT_IN_DOMAIN:
            wrong.append(f"the domain is pure and may not import {name}")
        if part == "domain" and pieces[0] == "floor" and pieces[1:2] != ["domain"]:
            wrong.append(f"the domain may not import {name}")
    return wrong


def modules() -> list[Path]:
    return [p for p in PACKAGE.rglob("*.py") if "migrations" not in p.parts]


def test_imports_run_one_way() -> None:
    wrong = [
        f"{path.relative_to(ROOT)}: {fault}"
        for path in modules()
        for fault in wrong_way(part_of(path), path.read_text(encoding="utf-8"))
    ]
    assert wrong == []


@pytest.mark.parametrize(
    ("part", "source"),
    [
        ("domain", "from floor.store.models import db"),
        ("domain", "import sqlalchemy"),
        ("domain", "from flask import request"),
        ("domain", "import time"),
        ("queries", "from floor.services.intake import take_in"),
        ("services", "from floor import web"),
        ("store", "import floor.queries.views"),
    ],
)
def test_an_import_against_the_way_is_found(part: str, source: str) -> None:
    assert wrong_way(part, source)


def test_every_part_of_the_package_has_its_rank() -> None:
    assert {part_of(path) for path in modules()} <= set(RANKS)


def test_the_top_level_holds_what_it_should() -> None:
    fixed = {
        "README.md",
        "DEVELOPERS.md",
        "pyproject.toml",
        "floor",
        "static",
        "templates",
        "tests",
        "demo_jobs",
    }
    found = {
        p.name for p in ROOT.iterdir() if not p.name.startswith(".") and not p.name.endswith(".egg-info")
    }
    assert found - {"build", "dist"} == fixed


def test_vendored_files_are_those_whose_sums_are_recorded() -> None:
    static = page_folder("static")
    recorded = {}
    for library in tomllib.loads((static / "vendor" / "VENDORED.toml").read_text())["library"]:
        assert all(library[key] for key in ("name", "version", "licence", "upgrade"))
        recorded |= library["sha256"]
    carried = [p for folder in ("vendor", "fonts") for p in (static / folder).rglob("*") if p.is_file()]
    sums = {
        p.relative_to(static).as_posix(): hashlib.sha256(p.read_bytes()).hexdigest()
        for p in carried
        if p.name != "VENDORED.toml"
    }
    assert sums == recorded


def test_every_setting_is_documented_where_it_is_defined() -> None:
    assert Settings.__doc__ is not None
    for setting in dataclasses.fields(Settings):
        assert f"`{setting.name}" in Settings.__doc__


def test_developers_md_names_every_part_and_nothing_that_is_gone() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    rows = [line.split("|")[1] for line in text.splitlines() if line.startswith(("| `floor/", "| `static/"))]
    named: set[Path] = set()
    for row in rows:
        folder = ROOT
        for word in re.findall(r"`([^`]+)`", row):
            place, _, name = word.rpartition("/")
            folder = ROOT / place if place else folder
            found = set(folder.glob(name)) if name else {path for path in (folder,) if path.is_dir()}
            assert found, f"DEVELOPERS.md names {word}, which is not there"
            named |= found
    unnamed = [
        str(path.relative_to(ROOT))
        for path in modules()
        if path.name != "__init__.py" and not named & {path, *path.parents}
    ]
    assert unnamed == []
