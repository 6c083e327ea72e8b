"""Other ways to light the face than a key on a stand, in the order in which a crew tries them, each
with what it costs.

None at all; a bounce; a light through a window or door from outside; a small light clamped up; one
that seems to come from a window or lamp
of the room.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Literal

import numpy as np

from scout.assess.answers import (
    BounceAnswer,
    DaylightAnswer,
    FitAnswer,
    PlanLight,
    WayAnswer,
    unmeasured,
)
from scout.assess.fit.reasons import degrees, joined, metres
from scout.assess.stage.floor import Ground, ground, stage_of
from scout.assess.stage.kit import lights_by_id
from scout.calc.fit.floor.blocks import hidden_by, in_the_way
from scout.calc.fit.floor.space import CEILING_CLEARANCE_M, sees
from scout.calc.fit.lens.camera import in_frame
from scout.calc.fit.stand.lights import Stage
from scout.calc.geometry import FloatArray, inside, walls
from scout.records.sheet import Light, RoomSheet
from scout.values import Figure, Name, Said, Word, said

# of the light squarely through clear double glass, where the window does not say (common practice)
GLAZING = 0.8
UNDER_LINTEL_M = 0.2  # the light aims in as high as it can, just under the top of the opening
OUTSIDE_M = 1.5  # a stand outside keeps so far off the opening (common practice)
LOWEST_M = 0.3  # no head stands lower
SMALL_HEAD_M = 0.15
# A clamped light is looked for so far off 45 degrees round and up, and at heights so far apart.
# What stands there already is worth so many degrees over a pole that has to be brought.
POLE_DEG = 15.0
CLAMP_OFF_DEG, CLAMP_DOWN_OFF_DEG, CLAMP_STEP_M = 25.0, 20.0, 0.2
HEAD_SIDE_DEG = 110.0  # further round than this it lights no face that looks at the camera


def ways(
    sheet: RoomSheet,
    plan: FitAnswer,
    daylight: DaylightAnswer | None,
    bounced: Sequence[BounceAnswer],
) -> tuple[WayAnswer, ...]:
    """The five ways in the order in which they are tried; without a place for subject and camera
    only what the day gives.
    """
    floor = ground(sheet.room)
    stage = stage_of(sheet, floor)
    key = plan.plan.get("key")
    none = _none(plan, daylight)
    if not isinstance(stage, Stage) or key is None:
        return (none,)
    lights = lights_by_id(sheet)
    light = lights.get(key.light or "")
    return (
        none,
        _bounce(plan.plan.get("bounce"), bounced, light),
        _outside(sheet, stage, floor, key, light),
        _clamp(sheet, stage, floor, key, light),
        _motivated(sheet, stage, floor),
    )


def _none(plan: FitAnswer, daylight: DaylightAnswer | None) -> WayAnswer:
    mark = daylight.marks.get("subject") if daylight is not None else None
    least = mark.overcast_lux_noon if mark is not None else None
    if least is None or plan.needed_lux is None:
        because = said("fit.daylight_unknown") if least is None else said("fit.no_exposure")
        return WayAnswer(way="none", told=said("fit.way_none_unknown"), unknown=because)
    lux, needed = Figure(least, "lux"), Figure(plan.needed_lux, "lux")
    return WayAnswer(
        way="none",
        possible=least >= plan.needed_lux,
        told=said("fit.way_none", lux=lux, needed=needed),
        lux=least,
    )


def _bounce(
    row: PlanLight | None, bounced: Sequence[BounceAnswer], light: Light | None
) -> WayAnswer:
    if row is None or row.surface is None or row.at_m is None:
        because = row.unknown if row is not None else None
        told = joined(said("fit.way_bounce_none"), row.why if row is not None else None)
        return WayAnswer(
            way="bounce", possible=None if because else False, told=told, unknown=because
        )
    found = next(
        (
            b
            for b in bounced
            if light is not None and b.light == light.id and b.surface == row.surface
        ),
        None,
    )
    cost = None if found is None else found.loss_stops
    turned = said("fit.way_bounce", surface=Word("surface", row.surface), cost=_stops(cost))
    way = WayAnswer(way="bounce", possible=row.fits, told=turned, light=row.light, at_m=row.at_m)
    if found is None or (cost is None and found.risk is None):
        because = found.unknown if found is not None else None
        return replace(way, unknown=because or said("fit.way_bounce_colour"))
    risk = None
    if found.risk is not None:
        risk = said("fit.way_bounce_risk", risk=Word("risk", found.risk))
    return replace(
        way,
        told=joined(turned, risk),
        lux=found.bounced_lux,
        lost_stops=cost,
        risk=found.risk,
    )


def _outside(
    sheet: RoomSheet, stage: Stage, floor: Ground, key: PlanLight, light: Light | None
) -> WayAnswer:
    """The opening best placed for a key; on the ground floor alone can a stand be put outside it."""
    if not floor.walled:
        return _not("outside", said("fit.way_outside_open"))
    by_letter = {wall.letter: wall for wall in walls(stage.space.plan_m)}
    found: list[tuple[float, Said, FloatArray, float]] = []
    openings = [
        (
            said("fit.window", label=Name(w.id)),
            GLAZING,
            w.wall,
            w.offset_m,
            w.width_m,
            w.sill_m,
            w.height_m,
        )
        for w in sheet.room.windows or ()
    ]
    openings += [
        (said("fit.door", label=Name(d.id)), 1.0, d.wall, d.offset_m, d.width_m, 0.0, d.height_m)
        for d in sheet.room.doors or ()
    ]
    for name, passes, letter, offset, width, sill, height in openings:
        wall = by_letter.get(letter)
        if wall is None or offset is None or width is None or sill is None or height is None:
            continue
        middle = wall.point(offset + width / 2.0, sill + max(height - UNDER_LINTEL_M, height / 2.0))
        if not bool(
            sees(
                stage.space.plan_m,
                middle[:2] - 1e-3 * wall.outward,
                np.asarray(stage.subject_m)[:2],
            )
        ):
            continue
        across = float(stage.across_deg(middle))
        if abs(across) <= HEAD_SIDE_DEG:
            found.append((abs(abs(across) - 45.0), name, middle, passes))
    if not found:
        return _not("outside", said("fit.way_outside_none"))
    off, name, middle, passes = min(found, key=lambda one: one[0])
    ray = middle - np.asarray(stage.subject_m)
    at = middle + ray / np.linalg.norm(ray) * OUTSIDE_M
    distance = float(np.linalg.norm(at - np.asarray(stage.subject_m)))
    lux = (
        None
        if light is None or light.known_lux_at_1m is None
        else light.known_lux_at_1m * passes / distance**2
    )
    lost = _lost(key, lux)
    down = float(stage.down_deg(at))
    through = said(
        "fit.way_outside",
        opening=name,
        round=degrees(float(stage.across_deg(at))),
        above=Figure(down, "deg"),
        cost=_stops(lost),
    )
    glass = said("fit.glass_passes", share=Figure(100.0 * passes, "%"))
    assumed = (glass if passes < 1 else said("fit.door_open"), said("fit.outside_unseen"))
    place = (float(at[0]), float(at[1]), float(at[2]))
    row = WayAnswer(
        way="outside",
        told=through,
        light=key.light,
        lux=lux,
        lost_stops=lost,
        off_across_deg=off,
        off_down_deg=down - 45.0,
        assumed=assumed,
    )
    if any(bool(in_frame(view, at, 0.3, 0.05)) for view in stage.views[:1]):
        lens = Figure(stage.views[0].focal_length_mm, "mm")
        return replace(
            row,
            possible=False,
            told=joined(through, said("fit.seen", lens=lens)),
        )
    if at[2] < LOWEST_M:
        return replace(row, possible=False, told=joined(through, said("fit.opening_low")))
    if sheet.room.storey is None:
        return replace(row, at_m=place, unknown=unmeasured("room.storey"))
    if sheet.room.storey != 0:
        return replace(
            row,
            possible=False,
            told=joined(through, said("fit.upstairs")),
        )
    return replace(row, possible=True, at_m=place)


def _clamp(
    sheet: RoomSheet, stage: Stage, floor: Ground, key: PlanLight, light: Light | None
) -> WayAnswer:
    """A small head on a pole at any height under the ceiling, on the edge of a piece of furniture or
    on a door's top: nearest the ideal angles of all that is out of frame and in sight of the face.
    """
    ceiling = stage.space.ceiling_m
    if ceiling is None or not floor.walled:
        return _not("clamp", said("fit.way_clamp_open"))
    top = ceiling - CEILING_CLEARANCE_M - SMALL_HEAD_M / 2.0
    if top - stage.subject_m[2] <= 0.1:
        return _not("clamp", said("fit.way_clamp_low"))
    held = [_on_pole(stage, key, top), *_on_pieces(stage, top), *_on_doors(sheet, stage, top)]
    at = np.concatenate([places for places, _ in held])
    on = [what for places, what in held for _ in range(len(places))]
    across, down = stage.across_deg(at), stage.down_deg(at)
    subject = np.asarray(stage.subject_m)
    near = np.abs(np.abs(across) - 45.0) <= CLAMP_OFF_DEG + 1e-6
    free = near & (np.abs(down - 45.0) <= CLAMP_DOWN_OFF_DEG + 1e-6)
    free &= inside(stage.space.plan_m, at[:, :2], edge_m=-1.0)
    free &= sees(stage.space.plan_m, at[:, :2], subject[:2])
    for block in stage.space.blocks:
        free &= ~hidden_by(block, at, subject)
        free &= ~in_the_way(block, at, 0.0, SMALL_HEAD_M / 2.0, SMALL_HEAD_M / 2.0)
    for view in stage.views[:1]:
        free &= ~in_frame(view, at, SMALL_HEAD_M, 0.05)
    if not bool(np.any(free)):
        return _not("clamp", said("fit.way_clamp_none"))
    cost = (np.abs(across) - 45.0) ** 2 + (down - 45.0) ** 2
    cost[: len(held[0][0])] += POLE_DEG**2
    best = int(np.argmin(np.where(free, np.round(cost, 6), np.inf)))
    place, off, low = at[best], float(across[best]), float(down[best])
    distance = float(np.linalg.norm(place - subject))
    lux = (
        None
        if light is None or light.known_lux_at_1m is None
        else light.known_lux_at_1m / distance**2
    )
    lost = _lost(key, lux)
    told = said(
        "fit.way_clamp",
        on=on[best],
        height=metres(float(place[2])),
        round=degrees(off),
        above=Figure(low, "deg"),
        cost=_stops(lost),
    )
    return WayAnswer(
        way="clamp",
        possible=True if stage.views else None,
        told=told,
        light=key.light,
        lux=lux,
        lost_stops=lost,
        at_m=(float(place[0]), float(place[1]), float(place[2])),
        off_across_deg=abs(off) - 45.0,
        off_down_deg=low - 45.0,
        assumed=(said("fit.clamp_lux"),) if lux is not None else (),
        unknown=None if stage.views else said("fit.frame_unknown"),
    )


def _on_pole(stage: Stage, key: PlanLight, top_m: float) -> tuple[FloatArray, Said]:
    """(n, 3) places at every height from the ceiling down, the key's own side and the highest first."""
    sides = (1.0, -1.0) if (key.across_deg or 1.0) >= 0 else (-1.0, 1.0)
    most = CLAMP_OFF_DEG
    across = np.concatenate([side * np.arange(45.0 - most, 46.0 + most, 2.5) for side in sides])
    downs = np.arange(45.0 - CLAMP_DOWN_OFF_DEG, 46.0 + CLAMP_DOWN_OFF_DEG, 2.5)
    heights = np.arange(top_m, stage.subject_m[2] + 0.1, -CLAMP_STEP_M)
    high, round_deg, down = (
        grid.ravel() for grid in np.meshgrid(heights, across, downs, indexing="ij")
    )
    away = (high - stage.subject_m[2]) / np.tan(np.radians(down))
    here = np.asarray(stage.subject_m)[:2] + stage.on_bearing(round_deg) * away[:, None]
    return np.column_stack([here, high]), said("fit.on_pole")


