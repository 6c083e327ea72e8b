"""What planes that look out of a window get of an overcast sky and of all that it lights outdoors."""

from __future__ import annotations

import numpy as np

from scout.calc.daylight.outside.sky import overcast_spread
from scout.calc.daylight.outside.street import Street
from scout.calc.daylight.window.frame import Faces
from scout.calc.daylight.window.glazing import Glazing
from scout.calc.daylight.window.sky_view import Outlook
from scout.calc.geometry import FloatArray

VERTICAL_OVERCAST = float(
    (np.pi / 6 + 4 / 9) / (7 * np.pi / 9)
)  # 39.62 %: a vertical plane before an overcast sky, from its luminance


def overcast_through(view: Outlook, ground_reflectance: float, glass: Glazing) -> FloatArray:
    """(k,) light through a pane for each lux of an overcast sky outdoors; what stands before the
    sky reflects as the ground does, unless it is known what street it is.
    """
    return np.asarray(view.overcast() + outside_share(view, ground_reflectance, glass) / np.pi)


def outside_share(view: Outlook, ground_reflectance: float, glass: Glazing) -> FloatArray:
    """(k,) what the ground, things before the sky and the pane's frame send through it, times pi,
    for each lux of an overcast sky.
    """
    sent = _elsewhere(view, ground_reflectance, glass.street)
    if view.around is None or (framed := glass.framed) is None:
        return sent
    by_sky = framed.sky @ overcast_spread(framed.elevation_deg)
    luminance = by_sky + _elsewhere(framed, ground_reflectance, glass.street) / np.pi
    return np.asarray(sent + np.pi * (view.around @ luminance))


def _elsewhere(
    view: Outlook | Faces, ground_reflectance: float, street: Street | None
) -> FloatArray:
    if street is None or view.up_facade is None:
        return np.asarray(
            view.ground * ground_reflectance + view.obstruction * facade_share(ground_reflectance)
        )
    ground, foot, rise = street.overcast(ground_reflectance)
    return np.asarray(view.ground * ground + view.obstruction * foot + view.up_facade * rise)


def facade_share(ground_reflectance: float) -> float:
    """What a facade of the ground's reflectance sends for each lux of an overcast sky outdoors
    [lm/m2 per lux].
    """
    return ground_reflectance * (VERTICAL_OVERCAST + 0.5 * ground_reflectance)
