"""A wall's colour from a photo with a white or grey card beside it, in linear light."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from scout.calc.bounce.difference import ciede2000, lab
from scout.calc.bounce.named import code_of_xyz
from scout.calc.bounce.surface import SRGB_TO_XYZ, linear_of_code
from scout.calc.geometry import FloatArray, require
from scout.errors import OutOfRange
from scout.values import Figure, Said, Word, said

WHITE_CARD, GREY_CARD = 0.90, 0.18
CLIPPED, NEARLY_CLIPPED, TOO_DARK = 250.0, 245.0, 32.0  # code values of 255
APART = 3.0  # CIEDE2000: picks of one wall further apart are lit differently, or are not one colour
LEAST_CURVE, MOST_CURVE = (
    0.6,
    1.6,
)  # no camera's contrast is softer or harder (common practice): such cards are lit differently
UNEVEN = 10.0  # code values: an area that varies more is no flat area


@dataclass(frozen=True)
class Picked:
    """A wall's colour. linear: (3,) reflectance by channel; spread: greatest CIEDE2000 of one pick
    from their mean.
    """

    code: str
    linear: FloatArray
    light_reflectance: float
    spread: float
    said: tuple[Said, ...]


def area_code(pixels: FloatArray) -> tuple[FloatArray, float]:
    """(3,) median code values of an area (h, w, 3), 0 to 255, and how much it varies (greatest
    standard deviation of a channel).
    """
    values = require("area", pixels, least=0, most=255)
    if values.ndim != 3 or values.shape[-1] != 3 or values.size == 0:
        raise OutOfRange("area", values.shape, said("refusal.colour.pixels"))
    flat = values.reshape(-1, 3)
    return np.median(flat, axis=0), float(np.max(np.std(flat, axis=0)))


def picked(
    walls: Sequence[FloatArray],
    cards: Sequence[FloatArray],
    card_reflectance: float | None,
    greys: Sequence[FloatArray] = (),
) -> Picked:
    """The wall's reflectance, averaged over picks.

    walls, cards:     areas (h, w, 3) of sRGB code values, 0 to 255; no card: an estimate, said so
    card_reflectance: 0.90 white, 0.18 grey; None goes with no cards
    greys:            areas of a grey card besides a white one: then the camera's own tone curve
        is taken out too
    Raises:           OutOfRange: no wall, a clipped card, a reflectance over 1, picks or cards
        that do not agree
    Source:           IEC 61966-2-1 to linear light, then reflectance = card reflectance x wall
        / card, by channel (von Kries in the
                      camera's own channels); medians of flat areas
                      With white and grey: k = ln(grey / white) / ln(0.18 / 0.90) on linear
                          values, reflectance = 0.90 (wall / white)^(1 / k)
    Limits:           with one card a camera's own tone curve bends the result by CIEDE2000 5 or
        so; card flat against the wall, daylight, lamps off
    """
    if not walls:
        raise OutOfRange("wall", None, said("refusal.colour.no_pick"))
    notes: list[Said] = []
    wall_codes = np.stack([_area(area, "wall", notes) for area in walls])
    if np.min(wall_codes.max(axis=1)) < TOO_DARK:
        notes.append(said("card.wall_dark"))
    if len(walls) == 1:
        notes.append(said("card.one_place"))
    linear = linear_of_code(wall_codes)
    if cards:
        held = float(
            require(
                "card_reflectance",
                WHITE_CARD if card_reflectance is None else card_reflectance,
                above=0,
                most=1,
            )
        )
        light = _card(cards, notes)
        curve = 1.0
        if greys:
            if held <= GREY_CARD:
                raise OutOfRange("grey", held, said("refusal.colour.grey_needs_white"))
            curve = _tone_curve(light, _card(greys, notes), held)
            notes.append(said("card.curve_out", contrast=Figure(curve)))
        else:
            notes.append(said("card.curve_in"))
        linear = held * (linear / light) ** (1.0 / curve)
    elif greys:
        raise OutOfRange("grey", None, said("refusal.colour.grey_needs_white"))
    else:
        notes.append(said("card.none"))
    if np.any(linear > 1.0):
        raise OutOfRange(
            "wall",
            round(float(linear.max()), 2),
            said("refusal.colour.over_white"),
        )
    mean = linear.mean(axis=0)
    middle = SRGB_TO_XYZ @ mean
    spread = float(np.max(ciede2000(lab(linear @ SRGB_TO_XYZ.T), lab(middle))))
    if spread > APART:
        raise OutOfRange(
            "wall",
            round(spread, 1),
            said("refusal.colour.picks_apart", most=Figure(APART, "delta_e")),
        )
    return Picked(code_of_xyz(middle), mean, float(middle[1]), spread, tuple(dict.fromkeys(notes)))


def _area(area: FloatArray, what: str, notes: list[Said]) -> FloatArray:
    code, varies = area_code(area)
    if varies > UNEVEN:
        notes.append(said("card.uneven", what=Word("pick", what), varies=Figure(varies)))
    return code


def _tone_curve(white: FloatArray, grey: FloatArray, held: float) -> float:
    """The camera's contrast, from the linear light of a white and a grey card; 1 is none of its
    own.
    """
    ratio = float(np.mean(grey) / np.mean(white))
    curve = float(np.log(ratio) / np.log(GREY_CARD / held)) if 0 < ratio < 1 else 0.0
    if not LEAST_CURVE <= curve <= MOST_CURVE:
        raise OutOfRange(
            "grey",
            round(ratio, 2),
            said("refusal.colour.cards_disagree", due=Figure(GREY_CARD / held)),
        )
    return curve


def _card(cards: Sequence[FloatArray], notes: list[Said]) -> FloatArray:
    """(3,) linear light of the card, the mean over its picks."""
    codes = np.stack([_area(area, "card", notes) for area in cards])
    if np.any(codes >= CLIPPED):
        raise OutOfRange("card", int(codes.max()), said("refusal.colour.card_clipped"))
    if np.any(codes >= NEARLY_CLIPPED):
        notes.append(said("card.nearly_clipped"))
    linear = linear_of_code(codes)
    if np.any(linear <= 0):
        raise OutOfRange("card", 0, said("refusal.colour.card_dark"))
    mean = linear.mean(axis=0)
    # equal level, so that a shadow is not taken for another colour of light
    tints = linear / linear.sum(axis=1, keepdims=True) * mean.sum() / mean
    if (
        float(
            np.max(
                ciede2000(lab(0.5 * tints @ SRGB_TO_XYZ.T), lab(0.5 * np.ones(3) @ SRGB_TO_XYZ.T))
            )
        )
        > APART
    ):
        notes.append(said("card.mixed_light"))
    return np.asarray(mean)
