"""Whether a sound file ends where its own structure says it ends: FFmpeg decodes what is there and
keeps quiet about the rest.

Looked at are the frame of the file and its last 64 kB, never all of it, so that a recording of
hours costs no more than a short one.
"""

from __future__ import annotations

import struct
from collections.abc import Callable
from typing import BinaryIO

from scout.values import Figure, Said, said

TAIL = 1 << 16
MOST_PARTS = 100_000
CHAIN = 3  # headers that must follow each other before bytes count as a row of frames
SEGMENT, CLUSTER = 0x18538067, 0x1F43B675  # names of EBML elements (RFC 9559)
MP3_KBPS = {  # ISO 11172-3 and 13818-3, by (version 1, layer)
    (True, 1): (0, 32, 64, 96, 128, 160, 192, 224, 256, 288, 320, 352, 384, 416, 448),
    (True, 2): (0, 32, 48, 56, 64, 80, 96, 112, 128, 160, 192, 224, 256, 320, 384),
    (True, 3): (0, 32, 40, 48, 56, 64, 80, 96, 112, 128, 160, 192, 224, 256, 320),
    (False, 1): (0, 32, 48, 56, 64, 80, 96, 112, 128, 144, 160, 176, 192, 224, 256),
    (False, 2): (0, 8, 16, 24, 32, 40, 48, 56, 64, 80, 96, 112, 128, 144, 160),
    (False, 3): (0, 8, 16, 24, 32, 40, 48, 56, 64, 80, 96, 112, 128, 144, 160),
}
MP3_HZ = {3: (44100, 48000, 32000), 2: (22050, 24000, 16000), 0: (11025, 12000, 8000)}
NO_LENGTH = said("file.no_length")
INSIDE = said("file.ends_inside")
NOT_LAST = said("file.not_last")


def missing_end(file: BinaryIO, kind: str, size: int) -> Said | None:
    """Why the file cannot be whole; None where nothing says so.

    kind: as `recordings.sniff` says; kinds not known here are judged by what decoding them shows.
    """
    look = _LOOKS.get(kind)
    return None if look is None else look(file, size)


def length_is_told(file: BinaryIO, kind: str) -> bool:
    """Whether the length that FFmpeg gives stands in the file; else it is guessed from the size and
    the first frames' rate.
    """
    if kind in ("aac", "amr", "mpegts"):
        return False
    if kind != "mp3":
        return True
    start = _after_id3(file)
    file.seek(start)
    head = file.read(256)
    return b"Xing" in head or b"Info" in head or b"VBRI" in head


def _promised(bytes_promised: int, size: int) -> Said | None:
    if bytes_promised <= size:
        return None
    return said(
        "file.promises",
        promised=Figure(bytes_promised / 1e6, "MB"),
        there=Figure(size / 1e6, "MB"),
    )


def _aiff(file: BinaryIO, size: int) -> Said | None:
    file.seek(4)
    return _promised(8 + int.from_bytes(file.read(4), "big"), size)


def _caf(file: BinaryIO, size: int) -> Said | None:
    at = 8
    for _ in range(MOST_PARTS):
        file.seek(at)
        head = file.read(12)
        if len(head) < 12:
            break
        length = int.from_bytes(head[4:], "big", signed=True)
        if length < 0:  # -1: the samples go on to the end
            break
        at += 12 + length
        if at > size:
            return _promised(at, size)
    return None


def _boxes(file: BinaryIO, size: int) -> Said | None:
    """MP4 and MOV: a row of boxes, each with its length; 0 goes on to the end."""
    at = 0
    for _ in range(MOST_PARTS):
        if at >= size:
            return None
        file.seek(at)
        head = file.read(16)
        if len(head) < 8:
            return INSIDE
        length, kind = struct.unpack(">I4s", head[:8])
        if length == 0 or not all(32 <= byte < 127 or byte == 0xA9 for byte in kind):
            return None  # to the end, or padding that is no box
        if length == 1:
            if len(head) < 16:
                return INSIDE
            length = struct.unpack(">Q", head[8:16])[0]
        if length < 8:
            return None
        at += length
        if at > size:
            return _promised(at, size) if kind == b"mdat" else INSIDE
    return None


def _ogg(file: BinaryIO, size: int) -> Said | None:
    """RFC 3533: pages of 65,307 bytes at most, the last of a stream marked as its end."""
    file.seek(max(0, size - TAIL - 300))
    tail = file.read()
    at = tail.rfind(b"OggS")
    while at >= 0:
        head = tail[at : at + 27]
        if len(head) == 27 and head[4] == 0:
            table = tail[at + 27 : at + 27 + head[26]]
            if len(table) < head[26] or at + 27 + len(table) + sum(table) > len(tail):
                return INSIDE
            return None if head[5] & 4 else NOT_LAST
        if len(head) < 27:
            return INSIDE
        at = tail.rfind(b"OggS", 0, at)
    return INSIDE


