"""How the halves meet, in sentences: do they, is it getting worse, where does it come from, do predictions hold."""

from __future__ import annotations

from collections.abc import Sequence

from floor.domain.capability import Held, Share, share_beyond
from floor.domain.english import listed, plural
from floor.domain.meetings import WHOLE_SEAM
from floor.queries.office.meeting_chart import FEWEST_FOR_LIMITS, IN_A_ROW, StepChart
from floor.queries.office.meeting_groups import Group, Grouping
from floor.queries.office.meeting_rows import Closed

FEWEST_TO_EXPECT = 8  # from fewer, anything is to be expected
OUTCOMES = {"conceded": "let stand by a supervisor", "sent back": "sent back", "scrapped": "scrapped"}


def percent(share: float) -> str:
    """ "5": whole percents; "under 1" for a share that is small, but there."""
    return "under 1" if 0 < share < 0.005 else f"{100 * share:.0f}"


def share_words(share: Share) -> str:
    """ "5 % (1 to 18 %)"; "" where there is nothing."""
    if share.observed is None or share.wilson_low is None or share.wilson_high is None:
        return ""
    between = f"{percent(share.wilson_low)} to {percent(share.wilson_high)} %"
    return f"{percent(share.observed)} % ({between})"


def do_they_meet(closed: Sequence[Closed], tolerance: float) -> list[str]:
    """`closed`: one at least."""
    share = share_beyond([one.worst for one in closed], tolerance)
    found = f"{share.count or 'none'} stepped by more than {tolerance:.1f} mm"
    said = [f"Of {plural(share.total, 'garment')} {found}: {share_words(share)}."]
    expected = _to_be_expected(closed, tolerance)
    if expected:
        said.append(expected)
    gaps = sum(one.gap is not None and one.gap > tolerance for one in closed)
    ends = [
        f"{count} {'was' if count == 1 else 'were'} {words}"
        for outcome, words in OUTCOMES.items()
        if (count := sum(one.outcome == outcome for one in closed))
    ]
    if gaps:
        ends.insert(0, f"{gaps} had a gap wider than {tolerance:.1f} mm")
    if ends:
        said.append(f"Of them {listed(ends)}.")
    return said


def _to_be_expected(closed: Sequence[Closed], tolerance: float) -> str:
    """What the steps at the crossing that steps most let expect: of one place, since those of one garment hang
    together."""
    crossings = dict.fromkeys(name for one in closed for name in one.steps)
    shares = {
        name: share_beyond([one.steps[name] for one in closed if name in one.steps], tolerance)
        for name in crossings
    }
    known = {name: share for name, share in shares.items() if share.total >= FEWEST_TO_EXPECT}
    name = max(known, key=lambda name: known[name].expected or 0.0, default=None)
    if name is None:
        return f"What is to be expected shows from {FEWEST_TO_EXPECT} garments on."
    low, high = known[name].low or 0.0, known[name].high or 0.0
    where = "" if name == WHOLE_SEAM else f" at the {name} crossing, where they step most,"
    between = percent(high) if percent(low) == percent(high) else f"{percent(low)} to {percent(high)}"
    return f"By their spread{where} {between} % are to be expected."


def is_it_getting_worse(chart: StepChart) -> str:
    if not chart.sure:
        return f"Whether it is getting worse shows from {FEWEST_FOR_LIMITS} garments on."
    if chart.out_lately:
        return "A garment among the newest lies beyond what is usual here: something was different. Look what changed."
    if chart.drifting:
        return f"The newest {IN_A_ROW} all lie above the average: it is getting worse, little by little."
    if chart.out:
        return f"{plural(chart.out, 'garment')} lay beyond what is usual here, but none of the newest {IN_A_ROW}."
    return "Nothing says that it is getting worse: every garment lies within what is usual here."


def where_from(fronts: Grouping, groupings: Sequence[Grouping]) -> list[str]:
    """What stands out beyond chance, one sentence each."""
    said = []
    for group in fronts.groups:
        if group.leans:
            ways = listed(lean.words for lean in group.leans)
            said.append(
                f"On average the {group.name} lies {ways} before anything is moved: aim that much the other way."
            )
    for grouping in groupings:
        for group in grouping.groups:
            if _stands_out(group, grouping.groups):
                said.append(f"{_named(grouping, group)} steps too far more often than the others.")
    if not said and any(group.leans for grouping in groupings for group in grouping.groups):
        return ["No front leans by itself; what is bold in the table is hardly chance."]
    return said or ["Nothing stands out beyond chance between fronts, hoops, sizes and machines."]


def _named(grouping: Grouping, group: Group) -> str:
    """ "Hoop 360 x 200"; a machine's name says itself what it is."""
    return group.name if grouping.what == "Machine" else f"{grouping.what} {group.name}"


def _stands_out(group: Group, groups: Sequence[Group]) -> bool:
    highs = [one.share.wilson_high for one in groups if one is not group]
    low = group.share.wilson_low
    return bool(highs) and low is not None and all(high is not None and high < low for high in highs)


def do_predictions_hold(held: Held) -> list[str]:
    if held.mean_error is None or held.within is None:
        return ["No closed garment was judged at the needle yet, so nothing was foretold of it."]
    near = round(held.within * held.total)
    said = [
        f"Of {plural(held.total, 'garment')} {near} stepped within half a millimetre of what was foretold: "
        f"{percent(held.within)} %."
    ]
    size = f"{abs(held.mean_error):.1f}"
    if size == "0.0":
        said.append("On average it came as foretold.")
    else:
        said.append(
            f"On average it came {size} mm {'worse' if held.mean_error > 0 else 'better'} than foretold."
        )
    return said
