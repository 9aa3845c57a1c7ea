"""Whatever a tablet sends, in whatever shape, gets an answer; and what it says comes out escaped everywhere."""

from __future__ import annotations

import json
import uuid
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import event, func, select, text

from floor.domain.events import Kind
from floor.services.intake import MAX_BODY_BYTES
from floor.services.people import set_active
from floor.services.proof import check
from floor.store.models import EventRow, Person, Refusal, db
from tests.conftest import PASSWORD, START, SUPERVISOR, Tablet

DEVICE = str(uuid.UUID(int=7, version=4))
NASTY = "</script><script>alert(1)</script><img src=x onerror=alert(2)>\"'&\u202eabc\u200b\u2028"
NASTY_TAGS = ("<script>alert(1)", "<img src=x")

texts = st.text(st.characters(codec=None, exclude_categories=()), max_size=40) | st.sampled_from(
    ["", " ", "\x00", "\ud800", "\u202e\u200b", "𝒳", NASTY, "__proto__", "x" * 600, "x" * 9000]
)
numbers = (
    st.integers()
    | st.sampled_from([0, -1, 2**53, 2**63, 2**64, 10**400, True, False, 1.5, -0.0, 1e308])
    | st.floats()
)
anything = st.recursive(
    st.none() | numbers | texts, lambda inner: st.lists(inner, max_size=4) | st.dictionaries(texts, inner, max_size=4),
    max_leaves=12,
)  # fmt: skip
FIELDS = [
    "job", "revision", "section", "garments", "first_piece", "operator", "cause", "check", "value", "reading", "count",
    "side", "reason", "problem", "note", "how", "fragments", "decision", "to", "what", "name", "text", "event", "token",
]  # fmt: skip
data = st.dictionaries(st.sampled_from(FIELDS) | texts, anything, max_size=6)


def envelope(run: str) -> st.SearchStrategy[Any]:
    """An event that is nearly right: each field may hold anything, most hold what they should."""
    good = {
        "id": st.uuids(version=4).map(str),
        "run": st.just(run) | st.uuids(version=4).map(str),
        "device": st.just(DEVICE),
        "seq": st.integers(1, 2**53),
        "kind": st.sampled_from([*Kind, "dance"]),
        "phase": st.integers(0, 10_000) | st.integers(0, 3),
        "at": st.integers(0, 4_102_444_800_000),
        "data": data,
    }
    one_wrong = st.sampled_from(list(good)).flatmap(
        lambda name: st.fixed_dictionaries({**good, name: anything})
    )
    return st.fixed_dictionaries(good) | one_wrong | anything


def post(client: FlaskClient, events: Any, device: Any = DEVICE) -> Any:
    body = json.dumps({"device": device, "sent_at": START, "events": events})
    return client.post("/sync", data=body, content_type="application/json")


def counted(model: type[Any]) -> int:
    db.session.rollback()
    return db.session.scalar(select(func.count()).select_from(model)) or 0


PAGES = ("/tablet", "/T/{code}", "/tablet/run/{run}", "/tablet/run/{run}.json")
OFFICE_PAGES = (
    "/office/", "/office/problems", "/office/set-aside", "/office/jobs", "/office/jobs/{code}",
    "/office/jobs/{code}/time", "/office/runs/{run}", "/office/people", "/office/time-log",
    "/office/export/events.csv", "/office/export/events.jsonl", "/office/export/problems.csv",
)  # fmt: skip


