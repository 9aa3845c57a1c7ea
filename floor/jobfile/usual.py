"""What a new job usually is, by the kind of its route: the form begins with it, and only what differs is typed.

The figures are the trade's: background offset 3 to 6 mm, borders 3 to 5 mm on felt and twill, satin 0.38 to
0.45 mm on the same side, 600 to 750 stitches a minute, two crossed sheets of backing under dense borders. Under
the top front the sewing goes on for 8 mm, more than the least cover of 6 mm.
"""

from __future__ import annotations

from collections.abc import Mapping

from floor.domain.route import Route
from floor.jobfile.form import Form

_ORDER = {"title": "", "customer": "", "due": "", "unit": "mm", "garments": "", "design.height": "120 mm",
          "design.centre.0": "0 mm", "design.centre.1": "0 mm"}  # fmt: skip
_OPENING = {
    "opening.span": "", "opening.overlap": "", "opening.over_edge": "2 mm", "opening.under_cover": "8 mm",
    "opening.button_size": "15 mm", "opening.buttons": "2", "opening.top_front": "left",
}  # fmt: skip
_MACHINE = {"machine.speed": "650", "machine.heads": "1"}
_BY_KIND: Mapping[str, Mapping[str, str]] = {
    "opening": {
        "hoop.field.0": "360 mm", "hoop.field.1": "200 mm", "hoop.clearance": "5 mm",
        "backing.kind": "tearaway", "backing.sheets": "2",
    },
    "closed": {
        "hoop.field.0": "240 mm", "hoop.field.1": "240 mm", "hoop.clearance": "5 mm",
        "backing.kind": "cutaway", "backing.sheets": "1",
    },
    "backing": {
        "hoop.field.0": "360 mm", "hoop.field.1": "200 mm", "hoop.clearance": "5 mm",
        "backing.kind": "firm cutaway", "backing.sheets": "2",
    },
}  # fmt: skip
_LAYERS = (("Ground", "felt", "6 mm", "zigzag"), ("Letters", "twill", "0 mm", "double run"))


def usual_form(route: Route) -> Form:
    """The form of a new job on this route, with all that is usual filled in."""
    kind = "opening" if route.opening else "backing" if route.on_backing else "closed"
    form = {"route": route.id, **_ORDER, **(_OPENING if route.opening else {}), **_BY_KIND[kind], **_MACHINE}
    for index, layer in enumerate(_LAYERS):
        form |= {f"layer.{index}.{what}": text for what, text in usual_layer(*layer).items()}
    return form


def usual_layer(name: str = "", fabric: str = "", offset: str = "0 mm", tack: str = "double run") -> Form:
    """The fields of one layer, without the layer's number before them."""
    return {
        "name": name, "fabric": fabric, "colour": "", "offset": offset, "placement_line": "true", "tack": tack,
        "border.width": "4 mm", "border.spacing": "0.4 mm", "border.thread": "", "stitches.placement": "",
        "stitches.tack": "", "stitches.border": "",
    }  # fmt: skip
