"""Speech at a microphone: how loud it arrives, over what noise, and how much of it is the room.

talker --- d ---> microphone        direct sound falls 6 dB with each doubling of d,
  \\__ room __/                      the room's answer does not
"""

from __future__ import annotations

from typing import Literal

import numpy as np

from scout.calc.geometry import require
from scout.calc.sound.levels import sum_db
from scout.calc.sound.reverberation import SIXTY_DB
from scout.errors import OutOfRange
from scout.values import said, words

SoundVerdict = Literal["clean", "usable", "repair", "unusable"]
RoomWord = Literal["dry", "good", "roomy", "distant"]
VERDICTS: tuple[SoundVerdict, ...] = ("clean", "usable", "repair", "unusable")
ROOM_WORDS: tuple[RoomWord, ...] = ("dry", "good", "roomy", "distant")

# A-weighted speech 1 m in front of the lips, ISO 9921 (from memory) [dB].
SPEECH_AT_1M_DB: dict[str, float] = {
    "relaxed": 54.0,
    "normal": 60.0,
    "raised": 66.0,
    "loud": 72.0,
    "very_loud": 78.0,
}
TALKER_DIRECTIVITY = 2.0  # toward the front (common practice)
SELF_NOISE_DBA = 15.0  # of the microphone itself (common practice)
SNR_BANDS_DB = (30.0, 20.0, 12.0)  # clean, usable, repair, else unusable (common practice)
# C50 at the microphone: dry, good, roomy, else distant. A listener in a room calls 3 dB good and
# takes 0 for passable (the scale that room-acoustic instruments print); one microphone has no
# second ear to take the room off, so each stands 3 dB higher, the step that listeners readily hear
# (J. S. Bradley, R. Reich, S. G. Norcross, Applied Acoustics 58 (1999) 99). Dry: common practice.
CLARITY_BANDS_DB = (12.0, 6.0, 0.0)
# Centre time up to which a voice is dry (common practice), good, roomy: 60 to 80 ms are wanted for
# speech (W. Ahnert and H.-P. Tennhardt in Handbook for Sound Engineers, 7.2.2.4), and one
# microphone takes the lower. A long tail shows here before C50 knows of it.
CENTRE_BANDS_MS = (30.0, 60.0, 80.0)
FALL = SIXTY_DB / 4.0  # 6 ln 10: the fall of 60 dB in powers of e
EARLY_S = 0.05  # what comes in that time helps speech: C50, ISO 3382-1


def speech_db(effort: str, distance_m: float) -> float:
    """A-weighted level of the direct speech at a distance in front of the talker.
    effort:     relaxed, normal, raised, loud, very_loud
    distance_m: lips to microphone [m], above 0
    Returns:    [dB]
    Raises:     OutOfRange naming the argument
    Source:     ISO 9921 levels at 1 m (from memory), less 20 log10 d
    Limits:     nearer than about 0.2 m the mouth is no longer a point; at the chest treble is
        some dB down (common practice)
    """
    if effort not in SPEECH_AT_1M_DB:
        raise OutOfRange(
            "effort",
            effort,
            said("refusal.no_effort", efforts=words("effort", SPEECH_AT_1M_DB, "or")),
        )
    return SPEECH_AT_1M_DB[effort] - 20.0 * float(
        np.log10(require("distance_m", distance_m, above=0))
    )


def critical_distance_m(
    volume_m3: float, reverberation_s: float, mic_q: float, talker_q: float = TALKER_DIRECTIVITY
) -> float:
    """Distance at which direct sound and the room's answer are equally strong.
    volume_m3, reverberation_s: the room [m3], [s]; mic_q, talker_q: energy directivity factors
        [-]; all above 0
    Returns:    [m]
    Source:     0.0566 sqrt(Qs Qm V / T), diffuse-field theory (H. Kuttruff, Room Acoustics)
    """
    for name, value in (
        ("volume_m3", volume_m3),
        ("reverberation_s", reverberation_s),
        ("mic_q", mic_q),
        ("talker_q", talker_q),
    ):
        require(name, value, above=0)
    return 0.0566 * float(np.sqrt(talker_q * mic_q * volume_m3 / reverberation_s))


