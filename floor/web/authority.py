"""The token by which a supervisor stands behind a tap on somebody else's tablet: signed, short-lived."""

from __future__ import annotations

from flask import current_app
from itsdangerous import BadSignature, URLSafeTimedSerializer

from floor.services.people import is_supervisor

TOKEN_SECONDS = 3_600


def _serializer() -> URLSafeTimedSerializer:
    return URLSafeTimedSerializer(current_app.config["SECRET_KEY"], salt="floor supervisor at the tablet")


def make_token(name: str) -> str:
    return _serializer().dumps(name)


def read_token(token: str) -> str | None:
    """The supervisor's name; None when the token is not ours or too old, or its supervisor works here no more."""
    try:
        name = _serializer().loads(token, max_age=TOKEN_SECONDS)
    except BadSignature:
        return None
    return name if isinstance(name, str) and is_supervisor(name) else None
