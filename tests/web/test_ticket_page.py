"""The printed ticket and its codes."""

from __future__ import annotations

import base64
import io
import re
from dataclasses import replace

import pytest
import zxingcpp
from flask import Flask
from flask.testing import FlaskClient
from markupsafe import escape
from PIL import Image, ImageDraw

from floor.domain.plan_warnings import PlanWarning
from floor.domain.ticket import show_code
from floor.jobfile import read_job_bytes
from floor.places import page_folder
from floor.queries.pull import pull_of
from floor.queries.shop_routes import route_needs
from floor.queries.stop_sheet import stop_sheets
from floor.queries.views import JobView
from floor.services.jobs import import_job
from floor.ticket_page import LABEL_QR_MM, MODULE_MM, Qr, qr_of, ticket_html, ticket_qr
from tests.conftest import START, SUPERVISOR, demo_source, view_of

# A flag on its side: tall on the viewer's left, a bar on the right.
FLAG = '<svg xmlns="http://www.w3.org/2000/svg"><path d="M0 0H60V100H0Z"/><path d="M60 40H200V60H60Z"/></svg>'

ADDRESS = "http://192.168.1.20:8000"


def scanned(qr: Qr, pixels: int = 6) -> str:
    """What a scanner reads of the code, drawn from its path as a printer draws it."""
    image = Image.new("L", (qr.modules * pixels, qr.modules * pixels), 255)
    draw = ImageDraw.Draw(image)
    for part in qr.path.split("M")[1:]:
        place, _, rest = part.partition("h")
        x, y = map(int, place.split())
        width = int(rest.partition("v")[0])
        draw.rectangle((x * pixels, y * pixels, (x + width) * pixels - 1, (y + 1) * pixels - 1), fill=0)
    (found,) = zxingcpp.read_barcodes(Image.open(_png(image)))
    assert found.ec_level == "H"
    text: str = found.text
    return text


def _png(image: Image.Image) -> io.BytesIO:
    out = io.BytesIO()
    image.save(out, "PNG")
    out.seek(0)
    return out


def warned_of(view: JobView, *warnings: PlanWarning) -> JobView:
    """The same job, its plan warning of this."""
    return replace(view, plan=replace(view.plan, sums=replace(view.sums, warnings=warnings)))


def test_the_code_reads_back_as_the_tickets_address_in_upper_case() -> None:
    assert scanned(ticket_qr(ADDRESS, "K7Q2M4")) == "HTTP://192.168.1.20:8000/T/K7Q2M4"
    assert scanned(ticket_qr("https://floor.local", "K7Q2M4", 12)) == "HTTPS://FLOOR.LOCAL/T/K7Q2M4/12"


def test_a_shops_usual_address_fits_version_3_with_its_quiet_zone() -> None:
    qr = ticket_qr(ADDRESS, "K7Q2M4")
    assert qr.modules == 29 + 2 * 4
    assert qr.size_mm == pytest.approx(37 * MODULE_MM)
    rows_touched = {int(part.partition("h")[0].split()[1]) for part in qr.path.split("M")[1:]}
    assert (min(rows_touched), max(rows_touched)) == (4, 32)


def test_a_long_host_makes_a_larger_code_and_on_a_label_a_finer_one() -> None:
    long = "https://floor.the-larkspur-lane-sewing-workshop.example:8443"
    assert ticket_qr(long, "K7Q2M4").size_mm > ticket_qr(ADDRESS, "K7Q2M4").size_mm
    assert ticket_qr(long, "K7Q2M4", 40).size_mm == LABEL_QR_MM
    assert scanned(ticket_qr(long, "K7Q2M4", 40)) == f"{long}/T/K7Q2M4/40".upper()
    assert qr_of("A").size_mm < LABEL_QR_MM


def test_the_page_has_the_jobs_numbers_and_a_label_for_each_garment(
    supervisor: FlaskClient, larkspur: str
) -> None:
    page = supervisor.get(f"/office/jobs/{larkspur}/ticket").text
    for words in (show_code(larkspur), "Larkspur Lane Marching Band", "180 mm", "purple felt", "cream 40",
                  "360 x 200 mm", "650 stitches a minute", "Friday 11 December 2026", "Odile"):  # fmt: skip
        assert words in page, words
    for words in ("20 mm to the viewer&#39;s right", "sewn 8 mm beyond the seam",
                  "5 mm kept clear all round", "4 mm wide, 0.4 mm apart on one side"):  # fmt: skip
        assert words in page, words
    assert page.count('class="label"') == 6
    for number in range(1, 7):
        assert f"QR code of HTTP://LOCALHOST/T/{larkspur}/{number}" in page
    assert "style=" not in page


def test_the_setting_decides_what_the_codes_begin_with(
    app: Flask, supervisor: FlaskClient, larkspur: str
) -> None:
    app.config["FLOOR"] = replace(app.config["FLOOR"], address=ADDRESS)
    page = supervisor.get(f"/office/jobs/{larkspur}/ticket").text
    assert f"QR code of HTTP://192.168.1.20:8000/T/{larkspur}" in page


