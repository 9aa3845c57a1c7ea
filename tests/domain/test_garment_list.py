"""A list of garments is read as people paste it, and written so that it reads back the same."""

from __future__ import annotations

from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floor.domain.garment_line import MAX_GARMENTS
from floor.domain.garment_list import (
    MAX_FAULTS,
    GarmentEntry,
    GarmentListError,
    garment_list_text,
    read_garment_list,
)

TEXTS = st.text(
    st.characters(codec="utf-8", exclude_categories=("Cc", "Cs", "Zl", "Zp")), min_size=1, max_size=12
).filter(lambda text: text == text.strip() and text)
TRICKY = st.sampled_from(
    ["M", "XL", "4", "12", "4 x", "x4", "size", "name", "M, long", "one size", "2XL tall", "M: 4", "a;b", "×"]
)


def entry(size: str, count: int = 1, *names: str) -> GarmentEntry:
    return GarmentEntry(size, count, names)


def faults(text: str) -> tuple[str, ...]:
    with pytest.raises(GarmentListError) as refused:
        read_garment_list(text)
    assert str(refused.value) == "\n".join(refused.value.sentences)
    return refused.value.sentences


@pytest.mark.parametrize(
    "line",
    ["M x 4", "M x4", "M X 4", "M×4", "M * 4", "4 x M", "4x M", "4 × M", "M 4", "4 M", "M: 4", "M : 4"],
)
def test_a_number_of_one_size_stands_on_one_line(line: str) -> None:
    assert read_garment_list(line) == [entry("M", 4)]


@pytest.mark.parametrize("line", ["M\t4", "M, 4", "M;4", "4\tM", "M\tx 4", "M, 4x", "M\t\t4"])
def test_a_number_may_have_a_column(line: str) -> None:
    assert read_garment_list(line) == [entry("M", 4)]


def test_of_two_numbers_the_first_is_the_size() -> None:
    assert read_garment_list("12 x 3\n14 2\n16\t5") == [entry("12", 3), entry("14", 2), entry("16", 5)]


def test_a_size_alone_is_one_garment() -> None:
    assert read_garment_list("M\n2XL\none size") == [entry("M"), entry("2XL"), entry("one size")]


@pytest.mark.parametrize("mark", ["\t", ",", ", ", " ; "])
def test_a_size_with_spaces_has_a_column(mark: str) -> None:
    assert read_garment_list(f"2XL tall{mark}Bram\n2XL tall{mark}") == [entry("2XL tall", 2, "Bram")]
    assert read_garment_list("2XL tall x 3") == [entry("2XL tall", 3)]


def test_a_tab_parts_before_a_semicolon_and_a_semicolon_before_a_comma() -> None:
    assert read_garment_list("M\tBram, the tall; one") == [entry("M", 1, "Bram, the tall; one")]
    assert read_garment_list("M;Bram, the tall one") == [entry("M", 1, "Bram, the tall one")]


def test_the_order_is_kept_and_neighbours_of_one_size_make_one_entry() -> None:
    text = "M\tOdile\r\nM\tBram\r\n\r\nM\r\nXL\tCorwin\r\nM\tTansy\r\n"
    assert read_garment_list(text) == [
        entry("M", 3, "Odile", "Bram"),
        entry("XL", 1, "Corwin"),
        entry("M", 1, "Tansy"),
    ]


def test_a_name_after_a_garment_without_one_begins_an_entry() -> None:
    assert read_garment_list("M x 2\nM, Odile") == [entry("M", 2), entry("M", 1, "Odile")]


def test_a_name_with_a_number_is_so_many_garments_for_that_person() -> None:
    assert read_garment_list("M, Odile, 2\nM, Bram") == [entry("M", 3, "Odile", "Odile", "Bram")]


@pytest.mark.parametrize(
    "text",
    [
        "Size\tName\tQty\nM\tOdile\t1\nXL\t\t2",
        "qty,name,size\n1,Odile,M\n2,,XL",
        "Name;Size;Quantity\nOdile;M;\n;XL;2",
        "Instrument\tsize\tname\tcount\ndrum\tM\tOdile\t1\nhorn\tXL\t\t2",
    ],
)
def test_a_header_says_what_the_columns_are(text: str) -> None:
    assert read_garment_list(text) == [entry("M", 1, "Odile"), entry("XL", 2)]


