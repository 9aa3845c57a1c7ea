"""The tablet's many small modules in few large answers: one request and one packing instead of ninety.

A pack holds modules as functions that run once, when somebody first needs them. Each module's own address stays, and
gives what the module exports out of the pack; so however a module is named, it is one and the same. The first pack
has what the tablet's document needs at once, and each further one what is imported later (`import("…")`).
"""

from __future__ import annotations

import json
import posixpath
from collections.abc import Callable
from dataclasses import dataclass, field

from floor.web.shorter_js import Token, tokens_of

ENTRY = "js/tablet/tablet.js"
STATIC = "/static/"
HEAD = "const once=(make)=>{let made;return()=>made||(made=make())};\n"
ALL = "*"
OPENS, CLOSES = {"{", "(", "["}, {"}", ")", "]"}
DECLARES = {"const", "function", "class"}


class Unpackable(ValueError):
    """A module has a form of import or export that a pack cannot hold; the message says which and where."""


@dataclass
class Module:
    name: str
    imports: list[tuple[str, list[tuple[str, str]]]] = field(default_factory=list)  # (module, (theirs, here))
    exports: list[tuple[str, str]] = field(default_factory=list)  # (here, to others)
    later: list[str] = field(default_factory=list)
    body: str = ""


def packed_modules(read: Callable[[str], str]) -> dict[str, str]:
    """By name: the packs, and what stands at each packed module's own address. `read`: a module's shortened text."""
    modules: dict[str, Module] = {}
    packs: list[list[str]] = []
    ahead, at = [ENTRY], 0
    while at < len(ahead):
        members: list[str] = []
        _collect(ahead[at], read, modules, members, [])
        ahead += [name for member in members for name in modules[member].later if name not in ahead]
        if members:
            packs.append(members)
        at += 1
    number = {name: at for at, name in enumerate(modules)}
    home = {name: f"pack/{at}.js" for at, members in enumerate(packs) for name in members}
    found = {f"pack/{at}.js": _pack(at, members, modules, number, home) for at, members in enumerate(packs)}
    return found | {name: _address(modules[name], number[name], home[name]) for name in modules}


def _collect(
    name: str, read: Callable[[str], str], modules: dict[str, Module], members: list[str], path: list[str]
) -> None:
    """The module and all that it imports, those first that others need."""
    if name in path:
        raise Unpackable(f"{name} imports itself by way of {path[-1]}")
    if name in modules:
        return
    module = parse(name, read(name))
    for other, _ in module.imports:
        _collect(other, read, modules, members, [*path, name])
    modules[name] = module
    members.append(name)


def _pack(
    at: int, members: list[str], modules: dict[str, Module], number: dict[str, int], home: dict[str, str]
) -> str:
    mine = f"pack/{at}.js"
    others: dict[str, set[int]] = {}
    for member in members:
        for other, _ in modules[member].imports:
            if home[other] != mine:
                others.setdefault(home[other], set()).add(number[other])
    text = [
        f"import{{{','.join(f'${one}' for one in sorted(numbers))}}}from{json.dumps(STATIC + pack)};\n"
        for pack, numbers in sorted(others.items())
    ]
    return "".join([*text, HEAD, *(_function(modules[member], number) for member in members)])


def _function(module: Module, number: dict[str, int]) -> str:
    taken = "".join(f"const{_taken(names)}=${number[other]}();\n" for other, names in module.imports)
    given = ",".join(_pair(others, here) for here, others in module.exports)
    return f"export const ${number[module.name]}=once(()=>{{{taken}{module.body}\nreturn{{{given}}}}});\n"


def _taken(names: list[tuple[str, str]]) -> str:
    if names and names[0][0] == ALL:
        return f" {names[0][1]}"
    return f"{{{','.join(_pair(theirs, here) for theirs, here in names)}}}"


def _pair(key: str, value: str) -> str:
    return key if key == value else f"{key}:{value}"


def _address(module: Module, number: int, home: str) -> str:
    given = ",".join(others for _, others in module.exports)
    return f"import{{${number}}}from{json.dumps(STATIC + home)};\nexport const{{{given}}}=${number}();\n"


