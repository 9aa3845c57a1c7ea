"""What a job's runs amount to, garment by garment, and which runs may not exist."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from hypothesis import given
from hypothesis import strategies as st
from route_cases import SPLIT_JOB

from floor.domain.history import CLOCK_GRACE_MS
from floor.domain.job import Garment
from floor.domain.progress import JobProgress, RunFacts, Terms, settle
from floor.domain.route import Section
from floor.domain.run_state import Status

PREPARE = Section("prepare", "Prepare the job", "job", "bench", None)
LEFT = Section("front-left", "Left front", "load", "machine", "left")
RIGHT = Section("front-right", "Right front", "load", "machine", "right")
FINISH = Section("finish", "Finish", "load", "bench", None)
SECTIONS = (PREPARE, LEFT, RIGHT, FINISH)
JOB = SPLIT_JOB  # garments 1 and 2 are M, 3 is XL, 4 is S
MINUTE = 60_000
LONG = 10 * MINUTE


def run(
    name: str,
    section: Section,
    garments: tuple[int, ...],
    opened_at: int,
    ended_at: int | None = None,
    **more: Any,
) -> RunFacts:
    """A run; finished when it has an end, unless `status` says otherwise."""
    status = more.pop("status", Status.FINISHED if ended_at is not None else Status.WORKING)
    lost_at = ended_at if ended_at is not None else opened_at
    more.setdefault("scrapped_at", tuple(lost_at for _ in more.get("scrapped", ())))
    return RunFacts(
        name, section.key, garments, more.pop("first_piece", False), more.pop("cause", ""), opened_at, status,
        ended_at=ended_at, **more,
    )  # fmt: skip


PREPARED = run("prepare", PREPARE, (), 0, LONG)


def settled(*runs: RunFacts, load_size: int = 1, approval: bool = False, job: Any = JOB) -> JobProgress:
    return settle(job, SECTIONS, load_size, approval, runs)


def test_a_job_begins_with_what_is_done_once_for_all() -> None:
    progress = settled()
    assert progress.open_job_section == PREPARE
    early = run("early", LEFT, (1,), 0)
    assert settled(early).refusals == {"early": "Prepare the job comes first for the whole job."}
    assert settled(PREPARED).open_job_section is None
    assert settled(PREPARED, run("in time", LEFT, (1,), LONG)).refusals == {}


def test_a_run_that_began_before_the_preparation_ended_does_not_spring_to_life_later() -> None:
    early = run("early", LEFT, (1,), MINUTE)
    under_way = replace(PREPARED, status=Status.WORKING, ended_at=None)
    assert settled(under_way, early).refusals == settled(PREPARED, early).refusals == {
        "early": "Prepare the job comes first for the whole job."
    }  # fmt: skip


def test_the_preparation_is_of_no_single_garment_and_done_by_one_tablet_at_a_time() -> None:
    progress = settled(
        run("of one", PREPARE, (1,), 0),
        run("first", PREPARE, (), 1),
        run("second", PREPARE, (), 2),
    )
    assert progress.refusals == {
        "of one": "Prepare the job is done once for the whole job, not for single garments.",
        "second": "Prepare the job was already under way on another tablet.",
    }
    assert progress.job_under_way == {"prepare": "first"}


def test_the_run_that_was_opened_first_keeps_the_garment() -> None:
    progress = settled(PREPARED, run("b", LEFT, (1,), LONG), run("a", LEFT, (1,), LONG + 5))
    assert progress.refusals == {"a": "Garment 1 was already under way: Left front."}
    assert progress.garments[1].under_way == "b"
    at_once = settled(PREPARED, run("b", LEFT, (1,), LONG), run("a", LEFT, (1,), LONG))
    assert at_once.refusals == {"b": "Garment 1 was already under way: Left front."}


def test_sections_come_in_their_order() -> None:
    progress = settled(PREPARED, run("right", RIGHT, (2,), LONG))
    assert progress.refusals == {"right": "Left front comes first for garment 2."}
    assert progress.next_section(2) == LEFT


def test_a_garment_is_finished_when_all_its_sections_are() -> None:
    runs = [
        PREPARED,
        *(run(s.key, s, (1,), LONG * (n + 1), LONG * (n + 2)) for n, s in enumerate(SECTIONS[1:])),
    ]
    progress = settled(*runs)
    assert progress.refusals == {}
    assert progress.garments[1].finished
    assert progress.next_section(1) is None
    assert not progress.garments[2].finished
    assert progress.next_section(2) == LEFT


def test_a_run_that_begins_within_the_grace_of_anothers_end_began_after_it() -> None:
    left = run("left", LEFT, (1,), LONG, 2 * LONG)
    in_time = run("right", RIGHT, (1,), 2 * LONG - CLOCK_GRACE_MS)
    too_soon = replace(in_time, opened_at=in_time.opened_at - 1)
    assert settled(PREPARED, left, in_time).refusals == {}
    assert settled(PREPARED, left, too_soon).refusals == {
        "right": "Garment 1 was already under way: Left front."
    }


def test_a_section_is_done_again_only_with_a_cause_and_undoes_what_came_after_it() -> None:
    left = run("left", LEFT, (1,), LONG, 2 * LONG)
    right = run("right", RIGHT, (1,), 2 * LONG, 3 * LONG)
    again = run("again", LEFT, (1,), 4 * LONG, 5 * LONG)
    assert settled(PREPARED, left, right, again).refusals == {
        "again": "Garment 1 has Left front behind it; doing it again needs a cause."
    }
    progress = settled(PREPARED, left, right, replace(again, cause="the halves do not meet"))
    assert progress.refusals == {}
    assert progress.garments[1].done == {"front-left": "again"}
    assert progress.attempts["again"] == 2
    assert progress.next_section(1) == RIGHT


def test_sent_back_means_that_the_earlier_section_is_owed_again() -> None:
    left = run("left", LEFT, (1,), LONG, 2 * LONG)
    back = run("right", RIGHT, (1,), 2 * LONG, 3 * LONG, status=Status.SENT_BACK, sent_back="front-left")
    progress = settled(PREPARED, left, back)
    assert progress.garments[1].done == {}
    assert progress.garments[1].under_way is None
    assert progress.next_section(1) == LEFT
    again = settled(PREPARED, left, back, run("again", LEFT, (1,), 3 * LONG))
    assert again.refusals == {}
    assert again.attempts["again"] == 2


def test_a_scrapped_garment_begins_again_with_a_new_piece() -> None:
    left = run("left", LEFT, (1,), LONG, 2 * LONG)
    lost = run("right", RIGHT, (1,), 2 * LONG, 3 * LONG, status=Status.SCRAPPED, scrapped=(1,))
    progress = settled(PREPARED, left, lost)
    assert (progress.garments[1].scraps, progress.garments[1].awaits_restart) == (1, True)
    assert progress.next_section(1) == LEFT
    new = run("new", LEFT, (1,), 3 * LONG)
    restarted = settled(PREPARED, left, lost, new)
    assert restarted.refusals == {}
    assert not restarted.garments[1].awaits_restart
    assert restarted.garments[1].under_way == "new"


def test_a_garment_lost_from_a_load_leaves_the_others_in_it() -> None:
    lost = run("load", LEFT, (1, 2), LONG, scrapped=(2,))
    progress = settled(PREPARED, lost, run("new piece", LEFT, (2,), 2 * LONG), load_size=2)
    assert progress.refusals == {}
    assert progress.garments[1].under_way == "load"
    assert progress.garments[2].under_way == "new piece"
    finished = settled(PREPARED, replace(lost, status=Status.FINISHED, ended_at=2 * LONG), load_size=2)
    assert finished.garments[1].done == {"front-left": "load"}
    assert finished.garments[2].done == {}


def test_the_batch_waits_for_the_first_piece() -> None:
    first = run("first", LEFT, (1,), LONG, 2 * LONG, first_piece=True)
    batch = run("batch", LEFT, (2,), 3 * LONG)
    owed = settled(PREPARED, first, batch, approval=True)
    assert owed.refusals == {
        "batch": "The first piece (garment 1) is not approved yet; the batch waits for it."
    }
    assert owed.approval_owed
    assert owed.first_piece == (1,)
    assert settled(PREPARED, first, batch).refusals == {}


def test_a_run_before_any_approval_is_the_first_pieces() -> None:
    progress = settled(PREPARED, run("some", LEFT, (2,), LONG), approval=True)
    assert progress.refusals == {
        "some": "Nothing of this job is approved yet, so this run is the first piece's."
    }


def test_approval_lets_the_batch_go_from_its_moment_less_the_grace() -> None:
    first = run("first", LEFT, (1,), LONG, 2 * LONG, first_piece=True, approvals=((2 * LONG, None),))
    in_time = run("batch", LEFT, (2,), 2 * LONG - CLOCK_GRACE_MS)
    too_soon = replace(in_time, opened_at=in_time.opened_at - 1)
    approved = settled(PREPARED, first, in_time, approval=True)
    assert approved.refusals == {}
    assert not approved.approval_owed
    assert list(settled(PREPARED, first, too_soon, approval=True).refusals) == ["batch"]


def test_when_the_first_piece_is_lost_another_becomes_it() -> None:
    lost = run("first", LEFT, (1,), LONG, 2 * LONG, status=Status.SCRAPPED, scrapped=(1,), first_piece=True)
    other = run("other", LEFT, (2,), 3 * LONG, first_piece=True)
    progress = settled(PREPARED, lost, other, approval=True)
    assert progress.refusals == {}
    assert progress.first_piece == (2,)


def test_a_load_holds_so_many_of_one_size_and_only_garments_of_the_job() -> None:
    refusals = settled(
        PREPARED,
        run("none", LEFT, (), LONG),
        run("strange", LEFT, (9,), LONG),
        run("three", LEFT, (1, 2, 3), LONG),
        run("mixed", LEFT, (1, 3), LONG),
        run("good", LEFT, (1, 2), LONG + 1),
        replace(run("unknown", LEFT, (1,), LONG), section="sleeve"),
        load_size=2,
    ).refusals
    assert refusals == {
        "none": "Left front needs at least one garment.",
        "strange": "This job has no garment 9; it has 1 to 4.",
        "three": "A load of this job holds 2; 3 garments were loaded.",
        "mixed": "Garments of different sizes cannot share a load: their openings differ.",
        "unknown": 'This job has no section "sleeve".',
    }


def test_sizes_may_share_a_load_where_nothing_opens() -> None:
    closed = replace(JOB, opening=None)
    assert settled(PREPARED, run("mixed", LEFT, (1, 3), LONG), load_size=2, job=closed).refusals == {}


def test_a_run_whose_opening_was_taken_back_counts_for_nothing() -> None:
    void = run("void", LEFT, (1,), LONG, status=Status.VOID)
    progress = settled(PREPARED, void, run("next", LEFT, (1,), LONG + 1))
    assert progress.refusals == {}
    assert "void" not in progress.attempts


@st.composite
def any_run(draw: st.DrawFn, number: int) -> RunFacts:
    section = draw(st.sampled_from([s.key for s in SECTIONS] * 3 + ["sleeve"]))
    garments = tuple(sorted(draw(st.sets(st.integers(1, 5), max_size=2)))) if section != "prepare" else ()
    opened_at = draw(st.integers(0, 20)) * MINUTE
    status = draw(st.sampled_from(list(Status)))
    over = status in (Status.FINISHED, Status.SCRAPPED, Status.SENT_BACK)
    ended_at = opened_at + draw(st.integers(0, 6)) * MINUTE if over else None
    scrapped = garments if status == Status.SCRAPPED else garments[: draw(st.integers(0, 1))]
    last = ended_at if ended_at is not None else opened_at + LONG
    scrapped_at = tuple(draw(st.integers(opened_at, last)) for _ in scrapped)
    start = draw(st.none() | st.integers(0, 30).map(lambda n: n * MINUTE))
    until = draw(st.none() | st.integers(0, 30).map(lambda n: n * MINUTE))
    return RunFacts(
        f"run {number}", section, garments, draw(st.booleans()), draw(st.sampled_from(["", "it lay wrong"])),
        opened_at, status, scrapped, scrapped_at, draw(st.sampled_from([s.key for s in SECTIONS])), ended_at,
        () if start is None else ((start, until),),
    )  # fmt: skip


@st.composite
def runs_and_another_order(draw: st.DrawFn) -> tuple[list[RunFacts], list[RunFacts]]:
    runs = [draw(any_run(number)) for number in range(draw(st.integers(0, 9)))]
    return runs, draw(st.permutations(runs))


@given(runs_and_another_order(), st.booleans())
def test_the_order_in_which_tablets_sent_their_runs_changes_nothing(
    both: tuple[list[RunFacts], list[RunFacts]], approval: bool
) -> None:
    one, other = both
    assert settled(*one, load_size=2, approval=approval) == settled(*other, load_size=2, approval=approval)


@given(runs_and_another_order(), st.booleans())
def test_whether_a_run_may_exist_depends_on_earlier_ones_only(
    both: tuple[list[RunFacts], list[RunFacts]], approval: bool
) -> None:
    runs = sorted(both[0], key=lambda facts: (facts.opened_at, facts.run))
    whole = settled(*runs, load_size=2, approval=approval).refusals
    for upto in range(len(runs)):
        part = settled(*runs[:upto], load_size=2, approval=approval).refusals
        assert part.items() <= whole.items()


@given(runs_and_another_order())
def test_no_garment_is_in_two_runs_at_one_time(both: tuple[list[RunFacts], list[RunFacts]]) -> None:
    runs, _ = both
    progress = settled(*runs, load_size=2)
    kept = [
        f
        for f in runs
        if f.run not in progress.refusals and f.status != Status.VOID and f.section != "prepare"
    ]
    for one in kept:
        for other in kept:
            if (one.opened_at, one.run) < (other.opened_at, other.run):
                shared = set(one.garments) & set(other.garments)
                assert not any(one.has(number, other.opened_at) for number in shared)
                over = one.ended_at is not None and one.ended_at <= other.opened_at + CLOCK_GRACE_MS
                lost = dict(zip(one.scrapped, one.scrapped_at, strict=True))
                assert over or all(lost[n] <= other.opened_at + CLOCK_GRACE_MS for n in shared)


@given(runs_and_another_order())
def test_a_finished_garment_has_a_finished_run_behind_each_section(
    both: tuple[list[RunFacts], list[RunFacts]],
) -> None:
    runs, _ = both
    by_id = {facts.run: facts for facts in runs}
    progress = settled(*runs, load_size=2)
    for number, garment in progress.garments.items():
        assert garment.finished == (set(garment.done) == {"front-left", "front-right", "finish"})
        for section, name in garment.done.items():
            done = by_id[name]
            assert (done.section, done.status) == (section, Status.FINISHED)
            assert number in done.garments
            assert number not in done.scrapped


def test_a_job_of_one_garment_is_no_special_case() -> None:
    alone = replace(JOB, garments=(Garment(1, "M"),))
    assert settled(PREPARED, run("left", LEFT, (1,), LONG), job=alone).refusals == {}


FLIPPED = Terms(
    JOB, (PREPARE, RIGHT, LEFT, FINISH), 1, False
)  # an earlier revision with the other front on top


def test_a_run_is_weighed_by_the_terms_of_its_own_revision() -> None:
    earlier = Terms(JOB, SECTIONS, load_size=2, approval_needed=False)
    two = run("two", LEFT, (1, 2), LONG, 2 * LONG)
    refused = "A load of this job holds 1; 2 garments were loaded."
    assert settled(PREPARED, two).refusals == {"two": refused}
    assert settled(PREPARED, replace(two, terms=earlier)).refusals == {}
    sleeve = Section("sleeve", "Sleeve", "load", "machine", None)
    of_sleeve = replace(earlier, sections=(PREPARE, sleeve, FINISH))
    progress = settled(PREPARED, replace(run("old", sleeve, (1,), LONG), terms=of_sleeve))
    assert progress.refusals == {}
    assert progress.garments[1].under_way == "old"
    assert progress.next_section(1) == LEFT


def test_only_a_run_whose_own_revision_asks_for_an_approval_waits_for_it() -> None:
    asks_nothing = Terms(JOB, SECTIONS, 1, approval_needed=False)
    old = replace(run("old", LEFT, (1,), LONG, 2 * LONG), terms=asks_nothing)
    new = run("new", LEFT, (2,), 3 * LONG)
    progress = settled(PREPARED, old, new, approval=True)
    assert list(progress.refusals) == ["new"]
    assert progress.approval_owed
    assert settled(PREPARED, old, replace(new, first_piece=True), approval=True).refusals == {}


def test_a_front_that_was_sewn_is_not_owed_again_when_the_fronts_change_places() -> None:
    right = replace(run("right", RIGHT, (1,), LONG, 2 * LONG), terms=FLIPPED)
    left = run("left", LEFT, (1,), 2 * LONG, 3 * LONG)
    progress = settled(PREPARED, right, left)
    assert progress.refusals == {}
    assert progress.garments[1].done == {"front-right": "right", "front-left": "left"}
    assert progress.next_section(1) == FINISH


def test_a_section_done_again_undoes_what_came_after_it_in_its_own_revision() -> None:
    right = replace(run("right", RIGHT, (1,), LONG, 2 * LONG), terms=FLIPPED)
    left = replace(run("left", LEFT, (1,), 2 * LONG, 3 * LONG), terms=FLIPPED)
    again = run("again", RIGHT, (1,), 4 * LONG, 5 * LONG, cause="the halves do not meet")
    assert settled(PREPARED, right, left, again).garments[1].done == {
        "front-left": "left",
        "front-right": "again",
    }
    flipped = settled(PREPARED, right, left, replace(again, terms=FLIPPED))
    assert flipped.garments[1].done == {"front-right": "again"}


def test_a_run_with_a_garment_that_the_newest_revision_has_not_cannot_be() -> None:
    fewer = replace(JOB, garments=JOB.garments[:3])
    other = replace(JOB, garments=(Garment(1, "L"), *JOB.garments[1:]))
    earlier = Terms(JOB, SECTIONS, 1, approval_needed=False)
    gone = replace(run("gone", LEFT, (4,), LONG), terms=earlier)
    assert settled(PREPARED, gone, job=fewer).refusals == {
        "gone": "Garment 4 was taken off this job by a newer revision; it has 1 to 3 now."
    }
    resized = replace(run("resized", LEFT, (1,), LONG), terms=earlier)
    assert settled(PREPARED, resized, job=other).refusals == {
        "resized": "Garment 1 is of size L now; by the revision of this run, M."
    }


@given(runs_and_another_order(), st.lists(st.booleans(), min_size=9, max_size=9))
def test_runs_of_two_revisions_are_weighed_whatever_their_order(
    both: tuple[list[RunFacts], list[RunFacts]], earlier: list[bool]
) -> None:
    fewer = replace(JOB, garments=JOB.garments[:2])
    old = {f"run {number}" for number, is_old in enumerate(earlier) if is_old}
    one, other = (
        [replace(facts, terms=FLIPPED) if facts.run in old else facts for facts in runs] for runs in both
    )
    assert settled(*one, job=fewer) == settled(*other, job=fewer)
