"""On which scale a need is met and weighed: from which figure it is met, and from where to where it
is worth more.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from math import log2
from typing import Any, NamedTuple

from scout.assess.choice.cells import CellLevel, NeedCell
from scout.assess.choice.room_needs import FACES_DEG
from scout.calc.choice.ranking import ABOUT, BETWEEN, EITHER, SURE
from scout.records.kept import Need
from scout.values import Figure, Value, said

# how far from what is asked a room is still worth something (common practice)
NOISE_DB, HEIGHT_M, LUX_STOPS, PERMIT_DAYS = 15.0, 0.6, 4.0, 30.0


@dataclass(frozen=True)
class Scale:
    """sense: 1 where more is better; met from `limit` on; worth nothing at `worst`, all at `best`."""

    sense: float
    limit: float
    worst: float
    best: float


# where the level is all there is: what does not do, what does with care, what does
LEVELS = Scale(1.0, 0.25, 0.0, 1.0)
_OF_LEVEL: Mapping[CellLevel, float] = {"pass": 1.0, "care": 0.5, "fail": 0.0, "outside": 1.0}
_SCALES: Mapping[str, Callable[[Any], Scale]] = {
    "height": lambda n: Scale(1, n.height_m, n.height_m - HEIGHT_M, n.height_m),
    "depth": lambda n: Scale(1, n.depth_m, n.depth_m / 2, n.depth_m),
    "noise": lambda n: Scale(-1, n.laeq_db, n.laeq_db + NOISE_DB, n.laeq_db),
    "lux": lambda n: Scale(1, log2(n.lux), log2(n.lux) - LUX_STOPS, log2(n.lux)),
    "facing": lambda n: Scale(-1, FACES_DEG, FACES_DEG + 90.0, FACES_DEG),
    "watts": lambda n: Scale(1, n.watts, 0.0, n.watts),
    "sockets": lambda n: Scale(1, n.sockets, 0.0, n.sockets),
    "travel": lambda n: Scale(-1, n.km, 3 * n.km, n.km),
    "permit": lambda n: Scale(-1, n.days, n.days + PERMIT_DAYS, n.days),
    "budget": lambda n: Scale(-1, n.amount, 2 * n.amount or 100.0, n.amount),
}
_UNITS: Mapping[str, Callable[[float], Value]] = {
    "height": lambda x: Figure(x, "m"),
    "depth": lambda x: Figure(x, "m"),
    "noise": lambda x: Figure(x, "dBA"),
    "lux": lambda x: Figure(2.0**x, "lux"),
    "watts": lambda x: Figure(x, "W"),
    "sockets": lambda x: said("need.socket_count", count=round(x)),
    "travel": lambda x: Figure(x, "km"),
    "permit": lambda x: said("need.days", n=round(x)),
    "budget": lambda x: said("need.money", amount=Figure(round(x, 2)), currency=None),
}


def scale_of(need: Need) -> Scale:
    """The scale of a need."""
    made = _SCALES.get(need.topic)
    return LEVELS if made is None else made(need)


def said_on(topic: str, figure: float) -> Value | None:
    """A figure on the scale of a topic; None where it has levels alone."""
    made = _UNITS.get(topic)
    return None if made is None else made(figure)


class Lying(NamedTuple):
    """Where a cell lies on its scale; figure None: nobody knows."""

    figure: float | None
    low: float
    high: float
    spread: int


def lying(scale: Scale, cell: NeedCell) -> Lying:
    """A cell on the scale of its need. What nobody knows and no figure bounds is met or not."""
    reading = cell.reading
    if reading is None:
        if cell.level == "unknown":
            return Lying(None, scale.worst, scale.best, EITHER)
        # on a scale with figures a level stands for its ends
        level = _OF_LEVEL[cell.level]
        at = level if scale is LEVELS else scale.worst if level == 0.0 else scale.limit
        return Lying(at, at, at, SURE)
    if reading.figure is None:
        return Lying(None, reading.low, reading.high, BETWEEN)
    spread = ABOUT if reading.high > reading.low else SURE
    return Lying(reading.figure, reading.low, reading.high, spread)


def settled(need: Need, cell: NeedCell) -> NeedCell:
    """A cell, not known where its figure is past the limit by less than its doubt: whether it meets
    the need nobody can tell.
    """
    if cell.level != "care" or cell.reading is None or cell.reading.figure is None:
        return cell
    scale = scale_of(need)
    holds = scale.sense * (cell.reading.figure - scale.limit) >= -1e-9
    return cell if holds else replace(cell, level="unknown")
