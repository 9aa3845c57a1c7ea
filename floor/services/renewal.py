"""Projections that an earlier Floor made say what its formulas said: they are made again when a shop is opened."""

from __future__ import annotations

import logging
import sqlite3
import time

from sqlalchemy import select
from sqlalchemy.exc import DatabaseError

from floor.domain.outline import OutlineError
from floor.domain.route import RouteError
from floor.jobfile import JobFileErrors
from floor.services.projection import PROJECTION_VERSION, make_again
from floor.store.database import DatabaseRefused, writing
from floor.store.models import Setting, db

SETTING = "projection_version"
RENEWED_WITHIN_S = 120.0  # by whichever process was first
PRIMARY_CODE = 0xFF  # the part of SQLite's code that says what is wrong; the rest says how it came about


def renew_projections(anyway: bool = False) -> bool:
    """Make all projections again if another version of Floor made them; whether this process did so.

    All or nothing, in one transaction: of several processes that open a shop at once, one does it and the
    others wait until it has. `anyway`: also where the version is this one's, as after a change of the tables.
    Raises DatabaseRefused. Where a job's frozen texts cannot be read any more the rows stay as they were, the
    shop opens, and the server's log says why.
    """
    until = time.monotonic() + RENEWED_WITHIN_S
    while anyway or not _up_to_date():
        try:
            with writing():
                if not anyway and _up_to_date():
                    return False
                make_again()
                db.session.merge(Setting(name=SETTING, value=str(PROJECTION_VERSION)))
            return True
        except DatabaseError as wrong:
            if not _busy(wrong) or time.monotonic() > until:
                raise DatabaseRefused(
                    f"The shop's log could not be brought up to date ({wrong.orig}); nothing was changed."
                ) from None
        except (JobFileErrors, OutlineError, RouteError) as unreadable:
            logging.getLogger(__name__).error(
                "The log's figures stay as an earlier Floor made them, for a job cannot be read: %s",
                unreadable,
            )
            return False
    return False


def _up_to_date() -> bool:
    return db.session.scalar(select(Setting.value).where(Setting.name == SETTING)) == str(PROJECTION_VERSION)


def _busy(error: DatabaseError) -> bool:
    found = error.orig
    code = found.sqlite_errorcode if isinstance(found, sqlite3.OperationalError) else 0
    return code & PRIMARY_CODE == sqlite3.SQLITE_BUSY
