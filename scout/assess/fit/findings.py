"""What is found of the space for a setup: framings, where lights stand, shadows, the boom, the
background, flicker, the walk, and the key's strength.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import numpy as np

from scout.assess.answers import (
    Act,
    Change,
    Finding,
    FitAnswer,
    FramingAnswer,
    Level,
    PlanLight,
    RoomAssessment,
    act,
)
from scout.assess.answers.finding import MOST_ACTS
from scout.assess.daylight.judged import judged_light
from scout.assess.fit.frame.framings import framing_rows, through_door
from scout.assess.fit.frame.headroom import low_overhead
from scout.assess.fit.frame.mirrored import mirrored
from scout.assess.fit.kinds import (
    BackDepth,
    Backdrop,
    BoomClear,
    BoomInFrame,
    BoomNoFloor,
    BoomShadow,
    Flicker,
    FramingFits,
    FramingHeld,
    FramingNear,
    FramingNone,
    FramingThrough,
    FramingTight,
    FramingUnknown,
    HeadShadow,
    InFrame,
    KeyPlace,
    LightMissing,
    LightNoPlace,
    LightOff,
    OnPiece,
    PlacesUnknown,
    PlanAsks,
    Walk,
)
from scout.assess.fit.levels import (
    FACE_FRAMINGS,
    Framed,
    framing_level,
    in_frame,
    lens_level,
    mark_words,
    place_level,
    told_framing,
)
from scout.assess.fit.light.flicker import SEEN_STOPS as FLICKER_STOPS
from scout.assess.fit.light.flicker import swing_stops
from scout.assess.fit.light.mending import dimmed_low, out_of_frame
from scout.assess.fit.light.motion import SEEN_STOPS as WALK_STOPS
from scout.assess.fit.light.motion import place
from scout.assess.fit.light.strength import strength
from scout.assess.fit.plan.shadows import boom_mic
from scout.assess.fit.reasons import degrees, metres, millimetres
from scout.assess.setup import Setup
from scout.assess.stage.floor import ground, lenses_unknown
from scout.calc.fit.lens.framing import FACE_DISTORTION_M
from scout.calc.fit.shadow.landing import SHADOW_FREE_M
from scout.calc.geometry import inside
from scout.records.doorways import doorways_of
from scout.records.piece_checks import RUG_MOST_M
from scout.records.questions import room_questions
from scout.values import (
    Figure,
    Many,
    Name,
    Said,
    Word,
    names,
    said,
    words,
)

PARTS = ("key", "fill", "back")
TAPE_M = 0.05  # a length that a tape and two people may miss by (common practice)
HELD = {
    "hand_held": (said("fit.by_hand"), said("fit.loss_held")),
    "clamp": (said("fit.by_clamp"), said("fit.loss_clamp")),
}
BRIGHT_STOPS = 1.0  # a background further over a grey card draws the eye (common practice)


def findings(setup: Setup, found: RoomAssessment) -> tuple[Finding, ...]:
    """What is found of space and key for a setup."""
    answer = found.fit
    places = tuple(_places(setup, answer, found))
    left = {act["light"].text for one in places for act in one.acts if act.code == "leave.light"}
    return (
        *_framings(setup, answer),
        *places,
        *mirrored(setup, found),
        *_on_pieces(setup, found),
        *strength(setup, found),
        *dimmed_low(answer, left),
        *_shadows(answer),
        *_boom(setup, answer),
        *_backdrop(found),
        *_flicker(setup, answer),
        *_walk(answer),
        *low_overhead(setup),
        *_asked(setup),
    )


def _asked(setup: Setup) -> Iterator[Finding]:
    for one in room_questions(setup.sheet.room):
        yield PlanAsks(
            level="care",
            about=names(one.names).items,
            rests_on=tuple(f"room.{fact}" for fact in one.facts),
            question=one.what,
            acts=(act("measure", facts=words("fact", one.facts)),),
        )


# -- framings
def _framings(setup: Setup, answer: FitAnswer) -> Iterator[Finding]:
    lens = setup.focal_length_mm
    best = told_framing(answer, setup.framing, lens)
    if best is None or best.row is None:
        row = framing_level(answer, setup.framing or FACE_FRAMINGS[0], lens).row
        unknown = row.unknown if row is not None else None
        because = unknown or lenses_unknown(setup.sheet) or said("fit.no_camera")
        yield FramingUnknown(
            level="unknown", because=because, acts=measure(because), **_listed(because)
        )
        return
    if best.level == "problem":
        worst = best.row
        yield FramingNone(
            level="problem",
            framing=Word("framing", worst.name),
            lens=Figure(worst.focal_length_mm, "mm"),
            short=metres(short) if (short := worst.short_m or 0.0) > TAPE_M else None,
            because=worst.why,
            acts=_moves(setup, worst),
        )
        return
    if setup.framing is None and best.row.name not in FACE_FRAMINGS:
        yield _all_that_fit(setup, answer, best.row, list(best.others), "care")
        return
    yield _framing(setup, answer, best, best.row)
    depth = (best.row.background_m or 0.0) - (best.row.face_distance_m or 0.0)
    if best.row.fits and depth >= SHADOW_FREE_M:
        yield BackDepth(level="good", depth=metres(depth))


def _framing(setup: Setup, answer: FitAnswer, framed: Framed, row: FramingAnswer) -> Finding:
    framing, lens = Word("framing", row.name), Figure(row.focal_length_mm, "mm")
    away, mark = metres(row.face_distance_m or 0.0), mark_words(answer, row)
    if row.through is not None and row.camera_m is not None:
        return FramingThrough(
            level="care",
            framing=framing,
            lens=lens,
            distance=away,
            mark=mark,
            door=Name(row.through),
            beyond=metres(_beyond_m(setup, row.through, row.camera_m)),
            why=None if row.fits else row.why,
            acts=_off_mark(answer, row),
        )
    if not row.fits and row.operator_beside is None and row.behind in HELD:
        return FramingHeld(
            level="care",
            framing=framing,
            lens=lens,
            distance=away,
            mark=mark,
            how=HELD[row.behind][0],
            loss=HELD[row.behind][1],
            acts=(*_off_mark(answer, row), *_moves(setup, row))[:MOST_ACTS],
        )
    if not row.fits:
        side = Word("side", row.operator_beside or "left")
        acts = (*_off_mark(answer, row), *_moves(setup, row))[:MOST_ACTS]
        return FramingTight(
            level="care",
            framing=framing,
            lens=lens,
            distance=away,
            mark=mark,
            side=side,
            acts=acts,
        )
    if framed.level == "care":
        least = metres(FACE_DISTORTION_M)
        return FramingNear(
            level="care",
            framing=framing,
            lens=lens,
            distance=away,
            mark=mark,
            least=least,
            acts=_off_mark(answer, row),
        )
    fitting = [one for one in answer.framings if lens_level(one) == "good"]
    if setup.framing is not None:
        fitting = [one for one in fitting if one.name == setup.framing]
    return _all_that_fit(setup, answer, row, fitting, "good")


def _all_that_fit(
    setup: Setup, answer: FitAnswer, row: FramingAnswer, fitting: list[FramingAnswer], level: Level
) -> FramingFits:
    lenses: dict[str, list[float]] = {}
    for one in fitting:
        lenses.setdefault(one.name, []).append(one.focal_length_mm)
    missing = dict.fromkeys(one.name for one in answer.framings if one.name not in lenses)
    return FramingFits(
        level=level,
        framing=Word("framing", row.name),
        lens=Figure(row.focal_length_mm, "mm"),
        distance=metres(row.face_distance_m or 0.0),
        mark=mark_words(answer, row),
        acts=_off_mark(answer, row),
        fits=Many(
            tuple(
                said("fit.framing_with", framing=Word("framing", name), lenses=_range(mm))
                for name, mm in lenses.items()
            )
        )
        if len(fitting) > 1
        else None,
        missing=words("framing", missing, "or") if missing and setup.framing is None else None,
    )


def _range(lenses: list[float]) -> Figure | Said:
    short, long = Figure(lenses[0], "mm"), Figure(lenses[-1], "mm")
    return short if short == long else said("fit.lens_range", short=short, long=long)


def _off_mark(answer: FitAnswer, row: FramingAnswer) -> tuple[Act, ...]:
    """The camera set where its lens gives the framing, where that is not its mark."""
    mark, away = mark_words(answer, row), row.face_distance_m
    if mark is None or away is None:
        return ()
    gain = Change("off_mark", "m", abs(mark.value - away), 0.0)
    lens = Figure(row.focal_length_mm, "mm")
    return (act("camera.place", distance=metres(away), lens=lens, buys=gain),)


def _moves(setup: Setup, row: FramingAnswer) -> tuple[Act, ...]:
    """What makes a framing fit, worked out again: the operator beside the camera, or the subject
    further back; nothing where a tape would not tell.
    """
    acts = []
    short, marks = row.short_m or 0.0, setup.sheet.marks
    if short <= TAPE_M or marks is None or marks.subject is None or marks.camera is None:
        return ()
    away = np.subtract(marks.subject, marks.camera)[:2]
    x, y = np.add(marks.subject[:2], away / np.linalg.norm(away) * (short + 1e-3))
    moved = marks.model_copy(update={"subject": (float(x), float(y), marks.subject[2])})
    sheet = setup.sheet.model_copy(update={"marks": moved})
    heights = (marks.camera[2], marks.subject[2])
    again, _, _ = framing_rows(sheet, replace(ground(sheet.room), heights_m=heights))
    fits = [(one.name, one.focal_length_mm) for one in again if one.fits]
    gain = Change("short_m", "m", short, 0.0)
    if row.operator_beside is not None:
        acts.append(act("operate.beside", side=Word("side", row.operator_beside), buys=gain))
    if (row.name, row.focal_length_mm) in fits:
        acts.append(act("move.back", back=metres(short), buys=gain))
    door = through_door(setup.sheet, row)
    if door is not None:
        beyond = metres(_beyond_m(setup, door[0], door[1]))
        acts.append(act("camera.door", door=Name(door[0]), beyond=beyond, buys=gain))
    return tuple(acts)


def _beyond_m(setup: Setup, door: str, camera_m: tuple[float, float]) -> float:
    """How far behind the inner face of a door's wall a camera stands."""
    doorway = next(one for one in doorways_of(setup.sheet.room) if one.name == door)
    return float(doorway.out_m(np.asarray(camera_m)))


