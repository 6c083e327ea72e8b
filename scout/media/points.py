"""Points on the map from other programs' files: GPX, KML, GeoJSON; and the last two written."""

from __future__ import annotations

import json
import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any
from xml.etree import ElementTree as Tree

from defusedxml import DefusedXmlException
from defusedxml.ElementTree import fromstring

from scout.errors import Refused
from scout.records.base import parse_json
from scout.values import said

MOST_BYTES, MOST_POINTS, NAME_MOST = 20_000_000, 5_000, 300
KML = "http://www.opengis.net/kml/2.2"


@dataclass(frozen=True)
class Point:
    """A named place on the map, WGS 84."""

    name: str | None
    latitude_deg: float
    longitude_deg: float
    elevation_m: float | None = None
    told: str | None = None


def read_points(data: bytes, name: str = "file") -> tuple[Point, ...]:
    """The points of a file, in its order. Raises Refused naming the file, or the point at fault."""
    if len(data) > MOST_BYTES:
        raise Refused(name, None, said("files.too_large"))
    begins = data.lstrip(b"\xef\xbb\xbf \t\r\n")[:1]
    found = list(_of_json(data, name) if begins in (b"{", b"[") else _of_xml(data, name))
    if not found:
        raise Refused(name, None, said("files.no_points"))
    if len(found) > MOST_POINTS:
        raise Refused(name, None, said("files.too_many_rows", most=MOST_POINTS))
    return tuple(found)


def _point(at: str, name: Any, lat: Any, lon: Any, up: Any = None, told: Any = None) -> Point:
    try:
        north, east = float(lat), float(lon)
        height = None if up in (None, "") else float(up)
    except (TypeError, ValueError, OverflowError):
        raise Refused(at, f"{lat}, {lon}", said("files.no_position")) from None
    if not (abs(north) <= 90 and abs(east) <= 180):  # false for NaN too
        raise Refused(at, f"{lat}, {lon}", said("files.no_position"))
    if height is not None and not math.isfinite(height):
        height = None
    return Point(_word(name), north, east, height, _word(told))


def _word(text: Any) -> str | None:
    """A text that can be kept, on one line; None for none."""
    if not isinstance(text, str):
        return None
    kept = "".join(" " if ch < " " else ch for ch in text if not "\ud800" <= ch <= "\udfff")
    return " ".join(kept.split())[:NAME_MOST] or None


def _of_json(data: bytes, name: str) -> Iterator[Point]:
    whole = parse_json(data, name)
    kind = whole.get("type") if isinstance(whole, dict) else None
    features = whole.get("features") if kind == "FeatureCollection" else [whole]
    if kind not in ("FeatureCollection", "Feature") or not isinstance(features, list):
        raise Refused(name, None, said("files.no_geojson"))
    for number, feature in enumerate(features, 1):
        at = f"{name}, feature {number}"
        if not isinstance(feature, dict):
            raise Refused(at, None, said("files.no_geojson"))
        geometry, about = feature.get("geometry"), feature.get("properties")
        if not isinstance(geometry, dict) or geometry.get("type") != "Point":
            continue  # lines and areas are no places to go to
        where = geometry.get("coordinates")
        told = about if isinstance(about, dict) else {}
        if not isinstance(where, list) or not 2 <= len(where) <= 4:
            raise Refused(at, None, said("files.no_position"))
        label = next((told[key] for key in ("name", "Name", "title") if key in told), None)
        up = where[2] if len(where) > 2 else None
        yield _point(at, label, where[1], where[0], up, told.get("description"))


def _of_xml(data: bytes, name: str) -> Iterator[Point]:
    try:
        root = fromstring(data, forbid_dtd=True)
    except (Tree.ParseError, DefusedXmlException, ValueError, LookupError):
        raise Refused(name, None, said("files.no_xml")) from None
    kind = _local(root)
    if kind == "gpx":
        yield from _of_gpx(root, name)
    elif kind in ("kml", "Document", "Folder", "Placemark"):
        yield from _of_kml(root, name)
    else:
        raise Refused(name, None, said("files.no_xml"))


def _local(node: Tree.Element) -> str:
    return str(node.tag).rpartition("}")[2]


def _child(node: Tree.Element, *path: str) -> str | None:
    """The text of what stands at a path, whatever version of the format names it."""
    for step in path:
        found = next((one for one in node if _local(one) == step), None)
        if found is None:
            return None
        node = found
    return node.text


def _of_gpx(root: Tree.Element, name: str) -> Iterator[Point]:
    for number, node in enumerate((one for one in root if _local(one) == "wpt"), 1):
        yield _point(
            f"{name}, waypoint {number}",
            _child(node, "name"),
            node.get("lat"),
            node.get("lon"),
            (_child(node, "ele") or "").strip(),
            _child(node, "desc"),
        )


def _of_kml(root: Tree.Element, name: str) -> Iterator[Point]:
    marks = (one for one in root.iter() if _local(one) == "Placemark")
    for number, node in enumerate(marks, 1):
        text = _child(node, "Point", "coordinates")
        if text is None:
            continue
        parts = text.strip().split(",")
        lon, lat = (*parts, None)[:2]
        label, told = _child(node, "name"), _child(node, "description")
        up = parts[2] if len(parts) > 2 else None
        yield _point(f"{name}, placemark {number}", label, lat, lon, up, told)


def geojson(points: Iterable[tuple[Point, dict[str, Any]]]) -> bytes:
    """Points with what is told of each (RFC 7946: longitude first)."""
    features = [
        {
            "type": "Feature",
            "geometry": {"type": "Point", "coordinates": _east_north(point)},
            "properties": {"name": point.name, **told},
        }
        for point, told in points
    ]
    whole = {"type": "FeatureCollection", "features": features}
    return json.dumps(whole, ensure_ascii=False, indent=1, allow_nan=False).encode()


def _east_north(point: Point) -> list[float]:
    up = [] if point.elevation_m is None else [point.elevation_m]
    return [point.longitude_deg, point.latitude_deg, *up]


def kml(points: Iterable[Point]) -> bytes:
    """Points as OGC KML 2.2."""
    root = Tree.Element("kml", xmlns=KML)
    document = Tree.SubElement(root, "Document")
    for point in points:
        mark = Tree.SubElement(document, "Placemark")
        Tree.SubElement(mark, "name").text = _xml(point.name or "")
        if point.told:
            Tree.SubElement(mark, "description").text = _xml(point.told)
        where = Tree.SubElement(Tree.SubElement(mark, "Point"), "coordinates")
        where.text = ",".join(map(repr, _east_north(point)))
    return bytes(Tree.tostring(root, encoding="utf-8", xml_declaration=True))


def _xml(text: str) -> str:
    """A text without the characters that XML 1.0 cannot carry."""
    return "".join(ch for ch in text if ch in "\t\n\r" or (ch >= " " and ch not in "\ufffe\uffff"))
