"""The tablet's page is light and stands still: what its first load weighs, what is fetched beside it, and that nothing
moves while a screen comes up. Measured in the browser, from the server that a shop runs."""

from __future__ import annotations

import json
import re
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

import pytest
from playwright.sync_api import Browser, Page

from tests.browser.server import Demo

MOST_BYTES = 100_000
WAIT_MS = 60_000
SIZES = ((1280, 800), (800, 1280))
LANDSCAPE = SIZES[0]
# What is fetched ahead of need, and nothing else: the jobs held, the first page's data, the parts of other screens, the
# worker. It must come to nobody's mind to call the first screen's own files by these names.
AHEAD = re.compile(
    r"/tablet/(home|held)\.json|/tablet/held/\w+(/pictures)?\.json|/sw\.js"
    r"|/static/pack/[1-9]\d*\.js|/static/js/tablet/(run_page|own_runs|own_pages|start)\.js"
    r"|/static/css/tablet_(run|place|photo)\.css"
)
# Notes when the first screen stands, all that is asked for, and what moves.
WATCH = """
window.light = { stands: null, shifts: [], asked: [] };
const describe = ({ node, previousRect: from, currentRect: to }) =>
  [node && (node.outerHTML || node.textContent).slice(0, 120), from.toJSON(), to.toJSON()];
new PerformanceObserver((list) => {
  for (const { value, hadRecentInput, sources } of list.getEntries()) {
    if (!hadRecentInput) light.shifts.push({ value, sources: sources.map(describe) });
  }
}).observe({ type: "layout-shift", buffered: true });
new PerformanceObserver((list) => {
  for (const { name, startTime } of list.getEntries()) light.asked.push([new URL(name).pathname, startTime]);
}).observe({ type: "resource", buffered: true });
const look = new MutationObserver(() => {
  if (light.stands !== null || !document.querySelector(".view > :not(template)")) return;
  light.stands = performance.now();
  look.disconnect();
});
look.observe(document, { childList: true, subtree: true });
"""
AHEAD_IS_HERE = """(pages) => {
  const asked = new Set(light.asked.map(([path]) => path));
  return pages.every((path) => asked.has(path));
}"""


@dataclass
class Load:
    """A load of the tablet's page. `bytes`: over the wire, head and body, by path."""

    page: Page
    bytes: dict[str, int]

    @property
    def first(self) -> dict[str, int]:
        return {path: size for path, size in self.bytes.items() if not AHEAD.fullmatch(path)}

    def shifts(self) -> list[dict[str, Any]]:
        found: list[dict[str, Any]] = self.page.evaluate("light.shifts")
        return found


@pytest.fixture(scope="module")
def code(demo: Demo) -> str:
    with urllib.request.urlopen(f"{demo.address}/tablet/home.json", timeout=30) as answer:
        code: str = json.load(answer)["tickets"][0]["code"]
    return code


@pytest.fixture(scope="module")
def run(chromium: Browser, demo: Demo, code: str) -> str:
    """A run that was begun at another tablet."""
    with opened(chromium, demo, LANDSCAPE) as load:
        page = load.page
        page.goto(f"/T/{code}")
        page.locator(".who-key").tap()
        page.locator(".tile").first.tap()
        page.locator(".sheet[open]").wait_for(state="detached")
        page.locator(".foot .main").tap()
        page.locator(".words h1").wait_for()
        page.wait_for_function("() => Alpine.$data(document.querySelector('.run')).unsent === 0")
        return page.url.rsplit("/", 1)[1]


