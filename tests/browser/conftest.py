from __future__ import annotations

import shutil
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

from tests.browser.fake_sync import FakeServer
from tests.browser.modules import open_page, serve_modules
from tests.browser.server import Demo, start_demo

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


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Demo]:
    """The demo, served by a process of its own, for the tests of one file."""
    demo = start_demo(tmp_path_factory.mktemp("demo") / "shop")
    yield demo
    demo.stop()


@pytest.fixture(scope="module")
def page(chromium: Browser) -> Iterator[Page]:
    """A bare page that has the tablet's modules, and no server."""
    context = chromium.new_context()
    serve_modules(context)
    yield open_page(context)
    context.close()


@pytest.fixture
def server() -> FakeServer:
    return FakeServer()


@pytest.fixture
def tablet(chromium: Browser, server: FakeServer) -> Iterator[BrowserContext]:
    """A browser that has the tablet's modules, and sends to `server`."""
    context = chromium.new_context()
    serve_modules(context)
    context.route("**/sync", server.answer)
    yield context
    context.close()
