"""What a service refuses has one status and one shape wherever it comes up."""

from __future__ import annotations

import pytest
from flask import Flask

from floor.queries.planned import NothingToSew
from floor.services.jobs import RevisionRefused


@pytest.mark.parametrize(
    ("error", "status"),
    [
        (RevisionRefused("Nothing is changed against revision 1; leave the job as it is."), 409),
        (NothingToSew("Nothing of the design lies on the right front; move it."), 422),
    ],
)
def test_a_job_that_cannot_be_kept_so_is_refused_in_its_own_sentence(
    app: Flask, error: Exception, status: int
) -> None:
    def refuse() -> str:
        raise error

    app.add_url_rule("/refused", view_func=refuse)
    client = app.test_client()
    page = client.get("/refused")
    assert (page.status_code, str(error) in page.text) == (status, True)
    answer = client.get("/refused", content_type="application/json")
    assert answer.status_code == status
    assert answer.json == {"error": {"kind": type(error).__name__, "message": str(error)}}
