"""How long a lead must be at least, from the best of several outlets to many places at once: the runs
of run.py, all together.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scout.calc.geometry import FloatArray, require
from scout.calc.power.run import SLACK, OnWall, on_plan_m
from scout.calc.power.ways import Floor, Sources
from scout.errors import OutOfRange
from scout.values import said


@dataclass(frozen=True)
class Reach:
    """Outlets on the walls round a floor, each with its height above it [m]."""

    floor: Floor
    outlets: tuple[tuple[OnWall, float], ...]

    def __post_init__(self) -> None:
        if not self.outlets:
            raise OutOfRange("outlets", 0, said("refusal.no_outlet"))

    @cached_property
    def _sources(self) -> Sources:
        return self.floor.sources(
            np.array([on_plan_m(self.floor.plan_m, outlet) for outlet, _ in self.outlets]),
            [float(require("outlet_height_m", high, least=0)) for _, high in self.outlets],
        )

    def needed_m(self, at_m: ArrayLike) -> FloatArray:
        """(...) the lead that brings mains to lights at (..., 3) from the outlet whose way crosses
        least, of those the shortest; heights and slack included.

        Raises: OutOfRange
        Source: as run.py's cable_run
        """
        at = require("at_m", at_m)
        flat = at.reshape(-1, 3)
        long = self.floor.lengths_m(self._sources, flat[:, :2]).reshape(at.shape[:-1])
        return np.asarray((long + np.maximum(at[..., 2], 0.0)) * (1.0 + SLACK))

    def reaches(self, at_m: ArrayLike, lead_m: float) -> NDArray[np.bool_]:
        """(n,) whether a lead brings mains to lights at (n, 3): whether `needed_m` is no more than it
        is long. Raises OutOfRange.
        """
        at = require("at_m", at_m)
        most = (lead_m + 1e-9) / (1.0 + SLACK) - np.maximum(at[:, 2], 0.0)
        return self.floor.within(self._sources, at[:, :2], most)
