"""A JSON body -> the dataclasses that it was written from, whatever they are made of."""

from __future__ import annotations

from dataclasses import fields, is_dataclass
from types import NoneType
from typing import Any, get_args, get_origin, get_type_hints


def read_back(kind: Any, body: Any) -> Any:
    """`body` as `kind`: a dataclass, a named tuple, a tuple of such, one of them or None, or a plain value."""
    if is_dataclass(kind):
        hints = get_type_hints(kind)
        return kind(**{f.name: read_back(hints[f.name], body[f.name]) for f in fields(kind)})  # type: ignore[operator]
    if hasattr(kind, "_fields"):
        return kind(*body)
    origin, parts = get_origin(kind), get_args(kind)
    if NoneType in parts:
        (some,) = (part for part in parts if part is not NoneType)
        return None if body is None else read_back(some, body)
    if origin is tuple:
        inner = [parts[0]] * len(body) if parts[1:] == (...,) else parts
        return tuple(read_back(part, one) for part, one in zip(inner, body, strict=True))
    return body
