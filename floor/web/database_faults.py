"""A database that cannot take what was sent: which way it failed, and the sentence for whoever stands before it."""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass

from sqlalchemy.exc import OperationalError

PRIMARY_CODE = 0xFF  # the part of SQLite's code that says what is wrong; the rest says how it came about


@dataclass(frozen=True)
class DatabaseFault:
    """`passing`: it mends itself, and is no alarm for whoever looks after the server."""

    kind: str
    message: str
    passing: bool = False


BUSY = DatabaseFault(
    "DatabaseBusy",
    "The shop's database is busy; nothing was saved by this tap. Try again in a moment.",
    passing=True,
)
KNOWN = {
    sqlite3.SQLITE_BUSY: BUSY,
    sqlite3.SQLITE_LOCKED: BUSY,
    sqlite3.SQLITE_FULL: DatabaseFault(
        "DiskFull",
        "The server's disk is full; nothing was saved by this tap. Tell who looks after Floor, and make room.",
    ),
    sqlite3.SQLITE_READONLY: DatabaseFault(
        "ReadOnly",
        "The shop's folder on the server cannot be written; nothing was saved by this tap. "
        "Tell who looks after Floor.",
    ),
    sqlite3.SQLITE_IOERR: DatabaseFault(
        "DiskFailed",
        "The server's disk failed; nothing was saved by this tap. Tell who looks after Floor, and look at "
        "the disk before anything else is done.",
    ),
}
UNANSWERED = DatabaseFault(
    "DatabaseUnanswered",
    "The shop's database did not answer; nothing was saved by this tap. Tell who looks after Floor.",
)


def fault_of(error: OperationalError) -> DatabaseFault:
    """What is wrong with the database, by the code that its driver gave."""
    return KNOWN.get(getattr(error.orig, "sqlite_errorcode", 0) & PRIMARY_CODE, UNANSWERED)
