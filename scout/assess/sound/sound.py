"""Will this room do for speech, and with which microphone: noise, reverberation, and a verdict for
each placement.
"""

from __future__ import annotations

from dataclasses import dataclass

from scout.assess.answers import Level, MicAnswer, SoundAnswer, Verdict
from scout.assess.answers.sound import JudgedBy
from scout.assess.sound.noise import RoomNoise, room_noise
from scout.assess.sound.ring import MeasuredRing
from scout.assess.sound.room import RoomSound, air_in_m3, room_sound
from scout.calc.sound.reverberation import schroeder_hz
from scout.calc.sound.speech import (
    SELF_NOISE_DBA,
    VERDICTS,
    critical_distance_m,
    direct_to_reverberant_db,
    mic_directivity,
    noise_at_mic_db,
    noise_verdict,
    placement_verdict,
    room_word,
    speech_db,
)
from scout.records.sheet import Mic, RoomSheet

USUAL_EFFORT = "normal"
RUMBLE_DB = 15.0  # C less A (common practice): the A figure flatters
# Room noise for speech, by NC and, where no bands were read, by dBA (NC + 10 or so); common
# practice, for rooms one does not control.
ANYWHERE_NC, BOOM_NC, CLOSE_NC = 25, 30, 40
ANYWHERE_DBA, BOOM_DBA, CLOSE_DBA = 35.0, 40.0, 49.0
VOICE_S, ACCEPTABLE_S, CLOSE_ONLY_S, HALL_S = (
    0.5,
    0.7,
    1.0,
    2.0,
)  # reverberation for voice, common practice
FIGURES = {
    "noise": "laeq_db, nc, snr_db",
    "nc": "nc",
    "room": "rt60_s, rt60_mid_s, rt60_range_s, schroeder_hz",
    "placements": "placements",
}


@dataclass(frozen=True)
class Ringing:
    """The reverberation that is judged by, measured or computed."""

    volume_m3: float
    mid_s: float
    measured: bool


def judged_by(sheet: RoomSheet, room: RoomSound | str, ring: MeasuredRing | None) -> Ringing | str:
    """A good measurement before the formulas; "because ..." where there is neither."""
    volume = air_in_m3(sheet.room)
    if ring is not None and ring.mid_s is not None and volume is not None:
        return Ringing(volume, ring.mid_s, measured=True)
    return room if isinstance(room, str) else Ringing(room.volume_m3, room.mid_s, measured=False)


def sound(sheet: RoomSheet, ring: MeasuredRing | None = None) -> SoundAnswer:
    """The sound block of the assessment. What is not measured leaves its own figures None and is
    named in `unknown`.

    ring: what recorded bursts say of the room; a good one is judged by in place of the
        formulas, and the computed time stands beside it
    """
    noise, room = room_noise(sheet.room), room_sound(sheet.room)
    used = judged_by(sheet, room, ring)
    open_air = sheet.room.setting == "exterior"
    mics = (sheet.kit.mics if sheet.kit is not None else None) or ()
    effort = sheet.kit.speech_effort if sheet.kit is not None else None
    placements = tuple(
        _placement(mic, effort or USUAL_EFFORT, noise, used, open_air) for mic in mics
    )
    gaps = _gaps(noise, room, bool(mics))
    by: JudgedBy | None = (
        None if isinstance(used, str) else "measured" if used.measured else "computed"
    )
    assumed = [
        *(noise.assumed if isinstance(noise, RoomNoise) else ()),
        *(room.assumed if isinstance(room, RoomSound) else ()),
    ]
    assumed += _ring_words(ring, by, room)
    if mics:
        assumed += _mic_words(effort, mics, noise, open_air)
    heard = noise if isinstance(noise, RoomNoise) else None
    ringing = room if isinstance(room, RoomSound) else None
    return SoundAnswer(
        laeq_db=None if heard is None else heard.laeq_db,
        nc=None if heard is None else heard.nc,
        nc_set_by_hz=None if heard is None or not heard.nc_tie_hz else heard.nc_tie_hz[0],
        nc_text=None if heard is None else heard.nc_text,
        nc_tie_hz=() if heard is None else heard.nc_tie_hz,
        reading=None if heard is None else heard.reading,
        conditions=None if heard is None else heard.conditions,
        laeq_doubt_db=None if heard is None else heard.doubt_db,
        lceq_db=None if heard is None else heard.lceq_db,
        rt60_s=None if ringing is None else ringing.time_s,
        rt60_formula=None if ringing is None else ringing.formula,
        rt60_mid_s=None if ringing is None else ringing.mid_s,
        rt60_range_s=None if ringing is None else ringing.range_s,
        rt60_range_because=None if ringing is None else ringing.range_because,
        schroeder_hz=None if isinstance(used, str) else schroeder_hz(used.mid_s, used.volume_m3),
        rt60_measured_s=None
        if ring is None or not ring.time_s
        else {str(band): time for band, time in ring.time_s},
        rt60_measured_mid_s=None if ring is None else ring.mid_s,
        rt60_measured_range_s=None if ring is None else ring.range_s,
        rt60_measured_unused=None if ring is None else ring.because,
        rt60_judged_by=by,
        flutter=None if ringing is None else ringing.flutter,
        open_air=open_air,
        placements=placements,
        assumed=tuple(assumed),
        unknown_by=gaps,
        unknown="; ".join(f"{why} ({FIGURES[part]})" for part, why in gaps.items()) or None,
    )


