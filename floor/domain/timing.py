"""A run's events -> its time log: what each phase took.

Every stretch between two events in force belongs to one phase and to one of work, rework, waiting, pause or
problem, so the parts add up to the run's span to the millisecond. A tap that was taken back never happened:
its stretch belongs to the phase it was in. A machine phase's work beyond its expected stitching time is
waiting, and so is the time an approval is owed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from floor.domain.checklist import Checklist, Phase
from floor.domain.run import Step
from floor.domain.run_state import RunState

MS = 1000
CLOCK_ERROR_MS = (
    2_000  # as far as a measured clock may be off: two taps in haste seem to go backwards by no more
)
PARTS = ("work", "rework", "waiting", "pause", "problem")


@dataclass(frozen=True)
class PhaseTime:
    """What one phase of a run took, seconds. `ended` is None while the phase is not over.

    `jumps`: how often the clock went backwards within it, by more than a measured clock may be off, or changed by
    nobody knows how much; such a stretch counts nothing and is flagged.
    `times`: how often the phase was begun.
    """

    index: int
    key: str
    title: str
    who: str
    layer: int | None
    expected_s: float
    work_s: float
    rework_s: float
    waiting_s: float
    pause_s: float
    problem_s: float
    started: int
    ended: int | None
    times: int
    jumps: int

    @property
    def span_s(self) -> float:
        return (
            self.work_s * MS
            + self.rework_s * MS
            + self.waiting_s * MS
            + self.pause_s * MS
            + self.problem_s * MS
        ) / MS


@dataclass
class _Sums:
    started: int
    ended: int | None = None
    times: int = 0
    jumps: int = 0
    ms: dict[str, int] = field(default_factory=lambda: dict.fromkeys(PARTS, 0))


def part_of(state: RunState) -> str:
    """To which part of a phase's time a stretch in this state belongs."""
    if state.pause:
        return "pause"
    if state.blocked:
        return "problem"
    if state.approval_owed:
        return "waiting"
    return "rework" if state.in_rework else "work"


def time_log(checklist: Checklist, steps: Sequence[Step], until: int | None = None) -> tuple[PhaseTime, ...]:
    """The time of each phase that was begun, in the route's order.

    `until`: ms by the server's clock; the open stretch of a run that has not ended is counted to there, or
    left out when None. Source of the parts: DEVELOPERS.md, "The time log".
    """
    sums: dict[int, _Sums] = {}
    before: int | None = None
    for at, step in enumerate(steps):
        state, start = step.after, step.event.when
        entered = state.phase if state.opened and not state.ended else None
        if before is not None and before != entered:
            sums[before].ended = start
        if entered is not None and entered != before:
            sums.setdefault(entered, _Sums(start)).times += 1
            sums[entered].ended = None
        before = entered
        end = steps[at + 1].event.when if at + 1 < len(steps) else until
        if entered is None or end is None:
            continue
        if end < start - CLOCK_ERROR_MS or (at + 1 < len(steps) and steps[at + 1].event.adrift):
            sums[entered].jumps += 1
            continue
        sums[entered].ms[part_of(state)] += max(0, end - start)
    return tuple(_phase_time(index, checklist.phases[index], sums[index]) for index in sorted(sums))


def _phase_time(index: int, phase: Phase, sums: _Sums) -> PhaseTime:
    ms = dict(sums.ms)
    if phase.who == "machine":
        beyond = max(0, ms["work"] - round(phase.expected_s * MS))
        ms["work"] -= beyond
        ms["waiting"] += beyond
    return PhaseTime(
        index=index,
        key=phase.key,
        title=phase.title,
        who=phase.who,
        layer=phase.layer,
        expected_s=phase.expected_s,
        work_s=ms["work"] / MS,
        rework_s=ms["rework"] / MS,
        waiting_s=ms["waiting"] / MS,
        pause_s=ms["pause"] / MS,
        problem_s=ms["problem"] / MS,
        started=sums.started,
        ended=sums.ended,
        times=sums.times,
        jumps=sums.jumps,
    )
