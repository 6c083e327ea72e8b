"""The figures of a mark once light was read: scaled, and with what is left of their doubt."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from scout.assess.answers import MarkDaylight
from scout.values import Figure, said

Range = tuple[float, float]


@dataclass(frozen=True)
class Scale:
    """What readings under one kind of sky make of the model: the logarithm that its light is scaled
    by, and what is left of its doubt, as a share.
    """

    by: float
    left: float

    def of(self, value: float | None, ends: Range | None, common: float) -> tuple[Any, Any]:
        """A figure and its range; common: the half width that all hours share, as a logarithm. What
        a range has beyond that turns with the hour, and stays.
        """
        if value is None:
            return None, ends
        moved = value * float(np.exp(self.by))
        if ends is None or value <= 0 or ends[0] <= 0:
            return moved, ends
        own = self.left * common
        down, up = (
            float(np.hypot(own, np.sqrt(max(side**2 - common**2, 0.0))))
            for side in (np.log(value / ends[0]), np.log(ends[1] / value))
        )
        return moved, (moved * float(np.exp(-down)), moved * float(np.exp(up)))


def common_half(row: MarkDaylight, plane: str) -> float:
    """The half width that a plane's figures have at every hour, as a logarithm."""
    name = "camera" if plane else "daylight"
    ends: Range | None = getattr(row, f"{name}_factor_range_pct")
    return 0.0 if ends is None or ends[0] <= 0 else float(np.log(ends[1] / ends[0])) / 2.0


def scaled(row: MarkDaylight, scales: Mapping[str, Scale]) -> MarkDaylight:
    """The row by the readings of its sky; the factor goes with the overcast sky."""
    if not scales:
        return row
    changes: dict[str, Any] = {}
    points = list(row.series)
    for plane in ("", "camera_"):
        common = common_half(row, plane)
        for sky, scale in scales.items():
            name = f"{plane}{sky}"
            value, ends = f"{name}_lux_noon", f"{name}_range_lux_noon"
            found = scale.of(getattr(row, value), getattr(row, ends), common)
            changes[value], changes[ends] = found
            for k, point in enumerate(points):
                lux, pair = scale.of(
                    getattr(point, f"{name}_lux"), getattr(point, f"{name}_range_lux"), common
                )
                points[k] = replace(point, **{f"{name}_lux": lux, f"{name}_range_lux": pair})
        if (scale_of := scales.get("overcast")) is not None:
            name = "camera" if plane else "daylight"
            value, ends = f"{name}_factor_pct", f"{name}_factor_range_pct"
            found = scale_of.of(getattr(row, value), getattr(row, ends), common)
            changes[value], changes[ends] = found
    if (read := scales.get("overcast")) is not None and row.range_because is not None:
        half = read.left * common_half(row, "camera_" if row.camera_factor_pct else "")
        changes["range_because"] = said("light.range_read", times=Figure(float(np.exp(half))))
    return replace(row, series=tuple(points), **changes)
