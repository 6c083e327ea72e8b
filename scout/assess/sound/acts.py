"""What can be done about a room's sound, each worked out again with it done: an act that does not
move its figure by more than its doubt is not offered.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from math import floor
from typing import Any, Final

import numpy as np

from scout.assess.answers import Act, Change, MicAnswer, RoomAssessment, SoundAnswer, act
from scout.assess.answers.finding import ON_DAY, When
from scout.assess.setup import Setup
from scout.assess.sound.advice import good_within_m
from scout.assess.sound.hours import Shoot, noises_of, noises_then, readings_for, window_spell
from scout.assess.sound.mics import MIC_FACTS
from scout.assess.sound.noise import doubt_of
from scout.assess.sound.room import RoomSound, room_sound
from scout.assess.sound.sound import Ringing, effort_of, mics_of, sound
from scout.calc import geometry
from scout.calc.sound.speech import VERDICTS, speech_db
from scout.records.sheet import Content, Mic, NoiseReading, Practical, RoomSheet
from scout.records.sounds import NoiseWindowRecord
from scout.values import Figure, Name, Word

WORTH_DB = 2.0  # a smaller gain is not worth the walk (common practice)
# a smaller part of the reverberation is not worth the cloth; what the formulas are off, they are off
# in both figures (common practice)
WORTH_SHARE = 0.1
# blankets of 2 by 2 m, three side by side on stands or a line (common practice): nobody hangs a wall
SOCKET_M = 0.15  # to either side of a socket nothing hangs over it (common practice)
BLANKET_M, BLANKETS_M = 2.0, 6.0
DRY_S = 0.5  # blankets are for rooms that ring longer
# heavy cloth hung in folds: what blankets on stands come nearest to (common practice)
BLANKETS: Final = "curtain_velvet"
LAV_M = 0.2
STEP_M, NEAREST_M = 0.05, 0.1  # places of a microphone that can be told and held


def have_conditions(setup: Setup, heard: SoundAnswer) -> Iterator[Act]:
    """What having a source off or shut buys, from two readings of the room under two conditions."""
    room, zone = setup.sheet.room, setup.timezone
    shoot = Shoot.of_setup(setup)
    counted = [
        reading
        for reading in readings_for([shoot], room, setup.noises, zone).readings
        if reading.laeq_db is not None
        and reading.method != "estimate"
        and reading.conditions
        and not noises_of(reading, setup.noises, zone)
    ]
    loud = next((one for one in counted if Name(one.id) == heard.reading), None)
    quiet = min(counted, key=lambda reading: reading.laeq_db or 0.0, default=None)
    if loud is None or quiet is None or quiet.conditions in (None, loud.conditions):
        return
    before, after = heard.laeq_db, sound(_with_readings(setup, [quiet])).laeq_db
    assert before is not None
    assert after is not None
    doubt = doubt_of(heard.laeq_doubt_db)
    if before - after <= (WORTH_DB if quiet.method == loud.method else max(WORTH_DB, doubt)):
        return
    yield act(
        "have.conditions",
        conditions=Name(quiet.conditions or ""),
        level=Figure(after, "dBA"),
        when=by_the_start(setup),
        buys=Change("laeq_db", "dBA", before, after),
    )


def by_the_start(setup: Setup) -> When:
    """Before the scene begins, where its hours are known."""
    return When("by", at=setup.hours[0]) if setup.hours is not None else ON_DAY


def switch_off(
    setup: Setup, heard: SoundAnswer, thing: Practical | NoiseReading | NoiseWindowRecord
) -> Iterator[Act]:
    """What has to be done for a thing that the setup counts on being off."""
    by = by_the_start(setup)
    if isinstance(thing, Practical):
        lumens = thing.lumens
        buys = Change("lumens", "lm", lumens, 0.0) if lumens is not None else None
        yield act("practical.off", practical=Name(thing.id), when=by, buys=buys)
    elif isinstance(thing, NoiseWindowRecord):
        comes = noises_then(Shoot.of_setup(setup), (thing,))
        if comes is not None:
            gone = Change("noisy_min", "min", float(comes.noises[0][1]), 0.0)
            yield act("switch.off", noise=Name(thing.what), level=None, when=by, buys=gone)
    elif thing.laeq_db is not None and heard.laeq_db is not None and heard.reading is not None:
        kept = next(one for one in setup.sheet.room.noise or () if Name(one.id) == heard.reading)
        if thing.laeq_db - heard.laeq_db > doubt_of(heard.laeq_doubt_db):
            yield act(
                "have.conditions",
                conditions=Name(kept.conditions or kept.id),
                level=Figure(heard.laeq_db, "dBA"),
                when=by,
                buys=Change("laeq_db", "dBA", thing.laeq_db, heard.laeq_db),
            )


def wait_for(setup: Setup, heard: SoundAnswer, window: NoiseWindowRecord, minutes: int) -> Act:
    """Waiting for the end of a noise that comes back, or having it off: fewer decibels where it was read with it and
    without it, else fewer noisy minutes.
    """
    during: list[NoiseReading] = []
    without: list[NoiseReading] = []
    for reading in setup.sheet.room.noise or ():
        of_it = window in noises_of(reading, setup.noises, setup.timezone)
        (during if of_it else without).append(reading)
    buys, level = Change("noisy_min", "min", float(minutes), 0.0), None
    if heard.laeq_db is not None and heard.reading in {Name(one.id) for one in during}:
        after = sound(_with_readings(setup, without)).laeq_db
        doubt = doubt_of(heard.laeq_doubt_db)
        if after is not None and heard.laeq_db - after > doubt:
            buys, level = Change("laeq_db", "dBA", heard.laeq_db, after), Figure(after, "dBA")
    if window.can_switch_off:
        noise, when = Name(window.what), by_the_start(setup)
        return act("switch.off", noise=noise, level=level, when=when, buys=buys)
    return act("wait.noise", noise=Name(window.what), spell=window_spell(window), buys=buys)


def blankets(setup: Setup, found: RoomAssessment, computed: object, used: Ringing) -> Iterator[Act]:
    """As many blankets as a crew hangs, where most of them have room."""
    room = setup.sheet.room
    if (
        not isinstance(computed, RoomSound)
        or computed.mid_s is None
        or used.mid_s is None
        or used.mid_s <= DRY_S
        or room.height_m is None
    ):
        return
    stretches = list(_free_stretches(setup, found))
    length, letter, start = max(stretches, default=(0.0, "", 0.0), key=lambda one: one[0])
    if length < BLANKET_M:
        return
    area = length * min(BLANKET_M, room.height_m)
    hung = (*(room.contents or ()), Content(material=BLANKETS, area_m2=area))
    then = room_sound(room.model_copy(update={"contents": hung}))
    if not isinstance(then, RoomSound) or then.mid_s is None:
        return
    mid = then.mid_s
    if used.measured and mid < computed.mid_s:
        # by hand: 1/T grows with the absorption, so what the blankets add to the computed 1/T is
        # added to the measured one
        mid = 1.0 / (1.0 / used.mid_s + 1.0 / mid - 1.0 / computed.mid_s)
    if mid > (1.0 - WORTH_SHARE) * used.mid_s:
        return
    yield act(
        "hang.blankets",
        surface=Word("surface", letter),
        length=Figure(length, "m"),
        along=Figure(start + length / 2, "m", start, start + length),
        buys=Change("rt60_mid_s", "s", used.mid_s, mid),
    )


def _free_stretches(setup: Setup, found: RoomAssessment) -> Iterator[tuple[float, str, float]]:
    """Length, wall and beginning of stretches that blankets from the floor up may cover: out of the
    scene's frame, off doors, windows and sockets, clear of white that hangs there; no longer than a
    crew's.
    """
    room = setup.sheet.room
    surfaces = room.surfaces or {}
    widest = min(found.fit.judged_mm, default=None)
    seen = [
        part for view in found.fit.views if view.focal_length_mm == widest for part in view.walls
    ]
    white = [row.cover for row in found.remedies or () if row.cover is not None]
    for wall in geometry.walls(np.asarray(room.corners_m or (), dtype=np.float64)):
        surface = surfaces.get(wall.letter)
        if surface is None or surface.material in (None, BLANKETS):
            continue
        taken: list[tuple[float | None, float | None, float | None]] = [
            *(
                (one.offset_m, one.width_m, one.sill_m)
                for one in room.windows or ()
                if one.wall == wall.letter
            ),
            *(
                (one.offset_m, one.width_m, 0.0)
                for one in room.doors or ()
                if one.wall == wall.letter
            ),
            *(
                (
                    None if one.offset_m is None else one.offset_m - SOCKET_M,
                    2 * SOCKET_M,
                    one.height_m,
                )
                for one in room.outlets or ()
                if one.wall == wall.letter
            ),
            *(
                (part.from_offset_m, part.to_offset_m - part.from_offset_m, part.from_height_m)
                for part in seen
                if part.wall == wall.letter
            ),
            *(
                (one.from_m, one.to_m - one.from_m, one.low_m)
                for one in white
                if one.surface == wall.letter
            ),
        ]
        free_from = 0.0
        spans = sorted(
            (0.0, wall.length_m) if start is None or width is None else (start, start + width)
            for start, width, low in taken
            if low is None or low < BLANKET_M
        )
        for start, end in (*spans, (wall.length_m, wall.length_m)):
            length = min(start - free_from, BLANKETS_M)
            yield length, wall.letter, free_from + (start - free_from - length) / 2
            free_from = max(free_from, end)


def lav(setup: Setup, best: MicAnswer) -> Iterator[Act]:
    """A lav in place of the best there is, where the kit has none."""
    mics = mics_of(setup.sheet)
    if any(MIC_FACTS[mic.kind].held == "worn" for mic in mics):
        return
    then = sound(_with_mics(setup, (Mic(id="lav", kind="omni_clip", distance_m=LAV_M),))).placements
    buys = _gain(best, then[0])
    if buys is not None and _better(then[0], best):
        yield act("bring.lav", distance=Figure(LAV_M, "m"), buys=buys)


def nearer(setup: Setup, heard: SoundAnswer, mics: Iterable[MicAnswer]) -> Iterator[Act]:
    """Each microphone that can be carried nearer, as near as it must come to be usable."""
    kept = {mic.id: mic for mic in mics_of(setup.sheet)}
    at_1m = speech_db(effort_of(setup.sheet.kit), 1.0)
    for answer in mics:
        mic = kept[answer.mic]
        within, _ = good_within_m(
            at_1m, answer.noise_db, answer.critical_distance_m, heard.judged_s
        )
        known = answer.critical_distance_m is not None or heard.open_air
        if within is None or not known or MIC_FACTS[mic.kind].held != "free":
            continue
        near = STEP_M * floor(within / STEP_M + 1e-9)
        if near < NEAREST_M:
            continue
        moved = mic.model_copy(update={"distance_m": near})
        then = sound(_with_mics(setup, (moved,))).placements[0]
        buys = _gain(answer, then)
        if buys is not None and then.verdict in ("clean", "usable"):
            yield act("move.mic", mic=Name(mic.id), within=Figure(near, "m"), buys=buys)


def _gain(before: MicAnswer, after: MicAnswer) -> Change | None:
    """What a better place buys: over the noise where both are known, else in clarity."""
    for name in ("snr_db", "c50_db"):
        was, then = getattr(before, name), getattr(after, name)
        if was is not None and then is not None and then - was > WORTH_DB:
            return Change(name, "dB", was, then)
    return None


def _better(one: MicAnswer, other: MicAnswer) -> bool:
    return one.verdict is not None and (
        other.verdict is None or VERDICTS.index(one.verdict) < VERDICTS.index(other.verdict)
    )


def _with_readings(setup: Setup, readings: Iterable[NoiseReading]) -> Setup:
    room = setup.sheet.room.model_copy(update={"noise": tuple(readings)})
    return replace(setup, sheet=setup.sheet.model_copy(update={"room": room}))


def _with_mics(setup: Setup, mics: tuple[Mic, ...]) -> Setup:
    return replace(setup, sheet=with_kit(setup.sheet, mics=mics))


def with_kit(sheet: RoomSheet, **changes: Any) -> RoomSheet:
    """The sheet with its kit changed; as it is where it has none."""
    if sheet.kit is None:
        return sheet
    return sheet.model_copy(update={"kit": sheet.kit.model_copy(update=changes)})