@given(st.data())
@settings(max_examples=150, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
def test_any_batch_gets_an_answer_for_each_event_or_one_sentence(
    client: FlaskClient, app: Flask, tablet: Tablet, larkspur: str, data: st.DataObject
) -> None:
    run = str(uuid.UUID(int=9, version=4))
    events = data.draw(st.lists(envelope(run), max_size=4))
    before = counted(EventRow)
    answer = post(client, events)
    assert answer.status_code == 200, answer.text
    results = answer.json["results"]
    assert len(results) == len(events)
    taken = {r["id"] for r in results if r["verdict"] != "refused"}
    assert counted(EventRow) - before <= len(taken)
    again = post(client, events).json["results"]
    assert [r["verdict"] == "refused" for r in again] == [r["verdict"] == "refused" for r in results]


@pytest.mark.parametrize(
    "body",
    [
        b"", b"null", b"[]", b"\xff\xfe", b'"\\ud800"', b"[" * 100_000 + b"]" * 100_000, b"1" * 5_000,
        b'{"device": "\\ud800", "sent_at": 1, "events": []}',
        b'{"device": 1e400, "sent_at": NaN, "events": {}}',
    ],
    ids=range(9),
)  # fmt: skip
def test_what_is_no_batch_is_answered_in_one_sentence(client: FlaskClient, body: bytes) -> None:
    answer = client.post("/sync", data=body, content_type="application/json")
    assert answer.status_code == 400
    assert answer.json["error"]["kind"] == "BatchRefused"


@pytest.mark.parametrize("depth", [11, 300, 800, 900])
def test_an_event_nested_beyond_reading_is_refused_and_the_others_come_in(
    client: FlaskClient, tablet: Tablet, larkspur: str, depth: int
) -> None:
    tablet.open(larkspur, "prepare")
    good = json.dumps(tablet.hands.events)[1:-1]
    deep = "[" * depth + "]" * depth
    body = f'{{"device": "{tablet.hands.device}", "sent_at": {START}, "events": [{deep}, {good}]}}'
    answer = client.post("/sync", data=body, content_type="application/json")
    assert [result["verdict"] for result in answer.json["results"]] == ["refused", "applied"]


def test_half_a_character_is_refused_and_its_batch_is_not_stuck_behind_it(
    client: FlaskClient, tablet: Tablet, larkspur: str
) -> None:
    run = tablet.open(larkspur, "prepare")
    tablet.tap(run, "note", 0, text="half \ud83d")
    tablet.tap(run, "note", 0, text="whole 😀")
    answer = post(client, tablet.hands.events, tablet.hands.device)
    assert [result["verdict"] for result in answer.json["results"]] == ["applied", "refused", "applied"]
    assert "\\ud83d" in db.session.scalars(select(Refusal.body)).one()
    assert check().whole


def test_true_sent_again_as_one_is_another_body(client: FlaskClient, tablet: Tablet, larkspur: str) -> None:
    run = tablet.open(larkspur, "prepare")
    event = tablet.tap(run, "dance", 0, value=True)
    post(client, tablet.hands.events, tablet.hands.device)
    changed = {**event, "data": {"value": 1}}
    [result] = post(client, [changed], tablet.hands.device).json["results"]
    assert "another body" in result["reason"]


class TestASupervisorsToken:
    def test_is_kept_in_no_refusal(self, client: FlaskClient, tablet: Tablet, larkspur: str) -> None:
        given_ = client.post("/tablet/authority", json={"name": SUPERVISOR, "password": PASSWORD}).json
        run = tablet.open(larkspur, "prepare")
        event = tablet.tap(run, "approve", 0, token=given_["token"])
        post(client, tablet.hands.events, tablet.hands.device)
        refused = [{**event, "at": event["at"] + 1}, {**event, "phase": -1}, {**event, "id": "x"}]
        results = post(client, refused, tablet.hands.device).json["results"]
        assert [result["verdict"] for result in results] == ["refused"] * 3
        kept = "".join(db.session.scalars(select(Refusal.body)))
        assert event["run"] in kept
        assert given_["token"] not in kept
        assert "token" not in "".join(map(str, db.session.scalars(select(EventRow.data))))

    def test_holds_no_longer_than_its_supervisor_works_here(
        self, client: FlaskClient, tablet: Tablet, larkspur: str
    ) -> None:
        given_ = client.post("/tablet/authority", json={"name": SUPERVISOR, "password": PASSWORD}).json
        run = tablet.open(larkspur, "prepare")
        tablet.tap(run, "accept", 0, what="check", name="x", reason="so", token=given_["token"])
        first, second = tablet.hands.events
        post(client, [first, second], tablet.hands.device)
        supervisor = db.session.scalars(select(Person).where(Person.name == SUPERVISOR)).one()
        set_active(supervisor.id, False)
        for name in ("Tomas", "Odile"):  # more than one works here still, so nobody is his own supervisor
            db.session.add(Person(name=name, supervisor=False, active=True))
        db.session.commit()
        tablet.tap(run, "accept", 0, what="check", name="x", reason="so", token=given_["token"])
        post(client, tablet.hands.events[2:], tablet.hands.device)
        signed = {row.seq: row.by for row in db.session.scalars(select(EventRow))}
        assert (signed[2], signed[3]) == (SUPERVISOR, None)

    @pytest.mark.parametrize("name", ["\ud800", "\x00", "", "x" * 100_000])
    def test_is_not_given_for_any_odd_name(self, client: FlaskClient, name: str) -> None:
        answer = client.post("/tablet/authority", json={"name": name, "password": name})
        assert answer.status_code == 403
        assert answer.json["error"]["kind"] == "WrongPassword"

    def test_is_not_given_for_a_body_beyond_reading(self, client: FlaskClient) -> None:
        answer = client.post(
            "/tablet/authority", data=b"[" * 100_000 + b"]" * 100_000, content_type="application/json"
        )
        assert answer.status_code == 400


def test_what_an_operator_types_comes_out_escaped_on_every_page(
    client: FlaskClient, supervisor: FlaskClient, tablet: Tablet, larkspur: str
) -> None:
    tablet.hands.operator = NASTY[:100]
    run = tablet.open(larkspur, "prepare")
    tablet.tap(run, "note", 0, text=NASTY)
    tablet.tap(run, "hand_over", 0, to=NASTY[:100])
    told = tablet.tap(run, "problem", 0, problem="thread-break", note=NASTY)
    tablet.tap(run, "cleared", 0, problem=told["id"], how=NASTY)
    tablet.tap(run, NASTY[:80], 0)
    tablet.tap(run, "check", 0, check=NASTY[:80], value=NASTY)
    tablet.tap(run, "problem", 0, problem="thread-break", note=NASTY)
    results = post(client, tablet.hands.events, tablet.hands.device).json["results"]
    assert [r["verdict"] for r in results] == ["applied"] * 5 + ["aside"] * 2 + ["applied"]
    post(client, [{"id": NASTY}, NASTY, {NASTY: NASTY}], tablet.hands.device)
    assert counted(Refusal) == 3
    for browser, addresses in ((client, PAGES), (supervisor, OFFICE_PAGES)):
        for address in addresses:
            answer = browser.get(address.format(code=larkspur, run=run), follow_redirects=True)
            assert answer.status_code == 200, f"{address}: {answer.status_code}"
            shown = answer.text
            if answer.mimetype == "text/html":
                assert not any(tag in shown for tag in NASTY_TAGS), address


def test_a_body_at_its_limit_is_taken_and_one_byte_more_is_refused(
    client: FlaskClient, tablet: Tablet, larkspur: str
) -> None:
    run = tablet.open(larkspur, "prepare")
    event = tablet.tap(run, "dance", 0, text="")
    length = len(json.dumps(event, sort_keys=True, ensure_ascii=False).encode())
    event["data"]["text"] = "x" * (MAX_BODY_BYTES - length)
    larger = {**event, "id": str(uuid.uuid4()), "seq": 99, "data": {"text": event["data"]["text"] + "x"}}
    results = post(client, [*tablet.hands.events, larger], tablet.hands.device).json["results"]
    assert [result["verdict"] for result in results] == ["applied", "aside", "refused"]


def test_a_full_disk_is_said_as_such_and_the_batch_comes_in_once_there_is_room(
    client: FlaskClient, app: Flask, tablet: Tablet, larkspur: str
) -> None:
    run = tablet.open(larkspur, "prepare")
    for count in range(200):
        tablet.tap(run, "note", 0, text=f"{count} " + "x" * 490)
    pages = db.session.execute(text("PRAGMA page_count")).scalar()
    limits = []

    def limit(connection: Any, *_: Any) -> None:
        connection.execute(f"PRAGMA max_page_count = {limits[-1]}")

    event.listen(db.engine, "checkout", limit)
    db.session.remove()
    try:
        limits.append(pages)
        full = post(client, tablet.hands.events, tablet.hands.device)
        limits.append(1_000_000)
        there_is_room = post(client, tablet.hands.events, tablet.hands.device)
    finally:
        event.remove(db.engine, "checkout", limit)
    assert (full.status_code, full.json["error"]["kind"]) == (503, "DiskFull")
    assert {result["verdict"] for result in there_is_room.json["results"]} == {"applied"}
    assert check().whole
