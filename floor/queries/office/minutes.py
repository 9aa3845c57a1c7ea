"""Where a garment's minutes go: each phase over all garments, beside what is usual."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from sqlalchemy import select

from floor.domain.route import UnknownGarment, UnknownSection
from floor.domain.run_state import Status
from floor.queries.office.spent import ONCE, Fates
from floor.queries.office.words import MINUTE_S, minute_words
from floor.queries.views import JobView, Plan, plan_of
from floor.store.models import PhaseTimeRow, RunRow, db

ROOM_FOR_THE_BARS = 0.76  # of the width; the rest is for the words at the end of the longest
TICK_STEPS_MIN = (0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0)
MOST_TICKS = 6


@dataclass(frozen=True)
class PhaseBar:
    """Means over the `count` garments that came through the phase, however often each did: seconds a garment.
    `again_s`: work done again after going back, in a later attempt, or on a piece that was scrapped.
    `usual`: what the route calls usual, None where the job's file has no such phase."""

    title: str
    who: str
    count: int
    work_s: float
    again_s: float
    waiting_s: float
    pause_s: float
    problem_s: float
    expected_s: float
    usual: tuple[float, float] | None

    @property
    def total_s(self) -> float:
        """What the bar shows: pauses and problems are other things than the phase."""
        return self.work_s + self.again_s + self.waiting_s

    @property
    def over(self) -> bool:
        """Judged as the page shows it, to a tenth of a minute: "2.0" is never over "1.0 to 2.0"."""
        return self.usual is not None and _tenths(self.total_s) > _tenths(self.usual[1])

    @property
    def shown(self) -> str:
        return minute_words(self.total_s)

    @property
    def label(self) -> str:
        """What stands at the bar's end: "9.4 over, 2.1 again"."""
        again = minute_words(self.again_s)
        words = self.shown + (" over" if self.over else "")
        return words if again == minute_words(0) else f"{words}, {again} again"


@dataclass(frozen=True)
class SectionBars:
    title: str
    bars: tuple[PhaseBar, ...]


@dataclass(frozen=True)
class MinutesChart:
    """`scale_s`: the seconds that the whole width stands for; `ticks`: minutes to mark under the bars."""

    sections: tuple[SectionBars, ...]
    scale_s: float
    ticks: tuple[float, ...]
    garments: int

    def percent(self, seconds: float) -> str:
        return f"{100 * seconds / self.scale_s:.2f}%"

    @property
    def anything(self) -> bool:
        return bool(self.sections)


@dataclass
class _Sums:
    """`once`: what is expected and usual counts once for each garment, however often it came through."""

    title: str
    who: str
    order: tuple[int, int]
    once: set[int] = field(default_factory=set)
    parts: list[float] = field(default_factory=lambda: [0.0] * 5)
    expected: float = 0.0
    usual: list[tuple[float, float]] = field(default_factory=list)


def minutes_chart(view: JobView, fates: Fates) -> MinutesChart:
    """Phases that are over, of runs of garments (what is done once for the job is in the tables alone)."""
    titles = {section.key: section.title for section in view.sections}
    order = {section.key: at for at, section in enumerate(view.sections)}
    revisions = {revision.number: plan_of(revision) for revision in view.row.revisions}
    usual: dict[tuple[int, str, tuple[int, ...], bool], dict[str, tuple[float, float]]] = {}
    sums: dict[tuple[str, str], _Sums] = {}
    found = db.session.execute(
        select(PhaseTimeRow, RunRow)
        .join(RunRow, PhaseTimeRow.run_id == RunRow.id)
        .where(RunRow.job_id == view.row.id, RunRow.refusal == "", RunRow.status != Status.VOID)
        .where(PhaseTimeRow.ended.is_not(None))
        .order_by(RunRow.opened_at, RunRow.id, PhaseTimeRow.phase)
    )
    for phase, run in found:
        if not run.garments:
            continue
        load = tuple(run.garments)
        request = (run.revision, run.section, load, run.first_piece)
        if request not in usual:
            usual[request] = _usual_of(revisions, *request)
        place = (order.get(run.section, len(order)), phase.phase)
        titles.setdefault(run.section, run.title)
        entry = sums.setdefault((run.section, phase.key), _Sums(phase.title, phase.who, place))
        for number in load:
            _add(entry, phase, number, len(load), fates[run.id, number], usual[request].get(phase.key))
    sections = _sections(sums, titles)
    bars = [bar for section in sections for bar in section.bars]
    widest = max(
        (max(bar.total_s, bar.usual[1] if bar.usual else bar.expected_s) for bar in bars), default=0.0
    )
    widest = max(widest, float(MINUTE_S))
    return MinutesChart(
        sections=sections,
        scale_s=widest / ROOM_FOR_THE_BARS,
        ticks=_ticks(widest),
        garments=max((bar.count for bar in bars), default=0),
    )


def _add(
    entry: _Sums, row: PhaseTimeRow, number: int, load: int, fate: str, usual: tuple[float, float] | None
) -> None:
    """One garment's share of a phase that `load` garments came through together."""
    work, again = (row.work_s, row.rework_s) if fate == ONCE else (0.0, row.work_s + row.rework_s)
    for at, seconds in enumerate((work, again, row.waiting_s, row.pause_s, row.problem_s)):
        entry.parts[at] += seconds / load
    if number in entry.once:
        return
    entry.once.add(number)
    entry.expected += row.expected_s / load
    if usual is not None:
        entry.usual.append((usual[0] / load, usual[1] / load))


def _tenths(seconds: float) -> int:
    """Tenths of a minute."""
    return round(10 * seconds / MINUTE_S)


def _usual_of(
    plans: Mapping[int, Plan], revision: int, section: str, load: tuple[int, ...], first_piece: bool
) -> dict[str, tuple[float, float]]:
    """The usual range of each phase of such a load, by the revision it was sewn to."""
    if revision not in plans:
        return {}
    try:
        checklist = plans[revision].checklist(section, load, first_piece)
    except (UnknownSection, UnknownGarment):
        return {}
    return {phase.key: phase.usual_s for phase in checklist.phases}


def _sections(sums: Mapping[tuple[str, str], _Sums], titles: Mapping[str, str]) -> tuple[SectionBars, ...]:
    bars: dict[str, list[PhaseBar]] = {}
    for (section, _), entry in sorted(sums.items(), key=lambda item: item[1].order):
        bars.setdefault(section, []).append(_bar(entry))
    return tuple(SectionBars(titles[section], tuple(found)) for section, found in bars.items())


def _bar(entry: _Sums) -> PhaseBar:
    count = len(entry.once)
    work, again, waiting, pause, problem = (seconds / count for seconds in entry.parts)
    lows, highs = (sum(ends) for ends in zip(*entry.usual, strict=True)) if entry.usual else (0.0, 0.0)
    return PhaseBar(
        title=entry.title,
        who=entry.who,
        count=count,
        work_s=work,
        again_s=again,
        waiting_s=waiting,
        pause_s=pause,
        problem_s=problem,
        expected_s=entry.expected / count,
        usual=(lows / count, highs / count) if entry.usual else None,
    )


def _ticks(widest_s: float) -> tuple[float, ...]:
    """Minutes at even steps from 0 up to the widest bar, at most MOST_TICKS of them."""
    minutes = widest_s / MINUTE_S
    step = next((step for step in TICK_STEPS_MIN if minutes / step < MOST_TICKS), TICK_STEPS_MIN[-1])
    return tuple(step * at for at in range(int(minutes / step) + 1))
