"""Will this room do for speech, and with which microphone: noise, reverberation, and what each
placement comes to.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from scout.assess.answers import Level, MicAnswer, SoundAnswer, unmeasured
from scout.assess.setup import Setup
from scout.assess.sound.hours import Shoot, readings_for
from scout.assess.sound.mics import MIC_FACTS
from scout.assess.sound.noise import RoomNoise, doubt_of, quiet_enough, room_noise
from scout.assess.sound.ring import MeasuredRing
from scout.assess.sound.room import RoomSound, air_in_m3, room_sound
from scout.calc.sound.reverberation import schroeder_hz
from scout.calc.sound.speech import (
    SELF_NOISE_DBA,
    RoomWord,
    centre_time_ms,
    clarity_db,
    critical_distance_m,
    direct_to_reverberant_db,
    noise_at_mic_db,
    noise_verdict,
    placement_verdict,
    room_word,
    speech_db,
)
from scout.records.sheet import Kit, Mic, RoomRecord, RoomSheet
from scout.values import Figure, Many, Said, Word, said

USUAL_EFFORT = "normal"
RUMBLE_DB = 15.0  # C less A (common practice): the A figure flatters
# Room noise for speech, by NC and, where no bands were read, by dBA (NC + 10 or so); common
# practice, for rooms one does not control: any microphone well placed, a boom or a lav, close ones.
VOICE_NC, VOICE_DBA = (25.0, 30.0, 40.0), (35.0, 40.0, 49.0)
UNDER_NC, OVER_NC = 0.0, 99.0  # beyond the curves that are printed
ACCEPTABLE_S, HALL_S = 0.7, 2.0  # reverberation for voice, common practice
ANY_DB = 99.0  # far over every band of a placement


@dataclass(frozen=True)
class Ringing:
    """The reverberation that is judged by, measured or computed; `mid_s` None: only its bounds are
    known.
    """

    volume_m3: float
    mid_s: float | None
    range_s: tuple[float, float]
    wide: bool = False
    measured: bool = False


def judged_by(
    room: RoomRecord, computed: RoomSound | Said, ring: MeasuredRing | None
) -> Ringing | Said:
    """A good measurement before the formulas; what stands in the way where there is neither."""
    volume = air_in_m3(room)
    if ring is not None and ring.mid_s is not None and ring.range_s is not None and volume:
        return Ringing(volume, ring.mid_s, ring.range_s, measured=True)
    if isinstance(computed, Said):
        return computed
    return Ringing(computed.volume_m3, computed.mid_s, computed.range_s, computed.wide)


def reverb_level(ringing: Ringing) -> Level:
    """Whether a room is dry enough for a voice; the one place where that is decided.

    Bounds alone give a level where both ends do. A wide doubt takes good down to care.
    """
    if ringing.mid_s is None:
        ends = {_reverb_level(end) for end in ringing.range_s}
        return ends.pop() if len(ends) == 1 else "unknown"
    level = _reverb_level(ringing.mid_s)
    return (
        "care" if level == "good" and ringing.wide and ringing.range_s[1] > ACCEPTABLE_S else level
    )


def _reverb_level(time_s: float) -> Level:
    return "good" if time_s <= ACCEPTABLE_S else "care" if time_s <= HALL_S else "problem"


def voice_level(heard: SoundAnswer) -> Level:
    """Whether a room is quiet enough for speech, by NC where octaves were read, else by dBA. What
    was read at other hours than the setup's is no more than care.
    """
    read = voice_noise(heard)
    if read is None:
        return "unknown"
    value, (_, boom, close) = read
    if quiet_enough(value, boom, heard.laeq_doubt_db) == "good":
        return "good"
    loud = quiet_enough(value, close, heard.laeq_doubt_db) == "problem"
    return "problem" if loud and heard.read_at_hours is not False else "care"


def voice_noise(heard: SoundAnswer) -> tuple[float, tuple[float, float, float]] | None:
    """The figure that speech is judged by, with its limits: for any microphone, for a boom or a
    lav, for close ones alone.
    """
    if heard.laeq_db is None:
        return None
    if heard.nc_text is None:
        return heard.laeq_db, VOICE_DBA
    outside = OVER_NC if heard.nc_tie_hz else UNDER_NC
    return (outside if heard.nc is None else heard.nc), VOICE_NC


def sound(setup: Setup) -> SoundAnswer:
    """The sound block of the assessment, for the setup's hours. What is not measured leaves its own
    figures None and is named in `unknown`.
    """
    sheet, room, ring = setup.sheet, setup.sheet.room, setup.ring
    counted = readings_for([Shoot.of_setup(setup)], room, setup.noises, setup.timezone)
    noise, computed = room_noise(counted.readings), room_sound(room)
    used = judged_by(room, computed, ring)
    open_air = room.setting == "exterior"
    mics, effort = mics_of(sheet), effort_of(sheet.kit)
    heard = noise if isinstance(noise, RoomNoise) else None
    ringing = computed if isinstance(computed, RoomSound) else None
    gaps = _gaps(noise, computed, mics=bool(mics), open_air=open_air)
    known = used if isinstance(used, Ringing) and used.mid_s is not None else None
    assumed: list[Said] = [
        *(heard.assumed if heard else ()),
        *(ringing.assumed if ringing else ()),
        *_ring_words(ring, used, ringing),
        *(_mic_words(sheet, mics, noise, open_air) if mics else ()),
    ]
    return SoundAnswer(
        laeq_db=None if heard is None else heard.laeq_db,
        laeq_range_db=None if heard is None else _either_way(heard.laeq_db, heard),
        nc=None if heard is None else heard.nc,
        nc_set_by_hz=None if heard is None or not heard.nc_tie_hz else heard.nc_tie_hz[0],
        nc_text=None if heard is None else heard.nc_text,
        nc_tie_hz=() if heard is None else heard.nc_tie_hz,
        reading=None if heard is None else heard.reading,
        read_at_hours=None if heard is None else counted.at_hours,
        conditions=None if heard is None else heard.conditions,
        laeq_doubt_db=None if heard is None else heard.doubt_db,
        lceq_db=None if heard is None else heard.lceq_db,
        rt60_s=None if ringing is None else ringing.time_s,
        rt60_formula=None if ringing is None else ringing.formula,
        rt60_mid_s=None if ringing is None else ringing.mid_s,
        rt60_range_s=None if ringing is None else ringing.range_s,
        rt60_range_because=None if ringing is None else ringing.range_because,
        schroeder_hz=None if known is None else schroeder_hz(known.mid_s or 0.0, known.volume_m3),
        rt60_measured_s={str(band): time for band, time in ring.time_s}
        if ring is not None and ring.time_s
        else None,
        rt60_measured_mid_s=None if ring is None else ring.mid_s,
        rt60_measured_range_s=None if ring is None else ring.range_s,
        rt60_measured_unused=None if ring is None else ring.because,
        rt60_judged_by=None if known is None else "measured" if known.measured else "computed",
        open_air=open_air,
        placements=tuple(placement(mic, effort, noise, used, open_air=open_air) for mic in mics),
        assumed=tuple(assumed),
        unknown_by=gaps,
        unknown=said("sound.missing", reasons=Many(tuple(gaps.values()))) if gaps else None,
    )


def mics_of(sheet: RoomSheet) -> tuple[Mic, ...]:
    """The kit's microphones."""
    return (sheet.kit.mics if sheet.kit is not None else None) or ()


