"""Speech at a microphone, and the verdict it earns."""

from __future__ import annotations

import numpy as np
import pytest

from scout.assess.sound.mics import MIC_FACTS
from scout.calc.sound.speech import (
    critical_distance_m,
    direct_to_reverberant_db,
    noise_at_mic_db,
    noise_verdict,
    placement_verdict,
    room_word,
    speech_db,
)
from scout.errors import OutOfRange
from tests.refusing import refused


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
    with refused("refusal.no_effort", "effort"):
        speech_db("whisper", 1)
    with pytest.raises(OutOfRange, match="reverberation_s"):
        critical_distance_m(50, 0, 3)
    with pytest.raises(OutOfRange, match="finite"):
        noise_at_mic_db(float("nan"), 3)
