"""Job files with something changed in them, and a shop that has done away with a route."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from floor.domain.job import HouseRules
from floor.jobfile import JobSource, read_job
from floor.jobfile.writing import Data, data_of, write_job_text
from floor.queries import shop_routes as routes
from floor.queries.shop_routes import route_needs, shop_routes
from floor.queries.views import find_job
from floor.services import jobs
from floor.store.database import writing
from floor.store.models import JobRow


def revised(source: JobSource, **changed: Any) -> JobSource:
    """The job with these keys of its file changed; None: left out."""
    data: Data = {
        key: value for key, value in {**data_of(source.toml_text), **changed}.items() if value is not None
    }
    text = write_job_text(data)
    return replace(source, job=read_job(text, source.svg_text, route_needs()), toml_text=text)


def revise_job(code: str, source: JobSource, by: str, now_ms: int, house: HouseRules | None = None) -> JobRow:
    """A new revision of the job, as the office saves one."""
    with writing():
        row = find_job(code)
        assert row is not None
        return jobs.add_revision(row, source, by, now_ms, house)


def without_route(monkeypatch: pytest.MonkeyPatch, route: str) -> None:
    """From now on the shop has no such route."""
    left = {name: shop for name, shop in shop_routes().items() if name != route}
    for module in (jobs, routes):
        monkeypatch.setattr(module, "shop_routes", lambda: left)
