"""Light at a mark under a clear sky: exact for a few instants, and from a table of sun places for
many.

Under a clear sky everything but the sun's own beam changes little from one place of the sun to the
next. So for a year of
instants the rest is worked out on a grid of 5 degrees, only where the sun of those instants goes,
and read between; whether
the beam itself reaches the mark is asked of every instant.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from scout.calc.daylight.mark.room_light import MarkLight, RoomLight
from scout.calc.daylight.mark.sun_in_room import sun_beam, sun_scattered
from scout.calc.daylight.mark.weights import Weights
from scout.calc.daylight.outside.sky import CLEAR, clear_through, direct_normal_lux, sky_lux
from scout.calc.daylight.outside.skyline import skyline_deg
from scout.calc.daylight.sun.position import towards
from scout.calc.geometry import FloatArray, require

GRID_DEG = 5.0
_COLUMNS, _ROWS = round(360.0 / GRID_DEG), round(90.0 / GRID_DEG)
LOWEST_DEG = 0.1  # the formulas of the sky reach down to the horizon, not onto it
_CHUNK = 2_000_000  # pairs of sun place and direction worked on at once


@dataclass(frozen=True)
class ClearLight:
    """(t,) light at a mark and whether the sun itself reaches it."""

    lux: FloatArray
    lit: NDArray[np.bool_]


@dataclass(frozen=True)
class ClearParts(ClearLight):
    """(t,) of that light: the sun's own beam, what comes by way of surfaces, and what the ground
    outside sends by either way.
    """

    beam: FloatArray
    by_surfaces: FloatArray
    by_ground: FloatArray


class Spot(Protocol):
    """A plane at a mark as the sky and the sun meet it; bearings of `weights` are true once
    turn_deg is added.
    """

    @property
    def weights(self) -> tuple[Weights, ...]: ...

    @property
    def turn_deg(self) -> float: ...

    def beam(
        self, azimuth_deg: FloatArray, elevation_deg: FloatArray, normal_lux: FloatArray
    ) -> tuple[FloatArray, NDArray[np.bool_]]:
        """(t,) lux of the unscattered sun, and whether it reaches the mark."""
        ...

    def scattered(
        self, azimuth_deg: FloatArray, elevation_deg: FloatArray, normal_lux: FloatArray
    ) -> FloatArray:
        """(t,) lux of the sun by way of surfaces and coverings."""
        ...


@dataclass(frozen=True)
class RoomSpot:
    """A mark in a room. turn_deg: what makes a bearing from the plan's y axis a true one."""

    room: RoomLight
    mark: MarkLight
    turn_deg: float

    @property
    def weights(self) -> tuple[Weights, ...]:
        return (
            (self.mark.direct,)
            if self.mark.reflected is None
            else (self.mark.direct, self.mark.reflected)
        )

    def beam(
        self, azimuth_deg: FloatArray, elevation_deg: FloatArray, normal_lux: FloatArray
    ) -> tuple[FloatArray, NDArray[np.bool_]]:
        """(t,) lux of the unscattered sun, and whether it reaches the mark."""
        return sun_beam(self.room, self.mark, azimuth_deg, elevation_deg, normal_lux)

    def scattered(
        self, azimuth_deg: FloatArray, elevation_deg: FloatArray, normal_lux: FloatArray
    ) -> FloatArray:
        """(t,) lux of the sun by way of surfaces and coverings."""
        glowing, by_surfaces = sun_scattered(
            self.room, self.mark, azimuth_deg, elevation_deg, normal_lux
        )
        return glowing + by_surfaces


@dataclass(frozen=True)
class OpenSpot:
    """A mark on open ground. looks: unit normal of its plane, x east, y north, z up."""

    looks: tuple[float, float, float]
    skyline: tuple[tuple[float, float], ...] | None
    weights: tuple[Weights, ...]
    turn_deg: float = 0.0

    def beam(
        self, azimuth_deg: FloatArray, elevation_deg: FloatArray, normal_lux: FloatArray
    ) -> tuple[FloatArray, NDArray[np.bool_]]:
        """(t,) lux of the sun on the plane, and whether the skyline lets it through."""
        lit = (
            np.ones(len(azimuth_deg), dtype=bool)
            if self.skyline is None
            else elevation_deg > skyline_deg(self.skyline, azimuth_deg)
        )
        return np.where(
            lit,
            normal_lux
            * np.maximum(
                towards(np.maximum(elevation_deg, 0.0), azimuth_deg) @ np.array(self.looks), 0.0
            ),
            0.0,
        ), lit

    def scattered(
        self, azimuth_deg: FloatArray, elevation_deg: FloatArray, normal_lux: FloatArray
    ) -> FloatArray:
        """(t,) nothing: what the ground sends is in its weight."""
        return np.zeros(len(azimuth_deg))