def _ring_words(ring: MeasuredRing | None, by: str | None, room: RoomSound | str) -> list[str]:
    if ring is None:
        return []
    if by != "measured":
        return [
            f"What was recorded of the room's ring is not judged by, {ring.because or 'because the size of the room is not measured'}."
        ]
    beside = (
        f" Worked out from its surfaces it would be {room.mid_s:.2f} s."
        if isinstance(room, RoomSound)
        else ""
    )
    return [*ring.words, f"Critical distances and verdicts go by the measured time.{beside}"]


def _gaps(noise: RoomNoise | str, room: RoomSound | str, mics: bool) -> dict[str, str]:
    found = {}
    if isinstance(noise, str):
        found["noise"] = noise
    elif noise.nc_unknown is not None:
        found["nc"] = noise.nc_unknown
    if isinstance(room, str):
        found["room"] = room
    if not mics:
        found["placements"] = "because the kit has no microphones"
    return found


def _mic_words(
    effort: str | None, mics: tuple[Mic, ...], noise: RoomNoise | str, open_air: bool
) -> list[str]:
    words = []
    if effort is None:
        words.append(
            "The vocal effort is not given; a normal voice is taken, 60 dBA at 1 m (ISO 9921)."
        )
    words.append(
        "The talker faces the microphone; speech falls 6 dB with each doubling of the distance. Verdict bands are common practice."
    )
    if isinstance(noise, RoomNoise):
        words.append(
            f"The noise is taken to come from all round, and each microphone to have {SELF_NOISE_DBA:g} dBA of its own."
        )
    if any(mic.kind == "camera" for mic in mics):
        words.append("A camera microphone is taken as a cardioid.")
    if any(mic.kind == "shotgun" for mic in mics):
        words.append(
            "A shotgun is taken at its mid-band gain (7 dB); indoors, below 1 kHz, it hears no less of the room than a hypercardioid."
        )
    if any(mic.kind == "omni_clip" for mic in mics):
        words.append(
            "Under the chin treble is a few dB down and clothing rubs; neither is in the figures."
        )
    if open_air:
        words.append(
            "Out of doors nothing rings: the verdict is by noise alone, and wind is not in it."
        )
    return words


