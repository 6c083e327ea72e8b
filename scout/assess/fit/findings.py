"""What is found of the space for a setup: framings, where lights stand, shadows, the boom, the
background, flicker, the walk, and the key's strength.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any, ClassVar

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
from scout.assess.answers.finding import Topic
from scout.assess.daylight.judged import judged_light
from scout.assess.fit.flicker import SEEN_STOPS as FLICKER_STOPS
from scout.assess.fit.flicker import swing_stops
from scout.assess.fit.framings import framing_rows
from scout.assess.fit.levels import (
    FACE_FRAMINGS,
    Daylight,
    Framed,
    daylight_on_face,
    framing_level,
    in_frame,
    key_strength,
    lens_level,
    place_level,
)
from scout.assess.fit.motion import SEEN_STOPS as WALK_STOPS
from scout.assess.fit.motion import place
from scout.assess.fit.reasons import degrees, metres, millimetres
from scout.assess.fit.shadows import boom_mic
from scout.assess.setup import Setup
from scout.assess.stage.floor import ground, lenses_unknown
from scout.calc.fit.framing import FACE_DISTORTION_M
from scout.calc.fit.shadow import SHADOW_FREE_M
from scout.calc.fit.threepoint import RATIO_TOLERANCE_STOPS
from scout.records.kit import LUMENS_DOUBT_STOPS
from scout.values import (
    Degrees,
    Figure,
    Length,
    Lux,
    Many,
    Millimetres,
    Name,
    Ratio,
    Said,
    Shutter,
    Stops,
    Word,
    names,
    said,
    words,
)

PARTS = ("key", "fill", "back")
TAPE_M = 0.05  # a length that a tape and two people may miss by (common practice)
BRIGHT_STOPS = 1.0  # a background further over a grey card draws the eye (common practice)
FLOOR = ("room.plan_m", "marks.subject", "marks.camera")
EXPOSURE = ("kit.camera.f_number", "kit.camera.shutter_s", "kit.camera.iso")


@dataclass(frozen=True, kw_only=True)
class SpaceFinding(Finding):
    """One of how a setup fits into its room."""

    topic: ClassVar[Topic] = "space"
    rests_on: tuple[str, ...] = FLOOR


@dataclass(frozen=True, kw_only=True)
class FramingFinding(SpaceFinding):
    """A framing with the lens that does it best nearest the camera's mark."""

    framing: Word
    lens: Millimetres
    distance: Length


@dataclass(frozen=True, kw_only=True)
class FramingFits(FramingFinding):
    """The scene's framing can be had; without a scene, the room's best face framing.

    Why:    the camera department packs and places by it.
    Level:  good; care where only framings without a face fit.
    Source: similar triangles; tripod and operator by common practice, calc.fit.framing.
    """

    code = "space.framing_fits"
    levels = ("good", "care")
    fits: Many | None = None
    missing: Many | None = None


@dataclass(frozen=True, kw_only=True)
class FramingTight(FramingFinding):
    """The tripod has its floor, the operator behind it has not, but has beside it.

    Why:    it can be shot, with a bent neck.
    Level:  care.
    Source: an operator takes 1.0 by 1.0 m (common practice).
    """

    code = "space.framing_tight"
    levels = ("care",)
    side: Word


@dataclass(frozen=True, kw_only=True)
class FramingNear(FramingFinding):
    """The face framing fits only from so near that the face is distorted.

    Why:    a nose grows towards the lens.
    Level:  care.
    Source: 1.2 m at least (common practice).
    """

    code = "space.framing_near"
    levels = ("care",)
    least: Length


@dataclass(frozen=True, kw_only=True)
class FramingNone(SpaceFinding):
    """The framing does not fit, and by how much floor.

    Why:    it is found out when the tripod stands against the wall.
    Level:  problem.
    Source: as space.framing_fits.
    """

    code = "space.framing_none"
    levels = ("problem",)
    framing: Word
    lens: Millimetres
    short: Length | None
    because: Said | None


@dataclass(frozen=True, kw_only=True)
class FramingUnknown(SpaceFinding):
    """What the lenses can frame cannot be told.

    Why:    a fact of floor, marks or camera is missing.
    Level:  unknown.
    Source: none.
    """

    code = "space.framing_unknown"
    levels = ("unknown",)
    because: Said


