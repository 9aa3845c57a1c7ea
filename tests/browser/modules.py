"""Serves the tablet's modules to a browser that has no server: a bare page and static/js, nothing else."""

from __future__ import annotations

from pathlib import Path

from playwright.sync_api import BrowserContext, Page, Route

STATIC = Path(__file__).parents[2] / "static"
SECURE = "http://localhost"
PLAIN_HTTP = "http://tablet.test"  # not a secure context: no locks, no randomUUID, as in a shop without https
BARE_PAGE = "<!doctype html><meta charset=utf-8><title>Floor</title>"


def serve_modules(context: BrowserContext) -> None:
    context.route("**/*", _bare)
    context.route("**/static/**", _file)


def open_page(context: BrowserContext, origin: str = SECURE) -> Page:
    page = context.new_page()
    page.goto(f"{origin}/")
    return page


def _bare(route: Route) -> None:
    route.fulfill(body=BARE_PAGE, content_type="text/html")


def _file(route: Route) -> None:
    name = route.request.url.split("/static/", 1)[1]
    route.fulfill(path=STATIC / name, content_type="text/javascript")
