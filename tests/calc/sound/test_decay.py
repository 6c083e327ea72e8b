"""Reverberation read from bursts: made decays of a known time, image-source rooms of
pyroomacoustics, and what must be flagged.
"""

from __future__ import annotations

import numpy as np
import pyroomacoustics
import pytest

from scout.calc.sound.decay import decays
from scout.calc.sound.reverberation import eyring_s, sabine_s
from scout.errors import OutOfRange
from tests.refusing import refused

RATE = 48000


def burst(
    time_s: float, noise_db: float = -80.0, seed: int = 1, seconds: float = 0.0
) -> np.ndarray:
    """Noise falling 60 dB in time_s over a floor, after half a second of that floor."""
    rng = np.random.default_rng(seed)
    count = int(RATE * (seconds or 1.5 * time_s + 1.0))
    fall = rng.standard_normal(count) * 10.0 ** (-3.0 * np.arange(count) / RATE / time_s)
    whole = np.concatenate([np.zeros(RATE // 2), fall])
    return np.asarray(whole + 10 ** (noise_db / 20) * rng.standard_normal(len(whole)))


@pytest.mark.parametrize("time_s", [0.3, 0.8, 2.0, 5.0])
def test_a_made_fall_is_read_back(time_s: float) -> None:
    # by definition: the envelope falls 60 dB in time_s
    for found in decays(burst(time_s), RATE):
        within = 0.15 if found.band_hz <= 250 else 0.08  # noise in a narrow band falls in steps
        assert found.t30_s == pytest.approx(time_s, rel=within), found
        assert found.t20_s == pytest.approx(time_s, rel=1.3 * within), found


def test_noise_leaves_t20_or_nothing() -> None:
    at_1k = {d.band_hz: d for d in decays(burst(0.8, -40), RATE)}[1000]
    assert at_1k.t30_s is None
    assert at_1k.t20_s == pytest.approx(0.8, rel=0.12)
    assert "t20_alone" in at_1k.flags
    drowned = {d.band_hz: d for d in decays(burst(0.8, -20), RATE)}[1000]
    assert drowned.time_s is None
    assert "faint" in drowned.flags


def test_two_rooms_coupled_are_flagged() -> None:
    both = burst(0.4, -90, seconds=3) + 0.05 * burst(2.5, -90, 2, seconds=3)
    flagged = [d for d in decays(both, RATE) if d.band_hz >= 500 and d.flags]
    assert len(flagged) == 4


@pytest.mark.parametrize(
    ("size_m", "absorption"),
    [
        ((5.0, 4.0, 2.6), 0.15),
        ((8.0, 6.0, 3.0), 0.3),
        ((3.5, 3.0, 2.4), 0.25),
        ((12.0, 9.0, 4.5), 0.12),
    ],
)
def test_four_rooms_against_pyroomacoustics(
    size_m: tuple[float, float, float], absorption: float
) -> None:
    # Source: pyroomacoustics, hybrid image source and ray tracing with scattering; its own
    # measure_rt60 and its simulated response
    pyroomacoustics.constants.set("c", 343.0)
    room = pyroomacoustics.ShoeBox(
        size_m,
        fs=16000,
        materials=pyroomacoustics.Material(absorption, 0.5),
        max_order=3,
        ray_tracing=True,
        air_absorption=False,
    )
    room.set_ray_tracing(n_rays=1500, receiver_radius=0.5)
    room.add_source([0.3 * side for side in size_m])
    room.add_microphone([0.7 * side for side in size_m])
    np.random.seed(5)  # the library draws from numpy's global numbers
    room.compute_rir()
    response = room.rir[0][0]
    theirs = float(pyroomacoustics.experimental.measure_rt60(response, fs=16000, decay_db=20))
    volume = float(np.prod(size_m))
    areas = np.array([size_m[0] * size_m[1], size_m[0] * size_m[2], size_m[1] * size_m[2]]) * 2
    soft = np.full((3, 1), absorption)
    formula = float(eyring_s(volume, areas, soft)[0])
    assert formula == pytest.approx(theirs, rel=0.2)
    assert (
        float(sabine_s(volume, areas, soft)[0]) > formula
    )  # property: Sabine's time is the longer
    rng = np.random.default_rng(1)
    quiet = np.concatenate([np.zeros(8000), response, np.zeros(8000)])
    ours = {
        d.band_hz: d
        for d in decays(
            quiet + 1e-5 * np.abs(response).max() * rng.standard_normal(len(quiet)), 16000
        )
    }
    mid = np.mean([ours[band].time_s or 0.0 for band in (500, 1000, 2000)])
    assert mid == pytest.approx(theirs, rel=0.15)


def test_what_is_no_burst_is_refused() -> None:
    with refused("refusal.burst_short", "samples"):
        decays(np.ones(100), RATE)
    with refused("refusal.no_signal", "samples"):
        decays(np.zeros(RATE), RATE)
    with pytest.raises(OutOfRange, match="finite"):
        decays(np.full(RATE, np.nan), RATE)
    steady = decays(np.random.default_rng(1).standard_normal(2 * RATE), RATE)
    assert all(d.time_s is None for d in steady)


def test_what_is_good_enough_to_judge_by() -> None:
    # property: a straight fall well over the noise is, at 500 Hz and 1 kHz; one that drowns or
    # bends (two rooms coupled) is not
    def good(samples: np.ndarray) -> list[bool]:
        return [found.good for found in decays(samples, RATE) if found.band_hz in (500, 1000)]

    for time_s in (0.7, 1.2, 2.5):
        assert good(burst(time_s, -75)) == [True, True]
    assert good(burst(0.8, -20)) == [False, False]
    assert good(burst(0.4, -90, seconds=3) + 0.05 * burst(2.5, -90, 2, seconds=3)) == [False, False]
