"""Needs that the room itself meets: clear depth, sun, light level, sockets, speech."""

from __future__ import annotations

from collections.abc import Callable
from math import log2
from typing import Any, get_args

from scout.assess.answers import unmeasured
from scout.assess.choice.cells import Case, CellLevel, NeedCell, Reading, metres, unknown
from scout.assess.daylight.judged import judged_light
from scout.assess.daylight.place import facings_of
from scout.calc.choice.clear import STEP_M, clear_depth_m
from scout.records.kept import (
    CompassPoint,
    DepthNeed,
    FacingNeed,
    LuxNeed,
    MicNeed,
    SocketsNeed,
    SunNeed,
)
from scout.records.sheet import RoomSheet
from scout.values import Figure, Many, Name, Said, Word, names, said

# what rooms are, where nobody measured (common practice)
ROOM_DEPTH_M, ROOM_LUX, ROOM_SOCKETS = (2.0, 8.0), (10.0, 3000.0), (0.0, 12.0)
CROWDED = 0.4  # of the bare depth is left in a full room (common practice)
SKY_STOPS = 1.0  # one overcast sky or another (common practice)
FACES_DEG = 45.0  # off a point of the compass, a window still faces it: half a quarter (our rule)
SUN_TROUBLES = ("sun.on_face", "sun.in_lens", "sun.in_frame")
SPEECH = ("unusable", "repair", "usable", "clean")


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


def _sun(need: SunNeed, case: Case) -> NeedCell:
    found = case.facts.assessment
    troubles = [one for one in found.findings if one.code in SUN_TROUBLES]
    if troubles:
        why = Many(tuple(Said(one.code, tuple(one.figures().items())) for one in troubles), "list")
        level: CellLevel = "care" if all(one.acts for one in troubles) else "fail"
        return NeedCell(level, None, said("need.list", parts=why))
    if any(one.topic == "sun" and one.level == "unknown" for one in found.findings):
        return unknown(said("need.sun_unknown"))
    if any(one.topic == "sun" for one in found.findings):
        return NeedCell("pass", None, said("need.no_sun"))
    return unknown(said("need.sun_unknown"))


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


def _lux(need: LuxNeed, case: Case) -> NeedCell:
    light = case.facts.assessment.daylight
    lit = judged_light(light)
    if lit is None or lit.overcast_lux_noon is None:
        mark = light.marks.get("subject")
        why = (mark.unknown if mark else None) or light.unknown or said("need.no_light")
        return unknown(why, Reading.between(*(log2(end) for end in ROOM_LUX)))
    lux = lit.overcast_lux_noon
    reading = Reading.about(log2(max(lux, 0.01)), SKY_STOPS)
    figure, gap = Figure(lux, "lux"), Figure(abs(log2(max(lux, 0.01) / need.lux)), "stops")
    if lux >= need.lux:
        return NeedCell("pass", figure, said("need.lux_over", over=gap), reading)
    clear = lit.clear_lux_noon
    if clear is not None and clear >= need.lux:
        return NeedCell("fail", figure, said("need.lux_clear", clear=Figure(clear, "lux")), reading)
    return NeedCell("fail", figure, said("need.lux_short", short=gap), reading)


def _sockets(need: SocketsNeed, case: Case) -> NeedCell:
    outlets = case.facts.room.outlets
    if outlets is None:
        return unknown(unmeasured("room.outlets"), Reading.between(*ROOM_SOCKETS))
    count = sum(outlet.sockets or 1 for outlet in outlets)
    uncounted = [outlet.id for outlet in outlets if outlet.sockets is None]
    figure = said("need.socket_count", count=count)
    if count >= need.sockets:
        return NeedCell("pass", figure, said("need.within"), Reading.about(count))
    if uncounted:
        why = unmeasured(*(f"outlets.{outlet}.sockets" for outlet in uncounted))
        most = count + 3.0 * len(uncounted)
        return NeedCell("unknown", figure, why, Reading.between(count, most))
    why = said("need.sockets_short", short=need.sockets - count)
    return NeedCell("fail", figure, why, Reading.about(count))


def _mic(need: MicNeed, case: Case) -> NeedCell:
    sound = case.facts.assessment.sound
    judged = [mic for mic in sound.placements if mic.verdict is not None]
    if not judged:
        why = sound.unknown_by.get("placements") or sound.unknown or said("need.no_mic")
        return unknown(why)
    best = max(judged, key=lambda mic: SPEECH.index(mic.verdict or "unusable"))
    short = SPEECH.index(need.speech) - SPEECH.index(best.verdict or "unusable")
    why = said("need.best_mic", mic=Name(best.mic), speech=Word("speech", best.verdict or ""))
    level: CellLevel = "pass" if short <= 0 else "care" if short == 1 else "fail"
    return NeedCell(level, None, why, order=SPEECH.index(best.verdict or "unusable"))


JUDGES: dict[str, Callable[[Any, Case], NeedCell]] = {
    "depth": _depth,
    "sun": _sun,
    "facing": _facing,
    "lux": _lux,
    "sockets": _sockets,
    "mic": _mic,
}
ASKED: dict[str, Callable[[Any], Said]] = {
    "depth": lambda need: said("asked.depth", depth=metres(need.depth_m)),
    "sun": lambda need: said("asked.sun"),
    "facing": lambda need: said("asked.facing", point=Word("compass", need.facing)),
    "lux": lambda need: said("asked.lux", lux=Figure(need.lux, "lux")),
    "sockets": lambda need: said("asked.sockets", n=need.sockets),
    "mic": lambda need: said("asked.mic", speech=Word("speech", need.speech)),
}
