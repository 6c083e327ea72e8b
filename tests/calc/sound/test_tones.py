"""Steady tones in spectra whose noise and tones are known: level, place, and each border of the rules.

The spectra are made here line by line, as a Hann window shares a tone that lies on a line: four
sixths of its power there and a sixth to either side (Heinzel, Ruediger and Schilling, "Spectrum and
spectral density estimation", 2002, section 8: the bins of the window's transform are 1, -1/2, -1/2;
from memory). Over white noise of one unit a line every level is then by hand.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from scout.calc.sound.spectra import hum, lasts_s, line_at, steady_lines, whines

SPACING_HZ = 0.25
LONG_S = 60.0


def spectrum(*tones: tuple[float, float], top_hz: float = 6_000.0) -> tuple[np.ndarray, np.ndarray]:
    """White noise of 1 a line, and tones, each of a frequency and of so many dB over 3 Hz of it."""
    hz = np.arange(0.0, top_hz + SPACING_HZ, SPACING_HZ)
    # not quite even: an even floor is all tops, each of which would be looked at
    power = 1.0 + 1e-6 * np.random.default_rng(1).random(len(hz))
    for frequency_hz, over_db in tones:
        noise = 3.0 / SPACING_HZ
        square = noise * (10.0 ** (over_db / 10.0) - 1.0)
        at = round(frequency_hz / SPACING_HZ)
        power[at - 1 : at + 2] += square * np.array([1.0, 4.0, 1.0]) / 6.0
    return hz, power


@pytest.mark.parametrize("frequency_hz", [31.25, 50.0, 123.5, 399.75])
@pytest.mark.parametrize("over_db", [10.5, 20.0, 43.0])
def test_a_tone_is_told_at_its_place_and_by_its_level(frequency_hz: float, over_db: float) -> None:
    (line,) = steady_lines(*spectrum((frequency_hz, over_db)), duration_s=LONG_S)
    assert line.frequency_hz == pytest.approx(frequency_hz, abs=0.5 * SPACING_HZ)
    assert line.above_floor_db == pytest.approx(over_db, abs=0.05)
    assert line.square == pytest.approx(12.0 * (10.0 ** (over_db / 10.0) - 1.0), rel=0.01)


@pytest.mark.parametrize(("over_db", "lines"), [(9.8, 0), (10.2, 1)])
def test_a_lone_tone_counts_from_ten_decibels(over_db: float, lines: int) -> None:
    """By hand: the rule's own border, common practice."""
    assert len(steady_lines(*spectrum((83.0, over_db)), duration_s=LONG_S)) == lines


@pytest.mark.parametrize("frequency_hz", [21.0, 421.0])
def test_outside_the_range_nothing_is_sought(frequency_hz: float) -> None:
    assert steady_lines(*spectrum((frequency_hz, 40.0)), duration_s=LONG_S) == ()


def test_silence_holds_no_tone() -> None:
    hz, _ = spectrum()
    assert steady_lines(hz, np.zeros(len(hz)), duration_s=LONG_S) == ()
    assert hum(hz, np.zeros(len(hz)), duration_s=LONG_S) is None


def test_a_broad_hill_is_no_tone() -> None:
    """By hand: a hill 12 Hz wide, 30 dB high, has no line 10 dB over what lies beside it."""
    hz, power = spectrum()
    hill = power + 1000.0 * np.exp(-0.5 * ((hz - 200.0) / 6.0) ** 2)
    assert steady_lines(hz, hill, duration_s=LONG_S) == ()


def test_a_tone_on_a_cliff_is_held_against_the_higher_side() -> None:
    """By hand: a tone 20 dB over the quiet side and under the loud one is none."""
    hz, power = spectrum((200.0, 20.0))
    power[hz > 201.5] *= 1000.0
    lines = steady_lines(hz, power, duration_s=LONG_S)
    assert not [line for line in lines if abs(line.frequency_hz - 200.0) < 1.0]


@pytest.mark.parametrize("mains_hz", [50.0, 60.0])
@pytest.mark.parametrize("times", [(1, 2), (2, 3), (1, 4), (2, 4), (1, 2, 3, 4)])
def test_two_weak_harmonics_are_the_mains(mains_hz: float, times: tuple[int, ...]) -> None:
    """Common practice: six decibels each will do where two of the first four stand together."""
    found = hum(*spectrum(*((mains_hz * one, 7.0) for one in times)), duration_s=LONG_S)
    assert found is not None
    assert found.mains_hz == mains_hz
    assert [round(line.frequency_hz / mains_hz) for line in found.lines] == list(times)


@pytest.mark.parametrize(("over_db", "hums"), [(5.7, False), (6.3, True)])
def test_weak_harmonics_count_from_six_decibels(over_db: float, hums: bool) -> None:
    found = hum(*spectrum((50.0, over_db), (100.0, over_db)), duration_s=LONG_S)
    assert (found is not None) == hums


def test_one_weak_line_is_nobody() -> None:
    assert hum(*spectrum((50.0, 7.0)), duration_s=LONG_S) is None


@pytest.mark.parametrize("side", [-1.0, 1.0])
def test_the_foot_of_a_hill_beside_the_mains_is_no_harmonic(side: float) -> None:
    """By hand: two hills whose tops lie outside the grid's tolerance only climb within it."""
    hz, power = spectrum()
    for middle_hz, off_hz in ((50.0, 0.9), (100.0, 1.6)):
        power = power + 18.0 * np.exp(-0.5 * ((hz - middle_hz - side * off_hz) / 0.45) ** 2)
    assert hum(hz, power, duration_s=LONG_S) is None


