"""The tablets of the shop: when each was last heard, what is missing of it, and how its clock goes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from sqlalchemy import func, select

from floor.domain.english import plural
from floor.queries.events import OFFICE_DEVICE
from floor.queries.office.clock_words import change_sentence, clock_sentence, is_off
from floor.queries.office.words import ago_words, moment_words, second_words
from floor.store.models import Device, EventRow, Refusal, RunRow, VerdictRow, db

MOST_GAPS_SHOWN = 5
MOST_SHOWN = 200
JUMP_IS_NEWS_MS = 7 * 86_400_000


@dataclass(frozen=True)
class GapLine:
    """Numbers that are not here, and the taps of the same tablet on either side of them: where to look. `run`:
    the one that both belong to, "" where they belong to two or one is not here."""

    numbers: str
    after: str
    before: str
    run: str


@dataclass(frozen=True)
class TabletLine:
    """`more_missing`, `more_lost`: how many stretches are not shown."""

    name: str
    id: str
    machine: str
    operator: str
    seen: str
    seen_ago: str
    newest: int
    missing: tuple[GapLine, ...]
    more_missing: int
    lost: tuple[GapLine, ...]
    more_lost: int
    refused: int
    clock: str
    clock_off: bool
    clock_changed: str
    changed_lately: bool

    @property
    def looks_wrong(self) -> bool:
        return bool(self.missing or self.lost or self.clock_off or self.changed_lately)


def tablet_lines(now_ms: int) -> list[TabletLine]:
    """The tablets that were ever heard, the newest first; at most MOST_SHOWN."""
    rows = db.session.scalars(
        select(Device)
        .where(Device.id != OFFICE_DEVICE)
        .order_by(Device.seen_at.desc(), Device.id)
        .limit(MOST_SHOWN)
    )
    return [_tablet_line(row, now_ms) for row in rows]


def _tablet_line(row: Device, now_ms: int) -> TabletLine:
    last = _event(row.id, row.newest)
    verdict = db.session.get(VerdictRow, last.id) if last else None
    run = db.session.get(RunRow, last.run) if last else None
    refused = select(func.count()).select_from(Refusal).where(Refusal.device == row.id)
    return TabletLine(
        name=f"Tablet {row.id[:8]}",
        id=row.id,
        machine=run.machine if run else "",
        operator=verdict.operator if verdict else "",
        seen="" if row.seen_at is None else moment_words(row.seen_at),
        seen_ago="not since Floor was brought up to date"
        if row.seen_at is None
        else ago_words(row.seen_at, now_ms),
        newest=row.newest,
        missing=tuple(_gap_lines(row.id, row.missing)),
        more_missing=max(0, len(row.missing) - MOST_GAPS_SHOWN),
        lost=tuple(_gap_lines(row.id, row.lost)),
        more_lost=max(0, len(row.lost) - MOST_GAPS_SHOWN),
        refused=db.session.scalar(refused) or 0,
        clock=clock_sentence(row),
        clock_off=is_off(row.offset_ms),
        clock_changed=change_sentence(row),
        changed_lately=row.clock_changed_at is not None and now_ms - row.clock_changed_at < JUMP_IS_NEWS_MS,
    )


def _gap_lines(device: str, ranges: list[list[int]]) -> Iterator[GapLine]:
    for first, last in ranges[:MOST_GAPS_SHOWN]:
        before, after = _event(device, first - 1), _event(device, last + 1)
        yield GapLine(
            numbers=_numbers(first, last),
            after=second_words(before.at + before.offset_ms) if before else "",
            before=second_words(after.at + after.offset_ms) if after else "",
            run=after.run if after and before and after.run == before.run else "",
        )


def _numbers(first: int, last: int) -> str:
    if first == last:
        return f"number {first}"
    return f"numbers {first} {'and' if last == first + 1 else 'to'} {last}"


def _event(device: str, number: int) -> EventRow | None:
    return db.session.scalar(select(EventRow).where(EventRow.device == device, EventRow.seq == number))


def lead_words(lines: list[TabletLine]) -> str:
    """What the page says first."""
    wrong = sum(line.looks_wrong for line in lines)
    if not lines:
        return "None has sent anything yet."
    if not wrong:
        return f"{plural(len(lines), 'tablet')}; no tap is missing, and all clocks go right."
    return (
        f"{plural(len(lines), 'tablet')}; look at {wrong} of them." if len(lines) > 1 else "Look at this one."
    )
