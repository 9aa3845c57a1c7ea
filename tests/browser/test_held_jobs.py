"""A tablet works a job that it holds while no server answers: pages, pictures, starts and ends of runs."""

from __future__ import annotations

import json
import re
import urllib.request
from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from tests.browser.operator import Operator
from tests.browser.server import Demo

PATIENCE_MS = 40_000

ALL_HELD = """async () => {
    const {keys} = await import("/static/js/store.js");
    const {heldCodes} = await import("/static/js/tablet/held.js");
    // What these tests ask by name comes from the server too, so it is asked for while there is one.
    for (const name of ["sync", "tablet/page_data", "tablet/start"]) await import(`/static/js/${name}.js`);
    await (await import("/static/js/tablet/parts.js")).fetchParts();
    const pictures = (await keys("held")).filter((key) => key.startsWith("pictures "));
    return heldCodes().length > 2 && pictures.length === heldCodes().length;
}"""
ALL_SENT = """async () => {
    const {status} = await import("/static/js/sync.js");
    return status().unsent === 0 && status().online;
}"""
START = """async ({asked, shop}) => {
    const {startRun} = await import("/static/js/tablet/start.js");
    return startRun(asked, shop).then((address) => ({address}), (refused) => ({refused: refused.message}));
}"""
PAGE = """async (where) => {
    const {getPage} = await import("/static/js/tablet/page_data.js");
    return JSON.stringify(await getPage(where).catch((missing) => ({missing: missing.message})));
}"""


@pytest.fixture
def tablet(chromium: Browser, demo: Demo) -> Iterator[BrowserContext]:
    context = chromium.new_context(viewport={"width": 1280, "height": 800}, has_touch=True)
    page = context.new_page()
    page.goto(demo.address + "/tablet")
    page.evaluate("localStorage.setItem('floor.operator', 'Ines')")
    page.reload()
    wait_until(page, ALL_HELD)
    yield context
    context.close()


def wait_until(page: Page, asked: str) -> None:
    for _ in range(PATIENCE_MS // 200):
        if page.evaluate(asked):
            return
        page.wait_for_timeout(200)
    raise AssertionError(f"it did not come to be: {asked}")


def told_by(demo: Demo, address: str) -> dict[str, Any]:
    with urllib.request.urlopen(demo.address + address, timeout=20) as answer:
        found: dict[str, Any] = json.loads(answer.read())
        return found


def code_of(demo: Demo, title: str) -> str:
    tickets = told_by(demo, "/tablet/home.json")["tickets"]
    return next(str(one["code"]) for one in tickets if title in one["title"])


def page_of(page: Page, **where: Any) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(page.evaluate(PAGE, where))
    return found


def without_clock(page: dict[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in page.items() if key not in ("server_time", "from", "shop")}


def test_a_job_is_worked_without_a_server_and_told_afterwards(demo: Demo, tablet: BrowserContext) -> None:
    page, worker = tablet.pages[0], Operator(tablet.pages[0])
    code = code_of(demo, "Crest")
    tablet.set_offline(True)
    worker.tap_words("Crest patches")
    expect(page.locator("h1")).to_contain_text("Crest")
    worker.tap(page.locator(".go.main:visible").filter(has_text="Start"))
    page.wait_for_url("**/tablet/run/*", timeout=PATIENCE_MS)
    page.wait_for_selector(".words h1")
    assert page.evaluate("document.querySelector('.picture img').src").startswith("data:image/svg+xml")
    page.wait_for_function("document.querySelector('.picture img').naturalWidth > 0", timeout=PATIENCE_MS)
    page.wait_for_timeout(700)
    worker.do_section()
    first = page.url.rsplit("/", 1)[1]
    worker.tap(page.locator(".foot .go.main:visible").filter(has_text="Start"))
    page.wait_for_url(lambda address: first not in address, timeout=PATIENCE_MS)
    page.wait_for_selector(".words h1")
    page.wait_for_timeout(700)
    worker.do(worker.phase() or {})
    second = page.url.rsplit("/", 1)[1]
    kept = {name: page_of(page, **where) for name, where in wheres(code, second).items()}
    assert {one["from"] for one in kept.values()} == {"kept"}
    tablet.set_offline(False)
    page.evaluate("dispatchEvent(new Event('online'))")
    wait_until(page, ALL_SENT)
    assert told_by(demo, f"/tablet/run/{first}.json")["refusal"] == ""
    assert without_clock(kept["home"]) == without_clock(told_by(demo, "/tablet/home.json"))
    assert without_clock(kept["job"]) == without_clock(told_by(demo, f"/tablet/job/{code}.json"))
    run = told_by(demo, f"/tablet/run/{second}.json")
    assert len(run["events"]) >= 2
    assert without_clock(kept["run"]) | {"events": []} == without_clock(run) | {"events": []}


def wheres(code: str, run: str) -> dict[str, dict[str, Any]]:
    return {
        "home": {"screen": "home"},
        "job": {"screen": "ticket", "typed": f"{code[:3]}-{code[3:].lower()}"},
        "run": {"screen": "run", "run": run},
    }


def test_what_may_not_be_is_not_started_and_leaves_nothing_behind(demo: Demo, tablet: BrowserContext) -> None:
    page, code = tablet.pages[0], code_of(demo, "Band jackets")
    shop = told_by(demo, "/tablet/home.json")["shop"]
    tablet.set_offline(True)

    def start(section: str, garments: list[int]) -> str:
        asked = {
            "job": code, "revision": 1, "section": section, "garments": garments, "first_piece": False,
            "operator": "Ines", "cause": "",
        }  # fmt: skip
        found: dict[str, str] = page.evaluate(START, {"asked": asked, "shop": shop})
        return found.get("refused", "")

    assert re.fullmatch(r".+ comes first for the whole job\.", start("front-left", [1]))
    assert start("prepare", []) == ""
    assert re.fullmatch(r".+ was already under way on another tablet\.", start("prepare", []))
    assert page.evaluate("import('/static/js/sync.js').then(({status}) => status().unsent)") == 1


def test_what_is_not_held_is_told_in_a_sentence(tablet: BrowserContext) -> None:
    page = tablet.pages[0]
    tablet.set_offline(True)
    assert "that job is not kept on this tablet" in page_of(page, screen="ticket", typed="000000")["missing"]
    assert "look at it again" in page_of(page, screen="ticket", typed="12345")["missing"]
    run = "0" * 8 + "-0000-4000-8000-" + "0" * 12
    assert "that run is not kept on this tablet" in page_of(page, screen="run", run=run)["missing"]
