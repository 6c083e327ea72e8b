"""What is no photo, or too much of one, is refused in one sentence that says what would do; junk
never does worse.
"""

from __future__ import annotations

import contextlib
import io
import os
import struct
import time
import tracemalloc
import zlib
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image

from scout.errors import Refused
from scout.media.photos.limits import PhotoLimits
from scout.media.photos.photos import read_photo
from scout.media.photos.pictures import draw
from tests.media.photos.drawn import (
    chunk,
    corners,
    degrees,
    exif,
    heic,
    jpeg,
    png_chunks,
    ratio,
    saved,
    short,
    taken,
    text,
    tiff,
    xmp,
)


@pytest.mark.parametrize(
    ("data", "called"),
    [
        (b"", "empty (0 bytes)"),
        (b"Call the caretaker at nine.\n", "a text file"),
        (b"\xff\xd8", "no picture of a known kind"),
        ("Zażółć gęślą jaźń".encode() * 300, "a text file"),
        (b"<!DOCTYPE html><html><body>404</body></html>", "a web page (HTML)"),
        (b"\n<html>", "a web page (HTML)"),
        (b"%PDF-1.7\n", "a PDF document"),
        (b"<?xml version='1.0'?><svg xmlns='http://www.w3.org/2000/svg'/>", "an SVG drawing"),
        (saved("GIF"), "a GIF picture"),
        (saved("BMP"), "a BMP picture"),
        (b"\0\0\0\x1cftypavif\0\0\0\0avifmif1miaf", "an AVIF picture"),
        (b"\0\0\0\x18ftypmp42\0\0\0\0mp42isom", "a film or sound file"),
        (b"\0\0\0\x18ftypcrx \0\0\0\x01crx isom", "a camera raw file"),
        (b"II*\0\x10\0\0\0CR\x02\0" + bytes(100), "a camera raw file"),
        (tiff(corners(64, 48), [(50706, 1, 4, b"\1\4\0\0")]), "a camera raw file"),
        (b"RIFF\x24\0\0\0WAVEfmt ", "a sound recording"),
        (b"PK\x03\x04" + bytes(30), "a ZIP archive"),
        (bytes(5000), "nothing but zero bytes"),
        (b"\x93\x01\x17\xc5\x44\xb5\x93\x01", "no picture of a known kind"),
    ],
)
def test_no_photo_is_refused_by_what_it_is(data: bytes, called: str) -> None:
    with pytest.raises(Refused) as refusal:
        read_photo(data, name="room.jpg")
    assert called in str(refusal.value)
    assert refusal.value.path == "photo"
    assert refusal.value.given == "room.jpg"
    for accepted in ("JPEG", "HEIC", "PNG", "TIFF", "WebP"):
        assert accepted in str(refusal.value)


@pytest.mark.parametrize(
    "data",
    [
        jpeg()[:200],
        b"\xff\xd8\xff",
        b"\xff\xd8\xff\xe0\0\x10JFIF",
        saved("PNG")[:8],
        saved("PNG")[:33],
        saved("WEBP")[:20],
        b"RIFF\x04\0\0\0WEBP",
        b"II*\0\xff\xff\xff\xff",
        b"MM\0*\0\0\0\x08",
        heic(corners(64, 48))[:100],
    ],
)
def test_only_a_beginning_is_refused(data: bytes) -> None:
    with pytest.raises(Refused, match=r"nothing of it can be shown|incomplete"):
        read_photo(data, name="beginning")


