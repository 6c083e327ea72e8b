"""Tables and maps of other programs: read by readers that share nothing with the writers; broken ones
refused in words.
"""

from __future__ import annotations

import csv
import io
import json

import geojson as geojson_reader
import pytest
from defusedxml.ElementTree import fromstring
from hypothesis import given
from hypothesis import strategies as st

from scout.errors import Refused, RefusedMany
from scout.media.points import Point, geojson, kml, read_points
from scout.media.tables import as_typed, guarded, read_table, write_table

GPX = b"""<?xml version="1.0"?><gpx version="1.1" xmlns="http://www.topografix.com/GPX/1/1">
<wpt lat="51.45" lon="-2.58"><ele>12.5</ele><name>Mill &amp; yard</name></wpt>
<trk><trkseg><trkpt lat="1" lon="1"/></trkseg></trk></gpx>"""
TEXT = st.text(
    st.characters(exclude_categories=["Cs"], exclude_characters="\0\r\n"), max_size=30
).map(str.strip)


@given(TEXT)
def test_a_guarded_text_is_no_formula_and_comes_back(text: str) -> None:
    """property: no cell begins with a sign that a spreadsheet runs, and nothing typed is changed."""
    cell = guarded(text)
    assert not str(cell).startswith(("=", "+", "-", "@", "\t"))
    assert as_typed(str(cell)) == text


def test_numbers_are_not_guarded() -> None:
    # a naive guard breaks western longitudes
    data = write_table(("name", "longitude_deg"), [("=HYPERLINK(1)", -2.58)])
    read = list(csv.reader(io.StringIO(data.decode("utf-8-sig"))))
    assert read == [["name", "longitude_deg"], ["'=HYPERLINK(1)", "-2.58"]]
    assert read_table(data).rows == (("=HYPERLINK(1)", "-2.58"),)


@pytest.mark.parametrize(
    "data",
    [
        "Raum;Höhe\nKüche;2,5".encode("cp1252"),
        "Raum\tHöhe\nKüche\t2,5".encode("utf-16"),
        "\ufeffRaum;Höhe\r\nKüche;2,5\r\n".encode(),
    ],
)
def test_tables_as_spreadsheets_write_them(data: bytes) -> None:
    table = read_table(data)
    assert (table.headings, table.rows) == (("Raum", "Höhe"), (("Küche", "2,5"),))


@given(st.binary(max_size=300))
def test_no_bytes_break_the_readers(data: bytes) -> None:
    """property: a table or points, or a refusal that names the file."""
    for read in (read_table, read_points):
        try:
            read(data, "lost.bin")
        except Refused as refused:
            assert refused.path.startswith("lost.bin")


@given(st.text(alphabet='<>/="gpxkmlwtlaon .0123456789{}[],:', max_size=200))
def test_no_broken_markup_breaks_the_reader(text: str) -> None:
    for before in (
        "<gpx><wpt ",
        '{"type":"FeatureCollection","features":[',
        "<kml><Placemark><Point>",
    ):
        with pytest.raises((Refused, RefusedMany)):
            read_points((before + text).encode())


def test_waypoints_of_gpx() -> None:
    assert read_points(GPX) == (Point("Mill & yard", 51.45, -2.58, 12.5),)


def test_points_that_are_none() -> None:
    feature = {"type": "Feature", "geometry": {"type": "Point", "coordinates": [200, 5]}}
    for data, path in (
        (json.dumps(feature).encode(), "f, feature 1"),
        (GPX.replace(b'"51.45"', b'"nan"'), "f, waypoint 1"),
        (GPX.replace(b' lat="51.45"', b""), "f, waypoint 1"),
        (b'{"type": "Feature", "geometry": null}', "f"),
        (
            b"<kml><Placemark><Point><coordinates>x</coordinates></Point></Placemark></kml>",
            "f, placemark 1",
        ),
        # an entity that would grow to gigabytes is never read
        (b'<!DOCTYPE g [<!ENTITY a "aa">]><gpx>&a;</gpx>', "f"),
    ):
        with pytest.raises(Refused) as refused:
            read_points(data, "f")
        assert refused.value.path == path


def test_maps_are_read_by_others_and_by_ourselves() -> None:
    points = (Point("Mühle <1>", 51.45, -2.58, 12.0, "gate & yard"), Point("Weir", -33.5, 151.25))
    whole = geojson_reader.loads(geojson((point, {"id": 1}) for point in points).decode())
    assert whole.is_valid
    # Source: RFC 7946, 3.1.1: longitude, latitude, altitude
    assert whole["features"][0]["geometry"]["coordinates"] == [-2.58, 51.45, 12.0]
    assert [(p.name, p.latitude_deg) for p in read_points(geojson((p, {}) for p in points))] == [
        ("Mühle <1>", 51.45),
        ("Weir", -33.5),
    ]
    root = fromstring(kml(points))
    # Source: OGC KML 2.2 (07-147r2), 16.3.2 kml:coordinates: longitude,latitude[,altitude]
    assert root.tag == "{http://www.opengis.net/kml/2.2}kml"
    found = root.findall(".//{http://www.opengis.net/kml/2.2}coordinates")
    assert [one.text for one in found] == ["-2.58,51.45,12.0", "151.25,-33.5"]
    assert read_points(kml(points)) == points
