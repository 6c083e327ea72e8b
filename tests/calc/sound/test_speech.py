"""Speech at a microphone, and the verdict it earns."""

from __future__ import annotations

import numpy as np
import pytest

from scout.assess.sound.mics import MIC_FACTS
from scout.calc.sound.speech import (
    centre_time_ms,
    clarity_db,
    critical_distance_m,
    direct_to_reverberant_db,
    noise_at_mic_db,
    noise_verdict,
    placement_verdict,
    room_reach_m,
    room_word,
    speech_db,
)
from scout.errors import OutOfRange
from tests.refusing import refused

CARDIOID = MIC_FACTS["camera"].directivity


@pytest.mark.parametrize(("omni_part", "q"), [(1.0, 1.0), (0.5, 3.0)])
def test_directivity_of_first_order_microphones(omni_part: float, q: float) -> None:
    # Source: numerical integral over the sphere of a + (1-a) cos: an omni, a cardioid.
    angle = np.linspace(0, np.pi, 20001)
    pattern = (omni_part + (1 - omni_part) * np.cos(angle)) ** 2
    assert q == pytest.approx(2.0 / np.trapezoid(pattern * np.sin(angle), angle), rel=1e-6)
    assert q == MIC_FACTS["omni" if omni_part == 1.0 else "cardioid"].directivity


def test_speech_levels() -> None:
    # Source: ISO 9921 (from memory), A-weighted at 1 m; 6.02 dB less with each doubling.
    assert [
        speech_db(effort, 1.0) for effort in ("relaxed", "normal", "raised", "loud", "very_loud")
    ] == pytest.approx([54, 60, 66, 72, 78])
    assert speech_db("normal", 2.0) == pytest.approx(53.98, abs=0.005)
    assert speech_db("normal", 0.7) == pytest.approx(63.1, abs=0.05)


@pytest.mark.parametrize(
    ("q", "distance_m", "snr_quiet", "snr_loud", "direct", "critical"),
    [
        # By hand: V 50 m3, T 0.57 s, normal voice; noise 33.3 and 46.3 dBA less 10 log10 Q, with 15
        # dBA of self-noise.
        (3, 2.2, 24.4, 11.6, -4.6, 1.30),
        (5, 0.7, 36.5, 23.8, 7.6, 1.68),
        (1, 0.2, 40.6, 27.7, 11.5, 0.75),
        (1, 1.0, 26.6, 13.7, -2.5, 0.75),
    ],
)
def test_four_placements(
    q: float, distance_m: float, snr_quiet: float, snr_loud: float, direct: float, critical: float
) -> None:
    dc = critical_distance_m(50, 0.57, q)
    assert dc == pytest.approx(critical, abs=0.0075)
    assert direct_to_reverberant_db(dc, distance_m) == pytest.approx(direct, abs=0.06)
    for room, snr in ((33.3, snr_quiet), (46.3, snr_loud)):
        assert speech_db("normal", distance_m) - noise_at_mic_db(room, q) == pytest.approx(
            snr, abs=0.06
        )


def test_verdict_bands() -> None:
    # common practice: 30, 20 and 12 dB; the edge belongs to the better word.
    assert [noise_verdict(snr) for snr in (30, 29.9, 20, 19.9, 12, 11.9)] == [
        "clean",
        "usable",
        "usable",
        "repair",
        "repair",
        "unusable",
    ]
    # C50 12, 6 and 0 dB: what listeners call good (3) and passable (0), 3 dB more for one microphone
    assert [room_word(c50, 0.0) for c50 in (12, 11.9, 6, 5.9, 0, -0.1)] == [
        "dry",
        "good",
        "good",
        "roomy",
        "roomy",
        "distant",
    ]
    # Source: 60 to 80 ms for speech, Handbook for Sound Engineers, 7.2.2.4
    assert [room_word(20.0, ms) for ms in (30, 30.1, 60, 60.1, 80, 80.1)] == [
        "dry",
        "good",
        "good",
        "roomy",
        "roomy",
        "distant",
    ]
    assert placement_verdict(36.5, "dry") == "clean"
    assert placement_verdict(36.5, "roomy") == "repair"  # the worse of the two
    assert placement_verdict(11.0, "good") == "unusable"
    assert placement_verdict(36.5, None) == "clean"  # out of doors there is no room to hear


def test_clarity_and_centre_time_of_a_made_response() -> None:
    # By hand: a click and 2 s of an exponential fall, summed up sample by sample.
    rate_hz, time_s, over_db = 48000, 0.8, -4.0
    at = np.arange(2 * rate_hz) / rate_hz
    tail = np.exp(-6.0 * np.log(10.0) * at / time_s)
    tail /= tail.sum()
    direct = 10.0 ** (over_db / 10.0)
    early = direct + tail[at < 0.05].sum()
    assert clarity_db(over_db, time_s) == pytest.approx(
        10 * np.log10(early / tail[at >= 0.05].sum()), abs=0.01
    )
    centre_s = float((tail @ at) / (direct + 1.0))
    assert centre_time_ms(over_db, time_s) == pytest.approx(1000 * centre_s, abs=0.1)


@pytest.mark.parametrize("volume_m3", [900, 1200, 1700])
def test_a_living_room_is_clearer_than_a_hall(volume_m3: float) -> None:
    # property: an on-camera mic at 2 m in a 4 s hall, at 3 m in a living room of 50 m3 and 0.8 s
    def at(volume: float, time_s: float, distance_m: float) -> tuple[float, str]:
        direct = direct_to_reverberant_db(critical_distance_m(volume, time_s, CARDIOID), distance_m)
        centre = centre_time_ms(direct, time_s)
        return centre, room_word(clarity_db(direct, time_s), centre)

    hall, living = at(volume_m3, 4.0, 2.0), at(50, 0.8, 3.0)
    assert living[0] < hall[0]
    assert (hall[1], living[1]) == ("distant", "roomy")


def test_the_reach_is_where_the_word_changes() -> None:
    # property: a hand's breadth nearer is good, further is not; a dry room is good everywhere
    for time_s in (0.6, 1.0, 4.0):
        reach = room_reach_m(1.0, time_s)
        words = []
        for distance in (0.98 * reach, 1.02 * reach):
            direct = direct_to_reverberant_db(1.0, distance)
            words.append(room_word(clarity_db(direct, time_s), centre_time_ms(direct, time_s)))
        assert words[0] in ("dry", "good")
        assert words[1] == "roomy"
    assert room_reach_m(1.0, 0.2) == float("inf")


def test_refusals() -> None:
    with pytest.raises(OutOfRange, match="distance_m"):
        speech_db("normal", 0)
    with refused("refusal.no_effort", "effort"):
        speech_db("whisper", 1)
    with pytest.raises(OutOfRange, match="reverberation_s"):
        critical_distance_m(50, 0, 3)
    with pytest.raises(OutOfRange, match="finite"):
        noise_at_mic_db(float("nan"), 3)
