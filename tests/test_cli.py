"""The `floor` command as people type it."""

from __future__ import annotations

import csv
import io
import json
import os
import re
import shutil
import subprocess
import sys
import time
import uuid
from pathlib import Path

import pytest

from floor import create_app
from floor.config import Settings
from floor.places import page_folder
from floor.services.demo import seed_demo
from floor.store.models import db
from tests.terminal import floor


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    return tmp_path / "shop"


def demo_toml(folder: str) -> Path:
    return next((page_folder("demo_jobs") / folder).glob("*.toml"))


@pytest.mark.parametrize(
    "command", ["demo", "serve", "user", "import", "ticket", "plan", "place", "export", "rebuild", "check"]
)
def test_every_command_has_help(shop: Path, command: str) -> None:
    shown = floor(shop, command, "--help")
    assert shown.returncode == 0
    assert "Usage:" in shown.stdout
    assert not shop.exists()


def test_a_job_is_imported_and_its_ticket_written(shop: Path, tmp_path: Path) -> None:
    done = floor(shop, "import", demo_toml("larkspur-jackets"), demo_toml("quarry-crest"))
    assert done.returncode == 0, done.stderr
    code = done.stdout.split()[0]
    assert re.fullmatch(r"[0-9A-Z]{3}-[0-9A-Z]{3}", code)
    out = tmp_path / "ticket.html"
    written = floor(shop, "ticket", code, "--out", out, "--address", "http://192.168.1.20:8000")
    assert written.returncode == 0, written.stderr
    html = out.read_text(encoding="utf-8")
    assert code in html
    assert "<link" not in html


def test_a_job_that_cannot_be_sewn_is_not_imported(shop: Path, tmp_path: Path) -> None:
    folder = tmp_path / "thin"
    shutil.copytree(demo_toml("quarry-crest").parent, folder)
    toml = folder / "quarry-crest.toml"
    toml.write_text(toml.read_text().replace('offset = "-2 mm"', 'offset = "-60 mm"'))
    done = floor(shop, "import", toml)
    assert done.returncode == 1
    assert "has no cloth left" in done.stderr
    assert len(done.stderr.splitlines()) == 1


def test_a_refused_file_has_its_line_and_does_not_keep_the_others_out(shop: Path, tmp_path: Path) -> None:
    folder = tmp_path / "bad"
    shutil.copytree(demo_toml("larkspur-jackets").parent, folder)
    bad = next(folder.glob("*.toml"))
    lines = bad.read_text(encoding="utf-8").splitlines()
    at = next(i for i, line in enumerate(lines) if line.startswith("speed"))
    lines[at] = lines[at].replace("speed", "sped")
    bad.write_text("\n".join(lines), encoding="utf-8")
    done = floor(shop, "import", bad, demo_toml("quarry-crest"))
    assert done.returncode == 1
    assert f"line {at + 1}" in done.stderr
    assert "sped" in done.stderr
    assert len(done.stdout.splitlines()) == 1


def test_the_same_job_twice_is_refused_with_its_code(shop: Path) -> None:
    code = floor(shop, "import", demo_toml("quarry-crest")).stdout.split()[0]
    again = floor(shop, "import", demo_toml("quarry-crest"))
    assert again.returncode == 1
    assert code in again.stderr
    assert len(again.stderr.splitlines()) == 1


def test_a_plan_is_shown_without_a_shop_from_its_file_or_its_folder(shop: Path) -> None:
    job = demo_toml("larkspur-jackets")
    shown = floor(shop, "plan", job, "--json")
    assert shown.returncode == 0, shown.stderr
    assert list(json.loads(shown.stdout)["sizes"]) == ["M", "XL"]
    assert floor(shop, "plan", job.parent, "--json").stdout == shown.stdout
    text = floor(shop, "plan", job)
    assert text.returncode == 0
    assert "Left front, sewn first" in text.stdout
    assert not shop.exists()


def test_a_plan_is_refused_with_a_line_for_each_fault(shop: Path, tmp_path: Path) -> None:
    folder = tmp_path / "bad"
    shutil.copytree(demo_toml("larkspur-jackets").parent, folder)
    bad = next(folder.glob("*.toml"))
    good = bad.read_text(encoding="utf-8")
    bad.write_text(good.replace("speed", "sped").replace('height = "120 mm"', "height = 120"), "utf-8")
    refused = floor(shop, "plan", bad, "--json")
    assert refused.returncode == 1
    assert refused.stdout == ""
    lines = refused.stderr.splitlines()
    assert len(lines) > 1
    assert all(line.startswith(f"{bad}: line ") for line in lines)
    bad.write_text(good.replace('centre = ["20 mm"', 'centre = ["400 mm"'), "utf-8")
    empty = floor(shop, "plan", bad)
    assert empty.returncode == 1
    assert empty.stderr.startswith(f"{bad}: Nothing of the design lies on the right front")
    assert len(empty.stderr.splitlines()) == 1