def direct_to_reverberant_db(critical_m: float, distance_m: float) -> float:
    """How far the direct sound stands above the room's answer, 20 log10(dc/d) [dB]; both distances
    above 0 [m].
    """
    require("critical_m", critical_m, above=0)
    require("distance_m", distance_m, above=0)
    return 20.0 * float(np.log10(critical_m / distance_m))


def noise_at_mic_db(room_dba: float, mic_q: float, self_noise_dba: float = SELF_NOISE_DBA) -> float:
    """Noise as the microphone hears it: the room's, less what its directivity rejects of noise from
    all round, and its own.

    Limits: noise from all round. A noise with a known place and the microphone's null turned to
        it comes out lower; not claimed.
    """
    require("room_dba", room_dba)
    require("self_noise_dba", self_noise_dba)
    return sum_db(
        [room_dba - 10.0 * float(np.log10(require("mic_q", mic_q, above=0))), self_noise_dba]
    )


def _band_of(value: float, edges: tuple[float, float, float]) -> int:
    require("value", value)
    return sum(value < edge - 1e-9 for edge in edges)


def noise_verdict(
    snr_db: float, edges_db: tuple[float, float, float] = SNR_BANDS_DB
) -> SoundVerdict:
    """What a speech-to-noise ratio allows: 30 dB and more clean, 20 usable, 12 needs repair, less
    not usable (common practice).
    """
    return VERDICTS[_band_of(snr_db, edges_db)]


def clarity_db(direct_to_reverberant: float, reverberation_s: float) -> float:
    """C50 at a place: direct sound and what comes within 50 ms after it, over what comes later.
    direct_to_reverberant: [dB]
    reverberation_s:       [s], above 0
    Returns:               [dB]
    Source:                ISO 3382-1 (C50), for direct sound and an exponential fall of 60 dB in T
    Limits:                a diffuse field that begins with the direct sound; a single strong
        reflection is not in it
    """
    direct = 10.0 ** (require("direct_to_reverberant", direct_to_reverberant) / 10.0)
    late = _late_share(reverberation_s)  # may be too small for a float: its level is written out
    late_db = -10.0 * FALL * EARLY_S / reverberation_s / float(np.log(10.0))
    return 10.0 * float(np.log10(direct + 1.0 - late)) - late_db


def centre_time_ms(direct_to_reverberant: float, reverberation_s: float) -> float:
    """When the sound's energy has arrived in the mean [ms]: ISO 3382-1 (TS), field and arguments
    as clarity_db.

    by hand: T / 13.82 for the reverberation alone, times its share of the whole.
    """
    direct = float(10.0 ** (require("direct_to_reverberant", direct_to_reverberant) / 10.0))
    require("reverberation_s", reverberation_s, above=0)
    return 1000.0 * reverberation_s / FALL / (1.0 + direct)


def room_reach_m(critical_m: float, reverberation_s: float) -> float:
    """The furthest at which a room leaves a voice good (room_word): clarity_db and centre_time_ms
    turned round. Infinite where the room is dry enough at any distance.
    """
    require("critical_m", critical_m, above=0)
    late = _late_share(reverberation_s)
    by_clarity = 10.0 ** (CLARITY_BANDS_DB[1] / 10.0) * late - (1.0 - late)
    by_centre = 1000.0 * reverberation_s / FALL / CENTRE_BANDS_MS[1] - 1.0
    direct = max(by_clarity, by_centre)
    return float("inf") if direct <= 0 else critical_m / float(np.sqrt(direct))


def _late_share(reverberation_s: float) -> float:
    """What of the reverberation comes after 50 ms."""
    return float(np.exp(-FALL * EARLY_S / require("reverberation_s", reverberation_s, above=0)))


def room_word(clarity: float, centre_ms: float) -> RoomWord:
    """How near a voice sounds, by C50 [dB] and centre time [ms]: the worse of the two."""
    require("centre_ms", centre_ms, least=0)
    late = sum(centre_ms > edge + 1e-9 for edge in CENTRE_BANDS_MS)
    return ROOM_WORDS[max(_band_of(clarity, CLARITY_BANDS_DB), late)]


def placement_verdict(snr_db: float, room: RoomWord | None) -> SoundVerdict:
    """The worse of noise and room; None for the room means there is none (out of doors)."""
    by_noise = VERDICTS.index(noise_verdict(snr_db))
    by_room = 0 if room is None else ROOM_WORDS.index(room)
    return VERDICTS[max(by_noise, by_room)]
