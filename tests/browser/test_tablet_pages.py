"""The tablet's pages under an operator's hand: large targets, no network, slips, scanners, two tablets at once."""

from __future__ import annotations

import contextlib
import re
from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, TimeoutError, expect

from tests.browser.operator import Operator
from tests.browser.server import Demo

SIZES = ((1280, 800), (800, 1280), (1024, 600))
LEAST_TARGET_PX = 71.5  # 72 px, drawn on half pixels
CLEAR_OF_EDGE_PX = 23.5
SETTLE_MS = 700
LEAST_PICTURE_PX = 200
TRIES = 5
UNTIL_THE_NEXT_TRY_IS_FAR_MS = 7_500  # tries at 1, 2 and 4 s have failed; the next would come 8 s later
POLL_MS = 5_000

# What a finger can hit now: not what is scrolled out of sight within its box, nor what a sheet covers.
TARGETS = """() => {
  const scope = document.querySelector("dialog[open]") || document.body;
  return [...scope.querySelectorAll("button, a, input, textarea")].map((target) => {
    const box = target.getBoundingClientRect();
    const hit = box.width && document.elementFromPoint(box.x + box.width / 2, box.y + box.height / 2);
    const within = target.closest(".sheet-body");
    const cut = within && box.bottom > within.getBoundingClientRect().bottom; // it scrolls
    const seen = Boolean(hit) && target.contains(hit) && !cut;
    return { seen, words: target.innerText || target.id, width: box.width, height: box.height,
             edge: Math.min(...[box.left, box.top, innerWidth - box.right, innerHeight - box.bottom]
               .filter((gap) => gap >= 0)) };  // a side below 0 is scrolled out of sight
  }).filter((target) => target.seen);
}"""
LETTERS = """() => [...document.querySelectorAll(".run *")]
  .filter((one) => one.children.length === 0 && one.innerText && one.getClientRects().length)
  .filter((one) => !one.closest(".unseen"))
  .map((one) => [parseFloat(getComputedStyle(one).fontSize), one.innerText])"""


@pytest.fixture
def tablet(chromium: Browser, demo: Demo) -> Iterator[BrowserContext]:
    yield from _context(chromium, demo, "Ines")


@pytest.fixture
def other_tablet(chromium: Browser, demo: Demo) -> Iterator[BrowserContext]:
    yield from _context(chromium, demo, "Tomas")


def _context(chromium: Browser, demo: Demo, name: str) -> Iterator[BrowserContext]:
    context = chromium.new_context(viewport={"width": 1280, "height": 800}, has_touch=True)
    page = context.new_page()
    page.goto(demo.address + "/tablet")
    page.evaluate("name => localStorage.setItem('floor.operator', name)", name)
    page.close()
    yield context
    context.close()


def address_of(page: Page, demo: Demo, title: str) -> str:
    page.goto(demo.address + "/tablet")
    found = page.locator("a.paper").filter(has_text=title).get_attribute("href")
    assert found is not None
    return demo.address + found


def start(page: Page, demo: Demo, title: str) -> None:
    """The job's next run, or the one under way, taken over from the tablet before; the run page has settled."""
    page.goto(address_of(page, demo, title))
    page.locator(".foot .main").tap()
    page.wait_for_url("**/tablet/run/**")
    page.locator(".run-head").wait_for()
    if page.locator(".elsewhere").count():
        page.locator(".foot .main").tap()
    page.locator(".words h1").wait_for()
    page.wait_for_timeout(SETTLE_MS)


def small_or_at_the_edge(page: Page) -> list[dict[str, Any]]:
    targets: list[dict[str, Any]] = page.evaluate(TARGETS)
    assert targets
    return [
        target
        for target in targets
        if min(target["width"], target["height"]) < LEAST_TARGET_PX or target["edge"] < CLEAR_OF_EDGE_PX
    ]