@pytest.mark.skipif(os.name != "posix", reason="a shell's redirections")
@pytest.mark.parametrize(("rest", "code"), [("| head -1", 0), (">&-", 0), ("> /dev/full", 1), ("| cat", 0)])
def test_a_plan_is_written_wherever_its_output_goes(shop: Path, tmp_path: Path, rest: str, code: int) -> None:
    folder = tmp_path / "job"
    shutil.copytree(demo_toml("larkspur-jackets").parent, folder)
    job = next(folder.glob("*.toml"))
    text = job.read_text(encoding="utf-8").replace('"Letters"', '"Bögen"')
    # Longer than a pipe holds, so that its writer sees the reader go.
    sizes = "".join(f'[opening.sizes."{n}"]\noverlap = "{20 + n} mm"\n' for n in range(1, 40))
    worn = "".join(f'\n[[garment]]\nsize = "{n}"\ncount = 1\n' for n in range(1, 40))
    job.write_text(text.replace("[design]", sizes + "[design]") + worn, encoding="utf-8")
    run = "from floor.cli import main; main()"
    done = subprocess.run(
        ["bash", "-o", "pipefail", "-c", f'"$0" -c "{run}" plan "$1" {rest}', sys.executable, str(job)],
        env={**os.environ, "PYTHONPATH": os.getcwd(), "PYTHONIOENCODING": "ascii"},
        capture_output=True, text=True, check=False, timeout=60,
    )  # fmt: skip
    assert done.returncode == code, done.stderr
    assert len(done.stderr.splitlines()) == code
    if rest == "| cat":
        assert "B?gen" in done.stdout


def test_users_are_added_once(shop: Path, tmp_path: Path) -> None:
    secret = tmp_path / "secret"
    secret.write_text("long-enough-7\n")
    added = floor(shop, "user", "add", "Maren", "--supervisor", "--password-file", secret)
    assert added.returncode == 0, added.stderr
    again = floor(shop, "user", "add", "Maren")
    assert again.returncode == 1
    assert "already on the list" in again.stderr


def test_export_check_and_rebuild_work_on_a_demos_log(shop: Path) -> None:
    with create_app(Settings(data=shop)).app_context():
        seed_demo(time.time_ns() // 1_000_000, lambda: str(uuid.uuid4()))
        db.session.remove()
        db.engine.dispose()
    checked = floor(shop, "check")
    assert checked.returncode == 0, checked.stderr
    assert checked.stdout.startswith("The log is whole:")
    before = floor(shop, "export", "phases").stdout
    rebuilt = floor(shop, "rebuild")
    assert rebuilt.returncode == 0, rebuilt.stderr
    assert floor(shop, "export", "phases").stdout == before
    rows = list(csv.DictReader(io.StringIO(before)))
    assert len(rows) > 40
    assert float(rows[0]["work_s"]) > 0
    events = floor(shop, "export", "events", "--format", "jsonl").stdout.splitlines()
    assert f"{len(events)} events" in checked.stdout
    assert json.loads(events[0])["kind"] == "open"
    assert floor(shop, "export", "runs", "--since", "2999-01-01").stdout.count("\n") == 1


@pytest.mark.parametrize(
    ("words", "code", "says"),
    [
        (("ticket", "000000", "--out", "x.html", "--address", "http://a"), 1, "no job with the code"),
        (("ticket", "00000", "--out", "x.html", "--address", "http://a"), 1, ""),
        (("ticket", "000000", "--out", "x.html"), 1, "--address"),
        (("import", "nowhere/job.toml"), 1, "nowhere"),
        (("plan", "nowhere/job.toml"), 1, "nowhere"),
        (("plan",), 2, "JOB.toml"),
        (("plan", "a.toml", "--format", "csv"), 2, "--format"),
        (("export", "prices"), 2, "prices"),
        (("export", "phases", "--since", "yesterday"), 2, "yesterday"),
        (("dance",), 2, "dance"),
        (("serve", "--port", "0"), 2, "port"),
    ],
)
def test_what_cannot_be_done_is_refused_on_stderr(
    shop: Path, words: tuple[str, ...], code: int, says: str
) -> None:
    refused = floor(shop, *words)
    assert refused.returncode == code
    assert says in refused.stderr
    assert refused.stdout == ""
    assert "Traceback" not in refused.stderr


def test_a_folder_that_cannot_be_used_is_refused_in_one_line(tmp_path: Path) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("not a folder")
    refused = floor(blocked, "check")
    assert refused.returncode == 1
    assert len(refused.stderr.splitlines()) == 1