def parse(name: str, source: str) -> Module:
    """The module with its imports and exports taken out of its text."""
    reader = _Reader(Module(name), list(tokens_of(source)))
    reader.read()
    return reader.module


class _Reader:
    def __init__(self, module: Module, tokens: list[Token]) -> None:
        self.module, self.tokens, self.at, self.depth = module, tokens, 0, 0
        self.parts: list[str] = []

    def read(self) -> None:
        while self.at < len(self.tokens):
            token = self.tokens[self.at]
            if token.text == "import" and self.depth == 0 and self._text(1) not in ("(", "."):
                self._import()
            elif token.text == "import" and self._text(1) == "(":
                self._later()
            elif token.text == "import":
                self._own_address()
            elif token.text == "export" and self.depth == 0:
                self._export()
            else:
                # A template is read in pieces: `a${, }b${, }c`
                self.depth += token.text in OPENS or token.text.endswith("${")
                self.depth -= token.text in CLOSES or (token.text[0] == "}" and len(token.text) > 1)
                self._keep(token)
        self.module.body = "".join(self.parts)

    def _text(self, ahead: int) -> str:
        return self.tokens[self.at + ahead].text if self.at + ahead < len(self.tokens) else ""

    def _keep(self, token: Token) -> None:
        self.parts += (token.gap, token.text)
        self.at += 1

    def _import(self) -> None:
        self.at += 1
        names: list[tuple[str, str]] = []
        if self._text(0) == "{":
            names = self._names()
            self._expect("from")
        elif self._text(0) == "*":
            names = [(ALL, self._text(2))]
            self.at += 3
            self._expect("from")
        self.module.imports.append((self._module(), names))
        self._end()

    def _export(self) -> None:
        gap = self.tokens[self.at].gap
        self.at += 1
        if self._text(0) == "{":
            names = self._names()
            if self._text(0) == "from":
                self.at += 1
                self.module.imports.append((self._module(), [(theirs, theirs) for theirs, _ in names]))
            self.module.exports += names
            self._end()
            return
        ahead = 1 if self._text(0) == "async" else 0
        if self._text(ahead) not in DECLARES or not self._text(ahead + 1).isidentifier():
            raise Unpackable(f"{self.module.name} exports {self._text(0)} {self._text(1)}")
        exported = self._text(ahead + 1)
        self.module.exports.append((exported, exported))
        self.parts.append(gap)

    def _names(self) -> list[tuple[str, str]]:
        """`{ a, b as c }`: (a, a), (b, c)."""
        self._expect("{")
        names = []
        while self._text(0) != "}":
            first = second = self._text(0)
            self.at += 1
            if self._text(0) == "as":
                second = self._text(1)
                self.at += 2
            names.append((first, second))
            if self._text(0) == ",":
                self.at += 1
        self.at += 1
        return names

    def _later(self) -> None:
        """`import("./x.js")`: the address is told from the module's own place, which the pack is not at."""
        self.parts.append(self.tokens[self.at].gap)
        self.at += 2
        name = self._module()
        if not name.startswith("vendor/"):
            self.module.later.append(name)
        self.parts.append(f"import({json.dumps(STATIC + name)}")
        self.depth += 1  # its closing bracket comes like any other

    def _own_address(self) -> None:
        gap = self.tokens[self.at].gap
        for word in ("import", ".", "meta", ".", "url"):
            self._expect(word)
        self.parts.append(f"{gap}new URL({json.dumps(STATIC + self.module.name)},location.href).href")

    def _module(self) -> str:
        text = self._text(0)
        if text[:1] not in ("'", '"') or not text[1:].startswith("."):
            raise Unpackable(f"{self.module.name} imports {text}")
        self.at += 1
        return posixpath.normpath(posixpath.join(posixpath.dirname(self.module.name), text[1:-1]))

    def _expect(self, text: str) -> None:
        if self._text(0) != text:
            raise Unpackable(f"{self.module.name} has {self._text(0)} where {text} was to come")
        self.at += 1

    def _end(self) -> None:
        if self._text(0) == ";":
            self.at += 1
