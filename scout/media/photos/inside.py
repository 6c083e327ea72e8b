"""A photo file opened as far as it can be without decoding its picture: parts, tags, and which way
is up.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from scout.errors import Refused
from scout.media.photos.containers.parts import Parts
from scout.media.photos.containers.sniff import name_disagrees, take_apart
from scout.media.photos.limits import ACCEPTED, PhotoLimits
from scout.media.photos.tags.exif import ExifTags, read_exif
from scout.media.photos.tags.xmp import XmpTags, read_xmp
from scout.values import Figure, Name, Said, said

SIDEWAYS = frozenset({5, 6, 7, 8})


@dataclass(frozen=True)
class Inside:
    """orientation: 1 to 8 as the Exif standard numbers them, what is still to be done to show the
    picture upright
    """

    name: str
    data: bytes
    parts: Parts
    exif: ExifTags | None
    xmp: XmpTags | None
    orientation: int
    notes: tuple[Said, ...]


def look_inside(source: Path | bytes, name: str, limits: PhotoLimits) -> Inside:
    """Raises Refused("photo", ...) for what is too large, no photo, or so broken that nothing of it
    can be shown.
    """
    name = name or (source.name if isinstance(source, Path) else "the file")
    data = _bytes(source, name, limits)
    parts = take_apart(data, name, limits)
    exif = read_exif(parts.exif) if parts.exif else None
    xmp = read_xmp(parts.xmp) if parts.xmp else None
    notes = [*parts.notes, *(exif.notes if exif else ()), *(xmp.notes if xmp else ())]
    if disagrees := name_disagrees(name, parts.format):
        notes.insert(0, disagrees)
    orientation = _orientation(parts, exif, xmp, notes)
    return Inside(name, data, parts, exif, xmp, orientation, tuple(notes))


def _bytes(source: Path | bytes, name: str, limits: PhotoLimits) -> bytes:
    if isinstance(source, Path):
        try:
            if not source.exists():
                raise Refused("photo", name, said("photo.not_there"))
            if not source.is_file():  # a pipe or a device would be waited on for ever
                raise Refused("photo", name, said("photo.no_file", accepted=Name(ACCEPTED)))
            _check_bytes(source.stat().st_size, name, limits)
            with source.open("rb") as file:
                source = file.read(limits.max_bytes + 1)  # it may have grown since
        except OSError as why:
            raise Refused(
                "photo", name, said("command.unread", why=Name(why.strerror or str(why)))
            ) from why
    _check_bytes(len(source), name, limits)
    return source


def _check_bytes(size_bytes: int, name: str, limits: PhotoLimits) -> None:
    if size_bytes > limits.max_bytes:
        raise Refused(
            "photo",
            name,
            said(
                "photo.too_large",
                size=Figure(size_bytes / 1e6),
                limit=Figure(limits.max_bytes / 1e6),
            ),
        )


def _orientation(
    parts: Parts, exif: ExifTags | None, xmp: XmpTags | None, notes: list[Said]
) -> int:
    """How to turn the stored picture. EXIF decides; XMP is asked only where EXIF is silent; a HEIC
    is upright already.
    """
    if parts.turned:
        return 1
    of_exif = exif.orientation if exif else None
    of_xmp = xmp.orientation if xmp else None
    if of_exif is None and of_xmp is None:
        if exif and exif.orientation_wrong:
            notes.append(said("photo.orientation_damaged"))
        return 1
    given = of_xmp if of_exif is None else of_exif
    assert given is not None
    if given not in range(1, 9):
        notes.append(said("photo.orientation_none", given=Figure(given)))
        return 1
    if of_exif is not None and of_xmp is not None and of_exif != of_xmp:
        notes.append(said("photo.orientations", exif=Figure(of_exif), xmp=Figure(of_xmp)))
    return int(given)
