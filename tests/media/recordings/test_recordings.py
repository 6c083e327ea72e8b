"""Recordings as scouts bring them home: every kind of file a phone makes, the awkward ones, and
what is no recording.

Expected levels are what the signals were made to have (by hand: a periodic signal's mean square is
the sum over its lines; the weightings
are the analogue design formulas of IEC 61672-1), with the calibration of a 94.0 dB calibrator that
lies at -20.00 dBFS: 114.0 dB.
"""

from __future__ import annotations

import io
import struct
from collections.abc import Sequence
from pathlib import Path

import av
import numpy as np
import pytest

from scout.assess.sound.recording import RecordingAnswer, recording_answer
from scout.calc.sound.calibration import tone_offset_db
from scout.calc.sound.recording import Measured, measure
from scout.errors import Refused
from scout.media.recordings.recordings import open_recording
from scout.media.recordings.wholeness import missing_end
from scout.usecases.listening import Heard, listen, listen_burst
from scout.values import Figure, Said
from tests.media.recordings.made import (
    chunk,
    coded,
    extensible_wav,
    float_wav,
    form,
    noise,
    packed,
    plain_wav,
    sine,
    wav,
)
from tests.refusing import refused

CAL_DB = 114.0
RATE = 48000


def heard(tmp_path: Path, data: bytes, name: str = "room.wav") -> Heard:
    path = tmp_path / name
    path.write_bytes(data)
    return listen(path)


def answer(tmp_path: Path, data: bytes, calibration_db: float | None = CAL_DB) -> RecordingAnswer:
    found = heard(tmp_path, data)
    return recording_answer(found.measured, found.warnings, calibration_db, bits=found.bits)


def codes(warnings: Sequence[Said]) -> set[str]:
    return {one.code for one in warnings}


def warned(warnings: Sequence[Said], code: str) -> Said:
    """The one warning of a code."""
    (only,) = [one for one in warnings if one.code == code]
    return only


def weighted_db(signal: np.ndarray, weighting: str, rate_hz: int = RATE) -> float:
    """by hand: mean square of each line of the whole signal, times IEC 61672-1's analogue formula,
    added up.
    """
    power = 2.0 * np.abs(np.fft.rfft(signal) / len(signal)) ** 2
    hz = np.arange(len(power)) * rate_hz / len(signal)
    power[0] = 0.0

    def a(f: np.ndarray) -> np.ndarray:
        return (
            12194.217**2
            * f**4
            / (
                (f**2 + 20.598997**2)
                * np.sqrt((f**2 + 107.65265**2) * (f**2 + 737.86223**2))
                * (f**2 + 12194.217**2)
            )
        )

    def c(f: np.ndarray) -> np.ndarray:
        return 12194.217**2 * f**2 / ((f**2 + 20.598997**2) * (f**2 + 12194.217**2))

    curve = {"A": a, "C": c}[weighting]
    return float(10 * np.log10(np.sum(power * (curve(hz) / curve(np.array(1000.0))) ** 2)) + CAL_DB)


def test_a_calibrator_reads_94(tmp_path: Path) -> None:
    # by definition: a sine of 1 kHz at -20 dBFS is 94.0 dB under every weighting; within 0.1 dB
    found = heard(tmp_path, plain_wav(sine(RATE, 2, 1000, -20)))
    said = recording_answer(found.measured, found.warnings, CAL_DB)
    assert (said.laeq_db, said.lceq_db, said.lafmax_db, said.la90_db) == pytest.approx(
        (94.0, 94.0, 94.0, 94.0), abs=0.1
    )
    assert tone_offset_db(found.measured, 94.0) == pytest.approx(114.0, abs=0.1)
    assert tone_offset_db(found.measured, 114.0) == pytest.approx(134.0, abs=0.1)
    assert said.hum is None
    assert said.duration_s == 2.0
    assert said.clipped_share == 0.0


def test_what_is_no_calibrator(tmp_path: Path) -> None:
    with refused("refusal.other_tone"):
        tone_offset_db(heard(tmp_path, plain_wav(sine(RATE, 2, 440, -20))).measured, 94.0)
    with refused("refusal.not_alone"):
        tone_offset_db(
            heard(tmp_path, plain_wav(sine(RATE, 2, 1000, -20) + noise(RATE, 2, -28, 1))).measured,
            94.0,
        )
    with refused("refusal.full_scale"):
        tone_offset_db(heard(tmp_path, plain_wav(sine(RATE, 2, 1000, 3))).measured, 94.0)
    with refused("refusal.no_signal"):
        tone_offset_db(heard(tmp_path, plain_wav(np.zeros(RATE))).measured, 94.0)