@dataclass(frozen=True, kw_only=True)
class KeyPlace(SpaceFinding):
    """Lights that have a place where they work, out of the frame of the lenses that count.

    Why:    load-in goes straight to them.
    Level:  good.
    Source: the best of all places together, calc.fit.plan; 45 round and 45 above are the ideal.
    """

    code = "space.key_place"
    levels = ("good",)
    lights: Many
    round: Degrees
    above: Degrees
    distance: Length
    why: Said | None = None


@dataclass(frozen=True, kw_only=True)
class LightNoPlace(SpaceFinding):
    """A light for which there is no free floor, height or place out of frame.

    Why:    it is carried in and back out.
    Level:  problem for the key; care for any other.
    Source: as space.key_place.
    """

    code = "space.light_no_place"
    levels = ("problem", "care")
    because: Said


@dataclass(frozen=True, kw_only=True)
class InFrame(SpaceFinding):
    """A light whose stand every lens that counts sees.

    Why:    it is in the picture.
    Level:  care.
    Source: the frame widened by 5 %, calc.fit.camera.
    """

    code = "space.in_frame"
    levels = ("care",)
    clear: Millimetres | None


@dataclass(frozen=True, kw_only=True)
class LightOff(SpaceFinding):
    """A light that stands too far from where it works, or where something speaks against it.

    Why:    a key from the front is flat, a back light from the side no back light.
    Level:  care.
    Source: within 15 degrees for the key, see calc.fit.threepoint (common practice).
    """

    code = "space.light_off"
    levels = ("care",)
    part: Word
    round: Degrees
    above: Degrees
    because: Said | None


@dataclass(frozen=True, kw_only=True)
class LightMissing(SpaceFinding):
    """Parts of a three-point light for which the kit has no light left, nor a board's place.

    Why:    the subject will not part from the background, or has no shadow side.
    Level:  care.
    Source: common practice.
    """

    code = "space.light_missing"
    levels = ("care",)
    rests_on: tuple[str, ...] = ("kit.lights",)
    parts: Many


@dataclass(frozen=True, kw_only=True)
class PlacesUnknown(SpaceFinding):
    """Where lights can stand, or what of them is in frame, cannot be told.

    Why:    a fact of floor, height, marks, kit or lenses is missing.
    Level:  unknown.
    Source: none.
    """

    code = "space.places_unknown"
    levels = ("unknown",)
    because: Said


@dataclass(frozen=True, kw_only=True)
class HeadShadow(SpaceFinding):
    """A hard shadow of the head on a wall that every lens that counts sees.

    Why:    it looks like a mistake.
    Level:  care.
    Source: full shadow by similar triangles; a hard edge up to 1.5 m off the wall (common practice).
    """

    code = "space.head_shadow"
    levels = ("care",)
    surface: Word
    beyond: Length | None
    lenses: Many
    free: Length


@dataclass(frozen=True, kw_only=True)
class BackDepth(SpaceFinding):
    """The subject stands far enough off what is behind it.

    Why:    shadows and spill stay off it, and it goes soft.
    Level:  good.
    Source: 1.5 m at least (common practice).
    """

    code = "space.back_depth"
    levels = ("good",)
    depth: Length


@dataclass(frozen=True, kw_only=True)
class BoomFinding(SpaceFinding):
    """One of the microphone on its pole: from which side of the picture, how far from the mouth."""

    side: Word
    distance: Length
    height: Length


@dataclass(frozen=True, kw_only=True)
class BoomShadow(BoomFinding):
    """The microphone's pole throws a shadow on the face, or on a wall in frame.

    Why:    it moves, and everybody looks at it.
    Level:  care.
    Source: straight lines from the light past the pole, calc.fit.boom.
    """

    code = "space.boom_shadow"
    levels = ("care",)
    lights: Many
    where: Said


@dataclass(frozen=True, kw_only=True)
class BoomInFrame(BoomFinding):
    """The microphone hangs in the frame of every lens that counts.

    Why:    either the sound or the framing gives way.
    Level:  care.
    Source: calc.fit.camera.
    """

    code = "space.boom_in_frame"
    levels = ("care",)
    lenses: Many


