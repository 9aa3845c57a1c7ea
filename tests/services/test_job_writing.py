"""A job is written as a file, and as a form, from which it is read back equal."""

from __future__ import annotations

import io
import tomllib
import zipfile
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floor.domain.job import (
    Backing,
    Border,
    Design,
    Garment,
    Hoop,
    Job,
    Layer,
    Machine,
    Opening,
    OpeningSize,
    Stitches,
)
from floor.jobfile import JobFileErrors, read_job, read_job_bytes, read_job_folder
from floor.jobfile.form import data_of_form, form_of
from floor.jobfile.form_layers import add_layer, layer_count, move_layer, remove_layer
from floor.jobfile.usual import usual_form
from floor.jobfile.writing import data_of, write_job_text
from floor.jobfile.zipped import job_zip
from floor.places import page_folder
from floor.queries.shop_routes import route_needs, shop_routes
from tests.services.job_data import job_data

DEMO = ("larkspur-jackets", "quarry-crest", "tinhill-pullovers")
TEXTS = st.text(
    st.characters(codec="utf-8", exclude_categories=("Cc", "Cs", "Zl", "Zp")), min_size=1, max_size=30
).filter(lambda text: text.strip() == text and text)
SIZES = st.sampled_from(
    ["S", "M", "2XL tall", "one size", "½", 'a "b"', "2.5", "x.span", "M, long", "4 x", "-"]
)


def lengths(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high).filter(lambda mm: mm == 0 or abs(mm) > 1e-9)


@st.composite
def jobs(draw: st.DrawFn) -> Job:
    opens = draw(st.booleans())
    sizes = draw(st.lists(SIZES, min_size=1, max_size=3, unique=True))
    overlap = draw(lengths(0, 60))
    span = draw(lengths(70, 400))
    names = draw(st.lists(TEXTS, min_size=1, max_size=3, unique_by=str.casefold))
    garments = draw(st.lists(st.tuples(st.sampled_from(sizes), st.none() | TEXTS), min_size=1, max_size=8))
    worn = {size for size, _ in garments}
    return Job(
        title=draw(TEXTS),
        customer=draw(TEXTS),
        due=draw(st.dates(date(2000, 1, 1), date(2100, 12, 31))),
        route="split-front" if opens else "closed",
        opening=Opening(
            span=span,
            overlap=overlap,
            over_edge=draw(lengths(-20, 20)),
            button_size=draw(lengths(5, 30)),
            under_cover=draw(st.none() | lengths(0, 30)),
            buttons=draw(st.integers(2, 9)),
            top_front=draw(st.sampled_from(["left", "right"])),
            sizes={
                size: OpeningSize(span + 10.5, overlap) for size in sizes if size in worn and size != sizes[0]
            },
        )
        if opens
        else None,
        design=Design(
            "outline.svg", draw(lengths(1, 400)), draw(st.tuples(lengths(-50, 50), lengths(-50, 50)))
        ),
        layers=tuple(
            Layer(
                name=name,
                fabric=draw(TEXTS),
                colour=draw(TEXTS),
                offset=draw(lengths(-10, 20)),
                placement_line=draw(st.booleans()),
                tack=draw(st.sampled_from(["run", "double run", "zigzag"])),
                border=Border(draw(lengths(1.5, 12)), draw(lengths(0.2, 5)), draw(TEXTS)),
                stitches=Stitches(*draw(st.tuples(*[st.none() | st.integers(1, 10_000)] * 3))),
            )
            for name in names
        ),
        hoop=Hoop(draw(st.tuples(lengths(100, 500), lengths(100, 500))), draw(lengths(0, 20))),
        backing=Backing(draw(TEXTS), draw(st.integers(0, 6))),
        machine=Machine(draw(st.integers(100, 1500)), draw(st.integers(1, 12))),
        garments=tuple(Garment(number, size, name) for number, (size, name) in enumerate(garments, 1)),
    )


@given(jobs())
def test_a_job_that_is_written_reads_back_equal(job: Job) -> None:
    assert read_job(write_job_text(job_data(job)), None, route_needs()) == job


@given(jobs())
def test_a_job_in_a_form_and_out_of_it_is_the_same_job(job: Job) -> None:
    data, faults = data_of_form(form_of(job_data(job)))
    assert faults == ()
    data["design"]["outline"] = job.design.outline
    assert read_job(write_job_text(data), None, route_needs()) == job


@pytest.mark.parametrize("folder", DEMO)
def test_a_demo_job_is_written_again_and_packed_as_the_same_job(folder: str) -> None:
    source = read_job_folder(page_folder("demo_jobs") / folder, route_needs())
    text = write_job_text(data_of(source.toml_text))
    assert read_job(text, source.svg_text, route_needs()) == source.job
    packed = job_zip(source.job.title, text, source.svg_name, source.svg_text)
    again = read_job_bytes({"any.zip": packed}, route_needs())
    assert (again.job, again.svg_text) == (source.job, source.svg_text)
    assert packed == job_zip(source.job.title, text, source.svg_name, source.svg_text)


def test_a_job_whose_texts_shrink_like_a_bomb_is_packed_so_that_it_can_be_read_again() -> None:
    source = read_job_folder(page_folder("demo_jobs") / DEMO[0], route_needs())
    svg = source.svg_text + " " * 300_000
    packed = job_zip(source.job.title, source.toml_text, source.svg_name, svg)
    assert read_job_bytes({"any.zip": packed}, route_needs()).svg_text == svg


