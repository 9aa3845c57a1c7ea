"""What a tablet holds opens without a server, comes all from one version, and makes way for a newer one as a whole."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pytest
from flask import Response
from playwright.sync_api import Browser, BrowserContext, Page

from tests.browser.modules import PLAIN_HTTP, open_page, serve_modules
from tests.browser.small_shop import SmallShop, small_shop

WAIT_MS = 60_000
RUN = "/tablet/run/6f1c2f62-0f0e-4d4c-9d0a-1d5d5f2a9b11"
STATE = """async () => {
  const worker = await import("/static/js/tablet/worker.js");
  worker.register();
  return worker.state();
}"""
UNTIL_KNOWN = """async () => {
  const worker = await import("/static/js/tablet/worker.js");
  worker.register();
  await new Promise((done) => worker.onChange((state) => state !== "getting ready" && done()));
  return worker.state();
}"""
UNTIL = """async (wanted) => {
  const worker = await import("/static/js/tablet/worker.js");
  await new Promise((done) => worker.onChange((state) => state === wanted && done()));
}"""
# Looks for a new version, and waits until what came of it is known.
LOOK_AGAIN = """async () => {
  const registration = await navigator.serviceWorker.getRegistration();
  const before = registration.active.scriptURL + registration.active.state;
  await registration.update();
  const coming = registration.installing || registration.waiting;
  if (!coming) return "nothing new";
  const known = () => ["activated", "redundant"].includes(coming.state);
  await new Promise((done) => {
    coming.addEventListener("statechange", () => known() && done());
    if (known()) done();
  });
  return coming.state;
}"""
WATCH_FOR_NEWER = """async () => {
  const worker = await import("/static/js/tablet/worker.js");
  worker.onChange(() => (window.isNewerKnown = worker.newer()));
}"""
HELD = """async () => {
  const names = (await caches.keys()).filter((name) => name !== "floor clients");
  const counted = names.map(async (name) => [name, (await (await caches.open(name)).keys()).length]);
  return Object.fromEntries(await Promise.all(counted));
}"""


@pytest.fixture(scope="module")
def standing_shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[SmallShop]:
    with small_shop(tmp_path_factory.mktemp("worker")) as shop:
        yield shop


@pytest.fixture
def shop(standing_shop: SmallShop) -> Iterator[SmallShop]:
    yield standing_shop
    standing_shop.as_it_was()


@pytest.fixture
def tablet(chromium: Browser, shop: SmallShop) -> Iterator[BrowserContext]:
    context = chromium.new_context(base_url=shop.address, viewport={"width": 1280, "height": 800})
    context.set_default_timeout(WAIT_MS)
    yield context
    context.close()


@pytest.fixture
def page(tablet: BrowserContext) -> Page:
    """The tablet's first page, which the tablet holds by now."""
    page = tablet.new_page()
    page.goto("/tablet")
    assert page.evaluate(UNTIL_KNOWN) == "ready"
    return page


def is_the_document(page: Page) -> None:
    """Floor's own document is there, with its modules at work and its styles on."""
    page.locator("[x-data=shell] .view").wait_for()
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(251, 247, 239)"


def test_without_a_server_every_address_of_the_tablet_gives_the_document(page: Page, shop: SmallShop) -> None:
    shop.stop()
    for address in ("/tablet", f"/T/{shop.code}", f"/t/{shop.code}/1", RUN, "/tablet/ticket?typed=ABC"):
        page.goto(address)
        is_the_document(page)
        page.reload()
        is_the_document(page)


def test_without_a_server_the_scan_page_opens_too(page: Page, shop: SmallShop) -> None:
    shop.stop()
    page.goto("/tablet/scan")
    page.locator(".scan-main").wait_for()


def test_pages_that_are_not_the_tablets_are_the_servers_alone(page: Page, shop: SmallShop) -> None:
    for address in ("/help", "/office/sign-in", "/tablet/home.json", "/sw.js", "/static/js/print.js"):
        shop.asked.clear()
        page.goto(address)
        assert address in shop.asked
    shop.stop()
    with pytest.raises(Exception, match="ERR_CONNECTION_REFUSED"):
        page.goto("/help")


def test_a_second_load_asks_the_server_for_data_alone(page: Page, shop: SmallShop) -> None:
    addresses = ("/tablet", f"/T/{shop.code}")
    for address in addresses:
        page.goto(address)
        is_the_document(page)
        page.wait_for_load_state("networkidle")
    shop.asked.clear()
    for address in addresses:
        page.goto(address)
        is_the_document(page)
        page.wait_for_load_state("networkidle")
    page.evaluate(LOOK_AGAIN)
    data = re.compile(r".*\.json|/sync|/sw\.js")  # the last is how the browser learns of a newer version
    assert [path for path in shop.asked if not data.fullmatch(path)] == []
    assert "/sw.js" in shop.asked


