"""The shop's route templates, read once from their files."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from floor.domain.route import Route, read_route
from floor.jobfile import RouteNeeds
from floor.places import routes_folder


@dataclass(frozen=True)
class ShopRoute:
    route: Route
    text: str


@cache
def shop_routes() -> Mapping[str, ShopRoute]:
    """All route templates by id. Raises RouteError when a file of the shop's is wrong."""
    found = {}
    for path in sorted(routes_folder().glob("*.toml")):
        text = path.read_text(encoding="utf-8")
        route = read_route(text)
        found[route.id] = ShopRoute(route, text)
    return found


def route_needs() -> Mapping[str, RouteNeeds]:
    """What each route asks of a job file."""
    return {
        name: RouteNeeds(opening=shop.route.opening, min_layers=shop.route.min_layers)
        for name, shop in shop_routes().items()
    }
