"""How long a lead must be at least, from the nearest of several outlets to many places at once: the
runs of run.py, all together.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike

from scout.calc import geometry
from scout.calc.geometry import FloatArray, require
from scout.calc.power.run import SLACK, OnWall, Trodden, goes_across, no_such_wall
from scout.errors import OutOfRange
from scout.values import said


@dataclass(frozen=True)
class Reach:
    """Outlets on the walls of a plan, each with its height above the floor [m], and the doors that
    leads go round where they can. `trodden`: where no lead goes straight over the floor; None: none
    does.
    """

    plan_m: FloatArray
    outlets: tuple[tuple[OnWall, float], ...]
    doors: tuple[OnWall, ...] = ()
    trodden: Trodden | None = None

    def __post_init__(self) -> None:
        if not self.outlets:
            raise OutOfRange("outlets", 0, said("refusal.no_outlet"))

    @cached_property
    def _walls(self) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
        """Start (n, 2), along (n, 2), length (n,) of the walls, and how far round each begins (n +
        1,).
        """
        found = geometry.walls(self.plan_m)
        lengths = np.array([wall.length_m for wall in found])
        return (
            np.array([w.start_m for w in found]),
            np.array([w.along for w in found]),
            lengths,
            np.concatenate([[0.0], np.cumsum(lengths)]),
        )

    def _round_m(self, thing: OnWall) -> float:
        """How far round the walls a thing's left end is."""
        letters = [wall.letter for wall in geometry.walls(self.plan_m)]
        _, _, lengths, starts = self._walls
        if thing.wall not in letters:
            raise no_such_wall(thing.wall, letters)
        number = letters.index(thing.wall)
        offset = float(
            require("offset_m", thing.offset_m, least=0, most=float(lengths[number]) + 0.01)
        )
        return float(starts[number]) + min(offset, float(lengths[number]))

    @cached_property
    def _plugs(self) -> Sequence[tuple[float, float]]:
        return [
            (self._round_m(outlet), float(require("outlet_height_m", height_m, least=0)))
            for outlet, height_m in self.outlets
        ]

    @cached_property
    def _at_m(self) -> Sequence[FloatArray]:
        """(2,) where each outlet is in plan."""
        by_letter = {wall.letter: wall for wall in geometry.walls(self.plan_m)}
        return [by_letter[outlet.wall].point(outlet.offset_m)[:2] for outlet, _ in self.outlets]

    @cached_property
    def _lefts(self) -> Sequence[tuple[float, float, int]]:
        exit_counts = len(self.doors) + 1  # one exit counts for more than all the doors
        return [
            (self._round_m(door), door.width_m, exit_counts if door.keep_free else 1)
            for door in self.doors
        ]

    def _crossed(self, first: ArrayLike, along: FloatArray) -> FloatArray:
        """(...) doors passed by runs clockwise from `first`, so long; exits count for more."""
        around = float(self._walls[3][-1])
        count = np.zeros(along.shape)
        for left, width, weight in self._lefts:
            first_at = np.asarray(first, dtype=np.float64)
            passed = (along > 1e-9) & (
                ((left - first_at) % around < along - 1e-9)
                | ((first_at - left) % around < width - 1e-9)
            )
            count = count + weight * passed
        return count

    def needed_m(self, at_m: ArrayLike) -> FloatArray:
        """(...) the shortest lead that brings mains to lights at (..., 3): along the walls, then
        straight out, or over the floor where nobody walks, heights and slack included.

        Raises: OutOfRange
        Source: as run.py's cable_run: the nearest wall's foot (of walls equally near the
            first), the way that crosses fewest exits, then doors, of two alike the shorter
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
        for (begins, height_m), plug_m in zip(self._plugs, self._at_m, strict=True):
            rightward = (foot - begins) % around
            leftward = np.where(rightward > 0, around - rightward, 0.0)
            by_right = self._crossed(begins, rightward) if self.doors else np.zeros(foot.shape)
            by_left = self._crossed(foot, leftward) if self.doors else by_right
            chosen = np.where(
                by_right < by_left,
                rightward,
                np.where(by_right > by_left, leftward, np.minimum(rightward, leftward)),
            )
            need = chosen + out
            if self.trodden is not None:
                straight = np.linalg.norm(at[..., :2] - plug_m, axis=-1)
                shorter = goes_across(
                    (need - straight) * (1.0 + SLACK), np.minimum(by_right, by_left)
                )
                shorter[shorter] = self.trodden.free(self.plan_m, plug_m, at[shorter])
                need = np.where(shorter, straight, need)
            best = np.minimum(best, need + height_m)
        return np.asarray((best + np.maximum(at[..., 2], 0.0)) * (1.0 + SLACK))
