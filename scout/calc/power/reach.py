"""How long a lead must be at least, from the nearest of several outlets to many places at once: the runs of run.py, all together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike

from scout.calc import geometry
from scout.calc.geometry import FloatArray, require
from scout.calc.power.run import SLACK, OnWall
from scout.errors import OutOfRange


@dataclass(frozen=True)
class Reach:
    """Outlets on the walls of a plan, each with its height above the floor [m]."""

    plan_m: FloatArray
    outlets: tuple[tuple[OnWall, float], ...]

    def __post_init__(self) -> None:
        if not self.outlets:
            raise OutOfRange("outlets", 0, "must be one or more")

    @cached_property
    def _walls(self) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
        """Start (n, 2), along (n, 2), length (n,) of the walls, and how far round each begins (n + 1,)."""
        found = geometry.walls(self.plan_m)
        lengths = np.array([wall.length_m for wall in found])
        return np.array([w.start_m for w in found]), np.array([w.along for w in found]), lengths, np.concatenate([[0.0], np.cumsum(lengths)])

    @cached_property
    def _plugs(self) -> Sequence[tuple[float, float]]:
        letters = [wall.letter for wall in geometry.walls(self.plan_m)]
        _, _, lengths, starts = self._walls
        found = []
        for outlet, height_m in self.outlets:
            if outlet.wall not in letters:
                raise OutOfRange("wall", outlet.wall, f"is no wall of this plan; give {letters[0]} to {letters[-1]}")
            number = letters.index(outlet.wall)
            offset = float(require("offset_m", outlet.offset_m, least=0, most=float(lengths[number]) + 0.01))
            found.append((float(starts[number]) + min(offset, float(lengths[number])), float(require("outlet_height_m", height_m, least=0))))
        return found

    def needed_m(self, at_m: ArrayLike) -> FloatArray:
        """(...) the shortest lead that brings mains to lights at (..., 3): along the walls, then straight out, heights and slack included.

        Raises: OutOfRange
        Source: as run.py's cable_run, the nearest wall's foot; of walls equally near, the first
        """
        at = require("at_m", at_m)
        start, along, lengths, starts = self._walls
        away = at[..., None, :2] - start
        offset = np.clip(np.sum(away * along, axis=-1), 0.0, lengths)
        off = np.linalg.norm(away - offset[..., None] * along, axis=-1)
        # Equally near to a hair: the first, as a single run takes it.
        wall = np.argmin(np.round(off, 9), axis=-1)
        foot = starts[wall] + np.take_along_axis(offset, wall[..., None], axis=-1)[..., 0]
        out = np.take_along_axis(off, wall[..., None], axis=-1)[..., 0]
        around = float(starts[-1])
        best = np.full(foot.shape, np.inf)
        for begins, height_m in self._plugs:
            rightward = (foot - begins) % around
            best = np.minimum(best, np.minimum(rightward, around - rightward) + height_m)
        return np.asarray((best + out + np.maximum(at[..., 2], 0.0)) * (1.0 + SLACK))
