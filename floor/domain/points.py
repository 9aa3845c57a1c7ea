"""Points of the plane."""

from __future__ import annotations

Point = tuple[float, float]
