"""HTTP: thin views over services and queries."""

from __future__ import annotations

from flask import Flask, Response, request

from floor.web import (
    errors,
    front,
    held,
    office,
    office_meeting,
    offline,
    photos,
    scan,
    secure,
    sign_in,
    static_files,
    sync,
    tablet,
    tickets,
)
from floor.web.compressing import compress

MAX_REQUEST_BYTES = 6 * 1024 * 1024

CONTENT_POLICY = "; ".join(
    (
        "default-src 'self'",
        "img-src 'self' data:",
        "object-src 'none'",
        "base-uri 'none'",
        "form-action 'self'",
        "frame-ancestors 'none'",
    )
)

# The scan page alone compiles a reader of codes, where the browser has none.
SCAN_POLICY = f"{CONTENT_POLICY}; script-src 'self' 'wasm-unsafe-eval'"


def register(app: Flask) -> None:
    """Hang all pages on the app."""
    app.config["MAX_CONTENT_LENGTH"] = MAX_REQUEST_BYTES
    app.config["SESSION_COOKIE_SAMESITE"] = "Lax"
    app.config["SESSION_COOKIE_HTTPONLY"] = True
    app.json.sort_keys = False  # type: ignore[attr-defined]
    app.jinja_env.policies["json.dumps_kwargs"] = {"sort_keys": False}
    for module in (
        front,
        tablet,
        scan,
        held,
        offline,
        photos,
        secure,
        sync,
        sign_in,
        office,
        office_meeting,
        tickets,
    ):
        app.register_blueprint(module.blueprint)
    static_files.register(app)
    errors.register(app)
    app.after_request(compress)
    app.after_request(_headers)


def _headers(response: Response) -> Response:
    response.headers.setdefault("X-Content-Type-Options", "nosniff")
    if request.endpoint != "static":  # a script or a style is no document, and a first load has many of them
        policy = SCAN_POLICY if request.endpoint == "scan.page" else CONTENT_POLICY
        response.headers.setdefault("Content-Security-Policy", policy)
        response.headers.setdefault("Referrer-Policy", "same-origin")
    return response