def _on_pieces(stage: Stage, top_m: float) -> Iterator[tuple[FloatArray, Said]]:
    """Places along the edges of the furniture's tops."""
    for block in stage.space.blocks:
        if block.height_m is None:
            continue
        high = block.height_m + SMALL_HEAD_M
        if high <= top_m:
            shares = np.linspace(0.0, 1.0, 9)[:, None]
            ends = zip(block.ring_m, np.roll(block.ring_m, -1, axis=0), strict=True)
            edge = np.concatenate([start + shares * (end - start) for start, end in ends])
            on = said("fit.on_piece", piece=Name(block.name))
            yield np.column_stack([edge, np.full(len(edge), high)]), on


def _on_doors(sheet: RoomSheet, stage: Stage, top_m: float) -> Iterator[tuple[FloatArray, Said]]:
    """Places over the doors whose top is measured, just inside."""
    by_letter = {wall.letter: wall for wall in walls(stage.space.plan_m)}
    for door in sheet.room.doors or ():
        wall = by_letter.get(door.wall)
        if wall is None or None in (door.offset_m, door.width_m, door.height_m):
            continue
        assert door.offset_m is not None
        assert door.width_m is not None
        assert door.height_m is not None
        high = door.height_m + SMALL_HEAD_M
        if high <= top_m:
            offsets = door.offset_m + np.linspace(0.0, door.width_m, 9)
            here = wall.start_m + offsets[:, None] * wall.along - SMALL_HEAD_M * wall.outward
            on = said("fit.on_door", door=said("fit.door", label=Name(door.id)))
            yield np.column_stack([here, np.full(len(here), high)]), on


