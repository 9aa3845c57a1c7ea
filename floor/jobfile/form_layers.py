"""The layers of a form: one more, one less, one higher or lower. The lowest is number 0."""

from __future__ import annotations

import re
from collections.abc import Mapping

from floor.jobfile.form import Form
from floor.jobfile.usual import usual_layer

_LAYER = re.compile(r"layer\.([0-9]{1,2})\.(.+)")


def layer_count(form: Mapping[str, str]) -> int:
    numbers = [int(found[1]) for found in map(_LAYER.fullmatch, form) if found]
    return max(numbers, default=-1) + 1


def add_layer(form: Mapping[str, str]) -> Form:
    """One more on top, sewn like the one below it; its name, cloth and thread are still to be said."""
    top = layer_count(form)
    below = _fields(form, top - 1) or usual_layer()
    new = {
        what: "" if what in ("name", "fabric", "colour", "border.thread") else text
        for what, text in below.items()
    }
    new |= {what: "" for what in below if what.startswith("stitches.")}
    return {**form, **{f"layer.{top}.{what}": text for what, text in new.items()}}


def remove_layer(form: Mapping[str, str], index: int) -> Form:
    """Without layer `index`, those above it one lower; the form itself where there is no such layer."""
    return _arranged(form, [i for i in range(layer_count(form)) if i != index])


def move_layer(form: Mapping[str, str], index: int, up: bool) -> Form:
    """Layer `index` in the place of the one above it (`up`) or below; the form itself where there is none."""
    order, other = list(range(layer_count(form))), index + 1 if up else index - 1
    if index in order and other in order:
        order[index], order[other] = order[other], order[index]
    return _arranged(form, order)


def _arranged(form: Mapping[str, str], order: list[int]) -> Form:
    rest = {key: text for key, text in form.items() if not _LAYER.fullmatch(key)}
    for place, index in enumerate(order):
        rest |= {f"layer.{place}.{what}": text for what, text in _fields(form, index).items()}
    return rest


def _fields(form: Mapping[str, str], index: int) -> Form:
    start = f"layer.{index}."
    return {key.removeprefix(start): text for key, text in form.items() if key.startswith(start)}
