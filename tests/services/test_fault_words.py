"""What is wrong with a field is told in the form's words, whatever the file calls it."""

from __future__ import annotations

import pytest

from floor.jobfile.usual import usual_form
from floor.queries.drafts import read_draft
from floor.queries.fault_words import form_sentence
from floor.queries.field_names import field_name
from floor.queries.shop_routes import shop_routes
from floor.services.drafts import new_draft, save_form

FIELDS = [
    "opening.span", "opening.overlap", "opening.over_edge", "opening.under_cover", "opening.buttons",
    "opening.button_size", "opening.sizes.XL.span", "opening.sizes.XL.overlap", "design.height",
    "design.centre.0", "design.centre.1", "layer.1.offset", "layer.1.border.width", "layer.1.border.spacing",
    "layer.1.stitches.placement", "layer.1.stitches.tack", "layer.1.stitches.border", "hoop.field.0",
    "hoop.field.1", "hoop.clearance", "backing.sheets", "machine.speed", "machine.heads",
]  # fmt: skip


@pytest.mark.usefixtures("app")
@pytest.mark.parametrize("key", FIELDS)
@pytest.mark.parametrize("typed", ["nonsense", "99999999"])
def test_no_field_speaks_of_the_files_keys(key: str, typed: str) -> None:
    draft = new_draft("split-front", "Maren", 1)
    filled = {"opening.span": "180", "opening.overlap": "20", "garments": "M x 1\nXL x 1"}
    row = save_form(draft.id, {**draft.form, **filled, key: typed}, 2)
    sentence = dict(read_draft(row).faults)[key]
    for word in ("_", "[", "1st of", "2nd of", "of layer", "centre of", "field of"):
        assert word not in sentence, sentence
    assert typed in sentence
    assert sentence.endswith(".")


@pytest.mark.parametrize(
    ("key", "message", "said"),
    [
        (
            "opening.over_edge",
            'the over_edge of [opening] cannot be read: "x" is not a length',
            'How far it is sewn past the folded edge cannot be read: "x" is not a length.',
        ),
        (
            "opening.overlap",
            "the overlap of [opening.sizes.XL] is 200 mm and its span 180 mm; the overlap must be less",
            "The overlap of size XL is 200 mm and its span 180 mm; the overlap must be less.",
        ),
        ("title", "the title of the file is empty; write one", "The title is empty; write one."),
    ],
)
def test_a_sentence(key: str, message: str, said: str) -> None:
    assert form_sentence(key, message) == said


def test_every_field_of_a_form_has_a_name() -> None:
    for shop in shop_routes().values():
        fields = set(usual_form(shop.route)) - {"route", "unit"}
        assert {key for key in fields if not field_name(key)} == set()
    assert field_name("opening.sizes.2XL tall.span") == "the span of size 2XL tall"
    assert field_name("nonsense") == ""
