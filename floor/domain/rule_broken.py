"""How an event can fail to apply, by name; each message is one sentence for people."""

from __future__ import annotations


class RuleBroken(Exception):
    """The event cannot apply as things stand; the message is one sentence for people."""


class NotOpened(RuleBroken):
    pass


class RunEnded(RuleBroken):
    pass


class InOtherHands(RuleBroken):
    pass


class RunPaused(RuleBroken):
    pass


class ProblemOpen(RuleBroken):
    pass


class PhaseOutOfOrder(RuleBroken):
    pass


class StillMissing(RuleBroken):
    pass


class NotOnThisPhase(RuleBroken):
    pass


class NeedsSupervisor(RuleBroken):
    pass


class NotTheNewest(RuleBroken):
    pass