@pytest.mark.parametrize(("width", "height"), SIZES)
def test_every_target_is_large_enough_and_clear_of_the_edge(
    tablet: BrowserContext, demo: Demo, width: int, height: int
) -> None:
    page = tablet.new_page()
    page.set_viewport_size({"width": width, "height": height})
    job = address_of(page, demo, "Band jackets")
    page.locator("h2").first.wait_for()
    assert small_or_at_the_edge(page) == []
    page.goto(job)
    page.locator(".foot .main").wait_for()
    assert small_or_at_the_edge(page) == []
    start(page, demo, "Band jackets")
    assert small_or_at_the_edge(page) == []
    for key in ("Pause", "Problem"):
        page.locator(".foot-key").filter(has_text=key).tap()
        page.locator("dialog[open] h2").wait_for()
        assert small_or_at_the_edge(page) == []
        page.keyboard.press("Escape")


@pytest.mark.parametrize(("width", "height"), SIZES)
def test_the_run_page_is_read_at_arms_length(
    tablet: BrowserContext, demo: Demo, width: int, height: int
) -> None:
    page = tablet.new_page()
    page.set_viewport_size({"width": width, "height": height})
    start(page, demo, "Band jackets")
    letters = page.evaluate(LETTERS)
    assert len(letters) > 5
    assert [row for row in letters if row[0] < 24] == []
    sizes = "one => parseFloat(getComputedStyle(one).fontSize)"
    assert page.locator(".sentence").evaluate(sizes) >= 36
    assert page.locator(".clock:visible").evaluate(sizes) >= 64
    main = page.locator(".foot .main:visible").bounding_box()
    assert main is not None
    assert main["height"] >= 120
    assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_a_second_tap_in_haste_does_not_end_the_next_phase(tablet: BrowserContext, demo: Demo) -> None:
    page = tablet.new_page()
    start(page, demo, "Crest")
    before = int((page.locator(".run-count").text_content() or "").split()[0])
    page.locator(".foot .main").evaluate("button => { button.click(); button.click(); }")
    page.wait_for_timeout(150)
    page.locator(".foot .main").first.evaluate("button => { button.click(); }")
    page.wait_for_timeout(300)
    expect(page.locator(".answer.is-wrong")).to_have_count(0)
    assert int((page.locator(".run-count").text_content() or "").split()[0]) == before + 1


def test_what_a_finger_comes_down_on_is_seen_to_be_pressed_before_it_lifts(
    tablet: BrowserContext, demo: Demo
) -> None:
    page = tablet.new_page()
    start(page, demo, "Crest")
    before = page.locator(".run-count").text_content()
    button = page.locator(".foot .main:visible").first
    box = button.bounding_box()
    assert box is not None
    finger = tablet.new_cdp_session(page)
    point = {"x": box["x"] + box["width"] / 2, "y": box["y"] + box["height"] / 2}
    look = "button => getComputedStyle(button).backgroundColor"
    at_rest = button.evaluate(look)
    finger.send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": [point]})
    expect(button).to_have_class(re.compile("is-pressed"))
    assert button.evaluate(look) != at_rest
    assert page.locator(".run-count").text_content() == before
    finger.send("Input.dispatchTouchEvent", {"type": "touchCancel", "touchPoints": []})
    expect(button).not_to_have_class(re.compile("is-pressed"))
    assert page.locator(".run-count").text_content() == before


def test_without_a_network_work_goes_on_and_a_reload_finds_the_same_phase(
    tablet: BrowserContext, demo: Demo
) -> None:
    page = tablet.new_page()
    start(page, demo, "Band jackets")
    first = page.locator(".words h1").text_content()
    page.route("**/sync", lambda route: route.abort())
    page.locator(".foot .main").tap()
    page.wait_for_function("title => document.querySelector('.words h1').textContent !== title", arg=first)
    second = page.locator(".words h1").text_content()
    page.locator(".saved.is-unsent").wait_for()
    page.reload()
    page.locator(".words h1").wait_for()
    assert page.locator(".words h1").text_content() == second
    assert (page.locator(".last-large b:visible").last.text_content() or "").startswith("done: ")
    page.unroute("**/sync")
    page.evaluate("dispatchEvent(new Event('online'))")
    page.locator(".saved:not(.is-unsent)").wait_for()
    page.wait_for_timeout(SETTLE_MS)
    page.locator(".foot-key").filter(has_text="Undo").tap()
    page.wait_for_function("title => document.querySelector('.words h1').textContent === title", arg=first)


