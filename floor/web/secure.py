"""The page that makes a tablet trust this shop's https, and the certificate that it installs for it.

It tells nothing about jobs, for nobody has signed in; the authority's key is never opened here.
"""

from __future__ import annotations

from urllib.parse import urlsplit

from cryptography.hazmat.primitives.serialization import Encoding
from flask import Blueprint, Response, current_app, render_template, request
from flask.typing import ResponseReturnValue

from floor.certificates.authority import fingerprint, name_of
from floor.certificates.names import in_an_address, is_loopback, machine_names
from floor.certificates.upkeep import public_certificate
from floor.config import Settings
from floor.ticket_page import qr_of
from floor.web import errors

blueprint = Blueprint("secure", __name__)

FILE = "floor-authority.crt"


@blueprint.get("/secure")
def page() -> ResponseReturnValue:
    base = https_base()
    certificate = public_certificate(_settings().data) if base else None
    response = current_app.make_response(
        render_template(
            "secure.html",
            base=base,
            qr=qr_of(f"{base}/secure") if base else None,
            name=name_of(certificate) if certificate else None,
            ends=certificate.not_valid_after_utc if certificate else None,
            fingerprint=fingerprint(certificate) if certificate else None,
        )
    )
    if base:
        # Plain http asks https whether this tablet trusts it already: another origin, which the rule must name.
        from floor.web import CONTENT_POLICY

        response.headers["Content-Security-Policy"] = f"{CONTENT_POLICY}; connect-src 'self' {base}"
    return response


@blueprint.get("/secure/authority.crt")
def authority() -> ResponseReturnValue:
    certificate = public_certificate(_settings().data)
    if certificate is None:
        raise errors.Missing("This shop has no certificate to install; start it with floor serve --https.")
    # Not as an attachment: an iPad then files it away in place of offering to install it.
    return Response(
        certificate.public_bytes(Encoding.DER),
        mimetype="application/x-x509-ca-cert",
        headers={"Content-Disposition": f'inline; filename="{FILE}"', "Cache-Control": "no-store"},
    )


def https_base() -> str | None:
    """The shop's https address, by the name that this page was asked at where that would do for a tablet: the
    certificate has it, and it does not mean whoever says it."""
    settings = _settings()
    if settings.https_port is None:
        return None
    names, asked = machine_names(settings.address), urlsplit(f"//{request.host}").hostname or ""
    host = asked if names.covers(asked) and not is_loopback(asked) else names.first
    return f"https://{in_an_address(host)}:{settings.https_port}"


def _settings() -> Settings:
    settings: Settings = current_app.config["FLOOR"]
    return settings
