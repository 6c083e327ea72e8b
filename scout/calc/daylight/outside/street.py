"""A street before a window: how much light its ground and its facades send back, in their own shade.

own building          facades opposite
|                               |       an endless street along the window's wall: whether a
|  own_m                        |       place sees the sky or the sun is decided in its cross
o window                        | opposite_m
+-------------------------------+       section, how bright they are there in all directions
             width_m
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property, lru_cache

import numpy as np

from scout.calc.daylight.outside.sky import CLEAR, clear_through, overcast_spread, sky_lux
from scout.calc.geometry import FloatArray, require
from scout.calc.held import MB, held
from scout.calc.quadrature import gauss_legendre

STRIPS = 6  # of each of the three surfaces
SUN_POINTS = 8  # of each strip, asked whether the sun lights it
SUNS_AT_ONCE = 256
ACROSS, ALONG = 10, 9  # directions to the sky, in the cross section and along the street
EYE_M = 1.6  # above the floor: from where a skyline is read at the window


@dataclass(frozen=True)
class Street:
    """An endless street. floor_m: of the room above its ground; facade: share of light that both its
    sides reflect.
    """

    width_m: float
    opposite_m: float
    own_m: float
    floor_m: float
    facade: float

    def __post_init__(self) -> None:
        for part in ("width_m", "opposite_m", "own_m"):
            require(f"street.{part}", getattr(self, part), above=0)
        require("street.facade", self.facade, least=0, most=1)

    def overcast(self, ground_reflectance: float) -> tuple[float, float, float]:
        """What its ground sends, and its facades opposite at their foot and how much more at their
        top, for each lux of an overcast sky on open level ground [lm/m2 per lux].
        """
        return _overcast(self, ground_reflectance)

    def clear(
        self,
        ground_reflectance: float,
        turned_deg: FloatArray,
        elevation_deg: FloatArray,
        normal_lux: FloatArray,
        *,
        sky: bool = True,
    ) -> tuple[FloatArray, FloatArray, FloatArray]:
        """(t,) the same under a clear sky [lm/m2].

        turned_deg, elevation_deg: (t,) the sun, clockwise from square out of the window, and its height
        normal_lux: (t,) its light square on; 0 leaves it out;  sky: whether the sky's own counts
        """
        lands = self._sun(turned_deg, elevation_deg) * normal_lux[:, None]
        if sky:
            height = np.maximum(elevation_deg, 0.1)
            lands += _by_sky(self._bare, turned_deg.tobytes(), height.tobytes())
        ground, foot, rise = (lands @ _sent(self, ground_reflectance)).T
        return ground, foot, rise

    @cached_property
    def _bare(self) -> Street:
        """What of it decides where the sky's light lands."""
        return replace(self, floor_m=0.0, facade=0.0)

    @cached_property
    def _ends(self) -> tuple[FloatArray, FloatArray]:
        """(strips, 2) both ends of each strip, x out from the window's wall and y up: its own wall,
        the ground, the facades opposite.
        """
        part = np.linspace(0.0, 1.0, STRIPS + 1)
        nought, one = np.zeros(STRIPS + 1), np.ones(STRIPS + 1)
        lines = [
            np.column_stack([nought, part * self.own_m]),
            np.column_stack([part * self.width_m, nought]),
            np.column_stack([one * self.width_m, part * self.opposite_m]),
        ]
        return (
            np.concatenate([line[:-1] for line in lines]),
            np.concatenate([line[1:] for line in lines]),
        )

    @cached_property
    def _normals(self) -> FloatArray:
        """(strips, 2)"""
        return np.repeat(np.array([[1.0, 0.0], [0.0, 1.0], [-1.0, 0.0]]), STRIPS, axis=0)

    @cached_property
    def _factors(self) -> FloatArray:
        """(strips, strips) Source: Hottel's crossed strings, for endless strips that see each other."""
        a, b = self._ends

        def apart(one: FloatArray, other: FloatArray) -> FloatArray:
            return np.asarray(np.linalg.norm(one[:, None] - other[None], axis=-1))

        crossed = np.abs(apart(a, a) + apart(b, b) - apart(a, b) - apart(b, a)) / 2.0
        surface = np.repeat(np.arange(3), STRIPS)
        length = np.linalg.norm(b - a, axis=-1)[:, None]
        return np.where(surface[:, None] == surface, 0.0, crossed / length)

    def _carried(self, ground_reflectance: float) -> FloatArray:
        """(strips, strips) what each sends in the end for light that first lands on each."""
        rho = np.repeat(np.array([self.facade, ground_reflectance, self.facade]), STRIPS)
        return np.asarray(
            np.linalg.solve(np.eye(3 * STRIPS) - rho[:, None] * self._factors, np.diag(rho))
        )

    def _open(self, at: FloatArray) -> tuple[FloatArray, FloatArray]:
        """(...) between which angles of the cross section, from level outward, points (..., 2) see
        the sky.
        """
        out = np.maximum(self.width_m - at[..., 0], 1e-9)
        low = np.arctan2(np.maximum(self.opposite_m - at[..., 1], 0.0), out)
        back = np.arctan2(np.maximum(self.own_m - at[..., 1], 0.0), np.maximum(at[..., 0], 1e-9))
        return low, np.pi - back

    @cached_property
    def _sky(self) -> tuple[FloatArray, FloatArray, FloatArray]:
        """(strips, n, m) elevations and bearings [deg] of directions to the sky, and their weights."""
        a, b = self._ends
        low, high = self._open((a + b) / 2.0)
        surface = np.repeat(np.arange(3), STRIPS)
        high = np.where(surface == 0, np.pi / 2, high)
        low = np.where(surface == 2, np.pi / 2, low)
        node, share = gauss_legendre(ACROSS)
        span = np.maximum(high - low, 0.0)[:, None]
        theta = low[:, None] + span * (node + 1.0) / 2.0
        axial, part = gauss_legendre(ALONG)
        psi = axial * np.pi / 2.0
        facing = np.maximum(
            np.cos(theta) * self._normals[:, :1] + np.sin(theta) * self._normals[:, 1:], 0.0
        )
        weight = (facing * span * share / 2.0)[..., None] * np.cos(psi) ** 2 * part * np.pi / 2.0
        gamma = np.arcsin(np.sin(theta)[..., None] * np.cos(psi))
        turned = np.arctan2(
            np.broadcast_to(np.sin(psi), gamma.shape), np.cos(theta)[..., None] * np.cos(psi)
        )
        return np.degrees(gamma), np.degrees(turned), weight

    def _sun(self, turned_deg: FloatArray, elevation_deg: FloatArray) -> FloatArray:
        """(t, strips) mean light of a sun of one lux square on."""
        a, b = self._ends
        share = (np.arange(SUN_POINTS) + 0.5) / SUN_POINTS
        low, high = self._open(a[:, None] + share[:, None] * (b - a)[:, None])  # (strips, k)
        g, h = np.radians(turned_deg), np.radians(elevation_deg)
        way = np.stack([np.cos(h) * np.cos(g), np.sin(h)], axis=-1)
        angle = np.arctan2(way[:, 1], way[:, 0])[:, None, None]
        lit = np.mean((angle > low) & (angle < high), axis=-1)
        up = (elevation_deg > 0)[:, None]
        return np.asarray(np.maximum(way @ self._normals.T, 0.0) * lit * up)

    def _seen(self, sent: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        """What strips send, (..., strips), as the window sees the ground, and the straight line
        through that of the facades opposite, from their foot to their top.
        """
        a, b = self._ends
        eye = np.array([0.0, self.floor_m + EYE_M])
        sines = [(end - eye)[:, 1] / np.linalg.norm(end - eye, axis=1) for end in (a, b)]
        view = 0.5 * np.abs(sines[1] - sines[0])
        soil, sides = slice(STRIPS, 2 * STRIPS), slice(2 * STRIPS, None)
        high = (np.arange(STRIPS) + 0.5) / STRIPS
        share = view[sides] / view[sides].sum()
        mean, middle = sent[..., sides] @ share, float(high @ share)
        rise = (sent[..., sides] @ (share * (high - middle))) / float(share @ (high - middle) ** 2)
        ground = sent[..., soil] @ view[soil] / view[soil].sum()
        return ground, mean - rise * middle, rise


@lru_cache(maxsize=64)
def _sent(street: Street, ground_reflectance: float) -> FloatArray:
    """(strips, 3) as the window sees it (see Street._seen), what comes of light that lands on each."""
    return np.stack(street._seen(street._carried(ground_reflectance).T), axis=-1)


@held(64, 4 * MB)  # all marks and planes of a room ask for the same suns
def _by_sky(street: Street, turned_deg: bytes, elevation_deg: bytes) -> FloatArray:
    """(t, strips) light of the clear sky that lands on each, for suns as in Street.clear."""
    gamma, turned, weight = (part.reshape(3 * STRIPS, -1) for part in street._sky)
    own = np.zeros((*weight.shape, 3 * STRIPS))  # each strip's directions are its own
    strips = np.arange(3 * STRIPS)
    own[strips, :, strips] = weight
    suns, height = np.frombuffer(turned_deg), np.frombuffer(elevation_deg)
    lands = np.zeros((len(height), 3 * STRIPS))
    for first in range(0, len(height), SUNS_AT_ONCE):
        some = slice(first, first + SUNS_AT_ONCE)
        lands[some] = clear_through(
            gamma.ravel(),
            turned.ravel(),
            own.reshape(-1, 3 * STRIPS),
            height[some],
            suns[some],
        )
    return lands * sky_lux(height, CLEAR)[:, None]


@lru_cache(maxsize=64)
def _overcast(street: Street, ground_reflectance: float) -> tuple[float, float, float]:
    gamma, _, weight = street._sky
    lands = np.sum(overcast_spread(gamma) * weight, axis=(1, 2))
    ground, foot, rise = lands @ _sent(street, ground_reflectance)
    return float(ground), float(foot), float(rise)
