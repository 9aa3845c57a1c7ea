"""Pictures that operators take: what may be sent, how much room they have, and what is told of half a picture.

A picture is an event of its run and, apart from it, its bytes. Either may arrive first, and either may be lost with
its tablet.
"""

from __future__ import annotations

from dataclasses import dataclass

from floor.domain.byte_sizes import size_words

MAX_SENT_BYTES = 3 * 1024 * 1024
MAX_PIXELS = 25_000_000  # as sent; what is larger is no picture that a tablet has made smaller
LONG_SIDE_PIXELS = 1600  # as kept
MOST_OF_A_RUN = 12
LOST_AFTER_MS = 14 * 86_400_000  # a tablet that has not sent the other half by then will not
WARN_SHARE = 0.8
FREE_DISK_BYTES = 500_000_000  # what pictures leave free, so that taps can always be saved

STILL_COMING = "The picture has not come yet; it is still on its tablet."
LOST = "The picture was lost with its tablet."
UNTOLD_YET = "Only half here: the picture came, what was tapped with it has not come yet."
UNTOLD = "The picture came; what was tapped with it was lost with its tablet."


@dataclass(frozen=True)
class PhotoRoom:
    """`used`: what pictures take up; `budget`: what they may; `disk_free`: what the disk has left; all in bytes."""

    used: int
    budget: int
    disk_free: int

    @property
    def warning(self) -> str:
        """What the office is told before it is too late; "" while there is room."""
        refused = self.refusal(0)
        if refused:
            return refused
        if self.disk_free < 2 * FREE_DISK_BYTES:
            return f"The server's disk has {size_words(self.disk_free)} left; make room before pictures are refused."
        if self.used >= WARN_SHARE * self.budget:
            return (
                f"Pictures take up {size_words(self.used)} of the {size_words(self.budget)} that they may; "
                "delete old ones, or allow more with FLOOR_PHOTO_BUDGET."
            )
        return ""

    def refusal(self, size: int) -> str:
        """Why a picture of that many bytes cannot be kept; "" when it can."""
        if self.disk_free - size < FREE_DISK_BYTES:
            return (
                "The server's disk is nearly full, and what is left is kept for taps: new pictures are refused and "
                "stay on their tablets. Make room on the disk."
            )
        if self.used + size > self.budget or self.used >= self.budget:
            return (
                f"The room for pictures is full ({size_words(self.used)} of {size_words(self.budget)}): new ones are "
                "refused and stay on their tablets. A supervisor can delete old ones in the office."
            )
        return ""


def half_words(told_at: int | None, came_at: int | None, now_ms: int) -> str:
    """What is told of a picture one half of which is missing. `told_at`: when the server got its event, `came_at`:
    when its bytes; None where it has not. "" when both are here."""
    if told_at is not None and came_at is not None:
        return ""
    if told_at is not None:
        return LOST if now_ms - told_at > LOST_AFTER_MS else STILL_COMING
    assert came_at is not None  # nobody asks of a picture of which nothing came
    return UNTOLD if now_ms - came_at > LOST_AFTER_MS else UNTOLD_YET
