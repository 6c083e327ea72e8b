"""The sound of an M4A whose index was never written: a phone puts it at the end, so half an upload
has none.

AAC frames lie one behind the other in the file's `mdat` box; the decoder itself finds where each
ends. What only the index says, the
sampling rate, is not known: the usual one of phones is taken, and whoever measures is told.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator
from typing import Any, BinaryIO

import av
import numpy as np
from numpy.typing import NDArray

TAKEN_RATE_HZ = 48_000
AAC_LC, RATE_CODE, ONE_CHANNEL = (
    2,
    3,
    1,
)  # AudioSpecificConfig (ISO 14496-3); a stereo frame says so itself
PIECE = 4096
FEWEST_FRAMES = 12  # so many must decode one behind the other before bytes count as sound
MOST_BOXES = 1000

Samples = NDArray[np.float32]


def lost_frames(file: BinaryIO, size: int) -> tuple[int, Iterator[Samples]] | None:
    """Channels, and the sound of an M4A without an index, frame by frame; None where no row of AAC
    frames is found.
    """
    start = _payload(file, size)
    if start is None:
        return None
    file.seek(start)
    head = _decoded(_decoder(), file.read(PIECE * 2))
    if len(head) < FEWEST_FRAMES and size - start > PIECE * 2:
        return None
    if not head:
        return None
    return head[-1].shape[1], _frames(file, start, head[-1].shape[1])


def _payload(file: BinaryIO, size: int) -> int | None:
    """Where the samples of a lone `mdat` begin; None where an index is there, or the file is a
    film's or none of these.
    """
    at = 0
    for _ in range(MOST_BOXES):
        file.seek(at)
        head = file.read(16)
        if len(head) < 8 or at >= size:
            return None
        length, kind = struct.unpack(">I4s", head[:8])
        if kind == b"ftyp" and head[8:11] not in (b"M4A", b"M4B", b"mp4", b"iso", b"3gp", b"qt "):
            return None
        if kind == b"moov":
            return None
        if kind == b"mdat":
            return at + (16 if length == 1 else 8)
        if length < 8:
            return None
        at += length
    return None


def _decoder() -> Any:
    codec: Any = av.CodecContext.create("aac", "r")
    codec.extradata = (AAC_LC << 11 | RATE_CODE << 7 | ONE_CHANNEL << 3).to_bytes(2, "big")
    return codec


def _decoded(codec: Any, data: bytes) -> list[Samples]:
    if not data:
        return []
    try:
        return [
            np.ascontiguousarray(frame.to_ndarray().T, dtype=np.float32)
            for frame in codec.decode(av.Packet(data))
        ]
    except (av.FFmpegError, ValueError):
        return []


def _frames(file: BinaryIO, start: int, channels: int) -> Iterator[Samples]:
    """Piece by piece: the shortest beginning that gives as many frames as the piece holds ends
    where the next frame begins.
    """
    codec, at, piece = _decoder(), start, PIECE
    while True:
        file.seek(at)
        data = file.read(piece)
        count = len(_decoded(_decoder(), data))
        if not count:
            if len(data) < piece or piece > 4 * PIECE:
                return
            piece *= 2  # a frame longer than the piece
            continue
        low, high = 1, len(data)
        while low < high:
            middle = (low + high) // 2
            if len(_decoded(_decoder(), data[:middle])) >= count:
                high = middle
            else:
                low = middle + 1
        for block in _decoded(codec, data[:high]):
            if block.shape[1] != channels:
                return
            yield block
        at, piece = at + high, PIECE