@dataclass(frozen=True, kw_only=True)
class BoomClear(BoomFinding):
    """The microphone on its pole is neither seen nor casts a shadow that is.

    Why:    sound and picture agree.
    Level:  good.
    Source: as space.boom_shadow.
    """

    code = "space.boom_clear"
    levels = ("good",)


@dataclass(frozen=True, kw_only=True)
class Backdrop(SpaceFinding):
    """How bright the background reads against a grey card at the face.

    Why:    a background brighter than the face draws the eye.
    Level:  good to a stop over, care beyond it.
    Source: inverse square and the surface's own reflectance; a stop by common practice.
    """

    code = "space.backdrop"
    levels = ("good", "care")
    stops: Stops
    lux: Lux
    day: Lux | None


@dataclass(frozen=True, kw_only=True)
class Flicker(SpaceFinding):
    """Lamps of the room that stay on under a shutter that may beat with them.

    Why:    the picture pulses, and it shows at home.
    Level:  care.
    Source: lamps pulse at twice the mains (common practice); n whole pulses hold the same light.
    """

    code = "space.flicker"
    levels = ("care",)
    rests_on: tuple[str, ...] = ("room.practicals", "kit.camera.shutter_s")
    shutter: Shutter
    mains: Many
    swing: Stops | None
    safe: Many


@dataclass(frozen=True, kw_only=True)
class Walk(SpaceFinding):
    """By how much the light along the walk changes.

    Why:    beyond a stop a face is seen to change, and then the exposure holds at one end only.
    Level:  good to a stop; care; problem beyond half of what the camera holds.
    Source: a stop, half the latitude (common practice).
    """

    code = "space.walk"
    levels = ("problem", "care", "good")
    change: Stops
    most: Lux
    brightest: Said
    least: Lux
    darkest: Said
    add: Lux | None
    latitude: Stops | None


@dataclass(frozen=True, kw_only=True)
class LightFinding(Finding):
    """One of how strong the lights are."""

    topic: ClassVar[Topic] = "light"
    rests_on: tuple[str, ...] = ("kit.lights", *EXPOSURE)


@dataclass(frozen=True, kw_only=True)
class KeyStrong(LightFinding):
    """The key, with the least of the day, brings what the camera needs, and outshines the day.

    Why:    it can be dimmed and shaped.
    Level:  good.
    Source: inverse square; ISO 2720 for the need.
    """

    code = "light.key_strong"
    levels = ("good",)
    lux: Lux
    needed: Lux
    over: Stops | None
    day: Lux | None


@dataclass(frozen=True, kw_only=True)
class KeyWeak(LightFinding):
    """The key, with the least of the day, brings less than the camera needs.

    Why:    the face is dark, or noisy.
    Level:  care to a stop, problem beyond it.
    Source: as light.key_strong; a stop is got back by ISO (common practice).
    """

    code = "light.key_weak"
    levels = ("problem", "care")
    lux: Lux
    needed: Lux
    short: Stops
    day: Lux | None


@dataclass(frozen=True, kw_only=True)
class KeyLost(LightFinding):
    """The daylight on the face is stronger than the key.

    Why:    the key shapes nothing; the sun is the key.
    Level:  care.
    Source: the clear or overcast sky of the scene's hours on the side that the camera sees.
    """

    code = "light.key_lost_in_daylight"
    levels = ("care",)
    lux: Lux
    under: Stops
    day: Lux
    at: datetime | None


@dataclass(frozen=True, kw_only=True)
class KeyTurnedAway(LightFinding):
    """The key is pinned and aimed so that nothing of it reaches the face.

    Why:    it does no work there.
    Level:  problem.
    Source: the beam's cosine power, calc.light.photometry.
    """

    code = "light.key_turned_away"
    levels = ("problem",)


@dataclass(frozen=True, kw_only=True)
class KeyUnknown(LightFinding):
    """The key is not outshone, but whether it is enough cannot be told.

    Why:    what the camera needs, or the beam, is not recorded.
    Level:  unknown.
    Source: none.
    """

    code = "light.key_unknown"
    levels = ("unknown",)
    because: Said


