"""Locations: find, add, change, bin."""

from __future__ import annotations

from collections.abc import Iterable
from functools import partial

from sqlalchemy import func, select

from scout.calc import timezones
from scout.errors import Refused
from scout.records import LocationRecord
from scout.store import models, translate
from scout.store.queries import places as queries
from scout.store.queries.common import BEGINNING, Spot
from scout.usecases import keeping, lines
from scout.usecases.shown import LocationLine, LocationPage, Page
from scout.usecases.work import Work
from scout.values import Name, Said, said


def find_locations(work: Work, *, text: str = "", spot: Spot = BEGINNING) -> Page[LocationLine]:
    """A page of locations whose name or address holds the text."""
    return keeping.page(
        work, queries.locations(text.strip()), spot, partial(lines.location_lines, work)
    )


def choices(work: Work, *, also: Iterable[int] = ()) -> list[tuple[int, str]]:
    """Locations to choose from: the first by name, and those chosen already."""
    rows = queries.locations("").rows()
    found = list(work.db.scalars(rows.limit(keeping.MOST_CHOICES)))
    left = set(also) - {place.id for place in found}
    found += work.db.scalars(rows.where(models.Location.id.in_(left))) if left else ()
    return [(place.id, place.name) for place in found]


def location(work: Work, key: int) -> LocationPage:
    """A location with its rooms, photos and notes. Raises NotFound."""
    row = queries.location(work.db, key)
    rooms = work.db.execute(queries.rooms("", None, key).rows()).all()
    return LocationPage(
        keeping.shown(row, translate.to_record(row)),
        lines.room_lines(work, rooms),
        tuple(lines.photo_line(photo) for photo in queries.photos(work.db, location_id=key)),
        tuple(lines.note_line(note) for note in queries.notes(work.db, location_id=key)),
        zone_note(row),
    )


def zone_note(row: models.Location) -> Said | None:
    """What is to be said about a location's time zone: that it is missing, or not the one its
    coordinates suggest.
    """
    if row.latitude_deg is None or row.longitude_deg is None:
        return None if row.timezone else said("kept.zone_unknown")
    guess = timezones.zone_at(row.latitude_deg, row.longitude_deg)
    if row.timezone is None:
        return guess.note or said("kept.zone_unknown")
    if guess.name and guess.name != row.timezone:
        return said("kept.zone_other", found=Name(guess.name), zone=Name(row.timezone))
    return guess.note if guess.name else None


def with_zone(record: LocationRecord) -> LocationRecord:
    """The record with its time zone looked up from its coordinates, unless it names one."""
    if record.timezone is not None or record.latitude_deg is None or record.longitude_deg is None:
        return record
    guess = timezones.zone_at(record.latitude_deg, record.longitude_deg)
    return record.model_copy(update={"timezone": guess.name}) if guess.name else record


def place_question(latitude_deg: float, longitude_deg: float) -> Said | None:
    """What to ask before a typed position is taken for a place: it lies at sea, at a pole, or where
    a phone puts what it withholds.
    """
    guess = timezones.zone_at(latitude_deg, longitude_deg)
    apart = abs(latitude_deg) > timezones.POLE_DEG or guess.distance_km > 0
    return guess.note if apart else None


def check_position(record: LocationRecord) -> None:
    """Raises Refused when half a position is given."""
    if (record.latitude_deg is None) != (record.longitude_deg is None):
        missing = "latitude_deg" if record.latitude_deg is None else "longitude_deg"
        raise Refused(missing, None, said("kept.other_coordinate"))


def add_location(work: Work, record: LocationRecord) -> int:
    """Record a place; returns its key. Its time zone is looked up from the coordinates unless
    given.
    """
    row = put_location(work, record)
    work.commit()
    return row.id


def put_location(work: Work, record: LocationRecord) -> models.Location:
    """The row of a new place; nothing is committed."""
    check_position(record)
    row = models.Location()
    translate.fill(row, with_zone(record))
    work.add(row, f"location {record.name} added")
    return row


def save_location(work: Work, key: int, version: int, record: LocationRecord) -> None:
    """Save a location over the version it was opened at. Raises NotFound, Stale."""
    check_position(record)
    keeping.save(
        work, models.Location, key, version, with_zone(record), f"location {record.name} changed"
    )


def bin_location(work: Work, key: int, version: int) -> None:
    """Move a location, and with it its rooms, to the bin."""
    row = queries.location(work.db, key)
    keeping.bin_row(work, row, version, f"location {row.name} moved to the bin")


def home_zone(work: Work) -> str | None:
    """The time zone of most places; None where none is recorded."""
    place = models.Location
    query = (
        select(place.timezone)
        .where(place.binned_at.is_(None), place.timezone.is_not(None))
        .group_by(place.timezone)
        .order_by(func.count().desc(), place.timezone)
    )
    return work.db.scalars(query.limit(1)).first()
