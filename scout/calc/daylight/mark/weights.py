"""The outdoors as weights by direction: any sky and any hour of it is then one sum."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from scout.calc.daylight.outside.sky import overcast_spread
from scout.calc.daylight.outside.skyline import skyline_deg
from scout.calc.daylight.outside.street import Street
from scout.calc.daylight.window.glazing import Glazing, plan_bearing_deg
from scout.calc.daylight.window.overcast import facade_share
from scout.calc.daylight.window.sky_view import SkyView
from scout.calc.geometry import FloatArray
from scout.calc.quadrature import gauss_legendre


@dataclass(frozen=True)
class OfStreet:
    """The weights of the ground and the facades of a street that a pane looks into, and where it
    faces.
    """

    street: Street
    facing_deg: float
    ground: float
    facade: float
    up_facade: float  # the same, each part by how far up it lies


@dataclass(frozen=True)
class Weights:
    """Weights by direction: weight x luminance outdoors [cd/m2] = illuminance at the mark [lux]."""

    bearing_deg: FloatArray  # (n,) clockwise from the plan's y axis
    elevation_deg: FloatArray  # (n,)
    sky: FloatArray  # (n,)
    ground: float
    obstruction: float
    spreading: FloatArray  # (panes,) weight of each pane as a diffuser of uniform luminance
    streets: tuple[OfStreet, ...] = ()  # of panes that look into one, instead of the two above
    # of each pane (5,): weights of what frames it, for the sun that lands there; what sky and
    # ground land there is in the weights above
    framing: tuple[FloatArray, ...] = ()

    def overcast(self, ground_reflectance: float) -> float:
        """Illuminance for each lux of an overcast sky's horizontal light, ground and obstructions
        of one reflectance.
        """
        elsewhere = self.ground * ground_reflectance + self.obstruction * facade_share(
            ground_reflectance
        )
        for part in self.streets:
            ground, foot, rise = part.street.overcast(ground_reflectance)
            elsewhere += part.ground * ground + part.facade * foot + part.up_facade * rise
        return self.overcast_sky + elsewhere / np.pi

    @cached_property
    def overcast_sky(self) -> float:
        """Of that, what comes straight from the sky."""
        return float(self.sky @ overcast_spread(self.elevation_deg))


def of_plane(view: SkyView, k: int, plan: FloatArray, glass: Glazing) -> Weights:
    """What the k-th plane of a view sees through its pane, with what hangs in that."""
    bearing = np.broadcast_to(
        view.turned_deg[k][:, None], view.elevation_deg[k].shape
    ) + plan_bearing_deg(plan, glass.pane.wall)
    p = glass.passes
    return of_pane(
        plan,
        glass,
        bearing.ravel(),
        view.elevation_deg[k].ravel(),
        p * view.sky[k].ravel(),
        p * float(view.ground[k]),
        p * float(view.obstruction[k]),
        float(view.bare[k]),
        0.0 if view.up_facade is None else p * float(view.up_facade[k]),
        np.zeros(5) if view.around is None else p * view.around[k],
    )


def of_pane(
    plan: FloatArray,
    glass: Glazing,
    bearing_deg: FloatArray,
    elevation_deg: FloatArray,
    sky: FloatArray,
    ground: float,
    before: float,
    bare: float,
    up_facade: float,
    around: FloatArray,
) -> Weights:
    """The weights of one pane, its frame's among them; a street's ground and facades stand by
    themselves.
    """
    framed = glass.framed
    if framed is not None:
        turn = plan_bearing_deg(plan, glass.pane.wall)
        bearing_deg = np.concatenate([bearing_deg, framed.turned_deg + turn])
        elevation_deg = np.concatenate([elevation_deg, framed.elevation_deg])
        sky = np.concatenate([sky, around @ framed.sky])
        ground += float(around @ framed.ground)
        before += float(around @ framed.obstruction)
        up_facade += 0.0 if framed.up_facade is None else float(around @ framed.up_facade)
    spreading = np.array([bare])
    if glass.street is None:
        return Weights(bearing_deg, elevation_deg, sky, ground, before, spreading, (), (around,))
    part = OfStreet(glass.street, glass.facing_deg or 0.0, ground, before, up_facade)
    return Weights(bearing_deg, elevation_deg, sky, 0.0, 0.0, spreading, (part,), (around,))


def joined(parts: list[Weights]) -> Weights:
    """The weights of all panes of a room, in their order."""
    if not parts:
        none = np.zeros(0)
        return Weights(none, none, none, 0.0, 0.0, none)
    return Weights(
        np.concatenate([part.bearing_deg for part in parts]),
        np.concatenate([part.elevation_deg for part in parts]),
        np.concatenate([part.sky for part in parts]),
        sum(part.ground for part in parts),
        sum(part.obstruction for part in parts),
        np.concatenate([part.spreading for part in parts]),
        tuple(one for part in parts for one in part.streets),
        tuple(one for part in parts for one in part.framing),
    )


def open_ground(
    skyline: tuple[tuple[float, float], ...] | None,
    looks: tuple[float, float, float] = (0.0, 0.0, 1.0),
) -> Weights:
    """The weights of the whole sky on a plane outdoors, above a skyline.

    looks: unit normal of the plane, x east, y north, z up; bearings of the weights are true
    """
    bearing = np.arange(0.5, 360.0)
    stands = (
        np.zeros_like(bearing)
        if skyline is None
        else np.maximum(skyline_deg(skyline, bearing), 0.0)
    )
    start = np.radians(stands)[:, None]
    gamma, weight = _band(bearing, start, np.full_like(start, np.pi / 2), looks)
    _, before = _band(bearing, np.zeros_like(start), start, looks)
    ground = float(np.pi * (1.0 - looks[2]) / 2.0)  # a plane's view of the endless level ground
    return Weights(
        np.repeat(bearing, gamma.shape[1]),
        np.degrees(gamma).ravel(),
        weight.ravel(),
        ground,
        float(before.sum()),
        np.zeros(0),
    )


def _band(
    bearing_deg: FloatArray, low: FloatArray, high: FloatArray, looks: tuple[float, float, float]
) -> tuple[FloatArray, FloatArray]:
    """(n, m) elevations [rad] between low and high (n, 1) in each degree of bearing, and their
    weights on a plane.
    """
    node, share = gauss_legendre(12)
    gamma = low + (high - low) * (node + 1.0) / 2.0
    way = np.radians(bearing_deg)[:, None]
    cosine = np.maximum(
        (looks[0] * np.sin(way) + looks[1] * np.cos(way)) * np.cos(gamma)
        + looks[2] * np.sin(gamma),
        0.0,
    )
    return gamma, cosine * np.cos(gamma) * (high - low) * share / 2.0 * np.radians(1.0)
