"""The rows of the three-point plan: key, fill, back and bounce for the lights of one kit, with what each gives up and why."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from scout.assess.answers import PlanLight
from scout.assess.fit_kit import Roles, plan_lamp
from scout.assess.fit_stage import Ground
from scout.assess.fit_words import against, no_place, what_is_lost
from scout.calc.fit.bounced import BouncePlan, ceiling_bounce, wall_bounce
from scout.calc.fit.camera import in_frame
from scout.calc.fit.lights import Lamp, Stage
from scout.calc.fit.plan import Placed, PlanLamp, lux_at, three_point
from scout.calc.fit.shadow import SHADOW_FREE_M, penumbra_m, shadow_landing
from scout.calc.fit.space import SUBJECT_RADIUS_M
from scout.calc.fit.threepoint import RATIO_TOLERANCE_STOPS, Goal, NoSpot, Spot, find_spot
from scout.calc.geometry import inside, walls
from scout.records.sheet import Light, RoomSheet

HEAD_ABOVE_FACE_M = 0.15
BOARD = Lamp(0.5, 2.5, 1.0, 1.0)  # a white board of 1.0 m on a stand, when a reflector must do for the fill


def plan_rows(
    sheet: RoomSheet, stage: Stage, floor: Ground, part: Roles, key_light: Light, ratio: float, needed: float | None
) -> tuple[dict[str, PlanLight], tuple[PlanLight, ...], str | None, list[str]]:
    """The plan's rows, the lights beyond the three, where the key's shadow falls, and what was assumed."""
    notes: list[str] = []

    def lamp_of(light: Light | None) -> PlanLamp | None:
        if light is None:
            return None
        lamp, told = plan_lamp(light, stage.subject_m)
        notes.extend(told)
        return lamp

    key, fill, back = lamp_of(key_light), lamp_of(part.fill), lamp_of(part.back)
    others = [(light, lamp) for light in part.others if (lamp := lamp_of(light)) is not None]
    assert key is not None
    for light, lamp in others:
        if light.at_m is not None:
            stage = stage.with_stand(light.at_m, lamp.lamp.radius_m)
    found = three_point(stage, key, fill, back, ratio, _preferred_side(sheet, stage))
    plan = {"key": _key_row(stage, floor, key_light, key, found.key, needed)}
    full = stage
    for placed, lamp in ((found.key, key), (found.fill, fill), (found.back, back)):
        if placed is not None and lamp is not None and isinstance(placed.spot, Spot):
            full = full.with_stand(placed.spot.at_m, lamp.lamp.radius_m)
    if part.fill is not None and fill is not None and found.fill is not None:
        plan["fill"], plan["key"] = _fill_row(stage, floor, part.fill, fill, found.fill, plan["key"], ratio)
    else:
        plan["fill"] = _board_fill(full, floor, found.side)
    if part.back is not None and back is not None and found.back is not None:
        plan["back"] = _row(stage, floor, part.back, back, found.back, (180.0, 45.0), across_told=60.0)
    else:
        plan["back"] = PlanLight(unknown="because the kit has no light left for it")
    plan["bounce"] = _bounce_row(stage, floor, key_light, key, found.side)
    if fill is not None and (key.intensity_cd is None or fill.intensity_cd is None):
        notes.append("without photometry of both lights the fill stands where the same fixture as the key would give the ratio")
    rows = []
    for light, lamp in others:
        full, row = _other_row(full, floor, light, lamp)
        rows.append(row)
    return plan, tuple(rows), _shadow(stage, floor, key_light, found.key), notes


def _preferred_side(sheet: RoomSheet, stage: Stage) -> int | None:
    """The side the face is turned to, else the side of the nearest window: a key from there looks meant. +1 is picture right."""
    normal = sheet.marks.subject_normal if sheet.marks is not None else None
    if normal is not None and float(np.hypot(normal[0], normal[1])) > 1e-6:
        turned = float(stage.across_deg(np.asarray(stage.subject_m) + np.array([normal[0], normal[1], 0.0])))
        if 10.0 < abs(turned) < 170.0:
            return 1 if turned > 0 else -1
    by_letter = {wall.letter: wall for wall in walls(stage.space.plan_m)}
    sides = []
    for window in sheet.room.windows or ():
        wall = by_letter.get(window.wall)
        if wall is not None and window.offset_m is not None and window.width_m is not None and window.covering != "blackout":
            point = wall.point(window.offset_m + window.width_m / 2.0)
            turned = float(stage.across_deg(point))
            if 10.0 < abs(turned) < 120.0:
                sides.append((float(np.linalg.norm(point[:2] - np.asarray(stage.subject_m)[:2])), 1 if turned > 0 else -1))
    return min(sides)[1] if sides else None


def _row(
    stage: Stage, floor: Ground, light: Light, lamp: PlanLamp, placed: Placed, ideal: tuple[float | None, float | None], *, across_told: float = 0.0
) -> PlanLight:
    """One light of the plan. `across_told`: angles across nearer the ideal than this need no word (a back light is never dead behind)."""
    spot = placed.spot
    if isinstance(spot, NoSpot):
        return PlanLight(light=light.id, fits=False, why=no_place(spot, stage, lamp.lamp))
    aim = light.aim_m if lamp.pinned_m is not None and light.aim_m is not None else stage.subject_m
    row = PlanLight(light=light.id, at_m=spot.at_m, aim_m=aim, fits=spot.fits, lux=placed.lux, across_deg=spot.across_deg, down_deg=spot.down_deg,
                    distance_m=spot.distance_m, dim_stops=placed.dim_stops, short_stops=placed.short_stops,
                    clear_from_mm=spot.clear_from_mm)
    if lamp.pinned_m is not None:
        if "wall" in placed.reasons and "sight" in placed.reasons and not _on_floor(stage, spot):
            return replace(row, fits=None, unknown="because it is pinned outside the plan, of which nothing is recorded")
        told = [
            f"it is within {lamp.lamp.radius_m + SUBJECT_RADIUS_M:.1f} m of the subject" if reason == "subject"
            else against(reason, stage, lamp.lamp, floor.exits, walled=floor.walled) for reason in placed.reasons
        ]
        if not spot.near:
            told.append(f"it stands {abs(spot.across_deg):.0f} degrees across and {spot.down_deg:.0f} down, far from where such a light does its work")
        why = f"pinned there: {'; '.join(told)}" if told else None
    else:
        across = None if ideal[0] is not None and abs(spot.off_across_deg) <= across_told else ideal[0]
        why = what_is_lost(spot, stage, lamp.lamp, (across, ideal[1]), floor.exits, walled=floor.walled)
    row = replace(row, why=why)
    if not stage.views:
        return replace(row, fits=None if spot.fits else False, unknown="because sensor and lenses are not recorded, so what is in frame is not known")
    return row


def _on_floor(stage: Stage, spot: Spot) -> bool:
    return bool(inside(stage.space.plan_m, np.asarray(spot.at_m[:2])))


def _key_row(stage: Stage, floor: Ground, light: Light, lamp: PlanLamp, placed: Placed, needed: float | None) -> PlanLight:
    row = _row(stage, floor, light, lamp, placed, (45.0, 45.0))
    if placed.lux is not None and placed.lux > 0 and needed is not None:
        over = float(np.log2(placed.lux / needed))
        row = replace(row, dim_stops=max(over, 0.0), short_stops=max(-over, 0.0))
    return row


def _fill_row(
    stage: Stage, floor: Ground, light: Light, lamp: PlanLamp, placed: Placed, key: PlanLight, ratio: float
) -> tuple[PlanLight, PlanLight]:
    """The fill, and the key with what it must give up when the fill is too weak for the ratio."""
    row = _row(stage, floor, light, lamp, placed, (None, None))
    spot = placed.spot
    if isinstance(spot, Spot) and lamp.pinned_m is None and row.why is None and abs(abs(spot.across_deg) - 45.0) > 20.0:
        row = replace(row, why=f"{abs(spot.across_deg):.0f} degrees across instead of 45: the nearest with floor and out of frame")
    short = placed.short_stops
    if short is None or short <= RATIO_TOLERANCE_STOPS:
        return row, key
    reached = ratio * 2.0**short
    if key.dim_stops is not None and key.dim_stops >= short:
        return replace(row, why=_and(row.why, f"the fill is {short:.1f} stops too weak for {ratio:g}:1: dim the key by that, it still exposes")), key
    told = f"the fill is {short:.1f} stops too weak for {ratio:g}:1 and gives {reached:.1f}:1: bring it nearer, take a stronger one or dim the key"
    return replace(row, fits=False if row.fits is not None else None, why=_and(row.why, told)), key


def _and(first: str | None, second: str) -> str:
    return second if first is None else f"{first}; {second}"


def _board_fill(stage: Stage, floor: Ground, side: int) -> PlanLight:
    """No second light: a white board on the fill's side."""
    goal = Goal(60.0, 45.0, None, height_m=stage.subject_m[2], height_most_off_m=0.5, distance_m=1.1, nearer_per_stop_deg=8.0, further_per_stop_deg=20.0)
    spot = find_spot(stage, BOARD, goal, (-side,))
    towards = stage.on_bearing(-side * 60.0)
    name = None
    if floor.walled:
        hits = shadow_landing(stage.space, stage.subject_m, np.asarray(stage.subject_m) + np.array([*(towards * 0.01), 0.0]))
        name = hits.surface
    surface = f", or what wall {name} sends back" if name else ""
    told = f"the kit has no second light: fill with a white board of 1.0 m on the side away from the key{surface}"
    because = "because the lux of a board is not worked out here: meter it"
    if isinstance(spot, NoSpot):
        return PlanLight(fits=False, why=f"{told}; no free floor out of frame is left for a board on a stand: hold it by hand", unknown=because, surface=name)
    return PlanLight(at_m=spot.at_m, aim_m=stage.subject_m, fits=spot.fits if stage.views else None, why=told, unknown=because, surface=name,
                     across_deg=spot.across_deg, down_deg=spot.down_deg, distance_m=spot.distance_m)