# what keeps a place or a framing from being told, and the facts of the kit that would end it
LISTED = {
    "fit.no_kit": ("kit.lights",),
    "fit.no_lights": ("kit.lights",),
    "fit.no_camera": ("kit.camera.focal_lengths_mm", "kit.camera.sensor_width_mm"),
    "fit.no_lens": ("kit.camera.focal_lengths_mm",),
    "fit.no_sensor": ("kit.camera.sensor_width_mm",),
}


def _listed(because: Said) -> dict[str, Any]:
    return {"rests_on": LISTED[because.code]} if because.code in LISTED else {}


MEASURED = ("unmeasured", "unlisted", "unlisted.many")


def measure(because: Said) -> tuple[Act, ...]:
    """The act that ends not knowing, where facts that can be measured are what is missing."""
    return (act("measure", facts=because["facts"]),) if because.code in MEASURED else ()


# -- where lights stand
def _places(setup: Setup, answer: FitAnswer, found: RoomAssessment) -> Iterator[Finding]:
    rows = {part: answer.plan[part] for part in PARTS if part in answer.plan}
    key = rows.get("key")
    if key is None or place_level(key, "key") == "unknown":
        because = (key.unknown if key is not None else None) or said("fit.no_kit")
        yield PlacesUnknown(
            level="unknown", because=because, acts=measure(because), **_listed(because)
        )
        return
    missing = [part for part, row in rows.items() if row.light is None and not row.fits]
    for part, row in rows.items():
        if row.light is not None:
            yield from _fault(setup, part, row, answer, found)
    if missing:
        yield LightMissing(level="care", parts=words("part", missing, "or"))
    standing = [row.light for row in rows.values() if row.light is not None and row.fits]
    if key.fits and key.light is not None:
        yield KeyPlace(
            level="good",
            about=(Name(key.light),),
            lights=names(standing),
            round=degrees(key.across_deg or 0.0),
            above=Figure(key.down_deg or 0.0, "deg"),
            distance=metres(key.distance_m or 0.0),
            why=key.why,
        )


