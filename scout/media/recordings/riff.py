"""A small walker of WAV files: finds format and samples by the bytes present, whatever the length
fields say.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass
from typing import BinaryIO

from scout.errors import Refused

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
    warnings: tuple[str, ...]

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
        raise Refused("file", name, "does not begin as a WAV recording")
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
                    "has samples before its format is given; record it again, or send another format",
                )
            said = long_size if length == STREAMED and long_size else length
            return _layout(file, fmt, at + 8, said, size, name)
        at += 8 + length + length % 2
    raise Refused(
        "file",
        name,
        "is a WAV recording without any samples' chunk: it was cut off before the sound began",
    )


def _layout(file: BinaryIO, fmt: bytes, starts: int, said: int, size: int, name: str) -> WavLayout:
    if len(fmt) < 16:
        raise Refused("file", name, "has a format chunk that is cut short")
    tag, channels, rate, bytes_a_second, block, bits = struct.unpack("<HHIIHH", fmt[:16])
    if tag == EXTENSIBLE and len(fmt) >= 40 and fmt[26:40] == SUBFORMAT_END:
        tag = struct.unpack("<H", fmt[24:26])[0]
    if not 1 <= channels <= MOST_CHANNELS:
        raise Refused(
            "file", name, f"says it has {channels} channels; 1 to {MOST_CHANNELS} can be measured"
        )
    if not 1 <= rate <= 768_000:
        raise Refused(
            "file", name, f"says it has {rate} samples a second; up to 768000 can be measured"
        )
    width = block // channels if block and block % channels == 0 else -(-bits // 8)
    if tag in (PCM, FLOAT) and width not in ((1, 2, 3, 4) if tag == PCM else (4, 8)):
        raise Refused(
            "file", name, f"says it has {8 * width} bits a sample, which no recorder writes"
        )
    there = size - starts
    warnings: list[str] = []
    # A coded sound's frames are no whole bytes a sample: its own count of bytes a second tells how
    # long it is, where it gives one.
    second = (
        channels * width * rate
        if tag in (PCM, FLOAT)
        else bytes_a_second
        if bytes_a_second >= LEAST_BYTES_A_SECOND
        else 0
    )

    def long(count: int) -> str:
        return f"{count / second:.1f} s" if second else f"{count / 1e6:.2f} MB"

    if said in (0, STREAMED) and not (said == 0 and _chunks_to_the_end(file, starts, size)):
        present, told = there, None
        if said == 0 and there:
            warnings.append(
                "The header gives no length (the recorder was stopped before it could write it); all the samples present are measured."
            )
        elif there:
            warnings.append(
                "The header gives no length (the recording was streamed); all the samples present are measured."
            )
    elif said > there:
        present, told = there, said
        warnings.append(
            f"The file is cut off: its header promises {long(said)} and {long(there)} are there; what is there is measured."
        )
    elif said < there and not _chunks_to_the_end(file, starts + said + said % 2, size):
        present, told = there, said
        warnings.append(
            f"The header says {long(said)} but there are samples for {long(there)}; all the samples present are measured."
        )
    else:
        present, told = said, said
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