def _bounce_row(stage: Stage, floor: Ground, light: Light, lamp: PlanLamp, side: int) -> PlanLight:
    """The key turned onto the ceiling, else onto a wall."""
    found: BouncePlan | None = ceiling_bounce(stage, lamp.lamp, side)
    if (found is None or isinstance(found.spot, NoSpot)) and floor.walled:
        found = wall_bounce(stage, lamp.lamp, side) or found
    if found is None:
        if floor.walled or stage.space.ceiling_m is not None:
            return PlanLight(light=light.id, fits=False, why="the stand cannot go low enough under the ceiling, and no wall has 0.8 m to spare")
        return PlanLight(light=light.id, unknown="because outdoors there is neither ceiling nor wall to bounce from: bring a board or a silk")
    if isinstance(found.spot, NoSpot):
        return PlanLight(light=light.id, fits=False, why=no_place(found.spot, stage, lamp.lamp), surface=found.surface)
    spot, told = found.spot, None
    if not spot.fits and stage.views and spot.clear_from_mm is not None and spot.clear_from_mm > stage.views[0].focal_length_mm:
        told = f"in frame with shorter lenses: it is out of frame from {spot.clear_from_mm:g} mm on"
    elif not spot.near:
        told = "the only free floor is far from where such a bounce works"
    return PlanLight(light=light.id, at_m=spot.at_m, aim_m=found.aim_m, fits=spot.fits if stage.views else None, why=told, surface=found.surface,
                     across_deg=spot.across_deg, distance_m=spot.distance_m)


