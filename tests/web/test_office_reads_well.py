"""What a reader by ear, by keyboard or in poor light needs of the supervisor's pages and the ticket."""

from __future__ import annotations

import re
from html.parser import HTMLParser

import pytest
from flask.testing import FlaskClient

from floor.places import page_folder
from tests.conftest import Tablet

STEP_CONTRAST, TEXT_CONTRAST = 12.0, 4.5
PAGES = (
    "/office/", "/office/jobs", "/office/time-log", "/office/problems", "/office/set-aside", "/office/export",
    "/office/people", "/office/tablets", "/office/meeting", "/office/import", "/office/jobs/{code}",
    "/office/jobs/{code}/time",
    "/office/jobs/{code}/ticket", "/office/runs/{run}", "/help", "/office/jobs/000000",
)  # fmt: skip


class Outline(HTMLParser):
    """The levels of a page's headings, its labels' targets, and its fields."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.levels: list[int] = []
        self.labelled: set[str] = set()
        self.fields: list[dict[str, str | None]] = []
        self.inside_label = 0
        self.lang = ""
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        own = dict(attrs)
        if re.fullmatch("h[1-6]", tag):
            self.levels.append(int(tag[1]))
        if tag == "html":
            self.lang = own.get("lang") or ""
        if tag == "label":
            self.inside_label += 1
            self.labelled.add(own.get("for") or "")
        if tag in ("input", "select", "textarea") and own.get("type") != "hidden" and not self.inside_label:
            self.fields.append(own)

    def handle_endtag(self, tag: str) -> None:
        self.inside_label -= tag == "label"


@pytest.mark.parametrize("path", PAGES)
def test_a_page_has_one_first_heading_no_gap_below_it_and_a_label_for_each_field(
    supervisor: FlaskClient, larkspur: str, tablet: Tablet, path: str
) -> None:
    run = tablet.walk(larkspur, "prepare")
    tablet.send()
    page = Outline(supervisor.get(path.format(code=larkspur, run=run)).text)
    assert page.lang == "en-GB"
    assert page.levels.count(1) == 1
    assert page.levels[0] == 1
    assert all(after <= before + 1 for before, after in zip(page.levels, page.levels[1:], strict=False))
    for field in page.fields:
        assert field.get("id") in page.labelled, field


def test_the_inks_are_dark_enough_on_their_grounds() -> None:
    css = (page_folder("static") / "css" / "base.css").read_text(encoding="utf-8")
    token = dict(re.findall(r"--([\w-]+): (#[0-9a-f]{6});", css))
    for ground in ("white", "paper"):
        assert contrast(token["ink"], token[ground]) >= STEP_CONTRAST
        for ink in ("ink-soft", "chalk", "go", "care", "over"):
            assert contrast(token[ink], token[ground]) >= TEXT_CONTRAST, (ink, ground)
    for ground in ("care-pale", "over-pale", "go-pale", "chalk-pale"):
        assert contrast(token["ink"], token[ground]) >= STEP_CONTRAST - 1, ground
    assert contrast(token["white"], token["go"]) >= TEXT_CONTRAST


def contrast(one: str, other: str) -> float:
    """WCAG 2: the contrast ratio of two colours."""
    light, dark = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def _luminance(colour: str) -> float:
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue
