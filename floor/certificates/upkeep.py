"""The shop's certificates, read or made: the authority once, the server's again whenever it must be."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from cryptography import x509

from floor.certificates.authority import (
    Authority,
    AuthorityRefused,
    make_authority,
    read_authority,
    read_certificate,
)
from floor.certificates.files import (
    AUTHORITY_CERTIFICATE,
    AUTHORITY_KEY,
    SERVER,
    https_folder,
    keep_from_others,
    write_authority,
    write_server,
)
from floor.certificates.leaf import LeafBroken, make_leaf, read_leaf, why_renew
from floor.certificates.names import Names


@dataclass(frozen=True)
class Kept:
    """`said`: what was done that somebody should know, a sentence each. `renewed`: the server must load it again."""

    authority: Authority
    server_file: Path
    now: datetime
    renewed: bool
    said: tuple[str, ...]


def keep_certificates(shop: Path, host: str, names: Names, now: datetime) -> Kept:
    """Authority and server certificate, each good from now on.

    Raises AuthorityRefused: an authority that is broken is never replaced here, for then no tablet would trust
    the shop any more. Raises OSError where the folder cannot be written.
    """
    said = []
    if not https_folder(shop).exists():
        write_authority(shop, make_authority(host, now))
        said.append(f"The shop's own authority was made; it lies in {https_folder(shop)}.")
    authority = _authority(shop, now)
    if keep_from_others(https_folder(shop) / AUTHORITY_KEY):
        said.append(f"Others could read {https_folder(shop) / AUTHORITY_KEY}; now only its owner can.")
    reason = _why_new(shop, authority, names, now)
    if reason is not None:
        write_server(shop, make_leaf(authority, names, now).pem)
        said.append(f"The server's certificate was made: {reason}.")
    return Kept(authority, https_folder(shop) / SERVER, now, reason is not None, tuple(said))


def public_certificate(shop: Path) -> x509.Certificate | None:
    """The authority's certificate for tablets, with its key left unopened; None where there is none to give."""
    try:
        return read_certificate((https_folder(shop) / AUTHORITY_CERTIFICATE).read_bytes())
    except (OSError, AuthorityRefused):
        return None


def _authority(shop: Path, now: datetime) -> Authority:
    folder = https_folder(shop)
    try:
        return read_authority(
            (folder / AUTHORITY_CERTIFICATE).read_bytes(), (folder / AUTHORITY_KEY).read_bytes(), now
        )
    except AuthorityRefused as wrong:
        fault = str(wrong)
    except OSError as wrong:
        fault = f"{Path(wrong.filename).name} cannot be read ({wrong.strerror})"
    raise AuthorityRefused(
        f"The shop's authority in {folder} cannot be used: {fault}; put {AUTHORITY_CERTIFICATE} and {AUTHORITY_KEY} "
        "back from a backup, or move that folder away to begin anew, and then install the new certificate on "
        "every tablet."
    )


def _why_new(shop: Path, authority: Authority, names: Names, now: datetime) -> str | None:
    try:
        leaf = read_leaf((https_folder(shop) / SERVER).read_bytes())
    except FileNotFoundError:
        return "there was none yet"
    except LeafBroken:
        return "the one before could not be read"
    return why_renew(leaf, authority, names, now)
