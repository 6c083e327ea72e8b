"""Files in: all or nothing, tried first, known ones told; what we write is read back."""

from __future__ import annotations

import io
import json
import zipfile

import pytest
import vobject

from scout.errors import RefusedMany
from scout.media.points import Point, geojson
from scout.pages import exports
from scout.records import LocationRecord, ProductionRecord, RoomRecord, read_sheet
from scout.usecases import bringing, locations, productions, rooms
from scout.usecases.work import Work

TABLE = "Place;Room;Width (ft);Ceiling height [cm];Colour\nMill;Hall;12;250;red\nMill;Den;;;\n"


def mill(work: Work) -> int:
    contact = {"name": "Köhler; Ann", "phone": "+44 20 7946 0000", "email": "ann@example.org"}
    return locations.add_location(
        work,
        LocationRecord.read(
            {"name": "=Mill", "latitude_deg": 51.45, "longitude_deg": -2.58, "contacts": [contact]}
        ),
    )


def test_points_become_places_once(work: Work) -> None:
    data = geojson((p, {}) for p in (Point("Mill", 51.45, -2.58, 12.0), Point(None, 1.0, 2.0)))
    tried = bringing.bring(work, data, "map.geojson", tried=True)
    assert (tried.added, tried.known, tried.tried) == (("Mill", "Point 2"), (), True)
    assert locations.find_locations(work).total == 0
    assert bringing.bring(work, data, "map.geojson").added == ("Mill", "Point 2")
    again = bringing.bring(work, data, "map.geojson")
    assert (again.added, again.known) == ((), ("Mill", "Point 2"))
    moved = geojson((p, {}) for p in (Point("Mill", 51.5, -2.58),))
    assert bringing.bring(work, moved, "map.geojson").added == ("Mill",)


def test_a_table_of_rooms(work: Work) -> None:
    tried = bringing.bring(work, TABLE.encode(), "rooms.csv", tried=True)
    assert tried.columns == (
        ("Place", "location"),
        ("Room", "name"),
        ("Width (ft)", "width_m"),
        ("Ceiling height [cm]", "height_m"),
        ("Colour", None),
    )
    assert rooms.find_rooms(work).total == 0
    assert locations.find_locations(work).total == 0
    bringing.bring(work, TABLE.encode(), "rooms.csv")
    # a dry run may have used numbers up: PostgreSQL hands none out twice
    hall_id, den_id = (row.id for row in sorted(rooms.find_rooms(work).items, key=lambda r: r.id))
    hall = rooms.room(work, hall_id).kept.record
    # by hand: 12 ft x 0.3048
    assert (hall.name, hall.width_m, hall.height_m) == ("Hall", pytest.approx(3.6576), 2.5)
    assert rooms.room(work, den_id).kept.record.height_m is None  # an empty cell is not measured
    assert bringing.bring(work, TABLE.encode(), "rooms.csv").known == ("Hall", "Den")


def test_one_bad_row_keeps_nothing_and_all_are_named(work: Work) -> None:
    table = b"location,name,height_m\nMill,Hall,high\nMill,Den,-2\n,Nook,2\nMill,Loft,2\n"
    with pytest.raises(RefusedMany) as refused:
        bringing.bring(work, table, "rooms.csv")
    assert [one.path for one in refused.value.refusals] == [
        "line 2, height_m",
        "line 3.height_m",
        "line 4, location",
    ]
    work.db.rollback()
    assert rooms.find_rooms(work).total == locations.find_locations(work).total == 0


def test_columns_are_named_by_hand(work: Work) -> None:
    place = mill(work)
    table = "Raum,Höhe\nKüche,2.5\n".encode()
    columns = bringing.columns_of(["Raum=name", "Höhe=height_m"])
    bringing.bring(work, table, "rooms.csv", location_id=place, columns=columns)
    (kitchen,) = rooms.find_rooms(work).items
    assert rooms.room(work, kitchen.id).kept.record.height_m == 2.5
    for wrong in ({"Raum": "nmae"}, {"Room": "name"}, {}):
        with pytest.raises(RefusedMany) as refused:
            bringing.bring(work, table, "rooms.csv", location_id=place, columns=wrong)
        assert [one.path for one in refused.value.refusals] == ["columns"]
    with pytest.raises(RefusedMany):
        bringing.columns_of(["Raum"])


def test_lights_join_a_kit(work: Work) -> None:
    job = productions.add_production(
        work, ProductionRecord.read({"title": "Film", "kit": {"lights": [{"id": "key"}]}})
    )
    table = b"Fixture,Power (W),Colour temperature,Type\nkey,300,5600,LED\nback,60,3200,Tungsten\n"
    brought = bringing.bring(work, table, "kit.csv", production_id=job)
    assert (brought.added, brought.known) == (("back",), ("key",))
    kit = productions.production(work, job).kept.record.kit
    assert kit is not None
    assert [(light.id, light.watts, light.spectrum) for light in kit.lights or ()] == [
        ("key", None, None),
        ("back", 60, "tungsten"),
    ]


def test_everything_goes_out_and_is_read_by_others(work: Work) -> None:
    place = mill(work)
    rooms.add_room(
        work, place, RoomRecord.read({"name": "Hall", "setting": "interior", "width_m": 5})
    )
    spool = io.BytesIO()
    count = exports.write_zip(work, spool)
    with zipfile.ZipFile(spool) as archive:
        assert archive.testzip() is None
        assert len(archive.namelist()) == count
        assert set(exports.FILES) < set(archive.namelist())
        sheet = read_sheet(archive.read("rooms/1-Hall.room-sheet.json"))
        table = archive.read("rooms.csv")
        told = json.loads(archive.read("locations.geojson"))
        card = vobject.readOne(archive.read("contacts.vcf").decode())
    assert sheet.room.width_m == 5
    assert b"'=Mill" in table
    assert told["features"][0]["properties"]["name"] == "=Mill"
    # by vobject, which shares nothing with the writer
    assert (card.fn.value, card.n.value.family) == ("Köhler; Ann", "Köhler; Ann")
    assert (card.tel.value, card.org.value) == ("+44 20 7946 0000", ["=Mill"])
    assert bringing.bring(work, table, "rooms.csv", tried=True).known == ("Hall",)