def test_a_run_is_taken_over_knowingly_and_a_tap_that_crossed_it_is_told_until_it_is_understood(
    tablet: BrowserContext, other_tablet: BrowserContext, demo: Demo
) -> None:
    page = tablet.new_page()
    start(page, demo, "Band jackets")
    page.locator(".saved:not(.is-unsent)").wait_for()
    other = other_tablet.new_page()
    other.goto(page.url)
    other.locator(".elsewhere h1").filter(has_text="Ines has this in hand at another tablet since").wait_for()
    assert other.locator(".foot button:visible").all_text_contents() == [
        "Take it over hereTomas goes on here"
    ]
    page.route("**/sync", lambda route: route.abort())
    page.route("**/*.json", lambda route: route.abort())
    other.locator(".foot .main").tap()
    other.locator(".words h1").wait_for()
    other.locator(".saved:not(.is-unsent)").wait_for()
    page.locator(".foot-key").filter(has_text="Pause").tap()
    page.locator(".sheet .choice").first.tap()
    page.locator(".saved.is-unsent").filter(has_text="kept here, 1 to send").wait_for()
    page.unroute("**/sync")
    page.unroute("**/*.json")
    page.evaluate("dispatchEvent(new Event('online'))")
    page.locator(".elsewhere h1").filter(has_text="Tomas has this in hand").wait_for()
    told = page.locator(".notice").filter(
        has_text="did not count: Tomas has this run in hand at another tablet"
    )
    told.wait_for()
    page.reload()
    told.wait_for()
    told.locator("button").tap()
    page.reload()
    page.locator(".elsewhere h1").wait_for()
    page.locator(".saved:not(.is-unsent)").wait_for()
    assert not told.is_visible()
    page.locator(".foot .main").tap()
    page.locator(".words h1").wait_for()
    page.locator(".saved:not(.is-unsent)").wait_for()


def test_home_job_and_run_come_and_go_without_another_document(tablet: BrowserContext, demo: Demo) -> None:
    page = tablet.new_page()
    page.goto(demo.address + "/tablet")
    loaded: list[str] = []
    page.on(
        "request", lambda request: loaded.append(request.url) if request.is_navigation_request() else None
    )
    page.locator("a.paper").filter(has_text="Crest").tap()
    page.locator(".job-main").wait_for()
    assert page.title() == "Crest patches with a drum – Floor"
    assert page.evaluate("document.activeElement.matches('.view h1')")
    page.locator(".foot .main").tap()
    page.locator(".run-head").wait_for()
    run = page.url
    assert "/tablet/run/" in run
    page.locator(".run-which").tap()
    page.locator(".job-main").wait_for()
    page.go_back()
    page.locator(".run-head").wait_for()
    assert page.url == run
    page.go_back()
    page.locator(".job-main").wait_for()
    page.go_back()
    page.locator(".home-main").wait_for()
    assert page.title() == "Floor"
    expect(page.locator(".view")).to_have_count(1)
    assert loaded == []


def test_a_run_that_nobody_knows_is_said_so_with_a_way_on(tablet: BrowserContext, demo: Demo) -> None:
    page = tablet.new_page()
    answer = page.goto(demo.address + "/tablet/run/00000000-0000-4000-8000-000000000000")
    assert answer
    assert answer.status == 404
    page.locator(".lost .sentence").wait_for()
    page.locator(".lost .go").tap()
    page.locator(".home-main").wait_for()


def test_a_scanner_is_heard_whatever_has_the_focus(tablet: BrowserContext, demo: Demo) -> None:
    page = tablet.new_page()
    ticket = address_of(page, demo, "Crest")
    start(page, demo, "Band jackets")
    page.locator(".foot-key").filter(has_text="Problem").tap()
    page.locator(".sheet button").filter(has_text="Leave a note").tap()
    note = page.locator("#note")
    note.evaluate("note => note.addEventListener('input', () => (window.kept = note.value))")
    for _ in range(TRIES):
        note.fill("thread is frayed ")
        note.focus()
        page.keyboard.type(f"{ticket.upper()}\n")  # on a busy machine perhaps not as fast as a scanner
        with contextlib.suppress(TimeoutError):
            page.wait_for_url(lambda url: "/T/" in url, timeout=3_000)
            break
    assert page.evaluate("window.kept") == "thread is frayed "
    expect(page.locator("h1")).to_have_text("Crest patches with a drum")