def test_under_a_header_first_and_last_names_are_put_together_and_numbers_can_be_names() -> None:
    text = "First name\tLast name\tSize\nOdile\tWren\tM\nBram\t\tM"
    assert read_garment_list(text) == [entry("M", 2, "Odile Wren", "Bram")]
    assert read_garment_list("size\tname\nM\t12") == [entry("M", 1, "12")]
    assert read_garment_list("size\nM\nM") == [entry("M", 2)]


def test_sizes_in_the_second_column_are_found_when_all_of_them_are_common() -> None:
    assert read_garment_list("Odile\tM\nBram\txl") == [entry("M", 1, "Odile"), entry("xl", 1, "Bram")]
    assert read_garment_list("M\tL\nS\tM") == [entry("M", 1, "L"), entry("S", 1, "M")]
    assert read_garment_list("Odile\tM\nBram\t38 long") == [
        entry("Odile", 1, "M"),
        entry("Bram", 1, "38 long"),
    ]


@pytest.mark.parametrize("text", ["", "  \n\t\n", ",,\n", "size\tname\n"])
def test_where_nothing_is_listed_there_is_nothing(text: str) -> None:
    assert read_garment_list(text) == []


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("M Rosa", 'Line 2, "M Rosa", is no size alone; write a size and a name with a comma between'),
        ("M x 0", "Line 2 orders 0 garments; write a number from 1 to 2000."),
        ("M x 2001", "Line 2 orders 2001 garments"),
        (", Rosa", "Line 2 has no size; write a size"),
        ("M, Rosa, drum", "Line 2 has 3 columns; write a size, a name and a number, or put a header line"),
        ("M\t" + "x" * 121, "Line 2: the name has 121 characters; at most 120 fit on a ticket."),
        ("x" * 121, "Line 2: the size has 121 characters"),
        ("M, a\x07b", 'Line 2: the name, "a\\u0007b", has a control character; write it on one line.'),
    ],
)
def test_a_line_that_cannot_be_read_is_named_with_what_would_do(line: str, says: str) -> None:
    [sentence] = faults(f"S x 1\n{line}\nL x 2")
    assert sentence.startswith(says)
    assert sentence.endswith(".")


def test_a_word_in_the_column_of_numbers_is_told() -> None:
    [sentence] = faults("size\tqty\nM\tfour")
    assert sentence == 'Line 2 has "four" in the column of numbers; write a whole number there.'


def test_all_lines_that_are_wrong_are_told_up_to_a_page_full() -> None:
    assert [f.split(",")[0] for f in faults("M Rosa\nM\nL Bram")] == ["Line 1", "Line 3"]
    assert len(faults("no size here\n" * 500)) == MAX_FAULTS


def test_a_job_has_so_many_garments_and_no_more() -> None:
    half = MAX_GARMENTS // 2
    assert read_garment_list(f"M x {half}\nL x {half}") == [entry("M", half), entry("L", half)]
    assert faults(f"M x {half}\nL x {half}\nS") == (
        "By line 3 there are more than 2000 garments; make it two jobs.",
    )


def test_a_plain_list_is_written_without_a_header() -> None:
    assert garment_list_text([entry("M", 3, "Odile", "Bram"), entry("XL", 2)]) == (
        "M\tOdile\nM\tBram\nM x 1\nXL x 2"
    )
    assert garment_list_text([entry("M", 2, "12")]) == "size\tname\tcount\nM\t12\t1\nM\t\t1"


@given(st.lists(st.tuples(TEXTS | TRICKY, st.none() | TEXTS | TRICKY), max_size=10))
def test_any_garments_that_are_written_read_back_in_their_order(
    garments: list[tuple[str, str | None]],
) -> None:
    wanted = [entry(size, 1, *([name] if name else [])) for size, name in garments]
    read = read_garment_list(garment_list_text(wanted))
    assert [
        (one.size, one.names[place] if place < len(one.names) else None)
        for one in read
        for place in range(one.count)
    ] == [(size, name or None) for size, name in garments]


def test_a_very_long_line_is_refused_at_once() -> None:
    assert "has 200000 characters" in faults("M" + "\u3000" * 100_000 + "x" * 99_999)[0]


@given(st.text(alphabet="M4x,;:\t\n \u2028é\x00X", max_size=60) | st.text(max_size=60))
def test_any_text_gives_a_list_or_its_faults(text: str) -> None:
    with suppress(GarmentListError):
        entries = read_garment_list(text)
        assert read_garment_list(garment_list_text(entries)) == entries
