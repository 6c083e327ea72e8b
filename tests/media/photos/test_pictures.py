"""The picture drawn from a photo: upright, sRGB, on white, and without anything of its file."""

from __future__ import annotations

import io
import struct
import tracemalloc
import warnings

import numpy as np
import pytest
from PIL import Image, ImageChops, ImageCms, ImageDraw, ImageStat

from scout.errors import Refused
from scout.media.photos.containers.profiles import adobe_rgb, display_p3
from scout.media.photos.limits import PhotoLimits
from scout.media.photos.photos import read_photo
from scout.media.photos.pictures import derivative_jpeg, draw, draw_within, upright
from tests.media.photos.drawn import (
    assert_upright,
    chunk,
    corners,
    degrees,
    exif,
    heic,
    jpeg,
    png_chunks,
    saved,
    short,
    stored,
    taken,
    text,
    tiff,
)

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # it grumbles about plotting libraries it does without
    import colour

POSITION = [text(1, "N"), degrees(2, 52, 12, 3600), text(3, "E"), degrees(4, 0, 7, 1200)]


@pytest.mark.parametrize("orientation", range(1, 9))
def test_every_orientation_is_undone_once_in_every_container(orientation: int) -> None:
    block = exif([short(0x0112, orientation)])
    turned = stored(orientation)
    files = [
        jpeg(turned, block),
        saved("PNG", turned, exif=b"Exif\0\0" + block),
        saved("WEBP", turned, lossless=True, exif=b"Exif\0\0" + block),
        tiff(
            turned, [short(0x0112, orientation)]
        ),  # Pillow turns a TIFF itself when it is loaded whole
        heic(turned, block),  # the container turns it; its EXIF block still says so
    ]
    for data in files:
        image = upright(data)
        assert image.size == (640, 480) == (read_photo(data).width_px, read_photo(data).height_px)
        assert_upright(image)


def test_size_asked_for_is_the_longer_side_and_never_enlarges() -> None:
    data = jpeg(stored(6), exif([short(0x0112, 6)]))
    small = upright(data, longest_px=160)
    assert small.size == (160, 120)
    assert_upright(small, inset=5)
    assert upright(data, longest_px=5000).size == (640, 480)
    assert upright(saved("PNG", Image.new("RGB", (3000, 2))), longest_px=100).size == (100, 1)
    large = upright(jpeg(corners(3200, 2400)), longest_px=400)  # decoded at half size first
    assert large.size == (400, 300)
    assert_upright(large)
    with pytest.raises(ValueError, match="longest_px"):
        upright(data, longest_px=0)


@pytest.mark.parametrize("box", [(748, 748), (382, 286), (1000, 600), (250, 750)])
def test_a_picture_for_paper_is_as_good_as_from_every_pixel(box: tuple[int, int]) -> None:
    # property: what decoding no finer than the box loses is less than what JPEG at 82 then does.
    # Source: Pillow's Lanczos filter on the whole picture as the reference.
    whole = Image.effect_mandelbrot((2000, 1500), (-2.2, -1.1, 0.8, 1.1), 90).convert("RGB")
    whole.paste(Image.radial_gradient("L").convert("RGB"), (60, 900))
    ImageDraw.Draw(whole).text((300, 200), "SILL 3.40", fill=(200, 20, 20), font_size=120)
    data = io.BytesIO()
    whole.save(data, "JPEG", quality=92)
    made = draw_within(data.getvalue(), box)
    reference = Image.open(data).resize(made.size, Image.Resampling.LANCZOS)
    written = io.BytesIO()
    reference.save(written, "JPEG", quality=82)
    assert min(b - a for a, b in zip(made.size, box, strict=True)) == 0
    loss = ImageStat.Stat(ImageChops.difference(made, reference)).rms
    paper = ImageStat.Stat(ImageChops.difference(Image.open(written), reference)).rms
    assert all(a < b for a, b in zip(loss, paper, strict=True)), (loss, paper)


def test_a_box_is_for_the_picture_as_it_stands() -> None:
    data = jpeg(stored(6), exif([short(0x0112, 6)]))  # 640 by 480 when upright
    small, as_it_is = draw_within(data, (160, 60)), draw_within(data, (5000, 5000))
    left = draw_within(data, (160, 60), turn_deg=270)
    assert (small.size, left.size, as_it_is.size) == ((80, 60), (45, 60), (640, 480))
    assert_upright(as_it_is)