def test_extensible_24_bit(tmp_path: Path) -> None:
    signal = noise(RATE, 2, -68, 1)
    said = answer(tmp_path, extensible_wav(signal))
    assert said.laeq_db == pytest.approx(weighted_db(signal, "A"), abs=0.2)
    assert said.lceq_db == pytest.approx(weighted_db(signal, "C"), abs=0.2)
    assert said.duration_s == 2.0
    # by hand: -4 dB an octave; 63 Hz is four octaves under 1 kHz
    assert said.bands_dbfs is not None
    levels = [
        said.bands_dbfs[band] or 0.0
        for band in ("125", "250", "500", "1000", "2000", "4000", "8000")
    ]
    assert np.diff(levels) == pytest.approx(np.full(6, -4.0), abs=0.3)


def test_float_may_pass_full_scale(tmp_path: Path) -> None:
    signal = noise(RATE, 1.5, -9, 2)
    assert np.abs(signal).max() > 1.2
    said = answer(tmp_path, float_wav(signal))
    assert said.laeq_db == pytest.approx(weighted_db(signal, "A"), abs=0.2)
    assert said.clipped_share == 0.0
    assert not codes(said.warnings) & {"recording.clipped", "recording.spoilt"}


def test_float_clipped_at_one_is_clipped(tmp_path: Path) -> None:
    said = answer(tmp_path, float_wav(np.clip(sine(RATE, 2, 200, 3), -1, 1)))
    assert said.laeq_db is None
    assert said.clipped_share > 0.5


@pytest.mark.parametrize("said_bytes", [0, 0xFFFFFFFF, 100_000])
def test_wrong_lengths_are_read_by_the_bytes_present(tmp_path: Path, said_bytes: int) -> None:
    signal = noise(RATE, 3, -60, 3)
    data = wav(
        chunk(b"fmt ", form(1, 1, RATE, 16)),
        chunk(b"data", packed(signal), said_bytes),
        said=said_bytes,
    )
    said = answer(tmp_path, data)
    assert said.duration_s == 3.0
    assert said.laeq_db == pytest.approx(weighted_db(signal, "A"), abs=0.2)
    expected = {0: "file.stopped", 0xFFFFFFFF: "file.streamed", 100_000: "file.longer"}
    assert expected[said_bytes] in codes(said.warnings)


def test_chunks_after_the_samples_are_no_samples(tmp_path: Path) -> None:
    signal = noise(RATE, 1, -60, 3)
    data = wav(
        chunk(b"fmt ", form(1, 1, RATE, 16)),
        chunk(b"data", packed(signal)),
        chunk(b"LIST", b"INFO" + b"x" * 501),
    )
    said = answer(tmp_path, data)
    assert said.duration_s == 1.0
    assert not [code for code in codes(said.warnings) if code.startswith("file.")]