def _on_pieces(setup: Setup, found: RoomAssessment) -> Iterator[Finding]:
    """Lights put over a piece of furniture: its top carries them, for no stand has its legs there."""
    for placed in found.placements.values():
        for piece in setup.sheet.room.furniture or ():
            low = piece.height_m or 0.0
            if (
                piece.corners_m is not None
                and (piece.height_m is None or low > RUG_MOST_M)
                and placed.at_m[2] >= low
                and bool(inside(piece.corners_m, np.asarray(placed.at_m[:2])))
            ):
                yield OnPiece(level="care", about=(Name(placed.light),), piece=Name(piece.id))
                break


def _fault(
    setup: Setup, part: str, row: PlanLight, answer: FitAnswer, found: RoomAssessment
) -> Iterator[Finding]:
    """What is wrong with a light's place; its cable and its strength are told elsewhere."""
    level, about = place_level(row, part), (Name(row.light or ""),)
    if row.at_m is None and level != "unknown":
        yield LightNoPlace(
            level=level,
            about=about,
            because=row.why or said("fit.no_floor"),
            acts=_clamp(found) if part == "key" else (),
        )
    elif level != "unknown" and in_frame(row, answer.judged_mm):
        able = {one.focal_length_mm for one in answer.framings if one.fits}
        clear = Figure(row.clear_from_mm, "mm") if row.clear_from_mm in able else None
        acts = out_of_frame(setup.sheet, part, row, answer.judged_mm)
        yield InFrame(level="care", about=about, clear=clear, acts=acts)
    elif row.works is False:
        yield LightOff(
            level="care",
            about=about,
            part=Word("part", part),
            round=degrees(row.across_deg or 0.0),
            above=Figure(row.down_deg or 0.0, "deg"),
            because=row.why,
        )


