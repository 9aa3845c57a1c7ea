"""A module without its comments, its indentation and the spaces that nothing needs; names stay as they are.

JavaScript cannot be read without telling a division from a regular expression and a text from code in a template,
so this reads tokens. It only ever leaves out what lies between two tokens. What it cannot read it leaves whole.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import NamedTuple

GAP = re.compile(r"(?:\s+|//[^\n]*|/\*.*?\*/)+", re.DOTALL)
WORD = re.compile(r"[\w$#@]+")
STRING = re.compile(r"'(?:\\.|[^'\\\n])*'|\"(?:\\.|[^\"\\\n])*\"", re.DOTALL)
REGEX = re.compile(r"/(?:\\.|\[(?:\\.|[^\]\\\n])*\]|[^/\\\[\n])+/\w*")
TEMPLATE_TEXT = re.compile(r"(?:\\.|\$(?!\{)|[^`\\$])*(?:`|\$\{)", re.DOTALL)
SIGN = re.compile(r"=>|\+\+|--|\?\.|\.\.\.|[^\w\s]")

# After these an expression begins, so that a slash begins a regular expression.
BEFORE_EXPRESSION = {
    "await", "case", "delete", "do", "else", "extends", "in", "instanceof", "new", "of", "return", "throw",
    "typeof", "void", "yield",
}  # fmt: skip
ENDS_OPERAND = {")", "]", "}", "++", "--"}


class Unreadable(ValueError):
    """What stands there is no token that this reader knows."""


class Token(NamedTuple):
    """`kind`: "word", "text" (a string, a regular expression, the end of a template) or "sign"."""

    kind: str
    text: str
    gap: str


def shorter_js(source: str) -> str:
    """The same program in fewer bytes; `source` itself where it cannot be read."""
    try:
        tokens = list(tokens_of(source))
    except Unreadable:
        return source
    parts: list[str] = []
    before = Token("sign", "", "")
    for token in tokens:
        parts += (_between(before, token), token.text)
        before = token
    return "".join(parts) + "\n"


def tokens_of(source: str) -> Iterator[Token]:
    at, open_braces, before = 0, [""], Token("sign", "", "")
    while True:
        gap = GAP.match(source, at)
        space = gap[0] if gap else ""
        at += len(space)
        if at == len(source):
            return
        kind, text = _next(source, at, open_braces, before)
        before = Token(kind, text, space)
        yield before
        at += len(text)


def _next(source: str, at: int, open_braces: list[str], before: Token) -> tuple[str, str]:
    sign = source[at]
    if sign == "`" or (sign == "}" and open_braces[-1] == "${"):
        if sign == "}":
            open_braces.pop()
        text = sign + _match(TEMPLATE_TEXT, source, at + 1)
        if text.endswith("`"):
            return "text", text
        open_braces.append("${")
        return "sign", text
    if sign in "'\"":
        return "text", _match(STRING, source, at)
    if sign == "/" and _expression_follows(before):
        return "text", _match(REGEX, source, at)
    if word := WORD.match(source, at):
        return "word", word[0]
    if sign == "{":
        open_braces.append("{")
    elif sign == "}" and (len(open_braces) == 1 or open_braces.pop() != "{"):
        raise Unreadable(at)
    return "sign", _match(SIGN, source, at)


def _match(pattern: re.Pattern[str], source: str, at: int) -> str:
    found = pattern.match(source, at)
    if found is None:
        raise Unreadable(at)
    return found[0]


def _expression_follows(before: Token) -> bool:
    if before.kind == "word":
        return before.text in BEFORE_EXPRESSION
    return before.kind == "sign" and before.text not in ENDS_OPERAND


def _between(before: Token, token: Token) -> str:
    """What must stay between two tokens: a line break that may end a statement, a space that keeps them apart."""
    if not token.gap or not before.text:
        return ""
    if "\n" in token.gap and not (before.kind == "sign" and before.text not in ENDS_OPERAND):
        return "\n"
    return " " if _run_together(before, token) else ""


def _run_together(before: Token, token: Token) -> bool:
    last, first = before.text[-1], token.text[0]
    if before.kind == "word" and before.text[0].isdigit() and first == ".":
        return True  # 1 .toFixed()
    if last == first and last in "+-":
        return True  # a + +b
    if "/" in (last, first):
        return True  # a / /b/, /a/ in b
    return WORD.match(last) is not None and WORD.match(first) is not None
