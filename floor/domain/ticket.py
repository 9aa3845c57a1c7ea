"""Ticket codes: short enough to type with gloves on, and a slip of the finger never opens another job.

Five random characters of Crockford's base 32 and his mod-37 check character. 37 is a prime above 32, so every
single wrong character and every swap of two neighbours changes the sum. A code whose check would be one of
the five extra signs (* ~ $ = U) is never issued, so a code has only plain characters and never a U.
"""

from __future__ import annotations

import random
import re

ALPHABET = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
CHECK_MODULUS = 37
RANDOM_CHARACTERS = 5
CODE_CHARACTERS = RANDOM_CHARACTERS + 1
MAX_GARMENT_NUMBER = 2000
MAX_TYPED_CHARACTERS = 300

_VALUE = {character: value for value, character in enumerate(ALPHABET)}
_LOOKALIKE = str.maketrans("abcdefghijklmnopqrstuvwxyz", "ABCDEFGHIJKLMNOPQRSTUVWXYZ") | str.maketrans(
    "OoIiLl", "001111"
)
_SEPARATORS = re.compile(r"[\s\-\u2010\u2011\u2012\u2013\u2212]+")
_ADDRESS = re.compile(r"(?:.*/)?T/([^/?#]+)(?:/([^/?#]*))?/?(?:[?#].*)?", re.IGNORECASE)
_CODE_AND_GARMENT = re.compile(r"([^/]+)/([^/]*)/?")


class CodeMistyped(ValueError):
    """What was typed or scanned is no ticket code; the message is one sentence that says what to look at."""


def make_code(random: random.Random | random.SystemRandom) -> str:
    """A new code, 6 upper-case characters. The caller sees to it that no other job has it."""
    while True:
        body = "".join(random.choice(ALPHABET) for _ in range(RANDOM_CHARACTERS))
        check = _check_value(body)
        if check < len(ALPHABET):
            return body + ALPHABET[check]


def read_code(typed: str) -> str:
    """The code as issued, from what a person typed: any case, spaces and hyphens, O for 0, I or L for 1."""
    code = _SEPARATORS.sub("", typed[:MAX_TYPED_CHARACTERS]).translate(_LOOKALIKE)
    if len(code) != CODE_CHARACTERS:
        raise CodeMistyped(
            f"A ticket code has {CODE_CHARACTERS} characters and this has {len(code)}: look at it again."
        )
    for place, character in enumerate(code, start=1):
        if character not in _VALUE:
            shown = f'"{character}"' if character.isprintable() else "an unprintable sign"
            hint = "perhaps it is a V" if character == "U" else "codes have only digits and letters"
            raise CodeMistyped(f"Character {place} is {shown}, which no ticket code has: {hint}.")
    if _check_value(code[:-1]) != _VALUE[code[-1]]:
        raise CodeMistyped(
            f"{show_code(code)} is not a ticket code: one character is wrong or two have changed places."
        )
    return code


def show_code(code: str) -> str:
    """ "K7Q2M4" -> "K7Q-2M4", as the ticket prints it."""
    half = CODE_CHARACTERS // 2
    return f"{code[:half]}-{code[half:]}"


def read_ticket(text: str) -> tuple[str, int | None]:
    """The code and the garment number (None: the whole job) of what was scanned or typed.

    Takes a code, a code with a garment ("K7Q2M4/12") and a ticket's address (".../T/K7Q2M4/12").
    """
    text = text.strip()
    if len(text) > MAX_TYPED_CHARACTERS:
        raise CodeMistyped(
            "That is too long for a ticket: scan Floor's own code, or type its six characters."
        )
    match = _ADDRESS.fullmatch(text) or _CODE_AND_GARMENT.fullmatch(text)
    if match is None:
        if "/" in text:
            raise CodeMistyped("That is not the address of a ticket: scan the code at the ticket's top.")
        return read_code(text), None
    return read_code(match[1]), _garment_number(match[2])


def _garment_number(typed: str | None) -> int | None:
    if not typed:
        return None
    if not re.fullmatch("[0-9]{1,6}", typed) or not 1 <= int(typed) <= MAX_GARMENT_NUMBER:
        raise CodeMistyped(
            f"After the code comes a garment's number from 1 to {MAX_GARMENT_NUMBER}, as in K7Q2M4/12."
        )
    return int(typed)


def _check_value(body: str) -> int:
    value = 0
    for character in body:
        value = value * len(ALPHABET) + _VALUE[character]
    return value % CHECK_MODULUS
