"""What a tablet's clock was worth: within two seconds of the truth, or flagged."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import pairwise
from random import Random
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page

from tests.browser.fake_sync import FakeServer, send, start
from tests.browser.modules import open_page, serve_modules

HOUR_MS = 3_600_000
YEAR_MS = 365 * 24 * HOUR_MS
NEAR_MS = 2_000

READ = """async ({segments, events}) => {
    const {readChain, adriftAmong} = await import("/static/js/clock_chain.js");
    const read = readChain(segments);
    const found = events.map((event) => ({...event, ...read(event.segment, event.steady)}));
    const adrift = new Set(adriftAmong(found));
    return found.map((event) => ({...event, adrift: adrift.has(event.id)}));
}"""


@pytest.fixture(scope="module")
def bare(chromium: Browser) -> Iterator[Page]:
    context = chromium.new_context()
    serve_modules(context)
    yield open_page(context)
    context.close()


@dataclass
class Tablet:
    """A simulated tablet: true time passes, its wall clock is set, its steady clock sleeps; it segments as clock.js
    does. The server's clock is the truth."""

    true: float = 1.8e12
    wrong_by: float = 0
    steady: float = 0
    segments: list[dict[str, Any]] = field(default_factory=list)
    events: list[dict[str, Any]] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.open_page()

    @property
    def wall(self) -> float:
        return self.true + self.wrong_by

    def open_page(self) -> None:
        newest = max((segment["seen"]["wall"] for segment in self.segments), default=0)
        back = max(0, newest - self.wall)
        self.steady = 0
        self._begin(None, back if back > 1000 else 0)

    def _begin(self, gap: float | None, back: float) -> None:
        self.segments.append({
            "id": f"s{len(self.segments)}", "gap": gap, "back": back, "wall": self.wall, "steady": self.steady,
            "seen": {"wall": self.wall}, "samples": [],
        })  # fmt: skip

    def watch(self) -> dict[str, Any]:
        segment = self.segments[-1]
        gap = self.wall - segment["wall"] - (self.steady - segment["steady"])
        if abs(gap) > 500:
            self._begin(gap, max(0, -gap) if gap < -1000 else 0)
        self.segments[-1]["seen"] = {"wall": self.wall}
        return self.segments[-1]

    def wait(self, ms: float, asleep: bool = False) -> None:
        self.true += ms
        self.steady += 0 if asleep else ms

    def set_clock(self, by: float) -> None:
        self.wrong_by += by

    def tap(self) -> None:
        segment = self.watch()
        self.events.append({
            "id": f"e{len(self.events)}", "segment": segment["id"], "steady": self.steady, "at": self.wall,
            "true": self.true,
        })  # fmt: skip

    def sample(self, trip: float = 40, off: float = 0) -> None:
        segment = self.watch()
        segment["samples"].append({"steady": self.steady, "offset": off - self.wrong_by, "trip": trip})


def read(page: Page, tablet: Tablet) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = page.evaluate(READ, {"segments": tablet.segments, "events": tablet.events})
    return found


def flags(page: Page, tablet: Tablet) -> list[bool]:
    return [event["adrift"] for event in read(page, tablet)]


def is_right(event: dict[str, Any]) -> bool:
    return bool(abs(event["at"] + event["offset"] - event["true"]) <= NEAR_MS)


def test_a_year_wrong_from_the_start_is_right_by_one_sample(bare: Page) -> None:
    tablet = Tablet(wrong_by=-YEAR_MS)
    tablet.tap()
    tablet.wait(HOUR_MS)
    tablet.tap()
    tablet.sample()
    events = read(bare, tablet)
    assert all(map(is_right, events))
    assert flags(bare, tablet) == [False, False]


@pytest.mark.parametrize("by", [HOUR_MS, -HOUR_MS, 3_000, -3_000, YEAR_MS])
def test_a_clock_that_is_set_between_two_samples_is_right_on_both_sides(bare: Page, by: float) -> None:
    tablet = Tablet()
    tablet.sample()
    tablet.tap()
    tablet.wait(60_000)
    tablet.set_clock(by)
    tablet.wait(1_000)
    tablet.tap()
    tablet.sample()
    assert all(map(is_right, read(bare, tablet)))
    assert flags(bare, tablet) == [False, False]


def test_a_tablet_that_slept_unheard_is_told_from_one_whose_clock_was_set(bare: Page) -> None:
    for slept in (True, False):
        tablet = Tablet()
        tablet.sample()
        tablet.tap()
        for _ in range(2):
            tablet.wait(HOUR_MS, asleep=True)
            if not slept:
                tablet.set_clock(HOUR_MS)
            tablet.tap()
            tablet.wait(60_000)
        tablet.sample()
        if slept:
            assert all(map(is_right, read(bare, tablet)))
        assert flags(bare, tablet) == ([False] * 3 if slept else [False, True, True])


