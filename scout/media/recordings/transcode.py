"""A plain 16-bit WAV of a recording that a browser may not play."""

from __future__ import annotations

import struct
from pathlib import Path
from typing import BinaryIO

import numpy as np

from scout.media.recordings.recordings import open_recording

MOST_S = 600.0  # what is listened to on a page; the original can be saved whole


def write_wav(source: Path, out: BinaryIO, *, name: str) -> None:
    """Write the first ten minutes as 16-bit WAV, the first two channels; louder than full scale is
    cut there.
    """
    with open_recording(source, name=name) as recording:
        channels = min(2, recording.channels)
        rate = recording.rate_hz
        out.write(b"\0" * 44)
        left, written = int(MOST_S * rate), 0
        for block in recording.blocks:
            part = np.clip(np.nan_to_num(block[:left, :channels]), -1.0, 32767.0 / 32768.0)
            data = np.round(part * 32768.0).astype("<i2").tobytes()
            out.write(data)
            written += len(data)
            left -= len(part)
            if left <= 0:
                break
    out.seek(0)
    out.write(
        b"RIFF"
        + struct.pack("<I", 36 + written)
        + b"WAVEfmt "
        + struct.pack("<IHHIIHH", 16, 1, channels, rate, rate * channels * 2, channels * 2, 16)
    )
    out.write(b"data" + struct.pack("<I", written))
    out.seek(0, 2)
