"""Make the demonstration's recordings: invented rooms, each with the sound that its noise readings
tell of.

Run `python demo_data/make_recordings.py` from a checkout. A calibrator of 94 dB would lie at -20
dBFS, so SPL = dBFS + 114 dB throughout.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import soundfile
from numpy.typing import NDArray

HERE = Path(__file__).resolve().parent / "recordings"
RATE_HZ, CAL_DB = 24000, 114.0
Signal = NDArray[np.float64]
OCTAVES_HZ = (63, 125, 250, 500, 1000, 2000, 4000, 8000)


def room_tone(seconds: float, bands_db: tuple[float, ...], seed: int) -> Signal:
    """Noise with these octave levels, 63 Hz to 8 kHz, in dB SPL."""
    count = int(RATE_HZ * seconds)
    hz = np.arange(count // 2 + 1) * RATE_HZ / count
    rng = np.random.default_rng(seed)
    power = np.zeros(len(hz))
    for middle, level in zip(OCTAVES_HZ, bands_db, strict=True):
        exact = 1000.0 * 10 ** (0.3 * round(np.log2(middle / 1000.0)))
        within = (hz >= exact * 10**-0.15) & (hz < exact * 10**0.15)
        shape = 1.0 / hz[within]  # even on a scale of octaves
        power[within] = shape / shape.sum() * 10 ** ((level - CAL_DB) / 10)
    return np.asarray(
        np.fft.irfft(np.sqrt(power / 2) * count * np.exp(2j * np.pi * rng.random(len(hz))), count)
    )


def tone(seconds: float, hz: float, level_db: float) -> Signal:
    """A steady tone in dB SPL."""
    return np.asarray(
        2**0.5
        * 10 ** ((level_db - CAL_DB) / 20)
        * np.sin(2 * np.pi * hz * np.arange(int(RATE_HZ * seconds)) / RATE_HZ + hz)
    )


def rise(signal: Signal, start_s: float, length_s: float, by_db: float) -> Signal:
    """The signal, swelling by so many dB and back, as something passes."""
    gain = np.zeros(len(signal))
    a, b = int(start_s * RATE_HZ), int((start_s + length_s) * RATE_HZ)
    gain[a:b] = by_db * np.sin(np.pi * np.arange(b - a) / (b - a)) ** 2
    return np.asarray(signal * 10 ** (gain / 20))


def burst(mid_s: float, seed: int) -> Signal:
    """A balloon in a hall: noise that falls 60 dB in mid_s, a little slower at low pitch, over the
    hall's own sound.
    """
    quiet = room_tone(5.5, (52, 46, 39, 33, 30, 26, 22, 18), seed)
    fall = room_tone(5.0, (86, 92, 96, 98, 97, 94, 89, 82), seed + 1)
    t = np.arange(len(fall)) / RATE_HZ
    whole = quiet.copy()
    whole[-len(fall) :] += fall * 10 ** (-3 * t / mid_s)
    return whole


def main() -> None:
    """Write them all."""
    fridge = (
        room_tone(15, (45, 40, 40, 39, 37.5, 35, 30.5, 24.5), 1)
        + tone(15, 50, 46)
        + tone(15, 100, 49)
        + tone(15, 150, 43)
        + tone(15, 200, 40)
    )
    school = rise(
        rise(room_tone(15, (46, 42, 36, 31, 28, 26, 21, 17), 4), 2.0, 4.0, 13.0), 9.0, 5.0, 16.0
    )
    fan = room_tone(15, (57, 52, 46, 40, 36, 31, 25, 20), 6) + tone(15, 87, 61)
    made = {
        "kitchen_fridge_on": fridge,
        "kitchen_fridge_off": room_tone(15, (45, 40, 35, 31, 28, 25, 21, 18), 2),
        "parlour_morning": room_tone(15, (46, 41, 35, 30, 27, 24, 20, 17), 3),
        "parlour_school_out": school,
        "hall_heating_off": room_tone(15, (52, 46, 39, 33, 30, 26, 22, 18), 5),
        "hall_heating_fan": fan,
        "hall_balloon": burst(3.0, 7),
        "calibrator_94": tone(3, 1000, 94.0),
    }
    HERE.mkdir(exist_ok=True)
    for name, signal in made.items():
        soundfile.write(HERE / f"{name}.flac", signal, RATE_HZ, subtype="PCM_16")


if __name__ == "__main__":
    main()