def _clamp(found: RoomAssessment) -> tuple[Act, ...]:
    """A clamp in place of a stand, where it was worked out to have a place."""
    way = next((way for way in found.ways if way.way == "clamp"), None)
    if way is None or not way.possible or way.at_m is None or way.lux is None:
        return ()
    gain = Change("lux", "lux", 0.0, way.lux)
    return (act("clamp.light", light=Name(way.light or ""), height=metres(way.at_m[2]), buys=gain),)


# -- shadows, boom, background
def _all_see(answer: FitAnswer, in_frame_mm: tuple[float, ...]) -> bool:
    return bool(answer.judged_mm) and set(answer.judged_mm) <= set(in_frame_mm)


def _shadows(answer: FitAnswer) -> Iterator[Finding]:
    for row in answer.shadows:
        if (
            row.of == "head and shoulders"
            and row.hard
            and len(row.surface) == 1
            and _all_see(answer, row.in_frame_mm)
        ):
            yield HeadShadow(
                level="care",
                about=(Name(row.light),),
                surface=Word("surface", row.surface),
                beyond=None if row.beyond_m is None else metres(row.beyond_m),
                lenses=millimetres(row.in_frame_mm),
                free=metres(SHADOW_FREE_M),
            )


def _boom(setup: Setup, answer: FitAnswer) -> Iterator[Finding]:
    boom, mic = answer.boom, boom_mic(setup.sheet)
    if boom is None or mic is None or mic.distance_m is None:
        return
    hangs: dict[str, Any] = {
        "about": (Name(boom.mic),),
        "distance": metres(mic.distance_m),
        "height": metres(boom.mic_m[2]),
    }
    if boom.from_side is None:
        hang = act("hang.mic", mic=Name(boom.mic), height=metres(boom.mic_m[2]))
        yield BoomNoFloor(level="care", acts=(hang,), **hangs)
        return
    hangs["side"] = Word("side", boom.from_side)
    seen = _all_see(answer, boom.in_frame_mm)
    for lights, where in ((boom.on_face, said("fit.on_face")), (boom.on_wall, said("fit.on_wall"))):
        if lights:
            yield BoomShadow(level="care", lights=names(lights), where=where, **hangs)
    if seen:
        yield BoomInFrame(level="care", lenses=millimetres(boom.in_frame_mm), **hangs)
    if not (boom.on_face or boom.on_wall or seen) and answer.judged_mm:
        yield BoomClear(level="good", **hangs)


