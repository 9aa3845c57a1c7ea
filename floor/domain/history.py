"""What a run has let go of, and when: what other runs of its job build on.

A run that ends lets its garments go, scrap lets one go, and an approval lets the batch go. Whoever begins on that
must not lose his work to a tap of somebody else's later on. So an undo that would put a garment back into a run
is set aside once another run has begun with it; and an approval that is taken back, or that a redo clears,
stands for what was begun while it stood.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from floor.domain.payloads import Scrapped, Undone, read_payload
from floor.domain.run import Moment, Replay

# Two tablets' clocks, corrected, still differ a little: a run that begins this soon before another's end
# has begun after it.
CLOCK_GRACE_MS = 60_000

Span = tuple[int, int | None]
"""From a moment, ms, until another; None: until now."""


def stood_at(spans: Iterable[Span], moment: int) -> bool:
    """Whether one of the spans held at `moment`; one that begins within the grace after it did."""
    return any(
        start <= moment + CLOCK_GRACE_MS and (until is None or moment < until) for start, until in spans
    )


@dataclass(frozen=True)
class Reopening:
    """An undo that puts garments back into a run that had let them go `since`; `at`: when it was tapped.

    `garments` is empty for a run of the whole job: what is put back is then the whole job's.
    """

    undo: str
    garments: tuple[int, ...]
    since: int
    at: int


@dataclass(frozen=True)
class Beginning:
    """A run that was opened, whether it may exist or not."""

    run: str
    title: str
    garments: tuple[int, ...]
    opened_at: int


def approvals(replayed: Replay) -> tuple[Span, ...]:
    """When the first piece's approval stood, as it appeared at the time: a redo to before it, sending the
    garment back and an undo each end it."""
    spans: list[Span] = []
    since: int | None = None
    for moment in replayed.past:
        state, when = moment.state, moment.event.when
        stands = state.opened and bool(state.approved) and not state.sent_back
        if stands and since is None:
            since = when
        elif not stands and since is not None:
            spans.append((since, when))
            since = None
    return tuple(spans if since is None else [*spans, (since, None)])


def scrapped_at(replayed: Replay) -> dict[int, int]:
    """Garment -> when it was scrapped, ms."""
    return {
        number: step.event.when
        for step in replayed.steps
        if isinstance(step.payload, Scrapped)
        for number in step.payload.garments
    }


def reopenings(replayed: Replay) -> tuple[Reopening, ...]:
    """The undos of this run that put garments back into it."""
    when = {moment.event.id: moment.event.when for moment in replayed.past}
    found = []
    for before, after in zip(replayed.past, replayed.past[1:], strict=False):
        said = read_payload(after.event)
        if not isinstance(said, Undone) or not after.state.opened:
            continue
        back = _put_back(before, after)
        if back is not None:
            found.append(Reopening(after.event.id, back, when[said.event], after.event.when))
    return tuple(found)


def _put_back(before: Moment, after: Moment) -> tuple[int, ...] | None:
    if before.state.ended and not after.state.ended:
        return after.state.garments
    return tuple(n for n in before.state.scrapped if n not in after.state.scrapped) or None


def too_late(run: str, reopening: Reopening, beginnings: Iterable[Beginning]) -> str:
    """Why this undo of `run`'s comes too late; "" when nobody has begun with what it would put back."""
    begun = [
        other
        for other in beginnings
        if other.run != run
        and reopening.since - CLOCK_GRACE_MS <= other.opened_at < reopening.at
        and (not reopening.garments or set(reopening.garments) & set(other.garments))
    ]
    if not begun:
        return ""
    first = min(begun, key=lambda other: (other.opened_at, other.run))
    shared = [n for n in first.garments if n in reopening.garments]
    what = f" with garment {shared[0]}" if shared else ""
    return f"“{first.title}” had been begun{what} since; the tap before that can no longer be taken back."