def _ebml(file: BinaryIO, at: int) -> tuple[int, int | None, int] | None:
    """Element at a place: its name, its length (None: not known) and where its content starts; None
    at the end.
    """
    file.seek(at)
    head = file.read(12)
    if not head or head[0] == 0:
        return None
    name_n = 9 - head[0].bit_length()
    if name_n > 4 or len(head) <= name_n or head[name_n] == 0:
        return None
    size_n = 9 - head[name_n].bit_length()
    if len(head) < name_n + size_n:
        return None
    value = int.from_bytes(head[name_n : name_n + size_n], "big") & ((1 << 7 * size_n) - 1)
    unknown = value == (1 << 7 * size_n) - 1  # RFC 8794: all ones says "not known"
    return int.from_bytes(head[:name_n], "big"), None if unknown else value, at + name_n + size_n


def _matroska(file: BinaryIO, size: int) -> Said | None:
    at, streamed = 0, False
    for _ in range(MOST_PARTS):
        if at >= size:
            break
        found = _ebml(file, at)
        if found is None:
            return INSIDE
        name, length, starts = found
        if name in (SEGMENT, CLUSTER) and length is None:
            at, streamed = starts, True  # streamed: its parts follow
            continue
        if length is None:
            return None
        at = starts + length
        if at > size:
            return _promised(at, size) if name == SEGMENT else INSIDE
    return NO_LENGTH if streamed else None


def _after_id3(file: BinaryIO) -> int:
    at = 0
    for _ in range(8):  # some writers put one tag before another
        file.seek(at)
        head = file.read(10)
        if len(head) < 10 or head[:3] != b"ID3":
            break
        at += (
            10
            + (head[6] << 21 | head[7] << 14 | head[8] << 7 | head[9])
            + (10 if head[5] & 0x10 else 0)
        )
    return at


def _mp3_frame(data: bytes, at: int) -> int:
    """Bytes of the MPEG audio frame whose header stands here; 0: none does, or one of free bit
    rate.
    """
    if at + 4 > len(data) or data[at] != 0xFF or data[at + 1] & 0xE0 != 0xE0:
        return 0
    version, layer = data[at + 1] >> 3 & 3, 4 - (data[at + 1] >> 1 & 3)
    rate, hz = data[at + 2] >> 4, data[at + 2] >> 2 & 3
    if version == 1 or layer == 4 or rate in (0, 15) or hz == 3:
        return 0
    kbps, padded = MP3_KBPS[version == 3, layer][rate], data[at + 2] >> 1 & 1
    if layer == 1:
        return (12000 * kbps // MP3_HZ[version][hz] + padded) * 4
    return (144000 if version == 3 or layer == 2 else 72000) * kbps // MP3_HZ[version][hz] + padded


def _adts_frame(data: bytes, at: int) -> int:
    """Bytes of the AAC frame whose ADTS header stands here (ISO 13818-7); 0: none does."""
    if at + 7 > len(data) or data[at] != 0xFF or data[at + 1] & 0xF6 != 0xF0:
        return 0
    length = (data[at + 3] & 3) << 11 | data[at + 4] << 3 | data[at + 5] >> 5
    return length if length >= 7 else 0


def _rest(tail: bytes, frame: Callable[[bytes, int], int]) -> bytes | None:
    """What follows the last whole frame; None where no row of frames is found."""
    for start in range(len(tail)):
        at, steps = start, 0
        while (length := frame(tail, at)) and at + length <= len(tail):
            at, steps = at + length, steps + 1
        if steps >= CHAIN:
            return tail[at:]
    return None


def _frames(frame: Callable[[bytes, int], int]) -> Callable[[BinaryIO, int], Said | None]:
    def look(file: BinaryIO, size: int) -> Said | None:
        file.seek(max(0, size - TAIL // 4))
        rest = _rest(file.read(), frame)
        # Tags may stand at the end (ID3v1, APE, lyrics), and padding of zeros; a frame's own
        # beginning may not.
        return INSIDE if rest and (frame(rest + bytes(8), 0) or rest[0] == 0xFF) else None

    return look


def _mp3(file: BinaryIO, size: int) -> Said | None:
    start = _after_id3(file)
    file.seek(start)
    head = file.read(256)
    for mark in (b"Xing", b"Info"):
        at = head.find(mark)
        if 0 <= at <= len(head) - 16 and head[at + 7] & 2:
            skip = 4 if head[at + 7] & 1 else 0
            told = int.from_bytes(head[at + 8 + skip : at + 12 + skip], "big")
            if told and start + told > size + _mp3_frame(
                head, 0
            ):  # some count the frame of the mark itself, some do not
                return _promised(start + told, size)
    return _frames(_mp3_frame)(file, size)


_LOOKS: dict[str, Callable[[BinaryIO, int], Said | None]] = {
    "aiff": _aiff,
    "caf": _caf,
    "mov": _boxes,
    "ogg": _ogg,
    "matroska": _matroska,
    "mp3": _mp3,
    "aac": _frames(_adts_frame),
}
