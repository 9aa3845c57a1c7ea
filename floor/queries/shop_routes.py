"""The shop's route templates, read once from their files."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from floor.domain.quoting import quoted
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


class UnknownRoute(KeyError):
    """The shop has no such route."""

    def __init__(self, route: str) -> None:
        super().__init__(f"The shop has no route {quoted(route)}; begin with one of those that it has.")

    def __str__(self) -> str:
        return str(self.args[0])


def shop_route(name: str) -> Route:
    """The shop's route of this id. Raises UnknownRoute."""
    if name not in shop_routes():
        raise UnknownRoute(name)
    return shop_routes()[name].route


def needs_of_route(route: Route) -> RouteNeeds:
    return RouteNeeds(opening=route.opening, min_layers=route.min_layers)


def route_needs() -> Mapping[str, RouteNeeds]:
    """What each route asks of a job file."""
    return {name: needs_of_route(shop.route) for name, shop in shop_routes().items()}