@pytest.mark.parametrize(("duration_s", "hums"), [(9.0, False), (10.0, True)])
def test_a_short_recording_is_not_asked_for_weak_harmonics(duration_s: float, hums: bool) -> None:
    found = hum(*spectrum((50.0, 9.0), (100.0, 9.0)), duration_s=duration_s)
    assert (found is not None) == hums


@pytest.mark.parametrize(("duration_s", "hums"), [(7.9, False), (8.1, True)])
def test_under_eight_seconds_nothing_hums(duration_s: float, hums: bool) -> None:
    sound = spectrum((50.0, 30.0), (1250.0, 30.0))
    assert (hum(*sound, duration_s=duration_s) is not None) == hums
    assert bool(whines(*sound, duration_s=duration_s, beside=None)) == hums


@pytest.mark.parametrize("top_hz", [49.0, 50.0, 51.0, 99.0, 105.0])
def test_a_spectrum_that_ends_early_breaks_nothing(top_hz: float) -> None:
    """Property: where lines end, so does the search."""
    assert hum(*spectrum(top_hz=top_hz), duration_s=LONG_S) is None


def test_a_hum_off_the_grids_is_told_by_its_lowest_line() -> None:
    """By hand: 73 Hz and its multiples are no mains; the fundamental may be the weaker."""
    found = hum(*spectrum((73.0, 12.0), (146.0, 25.0), (219.0, 15.0)), duration_s=LONG_S)
    assert found is not None
    assert found.mains_hz is None
    assert found.frequency_hz == pytest.approx(73.0, abs=SPACING_HZ)
    assert len(found.lines) == 3
    assert found.above_floor_db == pytest.approx(25.0, abs=0.1)
    assert found.square == pytest.approx(sum(line.square for line in found.lines))


def test_what_is_no_multiple_does_not_belong() -> None:
    """By hand: 30 Hz lies under 73 Hz and is no part of its row."""
    found = hum(*spectrum((30.0, 12.0), (73.0, 25.0)), duration_s=LONG_S)
    assert found is not None
    assert [round(line.frequency_hz) for line in found.lines] == [73]


def test_the_plainest_five_whines_stand_in_order() -> None:
    tones = [(1000.0 + 700.0 * k, 12.0 + 3.0 * ((k * 5) % 7)) for k in range(7)]
    found = whines(*spectrum(*tones), duration_s=LONG_S, beside=None)
    plainest = sorted(sorted(tones, key=lambda tone: -tone[1])[:5])
    assert [line.frequency_hz for line in found] == pytest.approx(
        [tone[0] for tone in plainest], abs=SPACING_HZ
    )


def test_the_harmonics_of_the_hum_do_not_whine() -> None:
    hz, power = spectrum((50.0, 30.0), (100.0, 20.0), (2000.0, 20.0), (2020.0, 20.0))
    hummed = hum(hz, power, duration_s=LONG_S)
    (line,) = whines(hz, power, duration_s=LONG_S, beside=hummed)
    assert line.frequency_hz == pytest.approx(2020.0, abs=SPACING_HZ)


@pytest.mark.parametrize(
    ("present", "columns"),
    [
        ("1111111111", 10),
        ("1111100000", 5),
        ("0000011111", 5),
        ("0110111100", 4),
        ("0000000000", 0),
    ],
)
def test_how_long_a_tone_is_there_without_a_break(present: str, columns: int) -> None:
    """By hand: columns of half a second, in which the tone's row holds its power or next to none."""
    levels = np.full((10, 4), 1e-6)
    levels[:, 1] += [float(mark) for mark in present]
    edges_hz = np.array([0.0, 40.0, 60.0, 80.0, 100.0])
    assert lasts_s(levels, edges_hz, 0.5, 50.0, 1.0) == pytest.approx(0.5 * columns)


@pytest.mark.parametrize(("share", "there"), [(0.32, False), (0.35, True)])
def test_a_third_of_its_power_is_there(share: float, there: bool) -> None:
    levels = np.zeros((10, 4))
    levels[:, 1] = share
    edges_hz = np.array([0.0, 40.0, 60.0, 80.0, 100.0])
    assert bool(lasts_s(levels, edges_hz, 0.5, 50.0, 1.0)) == there


@pytest.mark.parametrize("frequency_hz", [58.0, 62.0])
def test_a_tone_at_an_edge_is_sought_in_both_rows(frequency_hz: float) -> None:
    """By hand: 0.2 in each of the two rows is more than a third together."""
    levels = np.zeros((10, 4))
    levels[:, 1:3] = 0.2
    edges_hz = np.array([0.0, 40.0, 60.0, 80.0, 100.0])
    assert lasts_s(levels, edges_hz, 0.5, frequency_hz, 1.0) == pytest.approx(5.0)


def test_what_the_spectrogram_does_not_reach_is_unknown() -> None:
    edges_hz = np.array([0.0, 40.0, 60.0])
    assert lasts_s(np.ones((10, 2)), edges_hz, 0.5, 70.0, 1.0) is None
    assert lasts_s(np.ones((7, 2)), edges_hz, 0.5, 50.0, 1.0) is None


def test_a_line_over_no_noise_is_given_the_most_that_is_said() -> None:
    hz = np.arange(0.0, 200.0, SPACING_HZ)
    power = np.zeros(len(hz))
    power[400] = 5.0
    line = line_at(hz, power, 400, 3)
    assert line.above_floor_db == 120.0
    assert line.square == pytest.approx(5.0)
    assert math.isclose(line_at(hz, np.zeros(len(hz)), 400, 3).above_floor_db, 0.0)
