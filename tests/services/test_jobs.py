"""Jobs come in once, are removed and put back; people are names, supervisors have passwords."""

from __future__ import annotations

import dataclasses

import pytest
from flask import Flask
from sqlalchemy import func, select

from floor.domain.job import HouseRules
from floor.domain.ticket import read_code
from floor.queries.planned import NothingToSew
from floor.queries.views import find_job
from floor.services.jobs import AlreadyImported, UnknownJob, import_job, remove_job, restore_job
from floor.services.people import (
    NameRefused,
    NameTaken,
    PasswordRefused,
    add_person,
    check_password,
    set_active,
)
from floor.store.models import JobRow, db
from tests.conftest import PASSWORD, START, SUPERVISOR, Tablet, demo_source, view_of


class TestJobs:
    @pytest.mark.parametrize("folder", ["larkspur-jackets", "tinhill-pullovers", "quarry-crest"])
    def test_each_demo_job_is_stored_with_its_outline_and_route(self, app: Flask, folder: str) -> None:
        source = demo_source(folder)
        view = view_of(import_job(source, SUPERVISOR, START).code)
        assert view.job == source.job
        assert view.row.revisions[0].outline_text == source.svg_text
        assert view.row.revisions[0].created_by == SUPERVISOR
        assert read_code(view.row.code) == view.row.code
        _, y0, _, y1 = view.outline.bounds
        assert y1 - y0 == pytest.approx(source.job.design.height)

    def test_the_same_files_make_no_second_job(self, app: Flask, larkspur: str) -> None:
        with pytest.raises(AlreadyImported, match="change its title or its due date") as refused:
            import_job(demo_source("larkspur-jackets"), SUPERVISOR, START)
        assert refused.value.code == larkspur

    def test_an_outline_that_encloses_no_area_makes_no_job(self, app: Flask) -> None:
        line = '<svg xmlns="http://www.w3.org/2000/svg"><path d="M0 0 L40 40 Z"/></svg>'
        source = dataclasses.replace(demo_source("quarry-crest"), svg_text=line)
        with pytest.raises(NothingToSew, match=f'The outline "{source.svg_name}" cannot be sewn: '):
            import_job(source, SUPERVISOR, START)
        assert db.session.scalar(select(func.count()).select_from(JobRow)) == 0

    def test_a_new_due_date_makes_a_new_order(self, app: Flask, larkspur: str) -> None:
        source = demo_source("larkspur-jackets")
        later = dataclasses.replace(source, toml_text=source.toml_text.replace("2026-12-11", "2027-01-15"))
        assert import_job(later, SUPERVISOR, START).code != larkspur

    def test_the_house_rules_of_the_day_stay_with_the_job(self, app: Flask) -> None:
        source = demo_source("larkspur-jackets")
        code = import_job(source, SUPERVISOR, START, HouseRules(edge_sealing=False, first_piece=False)).code
        plan = view_of(code).plan
        phases = plan.checklist("finish", (1,), True).phases
        assert not plan.approval_needed
        assert not any(phase.approval for phase in phases)
        with_sealing = dataclasses.replace(plan, digest="other", house=HouseRules(edge_sealing=True))
        assert len(with_sealing.checklist("finish", (1,), False).phases) == len(phases) + 1

    def test_a_removed_job_can_be_put_back(self, tablet: Tablet, larkspur: str) -> None:
        remove_job(larkspur, SUPERVISOR, START)
        tablet.open(larkspur, "prepare")
        assert tablet.send()[0].verdict == "aside"
        restore_job(larkspur)
        row = find_job(larkspur)
        assert row is not None
        assert row.removed_at is None
        assert tablet.send(tablet.sent)[0].verdict == "applied"

    def test_a_job_that_is_not_here_cannot_be_removed(self, app: Flask) -> None:
        with pytest.raises(UnknownJob, match="no job with the code"):
            remove_job("000000", SUPERVISOR, START)


class TestPeople:
    def test_a_name_is_taken_whatever_its_case(self, app: Flask) -> None:
        with pytest.raises(NameTaken, match="already on the list"):
            add_person("  iNES ", False, None)

    @pytest.mark.parametrize("name", ["", "  ", "x" * 61, "a\x00b", "a\nb\x07"])
    def test_a_name_must_be_one_that_can_be_read(self, app: Flask, name: str) -> None:
        with pytest.raises(NameRefused):
            add_person(name, False, None)

    @pytest.mark.parametrize("password", [None, "", "short"])
    def test_a_supervisor_needs_a_password_of_some_length(self, app: Flask, password: str | None) -> None:
        with pytest.raises(PasswordRefused, match="at least 8"):
            add_person("Noor", True, password)

    def test_only_the_right_password_of_an_active_supervisor_opens(self, app: Flask) -> None:
        person = check_password(SUPERVISOR, PASSWORD)
        assert person is not None
        assert person.password_hash is not None
        assert PASSWORD not in person.password_hash
        assert check_password(SUPERVISOR, PASSWORD + "x") is None
        assert check_password("Ines", "") is None
        assert check_password("Nobody", PASSWORD) is None
        set_active(person.id, False)
        assert check_password(SUPERVISOR, PASSWORD) is None
