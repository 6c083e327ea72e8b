"""The picture itself: upright, in sRGB, on white, of the size asked for, with nothing in it but
pixels.
"""

from __future__ import annotations

import io
import math
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from PIL import Image, ImageDraw
from PIL.ImageFile import ImageFile
from PIL.JpegImagePlugin import JpegImageFile
from PIL.PngImagePlugin import PngImageFile
from PIL.TiffImagePlugin import TiffImageFile
from PIL.WebPImagePlugin import WebPImageFile

from scout.errors import Refused
from scout.media.photos.containers.heic import open_heic
from scout.media.photos.containers.parts import DECODER_ERRORS, Parts, check_size
from scout.media.photos.containers.profiles import adobe_rgb, to_srgb
from scout.media.photos.gate import GATE
from scout.media.photos.inside import SIDEWAYS, Inside, look_inside
from scout.media.photos.limits import DEFAULT, PhotoLimits
from scout.values import Name, Said, said

GREY = (128, 128, 128)
WHITE = (255, 255, 255)
_BAND_PX = 4_000_000

# The plugins are called by name and not through Image.open: the format is known, no other decoder
# gets near the bytes, and the
# size has been held against our own limit, where Image.open would print a warning of its own or
# stop at another.
_PLUGINS: dict[str, Callable[[io.BytesIO], ImageFile]] = {
    "JPEG": JpegImageFile,
    "PNG": PngImageFile,
    "TIFF": TiffImageFile,
    "WebP": WebPImageFile,
}

# What undoes each orientation (Exif 2.32, tag 0x0112, "the 0th row is at the ... of the image, the
# 0th column on the ...")
_UNDO = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}
_TURNS = {  # Pillow counts the other way round
    90: Image.Transpose.ROTATE_270,
    180: Image.Transpose.ROTATE_180,
    270: Image.Transpose.ROTATE_90,
}


@dataclass(frozen=True)
class Drawn:
    """image: RGB, sRGB, upright, no metadata; notes: plain sentences about what could not be shown
    as it is.
    """

    image: Image.Image
    notes: tuple[Said, ...]


def turned(image: Image.Image, clockwise_deg: int) -> Image.Image:
    """A picture by so many quarters clockwise."""
    turn = _TURNS.get(clockwise_deg)
    return image if turn is None else image.transpose(turn)


def upright(
    source: Path | bytes,
    *,
    longest_px: int | None = None,
    name: str = "",
    limits: PhotoLimits = DEFAULT,
) -> Image.Image:
    """The picture as `draw` makes it, without its sentences."""
    return draw(source, longest_px=longest_px, name=name, limits=limits).image


def draw(
    source: Path | bytes,
    *,
    longest_px: int | None = None,
    name: str = "",
    limits: PhotoLimits = DEFAULT,
) -> Drawn:
    """The picture upright, in sRGB, transparent parts on white, at most `longest_px` along its
    longer side (never enlarged).

    Raises: Refused("photo", ...) for what read_photo refuses and for what cannot be drawn (an
        incomplete HEIC, PNG that is
            interlaced, TIFF or WebP; damage the decoder stops at). Of an incomplete JPEG or PNG the
            missing part is grey.
    """
    if longest_px is not None and longest_px < 1:
        raise ValueError(f"longest_px {longest_px} is not a size")
    return draw_inside(look_inside(source, name, limits), longest_px=longest_px, limits=limits)


def draw_inside(
    inside: Inside, *, longest_px: int | None, limits: PhotoLimits, spare: float = 2.0
) -> Drawn:
    """As `draw`, for a file already opened; waits while too many pixels are being drawn.

    spare: so many times as fine as asked for a JPEG is decoded, at least, where the file is
    """
    with GATE.room_for(inside.parts.width_px * inside.parts.height_px):
        return _drawn(inside, longest_px, limits, spare)


