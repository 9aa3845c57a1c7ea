import tomllib

from hypothesis import given
from hypothesis import strategies as st

from floor.jobfile.lines import key_lines

TEXT = '''# a comment with [brackets] = "and" quotes
title = "a # inside"   # a comment
note = """
[not a table]
key = 1 \\"""
"""""
literal = \'\'\'
x = 1
\'\'\'
a.b . "c d" = 1
"quoted \\u0041" = 2

[opening] # comment
span = "1 mm"
  [opening.sizes.XL]
  span = "2 mm"
[opening.sizes."2 X"]
span = "3 mm"
[[layer]]
name = "one"
[layer.border]
width = "1 mm"
[[layer]]
name = 'two'
border = { width = "1 mm", spacing = "2 mm" }
list = [
  1, # one
  [ 2,
    3 ],
  { k = 4 },
]
due = 2026-12-11 07:00:00
'''


def test_every_key_has_its_line() -> None:
    lines = key_lines(TEXT)
    assert {path: line for path, line in lines.items() if path[:1] not in [("layer",), ("opening",)]} == {
        (): 1,
        ("title",): 2,
        ("note",): 3,
        ("literal",): 7,
        ("a",): 10,
        ("a", "b"): 10,
        ("a", "b", "c d"): 10,
        ("quoted A",): 11,
    }


def test_headers_and_entries_have_their_lines() -> None:
    lines = key_lines(TEXT)
    assert lines["opening",] == 13
    assert lines["opening", "sizes", "XL"] == 15
    assert lines["opening", "sizes", "XL", "span"] == 16
    assert lines["opening", "sizes", "2 X", "span"] == 18
    assert lines["layer", 0] == 19
    assert lines["layer", 0, "border", "width"] == 22
    assert lines["layer", 1] == 23
    assert lines["layer", 1, "border"] == lines["layer", 1, "border", "spacing"] == 25
    assert [lines["layer", 1, "list", i] for i in range(3)] == [27, 28, 30]
    assert [lines["layer", 1, "list", 1, i] for i in range(2)] == [28, 29]
    assert lines["layer", 1, "list", 2, "k"] == 30
    assert lines["layer", 1, "due"] == 32


def test_a_header_counts_more_than_a_mention_before_it() -> None:
    assert key_lines("[a.b]\nx = 1\n[a]\ny = 1\n")["a",] == 3


def paths(value: object, path: tuple[str | int, ...] = ()) -> set[tuple[str | int, ...]]:
    inner = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return {path}.union(*(paths(v, (*path, k)) for k, v in inner))


@given(st.integers(0, len(TEXT) - 1))
def test_every_value_that_the_reader_finds_has_a_line(deleted: int) -> None:
    text = TEXT[:deleted] + TEXT[deleted + 1 :]
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return
    lines = key_lines(text)
    assert paths(data) <= set(lines)
    assert all(1 <= line <= text.count("\n") + 1 for line in lines.values())