def test_a_page_opened_anew_between_samples_that_agree_goes_on(bare: Page) -> None:
    tablet = Tablet(wrong_by=90_000)
    tablet.sample()
    for _ in range(3):
        tablet.tap()
        tablet.wait(20_000)
        tablet.open_page()
    tablet.tap()
    tablet.sample()
    assert all(map(is_right, read(bare, tablet)))
    assert not any(flags(bare, tablet))


def test_a_clock_seen_to_be_set_back_and_forward_again_is_flagged_though_samples_agree(bare: Page) -> None:
    tablet = Tablet()
    tablet.sample()
    tablet.tap()
    tablet.set_clock(-30 * 60_000)
    tablet.wait(60_000)
    tablet.tap()
    tablet.set_clock(30 * 60_000)
    tablet.wait(60_000)
    tablet.tap()
    tablet.sample()
    assert flags(bare, tablet) == [False, True, True]


def test_a_clock_that_lost_its_battery_is_flagged_until_it_is_measured(bare: Page) -> None:
    tablet = Tablet()
    tablet.sample()
    tablet.tap()
    tablet.wait(HOUR_MS)
    tablet.set_clock(-50 * YEAR_MS)
    tablet.open_page()
    tablet.tap()
    tablet.wait(60_000)
    tablet.tap()
    tablet.wait(60_000)
    tablet.set_clock(50 * YEAR_MS)
    tablet.tap()
    tablet.sample()
    events = read(bare, tablet)
    assert [event["adrift"] for event in events] == [False, True, False, True]
    assert is_right(events[2])  # the likeliest is not far off


def test_stretches_between_samples_of_one_segment_that_differ_are_each_flagged(bare: Page) -> None:
    tablet = Tablet()
    tablet.tap()
    tablet.sample()
    for _ in range(2):
        tablet.wait(10_000)
        tablet.tap()
    tablet.sample(off=30_000)  # the server's clock was set
    tablet.wait(10_000)
    tablet.tap()
    tablet.tap()
    assert flags(bare, tablet) == [False, True, True, True, False]


def test_a_sample_that_took_long_is_no_measure(bare: Page) -> None:
    tablet = Tablet()
    tablet.sample(trip=15_000, off=7_000)
    tablet.tap()
    (event,) = read(bare, tablet)
    assert (event["known"], event["adrift"], event["offset"]) == (False, True, 7_000)


def test_events_of_a_segment_that_nothing_is_known_of_are_flagged(bare: Page) -> None:
    tablet = Tablet()
    tablet.sample()
    tablet.tap()
    tablet.events[0]["segment"] = "long gone"
    assert flags(bare, tablet) == [True]
    tablet.segments.clear()
    assert flags(bare, tablet) == [True]


@pytest.mark.parametrize("seed", range(4))
def test_whatever_happens_times_are_near_the_truth_or_flagged(bare: Page, seed: int) -> None:
    """Sleeps, sets, new pages and samples at random. No two sets cancel each other: that would deceive anybody."""
    random = Random(seed)
    told = flagged = 0
    for _ in range(60):
        tablet = Tablet(wrong_by=random.choice([0, -YEAR_MS, random.uniform(-HOUR_MS, HOUR_MS)]))
        busy = random.random()
        for _ in range(40):
            happens(tablet, random, busy)
        tablet.sample(trip=random.uniform(5, 400))
        events = read(bare, tablet)
        for before, event in pairwise(events):
            if event["adrift"]:
                flagged += 1
                continue
            told += 1
            length = event["at"] + event["offset"] - before["at"] - before["offset"]
            assert abs(length - (event["true"] - before["true"])) <= 2 * NEAR_MS
            assert length >= -NEAR_MS
        assert all(is_right(event) for event in events if event["known"])
    assert told > 5 * flagged > 0


def happens(tablet: Tablet, random: Random, busy: float) -> None:
    chance = random.random()
    if chance < 0.55:
        tablet.wait(random.uniform(500, 120_000))
        tablet.tap()
    elif chance < 0.85:
        trip = random.uniform(5, 400)
        tablet.sample(trip, off=random.uniform(-trip / 2, trip / 2))
    elif chance < 0.90:
        tablet.wait(random.uniform(1_000, HOUR_MS), asleep=True)
    elif chance < 0.95:
        tablet.wait(random.uniform(0, 60_000))
        tablet.open_page()
    elif busy < 0.7:
        tablet.set_clock(random.choice([-1, 1]) * random.uniform(3_000, 3 * HOUR_MS))


# A browser whose clock is set by hand, and stays so in its next pages.
SET_CLOCK = """
    const real = Date.now.bind(Date);
    Date.now = () => real() + Number(localStorage.getItem("wrong by") ?? 0);
"""


