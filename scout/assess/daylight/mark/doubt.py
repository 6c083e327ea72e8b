"""How good each figure of daylight is, and which fact its width comes from: first order, for what
is recorded; what is not stands between its bounds (`room/reckoned.py`) and is told here beside the rest.

A doubt is a half width that the truth lies within nine times in ten. Independent doubts add as
squares, on a scale of ratios; what was taken the same way (all walls, all panes) goes together.
Left out, and so said: the sky itself, whose instants differ from its mean by half to double, and
where exactly somebody stands.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from scout.assess.answers import RangeFact
from scout.assess.daylight.room.sources import Source, pct
from scout.assess.daylight.room.trust import ground_doubt
from scout.calc.daylight.mark.clear_day import ClearParts, Spot
from scout.calc.daylight.mark.doubt import turned_lux, turns_deg
from scout.calc.geometry import FloatArray
from scout.records.sheet import RoomSheet
from scout.values import Figure, Said, Word, said

FACING_CHECKED_DEG = 5.0
SAFE = 1.1  # what a first order leaves out: products of doubts, turns that dim either way
LEAST_WIDTH = 0.02  # widths under two per cent are not talked about


@dataclass(frozen=True)
class Plane:
    """What a plane receives under cloud, for each lux outdoors; `ground`: of it by the ground."""

    straight: float
    by_surfaces: float
    ground: float

    @property
    def factor(self) -> float:
        return self.straight + self.by_surfaces


@dataclass(frozen=True)
class Clear:
    """A plane under a clear sky at the instants of a day when the sun is up."""

    spot: Spot
    parts: ClearParts
    up: NDArray[np.bool_]  # at which steps of the day it is up
    at_s: FloatArray
    azimuth_deg: FloatArray
    elevation_deg: FloatArray
    outside_lux: float


@dataclass(frozen=True)
class PlaneDoubt:
    """Half widths as ratios (natural logarithm): under cloud, and down and up at each of the
    instants of `Clear`; and what they come from, the widest first.
    """

    overcast: float
    clear_down: FloatArray | None
    clear_up: FloatArray | None
    facts: tuple[RangeFact, ...]


def plane_doubt(
    sheet: RoomSheet,
    number: int,
    plane: Plane,
    found: Sequence[Source],
    taken: Sequence[RangeFact],
    facing_deg: float,
    ground: float,
    clear: Clear | None,
) -> PlaneDoubt:
    """The doubt of one plane.

    found, number: as `sources` gives them, and which of their planes it is
    taken:         what is not recorded, as `taken_facts` tells it
    """
    off_ground, metered = ground_doubt(sheet)
    off_ground, metered = off_ground / max(ground, 0.01), metered / max(ground, 0.01)
    cloudy: list[tuple[str, float, float]] = []
    sunny: list[tuple[str, FloatArray, float]] = []
    whole = max(plane.factor, 1e-12)
    lit = None if clear is None else np.maximum(clear.parts.lux, 1e-9)
    for source in found:
        a, b = float(source.straight[number]), float(source.by_surfaces[number])
        half = (a * plane.straight + b * plane.by_surfaces) / whole
        cloudy.append((source.fact, half, source.best))
        if clear is not None and lit is not None:
            beam = clear.parts.beam if source.moves_beam else np.zeros_like(lit)
            smooth = clear.parts.lux - clear.parts.beam - clear.parts.by_surfaces
            share = (a * (smooth + beam) + b * clear.parts.by_surfaces) / lit
            sunny.append((source.fact, share, source.best))
    path = "location.ground_reflectance"
    cloudy.append((path, off_ground * plane.ground / whole, metered / off_ground))
    down = up = None
    if clear is not None and lit is not None:
        sunny.append((path, off_ground * clear.parts.by_ground / lit, metered / off_ground))
        down, up = _by_facing(clear, lit, facing_deg, ground)
    overcast = _together(half for _, half, _ in cloudy)
    clear_down = clear_up = None
    if down is not None and up is not None and lit is not None:
        squares = np.sum([share**2 for _, share, _ in sunny], axis=0)
        clear_down, clear_up = SAFE * np.sqrt(squares + down**2), SAFE * np.sqrt(squares + up**2)
        sunny.append(
            ("room.facing", (down + up) / 2.0, min(1.0, FACING_CHECKED_DEG / (facing_deg or 5.0)))
        )
    guessed = {source.fact for source in found if not source.recorded}
    facts = tuple(
        replace(fact, recorded=False) if fact.fact in guessed else fact
        for fact in _told(cloudy, sunny, overcast, taken)
    )
    return PlaneDoubt(overcast, clear_down, clear_up, facts)


def _by_facing(
    clear: Clear, lit: FloatArray, doubt_deg: float, ground: float
) -> tuple[FloatArray, FloatArray]:
    """How far down and up the light goes with the room turned within the doubt of its facing."""
    if doubt_deg <= 0 or not len(lit):
        return np.zeros_like(lit), np.zeros_like(lit)
    turned = turned_lux(
        clear.spot,
        clear.parts,
        clear.at_s,
        clear.azimuth_deg,
        clear.elevation_deg,
        turns_deg(doubt_deg),
        outside_lux=clear.outside_lux,
        ground_reflectance=ground,
    )
    low, high = np.minimum(turned.min(axis=0), lit), np.maximum(turned.max(axis=0), lit)
    return np.log(lit / np.maximum(low, 1e-9)), np.log(high / lit)


def _told(
    cloudy: Sequence[tuple[str, float, float]],
    sunny: Sequence[tuple[str, FloatArray, float]],
    overcast: float,
    taken: Sequence[RangeFact],
) -> tuple[RangeFact, ...]:
    """Each fact with its own share and with what would be left of the whole were it measured well,
    the widest first. Under a clear sky: the middle of the day's instants.
    """
    wide = sum(fact.overcast_pct for fact in taken) / 100.0
    typical = {name: float(np.mean(share)) if len(share) else 0.0 for name, share, _ in sunny}
    clear = _together(typical.values()) if sunny else None
    best = {name: share for name, _, share in (*cloudy, *sunny)}
    halves = {name: half for name, half, _ in cloudy}
    rows = []
    for name, left in best.items():
        own, own_clear = halves.get(name, 0.0), typical.get(name, 0.0)
        gone, gone_clear = ((SAFE * half) ** 2 * (1.0 - left**2) for half in (own, own_clear))
        rows.append(
            RangeFact(
                name,
                pct(own),
                pct(wide + _root(overcast**2 - gone)),
                None if clear is None else pct(own_clear),
                None if clear is None else pct(wide + _root(clear**2 - gone_clear)),
            )
        )
    rows += [
        replace(
            fact,
            overcast_left_pct=pct(wide + overcast - fact.overcast_pct / 100.0),
            clear_pct=None if clear is None else fact.overcast_pct,
            clear_left_pct=(
                None if clear is None else pct(wide + clear - fact.overcast_pct / 100.0)
            ),
        )
        for fact in taken
    ]
    return tuple(sorted(rows, key=lambda row: -max(row.overcast_pct, row.clear_pct or 0.0)))


def _together(halves: Iterable[float]) -> float:
    return SAFE * float(np.sqrt(sum(half**2 for half in halves)))


def _root(square: float) -> float:
    return float(np.sqrt(max(square, 0.0)))


def range_note(facts: Sequence[RangeFact], overcast_half: float) -> Said | None:
    """Which fact the width under cloud mostly comes from, and what measuring it would make of it."""
    under_cloud = max(facts, key=lambda fact: fact.overcast_pct, default=None)
    if under_cloud is None or under_cloud.overcast_pct < 100.0 * LEAST_WIDTH:
        return None
    return said(
        "light.range_from",
        times=Figure(float(np.exp(overcast_half))),
        fact=Word("fact", under_cloud.fact),
        left=Figure(float(np.exp((under_cloud.overcast_left_pct or 0.0) / 100.0))),
    )
