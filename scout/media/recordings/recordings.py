"""Recordings: any file a phone or a recorder makes, as a stream of samples with what is odd about
the file.

WAV is read here, by the bytes present; everything else by FFmpeg (PyAV), told which kind it is from
the file's first bytes and
handed an open file, so that no text in it can name another file or an address.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, BinaryIO, Literal

import av
import numpy as np
from numpy.typing import NDArray

from scout.errors import Refused
from scout.media.recordings.riff import FLOAT, MOST_CHANNELS, PCM, WavLayout, wav_layout
from scout.media.recordings.salvage import TAKEN_RATE_HZ, lost_frames
from scout.media.recordings.wholeness import INSIDE, NO_LENGTH, length_is_told, missing_end
from scout.values import Figure, Said, Word, said

Samples = NDArray[np.float32]  # (frames, channels), full scale 1
Coding = Literal["integer", "float", "lossy"]
BLOCK_S = 1.0
LONGEST_S = 24 * 3600.0
MOST_FAULTS = 1000  # of decoding, then the rest is given up
# What the first bytes say, and FFmpeg's word for it.
_STARTS: tuple[tuple[int, bytes, str], ...] = (
    (0, b"fLaC", "flac"),
    (0, b"OggS", "ogg"),
    (0, b"ID3", "mp3"),
    (4, b"ftyp", "mov"),
    (4, b"moov", "mov"),
    (4, b"mdat", "mov"),
    (4, b"wide", "mov"),
    (0, b"caff", "caf"),
    (0, b"FORM", "aiff"),
    (0, b"\x1a\x45\xdf\xa3", "matroska"),
    (0, b"#!AMR", "amr"),
    (0, b"wvpk", "wv"),
    (0, b".snd", "au"),
    (0, b"\x30\x26\xb2\x75", "asf"),
    (0, b"RIFX", "wav"),
    (8, b"AVI ", "avi"),
    (0, b"riff\x2e\x91\xcf\x11", "w64"),
)
MIMES = {
    "wav": "audio/wav",
    "flac": "audio/flac",
    "ogg": "audio/ogg",
    "mp3": "audio/mpeg",
    "mov": "audio/mp4",
    "caf": "audio/x-caf",
    "aiff": "audio/aiff",
    "matroska": "video/webm",
    "amr": "audio/amr",
    "wv": "audio/x-wavpack",
    "au": "audio/basic",
    "asf": "video/x-ms-asf",
    "aac": "audio/aac",
    "avi": "video/x-msvideo",
    "w64": "audio/x-w64",
    "mpegts": "video/mp2t",
}
BROWSERS_PLAY = frozenset(
    {"audio/wav", "audio/flac", "audio/ogg", "audio/mpeg", "audio/mp4", "audio/aac"}
)
_LOSSLESS = ("pcm_", "flac", "alac", "wavpack")
NO_INDEX_MIME = "audio/x-m4a"  # none that a browser plays, so that it is played from a copy
EXACT = frozenset(
    {
        "flac",
        "pcm_s16be",
        "pcm_s16le",
        "pcm_s24be",
        "pcm_s24le",
        "pcm_s8",
        "pcm_u8",
        "pcm_s32be",
        "pcm_s32le",
    }
)


@dataclass
class Recording:
    """A file opened for its sound. `blocks` may be gone through once; `warnings` is whole only
    after that.
    """

    kind: str
    mime: str
    rate_hz: int
    channels: int
    coding: Coding
    bits: int | None  # of an integer sample
    said_s: float | None  # what the file says of its own length
    blocks: Iterator[Samples]
    warnings: list[Said] = field(default_factory=list)
    close: Callable[[], None] = lambda: None
    rate_told: bool = True  # else it is taken, and no frequency can be relied on

    def __enter__(self) -> Recording:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()


def sniff(head: bytes, name: str = "recording") -> str:
    """Which kind of file it is, by its first bytes and never by its name. Raises Refused."""
    if not head:
        raise Refused("file", name, said("refusal.file_empty"))
    if head[:4] in (b"RIFF", b"RF64", b"BW64") and head[8:12] == b"WAVE":
        return "wav"
    for at, start, kind in _STARTS:
        if head[at : at + len(start)] == start:
            return kind
    if len(head) > 196 and any(
        head[at] == head[at + step] == 0x47 for at, step in ((0, 188), (4, 192))
    ):  # camcorders' .mts
        return "mpegts"
    if len(head) > 2 and head[0] == 0xFF and head[1] & 0xE0 == 0xE0:
        return "aac" if head[1] & 0xF6 == 0xF0 else "mp3"
    raise Refused("file", name, said("refusal.file_no_recording"))


def open_recording(path: Path, *, name: str | None = None) -> Recording:
    """Open a file for its sound; memory stays that of one block whatever the length. Raises Refused
    for what has no sound that can be read.
    """
    called = name or path.name
    file = path.open("rb")
    try:
        kind = sniff(file.read(256), called)
        size = path.stat().st_size
        head_warnings: tuple[Said, ...] = ()
        if kind == "wav":
            file.seek(0)
            if file.read(4) != b"RIFX":
                layout = wav_layout(file, size, called)
                if layout.tag in (PCM, FLOAT):
                    return _wav(file, layout)
                head_warnings = layout.warnings
        return _decoded(file, kind, called, size, head_warnings)
    except BaseException:
        file.close()
        raise


def _wav(file: BinaryIO, layout: WavLayout) -> Recording:
    integer = layout.tag == PCM
    promised_s = (
        None
        if layout.said_bytes is None
        else layout.said_bytes / (layout.channels * layout.bytes_a_sample * layout.rate_hz)
    )
    frame = layout.channels * layout.bytes_a_sample
    warnings = list(layout.warnings)

    def blocks() -> Iterator[Samples]:
        file.seek(layout.starts)
        left = layout.frames
        while left > 0:
            data = file.read(min(left, max(1, int(layout.rate_hz * BLOCK_S))) * frame)
            got = len(data) // frame
            if got == 0:
                break
            left -= got
            yield _samples(data[: got * frame], layout).reshape(-1, layout.channels)

    return Recording(
        "wav",
        MIMES["wav"],
        layout.rate_hz,
        layout.channels,
        "integer" if integer else "float",
        8 * layout.bytes_a_sample if integer else None,
        promised_s,
        blocks(),
        warnings,
        file.close,
    )


def _samples(data: bytes, layout: WavLayout) -> Samples:
    width = layout.bytes_a_sample
    if layout.tag == FLOAT:
        with np.errstate(
            over="ignore", invalid="ignore"
        ):  # what is no number, or none that fits, is counted where it is measured
            return np.frombuffer(data, "<f4" if width == 4 else "<f8").astype(np.float32)
    if width == 1:
        return (np.frombuffer(data, np.uint8).astype(np.float32) - 128.0) / np.float32(128.0)
    if width == 2:
        return np.frombuffer(data, "<i2").astype(np.float32) / np.float32(32768.0)
    if width == 3:
        padded = np.zeros((len(data) // 3, 4), np.uint8)
        padded[:, 1:] = np.frombuffer(data, np.uint8).reshape(-1, 3)
        return padded.view("<i4")[:, 0].astype(np.float32) / np.float32(2**31)
    return np.frombuffer(data, "<i4").astype(np.float32) / np.float32(2**31)


def _decoded(
    file: BinaryIO, kind: str, name: str, size: int, head_warnings: tuple[Said, ...]
) -> Recording:
    cut, told = missing_end(file, kind, size), length_is_told(file, kind)
    file.seek(0)
    try:
        box: Any = av.open(file, mode="r", format=kind, metadata_errors="ignore")
    except (av.FFmpegError, OSError, ValueError):
        saved = _saved(file, size) if kind == "mov" else None
        if saved is not None:
            return saved
        raise Refused(
            "file",
            name,
            said(
                "refusal.file_no_index" if kind == "mov" else "refusal.file_damaged",
                kind=Word("file_kind", kind),
            ),
        ) from None
    try:
        if not box.streams.audio:
            raise Refused(
                "file",
                name,
                said("refusal.file_no_sound"),
            )
        stream = box.streams.audio[0]
        codec = stream.codec_context
        if codec is None:
            raise Refused("file", name, said("refusal.file_undecoded"))
        rate, channels = int(codec.sample_rate or 0), int(codec.channels or 0)
        if rate < 1 or not 1 <= channels <= MOST_CHANNELS:
            raise Refused("file", name, said("refusal.file_undecoded"))
        promised_s = (
            float(stream.duration * stream.time_base)
            if stream.duration and stream.time_base
            else float(box.duration) / 1e6
            if box.duration
            else None
        )
        coding, bits = _coding(codec)
    except BaseException:
        box.close()
        raise
    warnings = [*head_warnings]
    if len(box.streams.audio) > 1:
        warnings.append(said("file.tracks", count=len(box.streams.audio)))

    def close() -> None:
        box.close()
        file.close()

    film = bool(box.streams.video) and kind in ("mov", "matroska")
    mime = MIMES[kind].replace("audio/", "video/") if film else MIMES[kind]
    ending = _Ending(
        promised_s if told and not head_warnings else None,
        cut,
        exact=codec.name in EXACT and kind in ("flac", "aiff"),
        told_already=bool(head_warnings),
    )
    return Recording(
        kind,
        mime,
        rate,
        channels,
        coding,
        bits,
        promised_s,
        _in_blocks(_decode(box, stream, rate, channels, ending, warnings), rate),
        warnings,
        close,
    )


def _saved(file: BinaryIO, size: int) -> Recording | None:
    """What an M4A without its index still holds; None where it is no sound."""
    found = lost_frames(file, size)
    if found is None:
        return None
    channels, frames = found
    warnings: list[Said] = []

    def blocks() -> Iterator[Samples]:
        total = 0
        for block in _in_blocks(frames, TAKEN_RATE_HZ):
            total += len(block)
            yield block
        there = Figure(total / TAKEN_RATE_HZ, "s")
        warnings.append(
            said("file.cut_off", promised=None, there=there, why=said("file.index_lost"))
        )
        warnings.append(said("file.rate_taken", rate=Figure(TAKEN_RATE_HZ, "Hz")))

    return Recording(
        "mov",
        NO_INDEX_MIME,
        TAKEN_RATE_HZ,
        channels,
        "lossy",
        None,
        None,
        blocks(),
        warnings,
        file.close,
        rate_told=False,
    )


@dataclass(frozen=True)
class _Ending:
    """What a file says of its end: its length where it tells one, and why it cannot be whole."""

    said_s: float | None
    cut: Said | None
    exact: bool  # its length is told to the sample
    told_already: bool  # what is odd about its length was read off its header

    def words(self, there_s: float, faults: int, *, fault_last: bool) -> list[Said]:
        """What to say of the end and of what could not be decoded."""
        promised, short = self.said_s, False
        if promised is not None:
            short = there_s < promised - (0.002 if self.exact else max(0.3, 0.01 * promised))
        cut = (self.cut is not None and self.cut != NO_LENGTH) or short or fault_last
        words = []
        lost = faults - (1 if cut and fault_last else 0)
        if lost > 0:
            words.append(said("file.parts_lost", count=faults))
        if cut and not self.told_already:
            long = promised is not None and promised - there_s >= 0.05
            words.append(
                said(
                    "file.cut_off",
                    promised=Figure(promised, "s") if promised is not None and long else None,
                    there=Figure(there_s, "s"),
                    why=None if long else self.cut or INSIDE,
                )
            )
        elif self.cut == NO_LENGTH and not self.told_already:
            words.append(said("file.streamed"))
        return words


def _coding(codec: Any) -> tuple[Coding, int | None]:
    if not codec.name.startswith(_LOSSLESS):
        return "lossy", None
    if codec.format is not None and codec.format.name.startswith(("flt", "dbl")):
        return "float", None
    known = {"pcm_s16": 16, "pcm_s24": 24, "pcm_s32": 32, "pcm_u8": 8, "pcm_s8": 8}
    bits = next((value for start, value in known.items() if codec.name.startswith(start)), None)
    bits = bits or (16 if codec.format is not None and codec.format.name.startswith("s16") else 24)
    return "integer", bits


def _in_blocks(frames: Iterable[Samples], rate_hz: int) -> Iterator[Samples]:
    """Frames gathered into blocks of a second."""
    waiting: list[Samples] = []
    held = 0
    for frame in frames:
        waiting.append(frame)
        held += len(frame)
        if held >= rate_hz * BLOCK_S:
            yield np.concatenate(waiting)
            waiting, held = [], 0
    if waiting:
        yield np.concatenate(waiting)


def _decode(
    box: Any, stream: Any, rate: int, channels: int, ending: _Ending, warnings: list[Said]
) -> Iterator[Samples]:
    """The sound of a stream, frame by frame; what is odd about it is added to the warnings."""
    faults, frames, fault_last = 0, 0, False
    packets = iter(box.demux(stream))
    while faults <= MOST_FAULTS:
        try:
            packet = next(packets, None)
            if packet is None:
                break
            decoded = packet.decode()
        except (av.FFmpegError, OSError):
            # OSError: a damaged file sends its reader to a place no file has
            faults += 1
            fault_last = True
            continue
        fault_last = fault_last and not decoded
        for frame in decoded:
            if frame.sample_rate != rate or len(frame.layout.channels) != channels:
                warnings.append(said("file.changes"))
                return
            samples = _frame_samples(frame, channels)
            frames += len(samples)
            yield samples
    warnings += ending.words(frames / rate, faults, fault_last=fault_last)


def _frame_samples(frame: Any, channels: int) -> Samples:
    array: NDArray[Any] = frame.to_ndarray()
    name = frame.format.name
    plain = array.T if name.endswith("p") else array.reshape(-1, channels)
    if array.dtype.kind == "f":
        return np.ascontiguousarray(plain, dtype=np.float32)
    if array.dtype == np.uint8:
        return (plain.astype(np.float32) - 128.0) / np.float32(128.0)
    return np.ascontiguousarray(plain, dtype=np.float32) / np.float32(
        2 ** (8 * array.dtype.itemsize - 1)
    )
