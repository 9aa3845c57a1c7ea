"""Where Floor's own files lie: beside the package in a checkout, inside it once installed."""

from __future__ import annotations

from pathlib import Path

PACKAGE = Path(__file__).parent


def page_folder(name: str) -> Path:
    """The folder `static`, `templates` or `demo_jobs`."""
    installed = PACKAGE / "_page" / name
    return installed if installed.is_dir() else PACKAGE.parent / name


def routes_folder() -> Path:
    """The shop's route templates."""
    return PACKAGE / "routes"
