"""A tap is there again whatever ends the page: a tab that crashes, a browser that is killed."""

from __future__ import annotations

import os
import shutil
import signal
import socket
import subprocess
import time
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, BrowserType, Page

from tests.browser.conftest import BROWSERS, WITHOUT_A_DESKTOP
from tests.browser.fake_sync import LOAD, FakeServer, send, tap, until_on_disk
from tests.browser.modules import SECURE, open_page, serve_modules

START_S = 60


@pytest.fixture
def server() -> FakeServer:
    return FakeServer(mischief=lambda events: "drop")


def load(context: BrowserContext, server: FakeServer) -> Page:
    serve_modules(context)
    context.route("**/sync", server.answer)
    page = open_page(context)
    page.evaluate(LOAD)
    return page


def pending(page: Page) -> list[str]:
    texts: list[str] = page.evaluate("() => floor.pending().map((event) => event.data.text)")
    return texts


started: list[Killable] = []


class Killable:
    """A browser of its own, on a folder that outlives it."""

    def __init__(self, kind: BrowserType, folder: Path) -> None:
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            self.port = probe.getsockname()[1]
        path = next((found for found in map(shutil.which, BROWSERS) if found), None)
        self.process = subprocess.Popen(
            [path or kind.executable_path, *WITHOUT_A_DESKTOP, "--headless=new", "--no-first-run",
             f"--user-data-dir={folder}", f"--remote-debugging-port={self.port}", "about:blank"],
            stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, start_new_session=True,
        )  # fmt: skip
        self.kind = kind
        started.append(self)
        self._wait()
        self.browser = kind.connect_over_cdp(f"http://127.0.0.1:{self.port}")
        self.context = self.browser.contexts[0]

    def _wait(self) -> None:
        until = time.monotonic() + START_S
        while True:
            try:
                urllib.request.urlopen(f"http://127.0.0.1:{self.port}/json/version", timeout=2).close()
                return
            except OSError:
                assert self.process.poll() is None, "the browser ended before it was used"
                assert time.monotonic() < until, "the browser does not answer"
                time.sleep(0.2)

    def kill_tabs(self) -> None:
        """The processes that run pages; the browser itself goes on."""
        found = self.browser.new_browser_cdp_session().send("SystemInfo.getProcessInfo")
        for process in found["processInfo"]:
            if process["type"] == "renderer":
                os.kill(process["id"], signal.SIGKILL)

    def page_again(self) -> Page:
        """A page of the same browser; one just begun may not be listed yet."""
        context = self.reconnected()
        return context.pages[0] if context.pages else context.new_page()

    def reconnected(self) -> BrowserContext:
        """The same browser, seen anew: of tabs that died nothing is remembered."""
        self.browser.close()
        urllib.request.urlopen(
            urllib.request.Request(f"http://127.0.0.1:{self.port}/json/new?about:blank", method="PUT"),
            timeout=START_S,
        ).close()
        self.browser = self.kind.connect_over_cdp(f"http://127.0.0.1:{self.port}")
        return self.browser.contexts[0]

    def kill(self) -> None:
        """At once, with all its processes, as when the tablet goes out."""
        if self.process.poll() is not None:
            return
        os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait(timeout=START_S)


@pytest.fixture
def folder(tmp_path: Path) -> Iterator[Path]:
    yield tmp_path / "browser"
    while started:
        started.pop().kill()  # also where the test broke off
    shutil.rmtree(tmp_path / "browser", ignore_errors=True)


def test_a_tap_outlives_a_tab_that_dies_before_the_database_has_it(
    chromium: Browser, folder: Path, server: FakeServer
) -> None:
    browser = Killable(chromium.browser_type, folder)
    page = load(browser.context, server)
    page.evaluate("""() => {
        IDBObjectStore.prototype.put = () => { throw new Error("the tab is dying"); };
        tap("just tapped");
    }""")
    with page.expect_event("crash", timeout=START_S * 1000):
        browser.kill_tabs()
    page.close()
    after = browser.page_again()
    serve_modules(after.context)
    after.context.route("**/sync", server.answer)
    after.goto(f"{SECURE}/")
    after.evaluate(LOAD)
    assert pending(after) == ["just tapped"]
    until_on_disk(after)
    server.mischief = lambda events: ""
    send(after)
    assert (server.texts, server.seqs) == (["just tapped"], [1])
    browser.kill()


def test_a_tap_that_shows_as_kept_outlives_a_browser_that_is_killed(
    chromium: Browser, folder: Path, server: FakeServer
) -> None:
    first = Killable(chromium.browser_type, folder)
    page = load(first.context, server)
    tap(page, "one", "two")
    until_on_disk(page)
    first.kill()
    second = Killable(chromium.browser_type, folder)
    page = load(second.context, server)
    assert pending(page) == ["one", "two"]
    server.mischief = lambda events: ""
    send(page)
    tap(page, "three")
    send(page)
    assert (server.texts, server.seqs) == (["one", "two", "three"], [1, 2, 3])
    second.kill()


def test_what_was_posted_and_not_answered_when_the_browser_died_keeps_its_number(
    chromium: Browser, folder: Path, server: FakeServer
) -> None:
    first = Killable(chromium.browser_type, folder)
    server.mischief = lambda events: "lose the answer" if events else ""
    page = load(first.context, server)
    tap(page, "posted")
    send(page)
    first.kill()
    assert server.texts == ["posted"]
    second = Killable(chromium.browser_type, folder)
    server.mischief = lambda events: ""
    page = load(second.context, server)
    tap(page, "tapped after")
    send(page)
    assert (server.texts, server.seqs) == (["posted", "tapped after"], [1, 2])
    assert page.evaluate("() => floor.refused()") == []
    second.kill()