def test_derivative_holds_pixels_only() -> None:
    block = exif([short(0x0112, 6)], taken("2026:05:03 10:40:00"), POSITION)
    icc = display_p3()
    data = derivative_jpeg(
        jpeg(stored(6), block, icc_profile=icc, xmp=b"<secret/>", comment=b"secret"), 320, 80
    )
    for mark in (b"Exif", b"ICC_PROFILE", b"http", b"secret", b"GPS"):
        assert mark not in data
    with Image.open(io.BytesIO(data)) as image:
        assert (image.size, image.mode, dict(image.getexif())) == ((320, 240), "RGB", {})
    assert read_photo(data).latitude_deg is None
    assert set(upright(jpeg(block=block)).info) == set()


def test_display_p3_red_becomes_srgb_red() -> None:
    # (234, 51, 35) in Display P3 is pure sRGB red: colour-science 0.4, RGB_to_RGB, checked here.
    p3 = colour.RGB_COLOURSPACES["Display P3"]
    srgb = colour.RGB_COLOURSPACES["sRGB"]
    seen = (
        colour.RGB_to_RGB(
            np.array([234, 51, 35]) / 255,
            p3,
            srgb,
            apply_cctf_decoding=True,
            apply_cctf_encoding=True,
        )
        * 255
    )
    assert np.clip(seen, 0, 255) == pytest.approx([255, 0, 0], abs=3)
    plain = Image.new("RGB", (64, 48), (234, 51, 35))
    for data in (
        jpeg(plain, icc_profile=display_p3()),
        saved("PNG", plain, icc_profile=display_p3()),
        saved("TIFF", plain, icc_profile=display_p3()),
    ):
        pixels = np.asarray(upright(data)).astype(int)
        assert np.abs(pixels - [255, 0, 0]).max() <= 3
    assert np.asarray(upright(jpeg(plain)))[0, 0] == pytest.approx([234, 51, 35], abs=2)


def test_display_p3_named_by_number_alone() -> None:
    # ITU-T H.273: primaries 12 are Display P3, transfer 13 is the sRGB curve, full range; PNG third
    # edition, cICP
    row = b"\0" + bytes((234, 51, 35)) * 8
    data = png_chunks(8, 8, 8, 2, row * 8, chunk(b"cICP", bytes((12, 13, 0, 1))))
    assert np.asarray(upright(data))[0, 0] == pytest.approx([255, 0, 0], abs=3)
    hdr = png_chunks(8, 8, 8, 2, row * 8, chunk(b"cICP", bytes((9, 16, 0, 1))))
    assert any("high dynamic range" in sentence for sentence in map(str, read_photo(hdr).warnings))


@pytest.mark.parametrize(
    ("profile", "space"), [(adobe_rgb, "Adobe RGB (1998)"), (display_p3, "Display P3")]
)
def test_our_profiles_agree_with_colour_science(profile: object, space: str) -> None:
    assert callable(profile)
    given = np.array(
        [[200, 150, 100], [60, 90, 120], [128, 128, 128], [250, 245, 240]], dtype=np.uint8
    )
    ours = np.asarray(upright(saved("PNG", Image.fromarray(given[None]), icc_profile=profile())))[0]
    theirs = colour.RGB_to_RGB(
        given / 255,
        colour.RGB_COLOURSPACES[space],
        colour.RGB_COLOURSPACES["sRGB"],
        apply_cctf_decoding=True,
        apply_cctf_encoding=True,
    )
    assert ours == pytest.approx(np.clip(theirs * 255, 0, 255), abs=1.5)


def test_adobe_rgb_named_by_the_interoperability_mark_alone() -> None:
    # DCF 2.0: interoperability index "R03" is the optional colour space. The directory is laid
    # behind the block by hand.
    block = exif([], [(0xA005, 4, 1, struct.pack("<L", 0))])
    block = block.replace(
        struct.pack("<HHLL", 0xA005, 4, 1, 0), struct.pack("<HHLL", 0xA005, 4, 1, len(block))
    )
    block += struct.pack("<HHHL", 1, 1, 2, 4) + b"R03\0" + bytes(4)
    drawn = draw(jpeg(Image.new("RGB", (16, 16), (200, 150, 100)), block))
    seen = colour.RGB_to_RGB(
        np.array([200, 150, 100]) / 255,
        colour.RGB_COLOURSPACES["Adobe RGB (1998)"],
        colour.RGB_COLOURSPACES["sRGB"],
        apply_cctf_decoding=True,
        apply_cctf_encoding=True,
    )
    assert drawn.image.getpixel((8, 8)) == pytest.approx(tuple(seen * 255), abs=3)
    assert "Adobe RGB" in str(drawn.notes[0])


