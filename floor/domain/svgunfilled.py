"""The shapes of a drawing that are no part of its outline, since they enclose no filled area."""

from __future__ import annotations

from floor.domain.svgtree import Shape

MAX_SENTENCES = 5


class Unfilled:
    """Shapes that are left out, each once however often the drawing repeats it."""

    def __init__(self) -> None:
        self._sentences: dict[str, str] = {}
        self._stroked = ""
        self._bare = ""

    def add(self, shape: Shape) -> None:
        place = shape.place
        if shape.drawn.kind == "line":
            self._stroked = self._stroked or place
            sentence = f"{place} encloses nothing and is left out"
        elif shape.paint.stroked:
            self._stroked = self._stroked or place
            sentence = f"{place} has a stroke but no fill and is left out"
        else:
            self._bare = self._bare or place
            sentence = f"{place} has neither fill nor stroke and is left out"
        self._sentences.setdefault(place, sentence)

    def sentences(self) -> tuple[str, ...]:
        """The first few, and how many more there are."""
        found = list(self._sentences.values())
        more = [f"and {len(found) - MAX_SENTENCES} more"] if len(found) > MAX_SENTENCES else []
        return (*found[:MAX_SENTENCES], *more)

    def why_nothing(self) -> str:
        """Why a drawing with no other shapes than these has no outline."""
        if self._stroked:
            return (
                f"the drawing has only strokes, the first of them {self._stroked};"
                " give its shapes a fill, or turn the strokes into outlines"
            )
        if self._bare:
            return (
                f"no shape of the drawing has a fill, the first of them {self._bare}; give its shapes a fill"
            )
        return "the SVG draws no closed shape; draw the outline as closed paths"
