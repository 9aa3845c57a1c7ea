"""Vectors of a job's progress: random jobs of two revisions, and runs of them, mostly such as a shop would open."""

from __future__ import annotations

from dataclasses import asdict, fields, replace
from random import Random
from typing import Any

from route_cases import SPLIT_JOB

from floor.domain.history import Span
from floor.domain.job import Garment
from floor.domain.progress import JobProgress, RunFacts, Terms, settle
from floor.domain.route import Section
from floor.domain.run_state import Status

PREPARE = Section("prepare", "Prepare the job", "job", "bench", None)
LEFT = Section("front-left", "Left front", "load", "machine", "left")
RIGHT = Section("front-right", "Right front", "load", "machine", "right")
FINISH = Section("finish", "Finish", "load", "bench", None)
PACK = Section("pack", "Pack the job", "job", "bench", None)

POOL = 10
CASES = 90
MOST_RUNS = 14
MINUTE = 60_000
KEYS = [field.name for field in fields(RunFacts) if field.name != "terms"] + ["revision"]


def progress_file(random: Random) -> dict[str, Any]:
    """`terms`: of revisions; a case names two of them, the newest last. Runs: the values of `keys`."""
    pool = [random_terms(random, changed=at % 2) for at in range(POOL)]
    cases = [case(f"random {number}", random, pool) for number in range(1, CASES + 1)]
    return {"terms": [terms_json(terms) for terms in pool], "keys": KEYS, "cases": cases}


def case(name: str, random: Random, pool: list[Terms]) -> dict[str, Any]:
    used = random.randrange(POOL), random.randrange(POOL)
    terms = {number: pool[at] for number, at in enumerate(used, start=1)}
    runs = random_runs(random, terms)
    rows = [facts_json(facts, number) for facts, number in random.sample(runs, len(runs))]
    return {
        "name": name,
        "terms": list(used),
        "runs": [list(row.values()) for row in rows],
        "expected": progress_json(progress(terms, runs)),
    }


def progress(terms: dict[int, Terms], runs: list[tuple[RunFacts, int]]) -> JobProgress:
    newest = terms[2]
    facts = [replace(facts, terms=None if number == 2 else terms[number]) for facts, number in runs]
    return settle(newest.job, newest.sections, newest.load_size, newest.approval_needed, facts)


def random_terms(random: Random, changed: int) -> Terms:
    """`changed`: with another order of sections or another list of garments, perhaps."""
    sizes = ["M", "M", "M", "XL"][: random.choice((3, 4)) if changed else 4]
    if changed and random.random() < 0.3:
        sizes[random.randrange(len(sizes))] = "S"
    garments = tuple(Garment(n, size) for n, size in enumerate(sizes, start=1))
    opening = SPLIT_JOB.opening if random.random() < 0.7 else None
    order = [PREPARE, LEFT, RIGHT, FINISH]
    if changed and random.random() < 0.4:
        order[1:3] = RIGHT, LEFT
    if changed and random.random() < 0.5:
        order.insert(random.choice((2, 3, 4)), PACK)
    job = replace(SPLIT_JOB, garments=garments, opening=opening)
    return Terms(job, tuple(order), random.choice((1, 2, 2, 3)), random.random() < 0.5)


def random_runs(random: Random, terms: dict[int, Terms]) -> list[tuple[RunFacts, int]]:
    runs: list[tuple[RunFacts, int]] = []
    now = 1_000_000
    for at in range(random.randint(3, MOST_RUNS)):
        now += random.choice((0, 1, 59_000, 61_000, 5 * MINUTE, 30 * MINUTE))
        revision = 2 if random.random() < 0.75 else 1
        section, garments, first = likely(random, terms, runs) if random.random() < 0.85 else any_load(random)
        facts = RunFacts(
            f"run {random.randrange(10**6)} {at}", section, garments,
            first if random.random() < 0.9 else not first,
            random.choice(("", "", "it lay wrong")), now, Status.WORKING,
        )  # fmt: skip
        facts = ended(random, facts)
        now = facts.ended_at or now if random.random() < 0.8 else now
        runs.append((facts, revision))
    return runs


