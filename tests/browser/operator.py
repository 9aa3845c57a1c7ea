"""An operator who works by what the tablet shows: taps, and keeps count of the taps."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from typing import Any

from playwright.sync_api import Locator, Page, expect

SETTLE_MS = 700  # a second tap this soon after a phase changed counts as a slip of the finger
TAPE_SETTLES_MS = 450  # a tap this soon after the tape went on is taken for a slip too
MAX_STEPS = 400
CHECKLIST = "JSON.stringify(Alpine.$data(document.querySelector('.run')).checklist)"


class Operator:
    """`taps` counts every tap; `by_phase` those of each phase, by "section: phase"."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.taps = 0
        self.phases = 0

    def tap(self, target: Locator) -> None:
        target.scroll_into_view_if_needed()
        target.tap()
        self.taps += 1

    def tap_words(self, words: str, within: str = "body") -> None:
        self.tap(self.page.locator(within).locator("button:visible, a:visible").filter(has_text=words).first)

    @property
    def checklist(self) -> dict[str, Any]:
        checklist: dict[str, Any] = json.loads(self.page.evaluate(CHECKLIST))
        return checklist

    def phase(self) -> dict[str, Any] | None:
        """The phase whose title the page shows; None when the run is over."""
        if self.page.locator("main.summary").count():
            return None
        title = self.page.locator(".words h1").text_content()
        at = int((self.page.locator(".run-count").text_content() or "0").split()[0]) - 1
        phase: dict[str, Any] = self.checklist["phases"][at]
        assert phase["title"] == title
        return phase

    def give_what_is_asked(self, phase: dict[str, Any]) -> None:
        """Checks that do not end the phase, readings as expected."""
        for check in phase["checks"]:
            if not check["ends"]:
                self.tap(self.page.locator(".check").locator("button").filter(has_text=check["right"]))
        if phase["place"] is not None:
            self.measure({reading["id"]: reading["expected"] for reading in phase["readings"]})
            return
        for at, reading in enumerate(phase["readings"]):
            tile = self.page.locator(".reading-tile").nth(at)
            expect(tile).to_have_class(re.compile("is-chosen"))  # the tape has gone on to it by itself
            self.page.wait_for_timeout(TAPE_SETTLES_MS)
            self.tap(self.page.locator(".tape-mark").nth(self._nearest(reading["expected"])))

    def measure(self, values: dict[str, float], takes: int = 2) -> None:
        """A whole round at a judged place, by pointing at the tape: every place once, then once more; after a nudge
        once is enough."""
        for take in range(1, takes + 1):
            for name, value in values.items():
                self.ready_for(name, take)
                self.point(value)
        self.page.locator(".judged").wait_for()
        self.page.wait_for_timeout(SETTLE_MS)

    def ready_for(self, name: str, take: int) -> None:
        """Waits until the tablet asks for this reading; tells it first that the trace is done."""
        begin = self.page.locator(".foot .main:visible").filter(has_text="easure at 1")
        if self.page.locator(".place-drawing").count() == 0:
            self.tap(begin)
        self.page.wait_for_function(
            """([name, take]) => {
              const run = Alpine.$data(document.querySelector(".run"));
              return run.isReading && run.target.reading.id === name && run.target.take === take && run.pane.width;
            }""",
            arg=[name, take],
        )
        self.page.wait_for_timeout(TAPE_SETTLES_MS)

    def point(self, value: float) -> None:
        """A finger on the drawing where the tape shows that many mm, + on the side that the reading calls plus.
        The half millimetre is the tape's own to find."""
        drawing = self.page.locator(".place-drawing").bounding_box()
        assert drawing is not None
        across, along = self.page.evaluate(
            """value => {
              const { layout } = Alpine.$data(document.querySelector(".run"));
              return [layout.isAcross, layout.at(value)];
            }""",
            value,
        )
        x, y = (along, drawing["height"] * 0.8) if across else (drawing["width"] * 0.8, along)
        self.touch(drawing["x"] + x, drawing["y"] + y)
        self.taps += 1

    def touch(self, x: float, y: float) -> None:
        self.page.touchscreen.tap(x, y)

    def _nearest(self, expected: float) -> int:
        words = self.page.locator(".tape-mark").all_text_contents()
        values = [float(w.replace("−", "-").split()[0]) for w in words]
        return min(range(len(values)), key=lambda i: abs(values[i] - expected))

    def end(self, phase: dict[str, Any], pins: int = 4) -> None:
        """The tap that ends the phase: a count, an answer, or the one big button."""
        ending = next((c for c in phase["checks"] if c["ends"]), None)
        if phase["counts"]:
            self.tap(self.page.locator(".count-chips .chip").filter(has_text=str(pins)).first)
        elif ending is not None:
            self.tap(self.page.locator(".answers .answer").filter(has_text=ending["right"]))
        else:
            self.tap(self.page.locator(".foot .main:visible"))

    def do(self, phase: dict[str, Any]) -> None:
        before = self.page.locator(".run-count").text_content()
        self.give_what_is_asked(phase)
        self.end(phase)
        self.phases += 1
        self.page.wait_for_function(
            "before => document.querySelector('main.summary')"
            " || (document.querySelector('.run-count') || {}).textContent !== before",
            arg=before,
        )
        self.page.wait_for_timeout(SETTLE_MS)

    def do_section(self, at: Callable[[str], None] = lambda key: None) -> None:
        """All phases of the section on the screen; `at` is called with each phase's key before it is done."""
        for _ in range(MAX_STEPS):
            phase = self.phase()
            if phase is None:
                return
            at(phase["key"])
            phase = self.phase()
            if phase is None:
                return
            self.do(phase)
        raise AssertionError("the section does not end")
