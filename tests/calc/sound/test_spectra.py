"""Weightings and bands of a measured stream against the printed tables, and what a stream must hold
whatever its length.
"""

from __future__ import annotations

import resource
import sys
from collections.abc import Iterator

import numpy as np
import pytest

from scout.calc.sound.recording import Measured, measure
from scout.calc.sound.spectra import octaves, thirds
from scout.calc.sound.weighting import a_weighting_db, c_weighting_db
from scout.errors import OutOfRange

RATE = 48000
# Source: IEC 61672-1:2013, table 3 (from memory): nominal Hz, A, C, and class 1's acceptance limits
# upwards and downwards [dB].
TABLE = (
    (31.5, -39.4, -3.0, 1.5, 1.5),
    (63, -26.2, -0.8, 1.0, 1.0),
    (125, -16.1, -0.2, 1.0, 1.0),
    (250, -8.6, 0.0, 1.0, 1.0),
    (500, -3.2, 0.0, 1.0, 1.0),
    (1000, 0.0, 0.0, 0.7, 0.7),
    (2000, 1.2, -0.2, 1.0, 1.0),
    (4000, 1.0, -0.8, 1.0, 1.0),
    (8000, -1.1, -3.0, 1.5, 2.5),
    (16000, -6.6, -8.5, 2.5, 16.0),
)


def tone(hz: float, seconds: float = 3.0, rate: int = RATE) -> Measured:
    t = np.arange(int(seconds * rate)) / rate
    return measure([(0.1 * np.sin(2 * np.pi * hz * t + 0.7)).astype(np.float32)[:, None]], rate, 1)


@pytest.mark.parametrize(("nominal", "a_db", "c_db", "_up", "_down"), TABLE)
def test_the_weightings_are_the_printed_ones(
    nominal: float, a_db: float, c_db: float, _up: float, _down: float
) -> None:
    exact = 1000.0 * 10.0 ** (0.1 * round(10 * np.log10(nominal / 1000.0)))
    assert float(a_weighting_db(exact)) == pytest.approx(a_db, abs=0.06)  # printed to a tenth
    assert float(c_weighting_db(exact)) == pytest.approx(c_db, abs=0.06)


@pytest.mark.parametrize(("nominal", "a_db", "c_db", "up", "down"), TABLE)
def test_a_measured_tone_is_within_class_1(
    nominal: float, a_db: float, c_db: float, up: float, down: float
) -> None:
    exact = 1000.0 * 10.0 ** (0.1 * round(10 * np.log10(nominal / 1000.0)))
    found = tone(exact)
    level = 20 * np.log10(0.1 / 2**0.5)  # by hand: rms of a sine
    for measured, printed in ((found.laeq_dbfs, a_db), (found.lceq_dbfs, c_db)):
        assert measured is not None
        assert -min(down, 0.2) <= measured - level - printed <= min(up, 0.2)
    # the fast level is weighted by another road (FFT over blocks) and must say the same
    assert found.la50_dbfs == pytest.approx(level + a_db, abs=0.2)


@pytest.mark.parametrize("middle_hz", [63.096, 125.89, 1000.0, 3981.07])
def test_octave_bands_within_class_1(middle_hz: float) -> None:
    # Source: IEC 61260-1:2014, table 1, class 1 (from memory): within 0.4 dB to G^(1/4) off the
    # middle; at least 16.6 dB down an octave
    # off, 40.5 dB two octaves off, 60 dB three octaves off
    name = f"{min((63, 125, 1000, 4000), key=lambda nominal: abs(nominal - middle_hz))}"
    level = 20 * np.log10(0.1 / 2**0.5)
    for off, least, most in (
        (0.0, -0.4, 0.4),
        (0.25, -0.4, 0.6),
        (-0.25, -0.4, 0.6),
        (1.0, 16.6, 999),
        (-1.0, 16.6, 999),
        (2.0, 40.5, 999),
        (3.0, 60.0, 999),
    ):
        hz = middle_hz * 10 ** (0.3 * off)
        if 12 < hz < 20000:
            there = tone(hz).octaves_dbfs[name]
            assert least <= level - (there if there is not None else -300.0) <= most, (
                middle_hz,
                off,
                there,
            )