def test_profile_that_is_junk_or_of_another_kind_is_said_and_the_picture_shown() -> None:
    junk = jpeg(icc_profile=b"not a profile at all" * 20)
    assert any(
        "colour profile was not used" in sentence
        for sentence in map(str, read_photo(junk).warnings)
    )
    drawn = draw(junk)
    assert_upright(drawn.image)
    assert "colour profile was not used" in str(drawn.notes[0])
    lab = ImageCms.ImageCmsProfile(ImageCms.createProfile("LAB")).tobytes()
    assert any(
        "colour profile was not used" in sentence
        for sentence in map(str, read_photo(jpeg(icc_profile=lab)).warnings)
    )
    four_inks = draw(jpeg(corners().convert("CMYK"), icc_profile=display_p3()))
    assert "another kind of picture" in str(four_inks.notes[0])


def test_four_inks_are_shown_as_rgb() -> None:
    drawn = draw(jpeg(corners().convert("CMYK")))
    assert drawn.image.mode == "RGB"
    assert_upright(drawn.image, tolerance=20)
    assert "approximate" in str(drawn.notes[0])


def test_sixteen_bits_are_scaled_not_cut() -> None:
    ramp = np.tile(np.round(np.linspace(0, 65535, 640)).astype(np.uint16), (480, 1))
    for data in (
        saved("PNG", Image.fromarray(ramp)),
        saved("TIFF", Image.fromarray(ramp)),
        saved("TIFF", Image.fromarray(ramp.astype(">u2"))),
    ):
        image = upright(data)
        levels = [image.getpixel((x, 240)) for x in (0, 320, 639)]
        # by hand: 320/639 x 255 = 127.7
        assert levels[0] == (0, 0, 0)
        assert levels[1] == pytest.approx((128, 128, 128), abs=3)
        assert levels[2] == (255, 255, 255)


def test_sixteen_bit_colour_keeps_its_levels() -> None:
    row = b"\0" + struct.pack(">3H", 220 * 257, 30 * 257, 30 * 257) * 16
    assert upright(png_chunks(16, 16, 16, 2, row * 16)).getpixel((8, 8)) == (220, 30, 30)


def test_samples_whose_white_cannot_be_known_are_refused() -> None:
    assert upright(saved("TIFF", Image.new("F", (8, 8), 0.5))).getpixel((4, 4)) == (128, 128, 128)
    for image in (
        Image.new("F", (8, 8), 7.5),
        Image.new("F", (8, 8), float("nan")),
        Image.new("I", (8, 8), 1_000_000),
    ):
        with pytest.raises(Refused, match="white cannot be known"):
            upright(saved("TIFF", image))


