"""Other ways to light the face than a key on a stand, in the order in which a crew tries them, each
with what it costs.

None at all; a bounce; a light through a window or door from outside; a small light clamped up; one
that seems to come from a window or lamp
of the room.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from scout.assess.answers import BounceAnswer, DaylightAnswer, FitAnswer, PlanLight, WayAnswer
from scout.assess.stage.floor import Ground, ground, stage_of
from scout.calc.fit.camera import in_frame
from scout.calc.fit.lights import Stage
from scout.calc.fit.space import CEILING_CLEARANCE_M, sees
from scout.calc.geometry import FloatArray, inside, walls
from scout.records.sheet import Light, RoomSheet

# of the light squarely through clear double glass, where the window does not say (common practice)
GLAZING = 0.8
UNDER_LINTEL_M = 0.2  # the light aims in as high as it can, just under the top of the opening
OUTSIDE_M = 1.5  # a stand outside keeps so far off the opening (common practice)
LOWEST_M = 0.3  # no head stands lower
SMALL_HEAD_M = 0.15
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
    if isinstance(stage, str) or key is None:
        return (none,)
    lights = (
        {light.id: light for light in (sheet.kit.lights or ())} if sheet.kit is not None else {}
    )
    light = lights.get(key.light or "")
    return (
        none,
        _bounce(plan.plan.get("bounce"), bounced, light),
        _outside(sheet, stage, floor, key, light),
        _clamp(stage, floor, key, light),
        _motivated(sheet, stage, floor),
    )


def _none(plan: FitAnswer, daylight: DaylightAnswer | None) -> WayAnswer:
    mark = daylight.marks.get("subject") if daylight is not None else None
    least = mark.overcast_lux_noon if mark is not None else None
    if least is None or plan.needed_lux is None:
        because = (
            "because the daylight at the subject is not known"
            if least is None
            else "because f-number, shutter and ISO are not all recorded"
        )
        return WayAnswer(
            way="none",
            told="no light at all: whether the day is enough is unknown",
            unknown=because,
        )
    if least >= plan.needed_lux:
        return WayAnswer(
            way="none",
            possible=True,
            told=f"no light at all: an overcast noon gives {least:.0f} lx and {plan.needed_lux:.0f} lx are needed",
            lux=least,
        )
    short = "" if least <= 0 else f", {float(np.log2(plan.needed_lux / least)):.1f} stops short"
    return WayAnswer(
        way="none",
        possible=False,
        lux=least,
        told=f"no light at all is not enough: an overcast noon gives {least:.0f} lx and {plan.needed_lux:.0f} lx are needed{short}",
    )


def _bounce(
    row: PlanLight | None, bounced: Sequence[BounceAnswer], light: Light | None
) -> WayAnswer:
    if row is None or row.surface is None or row.at_m is None:
        because = row.unknown if row is not None else None
        told = "a bounce has no place" + (f": {row.why}" if row is not None and row.why else "")
        return WayAnswer(
            way="bounce", possible=None if because else False, told=told, unknown=because
        )
    where = "the ceiling" if row.surface == "ceiling" else f"wall {row.surface}"
    found = next(
        (
            b
            for b in bounced
            if light is not None and b.light == light.id and b.surface == row.surface
        ),
        None,
    )
    told = f"the key turned onto {where}"
    if found is None or (found.loss_stops is None and found.risk is None):
        because = (
            found.unknown if found is not None else None
        ) or "because the colour of the surface is not measured"
        return WayAnswer(
            way="bounce",
            possible=row.fits,
            told=f"{told}: what it costs and its colour are unknown",
            light=row.light,
            at_m=row.at_m,
            unknown=because,
        )
    cost = (
        "" if found.loss_stops is None else f", {found.loss_stops:.1f} stops below the direct light"
    )
    tint = f", it goes {found.tint}" if found.tint and found.risk != "none" else ""
    colour = "" if found.risk is None else f"; risk of colour on skin: {found.risk}{tint}"
    remedy = f"; {found.remedy}" if found.remedy and found.risk not in (None, "none") else ""
    return WayAnswer(
        way="bounce",
        possible=row.fits,
        told=f"{told}{cost}{colour}{remedy}",
        light=row.light,
        at_m=row.at_m,
        lux=found.bounced_lux,
        lost_stops=found.loss_stops,
        risk=found.risk,
    )


def _outside(
    sheet: RoomSheet, stage: Stage, floor: Ground, key: PlanLight, light: Light | None
) -> WayAnswer:
    """The opening best placed for a key; on the ground floor alone can a stand be put outside it."""
    if not floor.walled:
        return WayAnswer(
            way="outside",
            possible=False,
            told="a light from outside: the scene is in the open already",
        )
    by_letter = {wall.letter: wall for wall in walls(stage.space.plan_m)}
    found: list[tuple[float, str, FloatArray, float]] = []
    openings = [
        (f"window {w.id}", GLAZING, w.wall, w.offset_m, w.width_m, w.sill_m, w.height_m)
        for w in sheet.room.windows or ()
    ]
    openings += [
        (f"door {d.id}", 1.0, d.wall, d.offset_m, d.width_m, 0.0, d.height_m)
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
        return WayAnswer(
            way="outside",
            possible=False,
            told="a light from outside: no window or door measured is on the camera's side of the face",
        )
    off, name, middle, passes = min(found, key=lambda one: one[0])
    ray = middle - np.asarray(stage.subject_m)
    at = middle + ray / np.linalg.norm(ray) * OUTSIDE_M
    distance = float(np.linalg.norm(at - np.asarray(stage.subject_m)))
    lux = (
        None
        if light is None or light.known_lux_at_1m is None
        else light.known_lux_at_1m * passes / distance**2
    )
    lost = None if lux is None or not key.lux or lux <= 0 else float(np.log2(key.lux / lux))
    down = float(stage.down_deg(at))
    told = (
        f"a light through {name} from outside, {abs(float(stage.across_deg(at))):.0f} degrees across and {down:.0f} down"
        + _cost(lost)
    )
    assumed = (
        f"{passes:g} of the light passes the glass" if passes < 1 else "the door stands open",
        "what stands outside is not recorded: look at the ground, at who owns it, and at the weather",
    )
    place = (float(at[0]), float(at[1]), float(at[2]))
    row = WayAnswer(
        way="outside",
        told=told,
        light=key.light,
        lux=lux,
        lost_stops=lost,
        off_across_deg=off,
        off_down_deg=down - 45.0,
        assumed=assumed,
    )
    if any(bool(in_frame(view, at, 0.3, 0.05)) for view in stage.views[:1]):
        return replace(
            row,
            possible=False,
            told=f"{told}: in frame with the {stage.views[0].focal_length_mm:g} mm lens",
        )
    if at[2] < LOWEST_M:
        return replace(row, possible=False, told=f"{told}: the opening is too low for it")
    if sheet.room.storey is None:
        return replace(row, at_m=place, unknown="because the storey is not recorded")
    if sheet.room.storey != 0:
        return replace(
            row,
            possible=False,
            told=f"{told}: not from a stand at storey {sheet.room.storey}; a lift or tower is work for licensed people",
        )
    return replace(row, possible=True, at_m=place)


def _clamp(stage: Stage, floor: Ground, key: PlanLight, light: Light | None) -> WayAnswer:
    """A small head as high as the ceiling lets it, at the ideal angles or the nearest that is in
    the room and out of frame.
    """
    ceiling = stage.space.ceiling_m
    if ceiling is None or not floor.walled:
        return WayAnswer(
            way="clamp",
            possible=False,
            told="a clamped light: there is nothing to clamp it to in the open",
        )
    height = ceiling - CEILING_CLEARANCE_M - SMALL_HEAD_M / 2.0
    rise = height - stage.subject_m[2]
    if rise <= 0.1:
        return WayAnswer(
            way="clamp",
            possible=False,
            told="a clamped light: the ceiling is no higher than the face",
        )
    sides = (1.0, -1.0) if (key.across_deg or 1.0) >= 0 else (-1.0, 1.0)
    across = np.concatenate([side * np.arange(20.0, 71.0, 2.5) for side in sides])
    downs = np.arange(25.0, 66.0, 2.5)
    grid_across, grid_down = (grid.ravel() for grid in np.meshgrid(across, downs, indexing="ij"))
    away = rise / np.tan(np.radians(grid_down))
    here = np.asarray(stage.subject_m)[:2] + stage.on_bearing(grid_across) * away[:, None]
    at = np.concatenate([here, np.full((len(here), 1), height)], axis=1)
    free = inside(stage.space.plan_m, here, edge_m=-1.0) & sees(
        stage.space.plan_m, here, np.asarray(stage.subject_m)[:2]
    )
    for view in stage.views[:1]:
        free &= ~in_frame(view, at, SMALL_HEAD_M, 0.05)
    if not bool(np.any(free)):
        return WayAnswer(
            way="clamp",
            possible=False,
            told="a clamped light: nowhere under the ceiling is out of frame, in sight of the face and near 45 degrees",
        )
    cost = (np.abs(grid_across) - 45.0) ** 2 + (grid_down - 45.0) ** 2
    best = int(np.argmin(np.where(free, np.round(cost, 6), np.inf)))
    place = at[best]
    distance = float(np.linalg.norm(place - np.asarray(stage.subject_m)))
    lux = (
        None
        if light is None or light.known_lux_at_1m is None
        else light.known_lux_at_1m / distance**2
    )
    lost = None if lux is None or not key.lux or lux <= 0 else float(np.log2(key.lux / lux))
    told = (
        f"a small light clamped at {height:.2f} m, {abs(grid_across[best]):.0f} degrees across and {grid_down[best]:.0f} down"
        f"{_cost(lost)}: it needs a shelf, a pole or a door top there, and a safety wire"
    )
    return WayAnswer(
        way="clamp",
        possible=True if stage.views else None,
        told=told,
        light=key.light,
        lux=lux,
        lost_stops=lost,
        at_m=(float(place[0]), float(place[1]), float(place[2])),
        off_across_deg=float(abs(grid_across[best]) - 45.0),
        off_down_deg=float(grid_down[best] - 45.0),
        assumed=("its lux is the key's: a smaller head is weaker",) if lux is not None else (),
        unknown=None
        if stage.views
        else "because sensor and lenses are not recorded, so what is in frame is not known",
    )


def _motivated(sheet: RoomSheet, stage: Stage, floor: Ground) -> WayAnswer:
    """A window or a lamp of the room that the key may seem to come from."""
    by_letter = {wall.letter: wall for wall in walls(stage.space.plan_m)}
    found: list[tuple[float, str]] = []
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
            found.append((across, f"window {window.id}"))
    for lamp in sheet.room.practicals or ():
        if lamp.at_m is not None:
            found.append((float(stage.across_deg(np.asarray(lamp.at_m))), f"lamp {lamp.id}"))
    if not found:
        return WayAnswer(
            way="motivated",
            possible=False,
            told="a light that seems to come from the room: no window or lamp of it is measured",
        )
    able = [
        (abs(abs(across) - 45.0), across, name)
        for across, name in found
        if abs(across) <= HEAD_SIDE_DEG
    ]
    if not able:
        return WayAnswer(
            way="motivated",
            possible=False,
            told="a light that seems to come from the room: its windows and lamps are behind the subject, "
            "good for an edge of light, not for the face",
        )
    off, across, name = min(able)
    side = "right" if across >= 0 else "left"
    return WayAnswer(
        way="motivated",
        possible=True,
        off_across_deg=off,
        told=f"a light that seems to come from {name}: {abs(across):.0f} degrees across, on picture {side}; put the key on that side",
    )


def _cost(lost_stops: float | None) -> str:
    if lost_stops is None:
        return ""
    return (
        f", {lost_stops:.1f} stops below the key on its stand"
        if lost_stops > 0.05
        else ", as strong as the key on its stand"
    )
