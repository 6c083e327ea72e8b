"""The meters that a recording streams through, against signals whose figures are known.

Expected: Parseval (what a spectrum holds is what the samples held), IEC 61672-1 (weighting A, time
weighting F), the rest by hand. A sine of amplitude a has a mean square of a squared over 2.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from scout.calc.sound import stream
from scout.calc.sound.stream import FastMeter, FaultMeter, SpectrumMeter, rails
from scout.errors import OutOfRange

RATE = 8_000


def tone(hz: float, seconds: float, level: float = 0.5, rate: int = RATE) -> np.ndarray:
    at_s = np.arange(round(seconds * rate)) / rate
    return (level * np.sin(2.0 * np.pi * hz * at_s)).astype(np.float32)[:, None]


def spectrum_of(
    samples: np.ndarray, parts: int = 7, rate: int = RATE
) -> tuple[np.ndarray, np.ndarray, SpectrumMeter]:
    meter = SpectrumMeter(rate, samples.shape[1])
    for part in np.array_split(samples, parts):
        meter.push(part)
    meter.finish()
    return *meter.spectrum(), meter


def faded(samples: np.ndarray, count: int) -> tuple[np.ndarray, float]:
    """Both ends faded by the square of a sine, and how many whole samples are then left."""
    ramp = np.sin(np.pi / 2.0 * (np.arange(count) + 0.5) / count) ** 2
    out = samples.astype(float)
    out[:count] *= ramp[:, None]
    out[len(out) - count :] *= ramp[::-1, None]
    return out, len(out) - 2.0 * (count - float(np.sum(ramp**2)))


@pytest.mark.parametrize(
    ("rate", "frame"),
    [(48_000, 65_536), (44_100, 65_536), (16_000, 16_384), (8_000, 8_192), (100, 256)],
)
def test_a_frame_is_the_power_of_two_nearest_to_1_365_s(rate: int, frame: int) -> None:
    """By hand: log2 of 65520, 60197, 21840, 10920 and 136.5 is 16.0, 15.9, 14.4, 13.4 and 7.1."""
    meter = SpectrumMeter(rate, 1)
    assert (meter.frame, meter.hop) == (frame, frame // 4)


@pytest.mark.parametrize("seconds", [0.5, 3.0, 9.7])
@pytest.mark.parametrize("parts", [1, 7, 113])
def test_a_spectrum_holds_what_the_faded_samples_held(seconds: float, parts: int) -> None:
    """By hand: 20 ms at 8 kHz are 160 samples of fade."""
    noise = np.random.default_rng(2).standard_normal((round(seconds * RATE), 2)).astype(np.float32)
    noise[:, 1] *= 0.25
    # nothing below 7 Hz is kept: take it out of what goes in
    lines = np.fft.rfft(noise, axis=0)
    lines[np.fft.rfftfreq(len(noise), 1 / RATE) < 60.0] = 0.0
    noise = np.fft.irfft(lines, n=len(noise), axis=0).astype(np.float32)
    left, weight = faded(noise, 160)
    hz, power, _ = spectrum_of(noise, parts)
    assert hz[1] == pytest.approx(RATE / 8_192)
    assert power.shape == (2, 4_097)
    assert power.sum(axis=1) == pytest.approx(np.sum(left**2, axis=0) / weight, rel=2e-4)


@pytest.mark.parametrize("seconds", [0.05, 0.15, 0.19])
def test_what_is_shorter_than_ten_fades_is_faded_over_a_tenth(seconds: float) -> None:
    sound = tone(1_000.0, seconds)
    left, weight = faded(sound, len(sound) // 10)
    _, power, _ = spectrum_of(sound, 3)
    assert power.sum() == pytest.approx(np.sum(left**2) / weight, rel=2e-3)


def test_no_samples_have_no_power() -> None:
    hz, power, meter = spectrum_of(np.zeros((0, 2), np.float32), 1)
    assert not power.any()
    assert meter.spectrogram()[0].shape[0] == 2
    assert hz[-1] == RATE / 2


def test_below_7_hz_nothing_is_kept_and_half_the_rate_counts_once() -> None:
    """By hand: a sample of 0.5, then -0.5, and so on lies at half the rate: its square is 0.25."""
    slow = tone(3.0, 20.0)
    hz, power, _ = spectrum_of(slow)
    assert not power[:, hz < 7.0].any()
    assert power.sum() < 1e-3
    turning = np.tile(np.float32([0.5, -0.5]), 40_000)[:, None]
    assert spectrum_of(turning)[1].sum() == pytest.approx(0.25, rel=1e-3)


def test_a_spectrogram_has_a_tone_in_its_twelfth_of_an_octave() -> None:
    """By hand: hops of 2048 samples are 0.256 s; a tone's square is 0.125 wherever frames are full;
    from 25 Hz to 4 kHz lie 12 log2 160 = 87.9 steps. 160,000 samples with three hops before them and
    a frame behind are 82 frames, whose first two lie before the first sample.
    """
    _, _, meter = spectrum_of(np.concatenate([tone(440.0, 10.0), 0.0 * tone(440.0, 10.0)]))
    picture, edges_hz, column_s = meter.spectrogram()
    assert column_s == pytest.approx(0.256)
    assert meter.rows_hz[[0, 12, -1]] == pytest.approx([25.0, 50.0, 25.0 * 2 ** (87 / 12)])
    assert picture.shape == (1, 80, len(edges_hz) - 1)
    row = int(np.searchsorted(edges_hz, 440.0)) - 1
    assert edges_hz[row] <= 440.0 < edges_hz[row + 1]
    assert picture[0, 5:30, row] == pytest.approx(0.125, rel=1e-3)
    assert picture[0, 5:30].sum(axis=1) == pytest.approx(0.125, rel=1e-3)
    assert picture[0, 45:].sum() < 1e-6


def test_a_long_spectrogram_joins_its_columns_in_pairs() -> None:
    """By hand: at 1 kHz a frame has 1024 samples, hops are 0.256 s; 1024 columns are 262 s."""
    _, _, meter = spectrum_of(tone(125.0, 300.0, rate=1_000), rate=1_000)
    picture, _, column_s = meter.spectrogram()
    assert column_s == pytest.approx(0.512)
    assert picture.shape[1] in (586, 587)
    assert picture[0, 2:-3].sum(axis=1) == pytest.approx(0.125, rel=1e-3)
    _, _, shorter = spectrum_of(tone(125.0, 250.0, rate=1_000), rate=1_000)
    assert shorter.spectrogram()[2] == pytest.approx(0.256)


@pytest.mark.parametrize(("rate", "rows"), [(100, False), (102, True)])
def test_no_picture_where_not_even_an_octave_is_heard(rate: int, rows: bool) -> None:
    """By hand: 25 to 50 Hz is an octave, and 50 Hz is half of 100 Hz."""
    _, _, meter = spectrum_of(tone(30.0, 30.0, rate=rate), rate=rate)
    assert (meter.spectrogram()[1].size > 0) == rows


def history_of(
    samples: np.ndarray, parts: int = 5, rate: int = RATE
) -> tuple[np.ndarray, np.ndarray, FastMeter]:
    meter = FastMeter(rate, samples.shape[1])
    for part in np.array_split(samples, parts):
        meter.push(part)
    meter.finish()
    return *meter.history(), meter


@pytest.mark.parametrize(
    ("hz", "weight_db"),
    # Source: IEC 61672-1, table 3
    [(100.0, -19.1), (250.0, -8.6), (1_000.0, 0.0), (2_000.0, 1.2), (4_000.0, 1.0)],
)
def test_a_steady_tone_is_weighted(hz: float, weight_db: float) -> None:
    last, high, meter = history_of(tone(hz, 4.0, rate=48_000), rate=48_000)
    assert meter.slot_s == pytest.approx(0.010)
    assert last.shape == high.shape == (400, 1)
    level = 10.0 * np.log10(last[60:340] / 0.125)
    assert level == pytest.approx(weight_db, abs=0.12)
    assert np.all(high >= last)


@pytest.mark.parametrize(
    ("burst_ms", "below_db"),
    # Source: IEC 61672-1, table 4: reference 4 kHz toneburst responses, LAFmax - LA
    [(1_000, 0.0), (500, -0.1), (200, -1.0), (100, -2.6), (50, -4.8), (20, -8.3), (10, -11.1)],
)
def test_a_burst_rises_as_the_standard_says(burst_ms: int, below_db: float) -> None:
    sound = tone(4_000.0, 3.0, rate=48_000)
    steady = history_of(sound, rate=48_000)[1][200:250].mean()
    begin, end = 72_000, 72_000 + 48 * burst_ms
    sound[:begin], sound[end:] = 0.0, 0.0
    high = history_of(sound, rate=48_000)[1]
    assert 10.0 * np.log10(high.max() / steady) == pytest.approx(below_db, abs=0.15)


def test_a_level_falls_by_34_7_db_a_second() -> None:
    """Source: IEC 61672-1: 10 log10(e) / 0.125 s. By hand: over 200 ms that is 6.95 dB."""
    sound = tone(1_000.0, 4.0)
    sound[2 * RATE :] = 0.0
    last = history_of(sound)[0][:, 0]
    assert 10.0 * np.log10(last[230] / last[210]) == pytest.approx(-6.95, abs=0.03)


def test_a_recording_begins_at_the_level_it_has() -> None:
    """By hand: no swelling up from nothing: after 10 ms the level is that of the first 125 ms."""
    last = history_of(tone(1_000.0, 2.0))[0]
    assert 10.0 * np.log10(last[2, 0] / 0.125) == pytest.approx(0.0, abs=0.5)
    # and from a level ten decibels lower it rises over the first quarter of a second
    louder = tone(1_000.0, 2.0)
    louder[:RATE] *= np.float32(np.sqrt(0.1))
    assert 10.0 * np.log10(history_of(louder)[0][20, 0] / 0.0125) == pytest.approx(0.0, abs=0.3)


@pytest.mark.parametrize("seconds", [0.0004, 0.0046, 0.02, 0.6, 1.2, 1.7, 2.49, 5.003])
def test_history_does_not_hang_on_how_samples_come(seconds: float) -> None:
    # property: any blocks, one after another, are the whole
    noise = np.random.default_rng(4).standard_normal((round(seconds * RATE), 2)).astype(np.float32)
    whole_last, whole_high, meter = history_of(noise, 1)
    for parts in (2, 9, 31):
        last, high, _ = history_of(noise, parts)
        assert last == pytest.approx(whole_last, rel=1e-4)
        assert high == pytest.approx(whole_high, rel=1e-4)
    # by hand: a slot of 10 ms is 80 samples; what is shorter is one all the same
    assert len(whole_last) == max(1, len(noise) // 80)
    assert meter.slot_s == pytest.approx(0.01)
    hold = np.array([spectrum_of(noise, parts)[1].sum() for parts in (1, 2, 9)])
    assert hold == pytest.approx(hold[0], rel=1e-5)


def test_nothing_has_no_history() -> None:
    last, high, _ = history_of(np.zeros((0, 2), np.float32), 1)
    assert last.shape == high.shape == (0, 2)


def test_too_many_slots_are_joined_in_pairs(monkeypatch: pytest.MonkeyPatch) -> None:
    noise = np.random.default_rng(5).standard_normal((20 * RATE, 1)).astype(np.float32)
    noise *= np.linspace(0.1, 1.0, len(noise), dtype=np.float32)[:, None]
    last, high, _ = history_of(noise, 40)
    monkeypatch.setattr(stream, "MOST_SLOTS", 1_200)
    joined_last, joined_high, meter = history_of(noise, 40)
    assert meter.slot_s == pytest.approx(0.02)
    assert len(joined_last) == len(last) // 2
    # by hand: of two slots the level at the end of the second, and the higher of both
    assert joined_last == pytest.approx(last[1::2])
    assert joined_high == pytest.approx(np.maximum(high[::2], high[1::2]))


def faults_of(
    samples: np.ndarray, rate: int = 1_000, parts: int = 1, **kind: object
) -> stream.Faults:
    meter = FaultMeter(rate, samples.shape[1], rails(**{"coding": "integer", "bits": 16, **kind}))  # type: ignore[arg-type]
    for part in np.array_split(samples, parts):
        meter.push(part)
    return meter.faults()


def column(*values: float) -> np.ndarray:
    return np.array(values, np.float32)[:, None]


def test_mean_spread_and_peak() -> None:
    """By hand: 0.3, -0.1, 0.1, 0.1 have a mean of 0.1, are 0.2, 0.2, 0, 0 off it: rms 0.1414."""
    both = np.concatenate([column(0.3, -0.1, 0.1, 0.1), column(-0.5, -0.5, -0.5, -0.5)], axis=1)
    found = faults_of(both)
    assert found.mean == pytest.approx([0.1, -0.5])
    assert found.rms == pytest.approx([0.141421, 0.0], abs=1e-6)
    assert found.peak == 0.5
    assert (found.clipped, found.clipped_share, found.dropouts) == (False, 0.0, 0)
    empty = faults_of(np.zeros((0, 2), np.float32))
    assert (list(empty.mean), empty.peak, empty.clipped_share) == ([0.0, 0.0], 0.0, 0.0)


def test_a_touch_of_full_scale_is_counted_and_a_run_is_clipping() -> None:
    """By hand: 2 of 8 samples, then 3 of 8 in a run; of two channels the worse."""
    touch = column(0.1, 1.0, -1.0, 0.1, 0.2, 0.1, 0.2, 0.1)
    found = faults_of(touch)
    assert (found.clipped, found.clipped_share) == (False, 0.25)
    run = column(0.1, 1.0, -1.0, 1.0, 0.2, 0.1, 0.2, 0.1)
    found = faults_of(run)
    assert (found.clipped, found.clipped_share) == (True, 0.375)
    found = faults_of(np.concatenate([touch, run], axis=1))
    assert (found.clipped, found.clipped_share) == (True, 0.375)
    assert not faults_of(column(1.0, 0.1, 1.0, 0.1, 1.0)).clipped
    assert not faults_of(column(1.0, 1.0)).clipped


@pytest.mark.parametrize(("zeros", "drops"), [(4, 0), (5, 1), (9, 1)])
@pytest.mark.parametrize("parts", [1, 2, 5])
def test_nothing_for_5_ms_is_a_dropout(zeros: int, drops: int, parts: int) -> None:
    """By hand: 5 ms at 1 kHz are 5 samples."""
    samples = column(*([0.1] * 6), *([0.0] * zeros), *([0.1] * 6))
    found = faults_of(samples, parts=parts)
    assert (found.dropouts, found.dropout_s) == (drops, pytest.approx(drops * zeros / 1_000))


def test_late_starts_and_early_ends_are_no_dropouts() -> None:
    gap, sound = [0.0] * 8, [0.2] * 8
    assert faults_of(column(*gap, *sound), parts=2).dropouts == 0
    assert faults_of(column(*sound, *gap), parts=2).dropouts == 0
    found = faults_of(column(*sound, *gap, *sound, *gap, *gap, *sound), parts=3)
    assert (found.dropouts, found.dropout_s) == (2, pytest.approx(0.024))
    # one channel that sounds is no gap
    both = np.concatenate([column(*sound, *gap, *sound), column(*[0.1] * 24)], axis=1)
    assert faults_of(both).dropouts == 0
    # at a low rate two samples are the least
    assert faults_of(column(0.1, 0.0, 0.1), rate=100).dropouts == 0
    assert faults_of(column(0.1, 0.0, 0.0, 0.1), rate=100).dropouts == 1


def test_what_is_no_number_is_made_nothing_and_counted() -> None:
    """By hand: a million is the most a damaged float may say."""
    meter = FaultMeter(1_000, 1, rails("float", None))
    out = meter.push(column(0.5, np.nan, np.inf, -np.inf, 1e6, -1.1e6, 0.25))
    assert out[:, 0].tolist() == [0.5, 0.0, 0.0, 0.0, 1e6, 0.0, 0.25]
    assert meter.push(column(0.5, 0.25))[:, 0].tolist() == [0.5, 0.25]
    found = meter.faults()
    assert (found.bad_samples, found.peak) == (4, 1e6)


@pytest.mark.parametrize(
    ("coding", "bits", "under", "at"),
    [
        # by hand: the last step of 16 bits is 1 - 2^-15, of 8 bits 1 - 2^-7; floats hold 24
        ("integer", 16, 0.99993, 0.99997),
        ("integer", 8, 0.9921, 0.9922),
        ("integer", 24, 0.9999998, 0.9999999),
        ("integer", 32, 0.9999998, 0.9999999),
        ("lossy", None, 0.9989, 0.9991),
    ],
)
def test_where_full_scale_is(coding: str, bits: int | None, under: float, at: float) -> None:
    rail = rails(coding, bits)
    assert rail(column(under, -under, at, -at, 0.0))[:, 0].tolist() == [
        False,
        False,
        True,
        True,
        False,
    ]


def test_an_integer_without_its_bits_is_refused() -> None:
    with pytest.raises(OutOfRange) as refusal:
        rails("integer", None)
    assert refusal.value.path == "bits"


@pytest.mark.parametrize(
    ("samples", "flat"),
    [
        # by hand: three alike over a half, and only those
        ((0.1, 0.7, 0.7, 0.7, 0.1), (0, 1, 1, 1, 0)),
        ((0.7, 0.7, 0.7, 0.7, 0.1), (1, 1, 1, 1, 0)),
        ((0.1, 0.1, -1.5, -1.5, -1.5), (0, 0, 1, 1, 1)),
        ((0.1, 0.7, 0.7, 0.1, 0.7), (0, 0, 0, 0, 0)),
        ((0.9, 0.5, 0.5, 0.5, 0.9), (0, 0, 0, 0, 0)),
        ((0.9, 0.51, 0.51, 0.51, 0.9), (0, 1, 1, 1, 0)),
        ((0.9, 0.9), (0, 0)),
    ],
)
def test_a_float_is_clipped_where_its_tops_are_flat(
    samples: tuple[float, ...], flat: tuple[int, ...]
) -> None:
    found = rails("float", None)(column(*samples))
    assert found[:, 0].astype(int).tolist() == list(flat)


def test_edges_of_a_picture_rise() -> None:
    # property: rows are told apart, and the lowest lies at 25 Hz or the first line over it
    _, _, meter = spectrum_of(tone(100.0, 5.0))
    _, edges_hz, _ = meter.spectrogram()
    assert all(low < high for low, high in pairwise(edges_hz))
    assert 25.0 <= edges_hz[0] < 25.0 + RATE / 8_192
