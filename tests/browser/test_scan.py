"""A ticket is read with the tablet's camera in the page, by the browser or by a reader of our own."""

from __future__ import annotations

import base64
import io
from collections.abc import Iterator

import pytest
import zxingcpp
from PIL import Image
from playwright.sync_api import Browser, BrowserContext, Request, expect

from tests.browser.camera import film, photograph, with_camera
from tests.browser.small_shop import SmallShop, small_shop

PLAIN_NAME = "tablet.test"  # http to any name but this machine's own: no camera for pages

# As browsers have it that can read codes; what it sees, another reader tells it.
BARCODE_DETECTOR = """
window.BarcodeDetector = class {
  static getSupportedFormats = async () => ["ean_13", "qr_code"];
  constructor({ formats }) { if (formats.join() !== "qr_code") throw new TypeError("formats"); }
  async detect(video) {
    const canvas = document.createElement("canvas");
    [canvas.width, canvas.height] = [video.videoWidth, video.videoHeight];
    canvas.getContext("2d").drawImage(video, 0, 0);
    return readPicture(canvas.toDataURL("image/png"));
  }
};
"""
BROKEN_DETECTOR = """
window.BarcodeDetector = class {
  static getSupportedFormats = async () => ["qr_code"];
  async detect() { throw new DOMException("Barcode detection service unavailable.", "NotSupportedError"); }
};
"""


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[SmallShop]:
    with small_shop(tmp_path_factory.mktemp("scan")) as shop:
        yield shop


@pytest.fixture(scope="module")
def camera(chromium: Browser, shop: SmallShop, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Browser]:
    """A browser whose camera looks at the printed ticket."""
    ticket = tmp_path_factory.mktemp("film") / "ticket.html"
    with shop.app.test_request_context():
        ticket.write_text(shop.ticket(), encoding="utf-8")
    seen = film(photograph(chromium, ticket), ticket.with_suffix(".y4m"))
    browser = with_camera(chromium, seen, f"--host-resolver-rules=MAP {PLAIN_NAME} 127.0.0.1")
    yield browser
    browser.close()


@pytest.fixture
def tablet(camera: Browser) -> Iterator[BrowserContext]:
    context = camera.new_context(viewport={"width": 1280, "height": 800}, service_workers="block")
    yield context
    context.close()


def asked_for(context: BrowserContext) -> list[Request]:
    requests: list[Request] = []
    context.on("request", lambda request: requests.append(request))
    return requests


def scanner_files(requests: list[Request]) -> list[Request]:
    return [request for request in requests if "/vendor/zxing/" in request.url]


def test_a_browser_that_reads_no_codes_gets_a_reader_of_our_own(
    tablet: BrowserContext, shop: SmallShop
) -> None:
    tablet.grant_permissions(["camera"], origin=shop.address)
    requests = asked_for(tablet)
    page = tablet.new_page()
    page.goto(f"{shop.address}/tablet/scan")
    assert page.evaluate("'BarcodeDetector' in window") is False
    page.wait_for_url(f"**/T/{shop.code}", timeout=60_000)
    wasm = [request for request in scanner_files(requests) if request.url.endswith(".wasm")]
    assert len(wasm) == 1
    assert all(request.url.startswith(shop.address) for request in requests)


def test_a_browser_that_reads_codes_itself_fetches_no_reader(tablet: BrowserContext, shop: SmallShop) -> None:
    def read_picture(address: str) -> list[dict[str, object]]:
        with Image.open(io.BytesIO(base64.b64decode(address.split(",")[1]))) as picture:
            found = zxingcpp.read_barcodes(picture)
        corners = [{"x": 0, "y": 0}, {"x": 9, "y": 0}, {"x": 9, "y": 9}, {"x": 0, "y": 9}]
        return [{"rawValue": one.text, "format": "qr_code", "cornerPoints": corners} for one in found]

    tablet.grant_permissions(["camera"], origin=shop.address)
    tablet.expose_function("readPicture", read_picture)
    tablet.add_init_script(BARCODE_DETECTOR)
    requests = asked_for(tablet)
    page = tablet.new_page()
    page.goto(f"{shop.address}/tablet/scan")
    page.wait_for_url(f"**/T/{shop.code}", timeout=60_000)
    assert scanner_files(requests) == []


def test_a_browser_that_only_says_that_it_reads_codes_gets_ours_too(
    tablet: BrowserContext, shop: SmallShop
) -> None:
    tablet.grant_permissions(["camera"], origin=shop.address)
    tablet.add_init_script(BROKEN_DETECTOR)
    page = tablet.new_page()
    page.goto(f"{shop.address}/tablet/scan")
    page.wait_for_url(f"**/T/{shop.code}", timeout=60_000)


def test_a_camera_that_is_not_allowed_is_told_with_what_would_do(
    tablet: BrowserContext, shop: SmallShop
) -> None:
    page = tablet.new_page()
    page.goto(f"{shop.address}/tablet/scan")
    expect(page.get_by_role("alert")).to_contain_text("The camera was not allowed.", timeout=30_000)
    tablet.grant_permissions(["camera"], origin=shop.address)
    page.get_by_role("button", name="Try again").click()
    page.wait_for_url(f"**/T/{shop.code}", timeout=60_000)


def test_the_camera_is_let_go_of_while_nobody_looks(tablet: BrowserContext, shop: SmallShop) -> None:
    tablet.grant_permissions(["camera"], origin=shop.address)
    tablet.add_init_script(
        BARCODE_DETECTOR.replace("readPicture(", "[].concat(").replace('canvas.toDataURL("image/png")', "")
    )
    page = tablet.new_page()
    page.goto(f"{shop.address}/tablet/scan")
    live = "() => { const s = document.querySelector('video').srcObject; return Boolean(s) && s.active; }"
    page.wait_for_function(live, timeout=30_000)
    look = """hidden => {
      Object.defineProperty(document, "visibilityState", { value: hidden ? "hidden" : "visible", configurable: true });
      document.dispatchEvent(new Event("visibilitychange"));
    }"""
    page.evaluate(look, True)
    page.wait_for_function(f"() => !({live})()", timeout=30_000)
    page.evaluate(look, False)
    page.wait_for_function(live, timeout=30_000)


def test_by_plain_http_the_page_says_why_not_and_what_works(tablet: BrowserContext, shop: SmallShop) -> None:
    address = shop.address.replace("127.0.0.1", PLAIN_NAME)
    page = tablet.new_page()
    page.goto(f"{address}/tablet/scan")
    expect(page.get_by_role("heading", level=1)).to_have_text("The camera cannot be used in this page here")
    expect(page.locator(".ways li")).to_have_count(3)
    expect(page.locator("video")).to_have_count(0)
    page.get_by_role("link", name="How to open Floor by https").click()
    page.wait_for_url("**/secure")
