"""Sound: how much faster than real time a recording is measured, and that memory does not grow with
its length.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import scipy.fft

from scout.bench.measure import Row
from scout.media.recordings.riff import PCM

RATE_HZ, CHANNELS = 48000, 2
LONG_S, SHORT_S = 600, 30
FASTER_THAN_REAL_TIME, MOST_MB = 40.0, 250.0
# One core: the libraries' own threads are kept to one in the process that is measured.
_CHILD = """
import resource, sys, time
from pathlib import Path
from scout.usecases.listening import listen
listen(Path(sys.argv[1]))
started = time.process_time()
listen(Path(sys.argv[2]))
spent, status = time.process_time() - started, Path("/proc/self/status")
# Linux hands the parent's peak on to the child in ru_maxrss; the high-water mark in /proc is this program's own
marks = [line.split()[1] for line in status.read_text().splitlines() if line.startswith("VmHWM")] if status.is_file() else []
print(spent, marks[0] if marks else resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)
"""


def rows() -> Iterator[Row]:
    """Ten minutes of 48 kHz stereo against real time, and the peak memory of the whole process."""
    with tempfile.TemporaryDirectory() as folder:
        short, long = Path(folder) / "short.wav", Path(folder) / "long.wav"
        write_wav(short, SHORT_S)
        write_wav(long, LONG_S)
        floor = _transform_seconds(long)
        one_thread = {
            "OMP_NUM_THREADS": "1",
            "OPENBLAS_NUM_THREADS": "1",
            "PYTHONPATH": ":".join(sys.path),
        }
        done = subprocess.run(  # noqa: S603
            [sys.executable, "-c", _CHILD, str(short), str(long)],
            check=True,
            capture_output=True,
            text=True,
            env=one_thread,
        )
    spent, peak = (float(part) for part in done.stdout.split())
    peak_mb = peak / (
        1e6 if sys.platform == "darwin" else 1024.0
    )  # bytes there, kilobytes elsewhere
    faster = LONG_S / spent
    yield Row(
        "measure 10 minutes of 48 kHz stereo",
        round(spent, 2),
        "s",
        "the recording's own length",
        round(faster, 1),
        f"at least {FASTER_THAN_REAL_TIME:g}",
        faster >= FASTER_THAN_REAL_TIME,
    )
    yield Row(
        "measure 10 minutes, against its bare transforms",
        round(spent, 2),
        "s",
        "the same frames through scipy.fft.rfft and nothing else",
        round(spent / floor, 2),
        "at most 6",
        spent / floor <= 6,
    )
    yield Row(
        "peak memory of the process that measured 10 minutes",
        round(peak_mb),
        "MB",
        f"{MOST_MB:g} MB",
        round(peak_mb / MOST_MB, 2),
        "at most 1",
        peak_mb <= MOST_MB,
    )


def write_wav(path: Path, seconds: int) -> None:
    """Noise with a hum and a knock now and then, 16-bit stereo."""
    rng = np.random.default_rng(5)
    t = np.arange(RATE_HZ) / RATE_HZ
    second = (
        0.003 * rng.standard_normal((RATE_HZ, CHANNELS))
        + 0.01 * np.sin(2 * np.pi * 50 * t)[:, None]
    )
    knock = second.copy()
    knock[: RATE_HZ // 10] *= 10
    plain, loud = (np.round(part * 32767).astype("<i2").tobytes() for part in (second, knock))
    size = seconds * len(plain)
    with path.open("wb") as file:
        file.write(
            b"RIFF"
            + (36 + size).to_bytes(4, "little")
            + b"WAVEfmt "
            + (16).to_bytes(4, "little")
            + PCM.to_bytes(2, "little")
        )
        file.write(
            CHANNELS.to_bytes(2, "little")
            + RATE_HZ.to_bytes(4, "little")
            + (RATE_HZ * CHANNELS * 2).to_bytes(4, "little")
        )
        file.write(
            (CHANNELS * 2).to_bytes(2, "little")
            + (16).to_bytes(2, "little")
            + b"data"
            + size.to_bytes(4, "little")
        )
        for i in range(seconds):
            file.write(loud if i % 60 == 30 else plain)


def _transform_seconds(path: Path) -> float:
    """Frames of 65536 samples, three quarters overlapping, both channels, transformed on this
    thread.
    """
    started = time.process_time()
    frame, hop = 65536, 16384
    with path.open("rb") as file:
        file.seek(44)
        held = np.zeros((0, CHANNELS), np.float32)
        while data := file.read(16 * hop * CHANNELS * 2):
            held = np.concatenate(
                [held, np.frombuffer(data, "<i2").astype(np.float32).reshape(-1, CHANNELS)]
            )
            count = (len(held) - frame) // hop + 1
            for i in range(max(0, count)):
                scipy.fft.rfft(held[i * hop : i * hop + frame].T, axis=1, workers=1)
            held = held[max(0, count) * hop :]
    return max(1e-3, time.process_time() - started)