@contextmanager
def opened(chromium: Browser, demo: Demo, size: tuple[int, int], slow: bool = False) -> Iterator[Load]:
    """A tablet that has never been here, with nothing loaded yet."""
    context = chromium.new_context(
        base_url=demo.address, viewport={"width": size[0], "height": size[1]}, has_touch=True, locale="en-GB"
    )
    context.set_default_timeout(WAIT_MS)
    page = context.new_page()
    page.add_init_script(WATCH)
    wire = context.new_cdp_session(page)
    wire.send("Network.enable")
    paths: dict[str, str] = {}
    sizes: dict[str, int] = {}

    def asked(event: dict[str, Any]) -> None:
        paths[event["requestId"]] = event["request"]["url"].removeprefix(demo.address).split("?")[0]

    def came(event: dict[str, Any]) -> None:
        path = paths[event["requestId"]]
        sizes[path] = sizes.get(path, 0) + int(event["encodedDataLength"])

    wire.on("Network.requestWillBeSent", asked)
    wire.on("Network.loadingFinished", came)
    if slow:  # so that what comes late comes late enough to be seen moving
        wire.send(
            "Network.emulateNetworkConditions",
            {"offline": False, "latency": 40, "downloadThroughput": 250_000, "uploadThroughput": 250_000},
        )
    yield Load(page, sizes)
    context.close()


def stands(page: Page) -> None:
    page.wait_for_function("() => light.stands !== null")


def all_is_fetched(page: Page, code: str) -> None:
    """What is fetched ahead of need has come too: the job held with its pictures, every part, the worker."""
    pages = [
        f"/tablet/held/{code}/pictures.json",
        "/static/js/tablet/run_page.js",
        "/static/js/tablet/start.js",
    ]
    page.wait_for_function(AHEAD_IS_HERE, arg=[*pages, "/static/js/tablet/own_pages.js"])
    page.evaluate("navigator.serviceWorker.ready.then(() => null)")
    page.wait_for_load_state("networkidle")


@pytest.mark.parametrize("screen", ["home", "job"])
def test_the_first_load_weighs_at_most_100_000_bytes(
    chromium: Browser, demo: Demo, code: str, screen: str
) -> None:
    with opened(chromium, demo, LANDSCAPE) as load:
        page = load.page
        page.goto("/tablet" if screen == "home" else f"/T/{code}")
        stands(page)
        page.locator(".who-key").tap()  # it answers taps
        page.locator(".sheet[open] h2").wait_for()
        all_is_fetched(page, code)
        print(screen, sum(load.first.values()), load.first)
        assert sum(load.first.values()) <= MOST_BYTES, load.first
        fonts = [path for path in load.first if path.endswith(".woff2")]
        assert fonts
        assert all(load.first[path] > 10_000 for path in fonts)  # the measure sees the bytes
        ahead = {path for path, _ in page.evaluate("light.asked") if AHEAD.fullmatch(path)}
        assert any(path.startswith("/static/pack/") for path in ahead)
        assert f"/tablet/held/{code}.json" in ahead


def test_a_second_load_asks_the_network_for_data_alone(
    chromium: Browser, demo: Demo, code: str, run: str
) -> None:
    with opened(chromium, demo, LANDSCAPE) as load:
        page = load.page
        page.goto("/tablet")
        all_is_fetched(page, code)
        for address in ("/tablet", f"/T/{code}", f"/tablet/run/{run}"):
            load.bytes.clear()
            with page.expect_response(re.compile(r"/sync$")):
                page.goto(address)
            stands(page)
            page.wait_for_load_state("networkidle")
            data = re.compile(r"/sync|.*\.json")
            assert {
                path: size for path, size in load.bytes.items() if size and not data.fullmatch(path)
            } == {}
            assert "/sync" in load.bytes


@pytest.mark.parametrize("size", SIZES, ids=["landscape", "portrait"])
@pytest.mark.parametrize("screen", ["home", "job", "run"])
def test_nothing_moves_while_a_screen_comes_up(
    chromium: Browser, demo: Demo, code: str, run: str, screen: str, size: tuple[int, int]
) -> None:
    addresses = {"home": "/tablet", "job": f"/T/{code}", "run": f"/tablet/run/{run}"}
    with opened(chromium, demo, size, slow=True) as load:
        page = load.page
        page.goto(addresses[screen])
        stands(page)
        all_is_fetched(page, code)
        if screen == "home":
            page.locator(".alone", has_text="kept here.").wait_for()  # the count of jobs has come in
        page.evaluate("new Promise((done) => requestAnimationFrame(() => setTimeout(done, 100)))")
        assert load.shifts() == []
