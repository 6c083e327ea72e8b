"""Other people's files in: points on the map as places, tables as rooms or as a kit's lights. All of
a file is taken, or nothing; tried first, nothing is written.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any, get_args

from scout.calc.distance import distance_m
from scout.errors import Refused, RefusedMany
from scout.media.points import Point, read_points
from scout.media.tables import Table, read_table
from scout.records import Kit, LocationRecord, RoomRecord
from scout.records.kit import Light, LightSpectrum
from scout.records.sheet import Setting
from scout.store import models, translate
from scout.store.queries import places as queries
from scout.units import parse_length_m, parse_number
from scout.usecases import locations, productions, rooms
from scout.usecases.work import Work
from scout.values import Name, said

NEAR_M = 100  # two points of one name within a house's length are one place
UNITS = frozenset({"m", "cm", "mm", "ft", "in"})
# what a column may be headed, beside its own key; lower case, without signs
ROOM_COLUMNS: Mapping[str, tuple[str, ...]] = {
    "location": ("place", "venue", "building", "site"),
    "name": ("room", "room name", "title"),
    "setting": ("inside or outside",),
    "storey": ("floor", "level", "storey number"),
    "width_m": ("width",),
    "length_m": ("length", "depth"),
    "height_m": ("height", "ceiling", "ceiling height"),
}
LIGHT_COLUMNS: Mapping[str, tuple[str, ...]] = {
    "id": ("name", "light", "fixture", "lamp", "item"),
    "watts": ("power", "power w", "w"),
    "cct_k": ("colour temperature", "color temperature", "cct", "kelvin"),
    "spectrum": ("kind", "type", "source"),
    "lux_at_1m": ("lux", "lux at 1 m"),
    "lumens": ("lm", "output lm"),
    "beam_deg": ("beam", "beam angle"),
    "stand_max_m": ("stand", "stand height", "highest"),
}
WORDS = frozenset({*get_args(Setting), *get_args(LightSpectrum)})


@dataclass(frozen=True)
class Brought:
    """What a file holds, and what became of it: `columns` as they were read, each heading with its
    key or None for one that is left out.
    """

    kind: str
    columns: tuple[tuple[str, str | None], ...]
    added: tuple[str, ...]
    known: tuple[str, ...]
    tried: bool = False


def bring(
    work: Work,
    data: bytes,
    name: str,
    *,
    location_id: int | None = None,
    production_id: int | None = None,
    columns: Mapping[str, str] | None = None,
    tried: bool = False,
) -> Brought:
    """Take what a file holds: points as places, a table as rooms or, for a production, as lights of
    its kit. Raises RefusedMany, each with its line and column; NotFound.

    columns: which heading is which key, where that cannot be told by the heading
    tried: everything is judged and nothing kept
    """
    head = data.lstrip(b"\xef\xbb\xbf \t\r\n")[:1]
    if head in (b"<", b"{", b"["):
        brought = _points(work, read_points(data, name))
    else:
        table = read_table(data, name)
        given = columns or {}
        brought = (
            _rooms(work, table, given, location_id)
            if production_id is None
            else _lights(work, table, given, production_id)
        )
    if tried:
        work.db.rollback()
    else:
        work.commit()
    return dataclasses.replace(brought, tried=tried)


def _points(work: Work, points: tuple[Point, ...]) -> Brought:
    added, known = [], []
    for number, point in enumerate(points, 1):
        called = point.name or str(said("files.point", number=number))
        if any(_near(row, point) for row in queries.named(work.db, called)):
            known.append(called)
            continue
        record = LocationRecord.read(
            {
                "name": called,
                "latitude_deg": point.latitude_deg,
                "longitude_deg": point.longitude_deg,
                **({} if point.elevation_m is None else {"elevation_m": point.elevation_m}),
            },
            called,
        )
        locations.put_location(work, record)
        added.append(called)
    return Brought("locations", (), tuple(added), tuple(known))


def _near(row: models.Location, point: Point) -> bool:
    if row.latitude_deg is None or row.longitude_deg is None:
        return False
    away = distance_m(row.latitude_deg, row.longitude_deg, point.latitude_deg, point.longitude_deg)
    return away < NEAR_M


# -- tables
# --------------------------------------------------------------------------------------------------
def _plain(heading: str) -> list[str]:
    signs = heading.replace("_", " ").casefold()
    return "".join(ch if ch.isalnum() else " " for ch in signs).split()


def match(heading: str, keys: Mapping[str, tuple[str, ...]]) -> tuple[str | None, str]:
    """The key that a heading stands for, and the unit that it names."""
    words = _plain(heading)
    unit = words[-1] if len(words) > 1 and words[-1] in UNITS else ""
    for meant in (words, words[:-1] if unit else []):
        for key, others in keys.items():
            if meant in (_plain(key), *(_plain(other) for other in others)):
                return key, unit
    return None, unit


def _matched(
    table: Table, keys: Mapping[str, tuple[str, ...]], given: Mapping[str, str]
) -> list[tuple[str, str | None, str]]:
    """Each heading with its key and its unit. Raises RefusedMany for keys there are not."""
    wrong = [
        Refused("columns", f"{heading}={key}", said("files.no_column", keys=Name(", ".join(keys))))
        for heading, key in given.items()
        if key not in keys or heading not in table.headings
    ]
    if wrong:
        raise RefusedMany(wrong)
    found, taken = [], set(given.values())
    for heading in table.headings:
        key, unit = match(heading, keys)
        if heading in given:
            key = given[heading]
        elif key in taken:
            key = None  # the second of two columns that could be meant
        if key is not None:
            taken.add(key)
        found.append((heading, key, unit))
    if not any(key for _, key, _ in found):
        raise RefusedMany([Refused("columns", None, said("files.none_matched"))])
    return found


def _read(
    table: Table, columns: list[tuple[str, str | None, str]], keep: Callable[[dict[str, Any]], None]
) -> None:
    """Hand on each row as plain values. Raises RefusedMany with all that cannot be read."""
    refusals: list[Refused] = []
    for row, line in zip(table.rows, table.lines, strict=True):
        plain: dict[str, Any] = {}
        at = str(said("files.line", line=line))
        try:
            for text, (_, key, unit) in zip(row, columns, strict=True):
                if key is not None and text:
                    plain[key] = _value(key, text, unit, f"{at}, {key}")
            keep({"": at, **plain})
        except RefusedMany as many:
            refusals += many.refusals
        except Refused as refusal:
            refusals.append(refusal)
    if refusals:
        raise RefusedMany(refusals)


def _value(key: str, text: str, unit: str, at: str) -> Any:
    if key.endswith("_m"):
        bare = all(ch.isdigit() or ch in ".,-" for ch in text)
        return parse_length_m(f"{text} {unit}" if bare and unit else text, name=at)
    if key in ("location", "name", "id"):
        return text
    word = text.casefold().replace(" ", "_")
    if word in WORDS or key in ("setting", "spectrum"):
        return word
    return parse_number(text.removesuffix("%").strip(), name=at)


def _rooms(work: Work, table: Table, given: Mapping[str, str], location_id: int | None) -> Brought:
    columns = _matched(table, ROOM_COLUMNS, given)
    added, known = [], []

    def keep(plain: dict[str, Any]) -> None:
        at = plain.pop("")
        place = _place(work, plain.pop("location", None), location_id, at)
        if place is None:
            raise Refused(f"{at}, location", None, said("files.no_place"))
        called = plain.get("name")
        if called and any(row.name == called for row in translate.alive(place.rooms)):
            known.append(called)
            return
        record = RoomRecord.read({"setting": "interior", **plain}, at)
        rooms.put_room(work, place, record)
        added.append(called or at)

    _read(table, columns, keep)
    return Brought("rooms", _told(columns), tuple(added), tuple(known))


def _place(
    work: Work, called: str | None, location_id: int | None, at: str
) -> models.Location | None:
    """The place that a row names, made where there is none of the name; else the one asked for."""
    if called is None:
        return None if location_id is None else queries.location(work.db, location_id)
    named = queries.named(work.db, called)
    if named:
        return named[0]
    return locations.put_location(work, LocationRecord.read({"name": called}, f"{at}, location"))


def _told(columns: list[tuple[str, str | None, str]]) -> tuple[tuple[str, str | None], ...]:
    return tuple((heading, key) for heading, key, _ in columns)


def _lights(work: Work, table: Table, given: Mapping[str, str], production_id: int) -> Brought:
    columns = _matched(table, LIGHT_COLUMNS, given)
    kit = productions.production(work, production_id).kept.record.kit or Kit()
    lights = list(kit.lights or ())
    added: list[str] = []
    known: list[str] = []

    def keep(plain: dict[str, Any]) -> None:
        light = Light.read({key: value for key, value in plain.items() if key}, plain[""])
        if any(light.id == other.id for other in lights):
            known.append(light.id)
            return
        lights.append(light)
        added.append(light.id)

    _read(table, columns, keep)
    if added:
        changed = Kit.model_validate({**kit.plain(), "lights": [one.plain() for one in lights]})
        productions.put_kit(work, production_id, changed)
    return Brought("lights", _told(columns), tuple(added), tuple(known))


def columns_of(pairs: Iterable[str]) -> dict[str, str]:
    """Which heading is which key, from `HEADING=KEY` each. Raises RefusedMany."""
    given = [pair.strip() for pair in pairs if pair.strip()]
    wrong = [Refused("columns", pair, said("files.unnamed")) for pair in given if "=" not in pair]
    if wrong:
        raise RefusedMany(wrong)
    return {
        heading.strip(): key.strip() for heading, _, key in (pair.rpartition("=") for pair in given)
    }
