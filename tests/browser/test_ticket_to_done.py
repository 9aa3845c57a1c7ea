"""A job runs from its paper ticket to done: the QR is read from a picture of the ticket, the first garment is
walked through both fronts and both layers by tapping only, and the supervisor reads what it took."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator

import pytest
import zxingcpp
from PIL import Image
from playwright.sync_api import Browser, BrowserContext, Page

from tests.browser.operator import Operator
from tests.browser.server import Demo

MAX_TAPS_A_PHASE = 1.9  # of 47 phases; 24 of the taps are places that are read twice, 6 the closed seam
# What does not fit beside the picture, and has not gone below it either.
IS_CUT = """() => {
  const words = document.querySelector(".words");
  const page = words.parentElement;
  const keepsItsSize = page.matches(".is-place, .is-seam");
  return !keepsItsSize && Number(page.dataset.crowd) < 2 && words.scrollHeight > words.clientHeight + 2;
}"""
PAUSE_MS, PROBLEM_MS = 2_400, 1_700


@pytest.fixture(scope="module")
def tablet(chromium: Browser) -> Iterator[BrowserContext]:
    context = chromium.new_context(viewport={"width": 1280, "height": 800}, has_touch=True)
    yield context
    context.close()


@pytest.fixture(scope="module")
def office(chromium: Browser, demo: Demo) -> Iterator[Page]:
    context = chromium.new_context(viewport={"width": 1280, "height": 800}, device_scale_factor=2)
    page = context.new_page()
    page.goto(demo.address + "/")
    page.get_by_role("button", name="Sit down as").click()
    page.wait_for_url("**/office/**")
    yield page
    context.close()


def ticket_address(office: Page, demo: Demo, title: str) -> str:
    """What a scanner reads from the printed ticket of the job with this title."""
    office.goto(demo.address + "/office/jobs")
    office.get_by_role("link", name=re.compile(title)).first.click()
    office.goto(office.url.split("?")[0].rstrip("/") + "/ticket")
    picture = office.locator(".head-qr svg, header svg, main svg").first.screenshot()
    codes = zxingcpp.read_barcodes(Image.open(io.BytesIO(picture)))
    assert len(codes) == 1, "the ticket's QR could not be read from its picture"
    return codes[0].text


def tap_the_name(worker: Operator) -> None:
    worker.page.locator(".who-key").tap()
    worker.page.locator(".tile").filter(has_text="Ines").tap()


def seconds(words: str) -> int:
    """Whole seconds of "1:02:03" or "2:03"; an empty cell is 0."""
    total = 0
    for part in words.strip().split(":") if words.strip() else []:
        total = total * 60 + int(part)
    return total


def test_the_first_garment_goes_from_its_ticket_to_done(
    demo: Demo, tablet: BrowserContext, office: Page
) -> None:
    address = ticket_address(office, demo, "Band jackets")
    assert address == address.upper()
    page = tablet.new_page()
    faults: list[str] = []
    page.on("pageerror", lambda error: faults.append(str(error)))
    page.on("console", lambda said: faults.append(said.text) if said.type == "error" else None)
    page.goto(address)
    worker = Operator(page)
    tap_the_name(worker)

    start(worker)
    worker.do_section()
    start(worker)
    done_once: set[str] = set()
    worker.do_section(at=lambda key: trouble_at(worker, key, done_once))
    assert {"hoop-backing", "adhesive", "tack-ground", "trim-ground"} <= done_once
    start(worker)
    cut: list[str] = []
    worker.do_section(at=lambda key: cut.append(key) if page.evaluate(IS_CUT) else None)
    assert cut == []
    start(worker)
    worker.do_section(at=lambda key: approve_at(worker, demo, key))

    assert page.locator("main.summary").is_visible()
    assert worker.checklist["section"] == "finish"
    page.locator(".saved:not(.is-unsent)").wait_for()
    assert faults == []
    checked = demo.floor("check")
    assert checked.returncode == 0, checked.stderr
    assert "Set aside: 0; refused: 0." in checked.stdout


def start(worker: Operator) -> None:
    worker.tap(worker.page.locator(".foot .go.main:visible").filter(has_text="Start"))
    worker.page.wait_for_selector(".words h1")
    worker.page.wait_for_timeout(700)


def trouble_at(worker: Operator, key: str, done_once: set[str]) -> None:
    """One problem, one pause, one undo and one redo, each once, on the way through the first front."""
    page = worker.page
    if key in done_once:
        return
    done_once.add(key)
    if key.startswith("hoop"):
        worker.tap_words("Pause", ".foot")
        worker.tap(page.locator(".sheet .choice").first)
        page.get_by_role("heading", name="Paused").wait_for()
        page.wait_for_timeout(PAUSE_MS)
        worker.tap_words("Go on", ".foot")
        page.locator(".words h1").wait_for()
    elif key.startswith("tack"):
        worker.tap_words("Problem", ".foot")
        worker.tap(page.locator(".sheet .choice").filter(has_text=re.compile("thread", re.I)).first)
        page.locator(".standing").wait_for()
        page.wait_for_timeout(PROBLEM_MS)
        worker.tap_words("Put right", ".foot")
        page.locator(".words h1").wait_for()
    elif key.startswith("adhesive"):
        title = page.locator(".words h1").text_content()
        worker.do(worker.phase() or {})
        worker.tap_words("Undo", ".foot")
        page.wait_for_function(
            "title => document.querySelector('.words h1').textContent === title", arg=title
        )
        page.wait_for_timeout(700)
    elif key.startswith("trim"):
        count = page.locator(".run-count").text_content()
        worker.tap_words("Problem", ".foot")
        worker.tap_words("Go back and redo", ".sheet")
        worker.tap(page.locator(".sheet .choice:visible").first)
        page.locator(".sheet h2").filter(has_text="Why?").wait_for()
        page.wait_for_timeout(300)
        worker.tap(page.locator(".sheet .choice:visible").first)
        page.wait_for_function("n => document.querySelector('.run-count').textContent !== n", arg=count)
        page.wait_for_timeout(700)


def approve_at(worker: Operator, demo: Demo, key: str) -> None:
    """The supervisor comes to the tablet and approves the first piece."""
    page = worker.page
    if "approv" not in key and "first" not in key:
        return
    worker.tap(page.locator(".foot .main:visible"))
    worker.tap(page.locator(".sheet .tile").filter(has_text=demo.supervisor))
    page.locator("#password").fill(demo.password)
    worker.tap_words("Approve it", ".sheet")
    page.locator(".foot .go.main:visible").filter(has_text="Done").wait_for()
    page.wait_for_timeout(700)


def test_the_supervisors_time_log_adds_up_to_each_runs_span(
    demo: Demo, office: Page, capsys: pytest.CaptureFixture[str]
) -> None:
    office.goto(demo.address + "/office/jobs")
    office.get_by_role("link", name=re.compile("Band jackets")).first.click()
    office.goto(office.url.split("?")[0].rstrip("/") + "/time")
    office.locator("details").evaluate_all("all => all.forEach(one => { one.open = true; })")
    rows = office.locator("details.load tbody tr")
    found: dict[str, list[list[int]]] = {}
    run = ""
    for row in rows.all():
        cells = [seconds(cell) for cell in row.locator("td").all_text_contents()]
        if "band" in (row.get_attribute("class") or ""):
            run = row.locator("a").get_attribute("href") or ""
            found[run] = [cells]
        elif cells:
            found[run].append(cells)
    exported = {row["run"]: row for row in csv.DictReader(io.StringIO(demo.floor("export", "runs").stdout))}
    assert len(found) == 4
    together = [0] * 6
    for run, (head, *phases) in found.items():
        work, rework, waiting, pause, problem, total = head[:6]
        assert work + rework + waiting + pause + problem == total
        assert abs(total - float(exported[run.rsplit("/", 1)[1]]["span_s"])) < 1
        for column in range(6):
            assert sum(phase[column] for phase in phases) == head[column]
        together = [a + b for a, b in zip(together, head[:6], strict=True)]
    work, rework, waiting, pause, problem, total = together
    assert PAUSE_MS // 1000 <= pause <= PAUSE_MS // 1000 + 4
    assert PROBLEM_MS // 1000 <= problem <= PROBLEM_MS // 1000 + 4
    assert rework > 0
    with capsys.disabled():
        print(f"\nfirst garment: work {work} s, rework {rework} s, waiting {waiting} s, pause {pause} s, "
              f"problem {problem} s, together {total} s")  # fmt: skip


def test_a_clean_garment_costs_less_than_two_taps_a_phase(
    demo: Demo, tablet: BrowserContext, office: Page, capsys: pytest.CaptureFixture[str]
) -> None:
    page = tablet.new_page()
    page.goto(ticket_address(office, demo, "Band jackets"))
    worker = Operator(page)
    for _ in range(3):
        start(worker)
        worker.do_section()
    assert page.locator("main.summary").is_visible()
    ratio = worker.taps / worker.phases
    with capsys.disabled():
        print(f"\nclean garment: {worker.taps} taps for {worker.phases} phases, {ratio:.2f} a phase")
    assert worker.phases > 40
    assert ratio <= MAX_TAPS_A_PHASE
