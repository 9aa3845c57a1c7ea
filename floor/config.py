"""Floor's settings: each is documented here, once, and read from the environment variable it names."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from floor.domain.job import HouseRules


class SettingRefused(ValueError):
    """A setting has a value that Floor cannot use; the message says which and what would do."""


@dataclass(frozen=True)
class Settings:
    """`data`: the shop's folder, with its database (FLOOR_DATA, default `floor-data` in the home folder).

    `address`: what tickets' QR codes begin with, such as http://192.168.1.20:8000 (FLOOR_ADDRESS; default: the
    address that the page was asked at).
    `house.edge_sealing`: offer the phase that seals cut edges with heat (FLOOR_EDGE_SEALING, yes/no, default no).
    `house.first_piece`: hold a batch until its first piece is approved (FLOOR_FIRST_PIECE, yes/no, default yes).
    `demo`: both seats are offered and the supervisor signs in with one tap. No variable sets it: the folder that
    `floor demo` filled says so itself.
    """

    data: Path
    address: str = ""
    house: HouseRules = field(default_factory=HouseRules)
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
    return Settings(
        data=Path(environ.get("FLOOR_DATA") or Path.home() / "floor-data"),
        address=address,
        house=HouseRules(
            edge_sealing=_yes(environ, "FLOOR_EDGE_SEALING", False),
            first_piece=_yes(environ, "FLOOR_FIRST_PIECE", True),
        ),
    )


def _yes(environ: Mapping[str, str], name: str, default: bool) -> bool:
    text = environ.get(name, "").strip().lower()
    if text in ("yes", "no"):
        return text == "yes"
    if text:
        raise SettingRefused(f'{name} is "{text}"; it must be yes or no.')
    return default
