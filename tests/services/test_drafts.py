"""A job is set up from a draft, which keeps what was typed and becomes a job, or a new revision of one."""

from __future__ import annotations

import pytest
from flask import Flask

from floor.domain.job import HouseRules
from floor.jobfile.form import Form
from floor.queries.drafts import find_draft, open_drafts, read_draft
from floor.queries.planned import NothingToSew
from floor.queries.shop_routes import UnknownRoute
from floor.queries.views import find_job, job_view
from floor.services.drafts import (
    DraftOvertaken,
    DraftTooLarge,
    DraftUnfinished,
    UnknownDraft,
    draft_from_job,
    drop_draft,
    new_draft,
    plain_name,
    save_as_job,
    save_form,
    save_outline,
    take_up_draft,
)
from floor.services.jobs import RevisionRefused, UnknownJob, remove_job
from floor.store.models import DraftRow, JobRow, db
from tests.conftest import START, SUPERVISOR, demo_source
from tests.services.revised import revise_job, revised, without_route

NOW = START + 1000
LARK = demo_source("larkspur-jackets")
NEEDED = {
    "title": "Band jackets", "customer": "Larkspur Lane Marching Band", "due": "2026-12-11",
    "opening.span": "7 1/8 in", "opening.overlap": "20", "layer.0.colour": "purple",
    "layer.0.border.thread": "purple 40", "layer.1.colour": "cream", "layer.1.border.thread": "cream 40",
    "design.centre.0": "20", "garments": "M\tOdile\nM\tBram\nXL x 2",
}  # fmt: skip


def faults(draft: DraftRow) -> dict[str, str]:
    return dict(read_draft(draft).faults)


def filled(**changed: str) -> DraftRow:
    draft = new_draft("split-front", SUPERVISOR, NOW)
    form: Form = {**draft.form, **NEEDED, **{key.replace("__", "."): text for key, text in changed.items()}}
    save_form(draft.id, form, NOW)
    return save_outline(draft.id, "lark.svg", LARK.svg_text.encode(), NOW)