def clear_lux(
    spot: Spot,
    azimuth_deg: FloatArray,
    elevation_deg: FloatArray,
    *,
    outside_lux: float | FloatArray,
    ground_reflectance: float,
    beam: bool = True,
) -> ClearParts:
    """Light at a mark under a clear sky with the sun, instant by instant.

    azimuth_deg, elevation_deg: (t,) the sun where it is up
    outside_lux: scalar or (t,), sunlight outside the air, square on [lux]
    beam:        whether the sun's own beam is asked for
    Returns:     ClearParts; without reflectances `lux` is the straight part alone
    Source:      CIE clear sky type 12 and IES availability (sky.py), the spot's weights, and
        the sun ray by ray
    Limits:      means; what stands before the sky is lit by half the sky and the ground, not by
        the sun, unless it is known what street it is
    """
    return clear_luxes(
        [spot],
        azimuth_deg,
        elevation_deg,
        outside_lux=outside_lux,
        ground_reflectance=ground_reflectance,
        beam=beam,
    )[0]


def clear_luxes(
    spots: Sequence[Spot],
    azimuth_deg: FloatArray,
    elevation_deg: FloatArray,
    *,
    outside_lux: float | FloatArray,
    ground_reflectance: float,
    beam: bool = True,
) -> list[ClearParts]:
    """As clear_lux for several planes under the same suns: those that look out in the same
    directions (one place, or one room at its bounds) share what the sky is there.
    """
    normal = direct_normal_lux(elevation_deg, 1.0) * outside_lux
    level_sky = sky_lux(elevation_deg, CLEAR)
    level = level_sky + normal * np.sin(np.radians(elevation_deg))
    every = [(one, spot.turn_deg) for spot in spots for one in spot.weights]
    skies = iter(_skies(every, azimuth_deg, elevation_deg))
    found = []
    for spot in spots:
        shone, lit = np.zeros_like(normal), np.zeros(normal.shape, dtype=bool)
        if beam:
            shone, lit = spot.beam(azimuth_deg, elevation_deg, normal)
        scattered = spot.scattered(azimuth_deg, elevation_deg, normal)
        straight, *by_surfaces = (
            _below(one, azimuth_deg, elevation_deg, normal, ground_reflectance)
            + level_sky * next(skies)
            for one in spot.weights
        )
        reflected = scattered + sum(by_surfaces)
        ground = sum(one.ground for one in spot.weights) * ground_reflectance * level / np.pi
        found.append(ClearParts(shone + straight + reflected, lit, shone, reflected, ground))
    return found


class ClearTable:
    """A mark's clear-sky light over the sun places that some instants need; then any of those
    instants in one step.
    """

    def __init__(
        self,
        spot: Spot,
        azimuth_deg: FloatArray,
        elevation_deg: FloatArray,
        *,
        ground_reflectance: float,
    ) -> None:
        self.spot = spot
        used = np.zeros((_ROWS + 1, _COLUMNS), dtype=bool)
        (row, column), _ = _cell(azimuth_deg, elevation_deg)
        for down in (0, 1):
            for right in (0, 1):
                used[row + down, (column + right) % _COLUMNS] = True
        rows, columns = np.nonzero(used)
        s, h = (
            require("azimuth", columns * GRID_DEG),
            require("elevation", np.maximum(rows * GRID_DEG, LOWEST_DEG)),
        )
        nothing, unit = np.zeros(len(s)), np.ones(len(s))
        # for each lux of the sky's own: near the horizon that grows as a square root, which no
        # straight line follows
        self.sky = self._grid(
            rows,
            columns,
            _sky_and_ground(spot, s, h, nothing, ground_reflectance) / sky_lux(h, CLEAR),
        )
        by_ground = _sky_and_ground(spot, s, h, unit, ground_reflectance, sky=False)
        self.sun = self._grid(rows, columns, spot.scattered(s, h, unit) + by_ground)

    def _grid(
        self, rows: NDArray[np.intp], columns: NDArray[np.intp], values: FloatArray
    ) -> FloatArray:
        grid = np.zeros((_ROWS + 1, _COLUMNS))
        grid[rows, columns] = values
        return grid

    def lux(
        self, azimuth_deg: FloatArray, elevation_deg: FloatArray, outside_lux: float | FloatArray
    ) -> ClearLight:
        """As clear_lux, for instants whose sun stands where the table was made for.

        Limits: the beam itself exact; the rest within a few per cent of clear_lux (see the tests)
        """
        normal = direct_normal_lux(elevation_deg, 1.0) * outside_lux
        beam, lit = self.spot.beam(azimuth_deg, elevation_deg, normal)
        sky = sky_lux(elevation_deg, CLEAR) * self._read(self.sky, azimuth_deg, elevation_deg)
        return ClearLight(
            beam + sky + normal * self._read(self.sun, azimuth_deg, elevation_deg), lit
        )

    def _read(
        self, grid: FloatArray, azimuth_deg: FloatArray, elevation_deg: FloatArray
    ) -> FloatArray:
        (row, column), (down, right) = _cell(azimuth_deg, elevation_deg)
        below, beside = np.minimum(row + 1, _ROWS), (column + 1) % _COLUMNS
        upper = grid[row, column] * (1.0 - right) + grid[row, beside] * right
        lower = grid[below, column] * (1.0 - right) + grid[below, beside] * right
        return np.asarray(upper * (1.0 - down) + lower * down)


