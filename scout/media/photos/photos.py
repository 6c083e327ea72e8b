"""What a photo says of itself: size, time, place and bearing, each with the reason where it is not
recorded.
"""

from __future__ import annotations

import dataclasses
import hashlib
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

from scout.calc.magnetic import declination
from scout.media.photos.containers.profiles import fault_of
from scout.media.photos.containers.sniff import MEDIA_TYPES
from scout.media.photos.inside import Inside, look_inside
from scout.media.photos.limits import DEFAULT, PhotoLimits
from scout.media.photos.pictures import upright_size
from scout.media.photos.tags.clock import Moment, compare_clocks, exif_moment, utc_text, xmp_moment
from scout.media.photos.tags.place import Place, place_of, satellite_time
from scout.values import Figure, Many, Name, Said, said

# what tells why there is no capture time
NO_TIME = frozenset(
    {"photo.time_empty", "photo.time_unread", "photo.time_unread_xmp", "photo.time_damaged"}
)


@dataclass(frozen=True)
class PhotoFacts:
    """What was read from one photo; None is "not recorded", and `warnings` says why wherever there
    is a reason.

    format, media_type:     by content
    sha256, size_bytes:     of the file as given
    width_px, height_px:    upright
    orientation:            1 to 8, what is done to the stored picture to show it upright (a
        HEIC turns itself: 1)
    taken_at:               ISO 8601; with an offset only where one is recorded, else as the
        camera's clock showed it
    taken_at_utc:           the same in UTC, only where the offset is recorded
    taken_from:             "EXIF" or "XMP"
    satellite_at_utc:       the satellites' clock, where recorded; compared with the camera's,
        never used in its place
    latitude_deg, longitude_deg: WGS 84, north and east positive
    position_from:          "EXIF" or "XMP"
    possible_positions:     (latitude, longitude) pairs to choose from where a hemisphere is missing
    altitude_m:             above the sea; accuracy_m: radius the receiver claimed
    bearing_deg:            clockwise from TRUE north; None when it cannot be known from here
    bearing_magnetic_deg:   clockwise from magnetic north, where that is what was recorded
    bearing_recorded_deg, bearing_north: the number as it stands in the file, and "true",
        "magnetic" or None (not notes)
    declination_deg:        used for bearing_deg, east positive
    camera:                 make and model
    complete:               False when the file stops before its picture does
    """

    format: str
    media_type: str
    sha256: str
    size_bytes: int
    width_px: int
    height_px: int
    orientation: int
    taken_at: str | None
    taken_at_utc: str | None
    taken_from: str | None
    satellite_at_utc: str | None
    latitude_deg: float | None
    longitude_deg: float | None
    position_from: str | None
    possible_positions: tuple[tuple[float, float], ...]
    altitude_m: float | None
    accuracy_m: float | None
    bearing_deg: float | None
    bearing_magnetic_deg: float | None
    bearing_recorded_deg: float | None
    bearing_north: str | None
    declination_deg: float | None
    camera: str | None
    complete: bool
    warnings: tuple[Said, ...]

    def as_json(self) -> dict[str, Any]:
        """Every field under its own name, ready for json.dumps; no number in it is NaN or infinite."""
        plain = dataclasses.asdict(dataclasses.replace(self, warnings=()))
        return {**plain, "warnings": [str(warning) for warning in self.warnings]}


def read_photo(
    source: Path | bytes, *, name: str = "", limits: PhotoLimits = DEFAULT
) -> PhotoFacts:
    """Read a photo's facts without decoding its picture.

    source: a path, or the bytes of the file
    name:   shown in refusals and held against the content; the path's own where left out
    Raises: Refused("photo", name, ...) for a file too large, no photo, or so broken that
        nothing of it can be shown
    """
    return facts_of(look_inside(source, name, limits))


def facts_of(inside: Inside, sha256: str | None = None) -> PhotoFacts:
    """As `read_photo`, for a file already opened, and perhaps hashed."""
    parts, notes = inside.parts, [*inside.notes]
    if parts.icc is not None and (fault := fault_of(parts.icc)):
        notes.append(fault)
    taken, taken_from = _taken(inside, notes)
    gps = inside.exif.gps if inside.exif else None
    satellite = satellite_time(gps) if gps else None
    if taken is not None and satellite is not None:
        compare_clocks(taken, satellite, notes)
    place, position_from = _place(inside, notes)
    bearing_deg, declination_deg = _true_bearing(place, taken, satellite, notes)
    width_px, height_px = upright_size(parts, inside.orientation)
    utc = taken.utc() if taken else None
    return PhotoFacts(
        format=parts.format,
        media_type=MEDIA_TYPES[parts.format],
        sha256=sha256 or hashlib.sha256(inside.data).hexdigest(),
        size_bytes=len(inside.data),
        width_px=width_px,
        height_px=height_px,
        orientation=inside.orientation,
        taken_at=taken.iso() if taken else None,
        taken_at_utc=utc_text(utc) if utc else None,
        taken_from=taken_from,
        satellite_at_utc=utc_text(satellite) if satellite else None,
        latitude_deg=place.latitude_deg,
        longitude_deg=place.longitude_deg,
        position_from=position_from,
        possible_positions=place.possible,
        altitude_m=place.altitude_m,
        accuracy_m=place.accuracy_m,
        bearing_deg=bearing_deg,
        bearing_magnetic_deg=place.bearing_deg if place.bearing_north == "magnetic" else None,
        bearing_recorded_deg=place.bearing_deg,
        bearing_north=place.bearing_north,
        declination_deg=declination_deg,
        camera=inside.exif.camera if inside.exif else None,
        complete=parts.complete,
        warnings=tuple(dict.fromkeys(notes)),
    )


