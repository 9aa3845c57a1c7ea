import random
from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floor.domain.ticket import ALPHABET, CodeMistyped, make_code, read_code, read_ticket, show_code

codes = st.integers(0, 2**32).map(lambda seed: make_code(random.Random(seed)))
CODE = make_code(random.Random(7))


@given(codes)
def test_a_code_reads_back_as_it_was_issued(code: str) -> None:
    assert len(code) == 6
    assert set(code) <= set(ALPHABET)
    assert read_code(code) == code
    assert read_code(show_code(code)) == code
    assert read_code(f" {code[:2]} {code[2:].lower()} ") == code


@given(codes, st.integers(0, 5))
def test_every_single_wrong_character_is_found(code: str, place: int) -> None:
    for other in set(ALPHABET) - {code[place]}:
        with pytest.raises(CodeMistyped, match="one character is wrong"):
            read_code(code[:place] + other + code[place + 1 :])


@given(codes)
def test_every_swap_of_two_neighbours_is_found(code: str) -> None:
    for i in range(5):
        swapped = code[:i] + code[i + 1] + code[i] + code[i + 2 :]
        if swapped != code:
            with pytest.raises(CodeMistyped, match="changed places"):
                read_code(swapped)


@given(codes)
def test_letters_that_look_like_digits_are_taken_for_them(code: str) -> None:
    assert read_code(code.replace("0", "O").replace("1", "l")) == code
    assert read_code(code.replace("0", "o").replace("1", "I")) == code


@pytest.mark.parametrize(
    ("typed", "part"),
    [
        ("", "has 0"),
        ("K7Q2M", "has 5"),
        ("K7Q2M44", "has 7"),
        ("K7U2M4", "Character 3"),
        ("K7U2M4", "perhaps it is a V"),
        ("K7*2M4", 'Character 3 is "*"'),
        ("K7Q2Mß", 'Character 6 is "ß"'),
        ("K7\x002M4", "unprintable"),
    ],
)
def test_what_cannot_be_a_code_is_refused_with_its_reason(typed: str, part: str) -> None:
    with pytest.raises(CodeMistyped) as refused:
        read_code(typed)
    assert part in str(refused.value)


@pytest.mark.parametrize(
    ("form", "garment"),
    [
        ("{}", None),
        (" {}\r\n", None),
        ("{}/12", 12),
        ("HTTP://FLOOR.LOCAL:8000/T/{}", None),
        ("HTTPS://FLOOR.LOCAL/T/{}/12", 12),
        ("https://floor.local/t/{}/12/", 12),
        ("https://floor.local/t/{}/?from=paper", None),
        ("/t/{}", None),
        ("t/{}/2000", 2000),
    ],
)
def test_a_ticket_is_read_as_scanned_or_typed(form: str, garment: int | None) -> None:
    assert read_ticket(form.format(CODE)) == (CODE, garment)
    assert read_ticket(form.format(CODE.lower())) == (CODE, garment)


@pytest.mark.parametrize(
    "form",
    [
        "{}/0",
        "{}/2001",
        "{}/x",
        "{}/-1",
        "{}/1/2",
        "http://floor.local/{}/q/1",
        "http://floor.local/",
        "x" * 301,
    ],
)
def test_what_is_no_ticket_is_refused(form: str) -> None:
    with pytest.raises(CodeMistyped):
        read_ticket(form.format(CODE))


@given(st.text(max_size=60))
def test_no_text_gives_anything_but_a_ticket_or_a_reason(text: str) -> None:
    with suppress(CodeMistyped):
        code, _ = read_ticket(text)
        assert read_code(code) == code
