"""Needs that the room meets as it was measured: floor, clear depth, ceiling, where its windows face."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, get_args

from scout.assess.answers import unmeasured
from scout.assess.choice.cells import Case, CellLevel, NeedCell, Reading, metres, unknown
from scout.assess.daylight.place.where import facings_of
from scout.calc.choice.clear import STEP_M, clear_depth_m
from scout.calc.choice.floor import rectangle_fits
from scout.calc.geometry import plan_area_m2
from scout.records.kept import CompassPoint, DepthNeed, FacingNeed, FloorNeed, HeightNeed
from scout.records.sheet import RoomSheet
from scout.values import Figure, Name, Said, Word, names, said

# what rooms are, where nobody measured (common practice)
ROOM_HEIGHT_M, ROOM_DEPTH_M = (2.1, 4.0), (2.0, 8.0)
TAPE_M = 0.02
CROWDED = 0.4  # of the bare depth is left in a full room (common practice)
FACES_DEG = 45.0  # off a point of the compass, a window still faces it: half a quarter (our rule)


def _floor(need: FloorNeed, case: Case) -> NeedCell:
    corners = case.facts.room.corners_m
    if corners is None:
        return unknown(unmeasured("room.plan_m"))
    area_m2 = plan_area_m2(corners)
    figure = Figure(area_m2, "m2")
    if rectangle_fits(corners, need.width_m, need.length_m):
        return NeedCell("pass", figure, said("need.floor_fits"), order=area_m2)
    return NeedCell("fail", figure, said("need.floor_short"), order=area_m2)


def _depth(need: DepthNeed, case: Case) -> NeedCell:
    room = case.facts.room
    corners = room.corners_m
    if corners is None:
        return unknown(unmeasured("room.plan_m"), Reading.between(*ROOM_DEPTH_M))
    blocks = [block for block in room.furniture or () if block.corners_m is not None]
    standing = [block for block in blocks if not block.movable]
    depth = clear_depth_m(corners, [block.corners_m for block in standing if block.corners_m])
    figure = metres(depth)
    if depth < need.depth_m:
        short = said("need.depth_short", short=metres(need.depth_m - depth))
        return NeedCell("fail", figure, short, Reading.about(depth, 2 * STEP_M))
    if room.furniture is None:
        why = unmeasured("room.furniture")
        return NeedCell("unknown", figure, why, Reading.between(CROWDED * depth, depth))
    moved = [block for block in blocks if block.movable]
    reading = Reading.about(depth, 2 * STEP_M)
    if moved:
        as_it_is = clear_depth_m(corners, [block.corners_m for block in blocks if block.corners_m])
        if as_it_is < need.depth_m:
            move = said("need.depth_moved", what=names(block.id for block in moved))
            return NeedCell("care", figure, move, reading)
    return NeedCell("pass", figure, said("need.depth_clear"), reading)


def _height(need: HeightNeed, case: Case) -> NeedCell:
    room = case.facts.room
    if room.setting == "exterior":
        return NeedCell("pass", said("need.open_sky"), said("need.no_ceiling"))
    if room.height_m is None:
        return unknown(unmeasured("room.height_m"), Reading.between(*ROOM_HEIGHT_M))
    gap, reading = room.height_m - need.height_m, Reading.about(room.height_m, TAPE_M)
    if gap >= 0:
        why = said("need.to_spare", gap=metres(gap))
        return NeedCell("pass", metres(room.height_m), why, reading)
    return NeedCell("fail", metres(room.height_m), said("need.too_low", gap=metres(-gap)), reading)


def _facing(need: FacingNeed, case: Case) -> NeedCell:
    room = case.facts.room
    if room.setting == "exterior":
        return NeedCell("outside", None, said("need.open_sky"))
    if room.windows is None:
        return unknown(unmeasured("room.windows"))
    if not room.windows:
        return NeedCell("fail", said("need.windows", count=0), said("need.no_window"))
    place = case.facts.location.sheet_location
    sheet = RoomSheet.model_validate({"schema": "room-sheet/1", "room": room, "location": place})
    facings = facings_of(sheet, case.facts.assessment.date)
    bearings = {one.id: facings.true_deg.get(one.wall) for one in room.windows}
    if facings.unknown is not None:
        return unknown(facings.unknown, Reading.between(0.0, 180.0))
    wanted = 45.0 * get_args(CompassPoint).index(need.facing)
    off = {
        window: abs((bearing - wanted + 180.0) % 360.0 - 180.0)
        for window, bearing in bearings.items()
        if bearing is not None
    }
    if len(off) < len(bearings) and all(away > FACES_DEG for away in off.values()):
        return unknown(unmeasured("room.plan_m"), Reading.between(0.0, 180.0))
    nearest = min(off, key=lambda window: off[window])
    away, doubt = off[nearest], facings.doubt_deg
    bearing = Figure(bearings[nearest] or 0.0, "deg")
    figure = said("need.window_faces", window=Name(nearest), bearing=bearing)
    others = names(window for window, one in off.items() if one > FACES_DEG)
    sure: CellLevel = "pass" if away <= FACES_DEG else "fail"
    if abs(away - FACES_DEG) < doubt:
        why = said("need.facing_doubt", doubt=Figure(doubt, "deg"))
        return NeedCell("care", figure, why, Reading.about(away, doubt))
    if sure == "fail":
        return NeedCell("fail", figure, said("need.faces_not"), Reading.about(away, doubt))
    why = said("need.faces", others=others if others.items else None)
    return NeedCell("pass", figure, why, Reading.about(away, doubt))


JUDGES: dict[str, Callable[[Any, Case], NeedCell]] = {
    "floor": _floor,
    "depth": _depth,
    "height": _height,
    "facing": _facing,
}
ASKED: dict[str, Callable[[Any], Said]] = {
    "floor": lambda need: said(
        "asked.floor", width=metres(need.width_m), length=metres(need.length_m)
    ),
    "depth": lambda need: said("asked.depth", depth=metres(need.depth_m)),
    "height": lambda need: said("asked.height", height=metres(need.height_m)),
    "facing": lambda need: said("asked.facing", point=Word("compass", need.facing)),
}
