"""The rows of the three-point plan for the lights of one kit, kept to its leads."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from scout.assess.answers import BoomAnswer, PlanLight, ShadowAnswer
from scout.assess.fit.levels import in_frame
from scout.assess.fit.plan.beyond import board_fill, bounce_row, other_row
from scout.assess.fit.plan.one import fill_row, key_row, light_row, unless_unknown, with_key
from scout.assess.fit.plan.shadows import OUTLINE_NOTE, boom_answer, costs, shadow_of_key, shadows
from scout.assess.fit.reasons import both, metres
from scout.assess.stage.floor import Ground, reach_of
from scout.assess.stage.kit import Roles, foot_m, plan_lamp
from scout.calc.fit.plan.planned import PlanLamp, ThreePoint
from scout.calc.fit.plan.search import Spot
from scout.calc.fit.plan.three_point import three_point
from scout.calc.fit.stand.lights import Stage
from scout.calc.geometry import inside, walls
from scout.records.sheet import Light, RoomSheet
from scout.values import Many, Said, said

HIGHEST_HEAD_M = 4.0


@dataclass(frozen=True)
class Planned:
    """The plan's rows, the lights beyond the three, the shadows and the boom, and what was assumed."""

    plan: dict[str, PlanLight]
    others: tuple[PlanLight, ...]
    shadow: Said | None
    shadows: tuple[ShadowAnswer, ...]
    boom: BoomAnswer | None
    notes: tuple[Said, ...]


def plan_rows(
    sheet: RoomSheet,
    stage: Stage,
    floor: Ground,
    part: Roles,
    key_light: Light,
    ratio: float,
    needed: float | None,
    judged_mm: tuple[float, ...],
) -> Planned:
    """Key, fill, back and bounce as the room allows them, and what follows from where they stand.

    judged_mm: the lenses that lights are kept out of the frame of, of those of the stage
    """
    notes: list[Said] = []
    leads, lead_notes = _leads(sheet, stage, floor)
    notes += lead_notes
    foot = foot_m(sheet.kit)

    def lamp_of(light: Light | None) -> PlanLamp | None:
        if light is None:
            return None
        lamp, taken = plan_lamp(light, stage.subject_m, foot)
        notes.extend(taken)
        return lamp if leads is None else replace(lamp, lamp=replace(lamp.lamp, lead_m=leads[0]))

    key, fill, back = lamp_of(key_light), lamp_of(part.fill), lamp_of(part.back)
    others = [(light, lamp) for light in part.others if (lamp := lamp_of(light)) is not None]
    assert key is not None
    for light, lamp in others:
        if light.at_m is not None:
            stage = stage.with_stand(light.at_m, lamp.lamp.radius_m)
    found = _three(sheet, stage, floor, (key, fill, back), ratio, leads)
    plan = {"key": key_row(stage, floor, key_light, key, found.key, needed)}
    full = stage
    for placed, lamp in ((found.key, key), (found.fill, fill), (found.back, back)):
        if placed is not None and lamp is not None and isinstance(placed.spot, Spot):
            full = full.with_stand(placed.spot.at_m, lamp.lamp.radius_m)
    if part.fill is not None and fill is not None and found.fill is not None:
        plan["fill"] = fill_row(stage, floor, part.fill, fill, found.fill, plan["key"], ratio)
    else:
        plan["fill"] = board_fill(full, floor, found, key)
    if part.back is not None and back is not None and found.back is not None:
        plan["back"] = with_key(
            light_row(stage, floor, part.back, back, found.back, goal=(180.0, 60.0)), plan["key"]
        )
    else:
        plan["back"] = PlanLight(unknown=said("fit.none_left"))
    plan["bounce"] = bounce_row(stage, floor, key_light, key, found.side)
    if fill is not None and (key.intensity_cd is None or fill.intensity_cd is None):
        notes.append(said("fit.same_fixture"))
    rows = []
    for light, lamp in others:
        full, row = other_row(full, floor, light, lamp)
        rows.append(row)
    pair = ((key_light, key, found.key), (part.back, back, found.back))
    boom, boom_seen = boom_answer(
        sheet,
        full,
        floor,
        found,
        [
            (light.id, lamp, at)
            for light, lamp, at in pair
            if light is not None and lamp is not None
        ],
    )
    thrown = list(shadows(stage, floor, "key", key_light, key.lamp, found.key, boom))
    if part.back is not None and back is not None and found.back is not None:
        thrown += shadows(stage, floor, "back", part.back, back.lamp, found.back, boom)
    if thrown:
        notes.append(OUTLINE_NOTE)

    def judged(row: PlanLight) -> PlanLight:
        row = _with_lead(row, stage, leads)
        seen = row.fits is not None and row.at_m is not None and in_frame(row, judged_mm)
        return replace(row, fits=False) if seen else row

    return Planned(
        {name: judged(row) for name, row in plan.items()},
        tuple(judged(row) for row in rows),
        shadow_of_key(stage, thrown, found.key, found.key_alone),
        tuple(thrown),
        boom_seen,
        tuple(notes),
    )


