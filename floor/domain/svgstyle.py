"""The little of CSS that decides what an SVG draws: simple selectors, and the style attribute over them."""

from __future__ import annotations

from collections.abc import Iterable
from xml.etree.ElementTree import Element


class StyleRules:
    """The rules of an SVG's style elements with the selectors "*", "kind", ".class", "kind.class" and "#id".

    Other selectors and @-rules are left out: drawing programs do not write them for what is drawn.
    """

    def __init__(self, sheets: Iterable[str]) -> None:
        self._by_selector: dict[str, dict[str, str]] = {}
        for sheet in sheets:
            for block in _without_comments(sheet).split("}"):
                selectors, _, body = block.partition("{")
                declared = _declarations(body)
                for selector in selectors.split(","):
                    self._by_selector.setdefault(selector.strip(), {}).update(declared)

    def styled(self, element: Element, kind: str, name: str) -> str | None:
        """The property as the style attribute or a rule gives it, in lower case; None: they give none."""
        own = _declarations(element.get("style", ""))
        if name in own:
            return own[name]
        classes = element.get("class", "").split()
        strongest_first = [f"#{element.get('id', '')}"]
        strongest_first += [f"{kind}.{c}" for c in reversed(classes)] + [f".{c}" for c in reversed(classes)]
        for selector in [*strongest_first, kind, "*"]:
            if name in self._by_selector.get(selector, {}):
                return self._by_selector[selector][name]
        return None

    def value(self, element: Element, kind: str, name: str) -> str | None:
        """As `styled`, else the attribute of the same name."""
        styled = self.styled(element, kind, name)
        return element.get(name, "").strip().lower() or None if styled is None else styled


def _declarations(body: str) -> dict[str, str]:
    """ "display: none; fill: red" -> its names and values in lower case."""
    pairs = (declaration.partition(":") for declaration in body.split(";"))
    return {
        name.strip().lower(): value.strip().lower().removesuffix("!important").strip()
        for name, _, value in pairs
    }


def _without_comments(sheet: str) -> str:
    first, *rest = sheet.split("/*")
    return first + " ".join(part.partition("*/")[2] for part in rest)