def test_a_changed_file_reaches_the_page_at_the_next_load(page: Page, shop: SmallShop) -> None:
    before = page.evaluate(HELD)
    script = shop.files / "js" / "tablet" / "words.js"
    script.write_text(script.read_text(encoding="utf-8") + "export const NEWER = true;\n", encoding="utf-8")
    page.goto("/tablet")  # still the old version, whole
    is_the_document(page)
    assert newer(page) is False
    assert page.evaluate(LOOK_AGAIN) in ("activated", "nothing new")
    page.goto("/tablet")
    is_the_document(page)
    shop.stop()
    page.reload()
    is_the_document(page)
    assert newer(page) is True
    assert set(page.evaluate(HELD)) - set(before)


def newer(page: Page) -> bool:
    found: bool = page.evaluate(
        'async () => (await (await fetch("/static/pack/0.js")).text()).includes("NEWER")'
    )
    return found


def test_a_page_that_is_open_goes_on_with_the_version_that_it_came_from(
    page: Page, tablet: BrowserContext, shop: SmallShop
) -> None:
    page.goto("/tablet")
    is_the_document(page)
    script = shop.files / "js" / "tablet" / "scan_camera.js"  # a file that this page has not loaded yet
    script.write_text(script.read_text(encoding="utf-8") + "export const NEWER = true;\n", encoding="utf-8")
    assert page.evaluate(LOOK_AGAIN) == "activated"
    other = tablet.new_page()
    other.goto("/tablet")
    is_the_document(other)
    shop.stop()
    look = 'async () => "NEWER" in (await import("/static/js/tablet/scan_camera.js"))'
    assert (page.evaluate(look), other.evaluate(look)) == (False, True)


def test_on_the_way_home_an_open_page_becomes_the_newest_version(page: Page, shop: SmallShop) -> None:
    page.goto(f"/T/{shop.code}")
    page.locator(".job-main").wait_for()
    assert page.evaluate(UNTIL_KNOWN) == "ready"
    page.evaluate("window.isTheOldOne = true")
    home = page.locator("a[href='/tablet']").first
    home.click()
    page.locator(".home-main").wait_for()
    assert page.evaluate("window.isTheOldOne")  # nothing is newer: no document is loaded
    page.go_back()
    page.locator(".job-main").wait_for()
    page.evaluate(WATCH_FOR_NEWER)
    script = shop.files / "js" / "tablet" / "words.js"
    script.write_text(script.read_text(encoding="utf-8") + "export const NEWER = true;\n", encoding="utf-8")
    assert page.evaluate(LOOK_AGAIN) == "activated"
    page.wait_for_function("() => window.isNewerKnown")
    assert page.evaluate("window.isTheOldOne")  # in the middle of something nothing is loaded
    home.click()
    page.wait_for_function("() => !window.isTheOldOne")
    is_the_document(page)
    assert newer(page) is True


def refuse(path: str) -> Response | None:
    return Response("broken", status=500) if path == "/static/css/tablet.css" else None


def wrong(path: str) -> Response | None:
    """Half a file, as a line that breaks may leave it."""
    return Response("p{", content_type="text/css") if path == "/static/css/tablet.css" else None


@pytest.mark.parametrize("mischief", [refuse, wrong])
def test_an_update_that_does_not_come_whole_changes_nothing(
    page: Page, shop: SmallShop, mischief: Any
) -> None:
    before = page.evaluate(HELD)
    script = shop.files / "js" / "tablet" / "words.js"
    script.write_text(script.read_text(encoding="utf-8") + "export const NEWER = true;\n", encoding="utf-8")
    shop.mischief = mischief
    assert page.evaluate(LOOK_AGAIN) == "redundant"
    assert page.evaluate(HELD) == before
    shop.stop()
    page.goto(f"/T/{shop.code}")
    is_the_document(page)
    assert newer(page) is False
    shop.mischief = lambda path: None
    shop.start()
    assert page.evaluate(LOOK_AGAIN) == "activated"
    page.reload()
    is_the_document(page)
    assert newer(page) is True


def test_what_the_browser_threw_away_comes_from_the_server_and_is_held_again(
    page: Page, shop: SmallShop
) -> None:
    page.goto("/tablet")
    before = page.evaluate(HELD)
    page.evaluate("async () => { for (const name of await caches.keys()) await caches.delete(name); }")
    page.reload()
    is_the_document(page)
    for _ in range(WAIT_MS // 100):
        if page.evaluate(HELD) == before:
            break
        page.wait_for_timeout(100)
    shop.stop()
    page.reload()
    is_the_document(page)


def test_a_first_hold_that_fails_is_told_and_tried_again(tablet: BrowserContext, shop: SmallShop) -> None:
    shop.mischief = refuse
    page = tablet.new_page()
    page.goto("/help")
    assert page.evaluate(UNTIL_KNOWN) == "not here"
    shop.mischief = lambda path: None
    page.evaluate("dispatchEvent(new Event('online'))")
    page.evaluate(UNTIL, "ready")


def test_by_plain_http_the_tablet_says_so(chromium: Browser) -> None:
    context = chromium.new_context()
    serve_modules(context)
    page = open_page(context, PLAIN_HTTP)
    assert page.evaluate("isSecureContext") is False
    assert page.evaluate(STATE) == "plain http"
    context.close()
