import math
from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floor.domain.lengths import MAX_LENGTH_MM, LengthError, format_inches, format_mm, parse_length

FIVE_AND_NINE_SIXTEENTHS = (5 + 9 / 16) * 25.4


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("142 mm", 142.0),
        ("142mm", 142.0),
        ("14.2 cm", 142.0),
        ("0.5 m", 500.0),
        (".5 in", 12.7),
        ("5. mm", 5.0),
        ("5 9/16 in", FIVE_AND_NINE_SIXTEENTHS),
        ("5-9/16 in", FIVE_AND_NINE_SIXTEENTHS),
        ('5-9/16"', FIVE_AND_NINE_SIXTEENTHS),
        ('5 9/16"', FIVE_AND_NINE_SIXTEENTHS),
        ("5 9⁄16 ″", FIVE_AND_NINE_SIXTEENTHS),
        ("5–9/16”", FIVE_AND_NINE_SIXTEENTHS),
        ("-3 mm", -3.0),
        ("−3 mm", -3.0),
        ("+3 mm", 3.0),
        ("-5 9/16 in", -FIVE_AND_NINE_SIXTEENTHS),
        ("-5-9/16 in", -FIVE_AND_NINE_SIXTEENTHS),
        ("1/2 in", 12.7),
        ("17/16 in", 17 / 16 * 25.4),
        ("½ in", 12.7),
        ("5½″", 139.7),
        ("5 ½ inches", 139.7),
        ("−⅜ inch", -9.525),
        ("  142\u00a0MM ", 142.0),
    ],
)
def test_a_length_is_read_as_people_write_it(text: str, mm: float) -> None:
    assert parse_length(text) == pytest.approx(mm, abs=1e-9)


@pytest.mark.parametrize(
    ("text", "part"),
    [
        ("142", 'has no unit; write "142 mm"'),
        ("5 9/16", "has no unit"),
        ("", "empty"),
        ("  ", "empty"),
        ("mm", "is not a length"),
        ("wide", "is not a length"),
        ("5 9/0 in", "divides by zero"),
        ("1/0 in", "divides by zero"),
        ("5 17/16 in", "fraction of one or more"),
        ("5.5 1/2 in", "is not a length"),
        ("nan mm", "not a number"),
        ("-inf mm", "not a number"),
        ("1e3 mm", "is not a length"),
        ("142 parsecs", "unknown unit"),
        ("14,2 cm", 'as "14.2 cm"'),
        ("1 2 mm", "is not a length"),
        ("--3 mm", "is not a length"),
        ("10001 mm", "longer than 10000 mm"),
        ("9" * 30 + " mm", "longer than"),
        ("9" * 4000 + "/1 in", "too long"),
        ("١٢ mm", "is not a length"),
        ("12\x00mm", "\\u0000"),
    ],
)
def test_what_is_not_a_length_is_refused_with_its_reason(text: str, part: str) -> None:
    with pytest.raises(LengthError) as refused:
        parse_length(text)
    assert part in str(refused.value)
    assert "\n" not in str(refused.value)


def test_minus_nothing_is_nothing() -> None:
    assert math.copysign(1.0, parse_length("-0 mm")) == 1.0


@pytest.mark.parametrize(
    ("mm", "shown"),
    [(142.0, "142 mm"), (2.5, "2.5 mm"), (2.54, "2.5 mm"), (-3.0, "-3 mm"), (-0.01, "0 mm"), (9.96, "10 mm")],
)
def test_millimetres_are_shown_with_one_decimal_at_most(mm: float, shown: str) -> None:
    assert format_mm(mm) == shown


@pytest.mark.parametrize(
    ("mm", "denominator", "shown"),
    [
        (FIVE_AND_NINE_SIXTEENTHS, 64, "5 9/16 in"),
        (12.7, 64, "1/2 in"),
        (25.4, 64, "1 in"),
        (0.0, 64, "0 in"),
        (-12.7, 64, "-1/2 in"),
        (-0.01, 64, "0 in"),
        (25.39, 16, "1 in"),
        (10.0, 8, "3/8 in"),
    ],
)
def test_inches_are_shown_as_reduced_tape_fractions(mm: float, denominator: int, shown: str) -> None:
    assert format_inches(mm, denominator) == shown


@pytest.mark.parametrize("mm", [math.nan, math.inf])
def test_no_text_is_made_of_what_is_no_length(mm: float) -> None:
    with pytest.raises(LengthError):
        format_mm(mm)
    with pytest.raises(LengthError):
        format_inches(mm)


def test_a_tape_needs_at_least_one_part_to_the_inch() -> None:
    with pytest.raises(ValueError, match="1/0"):
        format_inches(10.0, 0)


lengths = st.floats(26 - MAX_LENGTH_MM, MAX_LENGTH_MM - 26)


@given(lengths)
def test_millimetres_come_back_within_half_a_tenth(mm: float) -> None:
    assert parse_length(format_mm(mm)) == pytest.approx(mm, abs=0.05 + 1e-9)


@given(lengths, st.sampled_from([1, 2, 4, 8, 16, 32, 64]))
def test_inches_come_back_within_half_a_part(mm: float, denominator: int) -> None:
    assert parse_length(format_inches(mm, denominator)) == pytest.approx(
        mm, abs=25.4 / denominator / 2 + 1e-9
    )


@given(st.integers(0, 300), st.integers(0, 63))
def test_whole_parts_of_an_inch_come_back_exactly(whole: int, parts: int) -> None:
    mm = (whole + parts / 64) * 25.4
    assert parse_length(format_inches(mm)) == pytest.approx(mm, abs=1e-9)


@given(st.decimals(0, 100, places=3))
def test_the_units_agree_with_their_definition(number: object) -> None:
    mm = parse_length(f"{number} mm")
    assert parse_length(f"{number} cm") == pytest.approx(10 * mm)
    assert parse_length(f"{number} in") == pytest.approx(25.4 * mm)


@given(st.text(max_size=50))
def test_no_text_gives_anything_but_a_length_or_a_reason(text: str) -> None:
    with suppress(LengthError):
        assert abs(parse_length(text)) <= MAX_LENGTH_MM