def test_slow_typing_is_no_scan_and_goes_to_the_field(tablet: BrowserContext, demo: Demo) -> None:
    page = tablet.new_page()
    page.goto(demo.address + "/tablet")
    page.locator(".who-key").focus()
    page.keyboard.type("k7q2m5", delay=80)
    assert page.locator("#typed").input_value() == "k7q2m5"
    page.keyboard.press("Enter")
    page.locator("#typed-error").filter(has_text="is not a ticket code").wait_for()


def test_the_tape_goes_on_to_the_next_place_and_a_late_half_makes_no_reading_up(
    tablet: BrowserContext, demo: Demo
) -> None:
    page = tablet.new_page()
    start(page, demo, "Band jackets")
    while not page.locator(".tape").count():
        page.locator(".foot .main").tap()
        page.wait_for_timeout(SETTLE_MS)
    chosen, values = page.locator(".reading-tile.is-chosen .mark"), page.locator(".reading-tile b")
    assert chosen.text_content() == "1"
    half_more = page.locator(".tape .key").last
    assert half_more.is_disabled()
    page.locator(".tape-mark").nth(3).tap()
    whole = float((values.nth(0).text_content() or "").replace("−", "-"))
    half_more.tap()
    assert float((values.nth(0).text_content() or "").replace("−", "-")) == whole + 0.5
    page.locator(".reading-tile.is-chosen .mark").filter(has_text="2").wait_for()
    assert half_more.is_disabled()
    assert values.nth(1).text_content() == "–"


def go_to_the_tape(page: Page, demo: Demo) -> None:
    start(page, demo, "Band jackets")
    while not page.locator(".tape").count():
        page.locator(".foot .main").tap()
        page.wait_for_timeout(SETTLE_MS)


def test_what_cannot_be_negative_is_offered_from_nothing_upwards(tablet: BrowserContext, demo: Demo) -> None:
    page = tablet.new_page()
    page.goto(demo.address + "/tablet")
    step = {"expected": 0, "low": 0, "high": 1, "never_low": 0, "never_high": 2}
    width = {"expected": 0, "low": 0, "high": 4, "never_low": 0, "never_high": 20}
    needle = {"expected": -3, "low": -4, "high": -2, "never_low": -9, "never_high": 3}
    tape = """async ([reading, value]) => {
      const { tape } = await import("/static/js/tablet/reading_view.js");
      return tape(reading, value).map((mark) => mark.value);
    }"""
    assert page.evaluate(tape, [width, None]) == [0, 1, 2, 3, 4, 5, 6]
    assert page.evaluate(tape, [width, 6]) == [0, 1, 2, 3, 4, 5, 6]
    assert page.evaluate(tape, [width, 12]) == [9, 10, 11, 12, 13, 14, 15]
    assert page.evaluate(tape, [step, None]) == [0, 0.5, 1, 1.5, 2, 2.5, 3]
    assert page.evaluate(tape, [needle, None]) == [-6, -5, -4, -3, -2, -1, 0]


def test_in_portrait_the_keys_lie_beside_the_button_and_leave_the_picture_its_room(
    tablet: BrowserContext, demo: Demo
) -> None:
    page = tablet.new_page()
    page.set_viewport_size({"width": 800, "height": 1280})
    go_to_the_tape(page, demo)
    picture, main = page.locator(".picture-frame").bounding_box(), page.locator(".foot .main").bounding_box()
    undo = page.locator(".foot-key").first.bounding_box()
    assert picture
    assert main
    assert undo
    assert picture["height"] >= LEAST_PICTURE_PX
    assert undo["x"] + undo["width"] <= main["x"]
    assert small_or_at_the_edge(page) == []


def test_who_decides_sees_the_button_however_low_the_screen(tablet: BrowserContext, demo: Demo) -> None:
    page = tablet.new_page()
    go_to_the_tape(page, demo)
    page.set_viewport_size({"width": 1024, "height": 600})
    reading = page.evaluate("Alpine.$data(document.querySelector('.run')).reading.id")
    page.evaluate(
        """name => Alpine.$data(document.querySelector(".run")).takeAsItIs(
          { what: "reading", name, accept: "supervisor" })""",
        reading,
    )
    page.locator("dialog[open] h2").wait_for()
    button = page.locator(".sheet-end .go").bounding_box()
    assert button
    assert button["y"] + button["height"] <= 600 - CLEAR_OF_EDGE_PX