def _drawn(inside: Inside, longest_px: int | None, limits: PhotoLimits, spare: float) -> Drawn:
    notes: list[Said] = []
    try:
        image = _decoded(inside, longest_px, limits, spare)
    except Refused:
        raise
    except DECODER_ERRORS as why:
        because = said("photo.damaged", format=Name(inside.parts.format))
        raise Refused("photo", inside.name, because) from why
    image = _fitted(_thinned(image, inside.name, longest_px), longest_px)
    image = _flat(image, _profile(inside, notes), notes)
    image = _grey_where_missing(image, inside.parts)
    if inside.orientation in _UNDO:
        image = image.transpose(_UNDO[inside.orientation])
    clean = Image.new("RGB", image.size)
    clean.paste(
        image
        # pixels only: the copy carries no info dictionary, so nothing can be saved with it by mistake
    )
    return Drawn(clean, tuple(notes))


def derivative_jpeg(
    source: Path | bytes,
    longest_px: int,
    quality: int = 85,
    *,
    turn_deg: int = 0,
    name: str = "",
    limits: PhotoLimits = DEFAULT,
) -> bytes:
    """The upright picture, turned further where it is asked for, as a JPEG without profile (sRGB),
    EXIF, position or thumbnail.
    """
    image = upright(source, longest_px=longest_px, name=name, limits=limits)
    return jpeg_bytes(turned(image, turn_deg), quality)


def draw_within(
    source: Path | bytes,
    box_px: tuple[int, int],
    *,
    turn_deg: int = 0,
    limits: PhotoLimits = DEFAULT,
) -> Image.Image:
    """The upright picture, turned further where it is asked for, as large as fits the box (never
    enlarged), for paper: a JPEG is decoded no finer than the box needs, at half the work. What that
    changes is less than what writing it as a JPEG does. Raises as `draw`.
    """
    inside = look_inside(source, "", limits)
    size = upright_size(inside.parts, inside.orientation)
    wide, high = size[::-1] if turn_deg % 180 else size
    scale = min(1.0, box_px[0] / wide, box_px[1] / high)
    longest_px = max(1, round(max(size) * scale))
    image = draw_inside(inside, longest_px=longest_px, limits=limits, spare=1.0).image
    return turned(image, turn_deg)


def jpeg_bytes(image: Image.Image, quality: int = 85) -> bytes:
    """An RGB image as JPEG bytes. Above quality 90 colour keeps its full resolution."""
    out = io.BytesIO()
    image.save(
        out,
        "JPEG",
        quality=quality,
        optimize=True,
        progressive=True,
        subsampling=0 if quality > 90 else 2,
    )
    return out.getvalue()


def blank(words: str) -> Image.Image:
    """A grey picture with a sentence on it, to stand where a picture cannot be drawn."""
    image = Image.new("RGB", (800, 600), (200, 200, 200))
    ImageDraw.Draw(image).text((400, 300), words, fill=(20, 20, 20), anchor="mm", font_size=24)
    return image


def _decoded(
    inside: Inside, longest_px: int | None, limits: PhotoLimits, spare: float
) -> Image.Image:
    pixels = inside.parts.pixels()
    if inside.parts.format == "HEIC":
        image: Image.Image = open_heic(pixels).to_pillow()
    else:
        file = _PLUGINS[inside.parts.format](io.BytesIO(pixels))
        check_size(inside.name, *file.size, limits)
        if longest_px is not None and isinstance(file, JpegImageFile):
            # Decode at 1/2, 1/4 or 1/8 where that is still enough: a quarter of the time and memory.
            scale = spare * longest_px / max(file.size)
            if scale < 1:
                file.draft(
                    file.mode, (math.ceil(file.width * scale), math.ceil(file.height * scale))
                )
        file.load()
        image = file
    check_size(inside.name, *image.size, limits)
    return image


