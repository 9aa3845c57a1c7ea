"""A shift without a server: fronts are sewn, the tablet is reloaded midway, and afterwards the server's log equals what
was tapped, to the event."""

from __future__ import annotations

import re
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from flask import Response
from playwright.sync_api import Browser, BrowserContext, Page, expect
from sqlalchemy import select

from floor.services.proof import check
from floor.store.models import EventRow, RunRow, VerdictRow, db
from tests.browser.operator import Operator
from tests.browser.small_shop import SmallShop, small_shop
from tests.conftest import make_tablet

WAIT_S = 90
# Asked of the browser itself: the page's own modules are not to be loaded a second time.
STORED = """const stored = (store) => new Promise((done, fail) => {
  const opening = indexedDB.open("floor");
  opening.onerror = () => fail(opening.error);
  opening.onsuccess = () => {
    const asked = opening.result.transaction(store).objectStore(store).getAll();
    asked.onsuccess = () => { opening.result.close(); done(asked.result); };
    asked.onerror = () => fail(asked.error);
  };
});"""
HELD = f"""async code => {{
  {STORED}
  const worker = await navigator.serviceWorker.getRegistration();
  const held = JSON.stringify(await stored("held"));
  return Boolean(worker && worker.active) && held.includes(code) && held.includes("<svg");
}}"""
PICTURES_HELD = f"""async () => {{
  {STORED}
  return JSON.stringify(await stored("held")).includes("<svg");
}}"""
KEPT = f"""async () => {{
  {STORED}
  const rows = [...(await stored("answered")), ...(await stored("outbox"))];
  return rows.map(({{ event }}) => ({{ id: event.id, run: event.run, kind: event.kind, phase: event.phase,
    at: event.at, data: event.data }}));
}}"""
UNSENT = f"""async () => {{
  {STORED}
  return (await stored("outbox")).length;
}}"""


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[SmallShop]:
    with small_shop(tmp_path) as shop:
        yield shop


@pytest.fixture
def tablet(chromium: Browser, shop: SmallShop) -> Iterator[BrowserContext]:
    context = chromium.new_context(
        base_url=shop.address, viewport={"width": 1280, "height": 800}, has_touch=True, locale="en-GB"
    )
    context.set_default_timeout(WAIT_S * 1000)
    yield context
    context.close()


def until(holds: Callable[[], bool], what: str) -> None:
    """Waits for what only a question to the page tells."""
    end = time.monotonic() + WAIT_S
    while not holds():
        assert time.monotonic() < end, what
        time.sleep(0.2)


def picture_is_there(page: Page) -> None:
    picture = page.locator(".run-main img, .run-main .picture img").first
    expect(picture).to_be_visible()
    assert picture.evaluate("async one => { await one.decode(); return one.naturalWidth; }") > 0


def events_of(shop: SmallShop) -> list[dict[str, Any]]:
    db.session.rollback()
    rows = db.session.scalars(select(EventRow).order_by(EventRow.device, EventRow.seq))
    return [
        {"id": row.id, "run": row.run, "kind": row.kind, "phase": row.phase, "at": row.at, "data": row.data}
        for row in rows
    ]