def _motivated(sheet: RoomSheet, stage: Stage, floor: Ground) -> WayAnswer:
    """A window or a lamp of the room that the key may seem to come from."""
    by_letter = {wall.letter: wall for wall in walls(stage.space.plan_m)}
    found: list[tuple[float, Said]] = []
    for window in sheet.room.windows or ():
        wall = by_letter.get(window.wall)
        if (
            floor.walled
            and wall is not None
            and window.offset_m is not None
            and window.width_m is not None
            and window.covering != "blackout"
        ):
            across = float(stage.across_deg(wall.point(window.offset_m + window.width_m / 2.0)))
            found.append((across, said("fit.window", label=Name(window.id))))
    for lamp in sheet.room.practicals or ():
        if lamp.at_m is not None:
            across = float(stage.across_deg(np.asarray(lamp.at_m)))
            found.append((across, said("fit.lamp", label=Name(lamp.id))))
    if not found:
        return _not("motivated", said("fit.way_motivated_none"))
    able = [
        (abs(abs(across) - 45.0), across, name)
        for across, name in found
        if abs(across) <= HEAD_SIDE_DEG
    ]
    if not able:
        return _not("motivated", said("fit.way_motivated_behind"))
    off, across, source = min(able, key=lambda one: one[:2])
    return WayAnswer(
        way="motivated",
        possible=True,
        off_across_deg=off,
        told=said(
            "fit.way_motivated",
            source=source,
            round=degrees(across),
            side=Word("side", "right" if across >= 0 else "left"),
        ),
    )


def _not(way: Literal["outside", "clamp", "motivated"], told: Said) -> WayAnswer:
    """A way that cannot be gone."""
    return WayAnswer(way=way, possible=False, told=told)


def _lost(key: PlanLight, lux: float | None) -> float | None:
    """Stops below the key on its stand."""
    return None if not lux or not key.lux else float(np.log2(key.lux / lux))


def _stops(lost: float | None) -> Figure | None:
    """What a way costs; nothing to be said where it is as strong."""
    return None if lost is None or lost <= 0.05 else Figure(lost, "stops")
