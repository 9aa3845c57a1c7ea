"""A tablet's clock in plain words: how far it is off, when it jumped, and what that means for the log."""

from __future__ import annotations

from floor.queries.office.words import DAY_S, HOUR_S, MINUTE_S, moment_words
from floor.store.models import Device, EventRow

WORTH_SAYING_MS = 2_000
DAYS_FROM_S = 2 * DAY_S


def apart_words(ms: int) -> str:
    """How far two clocks are apart: "2.4 s", "12 min 05 s", "3 h 05 min", "365 days"."""
    seconds = abs(ms) / 1000
    if seconds < MINUTE_S:
        return f"{seconds:.1f} s"
    whole = round(seconds)
    if whole < HOUR_S:
        return f"{whole // MINUTE_S} min {whole % MINUTE_S:02d} s"
    if whole < DAYS_FROM_S:
        return f"{whole // HOUR_S} h {whole % HOUR_S // MINUTE_S:02d} min"
    return f"{round(seconds / DAY_S)} days"


def offset_words(offset_ms: int) -> str:
    """ "3 h 05 min behind" for a tablet's clock, as `offset_ms` has it: the server's minus its own."""
    return f"{apart_words(offset_ms)} {'behind' if offset_ms > 0 else 'ahead'}"


def is_off(offset_ms: int) -> bool:
    return abs(offset_ms) > WORTH_SAYING_MS


def clock_sentence(row: Device) -> str:
    """How a tablet's clock goes, as it was measured last."""
    if row.round_trip_ms is None:
        if not is_off(row.offset_ms):
            return "Not measured; it goes right as far as its messages tell."
        return (
            f"Not measured; by its messages {offset_words(row.offset_ms)}. Its times are put right by that."
        )
    sure = f"measured to {apart_words(max(100, row.round_trip_ms // 2))}"
    if is_off(row.offset_ms):
        return f"{offset_words(row.offset_ms).capitalize()}, {sure}. Its times are put right by that."
    return f"Right, {sure}."


def change_sentence(row: Device) -> str:
    """That a tablet's clock jumped; "" if no two measurements ever differed."""
    if row.clock_changed_at is None or row.clock_changed_by_ms is None:
        return ""
    way = "on" if row.clock_changed_by_ms > 0 else "back"
    return (
        f"It jumped {way} by {apart_words(row.clock_changed_by_ms)}, "
        f"found {moment_words(row.clock_changed_at)}."
    )


def clock_note(event: EventRow, before: EventRow | None) -> str:
    """What the log says of the clock at an event; "" where nothing is amiss. `before`: the event that this tablet
    sent before it of the same run."""
    if event.adrift and before is not None:
        return "The tablet's clock had been changed by nobody knows how much: the time before this is not counted."
    if before is None:
        off = f"This tablet's clock was {offset_words(event.offset_ms)}; its times are put right here."
        return off if is_off(event.offset_ms) else ""
    moved_on = before.offset_ms - event.offset_ms
    if is_off(moved_on):
        way = "on" if moved_on > 0 else "back"
        return (
            f"The tablet's clock had jumped {way} by {apart_words(moved_on)}; its times are put right here."
        )
    if event.at + event.offset_ms < before.at + before.offset_ms:
        return "The tablet's clock had run backwards: the time before this is not counted."
    return ""
