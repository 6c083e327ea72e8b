"""Everyday pieces of furniture to start from: sizes and light reflectances as shops and handbooks give
them.

Source: common practice. Reflectances of wood and cloth in use: pine and birch 0.4 to 0.5, oak 0.3,
    walnut and dark cloth 0.1 to 0.15, white laminate 0.7. What hangs is as high as eyes look at it:
    its middle 1.3 to 1.5 m up; silvered glass 0.8 to 0.9, a dark screen 0.05.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType


@dataclass(frozen=True)
class Piece:
    """One everyday piece. `clear_below_m` None: solid down to the floor."""

    width_m: float
    depth_m: float
    height_m: float
    reflectance: float
    clear_below_m: float | None = None
    mirrors: bool | None = None


PIECES: Mapping[str, Piece] = MappingProxyType(
    {
        "dining_table": Piece(1.6, 0.9, 0.75, 0.35, 0.70),
        "desk": Piece(1.4, 0.7, 0.74, 0.40, 0.70),
        "coffee_table": Piece(1.1, 0.6, 0.45, 0.35, 0.40),
        "chair": Piece(0.45, 0.50, 0.90, 0.30, 0.42),
        "armchair": Piece(0.85, 0.85, 0.85, 0.25),
        "sofa": Piece(2.0, 0.9, 0.85, 0.25),
        "bed": Piece(1.6, 2.0, 0.55, 0.50),
        "bookcase": Piece(0.9, 0.30, 2.0, 0.25),
        "wardrobe": Piece(1.2, 0.60, 2.0, 0.45),
        "sideboard": Piece(1.6, 0.45, 0.80, 0.35),
        "kitchen_units": Piece(2.4, 0.60, 0.90, 0.50),
        "fridge": Piece(0.60, 0.65, 1.80, 0.70),
        "filing_cabinet": Piece(0.45, 0.60, 1.30, 0.40),
        "upright_piano": Piece(1.5, 0.60, 1.25, 0.10),
        "grand_piano": Piece(1.5, 1.8, 1.0, 0.05, 0.65),
        "counter": Piece(2.4, 0.60, 1.10, 0.30),
        "screen": Piece(1.6, 0.05, 1.70, 0.40),
        "mirror": Piece(0.6, 0.03, 1.80, 0.80, 0.90, mirrors=True),
        "television": Piece(1.25, 0.08, 1.65, 0.05, 0.95, mirrors=True),
        "framed_picture": Piece(0.7, 0.03, 1.75, 0.30, 1.25, mirrors=True),
    }
)
