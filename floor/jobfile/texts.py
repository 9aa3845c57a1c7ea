"""Bytes -> text -> what TOML reads in it, with a refusal that says where it goes wrong."""

from __future__ import annotations

import re
import tomllib
from typing import Any

from floor.domain.quoting import quoted
from floor.jobfile.errors import JobFileError, JobFileErrors
from floor.jobfile.lines import Path, key_lines

MAX_TOML_BYTES = 200_000
MAX_KEY_PARTS = 20

_AT_LINE = re.compile(r"\s*\(at line (\d+), column \d+\)$")
_DEEP_KEY = re.compile(
    r"""(?<![\w-])(?:(?:[\w-]+|"[^"\n]*"|'[^'\n]*')[ \t]*\.[ \t]*){%d}""" % MAX_KEY_PARTS  # noqa: UP031
)
_AT_END = " (at end of document)"


def read_toml(text: str) -> tuple[dict[str, Any], dict[Path, int]]:
    """What TOML reads in the text, and the line of each key. JobFileErrors where the text is no TOML."""
    size = len(text.encode("utf-8", "surrogatepass"))
    check_size(size, MAX_TOML_BYTES, "the job file")
    deep = _DEEP_KEY.search(text)
    if deep:
        # The reader's work grows with the square of a key's parts.
        line = text.count("\n", 0, deep.start()) + 1
        raise refused(f"this key has more than {MAX_KEY_PARTS} parts; a job's keys have at most three", line)
    try:
        return tomllib.loads(text), key_lines(text)
    except tomllib.TOMLDecodeError as error:
        at_line = _AT_LINE.search(str(error))
        what = _AT_LINE.sub("", str(error)).removesuffix(_AT_END)
        line = int(at_line[1]) if at_line else text.rstrip().count("\n") + 1
        raise refused(f"this is not TOML: {what[:1].lower()}{what[1:]}; correct the line", line) from error
    except RecursionError as error:
        raise refused(
            "the job file nests its lists too deep; a job needs only tables and short lists", 1
        ) from error
    except ValueError as error:  # a number of more digits than Python reads
        digits = re.search(r"[0-9_]{1000,}", text)
        line = text.count("\n", 0, digits.start()) + 1 if digits else 1
        raise refused("this number has too many digits; write a shorter one", line) from error


def refused(message: str, line: int | None = None) -> JobFileErrors:
    return JobFileErrors((JobFileError(line, message),))


def check_size(size: int, most: int, name: str) -> None:
    if size > most:
        raise refused(f"{name} has {size / 1e6:.1f} MB and Floor reads at most {most / 1e6:.1f} MB of it")


def text_of(content: bytes, name: str) -> str:
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        raise refused(f"{quoted(name)} is not UTF-8 text in its line {line}; save it as UTF-8") from error