def _thinned(image: Image.Image, name: str, longest_px: int | None) -> Image.Image:
    """Eight bits a sample, by a whole factor smaller while still twice what is asked for.

    Band by band of rows: at once, the sums over 100 million pixels of sixteen bits or of
        colours beside transparency take a gigabyte.
    """
    factor = 1 if longest_px is None else max(1, max(image.size) // (2 * longest_px))
    rows = max(1, _BAND_PX // (image.width * factor)) * factor
    if rows >= image.height and factor == 1:
        return _eight_bits(image, name)
    made: Image.Image | None = None
    for top in range(0, image.height, rows):
        band = _eight_bits(
            image.crop((0, top, image.width, min(top + rows, image.height))), name
        ).reduce(factor)
        if made is None:
            made = Image.new(band.mode, (band.width, -(-image.height // factor)))
        made.paste(band, (0, top // factor))
    assert made is not None  # a picture has a row at least
    return made


def _eight_bits(image: Image.Image, name: str) -> Image.Image:
    """L, RGB, CMYK, LA or RGBA from whatever mode the file has. Sixteen bits are scaled: a plain
    conversion would cut them to white.
    """
    if image.mode.startswith("I;16"):
        return Image.fromarray(_scaled(np.asarray(image)))
    if image.mode == "I":
        values = np.asarray(image)
        if values.size and (values.min() < 0 or values.max() > 65535):
            raise Refused(
                "photo",
                name,
                said("photo.bits_32"),
            )
        return Image.fromarray(_scaled(values))
    if image.mode == "F":
        light = np.asarray(image)
        if not np.isfinite(light).all() or light.min() < 0 or light.max() > 1:
            because = said("photo.floats")
            raise Refused("photo", name, because)
        return Image.fromarray(np.round(light * 255).astype(np.uint8))
    if image.mode in {"L", "RGB", "CMYK", "LA", "RGBA"} and "transparency" not in image.info:
        return image
    if image.mode == "1":
        return image.convert("L")
    if "transparency" in image.info or image.mode in {"PA", "La", "RGBa"}:
        return image.convert("RGBA")
    return image.convert("RGB")


def _scaled(
    values: np.ndarray[tuple[int, ...], np.dtype[np.generic]],
) -> np.ndarray[tuple[int, ...], np.dtype[np.uint8]]:
    return ((values.astype(np.uint32) * 255 + 32767) // 65535).astype(np.uint8)


def _fitted(image: Image.Image, longest_px: int | None) -> Image.Image:
    longest = max(image.size)
    if longest_px is None or longest <= longest_px:
        return image
    size = (
        max(1, round(image.width * longest_px / longest)),
        max(1, round(image.height * longest_px / longest)),
    )
    return image.resize(size, Image.Resampling.LANCZOS)


def _profile(inside: Inside, notes: list[Said]) -> bytes | None:
    """The profile inside the file, or the colour space its tags name where there is none."""
    if inside.parts.icc is None and inside.exif is not None and inside.exif.adobe_rgb:
        notes.append(said("photo.adobe_rgb"))
        return adobe_rgb()
    return inside.parts.icc


def _flat(image: Image.Image, icc: bytes | None, notes: list[Said]) -> Image.Image:
    """sRGB without transparency: colours first, then white behind what is transparent."""
    if image.mode not in {"LA", "RGBA"}:
        return to_srgb(image, icc, notes)
    opaque = image.getchannel("A")
    colours = to_srgb(image.convert("L" if image.mode == "LA" else "RGB"), icc, notes)
    paper = Image.new("RGB", image.size, WHITE)
    paper.paste(colours, mask=opaque)
    return paper


def _grey_where_missing(image: Image.Image, parts: Parts) -> Image.Image:
    if parts.rows_present is not None:
        image.paste(
            GREY,
            (0, parts.rows_present * image.height // parts.height_px, image.width, image.height),
        )
    return image


def upright_size(parts: Parts, orientation: int) -> tuple[int, int]:
    """Width and height of the picture once turned."""
    return (
        (parts.height_px, parts.width_px)
        if orientation in SIDEWAYS
        else (parts.width_px, parts.height_px)
    )
