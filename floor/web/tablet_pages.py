"""What the tablet's pages are given, whether they are asked for as pages or as JSON."""

from __future__ import annotations

from flask import current_app

from floor.domain.ticket import show_code
from floor.queries import tablet
from floor.queries.views import find_job
from floor.store.models import JobRow
from floor.web import errors
from floor.web.clock import now_ms


def job_or_missing(code: str, removed: bool = False) -> JobRow:
    """The job with this code. Raises Missing, and Gone for one that was removed, unless `removed` ones will do."""
    row = find_job(code)
    if row is None:
        raise errors.Missing(
            f"The code {show_code(code)} is well formed, but there is no job with it in this shop; "
            "the ticket may be another shop's."
        )
    if row.removed_at is not None and not removed:
        raise errors.Gone(
            f'{show_code(code)} "{row.title}" was removed by {row.removed_by}; a supervisor can put it back.'
        )
    return row


def dressed(page: tablet.Page) -> tablet.Page:
    """The page with what holds for all of them: the server's time, and whether this is the demo."""
    return page | {"server_time": now_ms(), "demo": is_demo()}


def is_demo() -> bool:
    demo: bool = current_app.config["FLOOR"].demo
    return demo
