"""Where the sewing lies on the fronts: its upper and lower line, and what a tape should read at them."""

from __future__ import annotations

from typing import NamedTuple

from floor.domain.job import Front, Job


class NoOpening(ValueError):
    """Something of an opening was asked of a job whose garment has none."""


class ExpectedReadings(NamedTuple):
    """The four readings of a front that lies exactly right, mm: `u`, `l` along the opening to the upper and
    the lower button's centre, `a`, `b` beyond the folded edge at the upper and the lower line."""

    u: float
    l: float  # noqa: E741 - the name of the reading, as everywhere in Floor
    a: float
    b: float


def sewn_beyond_outline(job: Job) -> float:
    """How far the widest layer, border included, is sewn beyond the outline, mm. May be below 0."""
    return max(layer.offset + layer.border.width / 2 for layer in job.layers)


def window(job: Job) -> tuple[float, float]:
    """The y-extent, mm, of all that is sewn on the closed garment: the trace window of both fronts.

    Closed form, since growing a shape by a radius grows its bounding box by the same radius.
    """
    half = job.design.height / 2 + sewn_beyond_outline(job)
    centre_y = job.design.centre[1]
    return centre_y - half, centre_y + half


def expected_readings(job: Job, front: Front, size: str) -> ExpectedReadings:
    """What u, l, a and b read on `front` of a garment of `size` when it lies exactly right, mm.

    The buttons of the span are at y = +-span/2, the window's lines at y1 and y0. NoOpening for a garment
    that does not open.
    """
    if job.opening is None or front == "whole":
        raise NoOpening("A garment without an opening has no buttons and no folded edge to read against.")
    y0, y1 = window(job)
    half_span = job.opening.of(size).span / 2
    reach = job.opening.reach(front, size)
    return ExpectedReadings(u=y1 - half_span, l=-y0 - half_span, a=reach, b=reach)