def effort_of(kit: Kit | None) -> str:
    """How loud people will speak."""
    return (kit.speech_effort if kit is not None else None) or USUAL_EFFORT


def placement(
    mic: Mic, effort: str, noise: RoomNoise | Said, ringing: Ringing | Said, *, open_air: bool
) -> MicAnswer:
    """What one microphone where it stands will do; the one place where that is decided.

    What is not known is tried at both its ends, and where all give one verdict, that is it.
    """
    q = MIC_FACTS[mic.kind].directivity
    at_mic = None if isinstance(noise, Said) else noise_at_mic_db(noise.laeq_db, q)
    mid = None if isinstance(ringing, Said) else ringing.mid_s
    critical = (
        None
        if isinstance(ringing, Said) or mid is None
        else critical_distance_m(ringing.volume_m3, mid, q)
    )
    if mic.distance_m is None:
        return MicAnswer(
            mic=mic.id,
            kind=mic.kind,
            critical_distance_m=critical,
            noise_db=at_mic,
            unknown=unmeasured(f"kit.mics.{mic.id}.distance_m"),
        )
    speech = speech_db(effort, mic.distance_m)
    snr = None if at_mic is None else speech - at_mic
    direct = None if critical is None else direct_to_reverberant_db(critical, mic.distance_m)
    found = {
        placement_verdict(over, room)
        for over in ((ANY_DB, -ANY_DB) if snr is None else (snr,))
        for room in ((None,) if open_air else _rooms(ringing, mic.distance_m, q))
    }
    verdict = found.pop() if len(found) == 1 else None
    reasons = [noise] if isinstance(noise, Said) else []
    if direct is None and not open_air:
        reasons.append(ringing if isinstance(ringing, Said) else said("reverb.only_bounds"))
    alone = None if snr is None or verdict is not None else Word("speech", noise_verdict(snr))
    clear = None if direct is None or mid is None else _Clear(direct, mid)
    return MicAnswer(
        mic=mic.id,
        kind=mic.kind,
        distance_m=mic.distance_m,
        speech_db=speech,
        noise_db=at_mic,
        snr_db=snr,
        snr_range_db=None if snr is None or isinstance(noise, Said) else _either_way(snr, noise),
        critical_distance_m=critical,
        direct_to_reverberant_db=direct,
        c50_db=None if clear is None else clear.c50_db,
        c50_range_db=None
        if clear is None or isinstance(ringing, Said)
        else _c50_range(ringing, mic.distance_m, q),
        centre_time_ms=None if clear is None else clear.centre_ms,
        room_word=None if clear is None else clear.word,
        verdict=verdict,
        unknown=said("mic.missing", reasons=Many(tuple(reasons)), alone=alone) if reasons else None,
    )


