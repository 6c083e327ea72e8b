"""Colour profiles: what a picture's numbers mean, put into sRGB."""

from __future__ import annotations

import io
import struct
from functools import cache

import numpy as np
from PIL import Image, ImageCms

from scout.media.photos.containers.parts import DECODER_ERRORS
from scout.values import Said, said

# x, y of red, green and blue; white is D65 in all three.
_ADOBE_RGB = (
    (0.64, 0.33),
    (0.21, 0.71),
    (0.15, 0.06),
)  # Adobe RGB (1998), version 2005-05, 4.3.1.1
_DISPLAY_P3 = ((0.680, 0.320), (0.265, 0.690), (0.150, 0.060))  # SMPTE EG 432-1
_D65, _D50 = (0.3127, 0.3290), (0.9642, 1.0, 0.8249)  # the second as ICC.1:2022 7.2.16 prints it
# Bradford cone responses, ICC.1:2022 annex E
_BRADFORD = np.array(
    [[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]]
)
_USELESS = said("photo.profile_useless")
_SPACES = {"RGB": "RGB", "GRAY": "L", "CMYK": "CMYK"}


@cache
def adobe_rgb() -> bytes:
    """Adobe RGB (1998), for photos that only name it."""
    return _matrix_profile(
        "Adobe RGB (1998) primaries", _ADOBE_RGB, struct.pack(">4sLLH", b"curv", 0, 1, 563)
    )


@cache
def display_p3() -> bytes:
    """Display P3 with the curve of sRGB (IEC 61966-2-1), for files that name it by number (ITU-T
    H.273 primaries 12).
    """
    curve = struct.pack(
        ">4sLHH5l",
        b"para",
        0,
        3,
        0,
        *(round(v * 65536) for v in (2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045)),
    )
    return _matrix_profile("Display P3 primaries", _DISPLAY_P3, curve)


def by_number(primaries: int, transfer: int, notes: list[Said]) -> bytes | None:
    """The profile for code points of ITU-T H.273, which newer files carry in place of one; None for
    those sRGB stands for.
    """
    if transfer in {16, 18}:
        notes.append(said("photo.high_range"))
        return None
    if primaries == 12:
        return display_p3()
    if primaries not in {0, 1, 2, 5, 6, 7}:
        notes.append(said("photo.colour_space", number=primaries))
    return None


def fault_of(icc: bytes) -> Said | None:
    """A sentence when the profile cannot be used, else None."""
    return None if _space(icc) else _USELESS


def to_srgb(image: Image.Image, icc: bytes | None, notes: list[Said]) -> Image.Image:
    """An RGB image of sRGB values from an RGB, L or CMYK one.

    Relative colorimetric, so that a colour both spaces hold stays the same colour: surface
        colours are picked from photos.
    """
    if icc is None:
        if image.mode == "CMYK":
            notes.append(said("photo.four_inks"))
        return image.convert("RGB")
    space = _space(icc)
    if space is None:
        notes.append(_USELESS)
        return image.convert("RGB")
    if space == "L" and image.mode == "RGB":
        image = image.convert("L")
    if space != image.mode:
        notes.append(said("photo.profile_other"))
        return image.convert("RGB")
    try:
        turned = ImageCms.profileToProfile(
            image,
            ImageCms.ImageCmsProfile(io.BytesIO(icc)),
            _srgb(),
            renderingIntent=ImageCms.Intent.RELATIVE_COLORIMETRIC,
            outputMode="RGB",
            flags=ImageCms.Flags.BLACKPOINTCOMPENSATION,
        )
    except (ImageCms.PyCMSError, *DECODER_ERRORS):
        turned = None
    if turned is None:
        notes.append(_USELESS)
        return image.convert("RGB")
    return turned


@cache
def _srgb() -> ImageCms.ImageCmsProfile:
    return ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB"))


def _space(icc: bytes) -> str | None:
    try:
        return _SPACES.get(ImageCms.ImageCmsProfile(io.BytesIO(icc)).profile.xcolor_space.strip())
    except (ImageCms.PyCMSError, *DECODER_ERRORS):
        return None


def _matrix_profile(title: str, primaries: tuple[tuple[float, float], ...], curve: bytes) -> bytes:
    """A version 4 display profile (ICC.1:2022): three primaries brought from D65 to D50, one curve
    for all.
    """

    def xyz(x: float, y: float) -> list[float]:
        return [x / y, 1.0, (1 - x - y) / y]

    white = np.array(xyz(*_D65))
    columns = np.array([xyz(*p) for p in primaries]).T
    columns = columns * np.linalg.solve(columns, white)
    adapt = (
        np.linalg.inv(_BRADFORD)
        @ np.diag((_BRADFORD @ np.array(_D50)) / (_BRADFORD @ white))
        @ _BRADFORD
    )
    columns = adapt @ columns

    def s15(values: object) -> bytes:
        return struct.pack(
            ">4sL3l", b"XYZ ", 0, *(round(float(v) * 65536) for v in np.asarray(values))
        )

    def text(words: str) -> bytes:
        raw = words.encode("utf-16-be")
        return struct.pack(">4sLLL2s2sLL", b"mluc", 0, 1, 12, b"en", b"US", len(raw), 28) + raw

    tags = {
        b"desc": text(title),
        b"cprt": text("CC0"),
        b"wtpt": s15(_D50),
        b"rTRC": curve,
        b"gTRC": curve,
        b"bTRC": curve,
    }
    tags |= {b"rXYZ": s15(columns[:, 0]), b"gXYZ": s15(columns[:, 1]), b"bXYZ": s15(columns[:, 2])}
    table, body, at = b"", b"", 132 + 12 * len(tags)
    for signature, raw in tags.items():
        table += struct.pack(">4sLL", signature, at + len(body), len(raw))
        body += raw + b"\0" * (-len(raw) % 4)
    head = struct.pack(
        ">L4sL4s4s4s6H4s",
        at + len(body),
        b"\0" * 4,
        0x04400000,
        b"mntr",
        b"RGB ",
        b"XYZ ",
        2026,
        1,
        1,
        0,
        0,
        0,
        b"acsp",
    )
    head += bytes(28) + struct.pack(">3l", *(round(v * 65536) for v in _D50)) + bytes(48)
    return head + struct.pack(">L", len(tags)) + table + body