def test_third_octaves_add_up_to_the_octave_and_all_bands_to_the_whole() -> None:
    # property: energy is neither lost nor counted twice
    rng = np.random.default_rng(3)
    found = measure([(0.01 * rng.standard_normal((RATE * 2, 1))).astype(np.float32)], RATE, 1)
    power = {
        band: 10 ** (level / 10) for band, level in found.thirds_dbfs.items() if level is not None
    }
    whole = {
        band: 10 ** (level / 10) for band, level in found.octaves_dbfs.items() if level is not None
    }
    assert power["800"] + power["1000"] + power["1250"] == pytest.approx(whole["1000"], rel=1e-6)
    assert found.lzeq_dbfs == pytest.approx(-40.0, abs=0.1)  # as made
    assert sum(whole.values()) == pytest.approx(
        1e-4 * (22387 - 22.4) / 24000, rel=0.02
    )  # by hand: white noise, its share of 24 kHz


def test_a_band_past_half_the_rate_is_not_known() -> None:
    found = tone(1000, rate=16000)
    assert found.octaves_dbfs["8000"] is None
    assert found.octaves_dbfs["4000"] is not None
    hz = np.arange(0, 4001.0)
    assert octaves(hz, np.ones(4001))["4000"] is None
    assert thirds(hz, np.ones(4001))["2500"] is not None


@pytest.mark.parametrize("size", [480, 1000, 7919, 100_000])
def test_the_size_of_the_blocks_changes_nothing(size: int) -> None:
    # property: the same samples in other pieces are the same recording
    rng = np.random.default_rng(1)
    whole = (0.01 * rng.standard_normal((RATE * 3, 2)) + 0.05).astype(np.float32)
    one = measure([whole], RATE, 2, coding="integer", bits=16)
    other = measure(
        [whole[i : i + size] for i in range(0, len(whole), size)],
        RATE,
        2,
        coding="integer",
        bits=16,
    )
    for name in ("laeq_dbfs", "lceq_dbfs", "lafmax_dbfs", "la10_dbfs", "la90_dbfs"):
        assert getattr(one, name) == pytest.approx(getattr(other, name), abs=1e-3)
    assert one.history_dbfs == pytest.approx(other.history_dbfs, abs=1e-2)


def test_very_short_and_very_strange() -> None:
    for count in (1, 2, 10, 100, 1000):
        found = measure([np.full((count, 1), 0.1, np.float32)], RATE, 1)
        assert found.laeq_dbfs is None  # a constant is no sound
    assert measure([], RATE, 1).duration_s == 0.0
    click = np.zeros((20, 1), np.float32)
    click[10] = 0.5
    assert measure([click], RATE, 1).laeq_dbfs is not None
    with pytest.raises(OutOfRange):
        measure([click], 10, 1)


def test_eight_hours_take_no_more_memory_than_some_minutes() -> None:
    # 8 hours at a low rate, so that the test is quick; what grows with time (the history) grows by
    # the hour, not by the sample
    rate, minute = (
        1000,
        (0.01 * np.random.default_rng(1).standard_normal((60_000, 1))).astype(np.float32),
    )

    def stream(hours: float) -> Iterator[np.ndarray]:
        return (minute for _ in range(int(hours * 60)))

    measure(stream(0.1), rate, 1)
    unit = 1 if sys.platform == "darwin" else 1024
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * unit
    found = measure(stream(8.0), rate, 1, longest_s=86400.0)
    assert found.duration_s == 8 * 3600
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * unit - before < 100e6
    assert len(found.history_dbfs) <= 1200
    assert len(found.spectrogram_dbfs) <= 1024
