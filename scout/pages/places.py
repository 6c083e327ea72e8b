"""Places on a map: locations with their doors and parking, how far apart, and a day's way between
them by the kept plan.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import pairwise
from typing import Literal

from scout.calc.countries import country_of, emergency_numbers
from scout.calc.day.moves import drive_min
from scout.calc.distance import distance_m
from scout.pages.day.planned import Shot
from scout.records import LocationRecord
from scout.records.kept import Spot
from scout.store import models, translate
from scout.store.queries import places as queries
from scout.usecases.work import Work

SpotKind = Literal["place", "door", "parking"]
MOST_PLACES = 500  # more signs than that are one blot


@dataclass(frozen=True)
class Point:
    """One sign on the map. number: its place in the list beside it; 0 for a door or parking."""

    kind: SpotKind
    location_id: int
    name: str
    latitude_deg: float
    longitude_deg: float
    number: int = 0
    away_m: float | None = None  # from where distances are counted, straight


@dataclass(frozen=True)
class Unplaced:
    """A location that nobody has given coordinates."""

    location_id: int
    name: str


@dataclass(frozen=True)
class PlacesMap:
    """What a map shows and the list beside it says.

    carry_m: straight from parking to door, of one location's map
    """

    points: tuple[Point, ...]
    unplaced: tuple[Unplaced, ...] = ()
    carry_m: float | None = None

    @property
    def places(self) -> tuple[Point, ...]:
        """The locations, without their doors and parking."""
        return tuple(point for point in self.points if point.kind == "place")


@dataclass(frozen=True)
class Leg:
    """The way from one location of a day to the next. straight_m None: one has no coordinates."""

    start: str
    end: str
    straight_m: float | None
    drive_min: int | None


@dataclass(frozen=True)
class Route:
    """One date's way."""

    on: date
    map: PlacesMap
    legs: tuple[Leg, ...]


def _spots(row_id: int, record: LocationRecord, number: int) -> list[Point]:
    """The signs of one location, itself first."""
    spots: list[tuple[SpotKind, Spot | None]] = [
        ("place", _middle(record)),
        ("door", record.door_at),
        ("parking", record.parking_at),
    ]
    return [
        Point(
            kind,
            row_id,
            record.name,
            at.latitude_deg,
            at.longitude_deg,
            number if kind == "place" else 0,
        )
        for kind, at in spots
        if at is not None
    ]


def _middle(record: LocationRecord) -> Spot | None:
    if record.latitude_deg is None or record.longitude_deg is None:
        return None
    return Spot(latitude_deg=record.latitude_deg, longitude_deg=record.longitude_deg)


def _between(one: Spot | None, other: Spot | None) -> float | None:
    if one is None or other is None:
        return None
    return distance_m(one.latitude_deg, one.longitude_deg, other.latitude_deg, other.longitude_deg)


def to_dial(place: LocationRecord) -> tuple[str, ...]:
    """What is dialled in an emergency at a place; empty where its country is not known for sure."""
    country = country_of(place.latitude_deg, place.longitude_deg, place.timezone)
    return emergency_numbers(country.codes)


def map_of(location_id: int, record: LocationRecord) -> PlacesMap:
    """One location with its door and its parking, each with how far it is from the location."""
    here = _middle(record)
    points = [
        _away(point, here) if point.kind != "place" else point
        for point in _spots(location_id, record, 1)
    ]
    return PlacesMap(tuple(points), carry_m=_between(record.parking_at, record.door_at))


def _away(point: Point, start: Spot | None) -> Point:
    there = Spot(latitude_deg=point.latitude_deg, longitude_deg=point.longitude_deg)
    return Point(
        point.kind,
        point.location_id,
        point.name,
        point.latitude_deg,
        point.longitude_deg,
        point.number,
        _between(start, there),
    )


def _mapped(rows: Iterable[models.Location], start_id: int | None) -> PlacesMap:
    """Locations on one map, by straight distance from one of them where it is named."""
    records: list[tuple[int, LocationRecord]] = [(row.id, translate.to_record(row)) for row in rows]
    known = [(key, record) for key, record in records if _middle(record) is not None]
    start = next((_middle(record) for key, record in known if key == start_id), None)
    if start is not None:
        known.sort(key=lambda one: _between(start, _middle(one[1])) or 0.0)
    points = [
        point if start is None else _away(point, start)
        for number, (key, record) in enumerate(known, 1)
        for point in _spots(key, record, number)
    ]
    return PlacesMap(
        tuple(points),
        tuple(Unplaced(key, record.name) for key, record in records if _middle(record) is None),
    )


def map_of_all(work: Work, text: str = "", start_id: int | None = None) -> PlacesMap:
    """The locations whose name or address holds the text, MOST_PLACES of them at most."""
    found = queries.locations(text.strip()).rows().limit(MOST_PLACES)
    return _mapped(work.db.scalars(found), start_id)


def routes(work: Work, shots: Iterable[Shot]) -> tuple[Route, ...]:
    """Each date's way by a plan in the order of time: from location to location. Raises NotFound."""
    days: dict[date, list[int]] = {}
    for shot in shots:
        stops = days.setdefault(shot.on, [])
        if not stops or stops[-1] != shot.location_id:
            stops.append(shot.location_id)
    return tuple(_route(work, on, stops) for on, stops in days.items())


def _route(work: Work, on: date, stops: Sequence[int]) -> Route:
    rows = {key: queries.location(work.db, key) for key in stops}
    records: dict[int, LocationRecord] = {
        key: translate.to_record(row) for key, row in rows.items()
    }
    legs = []
    for one, other in pairwise(stops):
        straight = _between(_middle(records[one]), _middle(records[other]))
        legs.append(
            Leg(
                records[one].name,
                records[other].name,
                straight,
                None if straight is None else drive_min(straight),
            )
        )
    return Route(on, _mapped(rows.values(), None), tuple(legs))
