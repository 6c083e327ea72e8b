"""Light at a mark from photos of a white or grey card: the exposure, and how pale the card came out.

A camera's own tone curve is flat in no part of the scale, and straightest in the middle. Half a stop
where the card came out in the middle, no tones were mapped locally, and two shots agree; else one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from scout.calc.bounce.card import CLIPPED, TOO_DARK, UNEVEN, area_code
from scout.calc.bounce.surface import SRGB_TO_XYZ, linear_of_code
from scout.calc.geometry import FloatArray
from scout.calc.light.exposure import card_lux
from scout.errors import OutOfRange
from scout.values import Figure, Said, said

SURE_STOPS, UNSURE_STOPS = 0.5, 1.0  # tried beforehand on phones (common practice)
LOWEST_CODE, HIGHEST_CODE = 90.0, 170.0  # where a curve is straight, of 255
AGREE_STOPS, APART_STOPS = 1.0 / 3.0, 1.0  # two shots of one card


@dataclass(frozen=True)
class Shot:
    """A photo of a card: what it was exposed with, and an area of the card, (h, w, 3), sRGB codes."""

    f_number: float
    shutter_s: float
    iso: float
    area: FloatArray


@dataclass(frozen=True)
class CardLight:
    """Light on a card [lx], how good that is [stops], and what keeps it from being better."""

    lux: float
    doubt_stops: float
    said: tuple[Said, ...]


def card_light(shots: Sequence[Shot], card_reflectance: float, *, plain_tones: bool) -> CardLight:
    """Light on the card of one photo, or of two of the same card.

    plain_tones: whether HDR was off, and nothing in the file says otherwise
    Raises:      OutOfRange: a card that is clipped, all but black or uneven, or two shots a stop or
        more apart
    Source:      card_lux; the level by IEC 61966-2-1
    """
    found, notes = [], []
    for shot in shots:
        code, varies = area_code(shot.area)
        if float(code.max()) >= CLIPPED:
            raise OutOfRange("card", int(code.max()), said("refusal.colour.card_clipped"))
        if varies > UNEVEN:
            raise OutOfRange("card", int(varies), said("refusal.card.uneven"))
        level = float((SRGB_TO_XYZ @ linear_of_code(code))[1])
        shown = float(SRGB_TO_XYZ[1] @ code)
        if shown < TOO_DARK:
            raise OutOfRange("card", int(shown), said("refusal.colour.card_dark"))
        if not LOWEST_CODE <= shown <= HIGHEST_CODE:
            notes.append(
                said(
                    "card.off_middle",
                    level=Figure(shown),
                    least=Figure(LOWEST_CODE),
                    most=Figure(HIGHEST_CODE),
                )
            )
        found.append(card_lux(shot.f_number, shot.shutter_s, shot.iso, level, card_reflectance))
    if not plain_tones:
        notes.append(said("card.tones_mapped"))
    apart = float(np.ptp(np.log2(found)))
    if len(found) < 2:
        notes.append(said("card.one_shot"))
    elif apart >= APART_STOPS:
        raise OutOfRange("twin", round(apart, 1), said("refusal.card.shots_apart"))
    elif apart > AGREE_STOPS:
        notes.append(said("card.shots_apart", apart=Figure(apart, "stops")))
    lux = float(np.exp(np.mean(np.log(found))))
    return CardLight(lux, UNSURE_STOPS if notes else SURE_STOPS, tuple(dict.fromkeys(notes)))
