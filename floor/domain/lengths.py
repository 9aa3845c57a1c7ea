"""Lengths as people write them, tape fractions included, to mm and back.

An inch is 25.4 mm exactly. A bare number is refused: nobody can tell 5 mm from 5 inches afterwards.
"""

from __future__ import annotations

import math
import re
from fractions import Fraction

from floor.domain.quoting import quoted

MM_PER_INCH = 25.4
MAX_LENGTH_MM = 10_000.0
MAX_LENGTH_CHARACTERS = 40

_MM_PER_UNIT = {"mm": 1.0, "cm": 10.0, "m": 1000.0} | dict.fromkeys(
    ("in", "inch", "inches", '"'), MM_PER_INCH
)

_VULGAR = {
    "½": "1/2", "⅓": "1/3", "⅔": "2/3", "¼": "1/4", "¾": "3/4", "⅕": "1/5", "⅖": "2/5", "⅗": "3/5",
    "⅘": "4/5", "⅙": "1/6", "⅚": "5/6", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
}  # fmt: skip
_SAME = str.maketrans(
    {"\u2212": "-", "\u2010": "-", "\u2011": "-", "\u2013": "-", "\u2044": "/"}  # minus, hyphens, dash, slash
    | {"\u2033": '"', "\u201d": '"', "\u00a0": " ", "\u202f": " ", "\u2009": " "}  # primes, quotes, spaces
    | {sign: f" {fraction} " for sign, fraction in _VULGAR.items()}
)
_LENGTH = re.compile(
    r"""(?P<sign>[+-])?\s*
    (?: (?P<whole>[0-9]+) (?: \s*-\s* | \s+ ) (?P<mixed_over>[0-9]+) \s*/\s* (?P<mixed_under>[0-9]+)
      | (?P<over>[0-9]+) \s*/\s* (?P<under>[0-9]+)
      | (?P<decimal>[0-9]+(?:\.[0-9]*)?|\.[0-9]+) )
    \s* (?P<unit>[a-zA-Z"']*)""",
    re.VERBOSE,
)


class LengthError(ValueError):
    """The text is not a length that Floor can use; the message is one sentence that says why."""


def parse_length(text: str) -> float:
    """The length in mm: "142 mm", "14.2 cm", "5 9/16 in", "5-9/16\\"", "½ in". LengthError otherwise."""
    if len(text) > MAX_LENGTH_CHARACTERS:
        raise LengthError(f'{quoted(text)} is too long for a length; write a number with a unit, as "142 mm"')
    plain = " ".join(text.translate(_SAME).split())
    match = _LENGTH.fullmatch(plain)
    if match is None:
        raise LengthError(_why_not(text, plain))
    unit = match["unit"].lower()
    if not unit:
        raise LengthError(f'{quoted(text)} has no unit; write "{plain} mm" or "{plain} in"')
    if unit not in _MM_PER_UNIT:
        raise LengthError(f"{quoted(text)} has the unknown unit {quoted(match['unit'])}; use mm, cm, m or in")
    mm = _number(match, text) * _MM_PER_UNIT[unit]
    if mm > MAX_LENGTH_MM:
        raise LengthError(
            f"{quoted(text)} is longer than {format_mm(MAX_LENGTH_MM)}, the most that Floor takes"
        )
    return -mm if match["sign"] == "-" and mm else mm


def _number(match: re.Match[str], text: str) -> float:
    if match["decimal"] is not None:
        return float(match["decimal"])
    whole, over, under = (
        (0, match["over"], match["under"])
        if match["whole"] is None
        else (int(match["whole"]), match["mixed_over"], match["mixed_under"])
    )
    if int(under) == 0:
        raise LengthError(f"{quoted(text)} divides by zero; write a fraction such as 9/16")
    if match["whole"] is not None and int(over) >= int(under):
        raise LengthError(
            f"{quoted(text)} has a fraction of one or more after its whole number; write it out"
        )
    return float(whole + Fraction(int(over), int(under)))


def _why_not(text: str, plain: str) -> str:
    if not plain:
        return 'the length is empty; write a number with a unit, as "142 mm"'
    if re.match(r"[+-]?(nan|inf)", plain, re.IGNORECASE):
        return f'{quoted(text)} is not a number that a tape can show; write a length as "142 mm"'
    if re.fullmatch(r"[+-]?[0-9]+,[0-9]+\s*\D*", plain):
        return f'{quoted(text)} has a comma; write the decimals after a point, as "{plain.replace(",", ".")}"'
    return (
        f'{quoted(text)} is not a length; write a number with a unit, as "142 mm", "14.2 cm" or "5 9/16 in"'
    )


def format_mm(mm: float) -> str:
    """ "142 mm", "2.5 mm": at most one decimal, and never "-0 mm"."""
    shown = f"{_finite(mm):.1f}".removesuffix(".0")
    return f"{'0' if shown == '-0' else shown} mm"


def format_inches(mm: float, denominator: int = 64) -> str:
    """ "5 9/16 in": to the nearest 1/`denominator` inch, reduced."""
    if denominator < 1:
        raise ValueError(f"a tape cannot be divided into 1/{denominator} in")
    parts = round(_finite(mm) / MM_PER_INCH * denominator)
    whole, rest = divmod(abs(parts), denominator)
    fraction = Fraction(rest, denominator)
    shown = " ".join([str(whole)] * bool(whole) + [str(fraction)] * bool(rest)) or "0"
    return f"{'-' if parts < 0 else ''}{shown} in"


def _finite(mm: float) -> float:
    if not math.isfinite(mm):
        raise LengthError(f"{mm} mm is not a length that a tape can show")
    return mm
