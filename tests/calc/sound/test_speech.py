"""Speech at a microphone, and the verdict it earns."""

from __future__ import annotations

import numpy as np
import pytest

from scout.calc.sound.speech import (
    critical_distance_m,
    direct_to_reverberant_db,
    first_order_directivity,
    mic_directivity,
    noise_at_mic_db,
    noise_verdict,
    placement_verdict,
    room_word,
    speech_db,
)
from scout.errors import OutOfRange


def test_directivity_of_first_order_microphones() -> None:
    # Source: exact integrals of a + (1-a) cos, as printed in textbooks.
    assert [first_order_directivity(a) for a in (1, 0.5, 0.37, 0.25)] == pytest.approx(
        [1, 3, 3.71, 4], abs=0.005
    )
    # Source: numerical integral over the sphere of the same pattern.
    angle = np.linspace(0, np.pi, 20001)
    pattern = (0.37 + 0.63 * np.cos(angle)) ** 2
    assert first_order_directivity(0.37) == pytest.approx(
        2.0 / np.trapezoid(pattern * np.sin(angle), angle), rel=1e-6
    )
    # common practice: shotgun about 5 in mid band, camera microphone as a cardioid.
    assert {
        kind: mic_directivity(kind)
        for kind in ("omni", "omni_clip", "cardioid", "camera", "shotgun")
    } == {"omni": 1, "omni_clip": 1, "cardioid": 3, "camera": 3, "shotgun": 5}


def test_speech_levels() -> None:
    # Source: ISO 9921 (from memory), A-weighted at 1 m; 6.02 dB less with each doubling.
    assert [
        speech_db(effort, 1.0) for effort in ("relaxed", "normal", "raised", "loud", "very_loud")
    ] == pytest.approx([54, 60, 66, 72, 78])
    assert speech_db("normal", 2.0) == pytest.approx(53.98, abs=0.005)
    assert speech_db("normal", 0.7) == pytest.approx(63.1, abs=0.05)


@pytest.mark.parametrize(
    ("kind", "distance_m", "snr_quiet", "snr_loud", "direct", "critical"),
    [
        # By hand: V 50 m3, T 0.57 s, normal voice; noise 33.3 and 46.3 dBA less 10 log10 Q, with 15
        # dBA of self-noise.
        ("camera", 2.2, 24.4, 11.6, -4.6, 1.30),
        ("shotgun", 0.7, 36.5, 23.8, 7.6, 1.68),
        ("omni_clip", 0.2, 40.6, 27.7, 11.5, 0.75),
        ("omni", 1.0, 26.6, 13.7, -2.5, 0.75),
    ],
)
def test_four_placements(
    kind: str, distance_m: float, snr_quiet: float, snr_loud: float, direct: float, critical: float
) -> None:
    q = mic_directivity(kind)
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
    assert [room_word(ratio) for ratio in (6, 5.9, 0, -0.1, -6, -6.1)] == [
        "dry",
        "good",
        "good",
        "roomy",
        "roomy",
        "distant",
    ]
    assert placement_verdict(36.5, 7.6) == "clean"
    assert placement_verdict(36.5, -2.0) == "repair"  # the worse of the two
    assert placement_verdict(11.0, 9.0) == "unusable"
    assert placement_verdict(36.5, None) == "clean"  # out of doors there is no room to hear


def test_refusals() -> None:
    with pytest.raises(OutOfRange, match="distance_m"):
        speech_db("normal", 0)
    with pytest.raises(OutOfRange, match="relaxed, normal"):
        speech_db("whisper", 1)
    with pytest.raises(OutOfRange, match="omni_clip"):
        mic_directivity("parabola")
    with pytest.raises(OutOfRange, match="reverberation_s"):
        critical_distance_m(50, 0, 3)
    with pytest.raises(OutOfRange, match="finite"):
        noise_at_mic_db(float("nan"), 3)
