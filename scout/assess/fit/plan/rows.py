"""The rows of the three-point plan: key, fill, back and bounce for the lights of one kit, with what
each gives up and why.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from scout.assess.answers import BoomAnswer, PlanLight, ShadowAnswer
from scout.assess.fit.levels import in_frame
from scout.assess.fit.plan.shadows import OUTLINE_NOTE, boom_answer, costs, shadow_of_key, shadows
from scout.assess.fit.reasons import (
    against,
    both,
    clear_from,
    metres,
    no_place,
    what_is_lost,
)
from scout.assess.stage.floor import Ground, reach_of
from scout.assess.stage.kit import Roles, between_deg, foot_m, plan_lamp
from scout.calc.fit.plan.bounced import LEAST_THROW_M, BouncePlan, ceiling_bounce, wall_bounce
from scout.calc.fit.plan.planned import Placed, PlanLamp, ThreePoint, lux_at
from scout.calc.fit.plan.search import RATIO_TOLERANCE_STOPS, Goal, NoSpot, Spot, find_spot
from scout.calc.fit.plan.three_point import three_point
from scout.calc.fit.shadow.landing import shadow_landing
from scout.calc.fit.stand.lights import Lamp, Stage
from scout.calc.fit.stand.standing import OF_PARTS, blocked
from scout.calc.geometry import inside, walls
from scout.calc.light.reflector import matt_board_lux
from scout.records.sheet import Light, RoomSheet
from scout.values import Figure, Many, Said, Word, said

HIGHEST_HEAD_M = 4.0
BOARD_M, BOARD_REFLECTANCE = 1.0, 0.85  # matt white board (common practice)
BOARD = Lamp(
    0.5, 2.5, 1.0, 1.0
)  # a white board of 1.0 m on a stand, when a reflector must do for the fill


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
    plan = {"key": _key_row(stage, floor, key_light, key, found.key, needed)}
    full = stage
    for placed, lamp in ((found.key, key), (found.fill, fill), (found.back, back)):
        if placed is not None and lamp is not None and isinstance(placed.spot, Spot):
            full = full.with_stand(placed.spot.at_m, lamp.lamp.radius_m)
    if part.fill is not None and fill is not None and found.fill is not None:
        plan["fill"] = _fill_row(stage, floor, part.fill, fill, found.fill, plan["key"], ratio)
    else:
        plan["fill"] = _board_fill(full, floor, found, key)
    if part.back is not None and back is not None and found.back is not None:
        plan["back"] = _with_key(
            _row(stage, floor, part.back, back, found.back, goal=(180.0, 60.0)), plan["key"]
        )
    else:
        plan["back"] = PlanLight(unknown=said("fit.none_left"))
    plan["bounce"] = _bounce_row(stage, floor, key_light, key, found.side)
    if fill is not None and (key.intensity_cd is None or fill.intensity_cd is None):
        notes.append(said("fit.same_fixture"))
    rows = []
    for light, lamp in others:
        full, row = _other_row(full, floor, light, lamp)
        rows.append(row)
    pair = ((key_light, key, found.key), (part.back, back, found.back))
    boom, boom_seen = boom_answer(
        sheet,
        stage,
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
    return replace(row, fits=_not(row.fits), why=both(row.why, short))


def _not(fits: bool | None) -> bool | None:
    """A fault found in a place: it does not fit, where that can be told at all."""
    return None if fits is None else False


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


def _row(
    stage: Stage,
    floor: Ground,
    light: Light,
    lamp: PlanLamp,
    placed: Placed,
    *,
    goal: tuple[float, float] | None = (45.0, 0.0),
) -> PlanLight:
    """One light of the plan. `goal`: round from the lens, and how far off that needs no word (a back
    light is never dead behind); None: neither that nor the height matters.
    """
    spot = placed.spot
    if isinstance(spot, NoSpot):
        return PlanLight(light=light.id, fits=False, why=no_place(spot, stage, lamp.lamp))
    works = spot.near and not set(placed.reasons) - {"frame", "lead"}
    aim = light.aim_m if lamp.pinned_m is not None and light.aim_m is not None else stage.subject_m
    row = PlanLight(
        light=light.id,
        at_m=spot.at_m,
        aim_m=aim,
        fits=works,
        works=works,
        lux=placed.lux,
        across_deg=spot.across_deg,
        down_deg=spot.down_deg,
        distance_m=spot.distance_m,
        dim_stops=placed.dim_stops,
        short_stops=placed.short_stops,
        clear_from_mm=spot.clear_from_mm,
    )
    if lamp.pinned_m is not None:
        if "wall" in placed.reasons and "sight" in placed.reasons and not _on_floor(stage, spot):
            return replace(row, fits=None, works=None, unknown=said("fit.pinned_outside"))
        faults = both(
            *(
                against(reason, stage, lamp.lamp, floor.exits, walled=floor.walled)
                for reason in placed.reasons
            ),
            None if spot.near else said("fit.pinned_off"),
        )
        why = None if faults is None else said("fit.pinned", against=faults)
    else:
        lost = what_is_lost(
            spot,
            stage,
            lamp.lamp,
            floor.exits,
            walled=floor.walled,
            round_matters=goal is not None and abs(spot.off_across_deg) > goal[1],
            height_matters=goal is not None,
        )
        why = both(
            lost,
            said("fit.head_between") if "beam" in placed.reasons else None,
            _tight(stage, lamp, spot),
        )
    row = replace(row, why=why)
    if not stage.views:
        unseen = said("fit.frame_unknown")
        return replace(row, fits=None if works else False, unknown=unseen)
    return row


def _tight(stage: Stage, lamp: PlanLamp, spot: Spot) -> Said | None:
    """A word where a stand fits by its shape alone: its legs have to be turned for it."""
    view = next((one for one in stage.views if one.focal_length_mm == spot.clear_from_mm), None)
    held = blocked(replace(stage, stood=()), lamp.lamp, spot.at_m, view)
    return said("fit.tight") if any(bool(held[name]) for name in OF_PARTS) else None


def _on_floor(stage: Stage, spot: Spot) -> bool:
    return bool(inside(stage.space.plan_m, np.asarray(spot.at_m[:2])))


def _key_row(
    stage: Stage, floor: Ground, light: Light, lamp: PlanLamp, placed: Placed, needed: float | None
) -> PlanLight:
    row = _row(stage, floor, light, lamp, placed)
    if placed.lux is not None and placed.lux > 0 and needed is not None:
        over = float(np.log2(placed.lux / needed))
        row = replace(row, dim_stops=max(over, 0.0), short_stops=max(-over, 0.0))
    return row


def _with_key(row: PlanLight, key: PlanLight) -> PlanLight:
    """A light that goes with the key: dimmed as much more as the key is dimmed to what the camera
    needs.
    """
    if row.dim_stops is None or row.short_stops is None:
        return row
    net = row.dim_stops - row.short_stops + (key.dim_stops or 0.0)
    return replace(row, dim_stops=max(net, 0.0), short_stops=max(-net, 0.0))


def _fill_row(
    stage: Stage,
    floor: Ground,
    light: Light,
    lamp: PlanLamp,
    placed: Placed,
    key: PlanLight,
    ratio: float,
) -> PlanLight:
    """The fill, with a word where it is too weak for the ratio."""
    row = _with_key(_row(stage, floor, light, lamp, placed, goal=None), key)
    short = placed.short_stops
    if short is None or short <= RATIO_TOLERANCE_STOPS:
        return row
    if row.short_stops is not None and row.short_stops <= RATIO_TOLERANCE_STOPS:
        dim_key = said("fit.dim_key", short=Figure(short, "stops"), ratio=Figure(ratio, "ratio"))
        return replace(row, why=both(row.why, dim_key))
    left = row.short_stops if row.short_stops is not None else short
    weak = said(
        "fit.weak_fill",
        short=Figure(left, "stops"),
        ratio=Figure(ratio, "ratio"),
    )
    return replace(row, fits=_not(row.fits), why=both(row.why, weak))


def _board_fill(stage: Stage, floor: Ground, found: ThreePoint, key: PlanLamp) -> PlanLight:
    """No second light: a white board on the fill's side, turned half way between key and face, with
    the light it sends back.
    """
    side = found.side
    goal = Goal(
        60.0,
        45.0,
        None,
        height_m=stage.subject_m[2],
        height_most_off_m=0.5,
        distance_m=1.1,
        nearer_per_stop_deg=8.0,
        further_per_stop_deg=20.0,
    )
    spot = find_spot(stage, BOARD, goal, (-side,))
    towards = stage.on_bearing(-side * 60.0)
    name = None
    if floor.walled:
        hits = shadow_landing(
            stage.space,
            stage.subject_m,
            np.asarray(stage.subject_m) + np.array([*(towards * 0.01), 0.0]),
        )
        name = hits.surface
    surface = Word("surface", name) if name else None
    board = said("fit.board", size=metres(BOARD_M), surface=surface)
    if isinstance(spot, NoSpot):
        return PlanLight(
            fits=False,
            why=both(board, said("fit.board_by_hand")),
            unknown=said("fit.meter_board"),
            surface=name,
        )
    row = PlanLight(
        at_m=spot.at_m,
        aim_m=stage.subject_m,
        fits=spot.near if stage.views else None,
        works=spot.near,
        clear_from_mm=spot.clear_from_mm,
        why=board,
        surface=name,
        across_deg=spot.across_deg,
        down_deg=spot.down_deg,
        distance_m=spot.distance_m,
    )
    if not isinstance(found.key.spot, Spot) or key.intensity_cd is None or found.key.lux is None:
        return replace(row, unknown=said("fit.meter_board"))
    at, lamp, face = (
        np.asarray(spot.at_m),
        np.asarray(found.key.spot.at_m),
        np.asarray(stage.subject_m),
    )
    way_in, way_out = lamp - at, face - at
    normal = way_in / np.linalg.norm(way_in) + way_out / np.linalg.norm(way_out)
    if float(np.linalg.norm(normal)) < 1e-6:
        return replace(row, unknown=said("fit.board_opposite"))
    half = between_deg(way_in, way_out) / 2.0
    on_board = key.intensity_cd / float(way_in @ way_in)
    lux = float(
        matt_board_lux(on_board, BOARD_REFLECTANCE, BOARD_M**2, half, half, spot.distance_m)
    )
    reached = found.key.lux / lux if lux > 0 else None
    gives = said(
        "fit.board_lux",
        lux=Figure(lux, "lux"),
        ratio=None if reached is None else Figure(reached, "ratio"),
    )
    taken = Figure(BOARD_REFLECTANCE)
    return replace(
        row,
        lux=lux,
        why=both(board, gives),
        assumed=(said("fit.board_taken", reflectance=taken, size=metres(BOARD_M)),),
    )


def _bounce_row(stage: Stage, floor: Ground, light: Light, lamp: PlanLamp, side: int) -> PlanLight:
    """The key turned onto the ceiling, else onto a wall."""
    found: BouncePlan | None = ceiling_bounce(stage, lamp.lamp, side)
    if (found is None or isinstance(found.spot, NoSpot)) and floor.walled:
        found = wall_bounce(stage, lamp.lamp, side) or found
    if found is None:
        if floor.walled or stage.space.ceiling_m is not None:
            return PlanLight(
                light=light.id,
                fits=False,
                why=said("fit.no_bounce", throw=metres(LEAST_THROW_M)),
            )
        return PlanLight(light=light.id, unknown=said("fit.bounce_open"))
    if isinstance(found.spot, NoSpot):
        return PlanLight(
            light=light.id,
            fits=False,
            why=no_place(found.spot, stage, lamp.lamp),
            surface=found.surface,
        )
    spot = found.spot
    why = clear_from(spot, stage) or (None if spot.near else said("fit.bounce_far"))
    return PlanLight(
        light=light.id,
        at_m=spot.at_m,
        aim_m=found.aim_m,
        fits=spot.near if stage.views else None,
        works=spot.near,
        clear_from_mm=spot.clear_from_mm,
        why=why,
        surface=found.surface,
        across_deg=spot.across_deg,
        distance_m=spot.distance_m,
    )


def _other_row(
    stage: Stage, floor: Ground, light: Light, lamp: PlanLamp
) -> tuple[Stage, PlanLight]:
    """A light beyond the three: where it is pinned, else behind the subject, lighting what stands
    there.
    """
    if light.at_m is not None:
        return stage, PlanLight(
            light=light.id,
            at_m=light.at_m,
            aim_m=light.aim_m or stage.subject_m,
            why=said("fit.pinned_beyond"),
        )
    behind = shadow_landing(
        stage.space, np.asarray(stage.camera_m), np.asarray(stage.subject_m), has_walls=floor.walled
    )
    aim = (
        behind.at_m
        if behind.at_m is not None and behind.surface not in (None, "floor", "ceiling")
        else stage.subject_m
    )
    spot = find_spot(stage, lamp.lamp, Goal(120.0, 60.0, 30.0, 30.0, distance_m=2.0), (1, -1))
    if isinstance(spot, NoSpot):
        return stage, PlanLight(light=light.id, fits=False, why=no_place(spot, stage, lamp.lamp))
    row = PlanLight(
        light=light.id,
        at_m=spot.at_m,
        aim_m=aim,
        fits=spot.near if stage.views else None,
        works=spot.near,
        clear_from_mm=spot.clear_from_mm,
        across_deg=spot.across_deg,
        down_deg=spot.down_deg,
        distance_m=spot.distance_m,
        why=both(said("fit.for_background"), clear_from(spot, stage)),
        lux=lux_at(spot, lamp) if aim == stage.subject_m else None,
    )
    return stage.with_stand(spot.at_m, lamp.lamp.radius_m), row
