"""Every address of the JSON API in one table: which deed it does, with which record, over which
version. Routes, the document and the readable page are made from it; what may be recorded is judged
by the same records and deeds as the forms'.
"""

from __future__ import annotations

import dataclasses
import inspect
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Annotated, Any, Literal, get_args, get_origin, get_type_hints

from pydantic import ConfigDict, Field, create_model

from scout.assess.answers import as_json
from scout.errors import Refused, RefusedMany
from scout.pages import assessing
from scout.records import (
    CandidateRecord,
    LocationRecord,
    Marks,
    Measurement,
    NoteRecord,
    PhotoRecord,
    ProductionRecord,
    Record,
    RoomRecord,
    RoomSheet,
    SceneRecord,
    sheet_refusals,
)
from scout.records.base import Text
from scout.records.parts import OWN_ROOM_FIELDS, PARTS
from scout.records.sheet import LocalDate, Surface
from scout.store.queries.common import Spot
from scout.usecases import locations, notes, photos, productions, rooms, sheets
from scout.usecases.roles import Kind
from scout.usecases.shown import (
    Kept,
    LocationLine,
    LocationPage,
    Page,
    ProductionLine,
    ProductionPage,
    RoomLine,
    RoomPage,
    ScenePage,
)
from scout.usecases.work import Work
from scout.values import Name, said

SPOT = "spot"
IN_PATH = re.compile(r"\{(\w+)\}")
PhotoFile = Literal["photo"]  # a file sent as that part of a multipart form
FileAnswer = Literal["file"]  # bytes as they lie


class Asked(Record):
    """What an address asks for after its question mark: text, read as numbers and dates."""

    model_config = ConfigDict(strict=False)


@dataclass(frozen=True)
class Made:
    """What became of something that was sent to be added; `again`: it had come before."""

    id: int
    there: str
    again: bool = False
    warnings: tuple[str, ...] = ()
    duplicate_of: int | None = None


@dataclass(frozen=True)
class RoomFindings:
    """What is found about a room on one date, for the scene it is proposed for."""

    date: str
    findings: tuple[dict[str, Any], ...]


@dataclass(frozen=True)
class Endpoint:
    """One address and method. Its deed is called with the parts of the path, what the query asks,
    the version and the record, each by its name.
    """

    method: str
    path: str
    deed: Callable[..., Any]
    of: Kind  # what it is done to, in the table of roles
    answers: Any = None  # None: nothing, or what `shows` answers
    takes: Any = None
    takes_as: str = "record"
    without: tuple[str, ...] = ()  # keys of the record that are saved elsewhere
    versioned: Literal["no", "yes", "if_kept"] = "no"
    makes: str | None = None  # the address of what is added
    shows: str | None = None  # the address that is answered with when it is done
    fixed: Mapping[str, Any] = field(default_factory=dict)

    @property
    def name(self) -> str:
        """Its name among the routes."""
        return f"{self.method.lower()}{re.sub(r'[^a-z]+', '_', self.path)}".strip("_")

    @property
    def rule(self) -> str:
        """Its path as the router writes it."""
        return IN_PATH.sub(
            lambda part: f"<{part[1]}>" if part[1] == "name" else f"<int:{part[1]}>", self.path
        )

    @property
    def in_path(self) -> tuple[str, ...]:
        """The names of what its path carries."""
        return tuple(IN_PATH.findall(self.path))

    @property
    def words(self) -> str:
        """What it does: the first sentence of its deed."""
        told = " ".join((inspect.getdoc(self.deed) or "").split())
        return re.split(r"\.?; returns |\. |\.$", told)[0] + "."

    @cached_property
    def asks(self) -> type[Asked]:
        """What its query may ask for: what the deed takes by name alone."""
        hints = get_type_hints(self.deed, include_extras=True)
        fields: dict[str, Any] = {
            name: (_asked_as(hints[name]), parameter.default)
            for name, parameter in inspect.signature(self.deed).parameters.items()
            if parameter.kind is parameter.KEYWORD_ONLY and name not in {*self.fixed, SPOT}
        }
        if SPOT in hints:  # a list begins after a row, or ends before one
            fields |= {name: (_asked_as(int) | None, None) for name in ("after", "before")}
        return create_model(f"Asked_{self.name}", __base__=Asked, **fields)

    def asked(self, query: Mapping[str, str]) -> dict[str, Any]:
        """What a query asks for, as the deed takes it. Raises RefusedMany, also for unknown keys."""
        read = self.asks.read(dict(query))
        values = {name: getattr(read, name) for name in type(read).model_fields}
        if SPOT in inspect.signature(self.deed).parameters:
            values[SPOT] = Spot(values.pop("after"), values.pop("before"))
        return values

    def refuse_elsewhere(self, record: Record) -> None:
        """Raises RefusedMany for keys that are saved at an address of their own."""
        given = [key for key in self.without if key in record.model_fields_set]
        if given:
            raise RefusedMany(
                Refused(key, None, said("api.elsewhere", path=Name(f"/rooms/{{room_id}}/{key}")))
                for key in given
            )


