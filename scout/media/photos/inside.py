"""A photo file opened as far as it can be without decoding its picture: parts, tags, and which way
is up.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from scout.errors import Refused
from scout.media.photos.exif import ExifTags, read_exif
from scout.media.photos.limits import ACCEPTED, PhotoLimits
from scout.media.photos.parts import Parts
from scout.media.photos.sniff import name_disagrees, take_apart
from scout.media.photos.xmp import XmpTags, read_xmp

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
    said: tuple[str, ...]


def look_inside(source: Path | bytes, name: str, limits: PhotoLimits) -> Inside:
    """Raises Refused("photo", ...) for what is too large, no photo, or so broken that nothing of it
    can be shown.
    """
    name = name or (source.name if isinstance(source, Path) else "the file")
    data = _bytes(source, name, limits)
    parts = take_apart(data, name, limits)
    exif = read_exif(parts.exif) if parts.exif else None
    xmp = read_xmp(parts.xmp) if parts.xmp else None
    said = [*parts.said, *(exif.said if exif else ()), *(xmp.said if xmp else ())]
    if disagrees := name_disagrees(name, parts.format):
        said.insert(0, disagrees)
    orientation = _orientation(parts, exif, xmp, said)
    return Inside(name, data, parts, exif, xmp, orientation, tuple(said))


def _bytes(source: Path | bytes, name: str, limits: PhotoLimits) -> bytes:
    if isinstance(source, Path):
        try:
            if not source.exists():
                raise Refused("photo", name, "is not there")
            if not source.is_file():  # a pipe or a device would be waited on for ever
                raise Refused("photo", name, f"is not a file; give a {ACCEPTED} photo")
            _check_bytes(source.stat().st_size, name, limits)
            with source.open("rb") as file:
                source = file.read(limits.max_bytes + 1)  # it may have grown since
        except OSError as why:
            raise Refused(
                "photo", name, f"could not be read: {why.strerror or 'the disk gave an error'}"
            ) from why
    _check_bytes(len(source), name, limits)
    return source


def _check_bytes(size_bytes: int, name: str, limits: PhotoLimits) -> None:
    if size_bytes > limits.max_bytes:
        raise Refused(
            "photo",
            name,
            f"is {size_bytes / 1e6:.1f} MB; the limit for a photo is {limits.max_bytes / 1e6:g} MB",
        )


def _orientation(parts: Parts, exif: ExifTags | None, xmp: XmpTags | None, said: list[str]) -> int:
    """How to turn the stored picture. EXIF decides; XMP is asked only where EXIF is silent; a HEIC
    is upright already.
    """
    if parts.turned:
        return 1
    of_exif = exif.orientation if exif else None
    of_xmp = xmp.orientation if xmp else None
    if of_exif is None and of_xmp is None:
        if exif and exif.orientation_wrong:
            said.append(
                "The orientation was not read: its EXIF tag is damaged or of the wrong type. The picture is shown as stored."
            )
        return 1
    given = of_xmp if of_exif is None else of_exif
    assert given is not None
    if given not in range(1, 9):
        said.append(
            f"The orientation {given:g} does not exist (1 to 8 do). The picture is shown as stored."
        )
        return 1
    if of_exif is not None and of_xmp is not None and of_exif != of_xmp:
        said.append(
            f"EXIF gives orientation {of_exif:g} and XMP {of_xmp:g}; that of EXIF was used."
        )
    return int(given)
