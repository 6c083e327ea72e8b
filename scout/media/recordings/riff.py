"""A small walker of WAV files: finds format and samples by the bytes present, whatever the length
fields say.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass
from typing import BinaryIO

from scout.errors import Refused
from scout.values import Figure, Said, said

STREAMED = 0xFFFFFFFF
PCM, FLOAT, EXTENSIBLE = 1, 3, 0xFFFE
# The last 14 bytes of the sub-format of an extensible header (Microsoft, KSDATAFORMAT_SUBTYPE_PCM
# and _IEEE_FLOAT).
SUBFORMAT_END = bytes.fromhex("000000001000800000aa00389b71")
MOST_CHANNELS = 32
MOST_CHUNKS = 10_000
LEAST_BYTES_A_SECOND = 100  # of a coded sound; less is a field left empty


@dataclass(frozen=True)
class WavLayout:
    """Where the samples lie. `tag` is PCM or FLOAT; any other tag is for a general decoder."""

    tag: int
    channels: int
    rate_hz: int
    bytes_a_sample: int
    starts: int
    bytes_present: int
    said_bytes: (
        int | None
        # None: the header does not say (streamed, or the recorder stopped before it wrote the length)
    )
    warnings: tuple[Said, ...]

    @property
    def frames(self) -> int:
        """Whole sample frames present."""
        return self.bytes_present // (self.channels * self.bytes_a_sample)


def wav_layout(file: BinaryIO, size: int, name: str) -> WavLayout:
    """Read the chunks of a WAV (RIFF, RF64 or BW64). Raises Refused when there is no format or no
    samples' chunk.
    """
    file.seek(0)
    head = file.read(12)
    if len(head) < 12 or head[:4] not in (b"RIFF", b"RF64", b"BW64") or head[8:] != b"WAVE":
        raise Refused("file", name, said("refusal.not_wav"))
    at, fmt, long_size = 12, b"", None
    for _ in range(MOST_CHUNKS):
        if at >= size:
            break
        file.seek(at)
        chunk = file.read(8)
        if len(chunk) < 8:
            break
        kind, length = chunk[:4], struct.unpack("<I", chunk[4:])[0]
        if kind == b"fmt ":
            fmt = file.read(min(length, 64))
        elif kind == b"ds64":
            ds64 = file.read(min(length, 28))
            long_size = struct.unpack("<Q", ds64[8:16])[0] if len(ds64) >= 16 else None
        elif kind == b"data":
            if not fmt:
                raise Refused(
                    "file",
                    name,
                    said("refusal.wav_no_format"),
                )
            promised = long_size if length == STREAMED and long_size else length
            return _layout(file, fmt, at + 8, promised, size, name)
        at += 8 + length + length % 2
    raise Refused(
        "file",
        name,
        said("refusal.wav_no_samples"),
    )


def _layout(
    file: BinaryIO, fmt: bytes, starts: int, promised: int, size: int, name: str
) -> WavLayout:
    if len(fmt) < 16:
        raise Refused("file", name, said("refusal.wav_no_format"))
    tag, channels, rate, bytes_a_second, block, bits = struct.unpack("<HHIIHH", fmt[:16])
    if tag == EXTENSIBLE and len(fmt) >= 40 and fmt[26:40] == SUBFORMAT_END:
        tag = struct.unpack("<H", fmt[24:26])[0]
    if not 1 <= channels <= MOST_CHANNELS:
        raise Refused(
            "file", name, said("refusal.wav_channels", channels=channels, most=MOST_CHANNELS)
        )
    if not 1 <= rate <= 768_000:
        raise Refused("file", name, said("refusal.wav_rate", rate=Figure(rate, "Hz")))
    width = block // channels if block and block % channels == 0 else -(-bits // 8)
    if tag in (PCM, FLOAT) and width not in ((1, 2, 3, 4) if tag == PCM else (4, 8)):
        raise Refused("file", name, said("refusal.wav_bits", bits=8 * width))
    there = size - starts
    warnings: list[Said] = []
    # A coded sound's frames are no whole bytes a sample: its own count of bytes a second tells how
    # long it is, where it gives one.
    second = (
        channels * width * rate
        if tag in (PCM, FLOAT)
        else bytes_a_second
        if bytes_a_second >= LEAST_BYTES_A_SECOND
        else 0
    )

    def long(count: int) -> Figure:
        return Figure(count / second, "s") if second else Figure(count / 1e6, "MB")

    if promised in (0, STREAMED) and not (promised == 0 and _chunks_to_the_end(file, starts, size)):
        present, told = there, None
        if promised == 0 and there:
            warnings.append(said("file.stopped"))
        elif there:
            warnings.append(said("file.streamed"))
    elif promised > there:
        present, told = there, promised
        warnings.append(said("file.cut_off", promised=long(promised), there=long(there), why=None))
    elif promised < there and not _chunks_to_the_end(file, starts + promised + promised % 2, size):
        present, told = there, promised
        warnings.append(said("file.longer", promised=long(promised), there=long(there)))
    else:
        present, told = promised, promised
    return WavLayout(tag, channels, rate, width, starts, present, told, tuple(warnings))


def _chunks_to_the_end(file: BinaryIO, at: int, size: int) -> bool:
    """Whether what follows is a row of chunks that ends with the file (a padding byte or a few
    zeros let pass).
    """
    for _ in range(MOST_CHUNKS):
        if at >= size:
            return True
        file.seek(at)
        chunk = file.read(8)
        if not any(chunk) and size - at <= 8:
            return True
        if len(chunk) < 8 or not all(32 <= byte < 127 for byte in chunk[:4]):
            return False
        length = struct.unpack("<I", chunk[4:])[0]
        at += 8 + length + length % 2
        if at > size + 1:
            return False
    return False
