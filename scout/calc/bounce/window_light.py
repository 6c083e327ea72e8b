"""The colour of the daylight that a window gives by the hour: sun and sky by state, each a stated simple model."""

from __future__ import annotations

import numpy as np

from scout.calc.bounce.spectra import daylight, planck, scaled
from scout.calc.geometry import FloatArray, require

OVERCAST_K = 6500.0
BLUE_SKY_K = 12000.0
GROUND_SHARE = 0.4  # of a shaded window's light under a clear sky: what the sunlit ground and walls outside send back
# Colour of the sun's beam by its elevation (common practice, from memory): orange at the horizon, 5500 K high up.
_SUN_DEG, _SUN_K = (0.0, 5.0, 10.0, 20.0, 30.0, 40.0, 60.0), (2000.0, 2800.0, 3500.0, 4400.0, 4900.0, 5200.0, 5500.0)


def sun_cct_k(elevation_deg: float) -> float:
    """Colour temperature of the sun's beam [K], 2000 on the horizon to 5500 from 60 degrees up; joined in mired between the tabled values.

    Source: common practice, from memory; the true value moves with haze by a thousand kelvin and more when the sun is low
    """
    require("elevation_deg", elevation_deg, least=-90, most=90)
    return float(1e6 / np.interp(elevation_deg, _SUN_DEG, [1e6 / kelvin for kelvin in _SUN_K]))


def window_spectrum(overcast: bool, sun_elevation_deg: float) -> FloatArray:
    """(71,) light of a window no sun shines into, at Y = 1.

    Overcast: a phase of daylight of 6500 K. Clear: blue sky of 12 000 K and, for GROUND_SHARE of the lux, sunlight thrown back by
    grey ground; with the sun under the horizon the sky alone.
    """
    require("sun_elevation_deg", sun_elevation_deg, least=-90, most=90)
    if overcast:
        return daylight(OVERCAST_K)
    if sun_elevation_deg <= 0:
        return daylight(BLUE_SKY_K)
    kelvin = sun_cct_k(sun_elevation_deg)
    beam = daylight(kelvin) if kelvin >= 4000 else scaled(planck(kelvin))
    return np.asarray((1.0 - GROUND_SHARE) * daylight(BLUE_SKY_K) + GROUND_SHARE * beam)
