"""How near each microphone must come and whether it is then in the picture; reflections and standing
waves.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal

import numpy as np

from scout.assess.answers import FitAnswer, Level, MicAnswer, SoundAnswer
from scout.assess.setup import Setup
from scout.assess.sound.mics import MIC_FACTS
from scout.assess.sound.room import room_sound
from scout.assess.sound.sound import Ringing, effort_of, judged_by, mics_of, sound
from scout.calc import geometry
from scout.calc.sound.boundaries import comb, modes
from scout.calc.sound.reverberation import pairs_of_walls
from scout.calc.sound.speech import (
    SNR_BANDS_DB,
    critical_distance_m,
    room_reach_m,
    speech_db,
)
from scout.records.sheet import Mic, RoomSheet
from scout.values import Figure, Many, Said, said

# crown to lips, headroom, mic clear of the frame's edge (common practice)
LIPS_UNDER_TOP_M, HEADROOM_SHARE, SPARE_M = 0.20, 0.08, 0.10
CEREMONY_M, CEREMONY_EFFORT = 5.0, "raised"
LEAST_MOUTH_M = 0.3  # a mark lower than that is no mouth's
LOW_HZ = 120.0
VOICE_LOW_HZ = 60.0  # the lowest a speaking voice reaches (common practice)
NEAR_SHARE = 0.05  # standing waves nearer to each other than this add up (common practice)
SPEECH_LEVELS: dict[str | None, Level] = {
    "clean": "good",
    "usable": "good",
    "repair": "care",
    "unusable": "problem",
    None: "unknown",
}


@dataclass(frozen=True)
class InFrame:
    """Whether a microphone near enough to be good stands in a framing: `nearest_m` is the nearest
    place just out of it.
    """

    framing: str
    focal_lengths_mm: tuple[float, ...]
    nearest_m: float
    in_frame: bool


@dataclass(frozen=True)
class PlacementAdvice:
    """One microphone: what it will do for, how near it must come to be good, and the picture it
    then spoils.
    """

    mic: str
    kind: str
    held: Literal["free", "worn", "camera"]
    distance_m: float | None
    level: Level
    verdict: str | None
    must_come_m: float | None  # None: not known
    held_by: str | None  # noise or room: what sets must_come_m
    ceremony: str | None  # its verdict at 5 m from a raised voice
    framings: tuple[InFrame, ...]
    comb: Said | None
    unknown: Said | None


@dataclass(frozen=True)
class SoundAdvice:
    """What the sound page and the packet add to the findings."""

    placements: tuple[PlacementAdvice, ...]
    critical_distance_m: float | None  # of an omnidirectional microphone
    modes_words: Said | None  # the lowest standing waves, rectangular rooms only
    steps: tuple[Said, ...]  # what to keep to, whatever the room


def advise(setup: Setup, heard: SoundAnswer, fits: FitAnswer | None) -> SoundAdvice:
    """Advice for one room with one kit. Figures that are not known leave their advice out; nothing
    is guessed.
    """
    sheet = setup.sheet
    used = judged_by(sheet.room, room_sound(sheet.room), setup.ring)
    mics = {mic.id: mic for mic in mics_of(sheet)}
    placements = tuple(
        _placement(setup, mics[answer.mic], answer, heard, fits)
        for answer in heard.placements
        if answer.mic in mics
    )
    critical = (
        critical_distance_m(used.volume_m3, used.mid_s, 1.0)
        if isinstance(used, Ringing) and used.mid_s is not None
        else None
    )
    steps = (said("mic.one_kind"), said("mic.three_to_one")) if len(mics) > 1 else ()
    return SoundAdvice(placements, critical, _modes(sheet), steps)


def good_within_m(
    speech_1m_db: float,
    noise_db: float | None,
    critical_m: float | None,
    reverberation_s: float | None,
) -> tuple[float | None, str | None]:
    """The furthest a microphone may stand and still be usable: 20 dB over the noise, and no further
    than the room leaves a voice good.

    by hand: speech falls 20 log10 d, so d = 10^((L1 - noise - 20) / 20). None where either is
        not known.
    """
    if noise_db is None:
        return None, None
    by_noise = 10.0 ** ((speech_1m_db - noise_db - SNR_BANDS_DB[1]) / 20.0)
    if critical_m is None or reverberation_s is None:
        return by_noise, "noise"
    by_room = room_reach_m(critical_m, reverberation_s)
    return (by_noise, "noise") if by_noise <= by_room else (by_room, "room")


def _placement(
    setup: Setup, mic: Mic, answer: MicAnswer, heard: SoundAnswer, fits: FitAnswer | None
) -> PlacementAdvice:
    known = answer.noise_db is not None and (
        answer.critical_distance_m is not None or heard.open_air
    )
    at_1m = speech_db(effort_of(setup.sheet.kit), 1.0)
    must, held_by = (
        good_within_m(at_1m, answer.noise_db, answer.critical_distance_m, heard.judged_s)
        if known
        else (None, None)
    )
    return PlacementAdvice(
        mic.id,
        mic.kind,
        MIC_FACTS[mic.kind].held,
        mic.distance_m,
        SPEECH_LEVELS[answer.verdict],
        answer.verdict,
        must,
        held_by,
        _ceremony(setup, mic) if known else None,
        _framings(mic, must, setup.sheet, fits),
        _comb(setup.sheet, mic),
        answer.unknown,
    )


def _ceremony(setup: Setup, mic: Mic) -> str | None:
    """The same microphone at 5 m from a raised voice, as at a wedding or a speech nobody may be
    miked for.
    """
    kit = setup.sheet.kit
    if kit is None or MIC_FACTS[mic.kind].held == "worn":
        return None
    far = kit.model_copy(
        update={
            "speech_effort": CEREMONY_EFFORT,
            "mics": (mic.model_copy(update={"distance_m": CEREMONY_M}),),
        }
    )
    then = replace(setup, sheet=setup.sheet.model_copy(update={"kit": far}))
    return sound(then).placements[0].verdict


def _framings(
    mic: Mic, must_m: float | None, sheet: RoomSheet, fits: FitAnswer | None
) -> tuple[InFrame, ...]:
    camera = sheet.kit.camera if sheet.kit is not None else None
    if (
        must_m is None
        or fits is None
        or camera is None
        or camera.sensor_height_mm is None
        or MIC_FACTS[mic.kind].held != "free"
    ):
        return ()
    found: dict[tuple[str, float], list[float]] = {}
    for row in fits.framings:
        if row.distance_m is None or row.fits is False:
            continue
        height_m = row.distance_m * camera.sensor_height_mm / row.focal_length_mm
        over_lips = (
            height_m / 2.0
            if row.name == "wide"
            else min(height_m / 2.0, LIPS_UNDER_TOP_M + HEADROOM_SHARE * height_m)
        )
        found.setdefault((row.name, round(over_lips + SPARE_M, 3)), []).append(row.focal_length_mm)
    return tuple(
        InFrame(name, tuple(sorted(focals)), nearest, must_m < nearest)
        for (name, nearest), focals in found.items()
    )


def _comb(sheet: RoomSheet, mic: Mic) -> Said | None:
    """The floor's or a table's reflection, with talker and microphone at the height of the
    subject's mark.
    """
    subject = sheet.marks.subject if sheet.marks is not None else None
    if (
        subject is None
        or mic.distance_m is None
        or MIC_FACTS[mic.kind].held == "worn"
        or subject[2] <= LEAST_MOUTH_M
    ):
        return None
    echo = comb(mic.distance_m, subject[2], subject[2])
    if not echo.colours:
        return None
    return said(
        "mic.comb",
        under=Figure(-echo.reflection_db, "dB"),
        notch=Figure(echo.first_notch_hz, "Hz"),
    )


def _modes(sheet: RoomSheet) -> Said | None:
    corners, height = sheet.room.corners_m, sheet.room.height_m
    if (
        corners is None
        or height is None
        or len(corners) != 4
        or pairs_of_walls(corners) is None
        or sheet.room.setting in ("exterior", "covered")
    ):
        return None
    lengths = [wall.length_m for wall in geometry.walls(np.asarray(corners, dtype=np.float64))]
    found = modes((lengths[0], lengths[1], height), LOW_HZ)
    axial = [mode.frequency_hz for mode in found if sum(order > 0 for order in mode.order) == 1]
    if not axial:
        return None
    near = next(
        ((a, b) for a, b in pairwise(axial) if a >= VOICE_LOW_HZ and b - a < NEAR_SHARE * a), None
    )
    return said(
        "room.modes",
        lowest=Many(tuple(Figure(hz, "Hz") for hz in axial[:5])),
        near=None if near is None else Many(tuple(Figure(hz, "Hz") for hz in near)),
    )