def _placement(
    mic: Mic, effort: str, noise: RoomNoise | str, room: Ringing | str, open_air: bool
) -> MicAnswer:
    q = mic_directivity(mic.kind)
    critical = (
        critical_distance_m(room.volume_m3, room.mid_s, q) if isinstance(room, Ringing) else None
    )
    at_mic = noise_at_mic_db(noise.laeq_db, q) if isinstance(noise, RoomNoise) else None
    if mic.distance_m is None:
        why = f"because the distance of microphone {mic.id} (distance_m) is not recorded"
        return MicAnswer(
            mic=mic.id, kind=mic.kind, critical_distance_m=critical, noise_db=at_mic, unknown=why
        )
    speech = speech_db(effort, mic.distance_m)
    snr = speech - at_mic if at_mic is not None else None
    direct = direct_to_reverberant_db(critical, mic.distance_m) if critical is not None else None
    word = room_word(direct) if direct is not None else None
    verdict, unknown = None, None
    if snr is not None and (direct is not None or open_air):
        verdict = placement_verdict(snr, direct)
    elif snr is not None and noise_verdict(snr) == VERDICTS[-1]:
        verdict = VERDICTS[
            -1
        ]  # already the worst there is: whatever the room adds cannot change it
    elif direct is not None and word == "distant":
        verdict = VERDICTS[-1]
    if snr is None and isinstance(noise, str):
        unknown = (
            f"{noise} (so there is no speech over noise{'' if verdict else ', and no verdict'})"
        )
    if direct is None and isinstance(room, str) and not open_air:
        alone = (
            ""
            if snr is None or verdict is not None
            else f"; by noise alone it would be {noise_verdict(snr)}"
        )
        gap = f"{room} (so there is no critical distance and no direct over reverberant sound{'' if verdict else ', and no verdict'}){alone}"
        unknown = f"{unknown}; {gap}" if unknown else gap
    elif open_air and isinstance(room, str):
        gap = f"{room} (so there is no critical distance and no direct over reverberant sound)"
        unknown = f"{unknown}; {gap}" if unknown else gap
    return MicAnswer(
        mic=mic.id,
        kind=mic.kind,
        distance_m=mic.distance_m,
        speech_db=speech,
        noise_db=at_mic,
        snr_db=snr,
        critical_distance_m=critical,
        direct_to_reverberant_db=direct,
        room_word=word,
        verdict=verdict,
        unknown=unknown,
    )


# -- verdicts
# ---------------------------------------------------------------------------------------------------------
def verdicts(answer: SoundAnswer, *, needed_laeq_db: float | None = None) -> tuple[Verdict, ...]:
    """What the answer comes to, in sentences with their figures: noise, reverberation, microphones.

    needed_laeq_db: the most a scene allows, when a scene is known; else the common limits for
        speech are used.
    """
    found = [_noise_verdict(answer, needed_laeq_db)]
    if not answer.open_air:
        found.append(_room_verdict(answer))
    if answer.flutter is not None:
        found.append(Verdict("sound", "care", f"{answer.flutter[0].upper()}{answer.flutter[1:]}."))
    if answer.placements:
        found.append(_mics_verdict(answer.placements))
    return tuple(found)


def _noise_verdict(answer: SoundAnswer, needed_laeq_db: float | None) -> Verdict:
    if answer.laeq_db is None:
        why = answer.unknown_by["noise"]
        return Verdict(
            "sound",
            "unknown",
            f"Noise is unknown, {why}. Stand still for a minute with a meter or a phone.",
        )
    figure = f"{answer.laeq_db:.0f} dBA"
    doubt = (
        ""
        if answer.laeq_doubt_db is None or answer.laeq_doubt_db <= 2
        else f", give or take {answer.laeq_doubt_db:.0f}"
    )
    conditions = f", {answer.conditions}" if answer.conditions else ""
    level: Level
    if needed_laeq_db is not None:
        over = answer.laeq_db - needed_laeq_db
        margin = answer.laeq_doubt_db or 0.0
        level = "good" if over <= -margin else "care" if over <= margin else "problem"
        place = (
            f"{over:.0f} over" if over >= 0.5 else f"{-over:.0f} under" if over <= -0.5 else "just"
        )
        return Verdict(
            "sound", level, f"{figure}{doubt}, {place} what the scene allows{conditions}."
        )
    level, words = _noise_words(answer)
    nc = (
        f" ({answer.nc_text}{f', set by {_bands_words(answer.nc_tie_hz)}' if answer.nc_tie_hz else ''})"
        if answer.nc_text
        else ""
    )
    rumble = ""
    if answer.lceq_db is not None and answer.lceq_db - answer.laeq_db > RUMBLE_DB:
        rumble = f" C is {answer.lceq_db - answer.laeq_db:.0f} dB over A: low rumble, which the A figure flatters; a high-pass at 80 to 100 Hz helps a voice."
        level = "care" if level == "good" else level
    return Verdict("sound", level, f"{figure}{doubt}{nc}, {words}{conditions}.{rumble}")


