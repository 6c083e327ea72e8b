"""Where a photo was taken and which way it looks: GPS tags in, a position or the reason there is
none out.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from scout.media.photos.tags.exif import GpsTags, Numbers
from scout.values import Figure, Name, Said, Word, said, words

_LOWEST_M, _HIGHEST_M = (
    -1_000.0,
    20_000.0,
)  # below any dry land, above any aircraft a camera flies in


@dataclass(frozen=True)
class Place:
    """Position, altitude and bearing as far as they are recorded and possible.

    possible:      (latitude, longitude) pairs to choose from where a hemisphere is missing
    bearing_deg:   as recorded, 0 to below 360, clockwise from the north that `bearing_north` names
    bearing_north: "true", "magnetic", or None where the photo does not say
    """

    latitude_deg: float | None = None
    longitude_deg: float | None = None
    possible: tuple[tuple[float, float], ...] = ()
    altitude_m: float | None = None
    accuracy_m: float | None = None
    bearing_deg: float | None = None
    bearing_north: str | None = None
    notes: tuple[Said, ...] = ()


def place_of(gps: GpsTags) -> Place:
    """The place a GPS directory tells of. Every None that has a reason has it in `notes`."""
    notes: list[Said] = []
    latitude_deg, longitude_deg, possible, withheld = _position(gps, notes)
    if latitude_deg is not None:
        if (gps.status or "").upper().startswith("V"):
            notes.append(said("photo.not_measuring"))
        datum = re.sub(r"[^A-Z0-9]", "", (gps.datum or "").upper())
        if datum not in {"", "WGS84", "WGS1984", "JGD2000", "ETRS89", "NAD83"}:
            notes.append(said("photo.datum", datum=Name(_short(gps.datum or ""))))
    bearing_deg, bearing_north = _bearing(gps, notes)
    accuracy_m = _single(gps.accuracy)
    return Place(
        latitude_deg=latitude_deg,
        longitude_deg=longitude_deg,
        possible=possible,
        altitude_m=_altitude_m(gps, withheld, notes),
        accuracy_m=accuracy_m if accuracy_m is not None and 0 < accuracy_m < 1e6 else None,
        bearing_deg=bearing_deg,
        bearing_north=bearing_north,
        notes=tuple(notes),
    )


def satellite_time(gps: GpsTags) -> datetime | None:
    """The satellites' clock in UTC (date and time both needed), or None."""
    found = re.fullmatch(r"(\d{4})[:/.-](\d{1,2})[:/.-](\d{1,2})", gps.date or "", re.ASCII)
    if found is None or gps.time is None or len(gps.time) != 3:
        return None
    hour, minute, second = gps.time
    if (
        hour is None
        or minute is None
        or second is None
        or not (0 <= hour < 24 and 0 <= minute < 60 and 0 <= second < 61)
    ):
        return None
    try:
        day = datetime(int(found[1]), int(found[2]), int(found[3]), tzinfo=UTC)
        return day + timedelta(hours=hour, minutes=minute, seconds=int(second))
    except (ValueError, OverflowError):
        return None


Position = tuple[float | None, float | None, tuple[tuple[float, float], ...], bool]