@dataclass(frozen=True, kw_only=True)
class StrengthUnknown(LightFinding):
    """Lights of the kit whose strength nobody recorded.

    Why:    neither exposure nor ratio can be told.
    Level:  unknown.
    Source: none.
    """

    code = "light.strength_unknown"
    levels = ("unknown",)


@dataclass(frozen=True, kw_only=True)
class FillWeak(LightFinding):
    """The fill stays under the ratio that is wanted, the key dimmed as far as the camera allows.

    Why:    the shadow side goes darker than meant.
    Level:  care.
    Source: inverse square; a tenth of a stop is let pass.
    """

    code = "light.fill_weak"
    levels = ("care",)
    short: Stops
    ratio: Ratio


def findings(setup: Setup, found: RoomAssessment) -> tuple[Finding, ...]:
    """What is found of space and key for a setup."""
    answer = found.fit
    return (
        *_framings(setup, answer),
        *_places(answer, found),
        *_strength(setup, found),
        *_shadows(answer),
        *_boom(setup, answer),
        *_backdrop(found),
        *_flicker(setup, answer),
        *_walk(answer),
    )


# -- framings
def _framings(setup: Setup, answer: FitAnswer) -> Iterator[Finding]:
    lens = setup.focal_length_mm
    wanted = (setup.framing,) if setup.framing is not None else FACE_FRAMINGS
    framed = [framing_level(answer, name, lens) for name in wanted]
    best = next(
        (one for level in ("good", "care", "problem") for one in framed if one.level == level), None
    )
    if best is None or best.row is None:
        unknown = framed[0].row.unknown if framed[0].row is not None else None
        because = unknown or lenses_unknown(setup.sheet) or said("fit.no_camera")
        yield FramingUnknown(level="unknown", because=because, acts=measure(because))
        return
    if best.level == "problem":
        # of what does not fit, the one that lacks least floor
        rows = [one.row for one in framed if one.level == "problem" and one.row is not None]
        worst = min(rows, key=lambda row: row.short_m or float("inf"))
        fitting = [
            row for row in answer.framings if row.fits and lens in (None, row.focal_length_mm)
        ]
        if setup.framing is None and fitting:
            yield _all_that_fit(setup, answer, fitting[-1], fitting, "care")
        else:
            yield FramingNone(
                level="problem",
                framing=Word("framing", worst.name),
                lens=Figure(worst.focal_length_mm, "mm"),
                short=metres(short) if (short := worst.short_m or 0.0) > TAPE_M else None,
                because=worst.why,
                acts=_moves(setup, worst),
            )
        return
    yield _framing(setup, answer, best, best.row)
    depth = (best.row.background_m or 0.0) - (best.row.face_distance_m or 0.0)
    if best.row.fits and depth >= SHADOW_FREE_M:
        yield BackDepth(level="good", depth=metres(depth))


def _framing(setup: Setup, answer: FitAnswer, framed: Framed, row: FramingAnswer) -> Finding:
    framing, lens = Word("framing", row.name), Figure(row.focal_length_mm, "mm")
    away = metres(row.face_distance_m or 0.0)
    if not row.fits:
        side, acts = Word("side", row.operator_beside or "left"), _moves(setup, row)
        return FramingTight(
            level="care", framing=framing, lens=lens, distance=away, side=side, acts=acts
        )
    if framed.level == "care":
        least = metres(FACE_DISTORTION_M)
        return FramingNear(level="care", framing=framing, lens=lens, distance=away, least=least)
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


