"""Where the certificates lie in the shop's folder, and how they are written: whole or not at all."""

from __future__ import annotations

import os
import shutil
import tempfile
from pathlib import Path

from floor.certificates.authority import Authority

FOLDER = "https"
AUTHORITY_KEY, AUTHORITY_CERTIFICATE = "authority.key", "authority.crt"
SERVER = "server.pem"  # its certificate and its key
OWNER_ALONE, ANYBODY_READS = 0o600, 0o644


def https_folder(shop: Path) -> Path:
    return shop / FOLDER


def write_authority(shop: Path, authority: Authority) -> None:
    """Both files in their place at once, by the folder's renaming; a folder that another has made is left as it is."""
    shop.mkdir(parents=True, exist_ok=True)
    made = Path(tempfile.mkdtemp(prefix=f".{FOLDER}-", dir=shop))
    try:
        _write(made / AUTHORITY_KEY, authority.key_pem, OWNER_ALONE)
        _write(made / AUTHORITY_CERTIFICATE, authority.certificate_pem, ANYBODY_READS)
        _sync_folder(made)
        if not https_folder(shop).exists():
            os.rename(made, https_folder(shop))
            _sync_folder(shop)
    except OSError:
        if not https_folder(shop).exists():  # no other was first: then it is the disk that would not
            raise
    finally:
        shutil.rmtree(made, ignore_errors=True)


def write_server(shop: Path, pem: bytes) -> None:
    """In place of the one before, at once."""
    folder = https_folder(shop)
    made = folder / f".{SERVER}-{os.getpid()}"
    made.unlink(missing_ok=True)
    try:
        _write(made, pem, OWNER_ALONE)
        os.replace(made, folder / SERVER)
        _sync_folder(folder)
    finally:
        made.unlink(missing_ok=True)


def keep_from_others(key: Path) -> bool:
    """See to it that only the owner reads the key; whether somebody else could until now."""
    if os.name != "posix" or not key.stat().st_mode & 0o077:
        return False
    key.chmod(OWNER_ALONE)
    return True


def _write(path: Path, data: bytes, mode: int) -> None:
    with os.fdopen(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, mode), "wb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())


def _sync_folder(folder: Path) -> None:
    """The names of files on the disk too, as far as the system can."""
    if os.name == "posix":
        descriptor = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)
