"""The tablet's numbers when the server or the tablet was set back, and its storage when there is none or no room."""

from __future__ import annotations

from typing import Any

from playwright.sync_api import BrowserContext, Page

from tests.browser.fake_sync import LOAD, FakeServer, send, start, status, tap, until_on_disk, until_sent
from tests.browser.modules import SECURE, open_page

NO_DATABASE = "IDBFactory.prototype.open = () => { throw new Error('switched off in a private window'); };"
FILL = """() => {
    let block = "x".repeat(2 ** 20);
    for (let n = 0; block.length > 0; ) {
        try { localStorage.setItem("filled " + (n += 1), block); }
        catch { block = block.slice(0, block.length / 2); }
    }
}"""


def ping(page: Page) -> None:
    """As after a minute: the server is asked though nothing waits."""
    page.reload()
    page.evaluate(LOAD)
    send(page)


def pending(page: Page) -> list[str]:
    texts: list[str] = page.evaluate("() => floor.pending().map((event) => event.data.text)")
    return texts


def test_a_server_set_back_to_a_backup_gets_again_what_it_lost(
    tablet: BrowserContext, server: FakeServer
) -> None:
    page = start(tablet)
    tap(page, *(f"tap {n}" for n in range(5)))
    send(page)
    before = list(server.taken)
    del server.taken[2:]
    ping(page)
    assert server.taken == before
    tap(page, "next")
    send(page)
    assert server.seqs == [1, 2, 3, 4, 5, 6]


def test_numbers_that_never_came_are_sent_again_or_told_lost(
    tablet: BrowserContext, server: FakeServer
) -> None:
    page = start(tablet)
    tap(page, *(f"tap {n}" for n in range(1, 6)))
    send(page)
    kept, gone = server.taken.pop(1), server.taken.pop(2)
    page.evaluate(f"() => floor.store.del('answered', '{gone['id']}')")
    ping(page)
    assert kept in server.taken
    assert server.told_lost == {gone["seq"]}
    asked = len(server.bodies)
    ping(page)
    assert len(server.bodies) == asked + 1  # told once, and then there is quiet
    assert "lost" not in server.bodies[-1]


def test_a_tablet_set_back_gives_new_numbers_to_what_it_taps_now(
    tablet: BrowserContext, server: FakeServer
) -> None:
    page = start(tablet)
    tap(page, "one", "two", "three")
    send(page)
    device = page.evaluate("() => floor.deviceId()")
    forget_all_but(page, device)
    tap(page, "after")
    send(page)
    assert server.texts == ["one", "two", "three", "after"]
    assert server.seqs == [1, 2, 3, 4]
    assert server.posts[1:] == [["after"]]  # it had asked for the newest number before it gave one
    assert page.evaluate("() => floor.refused()") == []


def test_a_number_that_is_anothers_is_given_anew(tablet: BrowserContext, server: FakeServer) -> None:
    page = start(tablet)
    tap(page, "first")
    send(page)
    device = page.evaluate("() => floor.deviceId()")
    stranger = {"id": "another", "device": device, "seq": 2, "data": {"text": "of the storage before"}}
    server.taken.append(stranger)
    tap(page, "second", "third")
    answers = send(page)
    assert server.texts == ["first", "of the storage before", "third", "second"]
    assert sorted(server.seqs) == [1, 2, 3, 4]
    assert {answer["verdict"] for answer in answers.values()} == {"applied"}


def forget_all_but(page: Page, device: str) -> None:
    page.evaluate("""async () => {
        for (const name of ["outbox", "answered", "meta"])
            for (const key of await floor.store.keys(name)) await floor.store.del(name, key);
        localStorage.clear();
    }""")
    page.evaluate("device => localStorage.setItem('floor.device', device)", device)
    page.reload()
    page.evaluate(LOAD)


def test_answered_events_are_known_of_their_run_and_what_was_set_aside_is_told(
    tablet: BrowserContext, server: FakeServer
) -> None:
    page = start(tablet)
    run = page.evaluate(
        "() => { window.run = floor.newId(); tap('one', run); tap('aside', run); return run; }"
    )
    send(page)
    page.reload()
    page.evaluate(LOAD)
    page.evaluate("run => void tap('two', run)", run)
    page.evaluate("() => void tap('of another run')")
    found = page.evaluate("run => floor.ofRun(run).map((event) => event.data.text)", run)
    assert found == ["one", "aside", "two"]
    (aside,) = status(page)["aside"]
    assert (aside["run"], aside["reason"]) == (run, "late")


def test_what_was_answered_long_ago_is_let_go(tablet: BrowserContext, server: FakeServer) -> None:
    page = start(tablet)
    tap(page, "old", "new")
    send(page)
    page.evaluate("""async () => {
        const [key] = (await floor.store.some("answered", null, 9)).find(([, row]) => row.event.data.text === "old");
        const row = await floor.store.get("answered", key);
        await floor.store.put("answered", key, {...row, answered: row.answered - 15 * 24 * 3600 * 1000});
    }""")
    page.reload()
    page.evaluate(LOAD)
    texts = page.evaluate("async () => (await floor.store.all('answered')).map((row) => row.event.data.text)")
    assert texts == ["new"]


