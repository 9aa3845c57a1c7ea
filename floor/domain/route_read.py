"""A route's TOML -> Route. Refuses, naming the place, whatever Floor could not follow beside the machine."""

from __future__ import annotations

import tomllib
from collections import Counter
from collections.abc import Iterable
from dataclasses import replace
from typing import Literal, get_args

from floor.domain.checklist import AcceptBy, Who
from floor.domain.route_parts import (
    CheckTemplate,
    Condition,
    CountTemplate,
    Crossing,
    Each,
    Expected,
    HouseLimit,
    Line,
    LoadRule,
    Per,
    PhaseTemplate,
    Picture,
    Place,
    PlaceKind,
    ReadingTemplate,
    Route,
    RouteError,
    Scope,
    SectionTemplate,
)
from floor.domain.route_rules import check_phase, check_section
from floor.domain.toml_table import Table

TITLE_LIMIT = 60
TEXT_LIMIT = 200
CAUTION_LIMIT = 110
ASK_LIMIT = 110
MOST_CAUTIONS = 2
MOST_ANSWERS = 4
MOST_LAYERS = 20
SIDE_LIMIT = 24


def read_route(toml_text: str) -> Route:
    """The route that the text describes. RouteError, in one sentence that names the place, for any other."""
    try:
        values = tomllib.loads(toml_text)
    except tomllib.TOMLDecodeError as error:
        raise RouteError(f"The route is not TOML that can be read: {error}.") from None
    table = Table(values, "The route")
    route = Route(
        id=table.name("id"),
        title=table.text("title", TITLE_LIMIT),
        opening=table.flag("opening"),
        min_layers=table.whole("min_layers", 1, MOST_LAYERS, 1),
        load=table.choice("load", LoadRule, "heads"),
        piece=table.text("piece", 20, "garment"),
        sections=tuple(map(_section, table.tables("section", "section", "key"))),
    )
    table.end()
    _check_route(route)
    return route


def _check_route(route: Route) -> None:
    if not route.sections:
        raise RouteError("The route has no section; it needs one at least.")
    fronts = ("right", "left") if route.opening else ("whole",)
    keys = [
        key
        for section in route.sections
        for key in ([f"{section.key}-{front}" for front in fronts] if section.per_front else [section.key])
    ]
    refuse_twice("The route", "section", keys)
    for section in route.sections:
        check_section(route, section)
        refuse_twice(f'Section "{section.key}"', "phase", [phase.id for phase in section.phases])
        for phase in section.phases:
            check_phase(route, section, phase)


def refuse_twice(place: str, what: str, names: Iterable[str]) -> None:
    for name, times in Counter(names).items():
        if times > 1:
            raise RouteError(f'{place}: there are {times} of {what} "{name}"; give each a name of its own.')


def _section(table: Table) -> SectionTemplate:
    table.place = table.place.replace("The route, section", "Section")
    each = table.choice("each", Literal["front"], None) if table.has("each") else None
    section = SectionTemplate(
        key=table.name("key"),
        title=table.text("title", TITLE_LIMIT),
        scope=table.choice("scope", Scope),
        place=table.choice("place", Place),
        per_front=each == "front",
        phases=tuple(map(_phase, table.tables("phase", "phase"))),
    )
    table.taken.append("each")
    table.end()
    return section


