"""What was tapped reaches the server once and in order, whatever happens on the way."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from itertools import pairwise
from random import Random
from typing import Any

import pytest
from playwright.sync_api import BrowserContext

from tests.browser.fake_sync import LOAD, FakeServer, send, start, status, tap, until_on_disk, until_sent
from tests.browser.modules import PLAIN_HTTP, SECURE, open_page

NOON = datetime(2026, 12, 1, 12, tzinfo=UTC)
ALL_WELL = {"unsent": 0, "refused": 0, "photos": 0, "aside": [], "online": True, "reached": True}


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
    assert status(page) == {**ALL_WELL, "lastError": "", "unsaved": ""}


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


def test_a_number_is_given_at_the_first_sending_and_stands_till_then_after_all_others(
    tablet: BrowserContext, server: FakeServer
) -> None:
    page = start(tablet)
    server.mischief = lambda events: "drop"
    tap(page, "one", "two")
    before = page.evaluate("() => floor.pending().map((event) => event.seq - 2 ** 52)")
    assert 0 < before[0] < before[1]
    assert {event["device"] for event in page.evaluate("() => floor.pending()")} == {
        page.evaluate("() => floor.deviceId()")
    }
    send(page)
    assert page.evaluate("() => floor.pending().map((event) => event.seq)") == [1, 2]
    tap(page, "three")
    page.reload()
    page.evaluate(LOAD)
    pending = page.evaluate("() => floor.pending().map((event) => [event.data.text, event.seq >= 2 ** 52])")
    assert pending == [["one", False], ["two", False], ["three", True]]


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
    assert found["reached"] == (trouble == "503")  # Floor's own word; anybody may say 500 or 404
    expected = {
        "503": "The shop's disk is full.",
        "drop": "The server was not reached.",
        "lose the answer": "The server was not reached.",
    }
    said = expected.get(trouble, "The server could not take the taps just now (")
    assert found["lastError"].startswith(said)
    assert found["lastError"].endswith(".")
    until_sent(page)  # by its own timer
    assert server.texts == ["one", "two"]
    assert status(page)["online"]


def test_the_waits_between_tries_double_up_to_half_a_minute(
    tablet: BrowserContext, server: FakeServer
) -> None:
    page = open_page(tablet)
    page.clock.install(time=NOON)
    page.clock.pause_at(NOON + timedelta(seconds=1))  # no time passes but what run_for lets pass
    page.evaluate("() => { Math.random = () => 1; }")  # the longest that a wait is stretched
    page.evaluate(LOAD)
    send(page)
    tap(page, "one")
    server.mischief = lambda events: "503"
    send(page)
    for wait_s in (1, 2, 4, 8, 16, 30, 30):
        tries = len(server.bodies)
        page.clock.run_for(wait_s * 900)
        page.wait_for_timeout(30)
        assert len(server.bodies) == tries, f"tried before {wait_s} s were over"
        with page.expect_response("**/sync"):
            page.clock.run_for(wait_s * 150)
        page.wait_for_timeout(30)
        assert len(server.bodies) == tries + 1
    server.mischief = lambda events: ""
    page.evaluate("() => void dispatchEvent(new Event('online'))")
    until_sent(page)
    assert server.texts == ["one"]


def test_a_server_that_never_answers_is_given_up_and_tried_again(
    tablet: BrowserContext, server: FakeServer
) -> None:
    page = open_page(tablet)
    page.clock.install(time=NOON)
    page.clock.pause_at(NOON + timedelta(seconds=1))
    page.evaluate(LOAD)
    send(page)
    server.mischief = lambda events: "hang"
    with page.expect_request("**/sync"):
        page.evaluate("() => { tap('one'); window.sending = floor.send(); }")
    page.clock.run_for(20_500)
    page.evaluate("() => sending")
    found = status(page)
    assert (found["unsent"], found["online"]) == (1, False)
    assert found["lastError"] == "The server did not answer within 20 seconds."
    server.mischief = lambda events: ""
    page.clock.run_for(1_000)
    until_sent(page)
    assert server.texts == ["one"]


@pytest.mark.parametrize("until_ms", [1_500, 3_600_000])
def test_a_tab_that_died_while_it_sent_holds_up_no_other(
    tablet: BrowserContext, server: FakeServer, until_ms: int
) -> None:
    page = start(tablet, PLAIN_HTTP)
    page.evaluate(
        "ms => floor.store.put('meta', 'lease floor.sync', {tab: 'a dead one', until: Date.now() + ms})",
        until_ms,  # a lease of an hour was made by a clock that was set back since
    )
    tap(page, "one")
    send(page)
    assert server.texts == ["one"]
    assert page.evaluate("() => floor.store.get('meta', 'lease floor.sync')") is None


def test_a_refused_event_is_kept_apart_and_the_rest_go_on(tablet: BrowserContext, server: FakeServer) -> None:
    page = start(tablet)
    tap(page, "one", "refuse me", "two")
    send(page)
    assert server.texts == ["one", "two"]
    (refused,) = page.evaluate("() => floor.refused()")
    assert refused["event"]["data"]["text"] == "refuse me"
    assert refused["reason"] == "The event cannot be read."
    assert status(page) == {**ALL_WELL, "refused": 1, "lastError": "", "unsaved": ""}


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


def test_a_server_that_refuses_whatever_comes_loses_no_tap(
    tablet: BrowserContext, server: FakeServer
) -> None:
    page = start(tablet)
    server.mischief = lambda events: "400"
    tap(page, "one", "two")
    send(page)
    found = status(page)
    assert (found["unsent"], found["refused"]) == (2, 0)
    assert found["lastError"] == "One of these events cannot be read."
    server.mischief = lambda events: ""
    send(page)
    assert server.texts == ["one", "two"]


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
    device = first.evaluate("() => floor.deviceId()")
    second.wait_for_function("id => floor.deviceId() === id", arg=device)
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
    assert page.evaluate("() => floor.refused()") == []


@pytest.mark.parametrize("has_channel", [True, False])
def test_what_is_unsent_counts_the_taps_of_other_tabs(
    tablet: BrowserContext, server: FakeServer, has_channel: bool
) -> None:
    if not has_channel:
        tablet.add_init_script("delete globalThis.BroadcastChannel;")
    server.mischief = lambda events: "drop"
    first, second = start(tablet), start(tablet)
    tap(first, "tapped in the first")
    second.wait_for_function("() => floor.status().unsent === 1", timeout=30_000)
    server.mischief = lambda events: ""
    send(second)
    first.wait_for_function("() => floor.status().unsent === 0", timeout=30_000)
    assert server.texts == ["tapped in the first"]


def test_what_another_tab_had_answered_unheard_is_not_numbered_again(
    tablet: BrowserContext, server: FakeServer
) -> None:
    tablet.add_init_script("BroadcastChannel.prototype.postMessage = () => {};")
    first, second = start(tablet), start(tablet)
    server.mischief = lambda events: "drop"
    tap(first, "one", "two")
    until_on_disk(first)
    second.reload()
    second.evaluate(LOAD)
    server.mischief = lambda events: ""
    send(second)
    assert send(first).keys() == {event["id"] for event in server.taken}
    assert (server.texts, server.seqs) == (["one", "two"], [1, 2])
    assert status(first)["unsent"] == 0
    assert first.evaluate("() => floor.refused()") == []


def test_two_identities_made_at_once_cost_no_tap(tablet: BrowserContext, server: FakeServer) -> None:
    page = start(tablet)
    tap(page, "under the first identity")
    page.evaluate("() => localStorage.setItem('floor.device', floor.newId())")  # the other tab's stands
    tap(page, "under the second")
    send(page)
    assert server.texts == ["under the first identity", "under the second"]
    assert {event["device"] for event in server.taken} == {page.evaluate("() => floor.deviceId()")}
    assert page.evaluate("() => floor.refused()") == []


def test_the_identity_comes_back_from_the_database(tablet: BrowserContext, server: FakeServer) -> None:
    page = start(tablet)
    device = page.evaluate("() => floor.deviceId()")
    page.evaluate("() => localStorage.clear()")
    page.reload()
    page.evaluate(LOAD)
    assert page.evaluate("() => floor.deviceId()") == device


def test_what_was_posted_under_an_older_identity_keeps_it(tablet: BrowserContext, server: FakeServer) -> None:
    page = start(tablet)
    older = page.evaluate("() => floor.deviceId()")
    server.mischief = lambda events: "lose the answer" if len(server.posts) == 1 else ""
    tap(page, "posted")
    send(page)
    page.evaluate("() => localStorage.setItem('floor.device', floor.newId())")
    tap(page, "later")
    send(page)
    until_sent(page)
    assert server.texts == ["posted", "later"]
    newer = page.evaluate("() => floor.deviceId()")
    assert [(event["device"], event["seq"]) for event in server.taken] == [(older, 1), (newer, 1)]
    assert page.evaluate("() => floor.refused()") == []


@pytest.mark.parametrize("seed", range(4))
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
