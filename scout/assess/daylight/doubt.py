"""How good each figure of daylight is, and which fact its width comes from: first order, for what
is recorded; what is not stands between its bounds (`room.py`) and is told here beside the rest.

A doubt is a half width that the truth lies within nine times in ten. Independent doubts add as
squares, on a scale of ratios; what was taken the same way (all walls, all panes) goes together.
Left out, and so said: the sky itself, whose instants differ from its mean by half to double, and
where exactly somebody stands.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from scout.assess.answers import RangeFact
from scout.assess.daylight.place import WallFacings
from scout.assess.daylight.room import (
    CLEAR_GLASS,
    DARK,
    DIM_GLASS,
    PALE,
    LightRoom,
    Points,
    Reckoned,
    reckoned,
    surface_level,
    surface_names,
)
from scout.assess.daylight.trust import (
    GLASS_METERED,
    LEVEL_METERED,
    glass_doubt,
    ground_doubt,
    length_doubt_m,
    level_doubt,
)
from scout.calc.daylight.clear_day import ClearParts, Spot
from scout.calc.daylight.doubt import by_reflectance, falling_on_patches, turned_lux, turns_deg
from scout.calc.daylight.room_light import room_light
from scout.calc.geometry import FloatArray, plan_area_m2
from scout.records.sheet import RoomSheet
from scout.values import Figure, Said, Word, said

FACING_CHECKED_DEG = 5.0
SAFE = 1.1  # what a first order leaves out: products of doubts, turns that dim either way
LEAST_WIDTH = 0.02  # widths under two per cent are not talked about


@dataclass(frozen=True)
class Source:
    """One fact, or several taken the same way: the share by which it moves the light that comes
    straight and the light by way of surfaces, plane by plane; `best`: what of that is left where it
    is measured as well as can be.
    """

    fact: str
    straight: FloatArray
    by_surfaces: FloatArray
    best: float
    moves_beam: bool = False


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


def sources(
    sheet: RoomSheet,
    facings: WallFacings,
    light: LightRoom,
    places: Points,
    ways: Points,
    ground: float,
) -> tuple[Source, ...]:
    """What the light of a room rests on that is recorded, but for ground and facing."""
    ready = reckoned(sheet, facings)
    if isinstance(ready, Said) or not ready.glazing:
        return ()
    marks = light.light.marks
    straight = np.array([mark.direct.overcast(ground) for mark in marks])
    reflected = np.array(
        [0.0 if mark.reflected is None else mark.reflected.overcast(ground) for mark in marks]
    )
    found = [*_glass(sheet, ready, len(marks))]
    found += _surfaces(sheet, _moved(light, ready, ground, reflected), len(marks))
    found += _sizes(sheet, facings, ready, places, ways, ground, straight)
    return tuple(found)


def _glass(sheet: RoomSheet, ready: Reckoned, planes: int) -> Iterator[Source]:
    """All panes together, each by its area: most rooms have one kind of glass."""
    areas = {glass.id: glass.pane.width_m * glass.pane.height_m for glass in ready.glazing}
    given = {
        window.id: glass_doubt(sheet, window.id)
        for window in sheet.room.windows or ()
        if window.id in areas and window.transmittance not in (None, 1.0)
    }
    if not given:
        return
    whole = sum(areas.values())
    share = sum(areas[name] * doubt for name, doubt in given.items()) / whole
    least = sum(areas[name] * min(GLASS_METERED, doubt) for name, doubt in given.items()) / whole
    widest = max(given, key=lambda name: areas[name] * given[name])
    all_planes = np.full(planes, share)
    yield Source(f"windows.{widest}.transmittance", all_planes, all_planes, least / share, True)


def _moved(light: LightRoom, ready: Reckoned, ground: float, reflected: FloatArray) -> FloatArray:
    """(planes, surfaces) share by which the light by way of surfaces grows for each share that a
    surface reflects more.
    """
    lumens, surface = falling_on_patches(
        ready.plan_m,
        ready.height_m,
        ready.glazing,
        ready.levels,
        ready.doors,
        ready.door_reflectance,
        ground,
    )
    count = len(ready.plan_m) + 2
    rows = np.stack([by_reflectance(mark, lumens, surface, count) for mark in light.light.marks])
    return np.asarray(rows / np.maximum(reflected, 1e-12)[:, None])


def _surfaces(sheet: RoomSheet, moved: FloatArray, planes: int) -> Iterator[Source]:
    """Walls together, floor, ceiling: those that are recorded."""
    names = surface_names(sheet.room)
    surfaces = sheet.room.surfaces or {}
    doubts = np.array(
        [
            0.0 if surface_level(name, surfaces.get(name)) is None else level_doubt(sheet, name)
            for name in names
        ]
    )
    for group in (range(len(names) - 2), (len(names) - 2,), (len(names) - 1,)):
        part = moved[:, list(group)] * doubts[list(group)]
        if not np.any(part):
            continue
        widest = max(group, key=lambda k: float(moved[:, k].sum() * doubts[k]))
        best = min(1.0, LEVEL_METERED / float(doubts[widest]))
        path = f"surfaces.{names[widest]}.light_reflectance"
        yield Source(path, np.zeros(planes), part.sum(axis=1), best)


def _sizes(
    sheet: RoomSheet,
    facings: WallFacings,
    ready: Reckoned,
    places: Points,
    ways: Points,
    ground: float,
    straight: FloatArray,
) -> Iterator[Source]:
    """Windows a little smaller, and the room a little larger: the straight light looked at again,
    the light by way of surfaces as window area over the area of all surfaces.
    """
    room = sheet.room
    smaller, area, lost = [], 0.0, 0.0
    for window in room.windows or ():
        if window.width_m is None or window.height_m is None:
            return
        path = f"windows.{window.id}"
        across = length_doubt_m(sheet, f"{path}.width_m", window.width_m)
        high = length_doubt_m(sheet, f"{path}.height_m", window.height_m)
        size = {
            "width_m": max(window.width_m - across, 0.5 * window.width_m),
            "height_m": max(window.height_m - high, 0.5 * window.height_m),
        }
        area += window.width_m * window.height_m
        lost += window.width_m * window.height_m - size["width_m"] * size["height_m"]
        smaller.append(window.model_copy(update=size))
    path = f"windows.{max(smaller, key=lambda w: (w.width_m or 0) * (w.height_m or 0)).id}"
    with_less = sheet.model_copy(update={"room": room.model_copy(update={"windows": smaller})})
    yield _resized(
        f"{path}.width_m", with_less, facings, places, ways, ground, straight, lost / area
    )
    across = float(np.sqrt(plan_area_m2(ready.plan_m)))
    named = "room.plan_m" if room.plan_m is not None else "room.length_m"
    more = length_doubt_m(sheet, named.removeprefix("room."), across) / across
    larger = tuple((x * (1.0 + more), y * (1.0 + more)) for x, y in ready.plan_m)
    wider = room.model_copy(update={"plan_m": larger})
    yield _resized(
        named,
        sheet.model_copy(update={"room": wider}),
        facings,
        places,
        ways,
        ground,
        straight,
        2.0 * more,
    )


def _resized(
    fact: str,
    sheet: RoomSheet,
    facings: WallFacings,
    places: Points,
    ways: Points,
    ground: float,
    straight: FloatArray,
    by_surfaces: float,
) -> Source:
    moved = np.full(len(straight), by_surfaces)
    ready = reckoned(sheet, facings)
    if not isinstance(ready, Said):
        seen = room_light(
            ready.plan_m, ready.height_m, ready.glazing, places, None, normals=ways
        ).marks
        there = np.array([mark.direct.overcast(ground) for mark in seen])
        both = (there > 0) & (straight > 0)
        moved[both] = np.abs(np.log(there[both] / straight[both]))
    return Source(fact, moved, np.full(len(straight), by_surfaces), 0.5)


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
    return PlaneDoubt(overcast, clear_down, clear_up, _told(cloudy, sunny, overcast, taken))


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
                _pct(own),
                _pct(wide + _root(overcast**2 - gone)),
                None if clear is None else _pct(own_clear),
                None if clear is None else _pct(wide + _root(clear**2 - gone_clear)),
            )
        )
    rows += [
        replace(
            fact,
            overcast_left_pct=_pct(wide + overcast - fact.overcast_pct / 100.0),
            clear_pct=None if clear is None else fact.overcast_pct,
            clear_left_pct=(
                None if clear is None else _pct(wide + clear - fact.overcast_pct / 100.0)
            ),
        )
        for fact in taken
    ]
    return tuple(sorted(rows, key=lambda row: -max(row.overcast_pct, row.clear_pct or 0.0)))


def _together(halves: Iterable[float]) -> float:
    return SAFE * float(np.sqrt(sum(half**2 for half in halves)))


def _root(square: float) -> float:
    return float(np.sqrt(max(square, 0.0)))


def _pct(half: float) -> float:
    return round(100.0 * half, 1)


def taken_facts(
    sheet: RoomSheet, light: LightRoom, facings: WallFacings, ground: float, number: int
) -> tuple[RangeFact, ...]:
    """What is not recorded, with its part of the way from one bound to the other: panes by the
    ratio of their bounds, surfaces by how much each of them moves the light.
    """
    ready = reckoned(sheet, facings)
    if light.bounds is None or isinstance(ready, Said):
        return ()
    ends = []
    for end in light.bounds:
        mark = end.marks[number]
        by_surfaces = 0.0 if mark.reflected is None else mark.reflected.overcast(ground)
        ends.append(mark.direct.overcast(ground) + by_surfaces)
    if min(ends) <= 0:
        return ()
    half = float(np.log(ends[1] / ends[0])) / 2.0
    open_panes = [
        window.id
        for window in sheet.room.windows or ()
        if window.transmittance is None and window.id in {glass.id for glass in ready.glazing}
    ]
    rows = []
    if open_panes:
        areas = {glass.id: glass.pane.width_m * glass.pane.height_m for glass in ready.glazing}
        share = sum(areas[name] for name in open_panes) / sum(areas.values())
        by_glass = min(half, share * float(np.log(CLEAR_GLASS / DIM_GLASS)) / 2.0)
        widest = max(open_panes, key=lambda name: areas[name])
        rows.append(RangeFact(f"windows.{widest}.transmittance", _pct(by_glass), recorded=False))
        half -= by_glass
    names = surface_names(sheet.room)
    surfaces = sheet.room.surfaces or {}
    unknown = [k for k, name in enumerate(names) if surface_level(name, surfaces.get(name)) is None]
    mark = light.light.marks[number]
    if unknown and mark.reflected is not None:
        reflected = np.array([mark.reflected.overcast(ground)])
        one = replace(light, light=replace(light.light, marks=(mark,)))
        moved = _moved(one, ready, ground, reflected)[0][unknown] * np.log(PALE / DARK)
        parts = half * moved / max(float(moved.sum()), 1e-12)
        rows += [
            RangeFact(f"surfaces.{names[k]}.light_reflectance", _pct(float(part)), recorded=False)
            for k, part in zip(unknown, parts, strict=True)
        ]
    return tuple(rows)


def range_note(facts: Sequence[RangeFact], overcast_half: float) -> Said | None:
    """Which fact the width under cloud mostly comes from, and what measuring it would make of it."""
    under_cloud = max(facts, key=lambda fact: fact.overcast_pct, default=None)
    if under_cloud is None or under_cloud.overcast_pct < 100.0 * LEAST_WIDTH:
        return None
    return said(
        "light.range_from",
        doubt=Figure(100.0 * float(np.expm1(overcast_half)), "%"),
        fact=Word("fact", under_cloud.fact),
        left=Figure(100.0 * float(np.expm1((under_cloud.overcast_left_pct or 0.0) / 100.0)), "%"),
    )
