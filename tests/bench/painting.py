"""How long after a tap its change is painted, on a processor slowed down four times: `python -m tests.bench.painting`.

A front is walked in the real page by a finger that stays down as long as a finger does. Two times of each tap, from the
browser's own stamp to the frame after it, told by its event timing: from the finger coming down till the tap is seen
to be taken, and from its lifting till all that the tap brings about stands there. Printed: median, 90th and 99th
percentile and the longest, slowed and not, in one run on one machine; headless and without a graphics card, which makes
painting itself slow. A bare page with one button that says something else at each tap goes first: less than that no
page takes here.
"""

from __future__ import annotations

import argparse
import shutil
import tempfile
from pathlib import Path

from playwright.sync_api import Browser, Locator, Page, sync_playwright

from tests.browser.conftest import BROWSERS, WITHOUT_A_DESKTOP
from tests.browser.operator import Operator
from tests.browser.small_shop import SmallShop, small_shop
from tests.conftest import make_tablet

SLOWER = 4
BARE_TAPS = 40
DOWN_MS = 80
STILL_MS = 300  # nothing else is being painted when the finger comes down
WATCH = """() => {
  window.taps = [];
  window.presses = [];
  new PerformanceObserver((list) => {
    for (const entry of list.getEntries()) {
      const kept = { click: window.taps, pointerdown: window.presses }[entry.name];
      const { startTime, processingStart, processingEnd, duration } = entry;
      kept?.push([processingStart - startTime, processingEnd - processingStart, duration]);
    }
  }).observe({ type: "event", durationThreshold: 16, buffered: true });
}"""


Times = list[tuple[float, float, float]]  # waited, worked and painted, ms, of each tap


class Finger(Operator):
    """Taps where a thing lies, as a finger does: nothing of the test's own listens in the page meanwhile."""

    def __init__(self, page: Page, slower: float) -> None:
        super().__init__(page)
        self.session = page.context.new_cdp_session(page)
        self.slower = slower

    def begin(self) -> None:
        self.session.send("Emulation.setCPUThrottlingRate", {"rate": self.slower})
        self.page.evaluate(WATCH)

    def end_of_it(self) -> tuple[Times, Times]:
        """Of fingers coming down, and of taps."""
        self.page.wait_for_timeout(500)
        presses, taps = self.page.evaluate("[window.presses, window.taps]")
        self.page.context.close()
        return [tuple(one) for one in presses], [tuple(one) for one in taps]

    def tap(self, target: Locator) -> None:
        target.scroll_into_view_if_needed()
        target.wait_for()
        box = target.bounding_box()
        assert box is not None
        self.page.wait_for_timeout(STILL_MS)
        self.touch(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
        self.taps += 1

    def touch(self, x: float, y: float) -> None:
        point = {"x": x, "y": y}
        self.session.send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": [point]})
        self.page.wait_for_timeout(DOWN_MS)
        self.session.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})


def walked(browser: Browser, shop: SmallShop, garment: int, slower: float) -> tuple[Times, Times]:
    context = browser.new_context(
        base_url=shop.address, viewport={"width": 1280, "height": 800}, has_touch=True
    )
    page = context.new_page()
    page.goto(f"/T/{shop.code}/{garment}")
    page.locator(".who-key").tap()
    page.locator(".tile").filter(has_text="Ines").tap()
    page.locator(".foot .main").tap()
    page.locator(".words h1").wait_for()
    page.wait_for_timeout(4000)  # what is fetched ahead is in by now
    finger = Finger(page, slower)
    finger.begin()
    finger.do_section()
    return finger.end_of_it()


def bare(browser: Browser, slower: float) -> tuple[Times, Times]:
    """The same of a page with one button, which says something else at each tap and when a finger comes down."""
    page = browser.new_context(viewport={"width": 1280, "height": 800}, has_touch=True).new_page()
    says = "this.textContent = Math.random()"
    page.set_content(f"<button onclick='{says}' onpointerdown='{says}'>begin</button>")
    finger = Finger(page, slower)
    finger.begin()
    for _ in range(BARE_TAPS):
        finger.tap(page.locator("button"))
    return finger.end_of_it()


def told(name: str, found: tuple[Times, Times]) -> None:
    print(name)
    for what, times in zip(("seen to be taken", "all painted"), found, strict=True):
        painted = sorted(one[2] for one in times)
        waited = sorted(one[0] for one in times)
        worked = sorted(one[1] for one in times)
        print(
            f"  {what}: {len(times)} times, after {at(painted, 0.5):.0f} ms (median), {at(painted, 0.9):.0f} (90 %), "
            f"{at(painted, 0.99):.0f} (99 %), {painted[-1]:.0f} at most; "
            f"waited {at(waited, 0.5):.0f} ms (median), {at(waited, 0.99):.0f} (99 %); "
            f"own work {at(worked, 0.5):.0f} ms (median), {at(worked, 0.99):.0f} (99 %)"
        )


def at(values: list[float], share: float) -> float:
    return values[min(len(values) - 1, int(share * len(values)))]


def main() -> None:
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("--slower", type=float, default=SLOWER)
    asked = words.parse_args()
    path = next((found for found in map(shutil.which, BROWSERS) if found), None)
    with (
        tempfile.TemporaryDirectory() as place,
        small_shop(Path(place)) as shop,
        sync_playwright() as playwright,
    ):
        tablet = make_tablet()
        tablet.walk(shop.code, "prepare")
        tablet.send()
        browser = playwright.chromium.launch(executable_path=path, args=WITHOUT_A_DESKTOP)
        for words_of, slower in (("as fast as it is", 1), (f"{asked.slower:g} times slower", asked.slower)):
            told(f"a bare page, {words_of}", bare(browser, slower))
            told(f"a front, {words_of}", walked(browser, shop, 1, slower))
        browser.close()


if __name__ == "__main__":
    main()
