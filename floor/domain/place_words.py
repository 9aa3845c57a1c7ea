"""What to do about a place, in the operator's words; static/js/place_words.js says the same."""

from __future__ import annotations

from math import radians, tan

from floor.domain.place_sums import PlaceSums
from floor.domain.placement import Cause
from floor.domain.weighing import Action

SHOWN_MM = 0.05  # less is shown as nothing


def advice(
    sums: PlaceSums,
    verdict: Action,
    cause: Cause,
    nudge: tuple[float, float],
    skew_deg: float,
    stretch: float,
    past: float | None,
) -> str:
    """One sentence. `skew_deg`: against the other front; `past`: how far the needle would pass the folded
    edge where it passes least, once nudged, mm, None where it need not; the rest as a judgement has them."""
    if verdict == "sew":
        return "Sew it as it lies."
    if verdict == "read":
        return "Measure at 1 to 4 once more, to be sure."
    if verdict == "nudge":
        return f"Move the start {moved_words(sums, nudge)}, then trace and measure again."
    if cause == "stretch":
        apart = "closer together" if stretch > 0 else "farther apart"
        return (
            f"Lift it, and lay it again without stretching: the buttons lie {_mm(abs(stretch))} {apart} than "
            "planned, so measure the span too."
        )
    if cause == "edge" and sums.keep_past is not None and past is not None:
        return (
            f"Lift it, and lay it straighter: once it meets, the needle would pass the folded edge by only "
            f"{_mm(max(past, 0.0))}, and {_mm(sums.keep_past)} are needed; a supervisor may let it be."
        )
    if cause == "step":
        back = (-nudge[0], -nudge[1])
        return (
            f"Lift it, and lay it {moved_words(sums, back)}: a nudge would move the garments under the other "
            "heads too."
        )
    return f"Lift it, and turn {turned_words(sums, skew_deg)}."


def moved_words(sums: PlaceSums, nudge: tuple[float, float]) -> str:
    """ "1.5 mm toward the hem and 0.5 mm toward the sleeve"."""
    along, across = nudge
    outward, inward = (
        ("to the right", "to the left") if sums.side == 0 else ("toward the folded edge", "toward the sleeve")
    )
    parts = []
    if abs(along) >= SHOWN_MM:
        parts.append(f"{_mm(abs(along))} {'toward the collar' if along > 0 else 'toward the hem'}")
    if abs(across) >= SHOWN_MM:
        parts.append(f"{_mm(abs(across))} {outward if across * sums.across_sign > 0 else inward}")
    return " and ".join(parts) or "not at all"


def turned_words(sums: PlaceSums, skew_deg: float) -> str:
    """ "the lower edge 3.0 mm outward": how the garment turns until the design stands straight on it, by how far
    its lower line then goes. Seen on the garment a design that leans counter-clockwise wants it turned that way."""
    lower = sums.across_sign * tan(radians(skew_deg)) * sums.height
    outward, inward = ("to the right", "to the left") if sums.side == 0 else ("outward", "inward")
    what = "the lower end" if sums.side == 0 else "the lower edge"
    return f"{what} {_mm(abs(lower))} {outward if lower > 0 else inward}"


def _mm(value: float) -> str:
    return f"{int(value * 10 + 0.5) / 10:.1f} mm"
