"""What daylight and sun come to for a setup: enough or not for the camera, and where direct sun
falls.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np

from scout.assess.answers import (
    Act,
    Change,
    Finding,
    Interval,
    Level,
    RoomAssessment,
    When,
    act,
    unmeasured,
)
from scout.assess.daylight.events import events, sun_answer
from scout.assess.daylight.judged import (
    MOST_ND_STOPS,
    judged_light,
)
from scout.assess.daylight.marks import camera_facts, marks, to_true
from scout.assess.daylight.planes import plane_at
from scout.assess.daylight.room import not_taken
from scout.assess.daylight.touch import SunTouches, sun_touches
from scout.assess.daylight.windows import lets_sun_in, sun_at, windows
from scout.assess.setup import Setup
from scout.calc.daylight.sun import sun_position, towards
from scout.records.sheet import RoomRecord, RoomSheet
from scout.values import Figure, Lux, Many, Minutes, Name, Said, Spell, Stops, Word, names, said

__all__ = ["CAUTIONS", "events", "findings", "marks", "sun_at", "sun_position_at", "windows"]

sun_position_at = sun_answer
CAUTIONS = (said("sun.caution"),)
MOST_FACTS = 3  # named in one act
STEP_MIN = 5.0
KIT_FACTS = ("kit.camera.iso", "kit.camera.f_number", "kit.camera.shutter_s")


@dataclass(frozen=True, kw_only=True)
class Enough(Finding):
    """Daylight alone is what the camera needs, even under cloud.

    Why:    a crew that knows it leaves lamps in the van.
    Level:  good; care where it is for part of the scene's hours only.
    Source: assess.daylight.judged; the camera's need by ISO 2720.
    """

    code = "light.enough"
    topic = "light"
    levels = ("good", "care")
    spell: Spell
    plane: Word
    at: datetime
    cloud: Stops
    sun: Stops | None


@dataclass(frozen=True, kw_only=True)
class ClearOnly(Finding):
    """An overcast sky brings too little, a clear one enough.

    Why:    whether lamps come along hangs on the weather of the day.
    Level:  care.
    Source: assess.daylight.judged.
    """

    code = "light.clear_only"
    topic = "light"
    levels = ("care",)
    short: Stops
    spell: Spell
    plane: Word
    at: datetime


@dataclass(frozen=True, kw_only=True)
class Short(Finding):
    """Neither sky brings what the camera needs within the hours.

    Why:    it is found out on the day, when no light is there.
    Level:  problem.
    Source: assess.daylight.judged, by the side that the camera sees.
    """

    code = "light.short"
    topic = "light"
    levels = ("problem",)
    short: Stops
    sun: Stops | None
    plane: Word
    at: datetime
    needed: Lux


@dataclass(frozen=True, kw_only=True)
class TooBright(Finding):
    """Daylight is so far over what the camera needs that it must be kept out of the lens.

    Why:    a face burns out at the stop and shutter that the scene is set to; lamps are useless.
    Level:  care from two stops, problem beyond ten, which no usual filter takes (common practice).
    Source: assess.daylight.judged, the brightest instant of the hours under either sky.
    """

    code = "light.too_bright"
    topic = "light"
    levels = ("care", "problem")
    over: Stops
    brightest: datetime
    plane: Word
    needed: Lux
    spell: Spell | None


@dataclass(frozen=True, kw_only=True)
class Dark(Finding):
    """There is no daylight within the scene's hours.

    Why:    all the light has to be brought.
    Level:  care: who plans a night knows it.
    Source: assess.daylight.judged; twilight counts as none.
    """

    code = "light.dark"
    topic = "light"
    levels = ("care",)


@dataclass(frozen=True, kw_only=True)
class LightUnknown(Finding):
    """Whether daylight is enough cannot be told.

    Why:    something is not measured, and its bounds come to different levels.
    Level:  unknown.
    Source: assess.daylight.judged.
    """

    code = "light.unknown"
    topic = "light"
    levels = ("unknown",)
    why: Said


@dataclass(frozen=True, kw_only=True)
class OnFace(Finding):
    """Direct sun falls into the subject's face indoors.

    Why:    it burns out, makes eyes squint, and moves across the take.
    Level:  problem.
    Source: assess.daylight.touch: the beam through each window against the mark.
    """

    code = "sun.on_face"
    topic = "sun"
    levels = ("problem",)
    spells: Many
    windows: Many
    lasts: Minutes


@dataclass(frozen=True, kw_only=True)
class OnSubject(OnFace):
    """Direct sun falls on the subject from the side or behind.

    Why:    hair and shoulders burn out, and the edge moves across the take.
    Level:  care.
    Source: as sun.on_face; the face looks away from the sun all the while.
    """

    code = "sun.on_subject"
    levels = ("care",)


@dataclass(frozen=True, kw_only=True)
class InRoom(OnFace):
    """Direct sun comes in and misses the subject.

    Why:    patches on walls and floor move, and jump from take to take.
    Level:  care.
    Source: assess.daylight.windows, coverings as they will be.
    """

    code = "sun.in_room"
    levels = ("care",)


@dataclass(frozen=True, kw_only=True)
class NoSun(Finding):
    """No direct sun comes through any window within the hours.

    Why:    the light stays as it is.
    Level:  good.
    Source: assess.daylight.windows.
    """

    code = "sun.none"
    topic = "sun"
    levels = ("good",)


@dataclass(frozen=True, kw_only=True)
class SunOutdoors(Finding):
    """Outdoors the sun stands on the subject.

    Why:    it moves round the face, and a cloud takes it away.
    Level:  care.
    Source: assess.daylight.touch, skyline included.
    """

    code = "sun.outdoors"
    topic = "sun"
    levels = ("care",)
    spells: Many
    lasts: Minutes


@dataclass(frozen=True, kw_only=True)
class InLens(Finding):
    """Direct sun shines into the front of the lens.

    Why:    it flares, and takes contrast from the picture.
    Level:  care.
    Source: assess.daylight.touch.
    """

    code = "sun.in_lens"
    topic = "sun"
    levels = ("care",)
    spells: Many


@dataclass(frozen=True, kw_only=True)
class InFrame(InLens):
    """The sun itself stands in the frame of the scene's lens.

    Why:    it burns out, and can burn the sensor.
    Level:  problem.
    Source: assess.daylight.touch, the frame of the scene's lens, else of the widest.
    """

    code = "sun.in_frame"
    levels = ("problem",)


@dataclass(frozen=True, kw_only=True)
class LowSun(Finding):
    """The scene's hours outdoors hold low sun.

    Why:    colour and light change within minutes: takes do not match.
    Level:  care.
    Source: assess.daylight.events, the sun from -4 to +6 degrees (common practice).
    """

    code = "sun.low"
    topic = "sun"
    levels = ("care",)
    spells: Many


@dataclass(frozen=True, kw_only=True)
class SunUnknown(Finding):
    """Where direct sun falls cannot be told.

    Why:    a sun patch on the face stops a take.
    Level:  unknown.
    Source: what the sheet lacks.
    """

    code = "sun.unknown"
    topic = "sun"
    levels = ("unknown",)
    why: Said


def findings(setup: Setup, found: RoomAssessment) -> tuple[Finding, ...]:
    """What daylight and sun come to for a setup."""
    return (*_light(setup, found), *_sun(setup, found))


# -- light
def _light(setup: Setup, found: RoomAssessment) -> Iterator[Finding]:
    light, sheet = found.daylight, setup.sheet
    judged = judged_light(light, setup)
    mark = light.marks.get("subject")
    if judged is None or (judged.kind == "unknown" and judged.overcast is None):
        why = light.unknown or (mark.unknown if mark is not None else None)
        yield _unknown(LightUnknown, why or said("light.noon_in_twilight"), sheet)
        return
    rests_on = (*(f"room.{path}" for path in _taken(sheet.room)), *KIT_FACTS, "marks.subject")
    needed = Figure(judged.needed_lux or 0.0, "lux")
    if judged.kind == "dark":
        yield Dark(level=judged.level, rests_on=rests_on)
        return
    assert judged.overcast is not None
    assert judged.at is not None
    if judged.kind == "unknown":
        ends = judged.overcast.low, judged.overcast.high
        least, most = (Figure(end or 0.0, "stops") for end in ends)
        why = said("light.depends", least=least, most=most)
        yield _unknown(LightUnknown, why, sheet, *_taken(sheet.room))
    elif judged.kind == "enough":
        yield Enough(
            level=judged.level,
            rests_on=rests_on,
            spell=_whole(judged.enough),
            plane=judged.where,
            at=judged.at,
            cloud=judged.overcast,
            sun=judged.clear,
        )
    elif judged.kind in ("clear_only", "short"):
        short = _turned(judged.overcast)
        acts = (_bring(short),)
        if judged.kind == "clear_only":
            yield ClearOnly(
                level=judged.level,
                rests_on=rests_on,
                acts=acts,
                short=short,
                spell=_whole(judged.enough_clear),
                plane=judged.where,
                at=judged.at,
            )
        else:
            yield Short(
                level=judged.level,
                rests_on=rests_on,
                acts=acts,
                short=short,
                sun=None if judged.clear is None else _turned(judged.clear),
                plane=judged.where,
                at=judged.at,
                needed=needed,
            )
    if judged.too_bright is not None and judged.most is not None and judged.brightest is not None:
        yield TooBright(
            level=judged.too_bright,
            rests_on=rests_on,
            acts=(_nd(judged.most),),
            over=judged.most,
            brightest=judged.brightest,
            plane=judged.where,
            needed=needed,
            spell=_whole(judged.enough) if judged.enough else None,
        )


def _taken(room: RoomRecord) -> tuple[str, ...]:
    """What a usual value is taken for, glass first: it moves every figure by as much."""
    return tuple(sorted(not_taken(room), key=lambda path: not path.startswith("windows.")))


def _turned(stops: Figure) -> Figure:
    """Stops over as stops short."""
    low = None if stops.high is None else -stops.high
    return Figure(-stops.value, "stops", low, None if stops.low is None else -stops.low)


def _bring(short: Figure) -> Act:
    return act("bring.light", buys=Change("short", "stops", short.value, 0.0), short=short)


def _nd(over: Figure) -> Act:
    """The filter of whole stops that leaves the face at what is needed or just over it."""
    stops = min(float(np.floor(over.value)), MOST_ND_STOPS)
    change = Change("over", "stops", over.value, over.value - stops)
    return act("camera.nd", buys=change, stops=Figure(stops, "stops"))


def _whole(spells: Sequence[Interval]) -> Spell:
    return Spell(spells[0][0], spells[-1][1])


def _unknown(
    kind: type[LightUnknown | SunUnknown], why: Said, sheet: RoomSheet, *more: str
) -> Finding:
    """What is not known, with what to measure to know it."""
    facts = more or tuple(facts_of(why)) or _lacking(sheet)
    acts = (act("measure", facts=Many(tuple(Word("fact", path) for path in facts[:MOST_FACTS]))),)
    return kind(level="unknown", rests_on=facts, acts=acts if facts else (), why=why)


def facts_of(why: Said) -> Iterator[str]:
    """The paths of the facts that a reason names."""
    for _, value in why.values:
        for one in value if isinstance(value, Many) else (value,):
            if isinstance(one, Said):
                yield from facts_of(one)
            elif isinstance(one, Word) and one.vocabulary == "fact":
                yield one.key


def _lacking(sheet: RoomSheet) -> tuple[str, ...]:
    """What the light cannot do without, of the sheet."""
    room, given = sheet.room, sheet.marks
    missing = [] if given is not None and given.subject is not None else ["marks.subject"]
    if room.setting == "interior" and room.windows is None:
        missing.append("room.windows")
    return (*missing, *camera_facts(sheet.kit))


# -- sun
def _sun(setup: Setup, found: RoomAssessment) -> Iterator[Finding]:
    sheet, room = setup.sheet, setup.sheet.room
    outdoors = room.setting == "exterior"
    if outdoors and found.events.unknown is not None:
        yield _unknown(SunUnknown, found.events.unknown, sheet)
        return
    if not outdoors and room.windows is None:
        why = unmeasured("room.windows")
        yield _unknown(SunUnknown, why, sheet, "room.windows")
        return
    through = {row.id: setup.cut(row.direct_sun) for row in found.windows if _bare(room, row.id)}
    if not outdoors and not any(through.values()):
        dim = next((row.unknown for row in found.windows if row.unknown is not None), None)
        yield (
            NoSun(level="good", rests_on=("room.windows", "room.facing"))
            if dim is None
            else _unknown(SunUnknown, dim, sheet)
        )
        return
    touches = sun_touches(sheet, setup.on, setup.focal_length_mm, background=False)
    on_subject = setup.cut(touches.subject.spells)
    if outdoors:
        if on_subject:
            yield SunOutdoors(
                level="care",
                rests_on=("room.skyline", "marks.subject"),
                spells=_many(on_subject),
                lasts=_lasts(on_subject),
            )
        low = setup.cut(found.events.low_sun)
        if low and setup.hours is not None:
            yield LowSun(level="care", spells=_many(low))
    else:
        yield _indoors(setup, touches, through, on_subject)
    yield from _lens(setup, touches)


def _bare(room: RoomRecord, window_id: str) -> bool:
    return any(window.id == window_id and lets_sun_in(window) for window in room.windows or ())


def _indoors(
    setup: Setup,
    touches: SunTouches,
    through: dict[str, tuple[Interval, ...]],
    on_subject: tuple[Interval, ...],
) -> Finding:
    kind: type[OnFace] = InRoom
    level: Level = "care"
    spells = _joined(through.values())
    shining = [window for window, some in through.items() if some]
    acts: tuple[Act, ...] = ()
    if on_subject:
        into_face = _into_face(setup, on_subject)
        kind, level = (OnFace, "problem") if into_face else (OnSubject, "care")
        spells = on_subject
        shining = [window for window in shining if _alone(setup, window)]
        acts = _close(setup, shining, spells)
    return kind(
        level=level,
        about=tuple(Name(window) for window in shining),
        rests_on=(
            *(f"windows.{window}.covering" for window in shining),
            "room.facing",
            "marks.subject",
        ),
        acts=acts,
        spells=_many(spells),
        windows=names(shining),
        lasts=_lasts(spells),
    )


def _subject_min(setup: Setup, sheet: RoomSheet) -> float:
    """Minutes of the hours in which direct sun reaches the subject, with another sheet."""
    touches = sun_touches(sheet, setup.on, background=False, lens=False)
    return _lasts(setup.cut(touches.subject.spells)).value


def _shut(sheet: RoomSheet, shut: Iterable[str]) -> RoomSheet:
    closed = set(shut)
    rows = tuple(
        window.model_copy(update={"covering": "blind"}) if window.id in closed else window
        for window in sheet.room.windows or ()
    )
    return sheet.model_copy(update={"room": sheet.room.model_copy(update={"windows": rows})})


def _alone(setup: Setup, window: str) -> bool:
    """Whether sun through this window, all others shut, reaches the subject within the hours."""
    others = (row.id for row in setup.sheet.room.windows or () if row.id != window)
    return _subject_min(setup, _shut(setup.sheet, others)) > 0


def _close(setup: Setup, shut: Sequence[str], spells: Sequence[Interval]) -> tuple[Act, ...]:
    """Shut the sun out of those windows, worked out again with them shut."""
    before = _lasts(spells).value
    after = _subject_min(setup, _shut(setup.sheet, shut))
    if not shut or after >= before:
        return ()
    return (
        act(
            "close.covering",
            when=When("by", at=spells[0][0]),
            buys=Change("sun_on_subject", "min", before, after),
            windows=names(shut),
        ),
    )


def _into_face(setup: Setup, spells: Sequence[Interval]) -> bool:
    """Whether the sun stands before the face, not behind or straight beside it, at any time."""
    plane = plane_at(setup.sheet, setup.on)
    if isinstance(plane, Said):
        return True  # which way the face looks is not known
    looks = np.array(to_true(plane.normal, plane.turn_deg))
    at = [
        start.timestamp() + seconds
        for start, end in spells
        for seconds in np.arange(0.0, (end.timestamp() - start.timestamp()), STEP_MIN * 60)
    ]
    sun = sun_position(
        np.array(at),
        latitude_deg=plane.place.latitude_deg,
        longitude_deg=plane.place.longitude_deg,
        elevation_m=plane.place.elevation_m,
    )
    return bool(np.any(towards(sun.elevation_deg, sun.azimuth_deg) @ looks > 0))


def _lens(setup: Setup, touches: SunTouches) -> Iterator[Finding]:
    rests_on = ("marks.camera", "marks.subject")
    in_frame = setup.cut(touches.lens.sun_in_frame)
    if in_frame:
        yield InFrame(level="problem", rests_on=rests_on, spells=_many(in_frame))
        return
    in_lens = setup.cut(touches.lens.spells)
    if in_lens:
        yield InLens(level="care", rests_on=rests_on, spells=_many(in_lens))


def _joined(rows: Iterable[Sequence[Interval]]) -> tuple[Interval, ...]:
    """Spells of several windows as one run of spells."""
    joined: list[Interval] = []
    for start, end in sorted(spell for spells in rows for spell in spells):
        if joined and start <= joined[-1][1] + timedelta(minutes=STEP_MIN):
            joined[-1] = (joined[-1][0], max(end, joined[-1][1]))
        else:
            joined.append((start, end))
    return tuple(joined)


def _many(spells: Sequence[Interval]) -> Many:
    return Many(tuple(Spell(start, end) for start, end in spells))


def _lasts(spells: Sequence[Interval]) -> Figure:
    seconds = sum(end.timestamp() - start.timestamp() for start, end in spells)
    return Figure(round(seconds / 60.0, 2), "min")