def _moves(setup: Setup, row: FramingAnswer) -> tuple[Act, ...]:
    """What makes a framing fit, worked out again: the subject further back, or the operator beside
    the camera; nothing where a tape would not tell.
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
    if (row.name, row.focal_length_mm) in fits:
        acts.append(act("move.back", back=metres(short), buys=gain))
    if row.operator_beside is not None:
        acts.append(act("operate.beside", side=Word("side", row.operator_beside), buys=gain))
    return tuple(acts)


def measure(because: Said) -> tuple[Act, ...]:
    """The act that ends not knowing, where facts that can be measured are what is missing."""
    return (act("measure", facts=because["facts"]),) if because.code == "unmeasured" else ()


# -- where lights stand
def _places(answer: FitAnswer, found: RoomAssessment) -> Iterator[Finding]:
    rows = {part: answer.plan[part] for part in PARTS if part in answer.plan}
    key = rows.get("key")
    if key is None or place_level(key, "key") == "unknown":
        because = (key.unknown if key is not None else None) or said("fit.no_kit")
        yield PlacesUnknown(level="unknown", because=because, acts=measure(because))
        return
    missing = [part for part, row in rows.items() if row.light is None and not row.fits]
    for part, row in rows.items():
        if row.light is not None:
            yield from _fault(part, row, answer, found)
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


def _fault(
    part: str, row: PlanLight, answer: FitAnswer, found: RoomAssessment
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
        clear = None if row.clear_from_mm is None else Figure(row.clear_from_mm, "mm")
        yield InFrame(level="care", about=about, clear=clear)
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


# -- strength
def _strength(setup: Setup, found: RoomAssessment) -> Iterator[Finding]:
    kit = setup.sheet.kit
    dark = [one.id for one in (kit.lights or () if kit else ()) if one.known_lux_at_1m is None]
    if dark:
        lux_of = Many(tuple(said("fit.lux_of", light=Name(one)) for one in dark))
        yield StrengthUnknown(
            level="unknown",
            about=names(dark).items,
            acts=(act("measure", facts=lux_of),),
        )
    key = found.fit.plan.get("key")
    if key is not None and key.light is not None and key.light not in dark:
        yield from _key(key, Name(key.light), found.fit, daylight_on_face(setup, found.daylight))
    fill = found.fit.plan.get("fill")
    if fill is None or fill.light is None or fill.at_m is None or found.fit.ratio is None:
        return
    short, ratio = fill.short_stops or 0.0, found.fit.ratio
    if short > RATIO_TOLERANCE_STOPS:
        yield FillWeak(
            level="care",
            about=(Name(fill.light),),
            short=Figure(short, "stops"),
            ratio=Figure(ratio, "ratio"),
            acts=_stronger("fill", short, Change("ratio", "ratio", ratio * 2.0**short, ratio)),
        )


def _key(key: PlanLight, light: Name, answer: FitAnswer, day: Daylight | None) -> Iterator[Finding]:
    strength = key_strength(key, answer.needed_lux, day)
    if strength is None:
        return
    level, about = strength.level, (light,)
    lux, stops = Figure(key.lux or 0.0, "lux"), abs(strength.stops or 0.0)
    most = None if day is None else Figure(day.most_lux, "lux")
    if strength.what == "turned_away":
        yield KeyTurnedAway(level=level, about=about)
    elif strength.what == "unknown" or (answer.needed_lux is None and strength.what != "lost"):
        because = (
            said("fit.beam_unknown", light=light) if key.lux is None else said("fit.no_exposure")
        )
        yield KeyUnknown(level="unknown", about=about, because=because)
    elif strength.what == "lost" and day is not None and most is not None:
        yield KeyLost(
            level=level,
            about=about,
            lux=lux,
            under=Figure(stops, "stops"),
            day=most,
            at=day.at,
            acts=_stronger("key", stops, Change("under", "stops", stops, 0.0)),
        )
    elif answer.needed_lux is not None:
        needed = Figure(answer.needed_lux, "lux")
        if strength.what == "weak":
            yield KeyWeak(
                level=level,
                about=about,
                lux=lux,
                needed=needed,
                short=Figure(stops, "stops"),
                day=most,
                acts=_stronger(
                    "key", stops, Change("lux", "lux", lux.value, lux.value * 2.0**stops)
                ),
            )
        else:
            yield KeyStrong(
                level=level,
                about=about,
                lux=lux,
                needed=needed,
                over=Figure(stops, "stops"),
                day=most,
            )


def _stronger(part: str, short: float, gain: Change) -> tuple[Act, ...]:
    """A light so much stronger: its lux, and so what it buys, follows from inverse square; none
    where the shortage is within the doubt of a lux.
    """
    if short <= LUMENS_DOUBT_STOPS:
        return ()
    return (
        act("bring.stronger", part=Word("part", part), short=Figure(short, "stops"), buys=gain),
    )


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
        "side": Word("side", boom.from_side),
        "distance": metres(mic.distance_m),
        "height": metres(boom.mic_m[2]),
    }
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