def test_a_shift_without_a_server_with_a_reload_in_the_middle(
    tablet: BrowserContext, shop: SmallShop
) -> None:
    page = tablet.new_page()
    faults: list[str] = []
    page.on("pageerror", lambda error: faults.append(str(error)))
    page.goto(f"/T/{shop.code}")
    worker = Operator(page)
    page.locator(".who-key").tap()
    page.locator(".tile").filter(has_text="Ines").tap()
    until(lambda: bool(page.evaluate(HELD, shop.code)), "the tablet does not hold the job")
    worker.tap(page.locator(".foot .main"))
    page.locator(".words h1").wait_for()

    shop.stop()
    worker.do_section()
    assert worker.checklist["section"] == "prepare"
    worker.tap(page.locator(".foot .main"))
    page.locator(".words h1").wait_for()
    for _ in range(4):
        at = worker.phase()
        assert at is not None
        worker.do(at)
    before = page.locator(".run-count").text_content()
    page.reload()
    expect(page.locator(".run-count")).to_have_text(before or "")
    expect(page.locator(".last-large, .last").first).to_be_visible()  # the last things done
    picture_is_there(page)
    worker.do_section()
    page.locator(".foot-end a").first.tap()  # to the job, and on from there
    page.locator(".job").wait_for()
    page.locator(".bar-back").tap()
    page.locator(".home").wait_for()
    page.go_back()
    page.locator(".job").wait_for()
    worker.tap(page.locator(".foot .main"))
    page.locator(".words h1").wait_for()
    worker.do_section()
    assert {"front-left", "front-right"} >= {worker.checklist["section"]}
    assert page.evaluate(UNSENT) > 60
    tapped = page.evaluate(KEPT)
    assert len(events_of(shop)) < len(tapped) - 60

    shop.start()
    until(lambda: page.evaluate(UNSENT) == 0, "the taps were not sent")
    found = events_of(shop)
    assert sorted(found, key=lambda one: one["id"]) == sorted(tapped, key=lambda one: one["id"])
    assert all(db.session.scalars(select(VerdictRow.applied)))
    assert sorted(db.session.scalars(select(RunRow.status))) == ["finished"] * 3
    proof = check()
    assert proof.whole, proof.faults
    assert faults == []


@pytest.fixture
def by_name(chromium: Browser, shop: SmallShop) -> Iterator[Page]:
    """A tablet that knows the server by a name and plain http, as in a shop without certificates."""
    helper = make_tablet()
    helper.walk(shop.code, "prepare")
    helper.send()
    context = chromium.new_context(viewport={"width": 800, "height": 1280}, has_touch=True, locale="en-GB")
    context.set_default_timeout(WAIT_S * 1000)
    page = context.new_page()
    page.goto(f"http://tablet.test:{shop.port}/T/{shop.code}")
    assert not page.evaluate("isSecureContext")
    yield page
    context.close()


def do(worker: Operator, phases: int) -> None:
    for _ in range(phases):
        at = worker.phase()
        assert at is not None
        worker.do(at)


def test_by_plain_http_all_goes_on_but_a_cold_reload_and_the_page_says_so(
    by_name: Page, shop: SmallShop
) -> None:
    page, worker = by_name, Operator(by_name)
    page.evaluate("window.sameDocument = true")
    page.locator(".who-key").tap()
    page.locator(".tile").filter(has_text="Ines").tap()
    worker.tap(page.locator(".foot .main"))
    page.locator(".words h1").wait_for()
    until(lambda: bool(page.evaluate(PICTURES_HELD)), "the pictures are not held")

    shop.stop()
    do(worker, 3)
    expect(page.locator(".saved")).to_contain_text(re.compile(r"\d+ to send"))
    page.locator(".saved").tap()
    sheet = page.locator(".state-body")
    expect(sheet).to_contain_text("kept on this tablet")
    expect(sheet).to_contain_text("a reload needs it")
    expect(sheet.locator("a")).to_have_attribute("href", "/secure")
    page.locator(".sheet-head button:visible").tap()
    at = page.locator(".run-count").text_content()
    page.locator(".run-which").tap()
    page.locator(".job").wait_for()
    page.locator(".bar-back").tap()
    page.locator(".home .row").first.tap()
    expect(page.locator(".run-count")).to_have_text(at or "")
    picture_is_there(page)
    assert page.evaluate("window.sameDocument")

    full = Response('{"error": {"kind": "DiskFull", "message": "The server\'s disk is full; make room."}}', 503,
                    content_type="application/json")  # fmt: skip
    shop.mischief = lambda path: full if path == "/sync" else None
    shop.start()
    page.locator(".saved").tap()
    expect(sheet).to_contain_text("disk is full", timeout=WAIT_S * 1000)
    assert page.evaluate(UNSENT) > 3
    page.locator(".sheet-head button:visible").tap()
    do(worker, 1)

    tapped = page.evaluate(KEPT)
    shop.mischief = lambda path: None
    until(lambda: page.evaluate(UNSENT) == 0, "the taps were not sent")
    expect(page.locator(".saved")).to_have_text("saved")
    kept = {one["id"]: one for one in events_of(shop)}
    assert [kept[one["id"]] for one in tapped] == tapped
    assert check().whole