def _position(gps: GpsTags, notes: list[Said]) -> Position:
    """Latitude, longitude, what is possible instead, and whether the phone withheld the position."""
    none: Position = (None, None, (), False)
    for what in ("latitude", "longitude"):
        if what in gps.wrong:
            notes.append(said("photo.position_damaged", part=Word("photo_part", what)))
            return none
    if gps.latitude is None and gps.longitude is None:
        return none
    if gps.latitude is None or gps.longitude is None:
        missing = "latitude" if gps.latitude is None else "longitude"
        notes.append(said("photo.half_position", part=Word("photo_part", missing)))
        return none
    if not any(v is not None for v in (*gps.latitude, *gps.longitude)):
        notes.append(said("photo.withheld"))
        return None, None, (), True
    latitude, longitude = (
        _degrees(values, what, notes)
        for values, what in ((gps.latitude, "latitude"), (gps.longitude, "longitude"))
    )
    if latitude is None or longitude is None:
        return none
    if latitude == 0 and longitude == 0:
        notes.append(said("photo.withheld"))
        return None, None, (), True
    if abs(latitude) > 90 or abs(longitude) > 180:
        notes.append(
            said("photo.not_on_earth", latitude=Figure(latitude), longitude=Figure(longitude))
        )
        return none
    signs = [
        _sign(ref, word) for ref, word in ((gps.latitude_ref, "NS"), (gps.longitude_ref, "EW"))
    ]
    doubtful = [
        s is None or value < 0 for s, value in zip(signs, (latitude, longitude), strict=True)
    ]
    if any(doubtful):
        sides = words(
            "photo_part", [w for w, d in zip(("north", "east"), doubtful, strict=True) if d]
        )
        at, along = round(abs(latitude), 6), round(abs(longitude), 6)
        notes.append(said("photo.no_hemisphere", at=Figure(at), along=Figure(along), sides=sides))
        ups = (1, -1) if doubtful[0] else (signs[0] or 1,)
        overs = (1, -1) if doubtful[1] else (signs[1] or 1,)
        return None, None, tuple((u * at, o * along) for u in ups for o in overs), False
    # Seven places are a centimetre; + 0.0 leaves no minus nought.
    return (
        round(latitude * (signs[0] or 1) + 0.0, 7),
        round(longitude * (signs[1] or 1) + 0.0, 7),
        (),
        False,
    )


def _degrees(values: Numbers, what: str, notes: list[Said]) -> float | None:
    """Degrees, minutes and seconds (the last two may be left out) as degrees; None with a sentence
    when they are none.
    """
    parts = [*values]
    if not 1 <= len(parts) <= 3 or any(v is None for v in parts):
        notes.append(said("photo.position_no_number", part=Word("photo_part", what)))
        return None
    degrees, minutes, seconds = (float(v or 0) for v in [*parts, 0.0, 0.0][:3])
    if not (0 <= minutes <= 60 and 0 <= seconds <= 60):  # 60 itself is what rounding leaves
        notes.append(
            said(
                "photo.position_past_60",
                part=Word("photo_part", what),
                minutes=Figure(minutes),
                seconds=Figure(seconds),
            )
        )
        return None
    return math.copysign(abs(degrees) + minutes / 60 + seconds / 3600, degrees)


def _sign(reference: str | None, letters: str) -> int | None:
    first = (reference or "")[:1].upper()
    return None if not first or first not in letters else (1 if first == letters[0] else -1)


def _single(values: Numbers | None) -> float | None:
    return values[0] if values else None


def _altitude_m(gps: GpsTags, withheld: bool, notes: list[Said]) -> float | None:
    if "altitude" in gps.wrong:
        notes.append(said("photo.altitude_damaged"))
    value = _single(gps.altitude)
    if value is None or (withheld and value == 0):
        return None
    if "altitude reference" in gps.wrong or gps.altitude_ref not in {None, 0.0, 1.0, 2.0, 3.0}:
        notes.append(said("photo.altitude_side", altitude=Figure(value, "m")))
        return None
    # Exif 2.32: 0 above, 1 below sea level, 0 when absent; Exif 3.0 adds 2 above and 3 below. Some
    # writers sign the value as well.
    altitude_m = -abs(value) + 0.0 if gps.altitude_ref in {1.0, 3.0} else value
    if not _LOWEST_M <= altitude_m <= _HIGHEST_M:
        notes.append(said("photo.altitude_none", altitude=Figure(altitude_m, "m")))
        return None
    return altitude_m


def _bearing(gps: GpsTags, notes: list[Said]) -> tuple[float | None, str | None]:
    if "bearing" in gps.wrong:
        notes.append(said("photo.bearing_damaged"))
    value = _single(gps.bearing)
    if value is None:
        return None, None
    if not 0 <= value <= 360:
        notes.append(said("photo.bearing_none", bearing=Figure(value, "deg")))
        return None, None
    north = {"T": "true", "M": "magnetic"}.get((gps.bearing_ref or "")[:1].upper())
    if north is None:
        notes.append(said("photo.bearing_north", bearing=Figure(value, "deg")))
    return value % 360, north


def _short(text: str) -> str:
    return "".join(ch if ch.isprintable() else " " for ch in text).strip()[:40]