def test_the_outbox_of_an_older_floor_is_taken_over_once(tablet: BrowserContext, server: FakeServer) -> None:
    page = open_page(tablet)
    page.evaluate("""() => {
        const device = "11111111-1111-4111-8111-111111111111";
        const old = (n, text) => ({id: `${n}${"0".repeat(7)}-0000-4000-8000-000000000000`,
            run: "22222222-2222-4222-8222-222222222222", device, seq: n, kind: "note", phase: 0, at: n, data: {text}});
        const keep = (key, value) => localStorage.setItem(key, JSON.stringify(value));
        keep("floor.outbox." + old(4).id, {event: old(4, "posted"), tried: true});
        keep("floor.outbox." + old(6).id, {event: old(6, "second"), tried: false});
        keep("floor.outbox." + old(5).id, {event: old(5, "first"), tried: false});
        keep("floor.refused." + old(3).id, {event: old(3, "refused"), reason: "It was bad."});
        localStorage.setItem("floor.device", device);
        localStorage.setItem("floor.seq", "6");
        localStorage.setItem("floor.tried", "4");
    }""")
    page.evaluate(LOAD)
    send(page)
    assert [(event["data"]["text"], event["seq"]) for event in server.taken] == [
        ("posted", 4), ("first", 5), ("second", 6),
    ]  # fmt: skip
    page.reload()
    page.evaluate(LOAD)
    send(page)
    assert len(server.taken) == 3
    assert [row["reason"] for row in page.evaluate("() => floor.refused()")] == ["It was bad."]
    left = page.evaluate(
        "() => Object.keys(localStorage).filter((key) => /outbox|refused|seq|tried/.test(key))"
    )
    assert left == []


def test_without_a_database_the_small_storage_carries_on_and_says_so(
    tablet: BrowserContext, server: FakeServer
) -> None:
    tablet.add_init_script(NO_DATABASE)
    server.mischief = lambda events: "lose the answer" if "one" in [e["data"]["text"] for e in events] else ""
    page = start(tablet)
    tap(page, "one")
    send(page)
    said = status(page)["unsaved"]
    assert "switched off in a private window" in said
    assert "small storage" in said
    tap(page, "two")
    page.reload()
    page.evaluate(LOAD)
    assert pending(page) == ["one", "two"]
    server.mischief = lambda events: "400" if events and events[0]["data"]["text"] == "poison" else ""
    tap(page, "poison")
    send(page)
    until_sent(page)
    page.reload()
    page.evaluate(LOAD)
    send(page)
    assert (server.texts, server.seqs) == (["one", "two"], [1, 2])
    assert [row["event"]["data"]["text"] for row in page.evaluate("() => floor.refused()")] == ["poison"]
    assert status(page)["unsent"] == 0


def test_what_a_page_watches_for_changes_is_kept_as_plainly_as_anything(
    tablet: BrowserContext, server: FakeServer
) -> None:
    server.mischief = lambda events: "drop"
    page = open_page(tablet)
    page.evaluate(LOAD)
    page.evaluate("""() => floor.add({id: floor.newId(), run: floor.newId(), kind: "note", phase: 0, at: Date.now(),
                                      data: new Proxy({text: "watched"}, {})})""")
    until_on_disk(page)
    assert status(page)["unsaved"] == ""
    page.reload()
    page.evaluate(LOAD)
    assert pending(page) == ["watched"]


def test_a_full_disk_is_told_and_the_taps_are_kept_and_sent(
    tablet: BrowserContext, server: FakeServer
) -> None:
    server.mischief = lambda events: "drop"
    page = open_page(tablet)
    session = tablet.new_cdp_session(page)
    session.send("Storage.overrideQuotaForOrigin", {"origin": SECURE, "quotaSize": 1})
    page.evaluate(LOAD)
    tap(page, "one")
    page.wait_for_function("() => floor.status().unsaved !== ''", timeout=30_000)
    assert "disk is full" in status(page)["unsaved"]
    page.reload()
    page.evaluate(LOAD)
    assert pending(page) == ["one"]
    server.mischief = lambda events: ""
    send(page)
    until_sent(page)
    assert (server.texts, server.seqs) == (["one"], [1])
    session = tablet.new_cdp_session(page)
    session.send("Storage.overrideQuotaForOrigin", {"origin": SECURE})
    tap(page, "two")
    until_on_disk(page)
    assert status(page)["unsaved"] == ""


def test_a_tap_that_nothing_can_keep_is_never_said_to_be_kept(
    tablet: BrowserContext, server: FakeServer
) -> None:
    tablet.add_init_script(NO_DATABASE)
    page = start(tablet)
    page.evaluate(FILL)
    said: dict[str, Any] = page.evaluate(
        "() => { try { tap('one'); } catch (full) { return {said: full.message}; } }"
    )
    assert said["said"].startswith("This tap is kept nowhere and does not count.")
    assert pending(page) == []


def test_a_full_small_storage_leaves_the_database(tablet: BrowserContext, server: FakeServer) -> None:
    page = start(tablet)
    page.evaluate(FILL)
    assert page.evaluate("() => { tap('one'); return floor.unsaved(); }") == {"taps": 1, "sentence": ""}
    until_on_disk(page)
    page.reload()
    page.evaluate(LOAD)
    send(page)
    assert server.texts == ["one"]