@pytest.mark.usefixtures("app")
class TestDrafts:
    def test_a_new_draft_lacks_only_what_a_person_must_say(self) -> None:
        found = faults(new_draft("split-front", SUPERVISOR, NOW))
        assert set(found) == {
            "title", "customer", "due", "opening.span", "opening.overlap", "layer.0.colour", "layer.1.colour",
            "garments", "design.outline",
        }  # fmt: skip
        assert found["title"] == "This is still empty; fill it in."

    def test_a_filled_draft_becomes_a_job(self) -> None:
        row = save_as_job(filled().id, SUPERVISOR, NOW, HouseRules())
        view = job_view(row)
        assert view.job.opening is not None
        assert view.job.opening.span == pytest.approx(7.125 * 25.4)
        assert [(g.size, g.name) for g in view.job.garments] == [
            ("M", "Odile"), ("M", "Bram"), ("XL", None), ("XL", None),
        ]  # fmt: skip
        assert open_drafts() == []

    def test_a_second_tap_on_save_makes_no_second_job(self) -> None:
        draft = filled().id
        first = save_as_job(draft, SUPERVISOR, NOW, HouseRules())
        assert save_as_job(draft, SUPERVISOR, NOW, HouseRules()).id == first.id
        assert db.session.query(JobRow).count() == 1

    def test_an_unfinished_draft_is_not_saved_and_kept(self) -> None:
        draft = filled(opening__span="wide")
        with pytest.raises(DraftUnfinished):
            save_as_job(draft.id, SUPERVISOR, NOW, HouseRules())
        assert [one.id for one in open_drafts()] == [draft.id]
        assert db.session.query(JobRow).count() == 0

    @pytest.mark.parametrize(
        ("key", "typed", "says"),
        [
            ("opening.span", "wide", '"wide" is not a length'),
            ("opening.overlap", "300", "must be less than the span"),
            ("opening.sizes.XL.span", "5 9/0 in", "divides by zero"),
            ("layer.1.border.width", "40", "it must be at least 1.5 mm"),
            ("machine.heads", "two", 'is "two"; write a whole number'),
            ("hoop.field.0", "0", "more than 0 mm"),
            ("due", "soon", 'the due date is "soon"'),
            ("garments", "M\nM x 0", "line 2"),
            ("layer.0.tack", "glue", "what would do"),
        ],
    )
    def test_a_bad_value_is_told_at_its_field_and_kept(self, key: str, typed: str, says: str) -> None:
        draft = filled(**{key.replace(".", "__"): typed})
        assert draft.form[key] == typed
        found = faults(draft)
        assert list(found) == [key]
        assert says.lower() in found[key].lower()
        assert "[" not in found[key]

    def test_a_design_beside_a_front_makes_no_job_and_the_draft_stays(self, larkspur: str) -> None:
        draft = filled(design__centre__0="220")
        with pytest.raises(NothingToSew, match="right front"):
            save_as_job(draft.id, SUPERVISOR, NOW, HouseRules())
        change = draft_from_job(larkspur, SUPERVISOR, NOW, change=True)
        save_form(change.id, {**change.form, "design.centre.0": "220"}, NOW)
        with pytest.raises(NothingToSew, match="right front"):
            save_as_job(change.id, SUPERVISOR, NOW, HouseRules())
        assert {one.id for one in open_drafts()} == {draft.id, change.id}
        assert db.session.query(JobRow).count() == 1

    def test_a_thread_that_is_not_named_is_of_its_cloths_colour(self) -> None:
        draft = filled(layer__0__border__thread="")
        job = read_draft(draft).job
        assert job is not None
        assert [layer.border.thread for layer in job.layers] == ["purple", "cream 40"]
        assert set(faults(filled(layer__0__colour="", layer__0__border__thread=""))) == {"layer.0.colour"}

    def test_a_fraction_on_a_millimetre_tape_is_asked_about(self) -> None:
        assert "has no unit" in faults(filled(opening__span="7 1/8", unit="mm"))["opening.span"]
        assert faults(filled(opening__span="7 1/8", unit="in", opening__overlap="20 mm")) == {}

    def test_a_plan_can_be_drawn_before_the_names_are_in(self) -> None:
        reading = read_draft(filled(title="", customer="", due="", garments="", layer__0__colour=""))
        assert reading.job is None
        assert reading.sketch is not None
        assert read_draft(filled(opening__span="wide")).sketch is None

    def test_an_outline_that_cannot_be_sewn_is_kept_and_told(self) -> None:
        draft = filled()
        save_outline(draft.id, "photo.svg", b"\x89PNG\r\n\x1a\n\0\0", NOW)
        assert "cannot be sewn" in faults(draft)["design.outline"]
        assert draft.outline_name == "photo.svg"

    def test_a_new_order_from_an_earlier_job_has_its_own_day_and_garments(self, larkspur: str) -> None:
        draft = draft_from_job(larkspur, SUPERVISOR, NOW, change=False)
        assert set(faults(draft)) == {"due", "garments"}
        assert draft.form["opening.sizes.XL.span"] == "200 mm"
        assert draft.job_id is None

    def test_changing_a_job_makes_its_next_revision(self, larkspur: str) -> None:
        draft = draft_from_job(larkspur, SUPERVISOR, NOW, change=True)
        assert faults(draft) == {}
        save_form(draft.id, {**draft.form, "title": "Band jackets, again"}, NOW)
        row = save_as_job(draft.id, SUPERVISOR, NOW, HouseRules(edge_sealing=True))
        assert (row.code, row.title, len(row.revisions)) == (larkspur, "Band jackets, again", 2)
        assert row.revisions[0].job_text == LARK.toml_text

    def test_a_job_unchanged_in_its_form_is_the_same_job(self, larkspur: str) -> None:
        row = find_job(larkspur)
        assert row is not None
        reading = read_draft(draft_from_job(larkspur, SUPERVISOR, NOW, change=True))
        assert reading.job is not None
        assert reading.job == job_view(row).job

    def test_a_draft_of_a_job_that_is_not_there_is_refused(self) -> None:
        with pytest.raises(UnknownJob):
            draft_from_job("ZZZZZ2", SUPERVISOR, NOW, change=True)

    def test_a_change_that_another_was_quicker_with_is_told_once_and_then_put_in_its_place(
        self, larkspur: str
    ) -> None:
        draft = draft_from_job(larkspur, SUPERVISOR, NOW, change=True)
        save_form(draft.id, {**draft.form, "title": "Mine"}, NOW)
        revise_job(larkspur, revised(LARK, title="Theirs"), "Noor", NOW)
        with pytest.raises(DraftOvertaken, match="Noor has changed this job to revision 2 since you began"):
            save_as_job(draft.id, SUPERVISOR, NOW, HouseRules())
        row = save_as_job(draft.id, SUPERVISOR, NOW, HouseRules())
        assert (row.title, len(row.revisions)) == ("Mine", 3)

    def test_a_change_that_is_refused_leaves_the_draft(self, larkspur: str) -> None:
        draft = draft_from_job(larkspur, SUPERVISOR, NOW, change=True)
        remove_job(larkspur, SUPERVISOR, NOW)
        with pytest.raises(RevisionRefused, match="put it back"):
            save_as_job(draft.id, SUPERVISOR, NOW, HouseRules())
        assert [one.id for one in open_drafts()] == [draft.id]

    def test_a_job_whose_route_the_shop_has_done_away_with_can_still_be_changed(
        self, larkspur: str, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        without_route(monkeypatch, "split-front")
        draft = draft_from_job(larkspur, SUPERVISOR, NOW, change=True)
        assert faults(draft) == {}
        save_form(draft.id, {**draft.form, "title": "Once more"}, NOW)
        row = save_as_job(draft.id, SUPERVISOR, NOW, HouseRules())
        assert row.revisions[1].route_text == row.revisions[0].route_text
        assert job_view(row).route.id == "split-front"
        with pytest.raises(UnknownRoute, match='no route "split-front"'):
            draft_from_job(larkspur, SUPERVISOR, NOW, change=False)
        with pytest.raises(UnknownRoute):
            new_draft("split-front", SUPERVISOR, NOW)

    def test_a_field_that_is_empty_is_told_at_itself(self) -> None:
        found = faults(filled(hoop__field__0="", hoop__field__1="", backing__kind="", backing__sheets=""))
        assert set(found) == {"hoop.field.0", "backing.kind", "backing.sheets"}
        assert set(found.values()) == {"This is still empty; fill it in."}
        assert set(faults(filled(hoop__field__1=""))) == {"hoop.field.1"}

    def test_a_dropped_draft_can_be_taken_up_again_with_all_that_was_typed(self) -> None:
        draft = filled()
        typed = dict(draft.form)
        drop_draft(draft.id, NOW)
        assert open_drafts() == []
        with pytest.raises(UnknownDraft):
            save_form(draft.id, typed, NOW)
        assert dict(take_up_draft(draft.id, NOW).form) == typed
        assert [one.id for one in open_drafts()] == [draft.id]

    def test_a_draft_that_was_saved_is_not_taken_up_again(self) -> None:
        draft = filled().id
        save_as_job(draft, SUPERVISOR, NOW, HouseRules())
        with pytest.raises(UnknownDraft):
            take_up_draft(draft, NOW)

    def test_what_is_too_large_is_refused_and_the_draft_stays(self) -> None:
        draft = filled()
        with pytest.raises(DraftTooLarge):
            save_form(draft.id, {"title": "x" * 300_000}, NOW)
        with pytest.raises(DraftTooLarge):
            save_outline(draft.id, "big.svg", b" " * 6_000_000, NOW)
        kept = find_draft(draft.id)
        assert kept is not None
        assert kept.form["title"] == NEEDED["title"]

    def test_what_is_no_field_is_not_kept(self) -> None:
        draft = filled()
        typed = dict(draft.form)
        strange = [
            "csrf_token",
            "layer.40.name",
            "layer.01.name",
            "layer." + "9" * 5000 + ".name",
            "layer.0.glue",
        ]
        save_form(draft.id, typed | dict.fromkeys(strange, "x"), NOW)
        assert draft.form == typed

    def test_the_route_of_a_draft_is_not_the_forms_to_change(self) -> None:
        draft = filled()
        save_form(draft.id, {**draft.form, "route": "closed"}, NOW)
        assert draft.form["route"] == "split-front"


@pytest.mark.parametrize(
    ("sent", "kept"),
    [
        ("lark.svg", "lark.svg"),
        ("C:\\drawings\\My Lark (2).SVG", "My-Lark-2.svg"),
        ("../../etc/passwd", "passwd.svg"),
        ("\u202e.svg", "outline.svg"),
        ("", "outline.svg"),
    ],
)
def test_an_outline_has_a_plain_name(sent: str, kept: str) -> None:
    assert plain_name(sent) == kept


def test_drafts_are_listed_newest_first(app: Flask) -> None:
    first, second = new_draft("closed", SUPERVISOR, NOW), new_draft("crest", SUPERVISOR, NOW + 5)
    assert [one.id for one in open_drafts()] == [second.id, first.id]
    save_form(first.id, {**first.form, "title": "x"}, NOW + 9)
    assert [one.id for one in open_drafts()] == [first.id, second.id]