def _cell(
    azimuth_deg: FloatArray, elevation_deg: FloatArray
) -> tuple[tuple[NDArray[np.intp], NDArray[np.intp]], tuple[FloatArray, FloatArray]]:
    require("elevation_deg", elevation_deg, least=-90, most=90)
    up, across = np.maximum(elevation_deg, 0.0) / GRID_DEG, (azimuth_deg % 360.0) / GRID_DEG
    row = np.minimum(up.astype(np.intp), _ROWS - 1)
    column = np.minimum(across.astype(np.intp), _COLUMNS - 1)
    return (row, column), (up - row, across - column)


def _sky_and_ground(
    spot: Spot,
    azimuth_deg: FloatArray,
    elevation_deg: FloatArray,
    normal_lux: FloatArray,
    ground: float,
    *,
    sky: bool = True,
) -> FloatArray:
    """(t,) what sky, sunlit ground and things before the sky bring, straight and by the surfaces."""
    total = np.zeros(len(elevation_deg))
    for weights in spot.weights:
        total += _below(weights, azimuth_deg, elevation_deg, normal_lux, ground, sky=sky)
    if sky:
        own = _skies([(one, spot.turn_deg) for one in spot.weights], azimuth_deg, elevation_deg)
        total += sky_lux(elevation_deg, CLEAR) * sum(own)
    return total


def _below(
    weights: Weights,
    azimuth_deg: FloatArray,
    elevation_deg: FloatArray,
    normal_lux: FloatArray,
    ground: float,
    *,
    sky: bool = True,
) -> FloatArray:
    """(t,) what ground and things before the sky bring by one set of weights."""
    level_sky = sky_lux(elevation_deg, CLEAR) if sky else np.zeros_like(elevation_deg)
    level = level_sky + normal_lux * np.sin(np.radians(np.maximum(elevation_deg, 0.0)))
    facade = ground * (0.5 * level_sky + 0.5 * ground * level)
    total = np.asarray((weights.ground * ground * level + weights.obstruction * facade) / np.pi)
    for part in weights.streets:
        soil, foot, rise = part.street.clear(
            ground, azimuth_deg - part.facing_deg, elevation_deg, normal_lux, sky=sky
        )
        total += (part.ground * soil + part.facade * foot + part.up_facade * rise) / np.pi
    return total


def _skies(
    every: Sequence[tuple[Weights, float]], azimuth_deg: FloatArray, elevation_deg: FloatArray
) -> list[FloatArray]:
    """(t,) for each set of weights, and its turn, the sky's own for each lux of its light; sets of
    the same directions together.
    """
    found = [np.zeros(len(elevation_deg)) for _ in every]
    alike: dict[tuple[bytes, bytes, float], list[int]] = {}
    for number, (one, turn_deg) in enumerate(every):
        key = one.bearing_deg.tobytes(), one.elevation_deg.tobytes(), turn_deg
        alike.setdefault(key, []).append(number)
    for numbers in alike.values():
        first, turn_deg = every[numbers[0]]
        weight = np.stack([every[number][0].sky for number in numbers], axis=1)
        # a window behind an upright plane is listed with no weight
        seen = np.flatnonzero(np.any(weight > 0, axis=1))
        if not len(seen):
            continue
        high, bearing = first.elevation_deg[seen], first.bearing_deg[seen] + turn_deg
        for start in range(0, len(elevation_deg), step := max(1, _CHUNK // len(seen))):
            some = slice(start, start + step)
            sums = clear_through(
                high, bearing, weight[seen], elevation_deg[some], azimuth_deg[some]
            )
            for number, sky in zip(numbers, sums.T, strict=True):
                found[number][some] = sky
    return found