def _backdrop(found: RoomAssessment) -> Iterator[Finding]:
    answer, key = found.fit, found.fit.plan.get("key")
    row = next(
        (
            row
            for row in answer.backdrop
            if row.focal_length_mm in answer.judged_mm and row.stops_seen is not None
        ),
        None,
    )
    if row is None or row.stops_seen is None or row.lux is None or key is None or not key.lux:
        return
    # the row has a grey card in the key alone; the day is on the face as it is on the wall
    face, lit = key.lux * 2.0 ** -(key.dim_stops or 0.0), judged_light(found.daylight)
    day = lit.overcast_lux_noon or 0.0 if lit is not None and row.daylight_lux is not None else 0.0
    stops = row.stops_seen - float(np.log2(1.0 + day / face))
    yield Backdrop(
        level="care" if stops > BRIGHT_STOPS else "good",
        about=(Word("surface", row.surface),),
        stops=Figure(stops, "stops"),
        lux=Figure(row.lux, "lux"),
        day=None if row.daylight_lux is None else Figure(row.daylight_lux, "lux"),
    )


# -- flicker and the walk
def _flicker(setup: Setup, answer: FitAnswer) -> Iterator[Finding]:
    lamps = [
        lamp.id for lamp in setup.sheet.room.practicals or () if lamp.can_switch_off is not True
    ]
    bad = [row for row in answer.flicker if row.safe is False]
    if not lamps or not bad or bad[0].shutter_s is None:
        return
    open_s = bad[0].shutter_s
    swings = [row.swing_stops for row in bad]
    known = [swing for swing in swings if swing is not None]
    acts = []
    for row in bad:
        best = min(row.safe_shutters_s, key=lambda one: abs(np.log(one / open_s)))
        after, mains = swing_stops(best, row.mains_hz), Figure(row.mains_hz, "Hz")
        if row.swing_stops is not None and after is not None and after <= FLICKER_STOPS:
            gain = Change("swing", "stops", row.swing_stops, after)
            acts.append(act("camera.shutter", shutter=_shutter(best), mains=mains, buys=gain))
    yield Flicker(
        level="care",
        about=names(lamps).items,
        shutter=_shutter(open_s),
        mains=Many(tuple(Figure(row.mains_hz, "Hz") for row in bad)),
        swing=Figure(max(known), "stops") if len(known) == len(swings) else None,
        safe=Many(tuple(_shutter(one) for row in bad for one in row.safe_shutters_s)),
        acts=tuple(acts),
    )


def _shutter(seconds: float) -> Figure:
    return Figure(seconds, "shutter_s")


def _walk(answer: FitAnswer) -> Iterator[Finding]:
    motion = answer.motion
    if motion is None or motion.stops is None:
        return
    daylit = motion.stops_with_daylight
    change = motion.stops if daylit is None else daylit
    lux = [
        point.lux + (0.0 if daylit is None else point.daylight_lux or 0.0)
        for point in motion.points
    ]
    latitude, points = motion.latitude_stops, motion.points
    add = max(lux) / 2.0**WALK_STOPS - min(lux)  # to bring the dark end within what is seen
    level: Level = "good" if change <= WALK_STOPS else "care"
    if level == "care" and latitude is not None and change > latitude / 2.0:
        level = "problem"
    yield Walk(
        level=level,
        change=Figure(change, "stops"),
        most=Figure(max(lux), "lux"),
        brightest=place(points[lux.index(max(lux))].at_m),
        least=Figure(min(lux), "lux"),
        darkest=place(points[lux.index(min(lux))].at_m),
        add=Figure(add, "lux") if level != "good" and add > 0 else None,
        latitude=None if latitude is None else Figure(latitude, "stops"),
    )