def test_a_single_file_needs_no_server(larkspur: str) -> None:
    page = ticket_html(view_of(larkspur), ADDRESS, standalone=True)
    assert "<link" not in page
    assert "<script" not in page
    assert "url(" not in page
    assert "@page" in page
    assert "&#34;" not in page.partition("</style>")[0]


def test_what_to_pull_stands_on_the_ticket_with_a_box_to_tick(supervisor: FlaskClient, larkspur: str) -> None:
    page = supervisor.get(f"/office/jobs/{larkspur}/ticket").text
    pulled = pull_of(view_of(larkspur))
    assert {pull.what for pull in pulled} >= {"purple felt", "cream twill", "tearaway backing"}
    for pull in pulled:
        assert f'<span class="box"></span>{pull.what}</th><td class="amount">{pull.amount}</td>' in page


def test_a_hoop_that_holds_several_pieces_needs_backing_once_for_them(app: Flask) -> None:
    code = import_job(demo_source("quarry-crest"), SUPERVISOR, START).code
    view = view_of(code)
    assert view.load_size > 1
    (backing,) = (pull for pull in pull_of(view) if pull.what == f"{view.job.backing.kind} backing")
    hoopings = -(-len(view.job.garments) // (view.load_size // view.job.machine.heads))
    assert backing.detail.startswith(f"{hoopings} hoopings")


def test_each_front_has_its_stop_sheet(supervisor: FlaskClient, larkspur: str) -> None:
    page = supervisor.get(f"/office/jobs/{larkspur}/ticket").text
    plan = view_of(larkspur).sums
    sheets = re.findall(r'<table class="numbers stop-sheet.*?</table>', page, re.S)
    assert ["Left front, sewn first" in sheet for sheet in sheets] == [True, False]
    for front, sheet in zip(plan.job.fronts, sheets, strict=True):
        stops = plan.stops["M", front]
        assert sheet.count("<tr>") == 1 + len(stops)
        for stop in stops:
            assert f"<td>{escape(stop.before)}</td>" in sheet
            assert f"{stop.stitches:,}" in sheet
        assert f"{sum(stop.stitches for stop in stops):,} stitches, likely" in sheet


def test_sizes_that_are_sewn_differently_have_sheets_of_their_own(app: Flask) -> None:
    source = demo_source("larkspur-jackets")
    wider = replace(
        source, toml_text=source.toml_text.replace('span = "200 mm"', 'overlap = "30 mm"\nspan = "200 mm"')
    )
    code = import_job(wider, SUPERVISOR, START).code
    titles = [sheet.title for sheet in stop_sheets(view_of(code).sums)]
    assert titles == [
        "Left front, sewn first; size M", "Left front, sewn first; size XL",
        "Right front, sewn second; size M", "Right front, sewn second; size XL",
    ]  # fmt: skip


def test_marks_are_on_the_sheet_without_stitches_or_time(app: Flask) -> None:
    source = demo_source("larkspur-jackets")
    view = view_of(import_job(replace(source, svg_text=FLAG), SUPERVISOR, START).code)
    last = [sheet.rows[-1] for sheet in stop_sheets(view.sums)]
    (marks,) = (row for row in last if row.sews == "marks")
    assert (marks.thread, marks.stitches, marks.likely) == ("", "", "")
    assert "never sew" in marks.before


def test_the_ticket_holds_its_pictures_itself(supervisor: FlaskClient, larkspur: str) -> None:
    for page in (
        supervisor.get(f"/office/jobs/{larkspur}/ticket").text,
        ticket_html(view_of(larkspur), ADDRESS, standalone=True),
    ):
        drawn = re.findall(r'<img src="data:image/svg\+xml;base64,([^"]+)" alt="([^"]+)"', page)
        assert [words for _, words in drawn] == [
            "Closed, seen from the front, size M",
            "The left front in its hoop, size M",
            "The right front in its hoop, size M",
        ]
        assert all(base64.b64decode(data).startswith(b"<svg") for data, _ in drawn)
        assert page.count("<img") == 3


def test_what_the_plan_warns_of_stands_before_the_pictures(larkspur: str) -> None:
    view = view_of(larkspur)
    assert "Look before you sew" not in ticket_html(warned_of(view), ADDRESS, standalone=True)
    warned = warned_of(view, PlanWarning("short-cover", "XL", "right", "Only 4 mm < 6 mm lie beneath."))
    page = ticket_html(warned, ADDRESS, standalone=True)
    assert page.index("Look before you sew") < page.index("<img")
    assert "<b>Size XL, right front:</b> Only 4 mm &lt; 6 mm lie beneath." in page


def test_markup_in_a_job_file_stays_text_on_the_ticket(app: Flask, supervisor: FlaskClient) -> None:
    folder = page_folder("demo_jobs") / "larkspur-jackets"
    files = {path.name: path.read_bytes() for path in folder.iterdir()}
    name = next(name for name in files if name.endswith(".toml"))
    files[name] = files[name].replace(b'"Odile"', b'"<script>x</script>"')
    code = import_job(read_job_bytes(files, route_needs()), SUPERVISOR, START).code
    page = supervisor.get(f"/office/jobs/{code}/ticket").text
    assert "<script>x" not in page
    assert "&lt;script&gt;x" in page
