"""What a tablet makes by itself of what it holds, against what the server makes of the same."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import asdict
from itertools import chain
from random import Random
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from playwright.sync_api import Page
from sqlalchemy import select

from floor.domain.hand import Hand
from floor.domain.job import HouseRules
from floor.queries.events import events_of_run
from floor.queries.tablet_held import bundle
from floor.services.jobs import import_job
from floor.store.models import RunRow, db
from tests.conftest import START, SUPERVISOR, demo_source, view_of
from tests.services.revised import revise_job, revised
from tests.services.shop_walk import ShopWalk, job_of

DEMO_JOBS = ("larkspur-jackets", "quarry-crest", "tinhill-pullovers", "zephyr-jackets")
HAND = Hand(along=0.8, reading=0.3)
STATES = 24
OFTEN = 4

LAY_OUT = """async ({revision, loads}) => {
    const {checklistOf} = await import("/static/js/tablet/checklist_of.js");
    return loads.map(([section, garments, first, hand]) =>
        JSON.stringify(checklistOf(revision, section, garments, first, hand)));
}"""

MAKE_PAGES = """async ({held, bundles, lines, runs, chosen, home}) => {
    const {ownJob} = await import("/static/js/tablet/own_job.js");
    const {ownRun} = await import("/static/js/tablet/own_run.js");
    const {homePage, jobPage, runPage} = await import("/static/js/tablet/own_pages.js");
    const made = {jobs: {}, runs: {}};
    const known = {};
    for (const [code, bundle] of Object.entries(bundles)) {
        const own = runs.filter((one) => one.code === code).map(({run, events, kept}) =>
            ownRun(run, events, new Set(), bundle, held.catalogue, kept)).filter(Boolean);
        known[code] = ownJob(bundle, own);
        made.jobs[code] = jobPage(held, known[code], chosen[code], 0);
        for (const one of own) {
            const kept = runs.find(({run}) => run === one.run).kept;
            made.runs[one.run] = runPage(held, known[code], one, kept, 0);
        }
    }
    made.home = homePage(held, Object.values(known).flatMap(({lines}) => lines), home, 0);
    return JSON.stringify(made);
}"""


def as_json(value: object) -> Any:
    return json.loads(json.dumps(value))


def imported(folder: str, house: HouseRules | None = None, **changed: Any) -> str:
    source = demo_source(folder)
    source = revised(source, **changed) if changed else source
    return import_job(source, SUPERVISOR, START, house or HouseRules(edge_sealing=True)).code


def loads_of(code: str) -> Iterator[tuple[str, tuple[int, ...], bool]]:
    """Loads of each section, of 1 to as many as it holds, of each size, in a row and not."""
    view = view_of(code)
    by_size: dict[str, list[int]] = {}
    for garment in view.job.garments:
        by_size.setdefault(garment.size, []).append(garment.number)
    mixed = [] if view.job.opening else [sorted(chain.from_iterable(zip(*by_size.values(), strict=False)))]
    for section in view.sections:
        if section.scope == "job":
            yield section.key, (), False
            continue
        for numbers in [*by_size.values(), *mixed]:
            for count in range(1, min(view.load_size, len(numbers)) + 1):
                for first in (False, True):
                    yield section.key, tuple(numbers[:count]), first
                    yield section.key, tuple(numbers[::2][:count]), first


@pytest.mark.parametrize(
    ("folder", "changed"),
    [
        *((folder, {}) for folder in DEMO_JOBS),
        ("quarry-crest", {"garment": [{"size": "small", "count": 3}, {"size": "large", "count": 5}]}),
        ("larkspur-jackets", {"machine": {"speed": 700, "heads": 3}}),
        ("tinhill-pullovers", {"machine": {"speed": 700, "heads": 2}}),
    ],
)
def test_a_tablet_lays_out_each_load_as_the_server_does(
    app: Flask, page: Page, folder: str, changed: dict[str, Any]
) -> None:
    code = imported(folder, **changed)
    plan = view_of(code).plan
    revision = as_json(bundle(job_of(code)))["revisions"]["1"]
    loads = [(*load, hand) for load in loads_of(code) for hand in (None, HAND)]
    laid = [plan.checklist(section, load, first, hand).as_json() for section, load, first, hand in loads]
    asked = [[section, load, first, hand and asdict(hand)] for section, load, first, hand in loads]
    found = page.evaluate(LAY_OUT, {"revision": revision, "loads": as_json(asked)})
    for text, expected, load in zip(found, as_json(laid), loads, strict=True):
        assert json.loads(text) == expected, load
    if changed:
        assert max(len(load) for _, load, _, _ in loads) > 1


def test_what_no_template_has_is_not_laid_out(app: Flask, page: Page, larkspur: str) -> None:
    revision = as_json(bundle(job_of(larkspur)))["revisions"]["1"]
    loads = [["sleeve", [1], False, None], ["front-left", [], False, None], ["front-left", [99], False, None]]
    assert page.evaluate(LAY_OUT, {"revision": revision, "loads": loads}) == ["null"] * 3


def without_clock(page: dict[str, Any]) -> dict[str, Any]:
    return page | {"server_time": 0}


def runs_with_events(codes: tuple[str, ...], kept: dict[str, Any]) -> list[dict[str, Any]]:
    """Every run that may be, as a tablet that made all its taps would know it."""
    found = []
    for code in codes:
        rows = db.session.scalars(select(RunRow).where(RunRow.job_id == job_of(code).id))
        for row in rows:
            events = [vars(event) for event in events_of_run(row.id)]
            found.append({"code": code, "run": row.id, "events": events, "kept": kept.get(row.id)})
    return found


@pytest.mark.parametrize("seed", range(4))
def test_a_tablet_makes_the_pages_that_the_server_makes(
    app: Flask, client: FlaskClient, page: Page, seed: int
) -> None:
    """From what it held at the beginning and the taps since; and from what it holds now."""
    house = HouseRules(edge_sealing=True, under_first=seed == 1)
    codes = (imported("larkspur-jackets", house), imported("quarry-crest", house))
    if seed == 2:
        codes = (imported("larkspur-jackets", house, machine={"speed": 700, "heads": 2}), codes[1])
    shop = ShopWalk(codes, Random(seed))
    bundles = {code: client.get(f"/tablet/held/{code}.json").json for code in codes}
    shown: dict[str, Any] = {}  # pages as the server gave them first, which are kept
    for state in range(1, STATES + 1):
        shop.step()
        if seed == 3:
            for run in db.session.scalars(select(RunRow.id)):
                shown.setdefault(run, client.get(f"/tablet/run/{run}.json").json)
        if state == STATES // 3 and seed == 3:
            source = revised(demo_source("larkspur-jackets"), title="Larks")
            revise_job(codes[0], source, SUPERVISOR, shop.now, house)
            bundles[codes[0]] = client.get(f"/tablet/held/{codes[0]}.json").json
        if state % OFTEN:
            continue
        runs = runs_with_events(codes, shown)
        compare(client, page, codes, bundles, runs, shop.random)
        fresh = {code: client.get(f"/tablet/held/{code}.json").json for code in codes}
        compare(client, page, codes, fresh, [], shop.random)


def compare(
    client: FlaskClient,
    page: Page,
    codes: tuple[str, ...],
    bundles: dict[str, Any],
    runs: list[dict[str, Any]],
    random: Random,
) -> None:
    held, home = client.get("/tablet/held.json").json, client.get("/tablet/home.json").json
    assert held is not None
    chosen = {code: random.choice([None, 1, 2, 99]) for code in codes}
    asked = {
        "held": held | {"demo": False}, "bundles": bundles, "runs": as_json(runs), "chosen": chosen, "home": home,
    }  # fmt: skip
    made = json.loads(page.evaluate(MAKE_PAGES, asked))
    for code in codes:
        query = f"?garment={chosen[code]}" if chosen[code] else ""
        server = client.get(f"/tablet/job/{code}.json{query}").json
        assert made["jobs"][code] == without_clock(server)
    assert made["home"] == without_clock(home)
    for run in [one["run"] for one in runs]:
        server = without_clock(client.get(f"/tablet/run/{run}.json").json)
        assert made["runs"][run] == server
