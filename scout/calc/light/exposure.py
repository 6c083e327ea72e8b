"""How much light a camera setting needs, and light ratios in stops.

Two conventions of "ratio" are in use: key against fill (each lamp's own light, ours), and the lit
side against the
shadow side, (key + fill) : fill. 4:1 of the first is 2 stops; 4:1 of the second is 3:1 of the
first. Say which.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from scout.calc.bounce.whiteness import cct_duv, uv_at
from scout.calc.geometry import FloatArray, require

# Third stops as lenses and cameras mark them (ISO 517 and ISO 12232 round 2^(n/6) and 2^(n/3) so).
MARKED_F = tuple(
    float(one)
    for one in [
        "1",
        "1.1",
        "1.2",
        "1.4",
        "1.6",
        "1.8",
        "2",
        "2.2",
        "2.5",
        "2.8",
        "3.2",
        "3.5",
        "4",
        "4.5",
        "5",
        "5.6",
        "6.3",
        "7.1",
        "8",
        "9",
        "10",
        "11",
        "13",
        "14",
        "16",
        "18",
        "20",
        "22",
        "25",
        "29",
        "32",
    ]
)
MARKED_ISO = (100.0, 125.0, 160.0, 200.0, 250.0, 320.0, 400.0, 500.0, 640.0, 800.0)
MARKED_SLACK = 1.03  # marks are rounded by up to 3 %
FLAT_RECEPTOR_CONSTANT = 250.0  # ISO 2720 gives 240 to 400 for a flat receptor
REFLECTED_CONSTANT = 12.5  # ISO 2720 gives 10.6 to 13.4 for reflected light; 12.5 by most makers
MID_LEVEL = 0.18  # share of white that the metered luminance is rendered as (ISO 12232, 118 of 255)


def needed_lux(
    f_number: ArrayLike,
    shutter_s: ArrayLike,
    iso: ArrayLike,
    constant: float = FLAT_RECEPTOR_CONSTANT,
) -> FloatArray:
    """Incident light that exposes a setting normally.

    f_number, shutter_s, iso: (...), all above 0
    constant: the meter's C, 240 to 540 (250 flat receptor, 330 dome)
    Returns:  (...), illuminance [lx]
    Raises:   OutOfRange, naming the argument
    Source:   ISO 2720:1974, E = C N^2 / (t S)
    """
    stop = require("f_number", f_number, above=0)
    shutter = require("shutter_s", shutter_s, above=0)
    speed = require("iso", iso, above=0)
    factor = require("constant", constant, least=240, most=540)
    return np.asarray(factor * stop**2 / (shutter * speed))


def f_number_for(
    lux: ArrayLike, shutter_s: ArrayLike, iso: ArrayLike, constant: float = FLAT_RECEPTOR_CONSTANT
) -> FloatArray:
    """The f-number that exposes incident light normally: needed_lux solved for N.

    lux, shutter_s, iso: (...), above 0; constant: as for needed_lux
    Raises: OutOfRange, naming the argument
    """
    light = require("lux", lux, above=0)
    return np.asarray(np.sqrt(light / needed_lux(1.0, shutter_s, iso, constant)))


def third_stop_f(f_number: float) -> float:
    """The f-number marked on lenses at or just under one, in thirds of stops from f/1 to f/32.
    Raises OutOfRange.
    """
    require("f_number", f_number, above=0)
    return max((one for one in MARKED_F if one <= f_number * MARKED_SLACK), default=MARKED_F[0])


def third_stop_iso(iso: float) -> float:
    """The speed set on cameras at or just over one, in thirds of stops. Raises OutOfRange."""
    require("iso", iso, above=0)
    decade = float(10.0 ** np.floor(np.log10(iso / MARKED_ISO[0])))
    return next(
        one * step
        for step in (decade, 10.0 * decade)
        for one in MARKED_ISO
        if one * step >= iso / MARKED_SLACK
    )


def mixed_cct_k(cct_k: Sequence[float], duv: Sequence[float], lux: Sequence[float]) -> float:
    """The temperature a camera balances to in several white lights at once.

    cct_k, duv, lux: of each light at the face; some lux above 0
    Returns: [K], of the sum of their tristimulus values; kelvin and mired are never averaged
    Raises:  OutOfRange, naming the argument
    Source:  Grassmann (CIE 15:2018); in (u, v) a light of luminance Y weighs Y / v, because
        X + 15 Y + 3 Z = 6 Y / v
    """
    amount = require("lux", lux, least=0)
    require("lux", amount.sum(), above=0)
    places = np.array([uv_at(kelvin, off) for kelvin, off in zip(cct_k, duv, strict=True)])
    weight = amount / places[:, 1]
    kelvin, _ = cct_duv(weight @ places / weight.sum())
    return float(kelvin)


def card_lux(
    f_number: float,
    shutter_s: float,
    iso: float,
    level: float,
    card_reflectance: float,
) -> float:
    """Light on a card that was photographed, from the exposure and how pale the card came out.

    level:            of the card in the picture, linear, as a share of white, above 0, at most 1
    card_reflectance: 0.18 for a grey card, 0.9 for a white one, above 0, at most 1
    Returns:          [lx]
    Raises:           OutOfRange, naming the argument
    Source:           ISO 2720:1974, L = K N^2 / (t S) for the luminance that is rendered as mid
        grey; a linear level tells the card's from it; a matte card of reflectance r under E lux has
        L = r E / pi
    """
    stop = float(require("f_number", f_number, above=0))
    shutter = float(require("shutter_s", shutter_s, above=0))
    speed = float(require("iso", iso, above=0))
    pale = float(require("level", level, above=0, most=1))
    reflects = float(require("card_reflectance", card_reflectance, above=0, most=1))
    luminance = REFLECTED_CONSTANT * stop**2 / (shutter * speed) * pale / MID_LEVEL
    return float(np.pi * luminance / reflects)
