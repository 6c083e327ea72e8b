"""Photos in the packet: as many pixels as the print needs, nothing but the picture, and a bad one
costs only itself.
"""

from __future__ import annotations

import io
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image
from reportlab.lib.utils import ImageReader

from scout.errors import Refused
from scout.media.photos.pictures import draw_within
from scout.packet.content import PacketPhoto
from scout.packet.photos import framed, print_photo
from tests.packet.invented import jpeg


def opened(data: bytes) -> Image.Image:
    return Image.open(io.BytesIO(data))


def photo(data: bytes, name: str = "good.jpg", caption: str = "good") -> PacketPhoto:
    """As a use case hands it over, but however large it is."""
    return PacketPhoto(name, lambda _: opened(data), caption)


@pytest.mark.parametrize(
    ("width", "height"), [(4000, 3000), (3000, 4000), (12, 5000), (5000, 12), (1, 1), (640, 480)]
)
def test_no_more_than_220_dots_an_inch(width: int, height: int) -> None:
    # Source: the rule that photos are downsampled to 220 dpi at printed size; 72 points an inch.
    ready = print_photo(photo(jpeg(width, height)), 240.0, 200.0)
    picture = opened(ready.jpeg)
    assert ready.width <= 240.01
    assert ready.height <= 200.01
    assert picture.width <= max(ready.width / 72 * 220, 1) + 0.5
    assert picture.height <= max(ready.height / 72 * 220, 1) + 0.5
    assert picture.width <= width
    assert picture.height <= height


def test_a_small_photo_keeps_its_proportions() -> None:
    ready = print_photo(photo(jpeg(300, 100)), 240.0, 200.0)
    assert ready.width / ready.height == pytest.approx(3.0)


def test_metadata_does_not_travel() -> None:
    # property: what a phone writes into a picture (position, owner) is not in the packet.
    held = io.BytesIO()
    exif = Image.Exif()
    exif[0x013B] = "somebody"
    exif[0x8825] = {1: "N", 2: (52.0, 12.0, 0.0)}
    Image.new("RGB", (64, 48), "red").save(held, "JPEG", exif=exif, comment=b"private")
    ready = print_photo(photo(held.getvalue()), 240.0, 200.0)
    assert not opened(ready.jpeg).getexif()
    assert b"somebody" not in ready.jpeg
    assert b"private" not in ready.jpeg


@pytest.mark.parametrize(
    "draw",
    [
        lambda: opened(b""),
        lambda: opened(b"not a picture"),
        lambda: opened(jpeg()[:500]),
        Path("/nowhere/the file is not there").read_bytes,
        lambda: {}["oops"],
    ],
)
def test_a_bad_photo_is_a_frame_with_the_reason(draw: Callable[[], Any]) -> None:
    good = framed(photo(jpeg()), 240.0, 180.0)
    bad = framed(PacketPhoto("bad.jpg", lambda _: draw(), "the bad one"), 240.0, 180.0)
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
            drawn = draw_within(Path(file.name), (733, 550))
        except Refused:
            return  # said when it is sent, and a frame with the reason on paper
    shown = framed(PacketPhoto("a", lambda _: drawn, "below"), 240.0, 180.0)
    assert shown.jpeg is not None, shown.why
    across, up = shown.fitted(240.0, 180.0)
    assert across <= 240.01
    assert up <= 180.01
    upright = (high, wide) if turned > 4 else (wide, high)
    scale = min(1.0, 733 / upright[0], 550 / upright[1])
    kept = [max(1, round(one * scale)) for one in upright]
    if min(kept) > 20:  # a pixel more or less is then nothing
        assert across / up == pytest.approx(kept[0] / kept[1], rel=0.06)
    ImageReader(io.BytesIO(shown.jpeg)).getSize()  # ReportLab takes it
