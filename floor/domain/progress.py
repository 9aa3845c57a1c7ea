"""A job's runs -> what each garment has behind it, and which run may be opened next.

Runs are weighed in the order they were opened, by the server's clock; whether one may exist depends only on
those opened before it, so the answer does not depend on the order in which tablets sent their events.

A run is weighed by the terms of the revision that it was opened on, for its load was made up by those; what a
garment still owes is told by the newest revision's. So a new revision takes back nothing that was sewn before it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from floor.domain.history import CLOCK_GRACE_MS, Span, stood_at
from floor.domain.job import Job
from floor.domain.route import Section
from floor.domain.run_state import Status


@dataclass(frozen=True)
class Terms:
    """What one revision of a job lays down for its runs. `load_size`: how many garments a load holds at most;
    `approval_needed`: whether the batch waits until a supervisor has approved the first piece."""

    job: Job
    sections: tuple[Section, ...]
    load_size: int
    approval_needed: bool

    def section(self, key: str) -> Section | None:
        return next((s for s in self.sections if s.key == key), None)

    def from_section_on(self, key: str) -> list[str]:
        """The keys of that section of loads and of those after it; none where there is no such section."""
        keys = [s.key for s in self.sections if s.scope == "load"]
        return keys[keys.index(key) :] if key in keys else []


@dataclass(frozen=True)
class RunFacts:
    """What the job needs to know of a run. `garments`: all that were in the load when it was opened;
    `scrapped` of them later, each at its moment of `scrapped_at`, ms; `approvals`: when its first piece's
    approval stood; `terms`: those of the revision it was opened on, None where that is the newest."""

    run: str
    section: str
    garments: tuple[int, ...]
    first_piece: bool
    cause: str
    opened_at: int
    status: Status
    scrapped: tuple[int, ...] = ()
    scrapped_at: tuple[int, ...] = ()
    sent_back: str = ""
    ended_at: int | None = None
    approvals: tuple[Span, ...] = ()
    terms: Terms | None = None

    def over_by(self, moment: int) -> bool:
        return self.ended_at is not None and self.ended_at <= moment + CLOCK_GRACE_MS

    def lost_by(self, moment: int) -> set[int]:
        """The garments that were scrapped by then: scrapped later, one is still in the load."""
        return {
            number
            for number, when in zip(self.scrapped, self.scrapped_at, strict=True)
            if when <= moment + CLOCK_GRACE_MS
        }

    def has(self, number: int, moment: int) -> bool:
        """Whether this run had that garment in hand at `moment`."""
        return number in self.garments and not self.over_by(moment) and number not in self.lost_by(moment)


@dataclass
class GarmentProgress:
    """`done`: section key -> run that did it, for this piece of cloth; `attempts`: section key -> how often it
    was begun; `under_way`: the run it is in now; `scraps`: pieces of cloth lost."""

    number: int
    done: dict[str, str] = field(default_factory=dict)
    attempts: dict[str, int] = field(default_factory=dict)
    under_way: str | None = None
    under_way_section: str = ""
    scraps: int = 0
    awaits_restart: bool = False
    finished: bool = False


@dataclass(frozen=True)
class JobProgress:
    """`sections`: the newest revision's. `refusals`: run id -> the sentence why it may not exist. `attempts`: run
    id -> which attempt it is."""

    sections: tuple[Section, ...]
    garments: Mapping[int, GarmentProgress]
    job_done: Mapping[str, str]
    refusals: Mapping[str, str]
    attempts: Mapping[str, int]
    approval_owed: bool
    first_piece: tuple[int, ...]
    job_under_way: Mapping[str, str]

    @property
    def load_sections(self) -> tuple[Section, ...]:
        return tuple(s for s in self.sections if s.scope == "load")

    def next_section(self, number: int) -> Section | None:
        """The section that this garment needs next; None when it is finished."""
        done = self.garments[number].done
        return next((s for s in self.load_sections if s.key not in done), None)

    @property
    def open_job_section(self) -> Section | None:
        """The first section that the job as a whole still owes before any garment."""
        return next((s for s in self.sections if s.scope == "job" and s.key not in self.job_done), None)


@dataclass
class _Fold:
    newest: Terms
    garments: dict[int, GarmentProgress]
    job_done: dict[str, str] = field(default_factory=dict)
    job_under_way: dict[str, str] = field(default_factory=dict)
    refusals: dict[str, str] = field(default_factory=dict)
    attempts: dict[str, int] = field(default_factory=dict)
    kept: list[RunFacts] = field(default_factory=list)
    kept_of: dict[int, list[RunFacts]] = field(default_factory=dict)

    def terms_of(self, facts: RunFacts) -> Terms:
        return self.newest if facts.terms is None else facts.terms

    def first_piece_of(self, moment: int) -> tuple[int, ...]:
        """The garments whose approval the batch waits for: the first load that is not wholly scrapped."""
        for at, facts in enumerate(self.kept):
            if facts.first_piece and facts.garments:
                lost = {n for f in self.kept[at:] for n in f.lost_by(moment)}
                alive = tuple(n for n in facts.garments if n not in lost)
                if alive:
                    return alive
        return ()

    def job_did(self, section: str, moment: int) -> bool:
        """Whether the job as a whole had that section behind it: what ends later does not count, or a run
        would be refused today and spring to life tomorrow."""
        return any(
            f.section == section and f.status == Status.FINISHED and f.over_by(moment) for f in self.kept
        )

    def approved_by(self, moment: int) -> bool:
        return any(stood_at(f.approvals, moment) for f in self.kept)


def settle(
    job: Job,
    sections: Sequence[Section],
    load_size: int,
    approval_needed: bool,
    runs: Iterable[RunFacts],
) -> JobProgress:
    """Weigh all runs of a job; the first four are the terms of its newest revision."""
    newest = Terms(job, tuple(sections), load_size, approval_needed)
    fold = _Fold(newest, {g.number: GarmentProgress(g.number) for g in job.garments})
    ordered = sorted(
        (facts for facts in runs if facts.status != Status.VOID), key=lambda f: (f.opened_at, f.run)
    )
    for facts in ordered:
        refusal = _why_not(fold, facts)
        if refusal:
            fold.refusals[facts.run] = refusal
            continue
        _take(fold, facts)
    _finish(fold)
    now = max((facts.opened_at for facts in fold.kept), default=0) + 10**15
    return JobProgress(
        sections=newest.sections,
        garments=fold.garments,
        job_done=fold.job_done,
        refusals=fold.refusals,
        attempts=fold.attempts,
        approval_owed=approval_needed and not fold.approved_by(now),
        first_piece=fold.first_piece_of(now),
        job_under_way=fold.job_under_way,
    )


def _why_not(fold: _Fold, facts: RunFacts) -> str:
    """Why this run may not exist, given those opened before it; "" when it may."""
    terms = fold.terms_of(facts)
    section = terms.section(facts.section)
    if section is None:
        return f'This job has no section "{facts.section}".'
    if section.scope == "job":
        return _why_not_job(fold, facts, section)
    wrong = _why_not_load(fold, facts, section)
    if wrong:
        return wrong
    for number in facts.garments:
        clash = _clash(fold, facts, number)
        if clash:
            return clash
    return _why_not_yet(fold, facts, section)


def _why_not_load(fold: _Fold, facts: RunFacts, section: Section) -> str:
    """What is wrong with the load as such."""
    terms = fold.terms_of(facts)
    if not facts.garments:
        return f"{section.title} needs at least one garment."
    sizes = {garment.number: garment.size for garment in terms.job.garments}
    newest = {garment.number: garment.size for garment in fold.newest.job.garments}
    for number in facts.garments:
        if number not in sizes:
            return f"This job has no garment {number}; it has 1 to {len(sizes)}."
        if number not in newest:
            return (
                f"Garment {number} was taken off this job by a newer revision; it has 1 to {len(newest)} now."
            )
        if newest[number] != sizes[number]:
            return f"Garment {number} is of size {newest[number]} now; by the revision of this run, {sizes[number]}."
    if len(facts.garments) > terms.load_size:
        return f"A load of this job holds {terms.load_size}; {len(facts.garments)} garments were loaded."
    if terms.job.opening is not None and len({sizes[n] for n in facts.garments}) > 1:
        return "Garments of different sizes cannot share a load: their openings differ."
    return ""


def _why_not_job(fold: _Fold, facts: RunFacts, section: Section) -> str:
    if facts.garments:
        return f"{section.title} is done once for the whole job, not for single garments."
    for other in fold.kept:
        if other.section == section.key and not other.over_by(facts.opened_at):
            return f"{section.title} was already under way on another tablet."
    return ""


def _clash(fold: _Fold, facts: RunFacts, number: int) -> str:
    for other in fold.kept_of.get(number, ()):
        if other.has(number, facts.opened_at):
            section = fold.terms_of(other).section(other.section)
            assert section is not None  # or that run would not be kept
            return f"Garment {number} was already under way: {section.title}."
    return ""


def _why_not_yet(fold: _Fold, facts: RunFacts, section: Section) -> str:
    terms = fold.terms_of(facts)
    for owed in terms.sections:
        if owed.key == section.key:
            break
        if owed.scope == "job" and not fold.job_did(owed.key, facts.opened_at):
            return f"{owed.title} comes first for the whole job."
        for number in facts.garments:
            if owed.scope == "load" and owed.key not in fold.garments[number].done:
                return f"{owed.title} comes first for garment {number}."
    again = [n for n in facts.garments if section.key in fold.garments[n].done]
    if again and not facts.cause:
        return f"Garment {again[0]} has {section.title} behind it; doing it again needs a cause."
    if terms.approval_needed and not fold.approved_by(facts.opened_at):
        first = fold.first_piece_of(facts.opened_at)
        if first and not set(facts.garments) <= set(first):
            return f"The first piece (garment {first[0]}) is not approved yet; the batch waits for it."
        if not facts.first_piece:
            return "Nothing of this job is approved yet, so this run is the first piece's."
    return ""


def _take(fold: _Fold, facts: RunFacts) -> None:
    fold.kept.append(facts)
    if not facts.garments:
        fold.attempts[facts.run] = 1 + sum(f.section == facts.section for f in fold.kept[:-1])
        if facts.status == Status.FINISHED:
            fold.job_done[facts.section] = facts.run
            fold.job_under_way.pop(facts.section, None)
        else:
            fold.job_under_way[facts.section] = facts.run
        return
    for number in facts.garments:
        fold.kept_of.setdefault(number, []).append(facts)
        garment = fold.garments[number]
        attempt = garment.attempts.get(facts.section, 0) + 1
        garment.attempts[facts.section] = attempt
        fold.attempts[facts.run] = max(fold.attempts.get(facts.run, 1), attempt)
        garment.awaits_restart = False
        if facts.section in garment.done:
            # Only then: another revision may have the fronts the other way round, and what it has already
            # sewn would be sewn twice.
            _forget_from(fold, garment, facts, facts.section)
        if number in facts.scrapped:
            garment.done.clear()
            garment.scraps += 1
            garment.awaits_restart = True
            garment.under_way = None
        elif facts.status == Status.FINISHED:
            garment.done[facts.section] = facts.run
            garment.under_way = None
        elif facts.status == Status.SENT_BACK:
            _forget_from(fold, garment, facts, facts.sent_back)
            garment.under_way = None
        else:
            garment.under_way, garment.under_way_section = facts.run, facts.section


def _forget_from(fold: _Fold, garment: GarmentProgress, facts: RunFacts, section: str) -> None:
    """A section done again makes what comes after it undone too, in the order of the run that does it again."""
    for key in fold.terms_of(facts).from_section_on(section):
        garment.done.pop(key, None)


def _finish(fold: _Fold) -> None:
    keys = [s.key for s in fold.newest.sections if s.scope == "load"]
    for garment in fold.garments.values():
        garment.finished = bool(keys) and all(key in garment.done for key in keys)
