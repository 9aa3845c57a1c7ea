"""A picture stays on its tablet until the server has it, and no tap waits for it."""

from __future__ import annotations

import re
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, Route

from tests.browser.modules import open_page, serve_modules

PATIENT_MS = 30_000
RUN = "5d0c0f0e-3b57-4c5e-9a53-0f8f6d4b1c21"

LOAD = """async () => {
    const outbox = await import("/static/js/outbox.js");
    const sync = await import("/static/js/sync.js");
    const sending = await import("/static/js/photo_sending.js");
    const { newId } = await import("/static/js/device.js");
    const { photosReady } = await import("/static/js/outbox_photos.js");
    const { get } = await import("/static/js/store.js");
    window.floor = {...outbox, ...sync, ...sending, newId, get};
    await photosReady;
}"""
TAKE = """async (text) => {
    const id = floor.newId();
    await floor.addPhoto({id, run: RUN, blob: new Blob([text], {type: "image/jpeg"}), of: "phase", small: "data:,"});
    return id;
}""".replace("RUN", f'"{RUN}"')


@dataclass
class PhotoServer:
    """Takes pictures as Floor does; `refusals`: what it answers first, one status after the other."""

    refusals: list[int] = field(default_factory=list)
    tried: int = 0
    taken: dict[str, bytes] = field(default_factory=dict)
    addresses: list[str] = field(default_factory=list)

    def sync(self, route: Route) -> None:
        answer: dict[str, Any] = {
            "server_time": time.time_ns() // 10**6,
            "results": [],
            "newest": 0,
            "wanted": [],
        }
        route.fulfill(json=answer)

    def photo(self, route: Route) -> None:
        self.tried += 1
        found = re.search(r"/tablet/photo/([0-9a-f-]{36})\?", route.request.url)
        assert found is not None
        status = self.refusals.pop(0) if self.refusals else 201
        if status == 0:
            return route.abort("connectionreset")
        if status == 200:
            return route.fulfill(status=200, content_type="text/html", body="<h1>Sign in</h1>")
        if status != 201:
            return route.fulfill(
                status=status, json={"error": {"kind": "So", "message": f"Refused with {status}."}}
            )
        self.addresses.append(route.request.url)
        self.taken[found[1]] = route.request.post_data_buffer or b""
        return route.fulfill(status=status, json={"photo": found[1], "kept": True})


@pytest.fixture
def server() -> PhotoServer:
    return PhotoServer()


@pytest.fixture
def tablet(chromium: Browser, server: PhotoServer) -> Iterator[BrowserContext]:
    context = chromium.new_context()
    serve_modules(context)
    context.route("**/sync", server.sync)
    context.route("**/tablet/photo/**", server.photo)
    yield context
    context.close()


def loaded(page: Page) -> Page:
    page.evaluate(LOAD)
    page.evaluate("() => floor.send()")
    return page


def waiting(page: Page) -> list[str]:
    found: list[str] = page.evaluate("() => floor.photosPending().map(({ id }) => id)")
    return found


def test_a_picture_goes_to_an_address_of_its_own_and_then_leaves_the_tablet(
    tablet: BrowserContext, server: PhotoServer
) -> None:
    page = loaded(open_page(tablet))
    ids = [page.evaluate(TAKE, text) for text in ("one", "two")]
    assert page.evaluate("() => floor.status().photos") == 2
    page.evaluate("() => floor.sendPhotos()")
    assert server.taken == dict(zip(ids, (b"one", b"two"), strict=True))
    assert all(f"run={RUN}&device=" in address for address in server.addresses)
    assert waiting(page) == []
    assert page.evaluate("(id) => floor.get('photos', id)", ids[0]) is None


def test_a_picture_that_could_not_be_sent_is_there_after_a_reload_and_goes_by_itself(
    tablet: BrowserContext, server: PhotoServer
) -> None:
    server.refusals = [0]
    page = loaded(open_page(tablet))
    id = page.evaluate(TAKE, "kept")
    page.evaluate("() => floor.sendPhotos()")
    assert waiting(page) == [id]
    page.reload()
    loaded(page)
    page.wait_for_function("() => floor.photosPending().length === 0", timeout=PATIENT_MS)
    assert server.taken == {id: b"kept"}


def test_what_the_server_will_never_take_is_kept_apart_with_its_sentence(
    tablet: BrowserContext, server: PhotoServer
) -> None:
    server.refusals = [422]
    page = loaded(open_page(tablet))
    bad, good = (page.evaluate(TAKE, text) for text in ("bad", "good"))
    page.evaluate("() => floor.sendPhotos()")
    assert server.taken == {good: b"good"}
    assert waiting(page) == []
    page.reload()
    loaded(page)
    here = page.evaluate("() => floor.photosHere().map(({ id, apart }) => [id, apart])")
    assert here == [[bad, "Refused with 422."]]
    page.evaluate("() => floor.sendPhotos()")
    assert server.tried == 2


def test_without_room_pictures_stay_say_why_and_are_not_tried_with_every_tap(
    tablet: BrowserContext, server: PhotoServer
) -> None:
    server.refusals = [507]
    page = loaded(open_page(tablet))
    id = page.evaluate(TAKE, "kept")
    for _ in range(3):
        page.evaluate("() => floor.sendPhotos()")
    assert server.tried == 1
    assert waiting(page) == [id]
    assert page.evaluate("() => floor.photosWait()") == "Refused with 507."
    page.reload()  # whoever opens the page again asks again
    loaded(page)
    page.wait_for_function("() => floor.photosPending().length === 0", timeout=PATIENT_MS)
    assert page.evaluate("() => floor.photosWait()") == ""


@pytest.mark.parametrize("status", [200, 500, 503], ids=["a sign-in page", "an error", "a busy database"])
def test_an_answer_that_is_not_of_the_picture_leaves_it_where_it_is(
    tablet: BrowserContext, server: PhotoServer, status: int
) -> None:
    server.refusals = [status]
    page = loaded(open_page(tablet))
    id = page.evaluate(TAKE, "kept")
    page.evaluate("() => floor.sendPhotos()")
    assert waiting(page) == [id]
    assert page.evaluate("() => floor.photosHere()[0].apart") is None
