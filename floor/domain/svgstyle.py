"""What style rules and style attributes say of an element: the part of CSS that drawing programs write.

Selectors are kinds, classes, ids and "*", joined within, by blanks or by ">". Rules with other selectors and
@-rules (other media, fonts) are left out.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from xml.etree.ElementTree import Element

from floor.domain.svgread import OutlineError, svg_kind

MAX_SELECTORS = 50_000
MAX_STYLE_LOOKS = 1_000_000
"""How often an element may be held against a part of a selector."""
MAX_COMPOUNDS = 12

_COMPOUND = re.compile(r"(?:\*|[\w-]+)?(?:[.#][\w-]+)*")
_PART = re.compile(r"([.#]?)([\w*-]+)")
_JOINT = re.compile(r"\s*>\s*|\s+")

Weight = tuple[bool, bool, int, int, int, int]
"""important, from the style attribute, ids, classes, kinds, order: the larger wins."""


@dataclass(frozen=True)
class _Compound:
    kind: str
    ids: frozenset[str]
    classes: frozenset[str]

    def fits(self, kind: str, name: str, classes: frozenset[str]) -> bool:
        return self.kind in ("*", kind) and not self.ids - {name} and self.classes <= classes

    @property
    def key(self) -> str:
        """What an element must have to fit, the rarest of it."""
        for mark, names in (("#", self.ids), (".", self.classes)):
            if names:
                return mark + min(names)
        return self.kind


@dataclass(frozen=True)
class _Rule:
    """`compounds` and the joints between them (" " or ">"), from the element up."""

    compounds: tuple[_Compound, ...]
    joints: tuple[str, ...]
    order: int
    declared: tuple[tuple[str, str, bool], ...]

    def weight(self, important: bool) -> Weight:
        ids, classes = (sum(len(getattr(c, name)) for c in self.compounds) for name in ("ids", "classes"))
        return important, False, ids, classes, sum(c.kind != "*" for c in self.compounds), self.order


class Styles:
    """The declared properties of a tree's elements, in lower case."""

    def __init__(self, root: Element) -> None:
        self._parents = {child: parent for parent in root.iter() for child in parent}
        self._rules: dict[str, list[_Rule]] = {}
        self._declared: dict[Element, Mapping[str, str]] = {}
        self._values: dict[tuple[Element, str], str] = {}
        self._classes: dict[Element, frozenset[str]] = {}
        self._looks = 0
        order = 0
        for sheet in (e for e in root.iter() if svg_kind(e) == "style" and _is_for_screens(e)):
            for selectors, body in _blocks(sheet.text or ""):
                declared = tuple(_declarations(body))
                for selector in selectors.split(","):
                    order += 1
                    if order > MAX_SELECTORS:
                        raise OutlineError(
                            f"the SVG has more than {MAX_SELECTORS} style rules; save it as plain SVG"
                        )
                    rule = _rule(selector.strip(), order, declared)
                    if rule is not None:
                        self._rules.setdefault(rule.compounds[0].key, []).append(rule)

    def declared(self, element: Element) -> Mapping[str, str]:
        """What rules and the style attribute give `element`, the strongest of each property."""
        if element not in self._declared:
            self._declared[element] = self._strongest(element)
        return self._declared[element]

    def value(self, element: Element, name: str) -> str:
        """As `declared`, else the attribute of that name, in lower case; "" where neither says anything."""
        key = (element, name)
        if key not in self._values:
            declared = self.declared(element)
            self._values[key] = declared[name] if name in declared else element.get(name, "").strip().lower()
        return self._values[key]

    def _strongest(self, element: Element) -> Mapping[str, str]:
        found: dict[str, tuple[Weight, str]] = {}

        def take(name: str, value: str, weight: Weight) -> None:
            if name not in found or found[name][0] <= weight:
                found[name] = (weight, value)

        keys = ["*", svg_kind(element), f"#{element.get('id', '')}"]
        keys += [f".{name}" for name in self._classes_of(element)]
        for rule in (rule for key in keys for rule in self._rules.get(key, ())):
            if self._fits(rule, element):
                self._look(len(rule.declared))
                for name, value, important in rule.declared:
                    take(name, value, rule.weight(important))
        for name, value, important in _declarations(element.get("style", "")):
            take(name, value, (important, True, 0, 0, 0, 0))
        return {name: value for name, (_, value) in found.items()}

    def _fits(self, rule: _Rule, element: Element, at: int = 0) -> bool:
        self._look()
        classes = self._classes_of(element)
        if not rule.compounds[at].fits(svg_kind(element), element.get("id", ""), classes):
            return False
        if at == len(rule.joints):
            return True
        above = self._parents.get(element)
        while above is not None:
            if self._fits(rule, above, at + 1):
                return True
            above = self._parents.get(above) if rule.joints[at] == " " else None
        return False

    def _look(self, times: int = 1) -> None:
        self._looks += times
        if self._looks > MAX_STYLE_LOOKS:
            raise OutlineError("the SVG has more style rules than Floor can weigh; save it as plain SVG")

    def _classes_of(self, element: Element) -> frozenset[str]:
        if element not in self._classes:
            self._classes[element] = frozenset(element.get("class", "").split())
        return self._classes[element]


def _is_for_screens(sheet: Element) -> bool:
    kind, media = sheet.get("type", "").strip().lower(), sheet.get("media", "").strip().lower()
    return kind in ("", "text/css") and media in ("", "all", "screen")


def _rule(selector: str, order: int, declared: tuple[tuple[str, str, bool], ...]) -> _Rule | None:
    """None for selectors that Floor leaves out."""
    texts, joints = _JOINT.split(selector), _JOINT.findall(selector)
    if len(texts) > MAX_COMPOUNDS or not all(text and _COMPOUND.fullmatch(text) for text in texts):
        return None
    compounds = []
    for text in texts:
        parts = _PART.findall(text)
        compounds.append(
            _Compound(
                kind=next((name for mark, name in parts if not mark), "*"),
                ids=frozenset(name for mark, name in parts if mark == "#"),
                classes=frozenset(name for mark, name in parts if mark == "."),
            )
        )
    ways = tuple(joint.strip() or " " for joint in reversed(joints))
    return _Rule(tuple(reversed(compounds)), ways, order, declared)


def _blocks(sheet: str) -> Iterator[tuple[str, str]]:
    """The selectors and the body of each plain rule; @-rules are passed over with all that they hold."""
    text = _without_comments(sheet)
    depth = start = body = 0
    selectors = ""
    for match in re.finditer(r"[{};]", text):
        if match[0] == "{":
            depth += 1
            if depth == 1:
                selectors, body = text[start : match.start()].strip(), match.end()
        elif match[0] == "}":
            if depth == 1 and not selectors.startswith("@"):
                yield selectors, text[body : match.start()]
            depth = max(0, depth - 1)
            start = match.end()
        elif depth == 0:
            start = match.end()


def _declarations(body: str) -> Iterator[tuple[str, str, bool]]:
    """ "display: none; fill: red !important" -> name, value in lower case, whether it is important."""
    for declaration in _without_comments(body).split(";"):
        name, colon, value = declaration.partition(":")
        plain, bang, word = value.strip().lower().partition("!")
        if colon and plain.strip():
            yield name.strip().lower(), plain.strip(), bool(bang) and word.strip() == "important"


def _without_comments(text: str) -> str:
    first, *rest = text.split("/*")
    return first + " ".join(part.partition("*/")[2] for part in rest)
