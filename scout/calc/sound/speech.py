"""Speech at a microphone: how loud it arrives, over what noise, and how much of it is the room.

talker --- d ---> microphone        direct sound falls 6 dB with each doubling of d,
  \\__ room __/                      the room's answer does not
"""

from __future__ import annotations

from typing import Literal

import numpy as np

from scout.calc.geometry import require
from scout.calc.sound.levels import sum_db
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
DIRECT_BANDS_DB = (6.0, 0.0, -6.0)  # dry, good, roomy, else distant (common practice)


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


def room_word(
    direct_to_reverberant: float, edges_db: tuple[float, float, float] = DIRECT_BANDS_DB
) -> RoomWord:
    """How near a voice sounds: +6 dB and more dry, 0 good, -6 roomy, less distant (common
    practice).
    """
    return ROOM_WORDS[_band_of(direct_to_reverberant, edges_db)]


def placement_verdict(snr_db: float, direct_to_reverberant: float | None) -> SoundVerdict:
    """The worse of noise and room; None for the room means there is none (out of doors)."""
    by_noise = VERDICTS.index(noise_verdict(snr_db))
    by_room = (
        0 if direct_to_reverberant is None else ROOM_WORDS.index(room_word(direct_to_reverberant))
    )
    return VERDICTS[max(by_noise, by_room)]
