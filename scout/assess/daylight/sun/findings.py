"""Where direct sun falls within a setup's hours: on the subject, in the room, in the lens."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import timedelta
from typing import ClassVar

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
from scout.assess.daylight.mark.marks import to_true
from scout.assess.daylight.mark.planes import plane_at
from scout.assess.daylight.missing import measuring
from scout.assess.daylight.room.windows import lets_sun_in
from scout.assess.daylight.sun.touch import Struck, SunTouches, sun_touches
from scout.assess.setup import Setup
from scout.calc.daylight.sun.position import sun_position, towards
from scout.records.sheet import RoomRecord, RoomSheet
from scout.values import Figure, Many, Minutes, Name, Said, Spell, names, said

STEP_MIN = 5.0
# the sun's way takes four minutes a degree: a shorter spell is less than a degree of the room's
# facing, which nobody knows so well, and less than a take (common practice)
BRIEF_MIN = 3.0


@dataclass(frozen=True, kw_only=True)
class OnFace(Finding):
    """Direct sun falls into the subject's face indoors.

    Why:    it burns out, makes eyes squint, and moves across the take.
    Level:  problem; care under three minutes in all.
    Source: assess.daylight.sun.touch: the beam through each window against the mark.
    """

    code = "sun.on_face"
    topic = "sun"
    levels: ClassVar[tuple[Level, ...]] = ("problem", "care")
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
    Source: assess.daylight.room.windows, coverings as they will be.
    """

    code = "sun.in_room"
    levels = ("care",)


@dataclass(frozen=True, kw_only=True)
class NoSun(Finding):
    """No direct sun comes through any window within the hours.

    Why:    the light stays as it is.
    Level:  good.
    Source: assess.daylight.room.windows.
    """

    code = "sun.none"
    topic = "sun"
    levels = ("good",)


@dataclass(frozen=True, kw_only=True)
class SunOutdoors(Finding):
    """Outdoors the sun stands on the subject.

    Why:    it moves round the face, and a cloud takes it away.
    Level:  care.
    Source: assess.daylight.sun.touch, skyline included.
    """

    code = "sun.outdoors"
    topic = "sun"
    levels = ("care",)
    spells: Many
    lasts: Minutes


@dataclass(frozen=True, kw_only=True)
class InLens(Finding):
    """Direct sun reaches the lens from near the frame.

    Why:    it flares, and takes contrast.
    Level:  care.
    Source: assess.daylight.sun.touch: 30 degrees.
    """

    code = "sun.in_lens"
    topic = "sun"
    levels: ClassVar[tuple[Level, ...]] = ("care",)
    spells: Many


@dataclass(frozen=True, kw_only=True)
class InFrame(InLens):
    """The sun itself stands in the frame of the scene's lens.

    Why:    it burns out, and can burn the sensor.
    Level:  problem.
    Source: assess.daylight.sun.touch, the frame of the scene's lens, else of the widest.
    """

    code = "sun.in_frame"
    levels = ("problem",)


