"""Sets up and passes all tests, from a bare clone with only Python 3.11 or newer: `python3 tests/all.py`.

Makes a virtual environment in .venv, installs Floor and its tools there, sees to a Chromium for the browser
tests, and runs the linters, the type checker and every test. Words after it go to pytest, such as -k ticket.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import venv
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
ENVIRONMENT = ROOT / ".venv"
BIN = ENVIRONMENT / ("Scripts" if os.name == "nt" else "bin")
BROWSERS = ("chromium", "chromium-browser", "google-chrome", "chrome")


def run(*command: str | Path, quiet: bool = False) -> None:
    print("+", *(Path(word).name if isinstance(word, Path) else word for word in command), flush=True)
    done = subprocess.run(
        [str(word) for word in command],
        cwd=ROOT,
        stdout=subprocess.DEVNULL if quiet else None,
        env={**os.environ, "PIP_DISABLE_PIP_VERSION_CHECK": "1", "DEBIAN_FRONTEND": "noninteractive"},
        check=False,
    )
    if done.returncode:
        sys.exit(done.returncode)


def set_up() -> None:
    if sys.version_info < (3, 11):  # noqa: UP036 - whoever starts this may have an older one
        sys.exit(f"Floor needs Python 3.11 or newer; this is {sys.version.split()[0]}.")
    if not (BIN / "python").exists() and not (BIN / "python.exe").exists():
        venv.create(ENVIRONMENT, with_pip=True)
    run(BIN / "python", "-m", "pip", "install", "--quiet", "--editable", ".[dev]")
    if not any(shutil.which(name) for name in BROWSERS):
        _install_browser()


def _install_browser() -> None:
    if shutil.which("apt-get") and hasattr(os, "geteuid") and os.geteuid() == 0:
        run("apt-get", "update", "--quiet=2", quiet=True)
        run("apt-get", "install", "--quiet=2", "--yes", "--no-install-recommends", "chromium", quiet=True)
    else:
        run(BIN / "python", "-m", "playwright", "install", "chromium")


def main() -> None:
    set_up()
    run(BIN / "ruff", "check", ".")
    run(BIN / "ruff", "format", "--check", ".")
    run(BIN / "mypy")
    run(
        BIN / "python",
        "-m",
        "pytest",
        *(sys.argv[1:] or ("-n", "3", "--dist", "loadfile", "--no-loadscope-reorder")),
    )


if __name__ == "__main__":
    main()