def _leads(
    sheet: RoomSheet, stage: Stage, floor: Ground
) -> tuple[tuple[float, ...] | None, list[Said]]:
    """The leads that limit where lights stand, longest first; None where they cannot, or where it
    is not known, which is said.
    """
    reach, leads, unknown = reach_of(sheet, floor)
    if reach is None or not leads:
        notes = []
        if floor.walled and unknown is not None:
            notes = [said("fit.cables_unknown", because=unknown)]
        return None, notes
    furthest = float(
        np.max(reach.needed_m(np.array([[x, y, HIGHEST_HEAD_M] for x, y in stage.space.plan_m])))
    )
    cables = Many(tuple(metres(one) for one in dict.fromkeys(leads)))
    # Within the plan no place is further than the furthest corner and the way out from a wall; with
    # that to spare nothing needs asking.
    inner = float(np.max(np.ptp(stage.space.plan_m, axis=0))) / 2.0
    if leads[-1] >= furthest + 1.1 * inner:
        return None, [said("fit.cables_everywhere", cables=cables)]
    return leads, [said("fit.cables_bind", cables=cables)]


def _three(
    sheet: RoomSheet,
    stage: Stage,
    floor: Ground,
    lamps: tuple[PlanLamp, PlanLamp | None, PlanLamp | None],
    ratio: float,
    leads: tuple[float, ...] | None,
) -> ThreePoint:
    """The plan within reach of the leads; where that leaves a light out, the plan without that
    limit, to say how much lead is missing.
    """
    key, fill, back = lamps
    side = _preferred_side(sheet, stage)
    found = three_point(
        stage,
        key,
        fill,
        back,
        ratio,
        side,
        leads_m=leads,
        besides=costs(sheet, stage, floor, key, back),
    )
    placed = [one for one in (found.key, found.fill, found.back) if one is not None]
    if leads is None or all(isinstance(one.spot, Spot) for one in placed):
        return found
    lost = [
        one is not None and not isinstance(one.spot, Spot)
        for one in (found.key, found.fill, found.back)
    ]
    free = [
        replace(lamp, lamp=replace(lamp.lamp, lead_m=None)) if lamp is not None and gone else lamp
        for lamp, gone in zip(lamps, lost, strict=True)
    ]
    assert free[0] is not None
    return three_point(
        stage, free[0], free[1], free[2], ratio, side, besides=costs(sheet, stage, floor, key, back)
    )


def _with_lead(row: PlanLight, stage: Stage, leads: tuple[float, ...] | None) -> PlanLight:
    """The row with the lead its light needs, and with a word where none is long enough."""
    if (
        row.light is None
        or row.at_m is None
        or stage.reach is None
        or not bool(inside(stage.space.plan_m, np.asarray(row.at_m[:2])))
    ):
        return row
    needed = float(stage.reach.needed_m(np.asarray(row.at_m)))
    row = replace(row, lead_m=needed)
    if leads is None or needed <= leads[0] + 1e-9:
        return row
    short = said("fit.cable_short", need=metres(needed), longest=metres(leads[0]))
    return replace(row, fits=unless_unknown(row.fits), why=both(row.why, short))


def _preferred_side(sheet: RoomSheet, stage: Stage) -> int | None:
    """The side the face is turned to, else the side of the nearest window: a key from there looks
    meant. +1 is picture right.
    """
    normal = sheet.marks.subject_normal if sheet.marks is not None else None
    if normal is not None and float(np.hypot(normal[0], normal[1])) > 1e-6:
        turned = float(
            stage.across_deg(np.asarray(stage.subject_m) + np.array([normal[0], normal[1], 0.0]))
        )
        if 10.0 < abs(turned) < 170.0:
            return 1 if turned > 0 else -1
    by_letter = {wall.letter: wall for wall in walls(stage.space.plan_m)}
    sides = []
    for window in sheet.room.windows or ():
        wall = by_letter.get(window.wall)
        if (
            wall is not None
            and window.offset_m is not None
            and window.width_m is not None
            and window.covering != "blackout"
        ):
            point = wall.point(window.offset_m + window.width_m / 2.0)
            turned = float(stage.across_deg(point))
            if 10.0 < abs(turned) < 120.0:
                sides.append(
                    (
                        float(np.linalg.norm(point[:2] - np.asarray(stage.subject_m)[:2])),
                        1 if turned > 0 else -1,
                    )
                )
    return min(sides)[1] if sides else None
