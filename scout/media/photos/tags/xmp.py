"""The few XMP properties a scout needs (ISO 16684-1; Adobe XMP part 2), put into the same words as
the EXIF tags.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from xml.etree.ElementTree import (
    Element,
    ParseError,
)  # the names alone: defusedxml does the parsing

from defusedxml import DefusedXmlException
from defusedxml.ElementTree import fromstring

from scout.media.photos.tags.exif import GpsTags, Numbers
from scout.values import Said, said

_RDF = "{http://www.w3.org/1999/02/22-rdf-syntax-ns#}"
_EXIF, _TIFF, _PHOTOSHOP = (
    "{http://ns.adobe.com/exif/1.0/}",
    "{http://ns.adobe.com/tiff/1.0/}",
    "{http://ns.adobe.com/photoshop/1.0/}",
)
_WANTED = {
    f"{_EXIF}{word}"
    for word in [
        "DateTimeOriginal",
        "GPSLatitude",
        "GPSLongitude",
        "GPSAltitude",
        "GPSAltitudeRef",
        "GPSImgDirection",
        "GPSImgDirectionRef",
    ]
} | {f"{_TIFF}Orientation", f"{_PHOTOSHOP}DateCreated"}
# Adobe XMP part 2, "GPSCoordinate": DDD,MM,SSk or DDD,MM.mmk
_COORDINATE = re.compile(
    r"(\d{1,3})(?:,(\d{1,2}))?(?:,(\d{1,2}(?:\.\d+)?)|(\.\d+))?\s*([NSEW])?",
    re.ASCII | re.IGNORECASE,
)
_RATIO = re.compile(r"(-?\d{1,12}(?:\.\d{1,12})?)(?:/(\d{1,12}))?", re.ASCII)


@dataclass(frozen=True)
class XmpTags:
    """The properties of one packet, as written."""

    created: str | None = None
    orientation: float | None = None
    gps: GpsTags | None = None
    notes: tuple[Said, ...] = ()


def read_xmp(packet: bytes) -> XmpTags:
    """The properties of a packet; one that is damaged, or that declares entities, is left out and
    notes.
    """
    try:
        root: Element = fromstring(packet.strip(b"\0 \t\r\n"), forbid_dtd=True)
    except DefusedXmlException:
        return XmpTags(notes=(said("photo.xmp_entities"),))
    except (ParseError, ValueError, LookupError, RecursionError):
        return XmpTags(notes=(said("photo.xmp_damaged"),))
    found = _properties(root)
    wrong: list[str] = []
    latitude, longitude = (
        _coordinate(found.get(f"{_EXIF}GPS{what.title()}"), what, wrong)
        for what in ("latitude", "longitude")
    )
    altitude, below, bearing = (
        _ratio(found.get(f"{_EXIF}{word}"), what, wrong)
        for word, what in (
            ("GPSAltitude", "altitude"),
            ("GPSAltitudeRef", "altitude reference"),
            ("GPSImgDirection", "bearing"),
        )
    )
    anything = any(key.startswith(f"{_EXIF}GPS") for key in found)
    turn = _ratio(found.get(f"{_TIFF}Orientation"), "orientation", [])
    return XmpTags(
        created=found.get(f"{_EXIF}DateTimeOriginal") or found.get(f"{_PHOTOSHOP}DateCreated"),
        orientation=turn[0] if turn else None,
        gps=GpsTags(
            latitude_ref=latitude[1] if latitude else None,
            latitude=latitude[0] if latitude else None,
            longitude_ref=longitude[1] if longitude else None,
            longitude=longitude[0] if longitude else None,
            altitude_ref=below[0] if below else None,
            altitude=altitude,
            bearing_ref=found.get(f"{_EXIF}GPSImgDirectionRef"),
            bearing=bearing,
            wrong=tuple(wrong),
        )
        if anything
        else None,
    )


def _properties(root: Element) -> dict[str, str]:
    """Simple properties, which RDF lets stand as attributes of a Description or as elements in it."""
    found: dict[str, str] = {}
    for description in root.iter(f"{_RDF}Description"):
        for key, value in description.attrib.items():
            if key in _WANTED:
                found.setdefault(key, value.strip())
        for child in description:
            if child.tag in _WANTED and child.text:
                found.setdefault(child.tag, child.text.strip())
    return {key: value for key, value in found.items() if value}


def _coordinate(text: str | None, what: str, wrong: list[str]) -> tuple[Numbers, str | None] | None:
    if text is None:
        return None
    found = _COORDINATE.fullmatch(text)
    if found is None:
        wrong.append(what)
        return None
    minutes = float((found[2] or "0") + (found[4] or ""))
    if (
        found[4] and not found[2]
    ):  # 51.4778N: decimal degrees, which the standard does not know but writers do
        return (float(found[1] + found[4]),), found[5]
    return (float(found[1]), minutes, float(found[3] or 0)), found[5]


def _ratio(text: str | None, what: str, wrong: list[str]) -> Numbers | None:
    if text is None:
        return None
    found = _RATIO.fullmatch(text)
    if found is None:
        wrong.append(what)
        return None
    below = int(found[2] or 1)
    return (float(found[1]) / below if below else None,)
