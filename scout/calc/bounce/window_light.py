"""The colour of sun and sky by the hour and the state of the sky, each a stated simple model."""

from __future__ import annotations

import numpy as np

from scout.calc.bounce.spectra import daylight, planck, scaled
from scout.calc.geometry import FloatArray, require

OVERCAST_K = 6500.0
BLUE_SKY_K = 12000.0
# Colour of the sun's beam by its elevation (common practice, from memory): orange at the horizon,
# 5500 K high up.
_SUN_DEG, _SUN_K = (
    (0.0, 5.0, 10.0, 20.0, 30.0, 40.0, 60.0),
    (2000.0, 2800.0, 3500.0, 4400.0, 4900.0, 5200.0, 5500.0),
)


def sun_cct_k(elevation_deg: float) -> float:
    """Colour temperature of the sun's beam [K], 2000 on the horizon to 5500 from 60 degrees up;
    joined in mired between the tabled values.

    Source: common practice, from memory; the true value moves with haze by a thousand kelvin
        and more when the sun is low
    """
    require("elevation_deg", elevation_deg, least=-90, most=90)
    return float(1e6 / np.interp(elevation_deg, _SUN_DEG, [1e6 / kelvin for kelvin in _SUN_K]))


def sky_spectrum(*, overcast: bool) -> FloatArray:
    """(71,) light of the sky without the sun, at Y = 1: a phase of daylight of 6500 K when
    overcast, of 12 000 K when clear (common practice).

    Grey ground and walls outdoors send back the colour that falls on them: the sky's for its
        part, the sun's for its own.
    """
    return daylight(OVERCAST_K if overcast else BLUE_SKY_K)


def sun_spectrum(elevation_deg: float) -> FloatArray:
    """(71,) light of the sun's beam at Y = 1, of sun_cct_k: daylight from 4000 K up, a full
    radiator below.
    """
    kelvin = sun_cct_k(elevation_deg)
    return daylight(kelvin) if kelvin >= 4000 else scaled(planck(kelvin))
