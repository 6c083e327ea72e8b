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
