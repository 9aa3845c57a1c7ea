"""How long after a tap its change is painted, on a processor slowed down four times: `python -m tests.bench.painting`.

A front is walked in the real page; each tap's time runs from the browser's own stamp of the click to the frame after
it, told by the browser's event timing. Printed: median, 90th and 99th percentile and the longest, slowed and not, in
one run on one machine; headless and without a graphics card, which makes painting itself slow. A bare page with nothing
but one button that says something else at each tap goes first: less than that no page takes here.
"""

from __future__ import annotations

import argparse
import shutil
import statistics
import tempfile
from pathlib import Path

from playwright.sync_api import Browser, Locator, sync_playwright

from tests.browser.conftest import BROWSERS, WITHOUT_A_DESKTOP
from tests.browser.operator import Operator
from tests.browser.small_shop import SmallShop, small_shop
from tests.conftest import make_tablet

SLOWER = 4
BARE_TAPS = 40
STILL_MS = 300  # nothing else is being painted when the finger comes down
WATCH = """() => {
  window.taps = [];
  new PerformanceObserver((list) => {
    for (const entry of list.getEntries()) {
      if (entry.name === "click") window.taps.push([entry.processingStart - entry.startTime,
        entry.processingEnd - entry.processingStart, entry.duration]);
    }
  }).observe({ type: "event", durationThreshold: 16, buffered: true });
}"""


class Finger(Operator):
    """Taps where a thing lies, as a finger does: nothing of the test's own listens in the page meanwhile."""

    def tap(self, target: Locator) -> None:
        target.scroll_into_view_if_needed()
        target.wait_for()
        box = target.bounding_box()
        assert box is not None
        self.page.wait_for_timeout(STILL_MS)
        self.page.touchscreen.tap(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
        self.taps += 1


def walked(
    browser: Browser, shop: SmallShop, garment: int, slower: float
) -> list[tuple[float, float, float]]:
    """Waited, worked and painted, ms, of each tap of a front's walk."""
    context = browser.new_context(
        base_url=shop.address, viewport={"width": 1280, "height": 800}, has_touch=True
    )
    page = context.new_page()
    page.goto(f"/T/{shop.code}/{garment}")
    page.locator(".who-key").tap()
    page.locator(".tile").filter(has_text="Ines").tap()
    worker = Finger(page)
    worker.tap(page.locator(".foot .main"))
    page.locator(".words h1").wait_for()
    page.wait_for_timeout(4000)  # what is fetched ahead is in by now
    session = context.new_cdp_session(page)
    session.send("Emulation.setCPUThrottlingRate", {"rate": slower})
    page.evaluate(WATCH)
    worker.do_section()
    page.wait_for_timeout(500)
    found = page.evaluate("window.taps")
    context.close()
    return [(one[0], one[1], one[2]) for one in found]


def bare(browser: Browser, slower: float) -> list[tuple[float, float, float]]:
    """The same of a page with one button, which says something else at each tap."""
    context = browser.new_context(viewport={"width": 1280, "height": 800}, has_touch=True)
    page = context.new_page()
    page.set_content("<button onclick='this.textContent = Math.random()'>begin</button>")
    context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": slower})
    page.evaluate(WATCH)
    finger = Finger(page)
    for _ in range(BARE_TAPS):
        finger.tap(page.locator("button"))
    page.wait_for_timeout(500)
    found = page.evaluate("window.taps")
    context.close()
    return [(one[0], one[1], one[2]) for one in found]


def told(name: str, taps: list[tuple[float, float, float]]) -> None:
    painted = sorted(one[2] for one in taps)
    worked = sorted(one[1] for one in taps)

    def at(values: list[float], share: float) -> float:
        return values[min(len(values) - 1, int(share * len(values)))]

    print(
        f"{name}: {len(taps)} taps, painted after {statistics.median(painted):.0f} ms (median), "
        f"{at(painted, 0.9):.0f} (90 %), {at(painted, 0.99):.0f} (99 %), {painted[-1]:.0f} at most; "
        f"own work {statistics.median(worked):.0f} ms (median), {at(worked, 0.99):.0f} (99 %)"
    )


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
