"""A camera that looks at a printed ticket: Chromium plays a film that is made of it."""

from __future__ import annotations

import shutil
from pathlib import Path

from PIL import Image
from playwright.sync_api import Browser

from tests.browser.conftest import BROWSERS, WITHOUT_A_DESKTOP

WIDTH, HEIGHT, FRAMES = 1280, 720, 4


def photograph(chromium: Browser, ticket: Path) -> Image.Image:
    """The ticket's head with its code, as a camera sees it from arm's length: a little askew, a little dim."""
    page = chromium.new_page(viewport={"width": WIDTH, "height": HEIGHT})
    page.goto(ticket.as_uri())
    picture = page.screenshot(path=ticket.with_suffix(".png"))
    page.close()
    assert picture
    with Image.open(ticket.with_suffix(".png")) as seen:
        return (
            seen.convert("RGB")
            .rotate(4, resample=Image.Resampling.BICUBIC)
            .point(lambda level: level * 0.7 + 20)
        )


def film(picture: Image.Image, path: Path) -> Path:
    """The picture as a film in raw YUV 4:2:0, as Chromium takes it."""
    y, cb, cr = picture.resize((WIDTH, HEIGHT)).convert("YCbCr").split()
    half = (WIDTH // 2, HEIGHT // 2)
    frame = b"FRAME\n" + b"".join(plane.tobytes() for plane in (y, cb.resize(half), cr.resize(half)))
    path.write_bytes(f"YUV4MPEG2 W{WIDTH} H{HEIGHT} F10:1 Ip A1:1 C420jpeg\n".encode() + frame * FRAMES)
    return path


def with_camera(chromium: Browser, film: Path, *args: str) -> Browser:
    """A second browser whose camera sees the film."""
    path = next((found for found in map(shutil.which, BROWSERS) if found), None)
    return chromium.browser_type.launch(
        executable_path=path,
        args=[
            *WITHOUT_A_DESKTOP, *args,
            "--use-fake-device-for-media-stream", f"--use-file-for-fake-video-capture={film}",
        ],
    )  # fmt: skip