@pytest.fixture
def set_tablet(chromium: Browser, server: FakeServer) -> Iterator[BrowserContext]:
    context = chromium.new_context()
    serve_modules(context)
    context.add_init_script(SET_CLOCK)
    context.route("**/sync", server.answer)
    yield context
    context.close()


def set_clock(page: Page, wrong_by_ms: int) -> None:
    page.evaluate("ms => localStorage.setItem('wrong by', ms)", wrong_by_ms)


def tap_in_run(page: Page, text: str) -> None:
    page.evaluate(
        "text => void tap(text, (window.run ??= localStorage.run ??= floor.newId()))",
        text,
    )


def told(server: FakeServer) -> list[tuple[list[str], int, list[str]]]:
    """Of each batch with events: the texts, by how many minutes the tablet says its clock is slow, which texts are
    adrift."""
    batches = []
    for body in server.bodies:
        texts = {event["id"]: event["data"]["text"] for event in body["events"]}
        if texts:
            clock = body["clock"]
            minutes = round(clock["offset_ms"] / 60_000)
            batches.append((list(texts.values()), minutes, [texts[id] for id in clock["adrift"]]))
    return batches


def test_the_clock_is_asked_for_before_the_first_events_and_told_with_them(
    set_tablet: BrowserContext, server: FakeServer
) -> None:
    server.ahead_ms = 90 * 60_000
    page = start(set_tablet)
    tap_in_run(page, "one")
    send(page)
    assert [len(body["events"]) for body in server.bodies] == [0, 1]
    assert "clock" not in server.bodies[0]
    assert told(server) == [(["one"], 90, [])]
    assert server.bodies[1]["clock"]["round_trip_ms"] >= 0
    ahead = page.evaluate("() => floor.clock.serverNow() - Date.now()")
    assert abs(ahead - server.ahead_ms) < 10_000
    (event,) = page.evaluate("() => floor.ofRun(run)")
    assert (event["offset_ms"], event["adrift"]) == (server.bodies[1]["clock"]["offset_ms"], False)


def test_a_clock_that_is_set_parts_the_batches_and_each_has_its_own_offset(
    set_tablet: BrowserContext, server: FakeServer
) -> None:
    page = start(set_tablet)
    server.mischief = lambda events: "drop"
    tap_in_run(page, "before")
    set_clock(page, -40 * 60_000)
    tap_in_run(page, "after")
    server.mischief = lambda events: ""
    send(page)
    assert told(server)[-2:] == [(["before"], 0, []), (["after"], 40, [])]


def test_what_was_tapped_where_nothing_was_measured_is_told_adrift(
    set_tablet: BrowserContext, server: FakeServer
) -> None:
    page = start(set_tablet)
    server.mischief = lambda events: "drop"
    tap_in_run(page, "known")
    for hours in (3, 5):
        set_clock(page, hours * HOUR_MS)
        tap_in_run(page, f"set by {hours}")
        tap_in_run(page, f"soon after {hours}")
    before = len(told(server))
    server.mischief = lambda events: ""
    send(page)
    assert [text for _, _, adrift in told(server)[before:] for text in adrift] == ["set by 3", "set by 5"]
    assert [event["adrift"] for event in page.evaluate("() => floor.ofRun(run)")] == [
        False, True, False, True, False,
    ]  # fmt: skip


def test_a_page_opened_anew_without_a_server_counts_on_until_it_is_measured(
    set_tablet: BrowserContext, server: FakeServer
) -> None:
    start(set_tablet).close()
    server.mischief = lambda events: "drop"
    page = start(set_tablet)
    tap_in_run(page, "on a page that measured nothing")
    assert [event["adrift"] for event in page.evaluate("() => floor.ofRun(run)")] == [False]
    set_clock(page, -HOUR_MS)
    tap_in_run(page, "set back")
    assert [event["adrift"] for event in page.evaluate("() => floor.ofRun(run)")] == [False, True]


def test_a_page_opened_anew_knows_what_the_one_before_measured(
    set_tablet: BrowserContext, server: FakeServer
) -> None:
    set_clock(page := open_page(set_tablet), -YEAR_MS)
    page.close()
    page = start(set_tablet)
    server.mischief = lambda events: "drop"
    tap_in_run(page, "before")
    page.close()
    page = start(set_tablet)
    tap_in_run(page, "after")
    offset = page.evaluate("() => floor.clock.offset()")
    assert abs(offset - YEAR_MS) < 10_000  # nothing was measured on this page yet
    server.mischief = lambda events: ""
    send(page)
    assert [adrift for _, _, adrift in told(server)][-1] == []
    assert round(told(server)[-1][1] / (24 * 60)) == 365
