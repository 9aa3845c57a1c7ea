"""A picture as it was sent -> the JPEG that is kept: upright, not too large, and nothing in it but what one sees."""

from __future__ import annotations

from dataclasses import dataclass
from io import BytesIO

from PIL import Image, ImageOps, UnidentifiedImageError

from floor.domain.photo import LONG_SIDE_PIXELS, MAX_PIXELS, MAX_SENT_BYTES

FORMATS = ("JPEG", "PNG", "WEBP")
QUALITY = 82
WHITE = (255, 255, 255)


class PhotoTooLarge(ValueError):
    def __init__(self) -> None:
        limit = f"{MAX_SENT_BYTES // 1024**2} MB"
        super().__init__(
            f"A picture may have {limit}; this one has more. The tablet's page makes it smaller first."
        )


class NotAPhoto(ValueError):
    """Not a JPEG, PNG or WebP."""


class PhotoUnreadable(ValueError):
    """It begins like a picture and cannot be decoded as one, or is larger than anybody could have meant."""


@dataclass(frozen=True)
class Jpeg:
    data: bytes
    width: int
    height: int


def jpeg_of(sent: bytes) -> Jpeg:
    """Decode, turn upright, shrink and encode anew. Where it was taken, by whom and with what stays behind: the new
    picture is given pixels only. Raises PhotoTooLarge, NotAPhoto or PhotoUnreadable."""
    if len(sent) > MAX_SENT_BYTES:
        raise PhotoTooLarge
    try:
        with Image.open(BytesIO(sent), formats=FORMATS) as found:
            width, height = found.size
            if width * height > MAX_PIXELS:
                raise _too_many_pixels()
            # A JPEG is decoded smaller at once, in a fraction of the time.
            found.draft("RGB", (LONG_SIDE_PIXELS, LONG_SIDE_PIXELS))
            upright = ImageOps.exif_transpose(found)
            upright.thumbnail((LONG_SIDE_PIXELS, LONG_SIDE_PIXELS))
            return _encoded(upright)
    except PhotoUnreadable:
        raise
    except UnidentifiedImageError:
        raise NotAPhoto("A picture must be a JPEG, PNG or WebP; this is none of them.") from None
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        raise _too_many_pixels() from None
    except Exception as wrong:  # on broken bytes decoders raise whatever they stumble over
        raise PhotoUnreadable("The picture is broken and cannot be read; take it again.") from wrong


def _too_many_pixels() -> PhotoUnreadable:
    return PhotoUnreadable(
        f"A picture may have {MAX_PIXELS // 1_000_000} million pixels; this one claims to have more."
    )


def _encoded(image: Image.Image) -> Jpeg:
    clean = Image.new("RGB", image.size, WHITE)
    if image.has_transparency_data:
        image = image.convert("RGBA")
        clean.paste(image, mask=image.getchannel("A"))
    else:
        clean.paste(image.convert("RGB"))
    out = BytesIO()
    clean.save(out, "JPEG", quality=QUALITY, optimize=True)
    return Jpeg(out.getvalue(), *clean.size)
