"""The page /secure in a browser: on plain http, by https that it does not trust, and that it does."""

from __future__ import annotations

import base64
import hashlib
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat
from playwright.sync_api import Browser, Error, Page

from floor.certificates import files
from floor.certificates.leaf import read_leaf
from tests.browser.conftest import BROWSERS, WITHOUT_A_DESKTOP
from tests.services.served_secure import PATIENCE_S, Secure, served_secure

PATIENCE_MS = PATIENCE_S * 1000


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Secure]:
    with served_secure(tmp_path_factory.mktemp("https")) as found:
        yield found


def said(page: Page, where: str, begins: str) -> None:
    page.wait_for_function(
        "([where, begins]) => document.getElementById(where).textContent.startsWith(begins)",
        arg=[where, begins], timeout=PATIENCE_MS,
    )  # fmt: skip


def test_plain_http_tells_a_tablet_that_trusts_nothing_yet_what_is_still_to_do(
    chromium: Browser, server: Secure
) -> None:
    page = chromium.new_page()
    page.goto(f"http://localhost:{server.port}/secure")
    said(page, "came-by", "plain http")
    said(page, "trusts", "Not yet")
    assert page.get_attribute("#check", "href") == f"https://localhost:{server.https_port}/secure"
    with pytest.raises(Error, match="ERR_CERT_AUTHORITY_INVALID"):
        page.goto(f"https://localhost:{server.https_port}/secure")
    page.close()


def test_a_tablet_that_trusts_it_is_told_so_and_holds_the_pages_by_https(
    chromium: Browser, server: Secure, tmp_path: Path
) -> None:
    """Trust is given by the key here: a worker is refused behind a warning that was only tapped away."""
    leaf = read_leaf((server.certificates / files.SERVER).read_bytes()).certificate
    key = leaf.public_key().public_bytes(Encoding.DER, PublicFormat.SubjectPublicKeyInfo)
    trusted = base64.b64encode(hashlib.sha256(key).digest()).decode()
    browser = chromium.browser_type.launch_persistent_context(
        tmp_path / "profile",
        executable_path=next((found for found in map(shutil.which, BROWSERS) if found), None),
        args=[*WITHOUT_A_DESKTOP, f"--ignore-certificate-errors-spki-list={trusted}"],
    )
    page = browser.new_page()
    page.goto(f"http://localhost:{server.port}/secure")
    said(page, "trusts", "Yes")
    page.click("#check")
    said(page, "came-by", "https")
    assert page.evaluate("window.isSecureContext && 'serviceWorker' in navigator")
    said(page, "works", "Yes")
    browser.close()
