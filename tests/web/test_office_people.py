"""People on the tablets' list."""

from __future__ import annotations

from flask.testing import FlaskClient

from floor.queries.machines import machines
from floor.queries.office.people import people
from floor.queries.tablet import shop
from floor.store.models import Person, db
from tests.conftest import OPERATOR, SUPERVISOR


def number_of(name: str) -> int:
    found = db.session.scalar(db.select(Person.id).where(Person.name == name))
    assert found is not None
    return found


def test_an_operator_is_added_by_name_alone(supervisor: FlaskClient) -> None:
    page = supervisor.post("/office/people", data={"name": "  Tomasz  Lind "}, follow_redirects=True).text
    assert "Tomasz Lind is on the list" in page
    assert [p.supervisor for p in people(True) if p.name == "Tomasz Lind"] == [False]


def test_a_name_that_is_taken_or_empty_is_answered_beside_the_field(supervisor: FlaskClient) -> None:
    taken = supervisor.post("/office/people", data={"name": OPERATOR.upper()})
    assert taken.status_code == 422
    assert "already on the list" in taken.text
    assert f'value="{OPERATOR.upper()}"' in taken.text
    assert supervisor.post("/office/people", data={"name": " "}).status_code == 422
    assert len(people(True)) == 2


def test_a_person_who_left_can_be_put_back(supervisor: FlaskClient) -> None:
    number = number_of(OPERATOR)
    page = supervisor.post(f"/office/people/{number}/leave", follow_redirects=True).text
    assert f'action="/office/people/{number}/back"' in page
    assert [p.name for p in people(False)] == [OPERATOR]
    supervisor.post(f"/office/people/{number}/back")
    assert people(False) == []


def test_nobody_locks_themselves_out(supervisor: FlaskClient) -> None:
    answer = supervisor.post(f"/office/people/{number_of(SUPERVISOR)}/leave")
    assert answer.status_code == 409
    assert SUPERVISOR in [p.name for p in people(True)]


def test_an_unknown_person_answers_one_sentence(supervisor: FlaskClient) -> None:
    assert supervisor.post("/office/people/999/leave").status_code == 404
    assert supervisor.post("/office/people/999/back").status_code == 404


def test_a_machine_that_is_named_is_offered_to_every_tablet(supervisor: FlaskClient) -> None:
    page = supervisor.post(
        "/office/people/machines", data={"machine": " By the  window "}, follow_redirects=True
    ).text
    assert "Tablets can stand at By the window now" in page
    assert shop()["machines"] == ["By the window"]


def test_a_machine_without_a_name_of_its_own_is_answered_beside_the_field(supervisor: FlaskClient) -> None:
    supervisor.post("/office/people/machines", data={"machine": "Machine 1"})
    for name in ("machine 1", " ", "M" * 41, "M\x01"):
        answer = supervisor.post("/office/people/machines", data={"machine": name})
        assert answer.status_code == 422
        assert 'role="alert"' in answer.text
    assert machines() == ["Machine 1"]


def test_a_machine_comes_off_the_list_and_back(supervisor: FlaskClient) -> None:
    for name in ("Machine 1", "Slow & steady"):
        supervisor.post("/office/people/machines", data={"machine": name})
    page = supervisor.post("/office/people/machines/off?name=Slow+%26+steady", follow_redirects=True).text
    assert 'action="/office/people/machines/back?name=Slow+%26+steady"' in page
    assert machines() == ["Machine 1"]
    supervisor.post("/office/people/machines/back?name=Slow+%26+steady")
    assert machines() == ["Machine 1", "Slow & steady"]
    assert supervisor.post("/office/people/machines/back?name=Machine+1").status_code == 409


def test_a_machine_that_is_not_on_the_list_cannot_come_off_it(supervisor: FlaskClient) -> None:
    assert supervisor.post("/office/people/machines/off?name=none").status_code == 404