def _asked_as(hint: Any) -> Any:
    """The type of a question: whole numbers within reason, texts that can be looked for."""
    if hint is int:
        return Annotated[int, Field(ge=1, le=2**31 - 1)]
    if hint is str:
        return Text
    if get_origin(hint) is not Annotated and type(None) in get_args(hint):
        inner = next(one for one in get_args(hint) if one is not type(None))
        return _asked_as(inner) | None
    return hint


# -- what a deed hands out in a shape of its own
def _room(work: Work, key: int) -> RoomPage:
    """A room: its own facts, its parts, marks, photos, notes, and what it is proposed for."""
    page = rooms.room(work, key)
    own = {name: value for name, value in page.kept.record.plain().items() if name in OWN}
    kept = dataclasses.replace(page.kept, record=RoomRecord.model_validate(own))
    return dataclasses.replace(page, kept=kept)


def _part(work: Work, kind: str, key: int) -> Kept[Any]:
    """A part of a room."""
    return rooms.part(work, kind, key)[1]


def _note(work: Work, key: int) -> Kept[NoteRecord]:
    """A note."""
    return notes.note(work, key)[2]


def _candidate(work: Work, key: int) -> Kept[CandidateRecord]:
    """A room proposed for a scene, and where the choice stands."""
    return productions.candidate(work, key)[1]


def _read_sheet(work: Work, record: RoomSheet, *, location_id: int | None = None) -> int:
    """Record the room of a room sheet, at a known location or at one made from the sheet."""
    refusals = tuple(sheet_refusals(record))
    if refusals:
        raise RefusedMany(refusals)
    return sheets.import_sheet(work, record, location_id)


def _sheet(work: Work, room_id: int, *, production_id: int | None = None) -> RoomSheet:
    """A room as one room sheet, with the kit of a production if one is named."""
    return sheets.export_sheet(work, room_id, production_id)


def _findings(
    work: Work,
    room_id: int,
    *,
    on: LocalDate | None = None,
    production_id: int | None = None,
    scene_id: int | None = None,
) -> RoomFindings:
    """What is found about a room on a date: findings with their figures and what to do."""
    day = on or assessing.default_date(work, room_id, production_id, scene_id)
    setup = assessing.setup_of(work, room_id, day, production_id=production_id, scene_id=scene_id)
    return RoomFindings(day.isoformat(), tuple(as_json(assessing.assessed(setup).findings)))


def _picture(work: Work, key: int) -> tuple[Any, str, str]:
    """A photo upright, as JPEG, without position or other notes inside."""
    return photos.picture(work, key, "screen"), f"{key}.jpg", "image/jpeg"


OWN = frozenset(OWN_ROOM_FIELDS)
APART = (*PARTS, "surfaces")
ROOM = "/rooms/{key}"


def _kept(
    path: str,
    of: Kind,
    record: type[Record],
    read: Callable[..., Any],
    save: Callable[..., Any],
    bin_: Callable[..., Any],
    answers: Any = None,
    **more: Any,
) -> tuple[Endpoint, ...]:
    """Read, save and delete one thing at its address."""
    fixed = more.pop("fixed", {})
    return (
        Endpoint("GET", path, read, of, answers or Kept[record], fixed=fixed),  # type: ignore[valid-type]
        Endpoint(
            "PUT", path, save, of, takes=record, versioned="yes", shows=path, fixed=fixed, **more
        ),
        Endpoint("DELETE", path, bin_, of, versioned="yes", fixed=fixed),
    )


def _added(
    path: str, of: Kind, record: Any, deed: Callable[..., Any], makes: str, **more: Any
) -> Endpoint:
    return Endpoint("POST", path, deed, of, Made, record, makes=makes, **more)


