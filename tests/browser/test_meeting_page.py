"""How the halves meet as a browser lays it out, and the tablet that is told at which machine it stands."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, Request, expect

from tests.browser.server import Demo

SIZES = ((1280, 800), (800, 1280), (390, 844))
LONG_NAME = "The four-needle one by the window, north"
LEAST_TARGET_PX = 72
COVERED = """all => {
  const boxes = all.map(one => one.getBoundingClientRect()).sort((a, b) => a.top - b.top);
  return boxes.some((box, at) => at > 0 && box.top < boxes[at - 1].bottom - 4);
}"""


@pytest.fixture
def office(chromium: Browser, demo: Demo) -> Iterator[Page]:
    context = chromium.new_context(base_url=demo.address, locale="en-GB")
    page = context.new_page()
    said: list[str] = []
    page.on("console", lambda message: said.append(message.text))
    page.goto("/")
    page.get_by_role("button", name="Sit down as").click()
    page.wait_for_url("**/office/")
    yield page
    context.close()
    assert said == []


@pytest.mark.parametrize("size", SIZES)
def test_the_page_fits_its_window_with_all_that_it_folds_away(office: Page, size: tuple[int, int]) -> None:
    office.set_viewport_size({"width": size[0], "height": size[1]})
    office.goto("/office/meeting")
    office.locator("details").evaluate_all("all => all.forEach(one => (one.open = true))")
    assert office.evaluate("document.documentElement.scrollWidth") <= size[0]
    for chart in (".steps", ".foretold"):
        expect(office.locator(f"{chart} .mark")).to_have_count(9)


@pytest.mark.parametrize("size", SIZES)
def test_words_at_the_ends_of_the_charts_lines_stay_apart_and_inside(
    office: Page, size: tuple[int, int]
) -> None:
    office.set_viewport_size({"width": size[0], "height": size[1]})
    office.goto("/office/meeting")
    ends = office.locator(".steps > svg > text:not(.base)")
    assert ends.count() >= 3
    assert not ends.evaluate_all(COVERED)
    right = ends.evaluate_all("all => Math.max(...all.map(one => one.getBoundingClientRect().right))")
    card = office.locator(".card", has=office.locator(".steps")).bounding_box()
    assert card is not None
    assert right <= card["x"] + card["width"]


def test_a_choice_is_kept_in_the_address(office: Page) -> None:
    office.goto("/office/meeting")
    office.get_by_label("Machine").select_option("Machine 2")
    office.get_by_role("button", name="Show").click()
    office.wait_for_url("**machine=Machine+2*")
    expect(office.get_by_label("Machine")).to_have_value("Machine 2")
    assert 0 < office.locator(".steps .mark").count() < 9
    office.get_by_role("link", name="Show all").click()
    expect(office.get_by_label("Machine")).to_have_value("")
    expect(office.locator(".steps .mark")).to_have_count(9)


@pytest.mark.parametrize(("size", "job"), [(SIZES[0], "Crest patches"), (SIZES[1], "Band jackets")])
def test_a_tablet_is_told_once_at_which_machine_it_stands_and_its_runs_say_so(
    chromium: Browser, demo: Demo, office: Page, size: tuple[int, int], job: str
) -> None:
    office.goto("/office/people")
    if not office.get_by_text(LONG_NAME).count():
        office.get_by_label("Name, as it is called in the shop").fill(LONG_NAME)
        office.get_by_role("button", name="Add the machine").click()
    context = chromium.new_context(
        base_url=demo.address, locale="en-GB", has_touch=True,
        viewport={"width": size[0], "height": size[1]},
    )  # fmt: skip
    tablet = context.new_page()
    tablet.goto("/tablet")
    line = tablet.locator(".stands")
    expect(line).to_contain_text("At which machine does this tablet stand?")
    change = line.get_by_role("button").bounding_box()
    assert change is not None
    assert min(change["width"], change["height"]) >= LEAST_TARGET_PX
    line.get_by_role("button").tap()
    tile = tablet.locator(".tile").filter(has_text=LONG_NAME)
    box = tile.bounding_box()
    assert box is not None
    assert box["height"] >= LEAST_TARGET_PX
    assert box["x"] + box["width"] <= size[0]
    tile.tap()
    expect(line).to_contain_text(f"This tablet stands at {LONG_NAME}")
    tablet.reload()
    expect(line).to_contain_text(f"This tablet stands at {LONG_NAME}")
    assert tablet.evaluate("document.documentElement.scrollWidth") <= size[0]
    opened = started(tablet, job)
    assert opened["machine"] == LONG_NAME
    assert set(opened["hand"]) == {
        "along", "across", "skew", "stretch", "sewn_along", "sewn_across", "sewn_skew", "reading",
    }  # fmt: skip
    context.close()


def started(tablet: Page, job: str) -> dict[str, object]:
    """What the event said with which the job's page starts its next run."""
    tablet.locator(".paper").filter(has_text=job).tap()

    def opens(request: Request) -> bool:
        return request.url.endswith("/sync") and '"open"' in (request.post_data or "")

    with tablet.expect_request(opens) as sent:
        tablet.locator(".foot .main").tap()
        tablet.locator(".tile").filter(has_text="Ines").tap()
    tablet.wait_for_url("**/tablet/run/*")
    (event,) = [one for one in sent.value.post_data_json["events"] if one["kind"] == "open"]
    data: dict[str, object] = event["data"]
    return data
