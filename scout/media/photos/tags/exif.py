"""The few EXIF tags a scout needs (JEITA CP-3451 / CIPA DC-008), as they are written; judged
elsewhere.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from scout.media.photos.containers.ifd import (
    Directory,
    Entry,
    byte_order,
    first_directory_at,
    read_directory,
)
from scout.values import Said, Word, said

_ORIENTATION, _EXIF_POINTER, _GPS_POINTER = 0x0112, 0x8769, 0x8825
_MAKE, _MODEL = 0x010F, 0x0110
_ORIGINAL, _DIGITIZED, _SUBSEC, _OFFSET, _COLOUR_SPACE, _INTEROP = (
    0x9003,
    0x9004,
    0x9291,
    0x9011,
    0xA001,
    0xA005,
)
_SOFTWARE, _CHANGED = 0x0131, 0x0132
_SHUTTER, _F_NUMBER, _SPEED, _APEX_SHUTTER, _APEX_STOP = 0x829A, 0x829D, 0x8827, 0x9201, 0x9202
_OUTPUT_SPEED, _INDEX_SPEED, _WIDTH, _HEIGHT, _RENDERED = 0x8831, 0x8832, 0xA002, 0xA003, 0xA401
_ZOOM, _EQUIVALENT = 0xA404, 0xA405
_FIRST = frozenset({_ORIENTATION, _EXIF_POINTER, _GPS_POINTER, _MAKE, _MODEL, _SOFTWARE, _CHANGED})
_SUB = frozenset({_ORIGINAL, _DIGITIZED, _SUBSEC, _OFFSET, _COLOUR_SPACE, _INTEROP}) | frozenset(
    {_SHUTTER, _F_NUMBER, _SPEED, _APEX_SHUTTER, _APEX_STOP}
    | {_OUTPUT_SPEED, _INDEX_SPEED, _WIDTH, _HEIGHT, _RENDERED, _ZOOM, _EQUIVALENT}
)
SPEED_ELSEWHERE = 65535.0  # Exif 2.3: a speed too large for two bytes stands in a tag of its own

Numbers = tuple[float | None, ...]


@dataclass(frozen=True)
class GpsTags:
    """The GPS directory as it stands: numbers may hold None (0/0), text may be empty, and anything
    may be absent.
    """

    latitude_ref: str | None = None
    latitude: Numbers | None = None
    longitude_ref: str | None = None
    longitude: Numbers | None = None
    altitude_ref: float | None = None
    altitude: Numbers | None = None
    time: Numbers | None = None
    date: str | None = None
    status: str | None = None
    bearing_ref: str | None = None
    bearing: Numbers | None = None
    datum: str | None = None
    accuracy: Numbers | None = None
    wrong: tuple[str, ...] = ()  # what is there but of a type that cannot be read


@dataclass(frozen=True)
class ExposureTags:
    """What the picture was exposed with, and what tells whether it is as the camera made it.

    changed: DateTime (0x0132), of the last edit;  rendered: CustomRendered, 0 for an ordinary one
    equivalent_mm: focal length that shows as much on 35 mm film;  zoom: how far it was blown up
    """

    shutter_s: float | None = None
    f_number: float | None = None
    iso: float | None = None
    width_px: float | None = None
    height_px: float | None = None
    rendered: float | None = None
    software: str | None = None
    changed: str | None = None
    equivalent_mm: float | None = None
    zoom: float | None = None


@dataclass(frozen=True)
class ExifTags:
    """The tags of one EXIF block. DateTime (0x0132) tells of the last edit, not of the capture: it
    stands with the exposure.
    """

    orientation: float | None = None
    orientation_wrong: bool = False
    original: str | None = None
    digitized: str | None = None
    subsecond: str | None = None
    offset: str | None = None
    camera: str | None = None
    adobe_rgb: bool = False
    gps: GpsTags | None = None
    exposure: ExposureTags = ExposureTags()
    notes: tuple[Said, ...] = ()


def read_exif(block: bytes) -> ExifTags:
    """The tags of a TIFF-structured EXIF block; whatever is damaged is left out and notes."""
    order = byte_order(block)
    if order is None:
        return ExifTags(notes=(said("photo.no_exif"),))
    notes: list[Said] = []
    first = read_directory(block, order, first_directory_at(block, order), _FIRST)
    if first.cut_short:
        notes.append(said("photo.exif_cut"))

    def below(pointer: int, what: str, wanted: frozenset[int]) -> Directory | None:
        entry = first.get(pointer)
        if entry is None:
            return None
        at = entry.whole()
        found = None if at is None else read_directory(block, order, at, wanted)
        if found is None or (found.cut_short and not found.entries):
            notes.append(said("photo.no_directory", part=Word("photo_part", what)))
            return None
        return found

    sub = below(_EXIF_POINTER, "camera", _SUB)
    gps = below(_GPS_POINTER, "position", frozenset(range(32)))
    orientation = first.get(_ORIENTATION)
    adobe_rgb = False
    if (
        sub is not None
        and (interop := sub.get(_INTEROP)) is not None
        and (at := interop.whole()) is not None
    ):
        # Exif, Interoperability IFD: R03 is the DCF optional colour space, Adobe RGB (1998)
        mark = read_directory(block, order, at, frozenset({1})).get(1)
        adobe_rgb = mark is not None and mark.text() == "R03"
    return ExifTags(
        orientation=_number(orientation),
        orientation_wrong=_ORIENTATION in first.lost
        or (orientation is not None and _number(orientation) is None),
        original=_text(sub, _ORIGINAL, said("photo.time_damaged"), notes),
        digitized=_text(sub, _DIGITIZED, None, notes),
        subsecond=_text(sub, _SUBSEC, said("photo.fraction_damaged"), notes),
        offset=_text(sub, _OFFSET, said("photo.offset_damaged"), notes),
        camera=_camera(first),
        adobe_rgb=adobe_rgb,
        gps=_gps(gps) if gps is not None and (set(gps.entries) | gps.lost) - {0} else None,
        exposure=_exposure(first, sub),
        notes=tuple(notes),
    )


def _exposure(first: Directory, sub: Directory | None) -> ExposureTags:
    """Exif 2.32, 4.6.5: shutter and stop as they stand, or by their APEX values; the speed, or where
    the tag for it says that it is elsewhere.
    """

    def value(tag: int) -> float | None:
        found = _number(None if sub is None else sub.get(tag))
        return found if found is not None and math.isfinite(found) else None

    shutter, stop, speed = value(_SHUTTER), value(_F_NUMBER), value(_SPEED)
    if shutter is None and (apex := value(_APEX_SHUTTER)) is not None and abs(apex) < 40:
        shutter = 2.0**-apex
    if stop is None and (apex := value(_APEX_STOP)) is not None and abs(apex) < 40:
        stop = 2.0 ** (apex / 2.0)
    if speed is None or speed >= SPEED_ELSEWHERE:
        speed = value(_INDEX_SPEED) or value(_OUTPUT_SPEED)
    parts = shutter, stop, speed, value(_EQUIVALENT), value(_ZOOM)  # a 0 says "unknown"
    shutter, stop, speed, equivalent, zoom = (
        part if part is not None and part > 0 else None for part in parts
    )
    told = [entry.text() if (entry := first.get(tag)) else None for tag in (_SOFTWARE, _CHANGED)]
    size = value(_WIDTH), value(_HEIGHT)
    return ExposureTags(
        shutter, stop, speed, *size, value(_RENDERED), told[0], told[1], equivalent, zoom
    )


def _number(entry: Entry | None) -> float | None:
    values = entry.numbers() if entry else None
    return values[0] if values else None


def _text(
    directory: Directory | None, tag: int, wrong: Said | None, notes: list[Said]
) -> str | None:
    if directory is None:
        return None
    entry = directory.get(tag)
    text = entry.text() if entry else None
    if text is None and wrong and (entry is not None or tag in directory.lost):
        notes.append(wrong)
    return text


def _camera(first: Directory) -> str | None:
    make, model = (
        (entry.text() or "") if (entry := first.get(tag)) else "" for tag in (_MAKE, _MODEL)
    )
    if make and model.lower().startswith(make.lower()):
        make = ""
    text = "".join(ch if ch.isprintable() else " " for ch in f"{make} {model}").strip()
    return text[:120] or None


def _gps(directory: Directory) -> GpsTags:
    wrong: list[str] = []

    def text(tag: int, what: str) -> str | None:
        entry = directory.get(tag)
        found = entry.text() if entry else None
        if found is None and (entry is not None or tag in directory.lost):
            wrong.append(what)
        return found

    def numbers(tag: int, what: str) -> Numbers | None:
        entry = directory.get(tag)
        found = entry.numbers() if entry else None
        if found is None and (entry is not None or tag in directory.lost):
            wrong.append(what)
        return found[:8] if found is not None else None

    below = numbers(5, "altitude reference")
    return GpsTags(
        latitude_ref=text(1, "latitude reference"),
        latitude=numbers(2, "latitude"),
        longitude_ref=text(3, "longitude reference"),
        longitude=numbers(4, "longitude"),
        altitude_ref=below[0] if below else None,
        altitude=numbers(6, "altitude"),
        time=numbers(7, "satellite time"),
        status=text(9, "receiver status"),
        bearing_ref=text(16, "bearing reference"),
        bearing=numbers(17, "bearing"),
        datum=text(18, "map datum"),
        date=text(29, "satellite date"),
        accuracy=numbers(31, "position error"),
        wrong=tuple(wrong),
    )
