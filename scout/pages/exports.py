"""What is kept, in the formats of other programs: tables, maps, contacts, calendars, and all of it
in one ZIP. Nothing of these can be read back whole; for that there is the archive.
"""

from __future__ import annotations

import json
import zipfile
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import IO, Any

from icalendar import vText
from icalendar.parser import Contentline

from scout.errors import ScoutError
from scout.media.points import Point, geojson, kml
from scout.media.tables import Cell, write_table
from scout.pages.day.calendar import calendar_file
from scout.records import LocationRecord
from scout.store import translate
from scout.store.models import Location
from scout.store.queries import jobs
from scout.store.queries import places as queries
from scout.usecases.sheets import sheet_of
from scout.usecases.work import Work

MIMES = {
    "csv": "text/csv",
    "geojson": "application/geo+json",
    "kml": "application/vnd.google-earth.kml+xml",
    "vcf": "text/vcard",
    "zip": "application/zip",
}


def locations_csv(work: Work) -> bytes:
    """Places, a row each."""
    rows = queries.every_location(work.db)
    return _table(
        [{"id": row.id, **_flat(translate.plain_of(row, LocationRecord))} for row in rows]
    )


def rooms_csv(work: Work) -> bytes:
    """Rooms with their own facts, a row each; read back by their place's name."""
    rows = queries.every_room(work.db)
    return _table(
        [
            {
                "id": row.id,
                "location": row.location.name,
                **_flat(translate.room_plain(row, parts=False)),
            }
            for row in rows
        ]
    )


def kit_csv(work: Work) -> bytes:
    """The lights of every production's kit, a row each."""
    return _table(
        [
            {"production": row.title, **_flat(light)}
            for row in jobs.every_production(work.db)
            for light in (row.kit or {}).get("lights") or ()
        ]
    )


def contacts_vcf(work: Work) -> bytes:
    """Whom to call: a card (vCard 3.0, RFC 2426) for each contact of a place and each of a crew."""
    cards = [
        _card(contact, row.name)
        for row in queries.every_location(work.db)
        for contact in row.contacts or ()
    ]
    cards += [
        _card(member, row.title)
        for row in jobs.every_production(work.db)
        for member in row.crew or ()
    ]
    return "".join(cards).encode()


def locations_geojson(work: Work) -> bytes:
    """Places with a position, for maps on the web and geographic programs."""
    return geojson((point, {"id": row.id, "address": row.address}) for row, point in _points(work))


def locations_kml(work: Work) -> bytes:
    """Places with a position, for maps and globes."""
    return kml(point for _, point in _points(work))


FILES: Mapping[str, Callable[[Work], bytes]] = {
    "locations.csv": locations_csv,
    "rooms.csv": rooms_csv,
    "lights.csv": kit_csv,
    "contacts.vcf": contacts_vcf,
    "locations.geojson": locations_geojson,
    "locations.kml": locations_kml,
}


def write_zip(work: Work, to: IO[bytes]) -> int:
    """All of it in one file: the tables, maps and contacts, a calendar a production that has a
    plan, a room sheet a room, each photo as it was sent. Returns how many files.
    """
    count = 0
    with zipfile.ZipFile(to, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in _members(work):
            archive.writestr(name, data)
            count += 1
        for photo in queries.every_photo(work.db):
            path = f"photos/{photo.id}-{_safe(photo.original_name)}"
            archive.write(work.files.get(photo.sha256), path, zipfile.ZIP_STORED)
            count += 1
    return count


def _members(work: Work) -> Iterator[tuple[str, bytes]]:
    for name, made in FILES.items():
        yield name, made(work)
    for row in jobs.every_production(work.db):
        try:
            calendar = calendar_file(work, row.id)
        except ScoutError:
            continue  # nothing is planned that a calendar could hold
        yield f"calendars/{row.id}-{_safe(row.title)}.ics", calendar
    for room in queries.every_room(work.db):
        plain = sheet_of(work, room).plain()
        name = f"rooms/{room.id}-{_safe(room.name or 'room')}.room-sheet.json"
        yield name, json.dumps(plain, ensure_ascii=False, indent=1).encode()


def _safe(text: str) -> str:
    """A part of a file's name that every system takes."""
    return "".join(ch if ch.isalnum() or ch in "-._" else "-" for ch in text)[:60].strip(".")


def _points(work: Work) -> Iterator[tuple[Location, Point]]:
    for row in queries.every_location(work.db):
        if row.latitude_deg is not None and row.longitude_deg is not None:
            yield (
                row,
                Point(row.name, row.latitude_deg, row.longitude_deg, row.elevation_m, row.address),
            )


def _flat(plain: Mapping[str, Any], under: str = "") -> dict[str, Cell]:
    """What fits into cells; a list stands in its own file or in the room sheet."""
    cells: dict[str, Cell] = {}
    for key, value in plain.items():
        if isinstance(value, Mapping):
            cells |= _flat(value, f"{under}{key}.")
        elif isinstance(value, str | int | float | bool):
            cells[under + key] = value
    return cells


def _table(rows: Sequence[Mapping[str, Cell]]) -> bytes:
    headings = list(dict.fromkeys(key for row in rows for key in row))
    return write_table(headings, ([row.get(key) for key in headings] for row in rows))


def _escaped(text: str) -> str:
    return vText(text).to_ical().decode()  # calendars and cards escape alike


def _card(person: Mapping[str, Any], of: str) -> str:
    parts = [
        ("VERSION", "3.0"),
        ("FN", _escaped(person["name"])),
        ("N", f"{_escaped(person['name'])};;;;"),
        ("ORG", _escaped(of)),
        *(
            (name, _escaped(person[key]))
            for name, key in (
                ("TITLE", "role"),
                ("TEL", "phone"),
                ("EMAIL", "email"),
                ("NOTE", "note"),
            )
            if person.get(key)
        ),
    ]
    lines = ("BEGIN:VCARD", *(f"{name}:{text}" for name, text in parts), "END:VCARD")
    fold: Any = Contentline  # at 75 bytes, never within a character
    return "".join(f"{fold(line).to_ical().decode()}\r\n" for line in lines)
