"""One directory of a TIFF structure (TIFF 6.0, section 2), read with distrust.

Nothing here follows a chain: a caller names the one directory it wants, so a chain that loops
    costs nothing. A value is
taken only where all of it lies inside the block, so a count that claims gigabytes costs nothing
either.
"""

from __future__ import annotations

import math
import struct
from dataclasses import dataclass
from typing import Literal

Order = Literal["<", ">"]

# TIFF 6.0 types, with 129 (UTF-8 text) of Exif 3.0: bytes for one value, struct code
_TYPES = {
    1: "B",
    2: "c",
    3: "H",
    4: "L",
    5: "LL",
    6: "b",
    7: "c",
    8: "h",
    9: "l",
    10: "ll",
    11: "f",
    12: "d",
    13: "L",
    129: "c",
}
_TEXT_TYPES = {1, 2, 7, 129}
_MOST_NUMBERS = 1_000_000


@dataclass(frozen=True)
class Entry:
    """One value of a directory: its type, its raw bytes, and the twelve bytes that stand in the
    directory.
    """

    kind: int
    count: int
    raw: bytes
    order: Order
    field: bytes

    def text(self) -> str | None:
        """Text up to the first zero byte, without blanks around it; None when the type cannot hold
        text.
        """
        if self.kind not in _TEXT_TYPES:
            return None
        raw = self.raw.partition(b"\0")[0]
        try:
            return raw.decode("utf-8").strip()
        except UnicodeDecodeError:
            return raw.decode("latin-1").strip()

    def numbers(self) -> tuple[float | None, ...] | None:
        """The values as numbers, None for each that is not one (0/0, 1/0, NaN); None when the type
        cannot hold numbers.
        """
        code = _TYPES[self.kind]
        if code == "c":
            return None
        count = min(self.count, _MOST_NUMBERS)
        values = struct.unpack_from(f"{self.order}{count * len(code)}{code[0]}", self.raw)
        if len(code) == 2:
            return tuple(
                a / b if b else None for a, b in zip(values[::2], values[1::2], strict=True)
            )
        return tuple(float(v) if math.isfinite(v) else None for v in values)

    def whole(self) -> int | None:
        """A single whole number, or None."""
        values = self.numbers()
        return (
            int(values[0])
            if values and values[0] is not None and values[0] == int(values[0])
            else None
        )


@dataclass(frozen=True)
class Directory:
    """entries: by tag, the first of each; lost: tags whose value lies outside the block or has no
    known type.
    """

    entries: dict[int, Entry]
    lost: frozenset[int]
    cut_short: bool

    def get(self, tag: int) -> Entry | None:
        return self.entries.get(tag)


def byte_order(block: bytes) -> Order | None:
    """The byte order a classic TIFF block begins with, or None when it begins otherwise."""
    return {b"II*\0": "<", b"MM\0*": ">"}.get(block[:4])  # type: ignore[return-value]


def first_directory_at(block: bytes, order: Order) -> int:
    """Where the first directory lies; past the end of the block when nothing says so."""
    return int(struct.unpack_from(f"{order}L", block, 4)[0]) if len(block) >= 8 else len(block)


def read_directory(block: bytes, order: Order, at: int, wanted: frozenset[int]) -> Directory:
    """The wanted tags of the directory at byte `at` of the block.

    block:   (bytes,), a TIFF structure from its byte-order mark on
    Returns: a Directory, empty and `cut_short` when `at` lies outside the block
    """
    entries: dict[int, Entry] = {}
    lost: set[int] = set()
    if at < 8 or at + 2 > len(block):
        return Directory(entries, frozenset(lost), cut_short=True)
    count = struct.unpack_from(f"{order}H", block, at)[0]
    for i in range(count):
        place = at + 2 + 12 * i
        if place + 12 > len(block):
            return Directory(entries, frozenset(lost), cut_short=True)
        tag, kind, number = struct.unpack_from(f"{order}HHL", block, place)
        if tag not in wanted or tag in entries:
            continue
        if kind not in _TYPES:
            lost.add(tag)
            continue
        length = struct.calcsize(f"={_TYPES[kind]}") * number
        start = place + 8 if length <= 4 else struct.unpack_from(f"{order}L", block, place + 8)[0]
        if start + length > len(block):
            lost.add(tag)
            continue
        entries[tag] = Entry(
            kind, number, block[start : start + length], order, block[place : place + 12]
        )
    return Directory(entries, frozenset(lost), cut_short=False)
