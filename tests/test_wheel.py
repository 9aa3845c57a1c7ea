"""An installed Floor works away from its checkout: pages, pictures' words and demo jobs go into the wheel."""

from __future__ import annotations

import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

from floor.places import PACKAGE

ROOT = PACKAGE.parent

USE_IT = """
import sys, uuid, time
from pathlib import Path
import floor
assert Path(floor.__file__).is_relative_to(sys.argv[1]), floor.__file__
from floor.config import Settings
from floor.services.demo import seed_demo
app = floor.create_app(Settings(data=Path(sys.argv[2])))
with app.app_context():
    seed_demo(time.time_ns() // 1_000_000, lambda: str(uuid.uuid4()))
client = app.test_client()
assert client.get("/tablet").status_code == 200
assert client.get("/static/css/base.css").status_code == 200
print("used")
"""


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel's content, as an installer lays it out."""
    if not (ROOT / "pyproject.toml").exists():
        raise AssertionError("these tests run in a checkout")
    folder = tmp_path_factory.mktemp("wheel")
    built = subprocess.run(
        [sys.executable, "-m", "hatchling", "build", "--target", "wheel", "--directory", folder],
        cwd=ROOT, capture_output=True, text=True, check=False, timeout=120,
    )  # fmt: skip
    assert built.returncode == 0, built.stderr
    with zipfile.ZipFile(next(folder.glob("*.whl"))) as wheel:
        wheel.extractall(folder / "site")
    return folder / "site"


def test_the_wheel_serves_the_demo_by_itself(installed: Path, tmp_path: Path) -> None:
    used = subprocess.run(
        [sys.executable, "-c", USE_IT, str(installed), str(tmp_path / "shop")],
        cwd=tmp_path, env={**os.environ, "PYTHONPATH": str(installed)},
        capture_output=True, text=True, check=False, timeout=60,
    )  # fmt: skip
    assert used.stdout == "used\n", used.stderr


def test_the_wheel_holds_no_tests_and_no_second_copy(installed: Path) -> None:
    top = {path.name for path in installed.iterdir()}
    assert "floor" in top
    assert not top & {"tests", "static", "templates", "demo_jobs"}