def test_144_million_pixels_in_17_kb_are_refused_before_decoding() -> None:
    row = b"\0" * (12000 // 8 + 1)
    data = png_chunks(12000, 12000, 1, 0, row * 12000)
    assert len(data) < 20_000
    tracemalloc.start()
    began = time.process_time()
    for read in (read_photo, draw):
        with pytest.raises(
            Refused, match=r"12000 x 12000 pixels, 144 million; the limit is 100 million pixels"
        ):
            read(data, name="flat.png")
    assert time.process_time() - began < 0.5
    assert tracemalloc.get_traced_memory()[1] < 5_000_000
    tracemalloc.stop()


def test_size_limits_hold_in_every_container() -> None:
    small = PhotoLimits(max_pixels=100_000)
    for data in (jpeg(), saved("PNG"), saved("WEBP"), tiff(corners()), heic(corners())):
        with pytest.raises(
            Refused, match=r"640 x 480 pixels, 0\.3072 million; the limit is 0\.1 million"
        ):
            read_photo(data, limits=small)


def test_webp_has_a_limit_of_its_own() -> None:
    # RFC 9649, VP8X: the canvas minus one in 24 bits each; 6000 x 6000 is 36 million
    canvas = b"\0\0\0\0" + (5999).to_bytes(3, "little") * 2
    body = b"WEBPVP8X" + struct.pack("<I", len(canvas)) + canvas
    with pytest.raises(
        Refused, match=r"6000 x 6000 pixels, 36 million; the limit for a WebP is 30 million pixels"
    ):
        read_photo(b"RIFF" + struct.pack("<I", len(body)) + body)


def test_no_size_at_all_is_refused() -> None:
    with pytest.raises(Refused, match="0 x 8"):
        read_photo(png_chunks(0, 8, 8, 0, b"\0" * 8))


def test_file_over_the_limit_is_refused_with_the_limit_named_without_being_read(
    tmp_path: Path,
) -> None:
    path = tmp_path / "large.jpg"
    with path.open("wb") as file:
        file.truncate(214_300_000)  # a hole: takes no disk
    began = time.process_time()
    with pytest.raises(Refused, match=r"large\.jpg is 214\.3 MB; the limit for a photo is 100 MB"):
        read_photo(path)
    assert time.process_time() - began < 0.1
    with pytest.raises(Refused, match=r"limit for a photo is 0\.001 MB"):
        read_photo(jpeg(), limits=PhotoLimits(max_bytes=1000))


def test_what_is_no_file_is_refused(tmp_path: Path) -> None:
    with pytest.raises(Refused, match="is not there"):
        read_photo(tmp_path / "none.jpg")
    with pytest.raises(Refused, match="is not a file"):
        read_photo(tmp_path)
    pipe = tmp_path / "pipe.jpg"
    os.mkfifo(pipe)
    with pytest.raises(Refused, match="is not a file"):
        read_photo(pipe)


def test_bombs_in_the_metadata_are_left_out_and_said() -> None:
    zeros = zlib.compress(bytes(50_000_000), 9)
    row = b"\0" + bytes((220, 30, 30)) * 8
    data = png_chunks(
        8,
        8,
        8,
        2,
        row * 8,
        chunk(b"iCCP", b"bomb\0\0" + zeros),
        chunk(b"iTXt", b"XML:com.adobe.xmp\0\1\0\0\0" + zeros),
        chunk(b"zTXt", b"Comment\0\0" + zeros),
        chunk(b"zTXt", b"Raw profile type exif\0\0" + zeros),
    )
    tracemalloc.start()
    found = read_photo(data)
    assert tracemalloc.get_traced_memory()[1] < 40_000_000
    tracemalloc.stop()
    for what in ("colour profile", "XMP packet", "old-fashioned EXIF"):
        assert any(
            what in sentence and "not read" in sentence for sentence in map(str, found.warnings)
        )
    assert draw(data).image.getpixel((4, 4)) == (220, 30, 30)
    big = read_photo(
        jpeg(block=exif([text(0x010E, "x" * 60_000)])), limits=PhotoLimits(max_exif_bytes=1000)
    )
    assert any("EXIF block was not read" in sentence for sentence in map(str, big.warnings))


def test_old_exif_text_of_image_converters_is_read() -> None:
    block = b"Exif\0\0" + exif([], taken("2026:05:03 10:40:00"))
    packed = zlib.compress(b"\nexif\n%8d\n" % len(block) + block.hex().encode() + b"\n")
    data = png_chunks(8, 8, 8, 0, b"\0" * 72, chunk(b"zTXt", b"Raw profile type exif\0\0" + packed))
    assert read_photo(data).taken_at == "2026-05-03T10:40:00"


def test_jpeg_in_thousands_of_passes_is_refused() -> None:
    whole = jpeg(progressive=True)
    at = whole.rindex(b"\xff\xda")
    data = whole[:at] + whole[at:-2] * 3000 + whole[-2:]
    began = time.process_time()
    with pytest.raises(Refused, match="100 passes"):
        read_photo(data)
    assert time.process_time() - began < 0.5


def test_passes_over_many_pixels_are_refused_before_decoding() -> None:
    whole = jpeg(progressive=True)  # 640 x 480 = 0.3 million pixels in ten passes or so
    with pytest.raises(Refused, match=r"passes over 0\.3072 million pixels"):
        draw(whole, limits=PhotoLimits(max_pass_pixels=1_000_000))
    assert draw(whole).image.size == (640, 480)


def test_kinds_of_jpeg_no_decoder_here_reads() -> None:
    data = jpeg()
    lossless = data.replace(b"\xff\xc0\0\x11\x08", b"\xff\xc3\0\x11\x08")
    twelve_bits = data.replace(b"\xff\xc0\0\x11\x08", b"\xff\xc1\0\x11\x0c")
    for other in (lossless, twelve_bits):
        with pytest.raises(Refused, match="not read here"):
            read_photo(other)


def test_chains_of_directories_and_pieces_without_end() -> None:
    began = time.process_time()
    loop = (
        b"II*\0\x08\0\0\0"
        + struct.pack("<H", 1)
        + struct.pack("<HHLL", 0x8769, 4, 1, 8)
        + struct.pack("<L", 8)
    )
    found = read_photo(jpeg(block=loop))  # the camera directory is the first directory again
    assert found.taken_at is None
    pieces = (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", struct.pack(">LLBBBBB", 8, 8, 8, 0, 0, 0, 0))
        + chunk(b"tEXt", b"") * 250_000
    )
    with pytest.raises(Refused, match="200,000 pieces"):
        read_photo(pieces)
    many = b"II*\0\x08\0\0\0" + b"\xff\xff" + struct.pack("<HHLL", 1, 4, 1, 0) * 70_000
    assert read_photo(jpeg(block=None, exif=b"Exif\0\0" + many[:60_000])).taken_at is None
    assert time.process_time() - began < 3


def _samples() -> list[bytes]:
    gps = [
        text(1, "N"),
        degrees(2, 52, 12, 3600),
        text(3, "E"),
        degrees(4, 0, 7, 1200),
        ratio(6, (35, 10)),
        text(16, "M"),
        ratio(17, (9, 1)),
    ]
    block = exif(
        [short(0x0112, 6), text(0x010F, "Acme")],
        taken("2026:05:03 10:40:00", text(0x9291, "12"), text(0x9011, "+01:00")),
        gps,
    )
    packet = xmp(
        'exif:DateTimeOriginal="2026-05-03T10:47:00+01:00" exif:GPSLatitude="52,12.6N" exif:GPSLongitude="0,7.2E"'
    )
    small = corners(64, 48)
    mark = b"Exif\0\0"
    return [
        jpeg(small, block, xmp=packet),
        jpeg(small, block, progressive=True),
        saved("PNG", small, exif=mark + block),
        saved("PNG", small.quantize(8)),
        saved("WEBP", small, exif=mark + block, xmp=packet),
        saved("WEBP", small, save_all=True, append_images=[Image.new("RGB", (64, 48))]),
        tiff(small, [short(0x0112, 6)], taken("2026:05:03 10:40:00"), gps),
        saved("TIFF", small, compression="tiff_lzw"),
        heic(small, block),
    ]


SAMPLES = _samples()
BEGINNINGS = [
    b"\xff\xd8\xff\xe1",
    b"\x89PNG\r\n\x1a\n",
    b"RIFF\xff\0\0\0WEBP",
    b"II*\0",
    b"MM\0*",
    b"\0\0\0\x18ftypheic",
    b"",
]


def _survives(data: bytes) -> None:
    """property: facts and picture, or a refusal, in well under two seconds, whatever the bytes."""
    began = time.process_time()
    try:
        found = read_photo(data, name="junk.jpg")
        assert found.width_px > 0
        assert found.latitude_deg is None or -90 <= found.latitude_deg <= 90
        assert found.bearing_deg is None or 0 <= found.bearing_deg < 360
    except Refused:
        pass
    with contextlib.suppress(Refused):
        assert (
            max(
                draw(
                    data, longest_px=64, name="junk.jpg", limits=PhotoLimits(max_pixels=4_000_000)
                ).image.size
            )
            <= 64
        )
    assert time.process_time() - began < 2


@settings(
    max_examples=400, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow]
)
@given(
    st.sampled_from(SAMPLES),
    st.lists(st.tuples(st.integers(0, 1 << 20), st.integers(0, 255)), min_size=1, max_size=12),
    st.data(),
)
def test_flipped_bytes_never_raise_anything_but_a_refusal(
    sample: bytes, flips: list[tuple[int, int]], data: st.DataObject
) -> None:
    broken = bytearray(sample)
    reach = data.draw(
        st.sampled_from([64, 400, len(sample)])
    )  # headers and metadata more often than pixels
    for at, value in flips:
        broken[at % min(reach, len(broken))] = value
    _survives(bytes(broken))


@settings(
    max_examples=150, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow]
)
@given(st.sampled_from(SAMPLES), st.floats(0, 1))
def test_truncation_never_raises_anything_but_a_refusal(sample: bytes, part: float) -> None:
    _survives(sample[: int(len(sample) * part)])


@settings(max_examples=150, deadline=None, derandomize=True)
@given(st.sampled_from(BEGINNINGS), st.binary(max_size=600))
def test_junk_behind_a_good_beginning(beginning: bytes, junk: bytes) -> None:
    _survives(beginning + junk)


@settings(max_examples=150, deadline=None, derandomize=True)
@given(st.binary(max_size=400))
def test_junk_as_an_exif_block(junk: bytes) -> None:
    _survives(jpeg(corners(16, 16), b"II*\0\x08\0\0\0" + junk))


def test_reading_leaves_the_bytes_alone() -> None:
    for sample in SAMPLES:
        before = bytes(sample)
        read_photo(sample)
        draw(sample)
        assert sample == before
    assert io.BytesIO(SAMPLES[0]).read() == SAMPLES[0]