def _taken(inside: Inside, notes: list[Said]) -> tuple[Moment | None, str | None]:
    """The capture time and where it stands. EXIF is used before XMP; where they disagree both are
    notes.
    """
    exif, xmp = inside.exif, inside.xmp
    of_exif = (
        exif_moment(exif.original, exif.subsecond, exif.offset, notes)
        if exif and exif.original is not None
        else None
    )
    of_xmp = xmp_moment(xmp.created, notes) if xmp and xmp.created else None
    taken = of_exif or of_xmp
    if taken is None:
        if exif and exif.digitized and exif_moment(exif.digitized, None, None, []):
            notes.append(said("photo.digitised", at=Name(exif.digitized[:40])))
        elif NO_TIME.isdisjoint(note.code for note in notes):
            notes.append(said("photo.no_time"))
        return None, None
    if of_exif and of_xmp and _apart(of_exif, of_xmp):
        notes.append(said("photo.times", exif=Name(of_exif.iso()), xmp=Name(of_xmp.iso())))
    if taken.offset_min is None:
        notes.append(said("photo.no_offset"))
    return taken, "EXIF" if of_exif else "XMP"


def _apart(one: Moment, other: Moment) -> bool:
    """Whether two records of one capture disagree by a second or more: as moments where both know
    their offset, else as wall clocks.
    """
    a, b = one.utc(), other.utc()
    if a is None or b is None:
        a, b = one.wall, other.wall
    return abs(a - b) >= timedelta(seconds=1)


def _place(inside: Inside, notes: list[Said]) -> tuple[Place, str | None]:
    """The place, value by value from EXIF and, where EXIF has none, from XMP; a position the phone
    withheld stays withheld.
    """
    of_exif = place_of(inside.exif.gps) if inside.exif and inside.exif.gps else None
    of_xmp = place_of(inside.xmp.gps) if inside.xmp and inside.xmp.gps else None
    if of_exif is None and of_xmp is None:
        return Place(), None
    if of_exif is None or of_xmp is None:
        place = of_exif or of_xmp or Place()
        notes.extend(place.notes)
        return place, ("EXIF" if of_exif else "XMP") if place.latitude_deg is not None else None
    notes.extend(of_exif.notes)
    a, b = _positions(of_exif), _positions(of_xmp)
    if a and b:
        # Half a ten-thousandth of a minute is what XMP writers keep; 0.0005 degrees (about 55 m) is
        # no rounding.
        if abs(a[0] - b[0]) > 0.0005 or abs((a[1] - b[1] + 180) % 360 - 180) > 0.0005:
            notes.append(said("photo.positions", exif=_pair(a), xmp=_pair(b)))
    elif b and not of_exif.notes:
        of_exif = dataclasses.replace(of_exif, latitude_deg=b[0], longitude_deg=b[1])
        return _filled(of_exif, of_xmp), "XMP"
    elif b:
        notes.append(said("photo.position_xmp", xmp=_pair(b)))
    return _filled(of_exif, of_xmp), "EXIF" if a else None


def _pair(position: tuple[float, float]) -> Many:
    return Many((Figure(position[0]), Figure(position[1])), "list")


def _positions(place: Place) -> tuple[float, float] | None:
    return (
        None
        if place.latitude_deg is None or place.longitude_deg is None
        else (place.latitude_deg, place.longitude_deg)
    )


def _filled(first: Place, second: Place) -> Place:
    if first.altitude_m is None and not first.notes:
        first = dataclasses.replace(first, altitude_m=second.altitude_m)
    if first.bearing_deg is None and not first.notes:
        first = dataclasses.replace(
            first, bearing_deg=second.bearing_deg, bearing_north=second.bearing_north
        )
    return first


def _true_bearing(
    place: Place, taken: Moment | None, satellite: datetime | None, notes: list[Said]
) -> tuple[float | None, float | None]:
    """The bearing from true north, and the declination used for it."""
    if place.bearing_deg is None or place.bearing_north is None:
        return None, None
    if place.bearing_north == "true":
        return place.bearing_deg, None
    shown = Figure(place.bearing_deg, "deg")
    if place.latitude_deg is None or place.longitude_deg is None:
        notes.append(said("photo.bearing_magnetic", bearing=shown, why=said("photo.no_position")))
        return None, None
    # A day is far finer than the declination needs: where the offset is not recorded the wall clock
    # will do.
    when = (taken.utc() or taken.wall) if taken else satellite
    if when is None:
        notes.append(said("photo.bearing_magnetic", bearing=shown, why=said("photo.no_date")))
        return None, None
    model = declination(
        place.latitude_deg, place.longitude_deg, when.date(), place.altitude_m or 0.0
    )
    if model.degrees is None:
        notes.append(said("photo.bearing_magnetic", bearing=shown, why=model.because))
        return None, None
    true_deg = round((place.bearing_deg + model.degrees) % 360, 1) % 360
    notes.append(
        said(
            "photo.bearing_turned",
            bearing=shown,
            declination=Figure(model.degrees, "deg"),
            model=Name(str(model.model)),
            true=Figure(true_deg, "deg"),
        )
    )
    notes += [said("photo.declination", note=note) for note in model.notes]
    return true_deg, round(model.degrees, 2)
