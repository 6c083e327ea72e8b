"""Recordings made awkward on purpose, each with the level it was made to have."""

from __future__ import annotations

import struct
from pathlib import Path

import av
import numpy as np
import soundfile
from numpy.typing import NDArray

Signal = NDArray[np.float64]
PCM_GUID = bytes.fromhex("0100000000001000800000aa00389b71")


def sine(rate_hz: int, seconds: float, hz: float, dbfs: float) -> Signal:
    """A sine of so many dB re full scale, 20 log10(rms)."""
    t = np.arange(int(rate_hz * seconds)) / rate_hz
    return np.asarray(2**0.5 * 10 ** (dbfs / 20) * np.sin(2 * np.pi * hz * t))


def noise(
    rate_hz: int,
    seconds: float,
    dbfs: float,
    seed: int,
    *,
    slope_db_oct: float = -4.0,
    low_hz: float = 40.0,
    high_hz: float = 12000.0,
) -> Signal:
    """Noise that repeats after its own length, so that the sum over its lines is exact; slope of
    the octave levels in dB an octave.
    """
    count = int(rate_hz * seconds)
    hz = np.arange(count // 2 + 1) * rate_hz / count
    within = (hz >= low_hz) & (hz <= high_hz)
    size = np.zeros(len(hz))
    size[within] = (hz[within] / 1000.0) ** (slope_db_oct / 6.0206) * hz[within] ** -0.5
    found = np.fft.irfft(
        size * np.exp(2j * np.pi * np.random.default_rng(seed).random(len(hz))), count
    )
    return np.asarray(found * 10 ** (dbfs / 20) / np.sqrt(np.mean(found**2)))


def packed(signal: Signal, bits: int = 16) -> bytes:
    """Integer samples, clipped at full scale."""
    full = 2 ** (bits - 1)
    values = np.clip(np.round(signal * full), -full, full - 1).astype("<i4")
    if bits == 16:
        return values.astype("<i2").tobytes()
    return values.reshape(-1, 1).view("u1").reshape(-1, 4)[:, :3].tobytes()


def chunk(name: bytes, data: bytes, said: int | None = None) -> bytes:
    """A chunk, with a length of its own choosing."""
    return (
        name
        + struct.pack("<I", len(data) if said is None else said)
        + data
        + (b"\0" if len(data) % 2 else b"")
    )


def form(tag: int, channels: int, rate_hz: int, bits: int) -> bytes:
    """The first sixteen bytes of a format chunk."""
    return struct.pack(
        "<HHIIHH",
        tag,
        channels,
        rate_hz,
        rate_hz * channels * bits // 8,
        channels * bits // 8,
        bits,
    )


def wav(*chunks: bytes, said: int | None = None, kind: bytes = b"RIFF") -> bytes:
    """A WAV file of these chunks."""
    body = b"WAVE" + b"".join(chunks)
    return kind + struct.pack("<I", len(body) if said is None else said) + body


def plain_wav(signal: Signal, rate_hz: int = 48000, channels: int = 1) -> bytes:
    """An ordinary 16-bit WAV; signal interleaved."""
    return wav(chunk(b"fmt ", form(1, channels, rate_hz, 16)), chunk(b"data", packed(signal)))


def extensible_wav(signal: Signal, rate_hz: int = 48000) -> bytes:
    """24 bits under an extensible header, after a chunk of odd length."""
    head = form(0xFFFE, 1, rate_hz, 24) + struct.pack("<HHI", 22, 24, 4) + PCM_GUID
    listed = chunk(b"LIST", b"INFOISFT" + struct.pack("<I", 4) + b"made")
    return wav(
        chunk(b"JUNK", b"\0" * 27), chunk(b"fmt ", head), listed, chunk(b"data", packed(signal, 24))
    )


def float_wav(signal: Signal, rate_hz: int = 48000) -> bytes:
    """32-bit float."""
    data = signal.astype("<f4")
    return wav(
        chunk(b"fmt ", form(3, 1, rate_hz, 32) + b"\0\0"),
        chunk(b"fact", struct.pack("<I", len(data))),
        chunk(b"data", data.tobytes()),
    )


def coded(
    path: Path,
    signal: Signal,
    rate_hz: int,
    *,
    box: str,
    codec: str,
    channels: int = 1,
    film: bool = False,
    sound: bool = True,
) -> Path:
    """A file as a phone codes it, by FFmpeg; film adds a picture track."""
    if codec == "vorbis":
        soundfile.write(
            path, np.stack([signal] * channels, axis=1), rate_hz, format="OGG", subtype="VORBIS"
        )
        return path
    options = {"movflags": "faststart"} if box in ("ipod", "mp4", "mov") else {}
    with av.open(str(path), "w", format=box, options=options) as out:
        picture = out.add_stream("mpeg4", rate=5) if film else None
        if picture is not None:
            picture.width, picture.height, picture.pix_fmt = 64, 48, "yuv420p"
        track = out.add_stream(codec, rate=rate_hz) if sound else None
        if track is not None:
            track.layout = "stereo" if channels == 2 else "mono"
            if codec in ("aac", "libmp3lame"):
                track.bit_rate = 128000
            wanted = track.codec_context.format.name if track.codec_context.format else "fltp"
            size = 1024
            for at in range(0, len(signal), size):
                part = np.stack([signal[at : at + size]] * channels)
                if wanted.startswith("s16"):
                    part = np.round(part * 32767).astype("i2")
                elif wanted.startswith("s32"):
                    part = np.round(part * (2**31 - 1)).astype("i4")
                else:
                    part = part.astype("f4")
                if not wanted.endswith("p"):
                    part = part.T.reshape(1, -1)
                frame = av.AudioFrame.from_ndarray(
                    np.ascontiguousarray(part), format=wanted, layout=track.layout.name
                )
                frame.sample_rate, frame.pts = rate_hz, at
                out.mux(track.encode(frame))
            out.mux(track.encode(None))
        if picture is not None:
            for i in range(5):
                frame_ = av.VideoFrame.from_ndarray(
                    np.full((48, 64, 3), 40 * i, np.uint8), format="rgb24"
                )
                frame_.pts = i
                out.mux(picture.encode(frame_))
            out.mux(picture.encode(None))
    return path
