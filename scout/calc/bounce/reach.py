"""The spectrum that reaches a face from the surfaces of a room: one adjoint solution, then any lamp is a sum."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.interpolate import CubicSpline

from scout.calc.bounce.spectra import NM, observer
from scout.calc.geometry import FloatArray
from scout.calc.radiosity import Enclosure, importance, spread_from_lamp, within_patches

CLOSED = 1e-5  # what may be left of the light when bouncing stops: 0.001 % is far under what any colour shows
SMOOTH = 1e-3  # a spectrum that 10 nm steps give back this well, beside what it swallows, needs no finer ones
EVERY, ROUGHLY_EVERY = 2, 7  # places of the 5 nm grid from one worked wavelength to the next; the rough for telling which surface matters
POINTS = 4  # points a side on each patch for the lamp's spot and for the face's view of it


@dataclass(frozen=True)
class Spot:
    """What a lamp lays on the room's patches, point by point. lux: (p, POINTS squared)"""

    lux: FloatArray
    mean_lux: FloatArray  # (p,)


@dataclass(frozen=True)
class View:
    """What a small plane sees of a room, whatever its surfaces.

    seen:   (p,), configuration factors
    detail: (p, POINTS squared), what the first bounce has to add because a spot is not even over a patch
    """

    seen: FloatArray
    detail: FloatArray

    def arriving(self, reflectance: FloatArray, laid: Spot, landing: FloatArray) -> FloatArray:
        """(71,) lux at the plane for a lamp of one unit of each wavelength; reflectance, landing: (p, 71), the latter as all_landing."""
        return np.asarray(self.seen @ (reflectance * landing) + np.sum(self.detail * laid.lux, axis=1) @ reflectance)


@dataclass(frozen=True)
class Face:
    """A view in a room of known surfaces, ready for any lamp.

    weight: (p, 71), reading for each lux that lands on a patch, all bounces counted, the spot taken as even over the patch
    """

    room: Enclosure
    reflectance: FloatArray  # (p, 71)
    weight: FloatArray
    view: View

    def arriving(self, laid: Spot) -> FloatArray:
        """(71,) what the room makes of each wavelength of a lamp: lux at the face for a spectrum of one unit each."""
        return np.asarray(laid.mean_lux @ self.weight + np.sum(self.view.detail * laid.lux, axis=1) @ self.reflectance)

    def through(self, name: str, landing: FloatArray) -> FloatArray:
        """(71,) how much the reading would grow for each unit of reflectance more on one surface; landing: (p, 71), as all_landing."""
        mine = self.room.patches.of(name)
        return np.asarray(np.sum(self.weight[mine] / np.maximum(self.reflectance[mine], 1e-12) * landing[mine], axis=0))


def spot(room: Enclosure, at_m: ArrayLike, aim_m: ArrayLike, lux_at_1m: float, beam_deg: float) -> Spot:
    """The spot of one lamp in the room; arguments and Raises as direct_from_lamp."""
    lux = spread_from_lamp(room.patches, at_m, aim_m, lux_at_1m, beam_deg, POINTS)
    return Spot(lux, np.sum(lux * room.patches.points(POINTS)[1], axis=1))


def view(room: Enclosure, point_m: ArrayLike, normal: ArrayLike) -> View:
    """What the small plane at point_m that looks along normal sees of the room."""
    within = within_patches(room.patches, point_m, normal, POINTS)
    seen = within.sum(axis=1)
    return View(seen, within - seen[:, None] * room.patches.points(POINTS)[1])


def face(room: Enclosure, reflectance: FloatArray, looks: View, closed: float = CLOSED) -> Face:
    """A view in the room with these surfaces, (p, 71); closed as in `importance`."""
    return Face(room, reflectance, _carried(room, reflectance, looks.seen, closed) * reflectance, looks)


def all_landing(room: Enclosure, reflectance: FloatArray, direct_lux: FloatArray, closed: float = CLOSED) -> FloatArray:
    """(p, 71) what lands on each patch in all, by wavelength, for one unit of each: direct and every bounce.

    The same equation as `importance`, for light that starts on patches: L = E + F rho L.
    """
    area = room.patches.area_m2
    return _carried(room, reflectance, direct_lux * area, closed) / area[:, None]


def _carried(room: Enclosure, reflectance: FloatArray, start: FloatArray, closed: float) -> FloatArray:
    """(p, 71) `importance` by wavelength, worked out every 10 nm where every surface is smooth enough for a cubic to fill the rest."""
    coarse, fill = _coarse(EVERY if closed <= CLOSED else ROUGHLY_EVERY)
    swing = np.abs(reflectance[:, coarse] @ fill.T - reflectance) / (1.0 - reflectance)
    fine = closed <= CLOSED and bool(np.max(swing) > SMOOTH)
    level = max(float(start.max()), 1e-300)
    found = importance(room.factors, room.patches.area_m2, reflectance if fine else reflectance[:, coarse], start / level, closed, room.symmetric)
    return np.asarray((found if fine else found @ fill.T) * level)


@lru_cache(maxsize=2)
def _coarse(every: int) -> tuple[NDArray[np.intp], FloatArray]:
    """Some places of the grid, (n,), and the matrix (71, n) that fills in the rest by a cubic spline."""
    places = np.arange(0, len(NM), every)
    return places, np.asarray(CubicSpline(places, np.eye(len(places)), axis=0)(np.arange(len(NM))))


def lux_of(light: FloatArray, arriving: FloatArray) -> FloatArray:
    """(...) lux of a lamp's spectrum (71,), at Y = 1, after the room has taken its share: sum S t ybar."""
    return np.asarray((light * arriving) @ observer()[:, 1])
