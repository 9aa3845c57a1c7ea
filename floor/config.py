"""Floor's settings: each is documented here, once, and read from the environment variable it names."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from floor.domain.byte_sizes import read_size, size_words
from floor.domain.job import HouseRules
from floor.domain.lengths import LengthError, format_mm, parse_length

MOST_PORT = 65535
LEAST_PHOTO_BYTES, USUAL_PHOTO_BYTES = 10_000_000, 2_000_000_000
LEAST_STEP_MM, MOST_STEP_MM = 0.2, 10.0  # what a shop can sensibly let pass, or fail


class SettingRefused(ValueError):
    """A setting has a value that Floor cannot use; the message says which and what would do."""


@dataclass(frozen=True)
class Settings:
    """`data`: the shop's folder, with its database (FLOOR_DATA, default `floor-data` in the home folder).

    `address`: what tickets' QR codes begin with, such as http://192.168.1.20:8000 (FLOOR_ADDRESS; default: the
    address that the page was asked at).
    `house.edge_sealing`: offer the phase that seals cut edges with heat (FLOOR_EDGE_SEALING, yes/no, default no).
    `house.first_piece`: hold a batch until its first piece is approved (FLOOR_FIRST_PIECE, yes/no, default yes).
    `house.under_first`: which front is sewn first (FLOOR_FIRST_FRONT, top/under, default top).
    `house.step_pass`: a step or gap of the closed garment up to this passes, and a front is set to it at the needle
    (FLOOR_STEP_PASS, a length such as "1 mm" or "1/32 in", default 1 mm).
    `house.step_fail`: one beyond this nobody can accept (FLOOR_STEP_FAIL, default 2 mm, or what passes where
    that is more).
    `https_port`: where the shop is served by https too; `floor serve --https` says it to its own workers
    (FLOOR_HTTPS_PORT, default none).
    `photo_budget`: how much the pictures that operators take may take up, in bytes (FLOOR_PHOTO_BUDGET, a size such as
    "500 MB", default 2 GB); the office warns from 80 % on, and when it is full new pictures stay on their tablets.
    `demo`: both seats are offered and the supervisor signs in with one tap. No variable sets it: the folder that
    `floor demo` filled says so itself.
    """

    data: Path
    address: str = ""
    house: HouseRules = field(default_factory=HouseRules)
    https_port: int | None = None
    photo_budget: int = USUAL_PHOTO_BYTES
    demo: bool = False

    @property
    def database_file(self) -> Path:
        return self.data / "floor.sqlite3"


def settings_from(environ: Mapping[str, str] = os.environ) -> Settings:
    """The settings that the environment holds. Raises SettingRefused."""
    address = environ.get("FLOOR_ADDRESS", "").rstrip("/")
    if address and not address.lower().startswith(("http://", "https://")):
        raise SettingRefused(
            f'FLOOR_ADDRESS is "{address}"; it must begin with http:// or https://, like http://192.168.1.20:8000.'
        )
    step_pass, step_fail = _steps(environ)
    return Settings(
        data=Path(environ.get("FLOOR_DATA") or Path.home() / "floor-data"),
        address=address,
        house=HouseRules(
            edge_sealing=_yes(environ, "FLOOR_EDGE_SEALING", False),
            first_piece=_yes(environ, "FLOOR_FIRST_PIECE", True),
            under_first=_one_of(environ, "FLOOR_FIRST_FRONT", ("top", "under"), "top") == "under",
            step_pass=step_pass,
            step_fail=step_fail,
        ),
        photo_budget=_photo_budget(environ),
        https_port=_port(environ, "FLOOR_HTTPS_PORT"),
    )


def _port(environ: Mapping[str, str], name: str) -> int | None:
    text = environ.get(name, "").strip()
    if not text:
        return None
    if not (text.isascii() and text.isdigit() and 1 <= int(text) <= MOST_PORT):
        raise SettingRefused(f'{name} is "{text}"; it must be a number from 1 to {MOST_PORT}.')
    return int(text)


def _yes(environ: Mapping[str, str], name: str, default: bool) -> bool:
    return _one_of(environ, name, ("yes", "no"), "yes" if default else "no") == "yes"


def _one_of(environ: Mapping[str, str], name: str, words: tuple[str, str], default: str) -> str:
    text = environ.get(name, "").strip().lower() or default
    if text not in words:
        raise SettingRefused(f'{name} is "{text}"; it must be {" or ".join(words)}.')
    return text


def _steps(environ: Mapping[str, str]) -> tuple[float, float]:
    """What passes and what fails, mm."""
    usual = HouseRules()
    passes = _length(environ, "FLOOR_STEP_PASS", usual.step_pass)
    fails = _length(environ, "FLOOR_STEP_FAIL", max(usual.step_fail, passes))
    if fails < passes:
        raise SettingRefused(
            f"FLOOR_STEP_FAIL is {format_mm(fails)} and FLOOR_STEP_PASS {format_mm(passes)}; what fails must not "
            "be less than what passes."
        )
    return passes, fails


def _photo_budget(environ: Mapping[str, str]) -> int:
    text = environ.get("FLOOR_PHOTO_BUDGET", "").strip()
    budget = read_size(text) if text else USUAL_PHOTO_BYTES
    if budget is None or budget < LEAST_PHOTO_BYTES:
        raise SettingRefused(
            f'FLOOR_PHOTO_BUDGET is "{text}"; it must be a size of {size_words(LEAST_PHOTO_BYTES)} or more, '
            "such as 500 MB or 2 GB."
        )
    return budget


def _length(environ: Mapping[str, str], name: str, default: float) -> float:
    text = environ.get(name, "").strip()
    if not text:
        return default
    try:
        length = parse_length(text)
    except LengthError as wrong:
        raise SettingRefused(f"{name} cannot be used: {wrong}.") from None
    if not LEAST_STEP_MM <= length <= MOST_STEP_MM:
        raise SettingRefused(
            f'{name} is "{text}"; it must be from {format_mm(LEAST_STEP_MM)} to {format_mm(MOST_STEP_MM)}.'
        )
    return length
