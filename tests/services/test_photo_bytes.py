"""What is kept of a picture is what one sees, upright, and nothing else."""

from __future__ import annotations

import pytest
from pictures_taken import GPS, SECRETS, bomb, jpeg, opened, png, webp

from floor.domain.photo import LONG_SIDE_PIXELS, MAX_SENT_BYTES
from floor.services.photo_bytes import NotAPhoto, PhotoTooLarge, PhotoUnreadable, jpeg_of


def test_where_when_and_with_what_it_was_taken_is_not_kept() -> None:
    sent = jpeg()
    assert GPS in opened(sent).getexif()
    assert [secret in sent for secret in SECRETS[:3]] == [True, True, True]
    kept = jpeg_of(sent).data
    assert dict(opened(kept).getexif()) == {}
    assert [secret in kept for secret in SECRETS] == [False] * 4
    assert set(opened(kept).info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density"}


def test_a_picture_taken_with_the_tablet_on_its_side_is_turned_upright() -> None:
    kept = jpeg_of(jpeg(64, 48, turned=True))
    assert (kept.width, kept.height) == (48, 64)
    image = opened(kept.data).convert("L")
    corners = [image.getpixel(at) for at in ((4, 4), (43, 4), (4, 59), (43, 59))]
    assert [isinstance(light, int) and light > 200 for light in corners] == [False, True, False, False]


@pytest.mark.parametrize("sent", [png(), webp(), jpeg()], ids=["PNG", "WebP", "JPEG"])
def test_each_kind_that_a_tablet_makes_becomes_a_jpeg(sent: bytes) -> None:
    kept = jpeg_of(sent)
    image = opened(kept.data)
    assert (image.format, image.mode, image.size) == ("JPEG", "RGB", (64, 48))
    assert b"in the comment" not in kept.data


def test_what_shines_through_becomes_white() -> None:
    pixel = opened(jpeg_of(png(alpha=0)).data).getpixel((5, 5))
    assert isinstance(pixel, tuple)
    assert min(pixel) > 250


@pytest.mark.parametrize(("width", "height", "kept"), [(3200, 800, (1600, 400)), (900, 1800, (800, 1600))])
def test_a_large_picture_is_made_smaller_and_keeps_its_shape(
    width: int, height: int, kept: tuple[int, int]
) -> None:
    found = jpeg_of(jpeg(width, height))
    assert (found.width, found.height) == kept
    assert max(kept) == LONG_SIDE_PIXELS


def test_a_small_picture_is_not_blown_up() -> None:
    assert jpeg_of(jpeg(40, 30)).width == 40


@pytest.mark.parametrize(
    "side", [5_100, 10_000]
)  # beyond what Floor takes, and beyond what its decoder warns of
def test_a_few_bytes_that_claim_to_be_huge_are_refused_without_unpacking_them(side: int) -> None:
    sent = bomb(side)
    assert len(sent) < 200_000
    with pytest.raises(PhotoUnreadable, match="25 million pixels; this one claims to have more"):
        jpeg_of(sent)


def test_more_bytes_than_a_picture_may_have_are_refused() -> None:
    with pytest.raises(PhotoTooLarge, match="A picture may have 3 MB"):
        jpeg_of(jpeg() + bytes(MAX_SENT_BYTES))


@pytest.mark.parametrize(
    "sent",
    [b"", b"not a picture", b"%PDF-1.7", b"GIF89a" + bytes(40), b"<svg xmlns='http://www.w3.org/2000/svg'/>"],
)
def test_what_is_no_picture_by_its_content_is_refused(sent: bytes) -> None:
    with pytest.raises(NotAPhoto, match="must be a JPEG, PNG or WebP"):
        jpeg_of(sent)


@pytest.mark.parametrize("whole", [jpeg(400, 300), png(400, 300)], ids=["JPEG", "PNG"])
def test_half_a_picture_is_refused_in_one_sentence(whole: bytes) -> None:
    with pytest.raises(PhotoUnreadable, match="broken and cannot be read; take it again"):
        jpeg_of(whole[: len(whole) // 2])
