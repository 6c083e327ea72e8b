"""Photos in the packet: as many pixels as the print needs, nothing but the picture, and a bad one
costs only itself.
"""

from __future__ import annotations

import io
import tempfile
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image
from reportlab.lib.utils import ImageReader

from scout.errors import Refused
from scout.media.photos.pictures import derivative_jpeg
from scout.packet.content import PacketPhoto
from scout.packet.photos import framed, print_photo
from tests.packet.invented import jpeg


def opened(data: bytes) -> Image.Image:
    return Image.open(io.BytesIO(data))


@pytest.mark.parametrize(
    ("width", "height"), [(4000, 3000), (3000, 4000), (12, 5000), (5000, 12), (1, 1), (640, 480)]
)
def test_no_more_than_220_dots_an_inch(width: int, height: int) -> None:
    # Source: the rule that photos are downsampled to 220 dpi at printed size; 72 points an inch.
    photo = print_photo(jpeg(width, height), 240.0, 200.0)
    picture = opened(photo.jpeg)
    assert photo.width <= 240.01
    assert photo.height <= 200.01
    assert picture.width <= max(photo.width / 72 * 220, 1) + 0.5
    assert picture.height <= max(photo.height / 72 * 220, 1) + 0.5
    assert picture.width <= width
    assert picture.height <= height


def test_a_small_photo_keeps_its_proportions() -> None:
    photo = print_photo(jpeg(300, 100), 240.0, 200.0)
    assert photo.width / photo.height == pytest.approx(3.0)


def test_metadata_does_not_travel() -> None:
    # property: what a phone writes into a picture (position, owner) is not in the packet.
    held = io.BytesIO()
    exif = Image.Exif()
    exif[0x013B] = "somebody"
    exif[0x8825] = {1: "N", 2: (52.0, 12.0, 0.0)}
    Image.new("RGB", (64, 48), "red").save(held, "JPEG", exif=exif, comment=b"private")
    photo = print_photo(held.getvalue(), 240.0, 200.0)
    assert not opened(photo.jpeg).getexif()
    assert b"somebody" not in photo.jpeg
    assert b"private" not in photo.jpeg


@pytest.mark.parametrize("mode", ["L", "CMYK", "RGBA", "P", "1"])
def test_other_modes_become_rgb_or_grey(mode: str) -> None:
    held = io.BytesIO()
    Image.new(mode, (40, 30)).save(held, "TIFF")
    assert opened(print_photo(held.getvalue(), 100, 100).jpeg).mode in ("RGB", "L")


def raising(error: Exception) -> Callable[[int], bytes]:
    def read(_: int) -> bytes:
        raise error

    return read


def bomb() -> bytes:
    held = io.BytesIO()
    Image.new("1", (12_000, 12_000)).save(held, "PNG")
    return held.getvalue()


@pytest.mark.parametrize(
    "read",
    [
        lambda _: b"",
        lambda _: b"not a picture",
        lambda _: jpeg()[:500],
        lambda _: bomb(),
        raising(FileNotFoundError("the file is not there")),
        raising(KeyError("oops")),
    ],
)
def test_a_bad_photo_is_a_frame_with_the_reason(read: Callable[[int], bytes]) -> None:
    good = framed(PacketPhoto("good.jpg", lambda _: jpeg(), "good"), 240.0, 180.0)
    bad = framed(PacketPhoto("bad.jpg", read, "the bad one"), 240.0, 180.0)
    assert good.jpeg is not None
    assert good.fitted(240.0, 180.0) == (240.0, 180.0)  # property: 4 to 3 in a frame of 4 to 3
    assert bad.jpeg is None
    assert "the bad one" in bad.why


FORMATS = {
    "RGB": ("JPEG", "PNG", "TIFF", "WEBP"),
    "L": ("JPEG", "PNG", "TIFF"),
    "CMYK": ("JPEG", "TIFF"),
    "RGBA": ("PNG", "TIFF", "WEBP"),
    "LA": ("PNG",),
    "P": ("PNG",),
    "1": ("PNG", "TIFF"),
    "I;16": ("PNG", "TIFF"),
}
side = st.one_of(st.integers(1, 4), st.integers(5, 300), st.integers(2000, 3000))


@settings(max_examples=40, deadline=None)
@given(
    st.sampled_from([(mode, kind) for mode, kinds in FORMATS.items() for kind in kinds]),
    side,
    side,
    st.integers(1, 8),
)
def test_every_shape_of_photo_comes_to_paper(
    kind: tuple[str, str], wide: int, high: int, turned: int
) -> None:
    # property: whatever its kind, shape and turn, a photo stands upright in its frame, whole
    mode, written = kind
    exif = Image.Exif()
    exif[0x0112] = turned  # Source: Exif 2.32, 4.6.4: 5 to 8 are turned by a quarter
    with tempfile.NamedTemporaryFile(suffix=f".{written.lower()}") as file:
        Image.new(mode, (wide, high)).save(file, written, exif=exif)
        file.flush()
        try:
            copy = derivative_jpeg(Path(file.name), longest_px=2400)
        except Refused:
            return  # said when it is sent, and a frame with the reason on paper
    shown = framed(PacketPhoto("a", lambda _: copy, "below"), 240.0, 180.0)
    assert shown.jpeg is not None, shown.why
    across, up = shown.fitted(240.0, 180.0)
    assert across <= 240.01
    assert up <= 180.01
    upright = (high, wide) if turned > 4 else (wide, high)
    scale = min(1.0, 2400 / max(upright))
    kept = [max(1, round(one * scale)) for one in upright]
    if min(kept) > 20:  # a pixel more or less is then nothing
        assert across / up == pytest.approx(kept[0] / kept[1], rel=0.06)
    ImageReader(io.BytesIO(shown.jpeg)).getSize()  # ReportLab takes it