def _phase(table: Table) -> PhaseTemplate:
    who = table.choice("who", Who)
    if who == "machine" and table.has("per"):
        raise table.refuse('"per" multiplies the work of hands; all heads of a machine sew at once.')
    phase = PhaseTemplate(
        id=table.name("id"),
        title=table.text("title", TITLE_LIMIT),
        text=table.text("text", TEXT_LIMIT),
        who=who,
        usual_min=table.pair("usual_min"),
        per=table.choice("per", Per, "load" if who != "hands" else "garment"),
        picture=table.choice("picture", Picture, "paper"),
        when=_conditions(table),
        cautions=table.texts("cautions", MOST_CAUTIONS, CAUTION_LIMIT, []),
        checks=tuple(map(_check, table.tables("check", "check"))),
        readings=tuple(map(_reading, table.tables("reading", "reading"))),
        counts=tuple(map(_count, table.tables("count", "count"))),
        restart=table.flag("restart"),
        no_return=table.flag("no_return"),
        approval=table.flag("approval"),
    )
    if table.has("each"):
        phase = replace(phase, each=table.choice("each", Each))
    if table.has("line"):
        phase = replace(phase, line=table.choice("line", Line))
    if table.has("place"):
        phase = replace(phase, place=table.choice("place", PlaceKind))
    if table.has("relay_to"):
        phase = replace(phase, relay_to=table.name("relay_to"))
    table.taken += ["each", "line", "place", "relay_to"]
    table.end()
    for what, named in (("check", phase.checks), ("reading", phase.readings), ("count", phase.counts)):
        refuse_twice(table.place, what, [one.id for one in named])
    return phase


def _conditions(table: Table) -> tuple[Condition, ...]:
    """`when = "first_piece"`, or a list, of which all must hold."""
    if not table.has("when"):
        table.taken.append("when")
        return ()
    one = table.values["when"]
    found = [one] if isinstance(one, str) else table.items("when")
    table.taken.append("when")
    known = get_args(Condition)
    for condition in found:
        if condition not in known:
            known_list = ", ".join(known)
            raise table.refuse(f'there is no condition "{condition}" for "when"; known are {known_list}.')
    return tuple(found)


def _check(table: Table) -> CheckTemplate:
    check = CheckTemplate(
        id=table.name("id"),
        ask=table.text("ask", ASK_LIMIT),
        answers=table.texts("answers", MOST_ANSWERS, ASK_LIMIT),
        right=table.text("right", ASK_LIMIT),
        ends=table.flag("ends"),
        accept=table.choice("accept", AcceptBy, "operator"),
    )
    table.end()
    return check


def _reading(table: Table) -> ReadingTemplate:
    low, high = _limits(table, "within", "below", "above")
    never_low, never_high = _limits(table, "never", "never_below", "never_above")
    if never_low < low or (isinstance(high, float) and isinstance(never_high, float) and never_high < high):
        raise table.refuse("what nobody can accept must not lie nearer than what stands by itself.")
    named = isinstance(table.values.get("expected"), str)
    reading = ReadingTemplate(
        id=table.name("id"),
        ask=table.text("ask", ASK_LIMIT),
        expected=table.choice("expected", Expected) if named else table.number("expected"),
        low=low,
        high=high,
        never_low=never_low,
        never_high=never_high,
        accept=table.choice("accept", AcceptBy, "operator"),
        mark=table.text("mark", 2, ""),
        takes=table.whole("takes", 1, 2, 1),
        plus=table.text("plus", SIDE_LIMIT, ""),
        minus=table.text("minus", SIDE_LIMIT, ""),
        at=table.choice("at", Crossing) if table.has("at") else None,
    )
    table.taken.append("at")
    table.end()
    if bool(reading.plus) != bool(reading.minus):
        raise table.refuse('"plus" and "minus" name the two sides of a reading; give both or neither.')
    return reading


def _limits(table: Table, both: str, below: str, above: str) -> tuple[float, float | HouseLimit]:
    """Distances below and above the expected value: one number for both, or one each; above it also the house's."""
    if table.has(both) and not table.has(below) and not table.has(above):
        distance = table.number(both)
        return distance, distance
    if table.has(below) and table.has(above) and not table.has(both):
        named = isinstance(table.values[above], str)
        return table.number(below), table.choice(above, HouseLimit) if named else table.number(above)
    raise table.refuse(f'a reading needs "{both}", or "{below}" and "{above}", and not all of them.')


def _count(table: Table) -> CountTemplate:
    count = CountTemplate(
        id=table.name("id"),
        side=table.choice("side", Literal["out", "in"]),
        ask=table.text("ask", ASK_LIMIT),
        ends=table.flag("ends"),
    )
    table.end()
    return count
