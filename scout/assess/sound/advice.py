"""From cause to remedy: how near each microphone must come, whether it is then in the picture, and
what each remedy buys.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np

from scout.assess.answers import FitAnswer, MicAnswer, SoundAnswer
from scout.assess.sound.ring import MeasuredRing
from scout.assess.sound.room import RoomSound, room_sound, surface_words
from scout.assess.sound.sound import USUAL_EFFORT, Ringing, judged_by, sound
from scout.calc import geometry
from scout.calc.sound.boundaries import comb, modes
from scout.calc.sound.levels import without_background_db
from scout.calc.sound.reverberation import pairs_of_walls
from scout.calc.sound.speech import (
    DIRECT_BANDS_DB,
    SNR_BANDS_DB,
    VERDICTS,
    critical_distance_m,
    speech_db,
)
from scout.records.sheet import Mic, NoiseReading, RoomSheet, Surface

USES = {
    "clean": "fit for dialogue",
    "usable": "fit for dialogue",
    "repair": "fit as a guide track, or a voice to be cleaned up afterwards",
    "unusable": "not fit for speech; the room's own sound at most",
}
LIPS_UNDER_TOP_M, HEADROOM_SHARE, SPARE_M = (
    0.20,
    0.08,
    0.10,
)  # crown to lips, headroom, mic clear of the frame's edge (common practice)
CEREMONY_M, CEREMONY_EFFORT = 5.0, "raised"
CLIP_M = 0.2
WORTH_DB = 2.0  # a smaller gain is not worth the walk (common practice)
WORTH_SHARE = 0.1
# heavy cloth hung in folds: what blankets on stands come nearest to (common practice)
BLANKETS: Final = "curtain_velvet"
HARD_MATERIAL_WORDS = "blankets or heavy curtains in folds"
COMB_TELLS_DB = -10.0
LOW_HZ = 120.0
VOICE_LOW_HZ = 60.0  # the lowest a speaking voice reaches (common practice)
ON = ("on", "running", "open")
OFF = ("off", "stopped", "shut", "closed")


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
    kind: str | None
    distance_m: float | None
    verdict: str | None
    use: str | None
    must_come_m: float | None  # None: not known
    held_by: str | None  # noise or room: what sets must_come_m
    ceremony: str | None  # its verdict at 5 m from a raised voice
    framings: tuple[InFrame, ...]
    comb: str | None
    unknown: str | None


@dataclass(frozen=True)
class Remedy:
    """One thing to do, in a sentence with its figures; `buys_db` or `buys_s` what it is worth."""

    cause: str
    because: str
    buys_db: float | None = None
    buys_s: float | None = None


@dataclass(frozen=True)
class SoundAdvice:
    """What the sound page and the packet add to the verdicts."""

    placements: tuple[PlacementAdvice, ...]
    remedies: tuple[Remedy, ...]
    critical_distance_m: float | None  # of an omnidirectional microphone
    modes_hz: tuple[float, ...]  # the lowest standing waves, rectangular rooms only
    modes_words: str | None
    steps: tuple[str, ...]  # what to keep to, whatever the room


def advise(
    sheet: RoomSheet, heard: SoundAnswer, fits: FitAnswer | None, ring: MeasuredRing | None = None
) -> SoundAdvice:
    """Advice for one room with one kit. Figures that are not known leave their advice out; nothing
    is guessed.
    """
    room = room_sound(sheet.room)
    computed = room if isinstance(room, RoomSound) else None
    used = judged_by(sheet, room, ring)
    ringing = used if isinstance(used, Ringing) else None
    mics = {mic.id: mic for mic in ((sheet.kit.mics if sheet.kit is not None else None) or ())}
    effort = (sheet.kit.speech_effort if sheet.kit is not None else None) or USUAL_EFFORT
    scene = _Scene(sheet, heard, ring, fits, effort)
    placements = tuple(
        _placement(scene, mics[answer.mic], answer, ringing)
        for answer in heard.placements
        if answer.mic in mics
    )
    remedies = [
        *_quieter(sheet, heard, ring),
        *_drier(sheet, computed, ringing),
        *_clip_on(sheet, heard, ring),
    ]
    critical = (
        critical_distance_m(ringing.volume_m3, ringing.mid_s, 1.0) if ringing is not None else None
    )
    found, words = _modes(sheet)
    steps = []
    if len(mics) > 1:
        steps = [
            "Keep one kind of microphone through a sequence: a clip-on cut against a boom sounds like another room.",
            "Two open microphones: keep each three times further from the other talker than from its own (3:1 rule, common practice).",
        ]
    return SoundAdvice(placements, tuple(remedies), critical, found, words, tuple(steps))


def good_within_m(
    speech_1m_db: float, noise_db: float | None, critical_m: float | None
) -> tuple[float | None, str | None]:
    """The furthest a microphone may stand and still be usable: 20 dB over the noise, and no further
    than the critical distance.

    by hand: speech falls 20 log10 d, so d = 10^((L1 - noise - 20) / 20). None where either is
        not known.
    """
    if noise_db is None:
        return None, None
    by_noise = 10.0 ** ((speech_1m_db - noise_db - SNR_BANDS_DB[1]) / 20.0)
    if critical_m is None:
        return by_noise, "noise"
    by_room = critical_m * 10.0 ** (-DIRECT_BANDS_DB[1] / 20.0)
    return (by_noise, "noise") if by_noise <= by_room else (by_room, "room")


@dataclass(frozen=True)
class _Scene:
    """One room with one kit, as it is heard."""

    sheet: RoomSheet
    heard: SoundAnswer
    ring: MeasuredRing | None
    fits: FitAnswer | None
    effort: str


def _placement(
    scene: _Scene, mic: Mic, answer: MicAnswer, ringing: Ringing | None
) -> PlacementAdvice:
    sheet, heard, effort, fits = scene.sheet, scene.heard, scene.effort, scene.fits
    known = answer.noise_db is not None and (
        answer.critical_distance_m is not None or heard.open_air
    )
    must, held = (
        good_within_m(speech_db(effort, 1.0), answer.noise_db, answer.critical_distance_m)
        if known
        else (None, None)
    )
    return PlacementAdvice(
        mic.id,
        mic.kind,
        mic.distance_m,
        answer.verdict,
        USES.get(answer.verdict or ""),
        must,
        held,
        _ceremony(scene, mic, ringing),
        _framings(mic, must, sheet, fits),
        _comb(sheet, mic),
        answer.unknown,
    )


def _ceremony(scene: _Scene, mic: Mic, ringing: Ringing | None) -> str | None:
    """The same microphone at 5 m from a raised voice, as at a wedding or a speech nobody may be
    miked for.
    """
    sheet, heard = scene.sheet, scene.heard
    if mic.kind == "omni_clip" or heard.laeq_db is None or (ringing is None and not heard.open_air):
        return None
    far = (
        sheet.model_copy(
            update={
                "kit": sheet.kit.model_copy(
                    update={
                        "speech_effort": CEREMONY_EFFORT,
                        "mics": (mic.model_copy(update={"distance_m": CEREMONY_M}),),
                    }
                )
            }
        )
        if sheet.kit is not None
        else None
    )
    return sound(far, scene.ring).placements[0].verdict if far is not None else None


def _framings(
    mic: Mic, must_m: float | None, sheet: RoomSheet, fits: FitAnswer | None
) -> tuple[InFrame, ...]:
    camera = sheet.kit.camera if sheet.kit is not None else None
    if (
        must_m is None
        or fits is None
        or camera is None
        or camera.sensor_height_mm is None
        or mic.kind in ("omni_clip", "camera")
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


def _comb(sheet: RoomSheet, mic: Mic) -> str | None:
    """The floor's or a table's reflection, with talker and microphone at the height of the
    subject's mark.
    """
    subject = sheet.marks.subject if sheet.marks is not None else None
    if subject is None or mic.distance_m is None or mic.kind == "omni_clip" or subject[2] <= 0.3:
        return None
    mouth = subject[2]
    echo = comb(mic.distance_m, mouth, mouth)
    if echo.reflection_db <= COMB_TELLS_DB:
        return None
    return (
        f"the floor's reflection is {-echo.reflection_db:.0f} dB under the voice and notches it first at {echo.first_notch_hz:.0f} Hz; "
        "a rug there, or a nearer microphone, takes it away"
    )


# -- remedies
# ---------------------------------------------------------------------------------------------------------
def _quieter(sheet: RoomSheet, heard: SoundAnswer, ring: MeasuredRing | None) -> list[Remedy]:
    """What switching off or shutting buys, from two readings of the room."""
    read = [
        reading
        for reading in sheet.room.noise or ()
        if reading.laeq_db is not None and reading.method != "estimate" and reading.conditions
    ]
    if len(read) < 2:
        return []
    loud = max(read, key=lambda reading: reading.laeq_db or 0.0)
    found = []
    for quiet in sorted(read, key=lambda reading: reading.laeq_db or 0.0):
        assert loud.laeq_db is not None
        assert quiet.laeq_db is not None
        buys = loud.laeq_db - quiet.laeq_db
        if quiet is loud or buys < WORTH_DB or loud.conditions == quiet.conditions:
            continue
        alone = without_background_db(loud.laeq_db, quiet.laeq_db)
        source = (
            f"; what makes the difference is {alone.level_db:.0f} dBA by itself"
            if alone.level_db is not None
            else ""
        )
        found.append(
            Remedy(
                "noise",
                f"{_do(loud, quiet)}: {quiet.laeq_db:.0f} dBA instead of {loud.laeq_db:.0f}, {buys:.0f} dB bought "
                f"(readings {loud.id} and {quiet.id}){source}.{_verdicts_then(sheet, quiet, heard, ring)}",
                buys_db=buys,
            )
        )
        break  # the quietest reading alone: the others say less of the same
    return found


def _do(loud: NoiseReading, quiet: NoiseReading) -> str:
    """`fridge on` beside `fridge off`: what to do, in the words of whoever read."""
    wanted = [part.strip() for part in (quiet.conditions or "").replace(";", ",").split(",")]
    there = [part.strip() for part in (loud.conditions or "").replace(";", ",").split(",")]
    for part in there:
        words = part.lower().split()
        thing = " ".join(words[:-1])
        if (
            words
            and words[-1] in ON
            and any(
                other.lower().split()[-1:] and other.lower().split()[-1] in OFF for other in wanted
            )
        ):
            shut = "shut" if words[-1] == "open" else "switched off"
            return f"With the {thing} {shut}" if thing else f"With {', '.join(wanted)}"
    return f"With \u201c{quiet.conditions}\u201d in place of \u201c{loud.conditions}\u201d"


def _verdicts_then(
    sheet: RoomSheet, quiet: NoiseReading, heard: SoundAnswer, ring: MeasuredRing | None
) -> str:
    then = sound(
        sheet.model_copy(update={"room": sheet.room.model_copy(update={"noise": (quiet,)})}), ring
    )
    better = [
        f"{after.mic} becomes {after.verdict} (was {before.verdict})"
        for before, after in zip(heard.placements, then.placements, strict=True)
        if before.verdict
        and after.verdict
        and VERDICTS.index(after.verdict) < VERDICTS.index(before.verdict)
    ]
    return f" Then {'; '.join(better)}." if better else ""


def _drier(sheet: RoomSheet, computed: RoomSound | None, used: Ringing | None) -> list[Remedy]:
    """What blankets over one wall would do to the reverberation, each wall tried and the best told."""
    surfaces, corners = sheet.room.surfaces, sheet.room.corners_m
    if computed is None or used is None or surfaces is None or corners is None or used.mid_s <= 0.5:
        return []
    best: tuple[float, str, float] | None = None
    for wall in geometry.walls(np.asarray(corners, dtype=np.float64)):
        surface = surfaces.get(wall.letter)
        if surface is None or surface.material in (None, BLANKETS):
            continue
        hung = {**surfaces, wall.letter: Surface(material=BLANKETS)}
        then = room_sound(sheet.room.model_copy(update={"surfaces": hung}))
        if isinstance(then, RoomSound) and (best is None or then.mid_s < best[0]):
            best = (then.mid_s, wall.letter, wall.length_m)
    if best is None:
        return []
    mid, letter, length = best
    if used.measured and mid < computed.mid_s:
        # by hand: 1/T grows with the absorption, so what the blankets add to the computed 1/T is
        # added to the measured one
        mid = 1.0 / (1.0 / used.mid_s + 1.0 / mid - 1.0 / computed.mid_s)
    if mid > (1.0 - WORTH_SHARE) * used.mid_s:
        return []
    return [
        Remedy(
            "room",
            f"{HARD_MATERIAL_WORDS.capitalize()} over {surface_words(letter)} ({length:.1f} m long, floor to ceiling): "
            f"the room rings {mid:.2f} s instead of {used.mid_s:.2f} (worked out as {BLANKETS.replace('_', ' ')}; "
            "below 250 Hz they do little). "
            "Stands must be weighted, and no exit or heater covered.",
            buys_s=used.mid_s - mid,
        )
    ]


def _clip_on(sheet: RoomSheet, heard: SoundAnswer, ring: MeasuredRing | None) -> list[Remedy]:
    """A clip-on in place of what is there, where nothing else is usable."""
    if sheet.kit is None or any(mic.kind == "omni_clip" for mic in sheet.kit.mics or ()):
        return []
    worst = [answer for answer in heard.placements if answer.verdict in ("repair", "unusable")]
    if not worst or len(worst) < len(heard.placements):
        return []
    clip = Mic(id="clip-on", kind="omni_clip", distance_m=CLIP_M)
    then = sound(
        sheet.model_copy(update={"kit": sheet.kit.model_copy(update={"mics": (clip,)})}), ring
    ).placements[0]
    if then.verdict is None or VERDICTS.index(then.verdict) >= min(
        VERDICTS.index(answer.verdict or "unusable") for answer in worst
    ):
        return []
    return [
        Remedy(
            "placement",
            f"A clip-on at {CLIP_M:g} m in place of {worst[0].mic}: {then.verdict}, speech {then.snr_db:.0f} dB over the noise.",
        )
    ]


def _modes(sheet: RoomSheet) -> tuple[tuple[float, ...], str | None]:
    corners, height = sheet.room.corners_m, sheet.room.height_m
    if (
        corners is None
        or height is None
        or len(corners) != 4
        or pairs_of_walls(corners) is None
        or sheet.room.setting in ("exterior", "covered")
    ):
        return (), None
    lengths = [wall.length_m for wall in geometry.walls(np.asarray(corners, dtype=np.float64))]
    found = modes((lengths[0], lengths[1], height), LOW_HZ)
    axial = [mode.frequency_hz for mode in found if sum(order > 0 for order in mode.order) == 1]
    lowest = tuple(axial[:5])
    near = [(a, b) for a, b in pairwise(axial) if a >= VOICE_LOW_HZ and b - a < 0.05 * a]
    words = (
        f"Standing waves between walls begin at {', '.join(f'{f:.0f}' for f in lowest)} Hz"
        if lowest
        else "No standing wave below 120 Hz"
    )
    if near:
        words += f"; {near[0][0]:.0f} and {near[0][1]:.0f} Hz lie together, so a low voice may boom there: keep off the corners and the middle of the room"
    return lowest, f"{words}."
