"""A server that answers POST /sync as Floor does, and makes trouble when it is told to; and a tablet's page without any
page, which taps and sends."""

from __future__ import annotations

import json
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from playwright.sync_api import BrowserContext, Page, Route

from tests.browser.modules import SECURE, open_page

PATIENT_MS = 30_000

LOAD = """async () => {
    const device = await import("/static/js/device.js");
    const outbox = await import("/static/js/outbox.js");
    const sync = await import("/static/js/sync.js");
    const clock = await import("/static/js/clock.js");
    const store = await import("/static/js/store.js");
    window.floor = {...device, ...outbox, ...sync, clock, store};
    window.note = (text, run = floor.newId()) =>
        ({id: floor.newId(), run, kind: "note", phase: 0, at: clock.now(), data: {text}});
    window.tap = (text, run) => floor.add(note(text, run));
    await floor.ready;
}"""


@dataclass
class FakeServer:
    """Takes events as the real one does: once by id, one event a number, and every repeat the same answer.
    `mischief` may answer in its place (a status, or what it is called below)."""

    taken: list[dict[str, Any]] = field(default_factory=list)
    posts: list[list[str]] = field(default_factory=list)
    bodies: list[dict[str, Any]] = field(default_factory=list)
    told_lost: set[int] = field(default_factory=set)
    ahead_ms: int = 0
    mischief: Callable[[list[dict[str, Any]]], str] = lambda events: ""

    def answer(self, route: Route) -> None:
        body = json.loads(route.request.post_data or "{}")
        events = body["events"]
        self.bodies.append(body)
        if events:
            self.posts.append([event["data"]["text"] for event in events])
        trouble = self.mischief(events)
        if trouble == "drop":
            route.abort("connectionreset")
        elif trouble == "hang":
            pass  # neither an answer nor an end
        elif trouble.isdigit():
            self._error(route, int(trouble))
        else:
            self._reply(route, body, trouble)

    def _reply(self, route: Route, body: dict[str, Any], trouble: str) -> None:
        events = body["events"]
        results = [self._take(event, body["device"]) for event in events]
        self.told_lost |= set(body.get("lost", []))
        if trouble == "answer twice":
            results += results
        if trouble == "answer for half":
            results = results[: max(1, len(results) // 2)]
        if trouble == "lose the answer":
            route.abort("connectionreset")
        elif trouble == "sign-in page":
            route.fulfill(status=200, content_type="text/html", body="<h1>Sign in</h1>")
        else:
            server_time = round(time.time() * 1000) + self.ahead_ms
            numbers = self._numbers(body["device"])
            route.fulfill(json={"server_time": server_time, "results": results, **numbers})

    def _error(self, route: Route, status: int) -> None:
        message = "The shop's disk is full." if status == 503 else "One of these events cannot be read."
        route.fulfill(status=status, json={"error": {"kind": "DiskFull", "message": message}})

    def _take(self, event: dict[str, Any], device: str) -> dict[str, str]:
        text = event["data"]["text"]
        if "refuse me" in text or event["device"] != device:
            return {"id": event["id"], "verdict": "refused", "reason": "The event cannot be read."}
        known = next((one for one in self.taken if one["id"] == event["id"]), None)
        if known is None:
            if any((one["device"], one["seq"]) == (device, event["seq"]) for one in self.taken):
                return {"id": event["id"], "verdict": "again", "reason": "The number is another's."}
            self.taken.append(event)
        else:
            assert known == event, "the same event came with another body"
        aside = "aside" in text
        return {
            "id": event["id"],
            "verdict": "aside" if aside else "applied",
            "reason": "late" if aside else "",
        }

    def _numbers(self, device: str) -> dict[str, Any]:
        here = {one["seq"] for one in self.taken if one["device"] == device}
        newest = max(here, default=0)
        refused = {
            event["seq"]
            for body in self.bodies
            for event in body["events"]
            if "refuse me" in event["data"]["text"]
        }
        wanted = [n for n in range(1, newest) if n not in here | self.told_lost | refused]
        return {"newest": newest, "wanted": wanted[:100]}

    @property
    def texts(self) -> list[str]:
        return [event["data"]["text"] for event in self.taken]

    @property
    def seqs(self) -> list[int]:
        return [event["seq"] for event in self.taken]


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
    page.wait_for_function("() => floor.status().unsent === 0", timeout=PATIENT_MS)


def until_on_disk(page: Page) -> None:
    page.wait_for_function("() => floor.unsaved().taps === 0", timeout=PATIENT_MS)
