"""Pictures as a tablet's camera makes them, for the tests of what becomes of them."""

from __future__ import annotations

from io import BytesIO

from PIL import Image
from PIL.Image import Exif
from PIL.PngImagePlugin import PngInfo

GPS, ORIENTATION, MAKER, WHEN = 0x8825, 0x0112, 0x010F, 0x0132
TURNED = 6  # to be turned a quarter clockwise for looking at it
SECRETS = (b"Maker of cameras", b"2026:11:30", b"in the comment", b"GPS")


def jpeg(width: int = 64, height: int = 48, colour: str = "teal", turned: bool = False) -> bytes:
    """A picture with everything in it that a camera tells: where, when, with what, which way up."""
    image = Image.new("RGB", (width, height), colour)
    image.paste("white", (0, 0, width // 2, height // 2))  # upper left, as the sensor had it
    exif = Exif()
    exif[MAKER], exif[WHEN] = "Maker of cameras", "2026:11:30 12:00:00"
    exif[GPS] = {1: "N", 2: (47.0, 22.0, 1.5), 3: "E", 4: (8.0, 32.0, 2.5)}
    if turned:
        exif[ORIENTATION] = TURNED
    out = BytesIO()
    image.save(out, "JPEG", exif=exif, comment=b"in the comment", quality=90)
    return out.getvalue()


def png(width: int = 64, height: int = 48, alpha: int = 255) -> bytes:
    told = PngInfo()
    told.add_text("Comment", "in the comment")
    out = BytesIO()
    Image.new("RGBA", (width, height), (10, 120, 120, alpha)).save(out, "PNG", pnginfo=told)
    return out.getvalue()


def webp(width: int = 64, height: int = 48) -> bytes:
    out = BytesIO()
    Image.new("RGB", (width, height), "teal").save(out, "WEBP")
    return out.getvalue()


def bomb(side: int = 6_000) -> bytes:
    """A few KB that would become tens of millions of pixels."""
    out = BytesIO()
    Image.new("1", (side, side)).save(out, "PNG", optimize=True)
    return out.getvalue()


def opened(data: bytes) -> Image.Image:
    return Image.open(BytesIO(data))
