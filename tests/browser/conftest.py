from __future__ import annotations

import shutil
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, sync_playwright

BROWSERS = ("chromium", "chromium-browser", "google-chrome", "chrome")
WITHOUT_A_DESKTOP = ["--no-sandbox", "--disable-gpu", "--disable-background-networking"]
BY_NAME = (
    "--host-resolver-rules=MAP tablet.test 127.0.0.1"  # this machine, but no secure context: as in a shop
)


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    """The browser that the pages are tried in: the system's own, else the one that playwright has installed.
    Without either these tests fail, for what the tablet does is at stake."""
    path = next((found for found in map(shutil.which, BROWSERS) if found), None)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=[*WITHOUT_A_DESKTOP, BY_NAME])
        yield browser
        browser.close()