@dataclass(frozen=True, kw_only=True)
class LowSun(Finding):
    """The scene's hours outdoors hold low sun.

    Why:    colour and light change within minutes: takes do not match.
    Level:  care.
    Source: assess.daylight.place.events, the sun from -4 to +6 degrees (common practice).
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
    where: Said | None = None  # where it is known for the room


def sun_findings(setup: Setup, found: RoomAssessment) -> Iterator[Finding]:
    """What direct sun comes to for a setup."""
    if setup.sheet.room.setting == "exterior":
        yield from _outdoors(setup, found)
    else:
        yield from _indoors(setup, found)


def _outdoors(setup: Setup, found: RoomAssessment) -> Iterator[Finding]:
    if found.events.unknown is not None:
        yield SunUnknown(**measuring(found.events.unknown))
        return
    touches = _touches(setup, setup.sheet)
    spells = setup.cut(touches.subject.spells)
    if spells:
        rests_on = ("room.skyline", "marks.subject")
        yield SunOutdoors(
            level="care", rests_on=rests_on, spells=_many(spells), lasts=_lasts(spells)
        )
    low = setup.cut(found.events.low_sun)
    if low and setup.hours is not None:
        yield LowSun(level="care", spells=_many(low))
    yield from _lens(setup, touches, [])


def _indoors(setup: Setup, found: RoomAssessment) -> Iterator[Finding]:
    room = setup.sheet.room
    if room.windows is None:
        yield SunUnknown(**measuring(unmeasured("room.windows")))
        return
    through = {row.id: setup.cut(row.direct_sun) for row in found.windows if _bare(room, row.id)}
    shining = [window for window, spells in through.items() if spells]
    unknown = next((row.unknown for row in found.windows if row.unknown is not None), None)
    if not shining:
        yield (
            NoSun(level="good", rests_on=("room.windows", "room.facing"))
            if unknown is None
            else SunUnknown(**measuring(unknown))
        )
        return
    touches = _touches(setup, setup.sheet)
    on_subject = setup.cut(touches.subject.spells)
    if touches.subject.unknown is not None:
        where = said("sun.on_the_subject")
        yield SunUnknown(**measuring(touches.subject.unknown), where=where)
    if on_subject:
        kind: type[OnFace] = OnFace if _into_face(setup, on_subject) else OnSubject
        brief = _lasts(on_subject).value < BRIEF_MIN
        level: Level = "problem" if kind is OnFace and not brief else "care"
        striking = [window for window in shining if _alone(setup, window, "subject")]
        acts = _shut_out(setup, striking, "subject", on_subject)
        yield _through(kind, level, striking, on_subject, acts)
    else:
        yield _through(InRoom, "care", shining, _joined(through.values()), ())
    yield from _lens(setup, touches, shining)


def _through(
    kind: type[OnFace],
    level: Level,
    windows: Sequence[str],
    spells: Sequence[Interval],
    acts: tuple[Act, ...],
) -> Finding:
    coverings = (f"windows.{window}.covering" for window in windows)
    return kind(
        level=level,
        about=tuple(Name(window) for window in windows),
        rests_on=(*coverings, "room.facing", "marks.subject"),
        acts=acts,
        spells=_many(spells),
        windows=names(windows),
        lasts=_lasts(spells),
    )


def _bare(room: RoomRecord, window_id: str) -> bool:
    return any(window.id == window_id and lets_sun_in(window) for window in room.windows or ())


def _touches(
    setup: Setup, sheet: RoomSheet, of: Collection[Struck] = ("subject", "lens")
) -> SunTouches:
    return sun_touches(sheet, setup.on, setup.focal_length_mm, of=of)


def _spells(setup: Setup, sheet: RoomSheet, struck: Struck) -> tuple[Interval, ...]:
    """Spells of the hours in which direct sun reaches the subject or the lens, with some sheet."""
    touches = _touches(setup, sheet, (struck,))
    return setup.cut((touches.subject if struck == "subject" else touches.lens).spells)


def shut(sheet: RoomSheet, windows: Iterable[str]) -> RoomSheet:
    """The sheet with the sun shut out of some windows."""
    closed = set(windows)
    rows = tuple(
        window.model_copy(update={"covering": "blind"}) if window.id in closed else window
        for window in sheet.room.windows or ()
    )
    return sheet.model_copy(update={"room": sheet.room.model_copy(update={"windows": rows})})


def _alone(setup: Setup, window: str, struck: Struck) -> bool:
    """Whether sun through this window, all others shut, gets there within the hours."""
    others = (row.id for row in setup.sheet.room.windows or () if row.id != window)
    return bool(_spells(setup, shut(setup.sheet, others), struck))


def _shut_out(
    setup: Setup, windows: Sequence[str], struck: Struck, spells: Sequence[Interval]
) -> tuple[Act, ...]:
    """Shut the sun out of those windows, worked out again with them shut."""
    before = _lasts(spells).value
    after = _lasts(_spells(setup, shut(setup.sheet, windows), struck)).value
    if not windows or after >= before:
        return ()
    return (
        act(
            "close.covering",
            when=When("by", at=spells[0][0]),
            buys=Change(f"sun_on_{struck}", "min", before, after),
            windows=names(windows),
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
    sun = sun_position(np.array(at), **plane.place.where)
    return bool(np.any(towards(sun.elevation_deg, sun.azimuth_deg) @ looks > 0))


def _lens(setup: Setup, touches: SunTouches, shining: Sequence[str]) -> Iterator[Finding]:
    """Sun in the lens; indoors with the windows that it comes through."""
    spells = setup.cut(touches.lens.spells)
    if not spells:
        return
    acts = _shut_out(
        setup, [window for window in shining if _alone(setup, window, "lens")], "lens", spells
    )
    in_frame = setup.cut(touches.lens.sun_in_frame)
    rests_on = ("marks.camera", "marks.subject")
    if in_frame:
        yield InFrame(level="problem", rests_on=rests_on, acts=acts, spells=_many(in_frame))
    else:
        yield InLens(level="care", rests_on=rests_on, acts=acts, spells=_many(spells))


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
