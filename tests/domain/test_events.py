"""Reading an event as a tablet sends it, and what it says."""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floor.domain.events import Event, MalformedEvent, UnreadableData, read_event
from floor.domain.fields import said_as_found
from floor.domain.payloads import Counted, Scrapped, read_payload

GOOD: dict[str, Any] = {
    "id": "0b6f5f5e-1c52-4a0f-9f0b-2f6f2d1f7a11", "run": "0b6f5f5e-1c52-4a0f-9f0b-2f6f2d1f7a12",
    "device": "0b6f5f5e-1c52-4a0f-9f0b-2f6f2d1f7a13", "seq": 1, "kind": "note", "phase": 0,
    "at": 1_790_000_000_000, "data": {"text": "seen"},
}  # fmt: skip


def test_a_good_event_is_read_as_it_was_sent() -> None:
    event = read_event(GOOD)
    assert (event.seq, event.kind, event.data, event.authority) == (1, "note", {"text": "seen"}, None)


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"id": "A" * 36}, "The event's id must be a lower-case UUID; found 'AAAA"),
        ({"id": GOOD["id"].upper()}, "The event's id must be a lower-case UUID; found '0B6F"),
        ({"id": GOOD["id"] + "\n"}, "The event's id must be a lower-case UUID; found"),
        ({"seq": 0}, "The event's seq must be a whole number from 1 to 9007199254740992; found 0."),
        ({"seq": True}, "The event's seq must be a whole number from 1 to 9007199254740992; found True."),
        ({"phase": 1.5}, "The event's phase must be a whole number from 0 to 10000; found 1.5."),
        ({"at": -1}, "The event's at must be a whole number from 0 to"),
        ({"at": 10**15}, "The event's at must be a whole number from 0 to"),
        ({"kind": ""}, "The event's kind must be a word of at most 80 letters; found ''."),
        ({"data": []}, "The event's data must be an object; found []."),
        ({"authority": "supervisor"}, "The event has ['authority'], which no event has."),
    ],
)
def test_a_malformed_event_is_refused_in_one_sentence(change: dict[str, Any], says: str) -> None:
    with pytest.raises(MalformedEvent) as refused:
        read_event({**GOOD, **change})
    assert str(refused.value).startswith(says)


def test_an_event_that_lacks_something_is_refused_by_its_name() -> None:
    with pytest.raises(MalformedEvent, match=r"^The event lacks at, seq\.$"):
        read_event({key: value for key, value in GOOD.items() if key not in ("at", "seq")})


@pytest.mark.parametrize(
    "data",
    [
        {"value": float("nan")}, {"value": [1, {"deep": float("inf")}]}, {"text": "half \ud83d a letter"},
        {"text": "nul \x00"}, {"key \x00": 1},
    ],
)  # fmt: skip
def test_what_no_database_and_no_page_can_hold_is_refused(data: dict[str, Any]) -> None:
    with pytest.raises(MalformedEvent, match="cannot be kept"):
        read_event({**GOOD, "data": data})


json_values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(), inner, max_size=3),
    max_leaves=6,
)


@given(
    json_values
    | st.dictionaries(st.sampled_from(sorted(GOOD)), json_values).map(lambda change: {**GOOD, **change})
)
def test_whatever_is_sent_is_read_or_refused(body: Any) -> None:
    try:
        event = read_event(body)
    except MalformedEvent:
        return
    json.dumps(event.data, allow_nan=False, ensure_ascii=False).encode("utf-8")


def payload(kind: str, data: dict[str, Any]) -> Any:
    return read_payload(Event("", "", "", 1, kind, 0, 0, data))


def test_a_whole_number_written_with_a_point_is_the_same_number() -> None:
    counted = payload("count", {"count": "pins", "side": "in", "value": 12.0})
    assert counted == Counted("pins", "in", 12)
    assert payload("scrap", {"garments": [4.0, 2], "cause": "other"}) == Scrapped((2, 4), "other")


@pytest.mark.parametrize(
    ("value", "words"),
    [
        (None, "nothing"), (True, "true"), (0.0, "0"), (-0.0, "0"), (12.0, "12"), (2.5, "2.5"),
        (1e300, "a very large number"), (2**53, "a very large number"), (2**53 - 1, "9007199254740991"),
        (0.00001, "a very small number"),
        ("it's", "“it's”"), ("x" * 61, "“" + "x" * 60 + "”"), ([1], "a list"), ({}, "an object"),
    ],
)  # fmt: skip
def test_what_was_found_is_told_in_words(value: object, words: str) -> None:
    assert said_as_found(value) == words


def test_data_off_the_grammar_says_what_was_needed_and_what_was_found() -> None:
    with pytest.raises(UnreadableData) as refused:
        payload("count", {"count": "pins", "side": "up", "value": 1})
    assert str(refused.value) == 'A "count" event needs side: one of in, out; found “up”.'


@pytest.mark.parametrize(
    ("kind", "data", "sentence"),
    [
        ("done", {}, "done"),
        ("pause", {"reason": "break"}, "paused: a break"),
        ("count", {"count": "pins", "side": "out", "value": 12}, "counted 12 pins out"),
        ("redo", {"cause": "hoop-slipped", "to": 2}, "back to phase 3: the hoop slipped"),
        ("redo", {"cause": "other", "section": "hoop"}, "back to section hoop: something else"),
        ("scrap", {"garments": [3, 1], "cause": "cloth-cut"}, "scrapped garment 1, 3: the garment is cut"),
        ("take_over", {"operator": "Bo"}, "Bo took it over at another tablet"),
        (
            "photo",
            {"photo": GOOD["id"], "of": "meeting", "width": 1600, "height": 1200, "bytes": 300_000},
            "took a picture of how the halves meet",
        ),
        (
            "cleared",
            {"problem": "A1", "how": "new needle", "fragments": "missing", "decision": "set it aside"},
            "put right: new needle; fragments missing; decided: set it aside",
        ),
        (
            "cleared",
            {"problem": "A1", "how": "put right", "fragments": "all"},
            "put right; every fragment found",
        ),
    ],
)
def test_each_event_says_itself_as_a_sentence(kind: str, data: dict[str, Any], sentence: str) -> None:
    assert payload(kind, data).sentence() == sentence