def _other_row(stage: Stage, floor: Ground, light: Light, lamp: PlanLamp) -> tuple[Stage, PlanLight]:
    """A light beyond the three: where it is pinned, else behind the subject, lighting what stands there."""
    if light.at_m is not None:
        return stage, PlanLight(light=light.id, at_m=light.at_m, aim_m=light.aim_m or stage.subject_m, why="pinned there, beyond key, fill and back")
    behind = shadow_landing(stage.space, np.asarray(stage.camera_m), np.asarray(stage.subject_m), has_walls=floor.walled)
    aim = behind.at_m if behind.at_m is not None and behind.surface not in (None, "floor", "ceiling") else stage.subject_m
    spot = find_spot(stage, lamp.lamp, Goal(120.0, 60.0, 30.0, 30.0, distance_m=2.0), (1, -1))
    if isinstance(spot, NoSpot):
        return stage, PlanLight(light=light.id, fits=False, why=no_place(spot, stage, lamp.lamp))
    told = "beyond key, fill and back: taken for the background"
    if not spot.fits and stage.views and spot.clear_from_mm is not None and spot.clear_from_mm > stage.views[0].focal_length_mm:
        told += f"; in frame with shorter lenses: it is out of frame from {spot.clear_from_mm:g} mm on"
    row = PlanLight(light=light.id, at_m=spot.at_m, aim_m=aim, fits=spot.fits if stage.views else None, across_deg=spot.across_deg,
                    down_deg=spot.down_deg, distance_m=spot.distance_m, why=told, lux=lux_at(spot, lamp) if aim == stage.subject_m else None)
    return stage.with_stand(spot.at_m, lamp.lamp.radius_m), row


def _shadow(stage: Stage, floor: Ground, light: Light, placed: Placed) -> str | None:
    """Where the key throws the head's shadow."""
    if isinstance(placed.spot, NoSpot):
        return None
    x, y, z = stage.subject_m
    head = (x, y, z + HEAD_ABOVE_FACE_M)
    if float(np.linalg.norm(np.subtract(placed.spot.at_m, head))) < 0.05:
        return None
    landing = shadow_landing(stage.space, placed.spot.at_m, head, has_walls=floor.walled)
    if landing.surface is None or landing.at_m is None or landing.beyond_m is None:
        return "the key's shadow of the head falls on nothing near"
    if landing.surface in ("floor", "ceiling"):
        return f"the key's shadow of the head falls on the {landing.surface}" + (", not on a wall" if floor.walled else "")
    soft = f", its edge soft over {float(penumbra_m(light.soft_width_m, placed.spot.distance_m, landing.beyond_m)):.2f} m" if light.soft_width_m else ""
    seen = [view for view in stage.views if bool(in_frame(view, landing.at_m))]
    where = "" if not stage.views else (f", in frame with the {seen[0].focal_length_mm:g} mm lens" if seen else ", out of frame")
    told = f"the key's shadow of the head falls on wall {landing.surface} at {landing.at_m[2]:.2f} m{soft}{where}"
    near = seen and landing.beyond_m < SHADOW_FREE_M
    return told + ("; raise the key, move it further across, or bring the subject off the wall" if near else "")
