"""The token by which a supervisor stands behind a tap on somebody else's tablet: signed, with when it was given."""

from __future__ import annotations

from flask import current_app
from itsdangerous import BadSignature, URLSafeTimedSerializer

from floor.services.people import is_supervisor
from floor.services.signatures import Signature


def _serializer() -> URLSafeTimedSerializer:
    return URLSafeTimedSerializer(current_app.config["SECRET_KEY"], salt="floor supervisor at the tablet")


def make_token(name: str) -> str:
    return _serializer().dumps(name)


def read_token(token: str) -> Signature | None:
    """Whose token it is and when it was given; None when it is not ours, or its supervisor works here no more. How
    old it may be hangs on the tap that it signs."""
    try:
        name, given_at = _serializer().loads(token, return_timestamp=True)
    except BadSignature:
        return None
    if not isinstance(name, str) or not is_supervisor(name):
        return None
    return Signature(name, round(given_at.timestamp() * 1000))
