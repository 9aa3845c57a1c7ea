"""A picture is taken at a problem while there is no network, and found in the office afterwards."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, FilePayload, Page, expect

from floor import create_app
from floor.config import Settings
from floor.domain.job import HouseRules
from floor.services.jobs import import_job
from floor.services.people import add_person
from floor.store.models import db
from floor.web.clock import now_ms
from tests.conftest import OPERATOR, PASSWORD, SUPERVISOR, demo_source, make_tablet, view_of

sys.path.append(str(Path(__file__).parents[1] / "services"))
from pictures_taken import jpeg, opened
from served import served

PATIENT_MS = 60_000
RULES = HouseRules(first_piece=False)
A_SHIFT_MS = 36_000_000
SIDE = {"width": 3000, "height": 2000}


@dataclass
class Shop:
    """A served shop with a run at its first phases and one at the closed garment, both in hand at one tablet."""

    address: str
    device: str
    under_way: str
    compared: str


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shop]:
    folder = tmp_path_factory.mktemp("photos") / "shop"
    app = create_app(Settings(data=folder, house=RULES))
    with app.app_context():
        add_person(OPERATOR, False, None)
        add_person(SUPERVISOR, True, PASSWORD)
        at = now_ms() - A_SHIFT_MS
        code = import_job(demo_source("larkspur-jackets"), SUPERVISOR, at - 1000, RULES).code
        tablet = make_tablet(seed=5, at=at)
        tablet.walk(code, "prepare")
        tablet.send()
        for section in ("front-left", "front-right"):
            tablet.walk(code, section, (1,))
            tablet.send()
        phases = view_of(code).plan.checklist("finish", (1,), False).phases
        compare = next(at for at, phase in enumerate(phases) if phase.key.startswith("compare"))
        compared = tablet.walk(code, "finish", (1,), stop=compare)
        tablet.send()
        under_way = tablet.walk(code, "front-left", (2,), stop=2)
        tablet.send()
        db.session.remove()
        db.engine.dispose()
    with served(folder) as server:
        yield Shop(server.address, tablet.hands.device, under_way, compared)


@pytest.fixture
def tablet(chromium: Browser, shop: Shop) -> Iterator[BrowserContext]:
    """The tablet that has both runs in hand."""
    context = chromium.new_context(viewport={"width": 1280, "height": 800}, has_touch=True)
    context.set_default_timeout(PATIENT_MS)
    kept = f"localStorage.setItem('floor.device', '{shop.device}'); localStorage.setItem('floor.operator', 'Ines')"
    context.add_init_script(kept)
    yield context
    context.close()


def run_page(tablet: BrowserContext, shop: Shop, run: str) -> Page:
    page = tablet.new_page()
    page.goto(f"{shop.address}/tablet/run/{run}")
    page.locator(".words h1").wait_for()
    page.locator(".saved:not(.is-unsent)").wait_for()
    return page


def from_the_camera(colour: str) -> FilePayload:
    return {"name": "camera.jpg", "mimeType": "image/jpeg", "buffer": jpeg(**SIDE, colour=colour)}


def office(chromium: Browser, shop: Shop) -> Page:
    page = chromium.new_context(viewport={"width": 1280, "height": 800}).new_page()
    page.set_default_timeout(PATIENT_MS)
    page.goto(f"{shop.address}/office/sign-in")
    page.get_by_label("Name").fill(SUPERVISOR)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url("**/office/")
    return page


def test_a_picture_of_a_problem_taken_without_a_network_is_found_in_the_office(
    chromium: Browser, tablet: BrowserContext, shop: Shop
) -> None:
    page = run_page(tablet, shop, shop.under_way)
    tablet.set_offline(True)
    page.locator(".foot button").filter(has_text="Problem").tap()
    page.locator(".sheet .choice").filter(has_text="the run stops").first.tap()
    page.locator(".standing input[type=file]").set_input_files(from_the_camera("brown"))
    row = page.locator(".standing .photo-row")
    expect(row).to_contain_text("1 picture, kept here till sent")
    expect(row.locator("img.is-here")).to_be_visible()

    tablet.set_offline(False)
    page.evaluate("dispatchEvent(new Event('online'))")
    expect(row).to_contain_text("1 picture, sent", timeout=PATIENT_MS)

    desk = office(chromium, shop)
    desk.goto(f"{shop.address}/office/problems")
    thumbnail = desk.locator("tr", has=desk.locator(".photo-small")).locator("img")
    expect(thumbnail).to_have_js_property("complete", True)
    address = thumbnail.get_attribute("src")
    assert address is not None
    kept = desk.request.get(shop.address + address)
    assert opened(kept.body()).size == (1600, 1067)
    desk.goto(f"{shop.address}/office/runs/{shop.under_way}")
    expect(desk.locator(".photos li")).to_contain_text("The problem")
    expect(desk.locator(".photos li .photo-told")).to_have_count(0)
    desk.context.close()


def test_the_closed_garment_is_pictured_where_it_is_compared(tablet: BrowserContext, shop: Shop) -> None:
    page = run_page(tablet, shop, shop.compared)
    key = page.locator(".run-main .photo-key")
    key.locator("input").set_input_files(from_the_camera("navy"))
    expect(key).to_contain_text("1 sent", timeout=PATIENT_MS)
    page.reload()
    expect(key).to_contain_text("1 sent", timeout=PATIENT_MS)


def test_a_file_that_is_no_picture_is_refused_on_the_tablet_in_one_sentence(
    tablet: BrowserContext, shop: Shop
) -> None:
    page = run_page(tablet, shop, shop.compared)
    letter: FilePayload = {"name": "letter.jpg", "mimeType": "image/jpeg", "buffer": b"Dear Sir"}
    page.locator(".run-main .photo-key input").set_input_files(letter)
    expect(page.locator(".notice")).to_contain_text("This is no picture that the tablet can read")
