"""A window as light meets it: pane and glass, what hangs in it and what stands before it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from scout.calc.daylight.outside.skyline import skyline_deg
from scout.calc.daylight.outside.street import Street
from scout.calc.daylight.window.frame import Faces, Frame, faces
from scout.calc.daylight.window.glass import diffuse_reflectance, transmitted
from scout.calc.daylight.window.pane import Pane, Wings
from scout.calc.daylight.window.sky_view import SkyView, sky_view
from scout.calc.geometry import FloatArray, walls
from scout.calc.radiosity import Box
from scout.errors import OutOfRange
from scout.values import said


@dataclass(frozen=True)
class Glazing:
    """A window's glass with what hangs in it. passes: share that the covering lets through;
    spreads: whether it scatters the sun.

    transmittance: of the whole glazing square on;  panes: 1, or 2 with air between
    reveal, underside, facade: what the sides of the opening outside, the underside of its overhang
        and the wall beneath that reflect;  drop_m: of the sill above the ground outdoors
    """

    id: str
    pane: Pane
    transmittance: float
    passes: float = 1.0
    spreads: bool = False
    skyline: tuple[tuple[float, float], ...] | None = None
    facing_deg: float | None = (
        None  # true bearing of the outward normal; needed for a skyline and for the sun
    )
    panes: int = 1
    street: Street | None = None  # what the skyline before it is made of
    reveal: float = 0.0
    underside: float = 0.0
    facade: float = 0.0
    drop_m: float = 1.0

    @cached_property
    def bare(self) -> Glazing:
        """The same with nothing that hangs in it and a black frame: what is seen through it is the
        same.
        """
        return replace(
            self,
            id="",
            passes=1.0,
            spreads=False,
            reveal=0.0,
            underside=0.0,
            facade=0.0,
            drop_m=1.0,
        )

    @cached_property
    def framed(self) -> Faces | None:
        """What frames the opening outside, where that throws light."""
        pane = self.pane
        if (pane.reveal_m <= 0 or self.reveal <= 0) and (
            pane.overhang_m <= 0 or self.underside <= 0
        ):
            return None
        return faces(
            Frame(
                replace(pane, wall=0, offset_m=0.0),
                self.reveal,
                self.underside,
                self.facade,
                diffuse_reflectance(self.transmittance, self.panes),
                self.drop_m,
                self.skyline,
                self.facing_deg or 0.0,
                self.street,
            )
        )


def view_through(
    plan: FloatArray,
    glass: Glazing,
    wings: Wings,
    at: FloatArray,
    normal: FloatArray,
    bearings: int,
    elevations: int,
    panels: int,
    boxes: tuple[Box, ...],
) -> SkyView:
    """What planes (k, 3) see through a window. wings: the room's own walls before it; bearings,
    elevations, panels: nodes, as of sky_view; boxes: what stands in the room.

    Raises: OutOfRange, where a skyline has no facing to be seen from
    """
    if glass.skyline is not None and glass.facing_deg is None:
        raise OutOfRange("facing_deg", None, said("refusal.sun.bearing_for_skyline"))
    return sky_view(
        plan,
        glass.pane,
        glass.transmittance,
        at,
        normal,
        bearings=bearings,
        elevations=elevations,
        panels=panels,
        skyline=glass.skyline,
        facing_deg=glass.facing_deg or 0.0,
        wings=wings or None,
        panes=glass.panes,
        boxes=boxes,
        street=glass.street,
    )


def shining(
    glass: Glazing, azimuth_deg: FloatArray, elevation_deg: FloatArray, normal_lux: FloatArray
) -> tuple[NDArray[np.intp], FloatArray, FloatArray, FloatArray, FloatArray] | None:
    """At which instants the sun shines on a pane from outside, and there: g, h, cosine of
    incidence, lux passed square to the sun.
    """
    if glass.facing_deg is None or glass.passes <= 0:
        return None
    g = (azimuth_deg - glass.facing_deg + 180.0) % 360.0 - 180.0
    cosine = np.cos(np.radians(g)) * np.cos(np.radians(elevation_deg))
    shines = cosine > 0
    if glass.skyline is not None:
        shines &= elevation_deg > skyline_deg(glass.skyline, azimuth_deg)
    index = np.flatnonzero(shines)
    if not len(index):
        return None
    passed = (
        normal_lux[index]
        * transmitted(glass.transmittance, cosine[index], glass.panes)
        * glass.passes
    )
    return index, g[index], elevation_deg[index], cosine[index], passed


def plan_bearing_deg(plan: FloatArray, wall: int) -> float:
    """The way a wall looks outwards, clockwise from the plan's y axis."""
    outward = walls(plan)[wall].outward
    return float(np.degrees(np.arctan2(outward[0], outward[1])))
