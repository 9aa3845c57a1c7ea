"""The line of every key in a TOML text that `tomllib` has already read: that reader gives none.

A path is what leads to a value: keys, and indexes counted from 0 for the entries of arrays, as in
("layer", 1, "border", "width"). The scanner trusts that the text is sound TOML.
"""

from __future__ import annotations

import re
import tomllib
from bisect import bisect_right

Path = tuple[str | int, ...]

_BLANK = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_SPACE = re.compile(r"[ \t]*")
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_BASIC = re.compile(r'"(?:[^"\\\n]|\\.)*"')
_LITERAL = re.compile(r"'[^'\n]*'")
_PLAIN_VALUE = re.compile(r"[^,\]}#\n]*")


def key_lines(text: str) -> dict[Path, int]:
    """The line, counted from 1, of each table's header, key and array entry. () is line 1."""
    return _Scanner(text).scan()


class _Scanner:
    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.lines: dict[Path, int] = {(): 1}
        self._starts = [0] + [match.end() for match in re.finditer("\n", text)]
        self._entries: dict[Path, int] = {}

    def scan(self) -> dict[Path, int]:
        table: Path = ()
        self._skip(_BLANK)
        while self.at < len(self.text):
            if self.text.startswith("[", self.at):
                table = self._header()
            else:
                self._pair(table)
            self._skip(_BLANK)
        return self.lines

    def _header(self) -> Path:
        line = self._line()
        is_entry = self.text.startswith("[[", self.at)
        self.at += 2 if is_entry else 1
        keys = self._keys()
        self.at += 2 if is_entry else 1
        path: Path = ()
        for i, key in enumerate(keys):
            path += (key,)
            self.lines.setdefault(path, line)
            is_last = i == len(keys) - 1
            if is_last and is_entry:
                self._entries[path] = self._entries.get(path, -1) + 1
            if path in self._entries:
                # A header under an array of tables speaks of the array's newest entry.
                path += (self._entries[path],)
        self.lines[path] = line
        return path

    def _pair(self, table: Path) -> None:
        line = self._line()
        path = table
        for key in self._keys():
            path += (key,)
            self.lines.setdefault(path, line)
        self.at += 1  # the equals sign
        self._skip(_SPACE)
        self._value(path)

    def _keys(self) -> list[str]:
        keys = []
        while True:
            self._skip(_SPACE)
            keys.append(self._key())
            self._skip(_SPACE)
            if not self.text.startswith(".", self.at):
                return keys
            self.at += 1

    def _key(self) -> str:
        if self.text.startswith('"', self.at):
            # The reader itself undoes the escapes, so that both see the same key.
            return str(tomllib.loads(f"key = {self._take(_BASIC)}")["key"])
        if self.text.startswith("'", self.at):
            return self._take(_LITERAL)[1:-1]
        return self._take(_BARE_KEY)

    def _value(self, path: Path) -> None:
        rest = self.text[self.at : self.at + 3]
        if rest in ('"""', "'''"):
            self._long_string(rest)
        elif rest.startswith('"'):
            self._take(_BASIC)
        elif rest.startswith("'"):
            self._take(_LITERAL)
        elif rest.startswith("["):
            self._array(path)
        elif rest.startswith("{"):
            self._inline_table(path)
        else:
            self._skip(_PLAIN_VALUE)

    def _long_string(self, quotes: str) -> None:
        self.at += 3
        while not self.text.startswith(quotes, self.at):
            self.at += 2 if self.text[self.at] == "\\" and quotes == '"""' else 1
        self.at += 3
        while self.text.startswith(quotes[0], self.at):  # up to two quotes may belong to the string's end
            self.at += 1

    def _array(self, path: Path) -> None:
        self.at += 1
        index = 0
        while True:
            self._skip(_BLANK)
            if self.text.startswith("]", self.at):
                break
            self.lines[(*path, index)] = self._line()
            self._value((*path, index))
            index += 1
            self._skip(_BLANK)
            if self.text.startswith(",", self.at):
                self.at += 1
        self.at += 1

    def _inline_table(self, path: Path) -> None:
        self.at += 1
        while True:
            self._skip(_BLANK)
            if self.text.startswith("}", self.at):
                break
            self._pair(path)
            self._skip(_BLANK)
            if self.text.startswith(",", self.at):
                self.at += 1
        self.at += 1

    def _take(self, pattern: re.Pattern[str]) -> str:
        match = pattern.match(self.text, self.at)
        assert match is not None, f"unsound TOML at {self.at}"
        self.at = match.end()
        return match[0]

    def _skip(self, pattern: re.Pattern[str]) -> None:
        self._take(pattern)

    def _line(self) -> int:
        return bisect_right(self._starts, self.at)
