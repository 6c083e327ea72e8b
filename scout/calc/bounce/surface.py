"""The reflectance spectrum of a surface from what was recorded of its colour: hex code, reader,
spectrum, or level alone.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike

from scout.calc.bounce.difference import D50_WHITE, D65_WHITE, bradford, xyz_of_lab
from scout.calc.bounce.reconstruct import reflectance_of_xyz
from scout.calc.bounce.spectra import NM, d65, on_grid, reflected_share, resampled, xyz
from scout.calc.geometry import FloatArray, require
from scout.errors import OutOfRange
from scout.values import Figure, Said, said

SRGB_TO_XYZ: FloatArray = np.array(
    [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]]
)  # IEC 61966-2-1
LEAST_LINEAR, MOST_LINEAR = (
    0.002,
    0.95,
)  # pure black and pure white have no smooth spectrum, and no paint is either
LEVELS_DIFFER = (
    0.30  # a colour and a measured level further apart than this share do not describe one surface
)
BRIGHTEST_LEVEL = 0.98  # pressed barium sulphate; a room of more would never let light go
HELD = said("bounce.held", most=Figure(100 * BRIGHTEST_LEVEL, "%"))


@dataclass(frozen=True)
class Reflectance:
    """A surface's reflectance on the grid, with what had to be taken for granted to get it."""

    spectrum: FloatArray  # (71,)
    level: float  # luminous reflectance under D65
    assumed: tuple[Said, ...]


def linear_of_srgb(code: str) -> FloatArray:
    """(3,) linear red, green and blue of `#rrggbb` (or `#rgb`), by IEC 61966-2-1. Raises OutOfRange
    for anything else.
    """
    digits = code.removeprefix("#")
    if len(digits) == 3:
        digits = "".join(digit * 2 for digit in digits)
    if len(digits) != 6 or any(digit not in "0123456789abcdefABCDEF" for digit in digits):
        raise OutOfRange("colour.srgb", code, said("refusal.colour.colour_code"))
    return linear_of_code([int(digits[k : k + 2], 16) for k in (0, 2, 4)])


def linear_of_code(code: ArrayLike) -> FloatArray:
    """(...) linear light of sRGB code values 0 to 255 (IEC 61966-2-1)."""
    c = require("code", code, least=0, most=255) / 255.0
    return np.asarray(np.where(c <= 0.04045, c / 12.92, ((c + 0.055) / 1.055) ** 2.4))


def of_srgb(code: str, level: float | None = None) -> Reflectance:
    """From a hex code; a measured level beside it sets the level and leaves the hue to the code."""
    linear = linear_of_srgb(code)
    held = np.clip(linear, LEAST_LINEAR, MOST_LINEAR)
    return _levelled(
        SRGB_TO_XYZ @ held, level, () if np.all(held == linear) else (said("bounce.too_pure"),)
    )


def of_lab(colour: ArrayLike, illuminant: str, level: float | None = None) -> Reflectance:
    """From a colour reader's CIELAB for D50 or D65 (2 degrees); D50 is carried to D65 by Bradford."""
    value = require("colour.lab", colour)
    if value.shape != (3,) or not 0 < value[0] <= 100:
        raise OutOfRange(
            "colour.lab",
            ", ".join(f"{part:g}" for part in value.ravel()),
            said("refusal.colour.colour_lab"),
        )
    if illuminant not in ("D50", "D65"):
        raise OutOfRange("colour.illuminant", illuminant, said("refusal.colour.illuminant"))
    white = D50_WHITE if illuminant == "D50" else D65_WHITE
    assumed: tuple[Said, ...] = ()
    there = bradford(white, D65_WHITE) @ xyz_of_lab(value, white)
    if there[1] > BRIGHTEST_LEVEL:
        there, assumed = there * (BRIGHTEST_LEVEL / there[1]), (HELD,)
    # White of the 5 nm sums against the rounded white of the standard: a grey must stay a grey.
    return _levelled(there / D65_WHITE * xyz(d65()), level, assumed)


def of_spectrum(
    first_nm: float, step_nm: float, values: ArrayLike, level: float | None = None
) -> Reflectance:
    """From a measured spectrum, 0 to 1, evenly spaced, reaching from 400 to 700 nm at least; kept
    as measured.
    """
    spectrum = resampled(first_nm, step_nm, values)
    last_nm = first_nm + step_nm * (len(np.asarray(values)) - 1)
    assumed: list[Said] = []
    if first_nm > NM[0] or last_nm < NM[-1]:
        assumed.append(said("bounce.spectrum_ends", first=Figure(first_nm), last=Figure(last_nm)))
    if np.any(spectrum > BRIGHTEST_LEVEL):
        spectrum = np.minimum(spectrum, BRIGHTEST_LEVEL)
        assumed.append(HELD)
    there = float(reflected_share(d65(), spectrum))
    if level is not None and not _agree(there, level):
        assumed.append(said("bounce.spectrum_level", own=_percent(there), recorded=_percent(level)))
    return Reflectance(spectrum, there, tuple(assumed))


def of_level(level: float) -> Reflectance:
    """A neutral grey of a light reflectance value (LRV / 100): all that is known is how light it
    is.
    """
    require("light_reflectance", level, least=0, most=1)
    held = min(level, BRIGHTEST_LEVEL)
    assumed = (said("bounce.taken_as_grey"), *((HELD,) if held < level else ()))
    return Reflectance(np.full(len(NM), held), held, assumed)


def _levelled(colour: FloatArray, level: float | None, assumed: tuple[Said, ...]) -> Reflectance:
    if level is not None:
        require("light_reflectance", level, above=0, most=1)
        if not _agree(float(colour[1]), level):
            assumed += (
                said(
                    "bounce.colour_level",
                    own=_percent(float(colour[1])),
                    recorded=_percent(level),
                ),
            )
        colour = colour * (level / colour[1])
    spectrum = reflectance_of_xyz(colour)
    if np.any(spectrum > BRIGHTEST_LEVEL):
        spectrum = np.minimum(spectrum, BRIGHTEST_LEVEL)
        assumed += (HELD,)
    return Reflectance(spectrum, float(reflected_share(d65(), spectrum)), assumed)


def _percent(share: float) -> Figure:
    return Figure(100 * share, "%")


def _agree(one: float, other: float) -> bool:
    return abs(one - other) <= LEVELS_DIFFER * max(one, other)


# Four measured human skins, in the order of judging_patches: two of a test chart, two CIE test
# colours.
SKINS = ("light skin", "dark skin", "rosy skin", "golden skin")


@lru_cache(maxsize=1)
def judging_patches() -> FloatArray:
    """(6, 71) reflectances of the patches a shift is judged on: white 1, grey 0.18, then the four
    SKINS.

    Source: light and dark skin, chart of Ohta 1997; rosy skin, CIE 13.3 test colour 13 (human
        complexion); golden skin, test
            colour 15 (complexion of JIS Z 8726, in CIE 224 and today's CIE sets)
    """
    skins = [on_grid("test_reflectances.csv", name) for name in ("light_skin", "dark_skin")]
    skins += [on_grid("skin_reflectances.csv", name) for name in ("tcs13", "tcs15")]
    patches = np.stack([np.ones(len(NM)), np.full(len(NM), 0.18), *skins])
    patches.flags.writeable = False
    return patches
