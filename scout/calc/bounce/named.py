"""Everyday names of wall colours: our own list, and the name nearest to a colour."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike

from scout.calc.bounce.difference import ciede2000, lab
from scout.calc.bounce.surface import SRGB_TO_XYZ, linear_of_srgb
from scout.calc.geometry import FloatArray, require

# Our own list, typical of walls, ceilings and floors; the code stands for the middle of what people
# call by the name.
NAMED = {
    "brilliant white": "#f4f5f2",
    "off-white": "#f1ece0",
    "ivory": "#f0e6cd",
    "cream": "#ecdfb8",
    "magnolia": "#eee0cb",
    "pale grey": "#d3d4d3",
    "mid grey": "#9a9b9b",
    "dark grey": "#5c5d5f",
    "charcoal": "#36383b",
    "black": "#1c1c1d",
    "beige": "#cdb99a",
    "sand": "#d8c49a",
    "taupe": "#8d7f70",
    "terracotta": "#b9633f",
    "brick red": "#8f4032",
    "deep red": "#7a2226",
    "bright red": "#b3202a",
    "pale pink": "#ebcfcb",
    "dusty pink": "#c48f8d",
    "peach": "#eebd98",
    "orange": "#d97a2b",
    "mustard": "#c2972f",
    "pale yellow": "#f0e39b",
    "bright yellow": "#e7c52b",
    "pale green": "#c9d9bd",
    "sage": "#9caf8c",
    "olive": "#6f6f3b",
    "grass green": "#4e8a3c",
    "bottle green": "#1f4a36",
    "mint": "#b4dcc8",
    "turquoise": "#3f9ea3",
    "teal": "#1f6269",
    "pale blue": "#c4d8e6",
    "sky blue": "#86b3d6",
    "mid blue": "#3f6ea5",
    "navy": "#23314f",
    "lilac": "#cbbad8",
    "purple": "#63437a",
    "pale wood": "#cfa878",
    "oak": "#a87c4b",
    "dark wood": "#5b3a25",
    "concrete": "#a7a49d",
    "slate": "#51585d",
}


@lru_cache(maxsize=1)
def _labs() -> FloatArray:
    return lab(np.stack([SRGB_TO_XYZ @ linear_of_srgb(code) for code in NAMED.values()]))


def nearest_name(colour: ArrayLike) -> str:
    """The everyday name nearest to a CIELAB colour (3,) for D65, by CIEDE2000."""
    value = require("colour", colour)
    return tuple(NAMED)[int(np.argmin(ciede2000(_labs(), value)))]


def code_of_xyz(xyz: ArrayLike) -> str:
    """The nearest sRGB code `#rrggbb` of tristimulus values (3,) for D65, Y = 1 for white; what a
    screen cannot show is cut off (IEC 61966-2-1).
    """
    linear = np.clip(np.linalg.solve(SRGB_TO_XYZ, require("xyz", xyz)), 0.0, 1.0)
    coded = np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * linear ** (1.0 / 2.4) - 0.055)
    red, green, blue = (int(value) for value in np.round(coded * 255.0))
    return f"#{red:02x}{green:02x}{blue:02x}"
