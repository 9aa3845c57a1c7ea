"""The pictures of a stored job, by its revision and size."""

from __future__ import annotations

from floor.drawing import closed_picture, front_picture
from floor.queries.pictures import closed_svg, front_svg, phase_svg
from tests.conftest import view_of


def test_each_revision_has_its_pictures_by_size(larkspur: str) -> None:
    view = view_of(larkspur)
    for size in ("M", "XL"):
        assert closed_svg(view.row, 1, size) == closed_picture(view.sums, size)
        for front in view.job.fronts:
            drawn = front_picture(view.sums, size, front, warnings=True)
            assert front_svg(view.row, 1, size, front, warnings=True) == drawn
    assert closed_svg(view.row, 1, "M") != closed_svg(view.row, 1, "XL")


def test_a_size_that_the_job_does_not_have_gets_the_first_one_s(larkspur: str) -> None:
    row = view_of(larkspur).row
    for size in ("", "XXL"):
        assert closed_svg(row, 1, size) == closed_svg(row, 1, "M")
        assert front_svg(row, 1, size, "left") == front_svg(row, 1, "M", "left")
        assert phase_svg(row, 1, "front-left", 7, {"size": size}) == phase_svg(row, 1, "front-left", 7, {})


def test_what_a_job_does_not_have_has_no_picture(larkspur: str) -> None:
    row = view_of(larkspur).row
    assert closed_svg(row, 9, "M") is None
    assert front_svg(row, 9, "M", "left") is None
    assert front_svg(row, 1, "M", "whole") is None
    assert phase_svg(row, 1, "front-left", 999, {}) is None