def _of_a_kind(kind: str) -> tuple[Endpoint, ...]:
    """The addresses of one kind of part."""
    record, fixed, room = PARTS[kind].record, {"kind": kind}, f"/rooms/{{room_id}}/{kind}"
    of: Kind = "noise" if kind == "noise" else "room"
    none = (
        Endpoint(
            method, f"{room}/none", rooms.say_none, of, shows=ROOM, fixed={**fixed, "none": yes}
        )
        for method, yes in (("PUT", True), ("DELETE", False))
    )
    return (
        _added(room, of, record, rooms.add_part, f"/{kind}/{{key}}", fixed=fixed),
        *_kept(f"/{kind}/{{key}}", of, record, _part, rooms.save_part, rooms.bin_part, fixed=fixed),
        *(none if PARTS[kind].can_be_none else ()),
    )


def _of_an_owner(owner: str) -> tuple[Endpoint, ...]:
    """Photos and notes of a location or a room."""
    path, fixed = f"/{owner}s/{{owner_id}}", {"owner": owner}
    return (
        _added(
            f"{path}/photos", "photo", PhotoFile, photos.add_photo, "/photos/{key}", fixed=fixed
        ),
        _added(f"{path}/notes", "note", NoteRecord, notes.add_note, "/notes/{key}", fixed=fixed),
    )


ENDPOINTS: tuple[Endpoint, ...] = (
    Endpoint("GET", "/locations", locations.find_locations, "location", Page[LocationLine]),
    _added("/locations", "location", LocationRecord, locations.add_location, "/locations/{key}"),
    *_kept(
        "/locations/{key}",
        "location",
        LocationRecord,
        locations.location,
        locations.save_location,
        locations.bin_location,
        LocationPage,
    ),
    *_of_an_owner("location"),
    Endpoint("GET", "/rooms", rooms.find_rooms, "room", Page[RoomLine]),
    _added("/locations/{location_id}/rooms", "room", RoomRecord, rooms.add_room, ROOM),
    *_kept(
        ROOM, "room", RoomRecord, _room, rooms.save_room, rooms.bin_room, RoomPage, without=APART
    ),
    Endpoint(
        "PUT",
        "/rooms/{room_id}/surfaces/{name}",
        rooms.save_surface,
        "room",
        takes=Surface,
        versioned="if_kept",
        shows=ROOM,
    ),
    Endpoint(
        "PUT",
        "/rooms/{room_id}/marks",
        rooms.save_marks,
        "room",
        takes=Marks,
        takes_as="marks",
        versioned="yes",
        shows=ROOM,
    ),
    Endpoint(
        "POST",
        "/rooms/{room_id}/measurements",
        rooms.add_measurement,
        "room",
        takes=Measurement,
        takes_as="measurement",
        shows=ROOM,
    ),
    Endpoint("GET", "/rooms/{room_id}/findings", _findings, "room", RoomFindings),
    Endpoint("GET", "/rooms/{room_id}/sheet", _sheet, "file", RoomSheet),
    _added("/sheets", "room", RoomSheet, _read_sheet, ROOM),
    *_of_an_owner("room"),
    *(endpoint for kind in PARTS for endpoint in _of_a_kind(kind)),
    *_kept(
        "/photos/{key}",
        "photo",
        PhotoRecord,
        photos.photo_kept,
        photos.save_photo,
        photos.bin_photo,
    ),
    Endpoint("GET", "/photos/{key}/original", photos.original, "original", FileAnswer),
    Endpoint("GET", "/photos/{key}/picture", _picture, "photo", FileAnswer),
    *_kept("/notes/{key}", "note", NoteRecord, _note, notes.save_note, notes.bin_note),
    Endpoint(
        "GET", "/productions", productions.find_productions, "production", Page[ProductionLine]
    ),
    _added(
        "/productions",
        "production",
        ProductionRecord,
        productions.add_production,
        "/productions/{key}",
    ),
    *_kept(
        "/productions/{key}",
        "production",
        ProductionRecord,
        productions.production,
        productions.save_production,
        productions.bin_production,
        ProductionPage,
    ),
    _added(
        "/productions/{production_id}/scenes",
        "scene",
        SceneRecord,
        productions.add_scene,
        "/scenes/{key}",
    ),
    *_kept(
        "/scenes/{key}",
        "scene",
        SceneRecord,
        productions.scene,
        productions.save_scene,
        productions.bin_scene,
        ScenePage,
    ),
    _added(
        "/scenes/{scene_id}/rooms/{room_id}",
        "choice",
        CandidateRecord,
        productions.add_candidate,
        "/candidates/{key}",
    ),
    *_kept(
        "/candidates/{key}",
        "choice",
        CandidateRecord,
        _candidate,
        productions.save_candidate,
        productions.bin_candidate,
    ),
)
SHOWING: Mapping[str, Endpoint] = {one.path: one for one in ENDPOINTS if one.method == "GET"}