def test_what_was_done_is_said_briefly_and_a_key_held_down_is_one_tap(
    tablet: BrowserContext, demo: Demo
) -> None:
    page = tablet.new_page()
    start(page, demo, "Pullovers")
    worker = Operator(page)
    worker.do(worker.phase() or {})
    count = page.locator(".run-count")
    before = int((count.text_content() or "").split()[0])
    page.locator(".foot .main").focus()
    for _ in range(12):
        page.keyboard.down("Enter")  # again and again without a release: a held key
        page.wait_for_timeout(100)
    page.keyboard.up("Enter")
    assert int((count.text_content() or "").split()[0]) == before + 1
    assert page.evaluate("document.activeElement.matches('.foot .main')")
    told = page.locator(".last li").all_text_contents()
    assert told
    assert [words for words in told if words.startswith("done")] == []


def test_a_hand_over_taken_back_leaves_the_tablet_with_who_was_there(
    tablet: BrowserContext, demo: Demo
) -> None:
    page = tablet.new_page()
    start(page, demo, "Band jackets")
    was = page.locator(".who-key").text_content() or ""
    page.locator(".who-key").tap()
    page.locator(".sheet .tile:not(.is-chosen)").last.tap()
    page.wait_for_function("was => document.querySelector('.who-key').textContent !== was", arg=was)
    page.locator(".foot-key").filter(has_text="Undo").tap()
    page.wait_for_function("was => document.querySelector('.who-key').textContent === was", arg=was)
    assert page.evaluate("localStorage.getItem('floor.operator')") == was.strip()


def test_what_waits_is_sent_as_soon_as_the_server_is_heard_again(tablet: BrowserContext, demo: Demo) -> None:
    page = tablet.new_page()
    start(page, demo, "Band jackets")
    page.route("**/sync", lambda route: route.abort())
    page.route("**/*.json", lambda route: route.abort())
    page.locator(".foot-key").filter(has_text="Pause").tap()
    page.locator(".sheet .choice").first.tap()
    page.wait_for_timeout(UNTIL_THE_NEXT_TRY_IS_FAR_MS)
    expect(page.locator(".saved.is-unsent")).to_have_count(1)
    page.unroute("**/sync")
    page.unroute("**/*.json")
    page.locator(".saved:not(.is-unsent)").wait_for(timeout=POLL_MS + 1_000)
    page.locator(".foot .main").tap()
    page.locator(".saved:not(.is-unsent)").wait_for()


def test_any_load_may_be_the_first_piece_and_the_batch_then_waits_for_it(
    tablet: BrowserContext, demo: Demo
) -> None:
    page = tablet.new_page()
    start(page, demo, "Crest")
    Operator(page).do_section()
    page.locator(".foot .main").filter(has_text="garments 1 to 3").wait_for()
    page.goto(address_of(page, demo, "Crest"))
    page.locator("#garment-5").tap()
    page.locator(".foot .main").filter(has_text="garment 5").filter(has_text="first piece").tap()
    page.wait_for_url("**/tablet/run/**")
    page.goto(address_of(page, demo, "Crest"))
    page.locator("#garment-1").tap()
    waits = page.locator(".foot .main").filter(has_text="The batch waits until the first piece, garment 5")
    assert waits.get_attribute("aria-disabled") == "true"


@pytest.mark.parametrize(("width", "height"), SIZES)
def test_a_long_title_leaves_the_way_back_its_room(
    tablet: BrowserContext, demo: Demo, width: int, height: int
) -> None:
    page = tablet.new_page()
    page.set_viewport_size({"width": width, "height": height})
    page.goto(address_of(page, demo, "Crest"))
    page.locator(".bar-title h1").evaluate("title => { title.textContent = 'Band jackets '.repeat(9); }")
    back, title = page.locator(".bar-back span"), page.locator(".bar-title")
    assert back.evaluate("one => one.getBoundingClientRect().right") <= title.evaluate(
        "one => one.getBoundingClientRect().left"
    )
    assert page.evaluate("document.documentElement.scrollWidth") <= width
