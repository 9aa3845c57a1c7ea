"""What `floor serve --https` says when it starts: the addresses, and the fingerprint that tablets' are held against."""

from __future__ import annotations

from datetime import timedelta

from floor.certificates.authority import fingerprint, name_of
from floor.certificates.leaf import LEAF_LIFE
from floor.certificates.names import Names, in_an_address
from floor.certificates.upkeep import Kept

EVERY_ADDRESS = ("0.0.0.0", "::")  # noqa: S104 - compared with, not listened at


def told_host(names: Names, host: str) -> str:
    """The host to tell people, where the server listens at `host`."""
    return in_an_address(names.first if host in EVERY_ADDRESS else host)


def said_at_start(kept: Kept, names: Names, host: str, port: int, https_port: int) -> list[str]:
    """A line each."""
    authority, at = kept.authority.certificate, told_host(names, host)
    ends = authority.not_valid_after_utc
    said = [
        *kept.said,
        f"By https: https://{at}:{https_port}/. A new tablet opens http://{at}:{port}/secure first, once.",
        f'There it is given the certificate "{name_of(authority)}". Install it only if the tablet shows this '
        "SHA-256 fingerprint:",
        *(f"    {line}" for line in fingerprint(authority)),
    ]
    if ends - kept.now < LEAF_LIFE + timedelta(days=1):
        said.append(
            f"The authority ends on {ends:%Y-%m-%d}. Before then, when no tablet has anything to send, move the folder "
            f"{kept.server_file.parent} away, start again, and install the new certificate on every tablet."
        )
    return said