@pytest.mark.parametrize("kind", ["TIFF", "PNG", "WEBP"])
def test_transparent_is_white_not_black(kind: str) -> None:
    image = Image.new("RGBA", (640, 480), (0, 0, 0, 0))
    for x, y in ((0, 0), (480, 0), (0, 360), (480, 360)):
        image.paste(corners().crop((x, y, x + 160, y + 120)), (x, y))
    for longest_px in (None, 320):
        seen = upright(
            saved(kind, image, **({"lossless": True} if kind == "WEBP" else {})),
            longest_px=longest_px,
        )
        assert seen.getpixel((seen.width // 2, seen.height // 2)) == (255, 255, 255)
        assert_upright(seen, inset=10)


def test_palette_one_bit_and_grey_with_alpha() -> None:
    palette = corners().quantize(8)
    assert_upright(upright(saved("PNG", palette)))
    assert upright(saved("PNG", palette, transparency=palette.getpixel((320, 240)))).getpixel(
        (320, 240)
    ) == (255, 255, 255)
    assert upright(saved("PNG", Image.new("1", (8, 8), 1))).getpixel((4, 4)) == (255, 255, 255)
    assert upright(saved("PNG", Image.new("LA", (8, 8), (0, 0)))).getpixel((4, 4)) == (
        255,
        255,
        255,
    )
    grey = Image.new("L", (8, 8), 77)
    grey_key = upright(saved("PNG", grey, transparency=77))
    assert grey_key.getpixel((4, 4)) == (255, 255, 255)


def test_first_frame_of_a_moving_picture() -> None:
    second = corners().transpose(Image.Transpose.ROTATE_180)
    for kind in ("WEBP", "PNG", "TIFF"):
        data = saved(
            kind,
            save_all=True,
            append_images=[second],
            **({} if kind == "TIFF" else {"duration": 200}),
        )
        assert (read_photo(data).width_px, read_photo(data).height_px) == (640, 480)
        assert_upright(upright(data))


def test_two_pictures_in_one_jpeg_show_the_first() -> None:
    block = b"Exif\0\0" + exif([short(0x0112, 8)])
    data = saved(
        "MPO", stored(8), save_all=True, append_images=[Image.new("RGB", (160, 120))], exif=block
    )
    image = upright(data)
    assert image.size == (640, 480)
    assert_upright(image)


@pytest.mark.parametrize("progressive", [False, True])
def test_truncated_jpeg_is_said_and_its_missing_part_grey(progressive: bool) -> None:
    noisy = corners(1600, 1200)
    whole = jpeg(
        noisy, exif([short(0x0112, 1)], taken("2026:05:03 10:46:00")), progressive=progressive
    )
    for cut in (
        whole[: len(whole) // 2],
        whole[: len(whole) // 2] + bytes(len(whole) // 2),
    ):  # stopped; or stopped and padded with zeros
        found = read_photo(cut, name="half.jpg")
        assert (found.width_px, found.height_px, found.complete, found.taken_at) == (
            1600,
            1200,
            False,
            "2026-05-03T10:46:00",
        )
        assert any("incomplete" in sentence for sentence in map(str, found.warnings))
        image = upright(cut)
        assert image.size == (1600, 1200)
        if not progressive:
            assert image.getpixel((20, 20)) == pytest.approx((220, 30, 30), abs=12)
            assert image.getpixel((800, 1190)) == (128, 128, 128)
    assert read_photo(whole).complete


def test_truncated_png_is_said_and_its_missing_rows_grey() -> None:
    noise = np.random.default_rng(7).integers(
        0, 256, (480, 640, 3), dtype=np.uint8
    )  # so that half the bytes are half the rows
    for image, options in (
        (Image.fromarray(noise), {}),
        (Image.fromarray(noise).quantize(64), {}),
        (Image.fromarray(noise).convert("LA"), {}),
    ):
        whole = saved("PNG", image, **options)
        cut = whole[: len(whole) // 2]
        found = read_photo(cut)
        assert not found.complete
        assert any(
            "incomplete" in sentence and "of 480 rows" in sentence
            for sentence in map(str, found.warnings)
        )
        seen, full = np.asarray(upright(cut)), np.asarray(upright(whole))
        assert (seen[300:] == 128).all()
        assert (seen[:150] == full[:150]).all()
    small = upright(cut, longest_px=64)
    assert small.getpixel((32, 40)) == (128, 128, 128)


def test_incomplete_files_that_cannot_be_drawn_say_so() -> None:
    noise = Image.fromarray(
        np.random.default_rng(7).integers(0, 256, (240, 320, 3), dtype=np.uint8)
    )
    for whole in (saved("WEBP", noise), tiff(noise), heic(noise)):
        assert read_photo(whole).complete
        for cut in (whole[: len(whole) * 2 // 3], whole[:-10]):
            with pytest.raises(Refused, match="incomplete"):
                upright(cut)
    found = read_photo(tiff(noise)[:-1000], name="half.tif")
    assert not found.complete
    assert any("incomplete" in sentence for sentence in map(str, found.warnings))


def test_a_picture_just_under_the_limit_of_pixels_draws_without_a_warning() -> None:
    # property: our own limit decides, not the library's 89 million, which warns (and warnings are
    # errors here)
    row = b"\0" * (9501 // 8 + 2)
    data = png_chunks(9501, 9500, 1, 0, row * 9500)
    assert upright(data, longest_px=100, limits=PhotoLimits(max_pixels=95_000_000)).size == (
        100,
        100,
    )


@pytest.mark.parametrize("mode", ["I;16", "F", "RGBA", "P", "1", "L"])
def test_a_large_picture_made_small_band_by_band_shows_what_one_made_at_once_does(
    mode: str,
) -> None:
    across = np.linspace(0, 65535, 2300).astype(np.uint16)
    ramp = Image.fromarray(np.tile(across, (2400, 1)))
    if mode == "F":
        ramp = Image.fromarray((np.asarray(ramp) / 65535).astype(np.float32))
    elif mode != "I;16":
        ramp = Image.fromarray((np.asarray(ramp) // 257).astype(np.uint8)).convert(mode)
    data = saved("TIFF" if mode == "F" else "PNG", ramp)
    small, whole = draw(data, longest_px=240).image, draw(data).image
    assert (small.size, whole.size) == ((230, 240), (2300, 2400))
    want = np.asarray(whole.resize(small.size, Image.Resampling.BOX)).astype(int)
    assert (
        np.abs(np.asarray(small).astype(int) - want).mean() < 3
    )  # property: the way to the small picture does not change what it shows


def test_sixteen_bits_of_a_large_picture_are_scaled_in_little_memory() -> None:
    data = saved("PNG", Image.new("I;16", (5000, 5000), 40_000))
    tracemalloc.start()
    image = upright(data, longest_px=500)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert image.getpixel((250, 250)) == (156, 156, 156)  # by hand: 40000 * 255 / 65535 = 155.6
    assert (
        peak < 60_000_000
    )  # 25 million pixels at once in 32 bits would take 100 MB and as much again for the product
