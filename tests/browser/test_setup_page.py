"""A supervisor with no file at hand sets a job up: typed, drawn, kept through reload and lost network, saved."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from floor.jobfile import read_job_bytes
from floor.places import page_folder
from floor.queries.shop_routes import route_needs
from tests.browser.server import Demo
from tests.conftest import demo_source

LARK = page_folder("demo_jobs") / "larkspur-jackets" / "lark.svg"
NEEDED = {
    "title": "Jackets for the spring parade", "customer": "Larkspur Lane Marching Band", "due": "2027-03-01",
    "opening.span": "7 1/8 in", "opening.overlap": "20", "layer.0.colour": "purple",
    "layer.1.colour": "cream",
    "garments": "M\tOdile\nM\tBram\nXL x 2",
}  # fmt: skip


@pytest.fixture(params=[(1280, 800), (800, 1280)], ids=["wide", "tall"])
def context(chromium: Browser, demo: Demo, request: pytest.FixtureRequest) -> Iterator[BrowserContext]:
    width, height = request.param
    context = chromium.new_context(base_url=demo.address, viewport={"width": width, "height": height})
    yield context
    context.close()


def begun(context: BrowserContext) -> Page:
    """A new draft of a split-front job, on the page of somebody who is signed in."""
    page = context.new_page()
    page.goto("/")
    page.get_by_role("button", name="Sit down as").click()
    page.goto("/office/setup")
    page.get_by_role("button", name=re.compile("Split front")).click()
    expect(page.locator("#setup.live")).to_be_visible()
    return page


def fill(page: Page) -> None:
    page.set_input_files("[name=outline]", LARK)
    for name, text in NEEDED.items():
        page.fill(f'[name="{name}"]', text)
    expect(page.locator("#kept")).to_have_text("All is kept.")


def test_a_job_is_set_up_drawn_and_saved(context: BrowserContext) -> None:
    page = begun(context)
    troubles: list[str] = []
    page.on("pageerror", lambda error: troubles.append(str(error)))
    expect(page.locator("#part-missing")).to_contain_text("Still needed: the title")
    fill(page)
    expect(page.locator("#part-missing")).to_have_text("")
    expect(page.locator("#part-understood")).to_contain_text("4 garments: M 2, XL 2")
    pictures = page.locator("#preview img")
    expect(pictures.first).to_be_visible()
    assert page.evaluate(
        "[...document.querySelectorAll('#preview details[open] img')].every(i => i.naturalWidth)"
    )
    before = pictures.first.get_attribute("src")
    title = f"Jackets for the parade, seen {page.viewport_size}"
    page.fill("[name=title]", title)
    page.fill('[name="design.height"]', "100 mm")
    expect(pictures.first).not_to_have_attribute("src", before or "")
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    page.click("#save")
    expect(page.get_by_role("heading", level=1)).to_have_text(title)
    assert troubles == []


def test_the_split_front_of_the_demo_set_up_from_nothing_is_the_same_job(context: BrowserContext) -> None:
    page = begun(context)
    page.set_input_files("[name=outline]", LARK)
    typed = {
        **NEEDED, "title": "Band jackets, LARK across the opening", "due": "2026-12-11", "opening.span": "180",
        "garments": "M\tOdile\nM\tBram\nM\tTansy\nM\nXL\tCorwin\nXL",
    }  # fmt: skip
    for name, text in typed.items():
        page.fill(f'[name="{name}"]', text)
    page.fill('[name="opening.sizes.XL.span"]', "200")
    page.click("details[data-fold=place] summary")
    page.fill('[name="design.centre.0"]', "20")
    for index, thread in enumerate(("purple 40", "cream 40")):
        page.locator(f'[data-fold="layer-{index}"] summary').click()
        page.fill(f'[name="layer.{index}.border.thread"]', thread)
    expect(page.locator("#kept")).to_have_text("All is kept.")
    with page.expect_download() as download:
        page.get_by_role("link", name="Its job file").click()
    packed = download.value.path().read_bytes()
    source, demo = read_job_bytes({"job.zip": packed}, route_needs()), demo_source("larkspur-jackets")
    assert (source.job, source.svg_text) == (demo.job, demo.svg_text)


def test_faults_and_the_last_plan_are_there_after_a_reload(context: BrowserContext) -> None:
    page = begun(context)
    fill(page)
    expect(page.locator("#preview img").first).to_be_visible()
    page.fill('[name="design.height"]', "tall")
    expect(page.locator("#stale")).to_be_visible()
    page.reload()
    expect(page.locator('[data-field="design.height"] .fault')).to_contain_text("tall")
    expect(page.locator("#stale")).to_contain_text("as it was before")
    expect(page.locator("#preview img").first).to_be_visible()


def test_without_a_plan_yet_no_old_one_is_spoken_of(context: BrowserContext) -> None:
    page = begun(context)
    page.fill('[name="opening.span"]', "wide")
    expect(page.locator('[data-field="opening.span"] .fault')).to_be_visible()
    expect(page.locator("#stale")).to_be_hidden()


def test_a_bad_number_is_told_beside_its_field_and_the_last_plan_stays(context: BrowserContext) -> None:
    page = begun(context)
    fill(page)
    page.fill('[name="opening.span"]', "7 1/0 in")
    field = page.locator('[data-field="opening.span"]')
    expect(field.locator(".fault")).to_contain_text("divides by zero")
    expect(field.locator("input")).to_have_attribute("aria-invalid", "true")
    expect(page.locator("#stale")).to_contain_text("as it was before")
    expect(page.locator("#preview img").first).to_be_attached()
    page.fill('[name="opening.span"]', "180 mm")
    expect(field.locator(".fault")).to_be_hidden()
    expect(page.locator("#stale")).to_be_hidden()


def test_a_fault_in_a_fold_opens_it(context: BrowserContext) -> None:
    page = begun(context)
    page.evaluate("document.querySelector('[name=\"hoop.clearance\"]').value = '300 mm'")
    page.fill("[name=title]", "x")
    expect(page.locator('[data-field="hoop.clearance"] .fault')).to_be_visible()


def test_a_reload_and_a_lost_network_lose_nothing(context: BrowserContext) -> None:
    page = begun(context)
    fill(page)
    context.set_offline(True)
    page.fill("[name=customer]", "Written while the network was away")
    expect(page.locator("#kept")).to_contain_text("kept on this page")
    page.click("#save")
    expect(page.locator("#kept")).to_contain_text("kept on this page")
    assert "/office/setup/" in page.url
    context.set_offline(False)
    expect(page.locator("#kept")).to_have_text("All is kept.", timeout=20_000)
    page.reload()
    expect(page.locator("[name=customer]")).to_have_value("Written while the network was away")
    expect(page.locator("[name=garments]")).to_have_value(NEEDED["garments"])
    expect(page.locator("#preview img").first).to_be_visible()


def test_a_double_click_on_save_makes_one_job(context: BrowserContext) -> None:
    page = begun(context)
    fill(page)
    title = f"Twice {page.viewport_size}"
    page.fill("[name=title]", title)
    page.dblclick("#save")
    expect(page.get_by_role("heading", level=1)).to_have_text(title)
    page.goto("/office/jobs")
    expect(page.get_by_role("link", name=title, exact=True)).to_have_count(1)


def test_without_script_a_button_keeps_and_redraws(chromium: Browser, demo: Demo) -> None:
    context = chromium.new_context(base_url=demo.address, java_script_enabled=False)
    page = context.new_page()
    page.goto("/")
    page.get_by_role("button", name="Sit down as").click()
    page.goto("/office/setup")
    page.get_by_role("button", name=re.compile("Split front")).click()
    page.set_input_files("[name=outline]", LARK)
    for name, text in NEEDED.items():
        page.fill(f'[name="{name}"]', text)
    page.get_by_role("button", name="Redraw").last.click()
    expect(page.locator("#preview img").first).to_be_visible()
    page.locator("#save").click()
    expect(page.get_by_role("heading", level=1)).to_have_text(NEEDED["title"])
    context.close()
