"""From a calibrator's tone to what is added to dBFS, and tones that are none."""

from __future__ import annotations

import numpy as np
import pytest

from scout.calc.geometry import FloatArray
from scout.calc.sound.calibration import tone_offset_db
from scout.calc.sound.recording import Measured, measure
from scout.errors import OutOfRange

RATE = 48_000


def heard(samples: FloatArray) -> Measured:
    return measure([samples.astype(np.float32)[:, None]], RATE, 1)


def tone(hz: float = 1000.0, rms: float = 0.1, seconds: float = 5.0) -> FloatArray:
    t = np.arange(round(seconds * RATE)) / RATE
    return rms * 2**0.5 * np.sin(2 * np.pi * hz * t)


@pytest.mark.parametrize(("hz", "level_db"), [(1000.0, 94.0), (1000.0, 114.0), (250.0, 124.0)])
def test_what_is_added(hz: float, level_db: float) -> None:
    # by hand: an rms of 0.1 is -20 dBFS
    assert tone_offset_db(heard(tone(hz)), level_db) == pytest.approx(level_db + 20, abs=0.05)


@pytest.mark.parametrize(("off", "is_one"), [(1.025, True), (0.975, True), (1.04, False)])
def test_to_three_percent_it_is_a_calibrators_tone(off: float, is_one: bool) -> None:
    # common practice: calibrators keep their frequency within 3 %
    if is_one:
        assert tone_offset_db(heard(tone(1000 * off)), 94) == pytest.approx(114, abs=0.1)
    else:
        with pytest.raises(OutOfRange, match="recording") as refusal:
            tone_offset_db(heard(tone(1000 * off)), 94)
        assert getattr(refusal.value.because, "code", None) == "refusal.other_tone"


@pytest.mark.parametrize(("under_db", "alone"), [(18.0, True), (14.0, False)])
def test_fifteen_over_all_the_rest(under_db: float, alone: bool) -> None:
    # by hand: another tone so far under the calibrator's is the rest, beside a hundredth of its own
    # that the window smears
    both = tone() + tone(300.0, 0.1 * 10 ** (-under_db / 20))
    if alone:
        assert tone_offset_db(heard(both), 94) == pytest.approx(114, abs=0.1)
    else:
        with pytest.raises(OutOfRange) as refusal:
            tone_offset_db(heard(both), 94)
        assert getattr(refusal.value.because, "code", None) == "refusal.not_alone"


def codes(samples: FloatArray) -> str | None:
    with pytest.raises(OutOfRange) as refusal:
        tone_offset_db(heard(samples), 94)
    return getattr(refusal.value.because, "code", None)


def test_tones_that_say_nothing() -> None:
    assert codes(np.clip(tone(rms=1.0), -1, 1)) == "refusal.full_scale"
    swell = np.concatenate([tone(rms=0.1, seconds=3), tone(rms=0.12, seconds=3)])
    assert codes(swell) == "refusal.wavers"  # by hand: 20 log10 1.2 = 1.6 dB
    assert tone_offset_db(  # by hand: 20 log10 1.08 = 0.7 dB
        heard(np.concatenate([tone(rms=0.1, seconds=3), tone(rms=0.108, seconds=3)])), 94
    ) == pytest.approx(113.7, abs=0.3)


@pytest.mark.parametrize("level_db", [59.9, 140.1])
def test_no_calibrator_gives_that(level_db: float) -> None:
    with pytest.raises(OutOfRange, match="level_db"):
        tone_offset_db(heard(tone()), level_db)


@pytest.mark.parametrize("level_db", [60.0, 140.0])
def test_the_ends_of_what_one_may_give(level_db: float) -> None:
    assert tone_offset_db(heard(tone()), level_db) == pytest.approx(level_db + 20, abs=0.05)