def _noise_words(answer: SoundAnswer) -> tuple[Level, str]:
    if answer.nc_text is not None:
        outside = (
            0.0 if not answer.nc_tie_hz else 99.0
        )  # under every curve no band sets it; over them one does
        bounds: tuple[float, float, float] = (ANYWHERE_NC, BOOM_NC, CLOSE_NC)
        value = float(answer.nc) if answer.nc is not None else outside
    else:
        assert answer.laeq_db is not None
        bounds, value = (ANYWHERE_DBA, BOOM_DBA, CLOSE_DBA), answer.laeq_db
    if value <= bounds[0]:
        return "good", "quiet enough for any microphone well placed"
    if value <= bounds[1]:
        return "good", "fine with a boom or a clip-on"
    if value <= bounds[2]:
        return "care", "close microphones only"
    return "problem", "too loud for clean speech: look for the source or another room"


def _bands_words(bands_hz: tuple[int, ...]) -> str:
    return (
        f"{' and '.join(str(band) for band in bands_hz)} Hz"
        if len(bands_hz) <= 2
        else "several bands"
    )


def _room_verdict(answer: SoundAnswer) -> Verdict:
    measured = answer.rt60_judged_by == "measured"
    mid, span = (
        (answer.rt60_measured_mid_s, answer.rt60_measured_range_s)
        if measured
        else (answer.rt60_mid_s, answer.rt60_range_s)
    )
    if mid is None or span is None:
        return Verdict(
            "sound", "unknown", f"How long the room rings is unknown, {answer.unknown_by['room']}."
        )
    low, high = span
    beside = (
        f"; worked out from its surfaces {answer.rt60_mid_s:.1f} s"
        if measured and answer.rt60_mid_s is not None
        else ""
    )
    figure = f"The room rings {mid:.1f} s ({'measured, ' if measured else ''}between {low:.1f} and {high:.1f}{beside})"
    level: Level = "good" if mid <= ACCEPTABLE_S else "care" if mid <= HALL_S else "problem"
    limits = (
        (VOICE_S, "dry enough for a voice"),
        (ACCEPTABLE_S, "acceptable for a voice"),
        (CLOSE_ONLY_S, "lively: keep the microphone near"),
    )
    words = next(
        (words for most, words in limits if mid <= most),
        "close microphones only, or bring blankets",
    )
    wide = not measured and high > 1.2 * 1.15 * mid
    if wide and level == "good" and high > ACCEPTABLE_S:
        level = "care"
    return Verdict(
        "sound",
        level,
        f"{figure}: {words}{f'. The range is wide because {answer.rt60_range_because}' if wide else ''}.",
    )


def _mics_verdict(placements: tuple[MicAnswer, ...]) -> Verdict:
    judged = [mic for mic in placements if mic.verdict is not None]
    if not judged:
        return Verdict(
            "sound",
            "unknown",
            f"Which microphone will do is unknown, {placements[0].unknown or 'because nothing is measured'}.",
        )
    best = min(
        judged,
        key=lambda mic: (
            VERDICTS.index(mic.verdict or "unusable"),
            -(mic.snr_db if mic.snr_db is not None else -99.0),
        ),
    )
    level: Level = (
        "good"
        if best.verdict in ("clean", "usable")
        else "care"
        if best.verdict == "repair"
        else "problem"
    )
    told = "; ".join(_mic_words_of(mic) for mic in placements)
    return Verdict(
        "sound",
        level,
        f"{'Best microphone' if len(placements) > 1 else 'Microphone'}: {best.mic}. {told}.",
    )


def _mic_words_of(mic: MicAnswer) -> str:
    if mic.verdict is None:
        return f"{mic.mic} unknown"
    figures = []
    if mic.snr_db is not None:
        figures.append(f"speech {mic.snr_db:.0f} dB over the noise")
    if mic.direct_to_reverberant_db is not None:
        figures.append(f"{mic.direct_to_reverberant_db:+.0f} dB over the room")
    at = f" at {mic.distance_m:g} m" if mic.distance_m is not None else ""
    return f"{mic.mic}{at} {mic.verdict}" + (f" ({', '.join(figures)})" if figures else "")