def test_a_file_over_4_gb_says_its_length_elsewhere(tmp_path: Path) -> None:
    # EBU Tech 3306 (RF64): the true length stands in ds64
    raw = packed(noise(RATE, 1, -60, 3))
    ds64 = chunk(b"ds64", struct.pack("<QQQI", 0, len(raw), len(raw) // 2, 0))
    data = wav(
        ds64,
        chunk(b"fmt ", form(1, 1, RATE, 16)),
        chunk(b"data", raw, 0xFFFFFFFF),
        said=0xFFFFFFFF,
        kind=b"RF64",
    )
    said = answer(tmp_path, data)
    assert said.duration_s == 1.0
    assert not [code for code in codes(said.warnings) if code.startswith("file.")]


def test_a_dead_channel_is_left_out(tmp_path: Path) -> None:
    left = noise(RATE, 1.5, -55, 4)
    said = answer(
        tmp_path, plain_wav(np.column_stack([left, np.zeros(len(left))]).ravel(), channels=2)
    )
    assert said.dead_channels == ("right",)
    assert warned(said.warnings, "recording.dead")["channel"] == 2
    assert said.laeq_db == pytest.approx(
        weighted_db(left, "A"), abs=0.2
    )  # a mix would be 6.02 lower, an energy mean 3.01


def test_equal_channels_are_not_added(tmp_path: Path) -> None:
    one = noise(RATE, 1.5, -55, 4)
    said = answer(tmp_path, plain_wav(np.column_stack([one, one]).ravel(), channels=2))
    assert said.laeq_db == pytest.approx(weighted_db(one, "A"), abs=0.2)
    assert said.dead_channels == ()


@pytest.mark.parametrize(
    ("mains_hz", "rate_hz"), [(50.0, 48000), (60.0, 44100), (49.8, 48000), (60.0, 16000)]
)
def test_hum(tmp_path: Path, mains_hz: float, rate_hz: int) -> None:
    top = min(7000.0, rate_hz / 2.5)
    signal = (
        sine(rate_hz, 9, mains_hz, -60)
        + sine(rate_hz, 9, 2 * mains_hz, -66)
        + noise(rate_hz, 9, -70, 5, high_hz=top)
    )
    found = heard(tmp_path, plain_wav(signal, rate_hz)).measured
    assert found.hum is not None
    assert found.hum.frequency_hz == pytest.approx(mains_hz, abs=0.2)
    assert found.hum.mains_hz == round(mains_hz / 10) * 10
    # as made: the lines stand at -60 and -66 dBFS
    assert [10 * np.log10(line.square) for line in found.hum.lines] == pytest.approx(
        [-60.0, -66.0], abs=0.5
    )
    assert found.hum.above_floor_db > 4


def pink(rate_hz: int, seconds: float, dbfs: float, seed: int) -> np.ndarray:
    """Noise of equal power an octave from the first line up to half the rate."""
    count = int(rate_hz * seconds)
    size = np.concatenate([[0.0], np.arange(1, count // 2 + 1) ** -0.5])
    found = np.fft.irfft(
        size * np.exp(2j * np.pi * np.random.default_rng(seed).random(len(size))), count
    )
    return np.asarray(found * 10 ** (dbfs / 20) / np.sqrt(np.mean(found**2)))


@pytest.mark.parametrize(
    ("hum_db", "pink_db", "over"),
    [(-60, -60, (23.1, 19.6, 17.2, 15.0)), (-60, -50, (13.2, 9.4, 7.6, 5.5)), (-65, -50, (8.5,))],
)
@pytest.mark.parametrize("mains_hz", [50.0, 60.0])
def test_hum_far_under_the_level_is_found(
    hum_db: float, pink_db: float, over: tuple[float, ...], mains_hz: float
) -> None:
    # Source: the method of the sound reference (Welch, 1 Hz bins, +-1 bin over three times the
    # median 4 to 8 bins off), four harmonics
    # at 0, -6, -10, -14 dB in pink noise over the whole band; worked out there for 50 Hz. Pink
    # noise is 0.8 dB lower at 60 Hz.
    signal = pink(RATE, 20, pink_db, 3)
    for times, down in zip((1, 2, 3, 4), (0, -6, -10, -14), strict=True):
        signal = signal + sine(RATE, 20, times * mains_hz, hum_db + down)
    blocks = [signal[at : at + RATE, None].astype(np.float32) for at in range(0, len(signal), RATE)]
    found = measure(blocks, RATE, 1).hum
    assert found is not None
    assert found.frequency_hz == pytest.approx(mains_hz, abs=0.1)
    assert found.mains_hz == mains_hz
    higher = 0.8 if mains_hz == 60.0 else 0.0
    assert found.above_floor_db == pytest.approx(over[0] + higher, abs=2.0)
    for line, wanted in zip(found.lines, over, strict=False):
        assert line.above_floor_db == pytest.approx(wanted + higher, abs=2.0)


def test_notes_and_voices_do_not_hum() -> None:
    # property: tones that come and go, however plain in the mean spectrum, are no hum; one that
    # stays is
    rng = np.random.default_rng(4)
    signal, at = pink(RATE, 20, -66, 4), 0
    while at < len(signal):
        count = min(int(RATE * rng.uniform(0.25, 0.6)), len(signal) - at)
        note = 55.0 * 2.0 ** (float(rng.choice([0, 3, 5, 7, 10])) / 12.0)
        t = np.arange(count) / RATE
        signal[at : at + count] += (
            0.05
            * np.exp(-2 * t)
            * sum(np.sin(2 * np.pi * note * times * t) / times for times in range(1, 7))
        )
        at += count
    blocks = [signal[at : at + RATE, None].astype(np.float32) for at in range(0, len(signal), RATE)]
    assert measure(blocks, RATE, 1).hum is None
    stays = [
        block
        + (0.05 * np.sin(2 * np.pi * 73.4 * (np.arange(len(block)) + i * RATE) / RATE))[
            :, None
        ].astype(np.float32)
        for i, block in enumerate(blocks)
    ]
    found = measure(stays, RATE, 1).hum
    assert found is not None
    assert found.frequency_hz == pytest.approx(73.4, abs=0.1)


def test_noise_does_not_hum(tmp_path: Path) -> None:
    for seed in range(6):
        assert heard(tmp_path, plain_wav(noise(RATE, 9, -60, seed))).measured.hum is None
        assert (
            heard(
                tmp_path, plain_wav(noise(RATE, 9, -40, seed, slope_db_oct=-9, low_hz=20))
            ).measured.hum
            is None
        )


def test_a_compressor_hums_without_the_mains(tmp_path: Path) -> None:
    found = heard(tmp_path, plain_wav(sine(RATE, 9, 73.4, -55) + noise(RATE, 9, -70, 5))).measured
    assert found.hum is not None
    assert found.hum.frequency_hz == pytest.approx(73.4, abs=0.1)
    assert found.hum.mains_hz is None


def measured(signal: np.ndarray) -> Measured:
    return measure(
        [signal[at : at + RATE, None].astype(np.float32) for at in range(0, len(signal), RATE)],
        RATE,
        1,
    )


def test_no_hum_is_claimed_of_a_few_seconds() -> None:
    # property: under 8 s a note or a word hums as plainly as a fridge
    short, long = (sine(RATE, s, 50, -50) + noise(RATE, s, -70, 5) for s in (7.9, 8.1))
    assert measured(short).hum is None
    assert measured(long).hum is not None


@pytest.mark.parametrize("mains_hz", [50.0, 60.0, 49.95])
def test_a_buzz_is_named_by_its_mains(mains_hz: float) -> None:
    # as made: a dimmer's harmonics from the third up, the first two under the noise
    signal = noise(RATE, 12, -50, 3, slope_db_oct=0)
    for times in (3, 5, 7, 9, 11, 13, 15, 17):
        signal = signal + sine(RATE, 12, times * mains_hz, -62)
    found = measured(signal)
    assert found.hum is not None
    assert found.hum.mains_hz == round(mains_hz / 10) * 10
    assert found.hum.frequency_hz == pytest.approx(3 * mains_hz, abs=0.1)
    assert {round(line.frequency_hz / mains_hz) for line in found.hum.lines} >= {3, 7, 11, 17}
    assert found.tones == ()  # its harmonics are no whine


def test_tones_off_the_grid_are_no_buzz() -> None:
    # property: a fan's harmonics of 87 Hz are not the mains', wherever some of them fall
    signal = noise(RATE, 12, -50, 3, slope_db_oct=0)
    for times in range(1, 12):
        signal = signal + sine(RATE, 12, times * 87.0, -60)
    found = measured(signal)
    assert found.hum is not None
    assert found.hum.mains_hz is None
    assert found.tones == ()


@pytest.mark.parametrize("whine_hz", [1234.5, 8000.0, 15625.0])
def test_a_whine_is_found_up_to_16_khz(whine_hz: float) -> None:
    # 15 625 Hz is the line frequency of a 625-line screen
    signal = noise(RATE, 10, -60, 6, slope_db_oct=-3, high_hz=20000) + sine(RATE, 10, whine_hz, -75)
    (tone,) = measured(signal).tones
    assert tone.frequency_hz == pytest.approx(whine_hz, abs=0.2)
    assert 10 * np.log10(tone.square) == pytest.approx(-75, abs=0.5)  # as made
    note = np.where(np.arange(10 * RATE) % (2 * RATE) < RATE, 1.0, 0.0)
    comes_and_goes = noise(RATE, 10, -60, 6) + note * sine(RATE, 10, whine_hz, -55)
    assert measured(comes_and_goes).tones == ()
    assert measured(noise(RATE, 10, -60, 6, high_hz=20000)).tones == ()


def test_a_second_has_no_mean_level_without_its_doubt() -> None:
    # a bang in the first hundredths, then quiet: the mean of so little says nothing of a room
    signal = noise(RATE, 1.1, -70, 8)
    signal[: RATE // 50] *= 100.0
    said = recording_answer(measured(signal), (), 100.0)
    assert said.laeq_db is not None
    assert said.laeq_range_db is not None
    low, high = said.laeq_range_db
    assert low <= said.laeq_db <= high
    assert low <= (said.la90_db or 0.0)
    assert high - low > 15  # property: it swings as far as the fast level fell
    assert said.laeq_range_dbfs == pytest.approx((low - 100, high - 100))
    assert recording_answer(measured(noise(RATE, 3.1, -70, 8)), (), 100.0).laeq_range_db is None


def test_clipped_has_no_level(tmp_path: Path) -> None:
    signal = sine(RATE, 3, 200, 3) + noise(RATE, 3, -40, 7)
    said = answer(tmp_path, plain_wav(signal))
    assert said.laeq_db is None
    assert said.lafmax_db is None
    # by hand: |1.99 sin x| is 1 or more for 1 - 2 asin(1/1.995)/pi = 66.6 % of the time
    assert said.clipped_share == pytest.approx(0.666, abs=0.002)
    assert said.hum is None  # clipping makes tones of its own
    least = weighted_db(np.clip(signal, -1, 1), "A")
    spoilt = warned(said.warnings, "recording.spoilt")
    assert spoilt["least"].value == pytest.approx(least, abs=0.05)
    assert spoilt["share"].value == pytest.approx(66.6, abs=0.2)
    assert (
        warned(answer(tmp_path, plain_wav(signal), None).warnings, "recording.spoilt")["least"]
        is None
    )


def test_a_peak_that_touches_is_not_clipped(tmp_path: Path) -> None:
    signal = noise(RATE, 2, -30, 1)
    signal[5000] = 1.0
    said = answer(tmp_path, plain_wav(signal))
    assert said.laeq_db is not None
    assert said.clipped_share < 1e-4


def test_silence_is_no_level(tmp_path: Path) -> None:
    said = answer(tmp_path, plain_wav(np.zeros(RATE)))
    assert [said.laeq_db, said.laeq_dbfs, said.la90_db, said.bands_dbfs, said.hum] == [None] * 5
    assert codes(said.warnings) == {"recording.silent"}


def test_an_offset_is_no_sound(tmp_path: Path) -> None:
    signal = noise(RATE, 3, -58, 8)
    said = answer(tmp_path, plain_wav(signal + 0.125))
    assert (said.laeq_db, said.lceq_db) == pytest.approx(
        (weighted_db(signal, "A"), weighted_db(signal, "C")), abs=0.2
    )
    assert warned(said.warnings, "recording.offset")["share"].value == pytest.approx(12.5, abs=0.05)


def test_a_header_alone(tmp_path: Path) -> None:
    said = answer(tmp_path, wav(chunk(b"fmt ", form(1, 1, RATE, 16)), chunk(b"data", b"")))
    assert said.duration_s == 0
    assert said.laeq_db is None
    assert "recording.silent" in codes(said.warnings)


def test_dropouts_are_counted(tmp_path: Path) -> None:
    signal = noise(RATE, 4, -30, 9)
    signal[:4800] = 0  # a late start, no dropout
    signal[RATE : RATE + 960] = 0
    signal[2 * RATE : 2 * RATE + 480] = 0
    found = heard(tmp_path, plain_wav(signal)).measured.faults
    assert found.dropouts == 2
    assert found.dropout_s == pytest.approx(0.03, abs=0.001)


def test_without_calibration_there_is_no_level(tmp_path: Path) -> None:
    said = answer(tmp_path, plain_wav(noise(RATE, 3, -60, 3)), None)
    assert said.laeq_db is None
    assert said.lafmax_db is None
    assert said.laeq_dbfs is not None
    assert "recording.relative_only" in codes(said.warnings)
    assert "recording.relative_only" not in codes(
        answer(tmp_path, plain_wav(noise(RATE, 3, -60, 3))).warnings
    )
    assert warned(said.warnings, "recording.short")["lasted"].value == pytest.approx(3.0)


def test_events(tmp_path: Path) -> None:
    signal = noise(RATE, 40, -60, 1, slope_db_oct=0)
    bang, plane = slice(10 * RATE, 10 * RATE + RATE // 2), slice(20 * RATE, 32 * RATE)
    signal[bang] *= 10.0
    signal[plane] *= 1 + 9 * np.sin(np.pi * np.arange(12 * RATE) / (12 * RATE))
    found = heard(tmp_path, plain_wav(signal)).measured.events
    assert [event.kind for event in found] == ["short", "passing"]
    assert [event.start_s for event in found] == pytest.approx([10.0, 20.6], abs=0.7)
    assert [event.length_s for event in found] == pytest.approx([0.8, 11.0], abs=0.8)
    assert [event.above_background_db for event in found] == pytest.approx(
        [20.0, 20.0], abs=1.5
    )  # by hand: ten times is 20 dB


def events(signal: np.ndarray) -> list[tuple[str, float, float]]:
    return [(event.kind, event.start_s, event.length_s) for event in measured(signal).events]


@pytest.mark.parametrize("louder_db", [4.0, 12.0])
def test_a_fridge_that_starts_begins_and_stays(louder_db: float) -> None:
    # as made: from 20 s on, to the end or for 25 s
    for until_s in (60, 45):
        signal = noise(RATE, 60, -65, 1)
        runs = noise(RATE, 60, -65 + 10 * np.log10(10 ** (louder_db / 10) - 1), 2)
        signal[20 * RATE : until_s * RATE] += runs[20 * RATE : until_s * RATE]
        ((kind, start_s, length_s),) = events(signal)
        assert kind == "begins"
        assert start_s == pytest.approx(20, abs=1)
        assert length_s == pytest.approx(until_s - 20, abs=1.5)


def test_what_comes_and_goes() -> None:
    # as made: words of half a second with 0.3 s between, and bird calls every three seconds
    rng = np.random.default_rng(7)
    voice, birds = noise(RATE, 40, -65, 1), noise(RATE, 40, -65, 1)
    for at in np.arange(10.0, 18.0, 0.8):
        word = slice(int(at * RATE), int((at + 0.5) * RATE))
        voice[word] += noise(RATE, 0.5, -38 + rng.uniform(-4, 4), 2)
    for at in np.arange(8.0, 30.0, 3.0):
        call = slice(int(at * RATE), int((at + 0.3) * RATE))
        birds[call] += sine(RATE, 0.3, 3000, -45)
    assert [kind for kind, *_ in events(voice)] == ["comes_and_goes"]
    calls = events(birds)
    assert len(calls) == 8
    assert {kind for kind, *_ in calls} == {"comes_and_goes"}


def test_what_cannot_be_told_apart_is_not_named() -> None:
    # property: a rise that was there from the first second has no beginning to tell it by; one that
    # jumps up and sinks slowly neither passes nor stays
    signal = noise(RATE, 40, -65, 1, slope_db_oct=0)
    t = np.arange(9 * RATE) / RATE
    signal[15 * RATE : 24 * RATE] *= 10 ** ((25 - 2.5 * t) / 20)
    assert [kind for kind, *_ in events(signal)] == ["other"]


@pytest.mark.parametrize(
    ("box", "codec", "suffix", "within_db"),
    [
        ("ipod", "aac", "m4a", 0.5),
        ("mp3", "libmp3lame", "mp3", 0.5),
        ("ogg", "vorbis", "ogg", 0.5),
        ("ogg", "libopus", "opus", 0.5),
        ("flac", "flac", "flac", 0.2),
        ("caf", "pcm_s16le", "caf", 0.2),
        ("aiff", "pcm_s16be", "aif", 0.2),
        ("ipod", "alac", "m4a", 0.2),
        ("matroska", "libopus", "webm", 0.5),
        ("adts", "aac", "aac", 0.5),
    ],
)
def test_every_format_a_phone_makes(
    tmp_path: Path, box: str, codec: str, suffix: str, within_db: float
) -> None:
    signal = sine(RATE, 4, 1000, -40) + noise(RATE, 4, -62, 9)
    found = listen(
        coded(tmp_path / f"room.{suffix}", signal, RATE, box=box, codec=codec, channels=2)
    )
    assert found.measured.laeq_dbfs == pytest.approx(
        weighted_db(signal, "A") - CAL_DB, abs=within_db
    )
    assert found.measured.duration_s == pytest.approx(4.0, abs=0.1)
    assert found.measured.channels == 2
    assert found.measured.dead == ()
    assert "file.cut_off" not in codes(found.warnings)


def test_the_sound_of_a_film(tmp_path: Path) -> None:
    signal = sine(RATE, 1, 1000, -20)
    found = listen(coded(tmp_path / "film.mp4", signal, RATE, box="mp4", codec="aac", film=True))
    assert found.measured.laeq_dbfs == pytest.approx(-20, abs=0.5)
    assert found.mime == "video/mp4"


def test_a_film_without_sound(tmp_path: Path) -> None:
    path = coded(
        tmp_path / "film.mp4", np.zeros(0), RATE, box="mp4", codec="aac", film=True, sound=False
    )
    with refused("refusal.file_no_sound", "file"):
        listen(path)


@pytest.mark.parametrize(
    "data",
    [
        b"This is a list of rooms.\n" * 40,
        b"",
        b"#EXTM3U\nhttp://example.org/a.ts\n",
        b"ffconcat version 1.0\nfile other.wav\n",
        b"RIFF\0\0\0\0WAVE",
        b"RIFF\x24\0\0\0WAVEfmt \x10\0\0\0" + form(1, 0, 48000, 16) + b"data\0\0\0\0",
        b"RIFF\x24\0\0\0WAVEfmt \x10\0\0\0" + form(1, 1, 0, 16) + b"data\0\0\0\0",
        b"OggS" + b"\0" * 200,
        b"\0\0\0\x20ftypM4A " + b"\0" * 300,
        b"ID3\x04\0\0\0\0\0\x0a" + b"\0" * 3000,
        b"fLaC" + b"\xff" * 100,
        b"caff\0\x01\0\0" + b"\0" * 40,
    ],
)
def test_what_is_no_recording_is_refused(tmp_path: Path, data: bytes) -> None:
    path = tmp_path / "notes.wav"
    path.write_bytes(data)
    with pytest.raises(Refused, match=r"file: notes\.wav"):
        listen(path)


@pytest.mark.parametrize(
    ("box", "codec", "suffix"),
    [
        ("ipod", "aac", "m4a"),
        ("mp3", "libmp3lame", "mp3"),
        ("ogg", "vorbis", "ogg"),
        ("ogg", "libopus", "opus"),
        ("flac", "flac", "flac"),
        ("caf", "pcm_s16le", "caf"),
        ("aiff", "pcm_s16be", "aif"),
        ("mov", "pcm_s16le", "mov"),
        ("matroska", "libopus", "webm"),
        ("wav", "pcm_alaw", "wav"),
        ("wav", "pcm_mulaw", "wav"),
        ("wav", "adpcm_ima_wav", "wav"),
        ("adts", "aac", "aac"),
    ],
    # left out: what no phone and no field recorder hands over (AU, W64, AMR, transport streams)
)
def test_a_file_cut_short_is_measured_as_far_as_it_goes_and_says_so(
    tmp_path: Path, box: str, codec: str, suffix: str
) -> None:
    # property: wherever the cut falls, what is there is measured and the cut is said, once; the
    # whole file says nothing of the kind
    whole = coded(
        tmp_path / f"room.{suffix}", noise(RATE, 12, -40, 9), RATE, box=box, codec=codec
    ).read_bytes()
    assert "file.cut_off" not in codes(listen(tmp_path / f"room.{suffix}").warnings)
    path = tmp_path / f"part.{suffix}"
    for share in (0.31, 0.5, 0.87):
        path.write_bytes(whole[: int(len(whole) * share)])
        found = listen(path)
        assert found.measured.duration_s == pytest.approx(12.0 * share, abs=1.0), share
        assert found.measured.laeq_dbfs is not None
        assert [one.code for one in found.warnings].count("file.cut_off") == 1, share
    path.write_bytes(whole[:-7])  # the last bytes alone
    assert "file.cut_off" in codes(listen(path).warnings)


def test_an_mp3_that_ends_in_a_tag_or_was_streamed_is_whole(tmp_path: Path) -> None:
    path = coded(tmp_path / "room.mp3", noise(RATE, 3, -40, 9), RATE, box="mp3", codec="libmp3lame")
    whole = path.read_bytes()
    path.write_bytes(whole + b"TAG" + b"\0" * 125)  # ID3v1, from memory: 128 bytes at the end
    assert "file.cut_off" not in codes(listen(path).warnings)


def test_a_damaged_size_makes_no_look_at_the_end_go_wrong(tmp_path: Path) -> None:
    # property: the end is looked at in any bytes whatever and answers with a message or nothing
    rng = np.random.default_rng(3)
    for kind in ("aiff", "caf", "mov", "ogg", "matroska", "mp3", "aac"):
        for size in (0, 1, 7, 30, 5000):
            data = rng.integers(0, 256, size, dtype=np.uint8).tobytes()
            said = missing_end(io.BytesIO(data), kind, size)
            assert said is None or said.code.startswith("file.")


def test_half_a_wav(tmp_path: Path) -> None:
    data = plain_wav(noise(RATE, 4, -60, 3))
    said = answer(tmp_path, data[: len(data) // 2])
    assert said.duration_s == pytest.approx(2.0, abs=0.01)
    cut = warned(said.warnings, "file.cut_off")
    assert cut["promised"].value == pytest.approx(4.0)
    assert cut["there"].value == pytest.approx(2.0, abs=0.01)


def test_an_m4a_without_its_index(tmp_path: Path) -> None:
    path = coded(tmp_path / "room.m4a", noise(RATE, 4, -40, 9), RATE, box="ipod", codec="aac")
    data = path.read_bytes()
    at = data.index(b"moov")
    path.write_bytes(data[: at - 4] + data[at + 4 :][:200])
    with refused("refusal.file_no_index", "file"):
        listen(path)


@pytest.mark.parametrize("channels", [1, 2])
def test_half_an_m4a_is_measured_though_its_index_is_lost(tmp_path: Path, channels: int) -> None:
    # a phone writes the index at the end, so half an upload has none; the frames are there all the
    # same
    signal = sine(RATE, 6, 1000, -40) + noise(RATE, 6, -62, 9)
    with av.open(str(tmp_path / "room.m4a"), "w", format="ipod") as out:
        track = out.add_stream("aac", rate=RATE)
        track.layout, track.bit_rate = ("mono", "stereo")[channels - 1], 128000
        for at in range(0, len(signal), 1024):
            part = np.stack([signal[at : at + 1024]] * channels).astype("f4")
            frame = av.AudioFrame.from_ndarray(
                np.ascontiguousarray(part), format="fltp", layout=track.layout.name
            )
            frame.sample_rate, frame.pts = RATE, at
            out.mux(track.encode(frame))
        out.mux(track.encode(None))
    whole = (tmp_path / "room.m4a").read_bytes()
    assert whole.index(b"mdat") < whole.index(b"moov")
    (tmp_path / "half.m4a").write_bytes(whole[: len(whole) // 2])
    found = listen(tmp_path / "half.m4a")
    assert found.measured.duration_s == pytest.approx(3.0, abs=0.3)
    assert found.measured.channels == channels
    assert found.measured.laeq_dbfs == pytest.approx(weighted_db(signal, "A") - CAL_DB, abs=0.5)
    assert warned(found.warnings, "file.cut_off")["why"] == Said("file.index_lost")
    assert warned(found.warnings, "file.rate_taken")["rate"] == Figure(48000, "Hz")
    assert found.measured.hum is None  # no frequency can be relied on
    with refused("refusal.burst_rate_lost", "file"):
        listen_burst(tmp_path / "half.m4a")


def test_numbers_that_are_none(tmp_path: Path) -> None:
    signal = noise(RATE, 2, -30, 2)
    signal[1000] = np.nan
    signal[1001] = np.inf
    said = answer(tmp_path, float_wav(signal))
    assert said.laeq_db is not None
    assert warned(said.warnings, "recording.bad_samples")["count"] == 2


def test_an_odd_last_byte_is_left_out(tmp_path: Path) -> None:
    data = wav(
        chunk(b"fmt ", form(1, 2, RATE, 16)),
        b"data" + struct.pack("<I", 0xFFFFFFFF) + packed(noise(RATE, 1, -40, 1)) + b"\x01",
    )
    assert answer(tmp_path, data).duration_s == 0.5


def test_blocks_stay_small_whatever_the_length(tmp_path: Path) -> None:
    # a sparse file: an hour of stereo takes no disk and no more memory than a second
    path = tmp_path / "long.wav"
    with path.open("wb") as file:
        file.write(
            b"RIFF"
            + struct.pack("<I", 0xFFFFFFFF)
            + b"WAVE"
            + chunk(b"fmt ", form(1, 2, RATE, 16))
            + b"data"
            + struct.pack("<I", 0xFFFFFFFF)
        )
        file.truncate(44 + 3600 * RATE * 4)
    with open_recording(path) as recording:
        sizes = [len(next(recording.blocks)) for _ in range(20)]
    assert max(sizes) <= RATE


@pytest.mark.parametrize(
    ("box", "codec", "suffix"),
    [
        ("ipod", "aac", "m4a"),
        ("mp3", "libmp3lame", "mp3"),
        ("flac", "flac", "flac"),
        ("caf", "pcm_s16le", "caf"),
        ("aiff", "pcm_s16be", "aif"),
        ("matroska", "libopus", "webm"),
        ("ogg", "vorbis", "ogg"),
        ("", "", "wav"),
    ],
)
def test_damaged_bytes_are_refused_or_measured_and_nothing_else(
    tmp_path: Path, box: str, codec: str, suffix: str
) -> None:
    # property: whatever stands in a file, it is refused by name or measured to finite figures
    # (warnings are errors here)
    signal, rng = noise(RATE, 1, -30, 1), np.random.default_rng(7)
    path = tmp_path / f"room.{suffix}"
    data = bytearray(
        coded(path, signal, RATE, box=box, codec=codec).read_bytes() if box else float_wav(signal)
    )
    for turn in range(40):
        hurt = bytearray(data)
        near = (80, 400, len(hurt))[turn % 3]
        for at in rng.integers(0, min(near, len(hurt)), (1, 5, 30)[turn % 3]):
            hurt[at] = rng.choice((0, 255, int(rng.integers(256))))
        path.write_bytes(hurt if turn % 4 else hurt[: int(rng.integers(1, len(hurt)))])
        try:
            found = listen(path)
        except Refused:
            continue
        said = recording_answer(found.measured, found.warnings, CAL_DB, bits=found.bits)
        assert said.laeq_dbfs is None or np.isfinite(said.laeq_dbfs)
