"""What a tablet sends as JSON, read without trusting it."""

from __future__ import annotations

from flask import request


def json_body() -> object | None:
    """The request's JSON; None when it is none, or nests so deep that nobody could have meant it."""
    try:
        body: object | None = request.get_json(silent=True)
    except RecursionError:
        return None
    return body
