"""What the light of a room rests on: each fact with the share by which it moves the light, what is
recorded as well as it was taken, what is not between its bounds.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from scout.assess.answers import RangeFact
from scout.assess.daylight.place.where import WallFacings
from scout.assess.daylight.room.frames import DARK_FRAME, PALE_FRAME
from scout.assess.daylight.room.reckoned import (
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
from scout.assess.daylight.room.street import street_open
from scout.assess.daylight.room.trust import (
    GLASS_METERED,
    LEVEL_GUESSED,
    LEVEL_METERED,
    glass_doubt,
    length_doubt_m,
    level_doubt,
)
from scout.calc.bounce.surface import BRIGHTEST_LEVEL
from scout.calc.daylight.mark.doubt import by_reflectance, falling_on_patches
from scout.calc.daylight.mark.room_light import straight_by_overcast
from scout.calc.daylight.window.glazing import Glazing
from scout.calc.geometry import FloatArray, plan_area_m2, walls
from scout.records.sheet import RoomSheet
from scout.values import Said


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
    recorded: bool = True


def sources(
    sheet: RoomSheet,
    facings: WallFacings,
    light: LightRoom,
    places: Points,
    ways: Points,
    ground: float,
) -> tuple[Source, ...]:
    """What the light of a room rests on, but for ground, facing and what stands between bounds."""
    ready = light.ready
    if not ready.glazing:
        return ()
    marks = light.light.marks
    straight = np.array([mark.direct.overcast(ground) for mark in marks])
    reflected = np.array(
        [0.0 if mark.reflected is None else mark.reflected.overcast(ground) for mark in marks]
    )
    found = [*_glass(sheet, ready, len(marks))]
    moved = _moved(light, ground, reflected)
    found += [*_surfaces(sheet, moved, len(marks)), *_pieces(sheet, ready, moved, len(marks))]
    found += _sizes(sheet, facings, ready, places, ways, ground, straight)
    found += _frames(sheet, ready, places, ways, ground, straight)
    return tuple(found)


def _frames(
    sheet: RoomSheet,
    ready: Reckoned,
    places: Points,
    ways: Points,
    ground: float,
    straight: FloatArray,
) -> Iterator[Source]:
    """Reveals and overhangs as dark and as pale as they may be: the straight light looked at again,
    the light by way of surfaces as what enters through the largest of those windows.
    """
    given = {window.id: window for window in sheet.room.windows or ()}
    largest = max(ready.glazing, key=lambda glass: glass.pane.width_m * glass.pane.height_m)
    wall = walls(ready.plan_m)[largest.pane.wall]
    pane = largest.pane
    inside = wall.point(pane.offset_m + pane.width_m / 2, pane.sill_m + pane.height_m / 2)
    at = inside - 0.05 * np.append(wall.outward, 0.0)
    here = (float(at[0]), float(at[1]), float(at[2]))
    out = (float(wall.outward[0]), float(wall.outward[1]), 0.0)
    for part, fact in (("reveal", "reveal_reflectance"), ("underside", "overhang_reflectance")):
        framed = [
            glass
            for glass in ready.glazing
            if (glass.pane.reveal_m if part == "reveal" else glass.pane.overhang_m) > 0
        ]
        if not framed:
            continue
        known = {glass.id: getattr(given[glass.id], fact) is not None for glass in framed}
        ends = []
        for pale in (False, True):
            glazing = [
                _at_end(glass, part, known.get(glass.id), pale=pale) for glass in ready.glazing
            ]
            by_sky = [
                straight_by_overcast(
                    ready.plan_m, ready.height_m, tuple(glazing), at, looks, ready.boxes, ground
                )
                for at, looks in ((places, ways), ((here,), (out,)))
            ]
            ends.append(np.concatenate(by_sky))
        half = np.log(np.maximum(ends[1], 1e-12) / np.maximum(ends[0], 1e-12)) / 2.0
        moved = np.where(straight > 0, half[:-1], 0.0)
        widest = min(known, key=lambda name: (known[name], name != largest.id))
        yield Source(
            f"windows.{widest}.{fact}",
            moved,
            np.full(len(straight), half[-1]),
            0.2 if not known[widest] else 0.5,
            recorded=known[widest],
        )


def _at_end(glass: Glazing, part: str, known: bool | None, *, pale: bool) -> Glazing:
    """A window with its reveal or its overhang as dark or as pale as that may be. known: whether
    its level is recorded; None: it has none.
    """
    if known is None:
        return glass
    level = PALE_FRAME if pale else DARK_FRAME
    if known:
        given = glass.reveal if part == "reveal" else glass.underside
        level = min(given * (1.0 + (LEVEL_GUESSED if pale else -LEVEL_GUESSED)), BRIGHTEST_LEVEL)
    return replace(glass, reveal=level) if part == "reveal" else replace(glass, underside=level)


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


def _moved(light: LightRoom, ground: float, reflected: FloatArray) -> FloatArray:
    """(planes, surfaces) share by which the light by way of surfaces grows for each share that a
    surface reflects more: walls, floor, ceiling, panes, doors, what stands in the room.
    """
    ready = light.ready
    lumens, surface = falling_on_patches(
        ready.plan_m,
        ready.height_m,
        ready.glazing,
        ready.levels,
        ready.doors,
        ready.door_reflectance,
        ground,
        ready.boxes,
        ready.box_levels,
    )
    count = len(ready.plan_m) + 2 + len(ready.glazing) + len(ready.doors) + len(ready.boxes)
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


def _pieces(sheet: RoomSheet, ready: Reckoned, moved: FloatArray, planes: int) -> Iterator[Source]:
    """What stands in the room and has a reflectance on record, all of it together."""
    given = [p for p in sheet.room.furniture or () if p.reflectance is not None or p.colour]
    if not given or not ready.boxes:
        return
    part = LEVEL_GUESSED * moved[:, moved.shape[1] - len(ready.boxes) :].sum(axis=1)
    path = f"furniture.{given[0].id}.reflectance"
    yield Source(path, np.zeros(planes), part, LEVEL_METERED / LEVEL_GUESSED)


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
        ready = ready.around(places)
        there = straight_by_overcast(
            ready.plan_m, ready.height_m, ready.glazing, places, ways, ready.boxes, ground
        )
        both = (there > 0) & (straight > 0)
        moved[both] = np.abs(np.log(there[both] / straight[both]))
    return Source(fact, moved, np.full(len(straight), by_surfaces), 0.5)


def taken_facts(
    sheet: RoomSheet, light: LightRoom, ground: float, number: int
) -> tuple[RangeFact, ...]:
    """What is not recorded, with its part of the way from one bound to the other: panes by the
    ratio of their bounds, surfaces by how much each of them moves the light, street and furniture by the rest.
    """
    ready = light.ready
    if light.bounds is None:
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
        rows.append(RangeFact(f"windows.{widest}.transmittance", pct(by_glass), recorded=False))
        half -= by_glass
    names = surface_names(sheet.room)
    surfaces = sheet.room.surfaces or {}
    unknown = [k for k, name in enumerate(names) if surface_level(name, surfaces.get(name)) is None]
    mark = light.light.marks[number]
    stands = sheet.room.furnished == "usual" or any(
        piece.reflectance is None and not piece.colour for piece in sheet.room.furniture or ()
    )
    street = street_open(sheet.room) if any(glass.street for glass in ready.glazing) else ()
    if unknown and mark.reflected is not None:
        reflected = mark.reflected.overcast(ground)
        one = replace(light, light=replace(light.light, marks=(mark,)))
        moved = _moved(one, ground, np.array([reflected]))[0][unknown] * np.log(PALE / DARK) / 2.0
        moved *= reflected / max(reflected + mark.direct.overcast(ground), 1e-12)
        whole = max(float(moved.sum()), 1e-12)
        parts = moved * (min(1.0, half / whole) if stands or street else half / whole)
        half -= float(parts.sum())
        rows += [
            RangeFact(f"surfaces.{names[k]}.light_reflectance", pct(float(part)), recorded=False)
            for k, part in zip(unknown, parts, strict=True)
        ]
    # what would be published as nothing is rounding, and nothing to measure
    if street and pct(half) > 0:
        by_street = half / 2.0 if stands else half
        rows.append(RangeFact(street[0], pct(by_street), recorded=False))
        half -= by_street
    if stands and pct(half) > 0:
        named = (
            "furnished" if not sheet.room.furniture else f"furniture.{sheet.room.furniture[0].id}"
        )
        path = f"room.{named}" if named == "furnished" else f"{named}.reflectance"
        rows.append(RangeFact(path, pct(half), recorded=False))
    return tuple(rows)


def pct(half: float) -> float:
    """A half width as it is published."""
    return round(100.0 * half, 1)
