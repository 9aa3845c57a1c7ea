"""The form that a job is set up with: flat texts, exactly as they were typed, by the dotted path of their key.

    "title", "customer", "due" (2026-12-11), "route"
    "unit": "mm" or "in", put behind a length that has none: a tape is read in one unit
    "opening.span", "opening.sizes.XL.span", "design.height", "design.centre.0", "hoop.field.1", …
    "layer.0.name", "layer.0.border.width", "layer.0.placement_line" ("true" or "false"), …
    "garments": the list as it was pasted

What is left empty is left out of the data, though not the table that it stands in, so that the reader says of each
field what is missing. What cannot be turned into what the file needs stays the text it is, so that the reader says
what is wrong with it.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date
from typing import Any

from floor.domain.garment_list import GarmentEntry, GarmentListError, garment_list_text, read_garment_list
from floor.jobfile.writing import Data, entry_data

Form = dict[str, str]

GARMENTS, UNIT = "garments", "unit"
UNITS = ("mm", "in")
MAX_LAYERS_TYPED = 40
"""More than any job may have, and few enough that no form of made-up keys can ask for much work."""

_N = r"(?:0|[1-9][0-9]?)"
_LENGTHS = re.compile(
    r"opening\.(span|overlap|over_edge|under_cover|button_size)|opening\.sizes\..+\.(span|overlap)"
    rf"|design\.(height|centre\.[01])|layer\.{_N}\.(offset|border\.(width|spacing))"
    r"|hoop\.(field\.[01]|clearance)"
)
_WHOLE = re.compile(
    rf"opening\.buttons|backing\.sheets|machine\.(speed|heads)|layer\.{_N}\.stitches\.(placement|tack|border)"
)
_FLAG = re.compile(rf"layer\.{_N}\.placement_line")
_TEXT = re.compile(
    rf"title|customer|due|route|opening\.top_front|layer\.{_N}\.(name|fabric|colour|tack|border\.thread)|backing\.kind"
)
_BARE = re.compile(r"[-+−]?[0-9./ \-–⁄½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞]+")
_FRACTION = re.compile(r"[/⁄½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞]")
_DIGITS = re.compile(r"[0-9]{1,9}")
_TABLE = re.compile(r"(opening|design|hoop|backing|machine)\.(?!sizes\.|centre\.)")
_SIZE = re.compile(r"opening\.sizes\.(.+)\.(span|overlap)")
_LAYER = re.compile(rf"layer\.({_N})\.(.+)")


def is_field(key: str) -> bool:
    """Whether the form has such a field."""
    layer = _LAYER.fullmatch(key)
    if layer and int(layer[1]) >= MAX_LAYERS_TYPED:
        return False
    kinds = (_LENGTHS, _WHOLE, _FLAG, _TEXT)
    return key in (UNIT, GARMENTS) or any(kind.fullmatch(key) for kind in kinds)


def data_of_form(form: Mapping[str, str]) -> tuple[Data, tuple[str, ...]]:
    """The form as a job file's data, and what is wrong with its list of garments. Unknown keys are not read."""
    data: Data = {}
    layers: dict[int, Data] = {}
    for key, typed in form.items():
        text = typed.strip()
        if not is_field(key) or key in (UNIT, GARMENTS):
            continue
        if not text:
            _open_table(key, data, layers)
            continue
        value = _value(key, text, form.get(UNIT, "mm"))
        size, layer = _SIZE.fullmatch(key), _LAYER.fullmatch(key)
        if size:
            data.setdefault("opening", {}).setdefault("sizes", {}).setdefault(size[1], {})[size[2]] = value
        elif layer:
            _put(layers.setdefault(int(layer[1]), {}), layer[2].split("."), value)
        else:
            _put(data, key.split("."), value)
    # A layer that nothing was typed for still stands between its neighbours.
    if layers:
        data["layer"] = [_with_thread(layers.get(index, {})) for index in range(max(layers) + 1)]
    for table, pair in (("design", "centre"), ("hoop", "field")):
        _pair(data, table, pair)
    faults = _garments(data, form.get(GARMENTS, ""))
    return data, faults


def form_of(data: Mapping[str, Any], unit: str = "mm") -> Form:
    """The data as a form shows them. `data`: of a job file that reads well."""
    form: Form = {UNIT: unit}
    for key, value in _flat(data):
        form[key] = value
    entries = [
        GarmentEntry(e["size"], e["count"], tuple(e.get("names", ()))) for e in data.get("garment", ())
    ]
    form[GARMENTS] = garment_list_text(entries)
    form.pop("design.outline", None)
    return form


def _value(key: str, text: str, unit: str) -> Any:
    if _LENGTHS.fullmatch(key):
        bare = _BARE.fullmatch(text) and (unit == "in" or not _FRACTION.search(text))
        return f"{text} {unit if unit in UNITS else 'mm'}" if bare else text
    if _WHOLE.fullmatch(key):
        return int(text) if _DIGITS.fullmatch(text) else text
    if _FLAG.fullmatch(key):
        return {"true": True, "false": False}.get(text, text)
    if key == "due":
        try:
            return date.fromisoformat(text)
        except ValueError:
            return text
    return text


def _open_table(key: str, data: Data, layers: dict[int, Data]) -> None:
    """The table of an empty field that a job must fill in, without the field."""
    table, layer = _TABLE.match(key), _LAYER.fullmatch(key)
    if table:
        data.setdefault(table[1], {})
    elif layer:
        found = layers.setdefault(int(layer[1]), {})
        if layer[2].startswith("border."):
            found.setdefault("border", {})


def _with_thread(layer: Data) -> Data:
    """The layer with its thread named; where the colour is missing too, it is the colour that is asked for."""
    if "border" in layer:
        layer["border"].setdefault("thread", layer.get("colour", "of the cloth's colour"))
    return layer


def _put(table: Data, path: list[str], value: Any) -> None:
    for key in path[:-1]:
        table = table.setdefault(key, {})
    table[path[-1]] = value


def _pair(data: Data, table: str, key: str) -> None:
    """Two fields side by side, {"0": …, "1": …}, as the list that the file has; one that is empty stays empty."""
    found = data.get(table, {}).get(key)
    if found is not None:
        data[table][key] = [found.get(side, "") for side in ("0", "1")]


def _garments(data: Data, text: str) -> tuple[str, ...]:
    try:
        entries = read_garment_list(text)
    except GarmentListError as wrong:
        return tuple(wrong.sentences)
    if entries:
        data["garment"] = [entry_data(entry) for entry in entries]
    return ()


def _flat(value: Any, path: str = "") -> list[tuple[str, str]]:
    if path == "garment":
        return []
    if isinstance(value, Mapping):
        pairs = [(str(key), entry) for key, entry in value.items()]
    elif isinstance(value, list):
        pairs = [(str(index), entry) for index, entry in enumerate(value)]
    else:
        shown = {True: "true", False: "false"}.get(value) if isinstance(value, bool) else str(value)
        return [(path, str(shown))]
    return [flat for key, entry in pairs for flat in _flat(entry, f"{path}.{key}" if path else key)]
