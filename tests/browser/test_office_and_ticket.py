"""The supervisor's pages and the printed ticket as a browser lays them out."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator

import pytest
import zxingcpp
from PIL import Image
from playwright.sync_api import Browser, Page

from tests.browser.server import Demo

SIZES = ((1280, 800), (800, 1280), (390, 844))
PAGES = ("/office/", "/office/jobs", "/office/time-log", "/office/problems", "/office/set-aside",
         "/office/export", "/office/people", "/office/meeting", "/office/import", "/help")  # fmt: skip
PRINTED_DPI, CSS_DPI = 150, 96
PAPER_PX = {"A4": (718, 1026), "Letter": (740, 957)}  # within the ticket's margins, 96 px an inch
LONGEST_LABEL = "11.2 over, 10.4 again"
PAST_ITS_CARD = """words => {
  const ends = [...document.querySelectorAll(".bar text")];
  const right = one => one.getBoundingClientRect().right;
  const last = ends.reduce((a, b) => (+a.getAttribute("x").replace("%", "") > +b.getAttribute("x").replace("%", "") ? a : b));
  last.textContent = words;
  return right(last) - right(last.closest(".card"));
}"""  # noqa: E501


@pytest.fixture
def office(chromium: Browser, demo: Demo) -> Iterator[Page]:
    """A supervisor who has sat down with one tap."""
    context = chromium.new_context(
        base_url=demo.address, locale="en-GB", device_scale_factor=PRINTED_DPI / CSS_DPI
    )
    page = context.new_page()
    page.goto("/")
    page.get_by_role("button", name="Sit down as").click()
    page.wait_for_url("**/office/")
    yield page
    context.close()


def job_pages(page: Page) -> list[str]:
    page.goto("/office/jobs")
    links = page.locator("table.list th a").evaluate_all("all => all.map(a => a.getAttribute('href'))")
    return [str(link) for link in links]


@pytest.mark.parametrize("size", SIZES)
def test_no_page_of_the_office_is_wider_than_its_window(office: Page, size: tuple[int, int]) -> None:
    office.set_viewport_size({"width": size[0], "height": size[1]})
    jobs = job_pages(office)
    for path in (*PAGES, *jobs, *(f"{job}/time" for job in jobs)):
        office.goto(path)
        office.locator("details").evaluate_all("all => all.forEach(one => (one.open = true))")
        assert office.evaluate("document.documentElement.scrollWidth") <= size[0], path


@pytest.mark.parametrize("size", SIZES)
def test_the_words_at_the_longest_bars_end_stay_within_the_card(office: Page, size: tuple[int, int]) -> None:
    office.set_viewport_size({"width": size[0], "height": size[1]})
    for job in job_pages(office):
        office.goto(f"{job}/time")
        if office.locator(".bar text").count():
            assert office.evaluate(PAST_ITS_CARD, LONGEST_LABEL) <= 0
            return
    raise AssertionError("no job of the demo has a chart")


@pytest.mark.parametrize("paper", PAPER_PX)
def test_every_code_of_a_printed_ticket_reads_at_150_dots_an_inch(
    office: Page, demo: Demo, paper: str
) -> None:
    for job in job_pages(office):
        office.goto(f"{job}/ticket")
        code, labels = job.rpartition("/")[2], office.locator(".label").count()
        printed = office.pdf(format=paper)
        # For the machine one page, or two where the plan warns of much; one for the bench; one of labels.
        assert len(re.findall(rb"/Type\s*/Page\b", printed)) in (3, 4), job
        office.emulate_media(media="print")
        width, height = PAPER_PX[paper]
        office.set_viewport_size({"width": width, "height": height})
        picture = Image.open(io.BytesIO(office.screenshot(full_page=True)))
        office.emulate_media(media="screen")
        found = {read.text for read in zxingcpp.read_barcodes(picture)}
        whole = f"{demo.address}/T/{code}".upper()
        assert found == {whole, *(f"{whole}/{number}" for number in range(1, labels + 1))}
        assert labels
