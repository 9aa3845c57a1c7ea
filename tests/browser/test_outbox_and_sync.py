"""What was tapped reaches the server once and in order, whatever happens on the way."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from itertools import pairwise
from random import Random
from typing import Any

import pytest
from modules import PLAIN_HTTP, SECURE, open_page, serve_modules
from playwright.sync_api import Browser, BrowserContext, Page, Route

LOAD = """async () => {
    const device = await import("/static/js/device.js");
    const outbox = await import("/static/js/outbox.js");
    const sync = await import("/static/js/sync.js");
    window.floor = {...device, ...outbox, ...sync};
    window.tap = (text) => {
        const event = {id: floor.newId(), run: floor.newId(), device: floor.deviceId(), seq: floor.nextSeq(),
                       kind: "note", phase: 0, at: Date.now(), data: {text}};
        floor.add(event);
        return event;
    };
}"""


@dataclass
class FakeServer:
    """Takes events as the real one does: once by id, one event a number, and every repeat the same answer.
    `mischief` may answer in its place (a status, or None for a cut connection)."""

    taken: list[dict[str, Any]] = field(default_factory=list)
    posts: list[list[str]] = field(default_factory=list)
    mischief: Callable[[list[dict[str, Any]]], str] = lambda events: ""

    def answer(self, route: Route) -> None:
        body = json.loads(route.request.post_data or "{}")
        events = body["events"]
        self.posts.append([event["data"]["text"] for event in events])
        trouble = self.mischief(events)
        if trouble == "drop":
            return route.abort("connectionreset")
        if trouble.isdigit():
            return self._error(route, int(trouble))
        results = [self._take(event, body["device"]) for event in events]
        if trouble == "lose the answer":
            return route.abort("connectionreset")
        if trouble == "answer twice":
            results += results
        if trouble == "answer for half":
            results = results[: max(1, len(results) // 2)]
        if trouble == "sign-in page":
            return route.fulfill(status=200, content_type="text/html", body="<h1>Sign in</h1>")
        return route.fulfill(json={"server_time": 0, "results": results})

    def _error(self, route: Route, status: int) -> None:
        message = "One of these events cannot be read."
        route.fulfill(status=status, json={"error": {"kind": "malformed", "message": message}})

    def _take(self, event: dict[str, Any], device: str) -> dict[str, str]:
        text = event["data"]["text"]
        if "refuse me" in text or event["device"] != device:
            return {"id": event["id"], "verdict": "refused", "reason": "The event cannot be read."}
        known = next((one for one in self.taken if one["id"] == event["id"]), None)
        if known is None:
            assert all(one["seq"] != event["seq"] for one in self.taken), "a number was given twice"
            self.taken.append(event)
        else:
            assert known == event, "the same event came with another body"
        aside = "aside" in text
        return {
            "id": event["id"],
            "verdict": "aside" if aside else "applied",
            "reason": "late" if aside else "",
        }

    @property
    def texts(self) -> list[str]:
        return [event["data"]["text"] for event in self.taken]

    @property
    def seqs(self) -> list[int]:
        return [event["seq"] for event in self.taken]


@pytest.fixture
def server() -> FakeServer:
    return FakeServer()


@pytest.fixture
def tablet(chromium: Browser, server: FakeServer) -> Iterator[BrowserContext]:
    context = chromium.new_context()
    serve_modules(context)
    context.route("**/sync", server.answer)
    yield context
    context.close()


def start(tablet: BrowserContext, origin: str = SECURE) -> Page:
    page = open_page(tablet, origin)
    page.evaluate(LOAD)
    send(page)  # the one that it does on load is over then
    return page


def tap(page: Page, *texts: str) -> None:
    page.evaluate("(texts) => void texts.forEach((text) => tap(text))", texts)


def send(page: Page) -> dict[str, Any]:
    answers: dict[str, Any] = page.evaluate("() => floor.send()")
    return answers


def status(page: Page) -> dict[str, Any]:
    found: dict[str, Any] = page.evaluate("() => floor.status()")
    return found


def until_sent(page: Page) -> None:
    page.wait_for_function("() => floor.status().unsent === 0", timeout=15_000)


def test_taps_arrive_once_and_in_order_with_numbers_without_a_gap(
    tablet: BrowserContext, server: FakeServer
) -> None:
    page = start(tablet)
    tap(page, *(f"tap {n}" for n in range(250)))
    answers = send(page)
    assert server.texts == [f"tap {n}" for n in range(250)]
    assert server.seqs == list(range(1, 251))
    assert [len(post) for post in server.posts] == [100, 100, 50]
    assert {answer["verdict"] for answer in answers.values()} == {"applied"}
    assert status(page) == {"unsent": 0, "refused": 0, "online": True, "lastError": ""}


def test_what_is_set_aside_is_not_sent_again(tablet: BrowserContext, server: FakeServer) -> None:
    page = start(tablet)
    tap(page, "aside")
    (answer,) = send(page).values()
    assert answer == {"verdict": "aside", "reason": "late"}
    assert send(page) == {}
    assert status(page)["unsent"] == 0
    assert len(server.posts) == 1


def test_a_repeated_add_is_harmless(tablet: BrowserContext, server: FakeServer) -> None:
    page = start(tablet)
    page.evaluate("() => { const event = tap('once'); floor.add(event); floor.add(event); }")
    send(page)
    assert (server.texts, server.seqs) == (["once"], [1])


def test_a_number_that_was_only_looked_at_is_not_lost(tablet: BrowserContext, server: FakeServer) -> None:
    page = start(tablet)
    assert page.evaluate("() => [floor.nextSeq(), floor.nextSeq()]") == [1, 1]
    page.evaluate("""() => {
        const event = tap("first");
        floor.add({...event, id: floor.newId(), data: {text: "of the same number"}});
    }""")
    send(page)
    assert (server.texts, server.seqs) == (["first", "of the same number"], [1, 2])


@pytest.mark.parametrize("trouble", ["drop", "lose the answer", "500", "503", "404", "429", "sign-in page"])
def test_trouble_on_the_way_keeps_everything_until_it_is_over(
    tablet: BrowserContext, server: FakeServer, trouble: str
) -> None:
    page = start(tablet)
    server.mischief = lambda events: trouble if len(server.posts) <= 1 else ""
    tap(page, "one", "two")
    assert send(page) == {}
    found = status(page)
    assert (found["unsent"], found["refused"], found["online"]) == (2, 0, False)
    assert found["lastError"].endswith(".")
    until_sent(page)  # by its own timer
    assert server.texts == ["one", "two"]
    assert status(page)["online"]


def test_the_waits_between_tries_double_up_to_half_a_minute(
    tablet: BrowserContext, server: FakeServer
) -> None:
    page = open_page(tablet)
    page.clock.install()
    page.evaluate(LOAD)
    tap(page, "one")
    server.mischief = lambda events: "503"
    send(page)
    for wait_s in (1, 2, 4, 8, 16, 30, 30):
        tries = len(server.posts)
        # Past the wait before this one, and well short of this one: the page's clock runs on by itself meanwhile.
        page.clock.run_for(wait_s * 600)
        page.wait_for_timeout(30)
        assert len(server.posts) == tries, f"tried long before {wait_s} s were over"
        with page.expect_response("**/sync"):
            page.clock.run_for(wait_s * 500)
        page.wait_for_timeout(30)
        assert len(server.posts) == tries + 1
    server.mischief = lambda events: ""
    page.evaluate("() => void dispatchEvent(new Event('online'))")
    until_sent(page)
    assert server.texts == ["one"]


def test_a_refused_event_is_kept_apart_and_the_rest_go_on(tablet: BrowserContext, server: FakeServer) -> None:
    page = start(tablet)
    tap(page, "one", "refuse me", "two")
    send(page)
    assert server.texts == ["one", "two"]
    (refused,) = page.evaluate("() => floor.refused()")
    assert refused["event"]["data"]["text"] == "refuse me"
    assert refused["reason"] == "The event cannot be read."
    assert status(page) == {"unsent": 0, "refused": 1, "online": True, "lastError": ""}


def test_a_batch_that_is_refused_whole_goes_one_by_one(tablet: BrowserContext, server: FakeServer) -> None:
    page = start(tablet)
    server.mischief = lambda events: "400" if any("poison" in e["data"]["text"] for e in events) else ""
    tap(page, "one", "poison", "two", "three")
    answers = send(page)
    assert server.texts == ["one", "two", "three"]
    (refused,) = page.evaluate("() => floor.refused()")
    assert (refused["event"]["data"]["text"], refused["reason"]) == (
        "poison",
        "One of these events cannot be read.",
    )
    assert [answer["verdict"] for answer in answers.values()] == ["applied", "refused", "applied", "applied"]
    assert status(page)["unsent"] == 0


def test_a_reload_in_the_middle_loses_and_doubles_nothing(tablet: BrowserContext, server: FakeServer) -> None:
    page = start(tablet)
    server.mischief = lambda events: "lose the answer" if len(server.posts) == 1 else "drop"
    tap(page, "one", "two")
    send(page)
    tap(page, "three")
    device = page.evaluate("() => floor.deviceId()")
    page.reload()
    server.mischief = lambda events: ""
    page.evaluate(LOAD)  # sends on load
    until_sent(page)
    tap(page, "four")
    send(page)
    assert server.texts == ["one", "two", "three", "four"]
    assert server.seqs == [1, 2, 3, 4]
    assert page.evaluate("() => floor.deviceId()") == device


def test_the_status_is_told_as_it_changes(tablet: BrowserContext, server: FakeServer) -> None:
    page = start(tablet)
    page.evaluate("() => { window.told = []; window.quiet = floor.onChange((s) => told.push(s.unsent)); }")
    tap(page, "one", "two")
    send(page)
    page.evaluate("() => quiet()")
    tap(page, "three")
    send(page)
    told = page.evaluate("() => told")
    assert told[0] == 0
    assert 2 in told
    assert told[-1] == 0


@pytest.mark.parametrize("origin", [SECURE, PLAIN_HTTP])
def test_two_tabs_share_one_outbox_and_no_number(
    tablet: BrowserContext, server: FakeServer, origin: str
) -> None:
    first, second = start(tablet, origin), start(tablet, origin)
    # Browsers let two tabs see each other's storage only after a moment.
    second.wait_for_function("id => floor.deviceId() === id", arg=settled_id(first))
    assert first.evaluate("() => Boolean(navigator.locks)") == (origin == SECURE)
    for n in range(6):
        tap(first, f"first {n}")
        tap(second, f"second {n}")
    for page in (first, second):
        page.evaluate("() => void floor.send()")
    for page in (first, second):
        until_sent(page)
    assert sorted(server.texts) == sorted(f"{tab} {n}" for tab in ("first", "second") for n in range(6))
    assert server.seqs == list(range(1, 13))


def settled_id(page: Page) -> str:
    page.wait_for_timeout(500)
    device: str = page.evaluate("() => floor.deviceId()")
    return device


def test_two_identities_made_at_once_cost_no_tap(tablet: BrowserContext, server: FakeServer) -> None:
    page = start(tablet)
    tap(page, "under the first identity")
    page.evaluate("() => localStorage.setItem('floor.device', floor.newId())")  # the other tab's stands
    tap(page, "under the second")
    send(page)
    assert server.texts == ["under the first identity", "under the second"]
    assert {event["device"] for event in server.taken} == {settled_id(page)}
    assert page.evaluate("() => floor.refused()") == []


def test_what_was_posted_under_an_older_identity_keeps_it(tablet: BrowserContext, server: FakeServer) -> None:
    page = start(tablet)
    older = settled_id(page)
    server.mischief = lambda events: "lose the answer" if len(server.posts) == 1 else ""
    tap(page, "posted")
    send(page)
    page.evaluate("() => localStorage.setItem('floor.device', floor.newId())")
    tap(page, "later")
    send(page)
    until_sent(page)
    assert server.texts == ["posted", "later"]
    assert [event["device"] for event in server.taken] == [older, settled_id(page)]
    assert page.evaluate("() => floor.refused()") == []


def test_a_number_that_two_tabs_gave_at_once_is_given_anew_before_it_is_sent(
    tablet: BrowserContext, server: FakeServer
) -> None:
    page = start(tablet)
    tap(page, "sent before")
    send(page)
    tap(page, "mine")
    page.evaluate("""() => {  // what another tab wrote that had not seen these yet
        for (const seq of [1, 2]) {
            const event = {...tap("other " + seq), seq};
            localStorage.setItem("floor.outbox." + event.id, JSON.stringify({event, tried: false}));
        }
    }""")
    send(page)
    assert sorted(server.texts) == ["mine", "other 1", "other 2", "sent before"]
    assert len(set(server.seqs)) == 4


def test_an_event_that_may_have_arrived_keeps_its_number(tablet: BrowserContext, server: FakeServer) -> None:
    page = start(tablet)
    server.mischief = lambda events: "lose the answer"
    tap(page, "one")
    send(page)
    page.evaluate("""() => {
        const event = {...floor.pending()[0], id: "00000000-0000-4000-8000-000000000000", at: 0, data: {text: "two"}};
        localStorage.setItem("floor.outbox." + event.id, JSON.stringify({event, tried: false}));
    }""")
    server.mischief = lambda events: ""
    send(page)
    assert server.texts == ["one", "two"]
    assert server.seqs == [1, 2]


@pytest.mark.parametrize("seed", range(6))
def test_a_bad_day_loses_nothing_doubles_nothing_and_keeps_the_order(
    tablet: BrowserContext, server: FakeServer, seed: int
) -> None:
    random = Random(seed)
    troubles = [
        "drop",
        "lose the answer",
        "500",
        "400",
        "answer twice",
        "answer for half",
        "sign-in page",
        "",
        "",
    ]

    def bad_day(events: list[dict[str, Any]]) -> str:
        trouble = random.choice(troubles)
        # A single good event is never refused by itself.
        return "" if trouble == "400" and len(events) == 1 else trouble

    server.mischief = bad_day
    page = start(tablet)
    expected = []
    for n in range(40):
        text = f"tap {n}" if random.random() < 0.9 else f"refuse me {n}"
        tap(page, text)
        expected.append(text)
        if random.random() < 0.4:
            page.evaluate("() => void floor.send()")
        if random.random() < 0.1:
            page.reload()
            page.evaluate(LOAD)
    server.mischief = lambda events: ""
    send(page)
    send(page)
    assert server.texts == [text for text in expected if "refuse" not in text]
    assert all(one < other for one, other in pairwise(server.seqs))
    refused = [row["event"]["data"]["text"] for row in page.evaluate("() => floor.refused()")]
    assert refused == [text for text in expected if "refuse" in text]
    assert status(page)["unsent"] == 0
