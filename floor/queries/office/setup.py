"""Where setting up a job begins: its drafts, the routes, and the jobs that were made before."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import select

from floor.domain.route import Route
from floor.domain.ticket import show_code
from floor.queries.drafts import open_drafts
from floor.queries.office.words import ago_words, day_words
from floor.queries.shop_routes import shop_routes
from floor.store.models import JobRow, db

LONG_LIST = 8  # more are looked for by words


@dataclass(frozen=True)
class RouteChoice:
    id: str
    title: str
    what_for: str


@dataclass(frozen=True)
class DraftLine:
    id: int
    title: str
    words: str


@dataclass(frozen=True)
class EarlierJob:
    code: str
    code_shown: str
    title: str
    customer: str
    due: str

    def has(self, words: list[str]) -> bool:
        text = f"{self.title} {self.customer} {self.code}".casefold()
        return all(word in text for word in words)


@dataclass(frozen=True)
class StartPage:
    """`looked_for`: the words that `jobs` were chosen by, "" for all; `long`: there are many without them."""

    drafts: tuple[DraftLine, ...]
    routes: tuple[RouteChoice, ...]
    jobs: tuple[EarlierJob, ...]
    looked_for: str
    long: bool


def start_page(now_ms: int, looked_for: str = "") -> StartPage:
    jobs = _earlier_jobs()
    words = looked_for.casefold().split()
    return StartPage(
        drafts=_draft_lines(now_ms),
        routes=tuple(
            RouteChoice(shop.route.id, shop.route.title, what_for(shop.route))
            for shop in shop_routes().values()
        ),
        jobs=tuple(job for job in jobs if job.has(words)),
        looked_for=looked_for,
        long=len(jobs) > LONG_LIST,
    )


def _draft_lines(now_ms: int) -> tuple[DraftLine, ...]:
    found = []
    for draft in open_drafts():
        title = draft.form.get("title", "").strip() or "A draft without a title yet"
        about = f"changes {show_code(draft.job.code)}" if draft.job else "a new job"
        words = f"{about}, {draft.made_by}, {ago_words(draft.changed_at, now_ms)}"
        found.append(DraftLine(draft.id, title, words))
    return tuple(found)


def what_for(route: Route) -> str:
    if route.opening:
        return "A design across a front that opens: each half in a hooping of its own, matched at the seam."
    if route.on_backing:
        return f"Each {route.piece} by itself: several in one hooping on firm backing, then cut out."
    return "A design on a garment that does not open where it is sewn, in one hooping."


def _earlier_jobs() -> tuple[EarlierJob, ...]:
    rows = db.session.scalars(
        select(JobRow).where(JobRow.removed_at.is_(None)).order_by(JobRow.created_at.desc(), JobRow.id.desc())
    )
    return tuple(
        EarlierJob(row.code, show_code(row.code), row.title, row.customer, day_words(row.due)) for row in rows
    )