def test_a_packed_outline_lies_where_the_job_file_says() -> None:
    source = read_job_folder(page_folder("demo_jobs") / DEMO[0], route_needs())
    text = source.toml_text.replace("lark.svg", "./art/lark.svg")
    packed = job_zip("Ünter 12 / 13", text, "./art/lark.svg", source.svg_text)
    assert zipfile.ZipFile(io.BytesIO(packed)).namelist() == ["nter-12-13.toml", "art/lark.svg"]
    assert read_job_bytes({"any.zip": packed}, route_needs()).svg_name == "./art/lark.svg"


def test_a_written_file_is_laid_out_as_a_person_would() -> None:
    source = Path(page_folder("demo_jobs") / "larkspur-jackets" / "larkspur-jackets.toml").read_text()
    text = write_job_text(dict(reversed(tomllib.loads(source).items())))
    headers = [line for line in text.splitlines() if line.startswith("[")]
    assert headers == [
        "[opening]", "[opening.sizes.XL]", "[design]", "[[layer]]", "[layer.border]", "[[layer]]",
        "[layer.border]", "[hoop]", "[backing]", "[machine]", "[[garment]]", "[[garment]]",
    ]  # fmt: skip
    assert text.startswith("title = ")


@pytest.mark.parametrize(
    ("key", "typed", "unit", "path", "value"),
    [
        ("opening.span", "7 1/8", "in", ("opening", "span"), "7 1/8 in"),
        ("opening.span", "7 1/8 in", "mm", ("opening", "span"), "7 1/8 in"),
        ("opening.span", " 5-9/16 ", "in", ("opening", "span"), "5-9/16 in"),
        ("layer.0.offset", "-2.5", "mm", ("layer", 0, "offset"), "-2.5 mm"),
        ("opening.span", "wide", "mm", ("opening", "span"), "wide"),
        ("opening.sizes.2.5.span", "190", "mm", ("opening", "sizes", "2.5", "span"), "190 mm"),
        ("machine.heads", "2", "mm", ("machine", "heads"), 2),
        ("machine.heads", "two", "mm", ("machine", "heads"), "two"),
        ("layer.0.placement_line", "false", "mm", ("layer", 0, "placement_line"), False),
        ("due", "2026-12-11", "mm", ("due",), date(2026, 12, 11)),
        ("due", "soon", "mm", ("due",), "soon"),
    ],
)
def test_what_is_typed_becomes_what_the_file_has(
    key: str, typed: str, unit: str, path: tuple[str | int, ...], value: object
) -> None:
    found: Any = data_of_form({key: typed, "unit": unit})[0]
    for step in path:
        found = found[step]
    assert found == value
    assert type(found) is type(value)


def test_what_is_empty_or_unknown_is_not_in_the_data() -> None:
    data, _ = data_of_form(
        {"title": "  ", "opening.span": "", "surprise": "1", "layer.99999.name": "x", "__x": "1"}
    )
    assert data == {"opening": {}}


def test_of_two_lengths_side_by_side_each_keeps_its_place() -> None:
    assert data_of_form({"hoop.field.0": "", "hoop.field.1": "200"})[0] == {"hoop": {"field": ["", "200 mm"]}}
    assert data_of_form({"hoop.field.0": "", "hoop.field.1": ""})[0] == {"hoop": {}}


@given(st.dictionaries(st.text(max_size=30), st.text(max_size=20)))
def test_no_form_at_all_breaks_the_reading(form: dict[str, str]) -> None:
    data, _ = data_of_form(form)
    write_job_text(data)


ANY_TEXT = st.text(st.characters(), max_size=20) | st.sampled_from(
    ["7 1/8", "-", "1/0", "true", "9" * 50, "½"]
)


@given(st.data(), st.sampled_from(sorted(usual_form(shop_routes()["split-front"].route))))
def test_whatever_is_typed_in_a_field_is_read_as_a_job_or_has_its_faults(
    data: st.DataObject, key: str
) -> None:
    form = usual_form(shop_routes()["split-front"].route) | {
        "garments": "M x 4",
        "opening.sizes.M.span": "1 in",
    }
    form |= {key: data.draw(ANY_TEXT), f"opening.sizes.{data.draw(ANY_TEXT)}.overlap": data.draw(ANY_TEXT)}
    typed, _ = data_of_form(form)
    with pytest.raises(JobFileErrors) as refused:  # there is no outline, and no title
        read_job(write_job_text(typed), None, route_needs())
    assert all(error.path for error in refused.value.errors)


def test_every_usual_form_is_empty_only_where_a_person_has_something_to_say() -> None:
    for id, shop in shop_routes().items():
        form = usual_form(shop.route)
        empty = {key for key, text in form.items() if not text and ".stitches." not in key}
        needed = {"title", "customer", "due", "garments"} | {
            f"layer.{i}.{what}" for i in (0, 1) for what in ("colour", "border.thread")
        }
        assert empty == needed | ({"opening.span", "opening.overlap"} if shop.route.opening else set()), id


def test_layers_are_added_on_top_moved_and_taken_out() -> None:
    form = {
        "title": "t",
        "layer.0.name": "A",
        "layer.0.offset": "6 mm",
        "layer.1.name": "B",
        "layer.1.offset": "0 mm",
    }
    more = add_layer(form)
    assert (more["layer.2.name"], more["layer.2.offset"]) == ("", "0 mm")
    swapped = move_layer(form, 0, up=True)
    assert (swapped["layer.0.name"], swapped["layer.1.name"]) == ("B", "A")
    assert move_layer(swapped, 1, up=False) == form
    assert move_layer(form, 1, up=True) == form
    less = remove_layer(form, 0)
    assert (layer_count(less), less["layer.0.name"], less["title"]) == (1, "B", "t")
    assert remove_layer(form, 7) == form
    none_left = remove_layer(remove_layer(form, 0), 0)
    assert layer_count(none_left) == 0
    assert add_layer(none_left)["layer.0.border.width"] == "4 mm"