def _either_way(level_db: float, read: RoomNoise) -> tuple[float, float]:
    doubt = doubt_of(read.doubt_db)
    return level_db - doubt, level_db + doubt


@dataclass(frozen=True)
class _Clear:
    """What a reverberation leaves of a voice that stands so far over it."""

    direct_db: float
    reverberation_s: float

    @property
    def c50_db(self) -> float:
        return clarity_db(self.direct_db, self.reverberation_s)

    @property
    def centre_ms(self) -> float:
        return centre_time_ms(self.direct_db, self.reverberation_s)

    @property
    def word(self) -> RoomWord:
        return room_word(self.c50_db, self.centre_ms)


def _clear(ringing: Ringing, time_s: float, distance_m: float, q: float) -> _Clear:
    critical = critical_distance_m(ringing.volume_m3, time_s, q)
    return _Clear(direct_to_reverberant_db(critical, distance_m), time_s)


def _c50_range(ringing: Ringing, distance_m: float, q: float) -> tuple[float, float] | None:
    """C50 at both ends of the reverberation, the longer first."""
    low, high = ringing.range_s
    if low <= 0:
        return None
    return (
        _clear(ringing, high, distance_m, q).c50_db,
        _clear(ringing, low, distance_m, q).c50_db,
    )


def _rooms(ringing: Ringing | Said, distance_m: float, q: float) -> tuple[RoomWord | None, ...]:
    """How near the voice sounds, at both ends of what is not known; None: no reverberation at all."""
    if isinstance(ringing, Said):
        return None, "distant"
    times: Iterable[float] = ringing.range_s if ringing.mid_s is None else (ringing.mid_s,)
    return tuple(_clear(ringing, time, distance_m, q).word if time > 0 else None for time in times)


def _ring_words(
    ring: MeasuredRing | None, used: Ringing | Said, computed: RoomSound | None
) -> list[Said]:
    if ring is None:
        return []
    if isinstance(used, Said) or not used.measured:
        because = ring.because or (used if isinstance(used, Said) else None)
        return [said("burst.unused", because=because)]
    beside = computed.mid_s if computed is not None else None
    return [
        *ring.words,
        said("burst.judged_by", computed=None if beside is None else Figure(beside, "s")),
    ]


def _gaps(
    noise: RoomNoise | Said, room: RoomSound | Said, *, mics: bool, open_air: bool
) -> dict[str, Said]:
    gaps = {}
    if isinstance(noise, Said):
        gaps["noise"] = noise
    elif noise.nc_unknown is not None:
        gaps["nc"] = noise.nc_unknown
    if isinstance(room, RoomSound) and room.gaps:
        gaps["room"] = unmeasured(*room.gaps)
    elif isinstance(room, Said) and not open_air:
        gaps["room"] = room
    if not mics:
        gaps["placements"] = said("mic.none")
    return gaps


def _mic_words(
    sheet: RoomSheet, mics: tuple[Mic, ...], noise: RoomNoise | Said, open_air: bool
) -> list[Said]:
    assumed = [said("mic.assumed")]
    if sheet.kit is not None and sheet.kit.speech_effort is None:
        assumed.append(said("mic.effort_taken"))
    if isinstance(noise, RoomNoise):
        assumed.append(said("mic.noise_round", own=Figure(SELF_NOISE_DBA, "dBA")))
    kinds = dict.fromkeys(MIC_FACTS[mic.kind].assumed for mic in mics)
    assumed += [note for note in kinds if note is not None]
    if open_air:
        assumed.append(said("mic.open_air"))
    return assumed