def likely(
    random: Random, terms: dict[int, Terms], runs: list[tuple[RunFacts, int]]
) -> tuple[str, tuple[int, ...], bool]:
    """What a shop would open next."""
    so_far, newest = progress(terms, runs), terms[2]
    owed = so_far.open_job_section
    if owed is not None and (owed.key not in so_far.job_under_way or random.random() < 0.1):
        return owed.key, (), False
    lead = random.choice(sorted(so_far.garments))
    upcoming = so_far.next_section(lead) or random.choice(so_far.load_sections)
    load = [n for n in so_far.garments if n == lead or so_far.next_section(n) == upcoming]
    load = [lead, *(n for n in load if n != lead)][: random.randint(1, newest.load_size)]
    return upcoming.key, tuple(sorted(load)), so_far.approval_owed


def any_load(random: Random) -> tuple[str, tuple[int, ...], bool]:
    section = random.choice((PREPARE, LEFT, RIGHT, FINISH, PACK)).key if random.random() < 0.9 else "sleeve"
    garments = tuple(sorted(random.sample(range(1, 6), random.randint(0, 3))))
    return section, garments, random.random() < 0.5


def ended(random: Random, facts: RunFacts) -> RunFacts:
    status = random.choice(
        (*[Status.FINISHED] * 7, Status.WORKING, Status.HELD, Status.VOID, Status.SENT_BACK, Status.SCRAPPED)
    )
    if status == Status.SCRAPPED and not facts.garments:
        status = Status.PAUSED
    if not facts.garments and random.random() < 0.9:
        status = Status.FINISHED  # or a job would hardly ever come beyond its preparation
    over = status in (Status.FINISHED, Status.SENT_BACK, Status.SCRAPPED)
    ended_at = facts.opened_at + random.choice((0, 30_000, 20 * MINUTE)) if over else None
    lost = facts.garments if status == Status.SCRAPPED else ()
    if len(facts.garments) > 1 and random.random() < 0.2:
        lost = facts.garments[:1]
    last = ended_at if ended_at is not None else facts.opened_at + 10 * MINUTE
    return replace(
        facts,
        status=status,
        ended_at=ended_at,
        scrapped=lost,
        scrapped_at=tuple(random.randint(facts.opened_at, last) for _ in lost),
        sent_back=random.choice((LEFT.key, RIGHT.key)) if status == Status.SENT_BACK else "",
        approvals=approved(random, last) if facts.first_piece else (),
    )


def approved(random: Random, last: int) -> tuple[Span, ...]:
    """None, one that stands, or one that was taken back and perhaps given again."""
    spans: list[Span] = [(last - 1_000, None)]
    if random.random() < 0.3:
        until = last + random.randint(0, 40) * MINUTE
        spans = [(last - 1_000, until), *([(until + MINUTE, None)] if random.random() < 0.5 else [])]
    return tuple(spans) if random.random() < 0.6 else ()


def terms_json(terms: Terms) -> dict[str, Any]:
    """As a tablet's bundle has them (floor/queries/tablet_held.py)."""
    return {
        "sections": [vars(section) for section in terms.sections],
        "garments": [vars(garment) for garment in terms.job.garments],
        "load_size": terms.load_size,
        "approval_needed": terms.approval_needed,
        "opens": terms.job.opening is not None,
    }


def facts_json(facts: RunFacts, revision: int) -> dict[str, Any]:
    body = asdict(replace(facts, terms=None)) | {"revision": revision}
    return {key: body[key] for key in KEYS}


def progress_json(found: JobProgress) -> dict[str, Any]:
    return {
        "garments": {str(number): vars(garment) for number, garment in found.garments.items()},
        "job_done": dict(found.job_done),
        "job_under_way": dict(found.job_under_way),
        "refusals": dict(found.refusals),
        "attempts": dict(found.attempts),
        "approval_owed": found.approval_owed,
        "first_piece": list(found.first_piece),
    }
