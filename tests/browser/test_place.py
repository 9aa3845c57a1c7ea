"""A front's place at the needle, under an operator's hand: measured twice by pointing at a tape, judged without a
network, nudged or laid again, in mm and in inches, on the split front and on a closed garment."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from tests.browser.operator import SETTLE_MS, Operator
from tests.browser.server import Demo
from tests.browser.test_tablet_pages import LETTERS, SIZES, small_or_at_the_edge, start

LEAST_LETTER_PX = 24
LEAST_MAIN_PX = 120
PORTRAIT_PICTURE_SHARE = 0.4
WHOLE_64TH_MM = 25.4 / 64

# All phases up to the one whose key begins so, each answered as it should be. `off`: by phase key, then reading,
# how far from the expected it was read.
WALK = """([until, off]) => {
  const run = Alpine.$data(document.querySelector(".run"));
  while (run.phase && !run.phase.key.startsWith(until)) {
    const { checks, readings, counts, key } = run.phase;
    const facts = checks.map((check) => ["check", { check: check.id, value: check.right }]);
    for (const take of [1, 2]) {
      for (const { id, takes, expected } of readings) {
        const value = expected + ((off[key] || {})[id] || 0);
        if (take <= takes) facts.push(["reading", { reading: id, value, ...(take > 1 ? { take } : {}) }]);
      }
    }
    for (const { id, side } of counts) facts.push(["count", { count: id, side, value: 4 }]);
    if (!run.emit(...facts, ["done", {}])) throw new Error(run.notice);
  }
  return run.phase ? run.phase.key : "";
}"""
ASKED_LATER = """async () => { await import("/static/js/outbox.js"); }"""
SAID = """async (kind) => {
  const { pending } = await import("/static/js/outbox.js");
  return pending().filter((event) => event.kind === kind).map((event) => event.data);
}"""


@pytest.fixture
def tablet(chromium: Browser, demo: Demo) -> Iterator[BrowserContext]:
    context = chromium.new_context(viewport={"width": 1280, "height": 800}, has_touch=True)
    page = context.new_page()
    page.goto(demo.address + "/tablet")
    page.evaluate("localStorage.setItem('floor.operator', 'Ines')")
    page.close()
    yield context
    context.close()


def walk(page: Page, until: str, off: dict[str, dict[str, float]] | None = None) -> str:
    """The key of the phase where the walk ended, "" where the run is over."""
    page.wait_for_timeout(SETTLE_MS)
    key: str = page.evaluate(WALK, [until, off or {}])
    page.locator(".saved:not(.is-unsent)").wait_for()
    page.wait_for_timeout(SETTLE_MS)
    return key


def leave_network(page: Page) -> None:
    """What is asked of the page later on, by the name of its module, is fetched before."""
    page.evaluate(ASKED_LATER)
    page.context.set_offline(True)


def at_the_place(tablet: BrowserContext, demo: Demo, title: str = "Band jackets") -> Operator:
    """The next front of the job, hooped and pinned, to be checked; from here on without a network, so that what
    one test says there never reaches the server."""
    page = tablet.new_page()
    for _ in range(3):
        start(page, demo, title)
        if walk(page, "check-place"):
            leave_network(page)
            return Operator(page)
    raise AssertionError("no front is to be checked")


def expected_of(worker: Operator, **off: float) -> dict[str, float]:
    """What every place of the phase reads when it lies right, or off by so much."""
    phase = worker.phase()
    assert phase is not None
    return {reading["id"]: reading["expected"] + off.get(reading["id"], 0) for reading in phase["readings"]}


def said(page: Page, kind: str) -> list[dict[str, Any]]:
    """The data of the events of that kind that this tablet has not sent."""
    found: list[dict[str, Any]] = page.evaluate(SAID, kind)
    return found


def text(page: Page, what: str) -> str:
    return " ".join((page.locator(what).first.text_content() or "").split())


def type_length(worker: Operator, words: str, side: str) -> None:
    """On the pad, key by key, and the side that takes it."""
    page = worker.page
    if page.locator(".length-pad").count() == 0:
        worker.tap(page.locator(".place-more button").filter(has_text="Type a number"))
    page.locator("#length").fill("")
    for sign in words:
        name = "space" if sign == " " else sign
        worker.tap(page.locator(".pad-keys button").get_by_text(name, exact=True))
    worker.tap(page.locator(".pad-sides button").filter(has_text=side))


def test_nothing_absurd_counts_before_it_was_asked_back(tablet: BrowserContext, demo: Demo) -> None:
    worker = at_the_place(tablet, demo)
    page = worker.page
    worker.ready_for("u", 1)
    faults = {"200": "Did you mean 20 mm?", "3/0": "divides by nothing", "1.2.3": "no length on a tape"}
    for typed, told in faults.items():
        type_length(worker, typed, "Below the button")
        assert told in text(page, ".length-pad .care")
        assert page.locator("#length").input_value() == typed
    page.locator("#length").fill("two")
    worker.tap(page.locator(".pad-sides button").first)
    assert "no length on a tape" in text(page, ".length-pad .care")
    assert said(page, "reading") == []
    type_length(worker, "22", "Above the button")  # it lies as far below it
    page.locator(".question").wait_for()
    assert text(page, ".question .ask") == (
        "1 22 mm above the button, and 22 mm below it is planned. Which side is the needle on?"
    )
    assert said(page, "reading") == []
    worker.tap(page.locator(".question button").filter(has_text="Below the button"))
    assert said(page, "reading") == [{"reading": "u", "value": -22}]


def test_a_value_far_off_is_taken_once_it_is_confirmed_and_put_aside_otherwise(
    tablet: BrowserContext, demo: Demo
) -> None:
    worker = at_the_place(tablet, demo)
    page = worker.page
    worker.ready_for("u", 1)
    type_length(worker, "28", "Below the button")
    assert text(page, ".question .ask") == "1 6 mm off what is planned. Is it really 28 mm below the button?"
    worker.tap(page.locator(".question button").filter(has_text="No, measure again"))
    assert said(page, "reading") == []
    assert page.locator(".stepper").is_visible()
    type_length(worker, "28", "Below the button")
    worker.tap(page.locator(".question button").filter(has_text="Yes, it lies so"))
    assert said(page, "reading") == [{"reading": "u", "value": -28}]
    assert said(page, "accept") == [{"what": "reading", "name": "u", "reason": "measured so"}]


def test_the_first_value_is_hidden_while_the_second_is_taken_and_two_that_differ_are_asked_again(
    tablet: BrowserContext, demo: Demo
) -> None:
    worker = at_the_place(tablet, demo)
    page, values = worker.page, expected_of(worker)
    for name, value in values.items():
        worker.ready_for(name, 1)
        worker.point(value)
    worker.ready_for("u", 2)
    tile = page.locator(".place-tile").first
    assert "22" not in (tile.text_content() or "")
    assert "again" in text(page, ".foot .main")
    worker.point(values["u"] + 1)
    for name in ("l", "a", "b"):
        worker.ready_for(name, 2)
        assert "21" in (tile.text_content() or "")
        worker.point(values[name])
    worker.ready_for("u", 3)
    assert "22 mm below the button and 21 mm below the button" in text(page, ".place-asked .ask")
    assert "once more" in text(page, ".foot .main")
    worker.point(values["u"])
    page.locator(".judged").wait_for()
    assert said(page, "reading")[-1] == {"reading": "u", "value": values["u"], "take": 3}
    assert text(page, ".verdict strong") == "Sew"


def test_a_tap_on_a_tile_goes_back_to_correct_it_and_half_a_millimetre_is_a_tap(
    tablet: BrowserContext, demo: Demo
) -> None:
    worker = at_the_place(tablet, demo)
    page, values = worker.page, expected_of(worker)
    worker.ready_for("u", 1)
    less = page.locator(".stepper button").first
    assert less.is_disabled()
    worker.point(values["u"])
    worker.ready_for("l", 1)
    worker.tap(page.locator(".place-tile").first)
    worker.ready_for("u", 1)
    worker.tap(less)  # lower: further below the button
    assert text(page, ".stepper-value") == "22.5 mmbelow the button"
    assert said(page, "reading")[-1] == {"reading": "u", "value": values["u"] - 0.5}
    worker.ready_for("l", 1)


def test_a_front_that_lies_askew_is_laid_again_with_words_for_how_it_turns(
    tablet: BrowserContext, demo: Demo
) -> None:
    worker = at_the_place(tablet, demo)
    page = worker.page
    worker.measure(expected_of(worker, a=2, b=-2))
    assert text(page, ".verdict strong") == "Re-lay"
    advice = text(page, ".verdict-advice")
    assert advice.startswith("Lift it, and turn the lower edge ")
    assert advice.endswith(" mm inward.")
    worker.tap(page.locator(".foot .main:visible"))
    page.locator(".words h1").filter(has_text="Lay the left front").wait_for()
    assert said(page, "again") == [{"how": "laid again"}]
    assert [fact["cause"] for fact in said(page, "redo")] == ["lies-wrong"]


def test_what_is_read_in_inches_is_shown_in_64ths_and_logged_in_mm(
    tablet: BrowserContext, demo: Demo
) -> None:
    worker = at_the_place(tablet, demo)
    page, values = worker.page, expected_of(worker)
    worker.ready_for("u", 1)
    worker.tap(page.locator(".place-more button").filter(has_text="in inches"))
    worker.point(values["u"])
    assert text(page, ".stepper-value b") == "55/64 in"
    first = said(page, "reading")[-1]["value"]
    assert first == pytest.approx(-55 * WHOLE_64TH_MM, abs=1e-3)
    worker.tap(page.locator(".stepper button").first)
    assert text(page, ".stepper-value b") == "7/8 in"
    worker.ready_for("l", 1)
    type_length(worker, "1 1/16", "Above the button")
    assert said(page, "reading")[-1]["value"] == pytest.approx(-17 / 16 * 25.4, abs=1e-3)
    assert page.evaluate("localStorage.getItem('floor.unit')") == "in"


def test_a_closed_garment_is_judged_against_its_drawn_lines(tablet: BrowserContext, demo: Demo) -> None:
    worker = at_the_place(tablet, demo, "Pullovers")
    page = worker.page
    worker.measure(expected_of(worker, u=2.5, l=-2.5, a=1, b=1))
    assert text(page, ".verdict strong") == "Nudge"
    assert "off its drawn lines" in text(page, ".strips figcaption")
    assert "toward the hem" in text(page, ".verdict-advice")
    assert "to the left" in text(page, ".verdict-advice")
    assert page.locator(".strip svg path").count() > 0


@pytest.mark.parametrize(("width", "height"), SIZES)
def test_each_moment_of_a_place_fits_its_screen(
    tablet: BrowserContext, demo: Demo, width: int, height: int
) -> None:
    worker = at_the_place(tablet, demo)
    page = worker.page
    page.set_viewport_size({"width": width, "height": height})
    page.wait_for_timeout(300)
    fits(page)
    worker.ready_for("u", 1)
    fits(page)
    type_length(worker, "200", "Below the button")
    assert small_or_at_the_edge(page) == []
    page.keyboard.press("Escape")
    page.locator(".length-pad").wait_for(state="detached")
    type_length(worker, "22", "Above the button")
    fits(page)
    worker.tap(page.locator(".question button").filter(has_text="No, measure again"))
    worker.measure(expected_of(worker, u=1.5, l=-1.5))
    fits(page)
    worker.tap(page.locator(".place-tile").first)
    worker.tap(page.locator(".place-more button").filter(has_text="in inches"))
    fits(page)


def fits(page: Page) -> None:
    """Letters, targets, the button and the picture are large enough, and nothing is below the fold."""
    assert small_or_at_the_edge(page) == []
    assert [row for row in page.evaluate(LETTERS) if row[0] < LEAST_LETTER_PX] == []
    main, picture = (
        page.locator(".foot .main:visible").bounding_box(),
        page.locator(".picture").bounding_box(),
    )
    size = page.viewport_size
    assert main
    assert picture
    assert size
    assert main["height"] >= LEAST_MAIN_PX
    assert main["y"] + main["height"] <= size["height"]
    if size["height"] > size["width"]:
        assert picture["height"] >= PORTRAIT_PICTURE_SHARE * size["height"]
    hidden = """() => [".words", ".run-main"].map((one) => document.querySelector(one))
      .map((box) => box.scrollHeight - box.clientHeight)"""
    assert max(page.evaluate(hidden)) <= 2


def test_the_second_front_is_nudged_to_meet_the_first_as_sewn_without_a_network(
    tablet: BrowserContext, demo: Demo
) -> None:
    page = tablet.new_page()
    for _ in range(2):
        start(page, demo, "Band jackets")
        while page.locator(".words h1").count() and walk(page, "nothing"):
            pass
        if page.evaluate("Alpine.$data(document.querySelector('.run')).section.front") == "left":
            break
    start(page, demo, "Band jackets")
    # The left front was sewn 1.2 mm too far toward the collar.
    assert walk(page, "check-place", {"measure-other": {"u": 1.2, "l": -1.2}}) == "check-place"
    leave_network(page)
    worker = Operator(page)
    worker.measure(expected_of(worker))
    assert text(page, ".verdict strong") == "Nudge"
    assert "the halves would step by 1." in text(page, ".strips figcaption")
    button = text(page, ".foot .main:visible")
    assert button.startswith("Nudge 1.")
    assert "mm toward the collar" in button
    assert "sleeve" not in button
    assert "edge" not in button
    worker.tap(page.locator(".foot .main:visible"))
    (again,) = said(page, "again")
    assert again["how"] == "nudged"
    assert again["along"] == pytest.approx(1.2, abs=0.21)
    assert again["across"] == 0
    page.wait_for_timeout(SETTLE_MS)
    assert text(page, ".place-tries") == f"1st: nudged {again['along']:.1f} mm toward the collar"
    worker.measure(expected_of(worker, u=1, l=-1), takes=1)
    assert text(page, ".verdict strong") == "Sew"
    worker.tap(page.locator(".foot .go.main:visible").filter(has_text="Done"))
    page.locator(".words h1").filter(has_text="Check the place").wait_for(state="detached")
    expect(page.locator(".saved.is-unsent")).to_have_count(1)
