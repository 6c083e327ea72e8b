"""How much light a camera setting needs, and light ratios in stops.

Two conventions of "ratio" are in use: key against fill (each lamp's own light, ours), and the lit
side against the
shadow side, (key + fill) : fill. 4:1 of the first is 2 stops; 4:1 of the second is 3:1 of the
first. Say which.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from scout.calc.geometry import FloatArray, require

FLAT_RECEPTOR_CONSTANT = 250.0  # ISO 2720 gives 240 to 400 for a flat receptor
DOME_RECEPTOR_CONSTANT = 330.0  # and 320 to 540 for a dome


def exposure_value(f_number: ArrayLike, shutter_s: ArrayLike) -> FloatArray:
    """Exposure value of a setting, EV = log2(N^2 / t), whatever the sensitivity.

    f_number:  (...), [-], above 0
    shutter_s: (...), exposure time of one frame [s], above 0
    Returns:   (...), [stops]
    Raises:    OutOfRange, naming the argument
    Source:    definition used with ISO 2720
    """
    stop = require("f_number", f_number, above=0)
    shutter = require("shutter_s", shutter_s, above=0)
    return np.asarray(np.log2(stop**2 / shutter))


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


def lux_at_exposure_value(
    ev: ArrayLike, iso: ArrayLike = 100.0, constant: float = FLAT_RECEPTOR_CONSTANT
) -> FloatArray:
    """Incident light that belongs to an exposure value set at a sensitivity: C 2^EV / S.

    ev: (...), log2(N^2 / t) [stops]; iso: (...), above 0; constant: 240 to 540
    Returns:  (...), illuminance [lx]
    Raises:   OutOfRange, naming the argument
    Source:   ISO 2720:1974, with N^2/t = 2^EV
    """
    value = require("ev", ev)
    speed = require("iso", iso, above=0)
    factor = require("constant", constant, least=240, most=540)
    return np.asarray(factor * 2.0**value / speed)


def stops_between(bright: ArrayLike, dim: ArrayLike) -> FloatArray:
    """Stops from `dim` up to `bright`, log2 of their quotient (negative when dim is the brighter).

    bright, dim: (...), the same quantity, above 0
    Returns:  (...), [stops]
    Raises:   OutOfRange, naming the argument
    """
    return np.asarray(np.log2(require("bright", bright, above=0) / require("dim", dim, above=0)))


def own_ratio(lit_to_shadow: ArrayLike) -> FloatArray:
    """Key against fill, each lamp alone, from the lit side against the shadow side, (key + fill) :
    fill.

    lit_to_shadow: (...), 1 or more; 1 means no key at all
    Returns:  (...), key : fill, 0 or more
    Raises:   OutOfRange, naming the argument
    """
    return np.asarray(require("lit_to_shadow", lit_to_shadow, least=1) - 1.0)
