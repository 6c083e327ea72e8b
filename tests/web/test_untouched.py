"""Opening a filled form and saving it untouched changes nothing, with every field there is filled in.

Expected answers: `property:` a record shown in its form and read again is the same record. What a
browser would send is read off the page, so a field that the page leaves out is lost here too.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from html.parser import HTMLParser
from typing import Any

import pytest
from pydantic import BaseModel

from scout.records import (
    LocationRecord,
    Marks,
    ProductionRecord,
    RoomRecord,
    SceneRecord,
    read_sheet,
)
from scout.records.kept import NEED_TOPICS
from scout.records.parts import PARTS
from scout.settings import Settings
from scout.usecases import locations, productions, rooms, sheets
from scout.usecases.work import open_work
from tests.rooms import WHOLE_PARTS, WHOLE_ROOM, WHOLE_SURFACE, plain_sheet
from tests.web.conftest import Browser, faults

WHOLE_PLACE: dict[str, Any] = {
    "name": "Weir House",
    "address": "1 Example Lane\nExample",
    "latitude_deg": 52.2,
    "longitude_deg": 0.12,
    "elevation_m": 15.0,
    "timezone": "Europe/London",
    "ground_reflectance": 0.25,
    "contacts": [
        {
            "name": "Ida Example",
            "role": "caretaker",
            "phone": "+44 1632 960001",
            "email": "ida@example.org",
            "note": "after 9",
        }
    ],
    "door_width_m": 0.9,
    "door_height_m": 2.05,
    "steps": 0,
    "has_lift": False,
    "lift_width_m": 1.1,
    "lift_depth_m": 1.4,
    "lift_height_m": 2.1,
    "parking_distance_m": 35.5,
    "door_at": {"latitude_deg": 52.20012, "longitude_deg": 0.12021},
    "parking_at": {"latitude_deg": 52.19987, "longitude_deg": -0.12034},
    "load_in": "by the yard, 2 m gate",
    "parking": "two vans",
    "parking_hours": {
        "week": [{"first": "mon", "last": "sat", "opens": "07:00", "closes": "19:00"}],
        "dates": [{"on": "2026-07-04", "opens": "09:00", "closes": "12:00"}],
        "closed_on": ["2026-12-26"],
    },
    "opening_hours": {
        "week": [{"first": "mon", "last": "fri", "opens": "08:00", "closes": "18:30"}],
        "dates": [{"on": "2026-06-21", "opens": "10:00", "closes": "00:00"}],
        "closed_on": ["2026-12-25", "2026-12-26"],
    },
    "hours": "quiet after six",
    "permits": "none known",
    "permit_lead_days": 10,
    "permit_granted": True,
    "quiet_from": "22:00",
    "quiet_until": "07:00",
    "fee_amount": 250.5,
    "fee_currency": "GBP",
    "fee_note": "with heating",
    "house_rules": "no tape on the paint",
    "restrooms": "on the landing",
    "holding": "the hall",
    "phone_signal": "weak",
    "emergency_care": "Example Hospital, all day",
    "hazards": "a low beam",
}
CAMERA: dict[str, Any] = {
    "sensor_width_mm": 24.9,
    "sensor_height_mm": 14.0,
    "focal_lengths_mm": [24.0, 35.0],
    "iso": 800.0,
    "f_number": 2.8,
    "shutter_s": 0.02,
    "latitude_stops": 6.5,
}
WHOLE_JOB: dict[str, Any] = {
    "title": "The weir",
    "client": "Example Films",
    "shoot_dates": ["2026-06-21", "2026-06-22"],
    "crew": [
        {"name": "Bo Example", "role": "gaffer", "phone": "+44 1632 960002", "call_time": "07:30"}
    ],
    "kit": {
        "name": "Van",
        "camera": CAMERA,
        "other_cameras": [{"id": "B", **CAMERA}],
        "lights": [
            {
                "id": "key",
                "supply": "battery",
                "watts": 300.0,
                "power_factor": 0.9,
                "lux_at_1m": 9000.0,
                "reading_lux": 2250.0,
                "reading_at_m": 2.0,
                "lumens": 12000.0,
                "beam_deg": 55.0,
                "cct_k": 5600.0,
                "duv": -0.002,
                "spectrum": "led",
                "stand_min_m": 1.1,
                "stand_max_m": 2.6,
                "head_m": 0.3,
                "soft_width_m": 0.6,
                "at_m": [4.0, 2.0, 2.2],
                "aim_m": [2.5, 3.0, 1.2],
            }
        ],
        "modifiers": [{"id": "softbox", "loss_stops": 1.5, "width_m": 0.9}],
        "stands": [{"id": "stand", "count": 4, "lowest_m": 1.1, "highest_m": 2.6, "foot_m": 1.0}],
        "reflectors": [
            {"id": "board", "face": "white", "width_m": 1.0, "height_m": 1.5, "reflectance": 0.85}
        ],
        "mics": [{"id": "boom", "kind": "shotgun", "distance_m": 0.7}],
        "chargers": [{"id": "batteries", "watts": 120.0, "power_factor": 0.6}],
        "cables": [{"length_m": 10.0, "conductor_mm2": 1.5}],
        "notes": "spare fuses",
        "speech_effort": "raised",
        "continuous_share": 0.75,
        "exposure_constant": 330,
        "ratio": 3.0,
    },
}
NEED = {"strength": "wish", "weight": 2, "bend": -2.0}
WHOLE_SCENE: dict[str, Any] = {
    "name": "The talk",
    "seen": "a face",
    "heard": "two voices",
    "needs": [
        {
            "topic": "when",
            "dates": ["2026-06-21"],
            "from_time": "09:30",
            "until_time": "12:00",
            **NEED,
        },
        {"topic": "floor", "width_m": 3.0, "length_m": 4.25, **NEED},
        {"topic": "height", "height_m": 2.4, **NEED},
        {"topic": "framing", "framing": "medium", **NEED},
        {"topic": "noise", "laeq_db": 35.0, **NEED},
        {"topic": "daylight", "want": "wanted", **NEED},
        {"topic": "colour", "risk": "low", **NEED},
        {"topic": "watts", "watts": 900.0, **NEED},
        {
            "topic": "access",
            "steps": 5,
            "carry_m": 100.0,
            "door_width_m": 0.8,
            "step_free": True,
            **NEED,
        },
        {"topic": "depth", "depth_m": 4.5, **NEED},
        {"topic": "sun", **NEED},
        {"topic": "facing", "facing": "north", **NEED},
        {"topic": "lux", "lux": 200.0, **NEED},
        {"topic": "sockets", "sockets": 3, **NEED},
        {"topic": "mic", "speech": "clean", **NEED},
        {"topic": "look", "tags": ["brick", "north light"], **NEED},
        {
            "topic": "travel",
            "km": 20.5,
            "from_latitude_deg": 52.5,
            "from_longitude_deg": -1.25,
            **NEED,
        },
        {"topic": "permit", "days": 10, **NEED},
        {"topic": "neighbours", **NEED},
        {"topic": "budget", "amount": 300.0, "currency": "GBP", **NEED},
    ],
}
WHOLE_MARKS: dict[str, Any] = {
    "subject": [2.5, 3.0, 1.2],
    "subject_normal": [0.0, -1.0, 0.25],
    "camera": [2.5, 0.8, 1.4],
    "path": [[1.0, 3.0, 1.5], [4.0, 3.0, 1.5]],
    "others": [[3.2, 3.1, 1.2], [1.7, 3.1, 1.25]],
}


def gaps(record: BaseModel, at: str = "") -> Iterator[str]:
    """The fields of a record, and of the records in it, that hold nothing."""
    for name in type(record).model_fields:
        value = getattr(record, name)
        if value is None:
            yield f"{at}{name}"
        for part in value if isinstance(value, tuple) else (value,):
            if isinstance(part, BaseModel):
                yield from gaps(part, f"{at}{name}.")


def dumped(record: BaseModel) -> dict[str, Any]:
    """A record as plain values, without what is not recorded."""
    made: dict[str, Any] = without_none(record.model_dump())
    return made


def without_none(value: Any) -> Any:
    """Nested values without those that are None, in whatever holds them."""
    if isinstance(value, Mapping):
        return {key: without_none(one) for key, one in value.items() if one is not None}
    if isinstance(value, (list, tuple)):
        return [without_none(one) for one in value]
    return value


class Sent(HTMLParser):
    """What a browser sends when the page's large form is saved: (name, value) of its fields."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.fields: list[tuple[str, str]] = []
        self._in_form = self._in_pattern = False
        self._select: tuple[str, list[str]] | None = None
        self._area: tuple[str, list[str]] | None = None
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        if tag == "form":
            self._in_form = "sheet" in given.get("class", "").split()
        self._in_pattern |= tag == "template"
        if not self._in_form or self._in_pattern:
            return
        name = given.get("name", "")
        if tag == "input" and (given.get("type") != "checkbox" or "checked" in given):
            self.fields.append((name, given.get("value", "")))
        elif tag == "select":
            self._select = (name, [])
        elif tag == "option" and self._select is not None:
            chosen = self._select[1]
            if "selected" in given or not chosen:
                chosen.append(given["value"])
        elif tag == "textarea":
            self._area = (name, [])

    def handle_data(self, data: str) -> None:
        if self._area is not None:
            self._area[1].append(data)

    def handle_endtag(self, tag: str) -> None:
        if tag == "template":
            self._in_pattern = False
        elif tag == "select" and self._select is not None:
            self.fields.append((self._select[0], self._select[1][-1]))
            self._select = None
        elif tag == "textarea" and self._area is not None:
            self.fields.append((self._area[0], "".join(self._area[1]).removeprefix("\n")))
            self._area = None


@pytest.fixture(params=["metric", "feet"])
def filled(ada: Browser, embedded: Settings, request: pytest.FixtureRequest) -> Browser:
    """Ada, reading in one of the units, before a room, a place, a job and a scene with everything
    filled in, each number 1 of its kind.
    """
    ada.done("/units", {"units": request.param})
    sheet = read_sheet(
        {
            **plain_sheet(kit=None),
            "room": {
                **WHOLE_ROOM,
                "surfaces": {"A": WHOLE_SURFACE},
                **{kind: [part] for kind, part in WHOLE_PARTS.items()},
            },
            "marks": WHOLE_MARKS,
        }
    )
    with open_work(embedded) as work:
        sheets.import_sheet(work, sheet)
        place = locations.location(work, 1).kept
        locations.save_location(work, 1, place.version, LocationRecord.read(WHOLE_PLACE))
        productions.add_production(work, ProductionRecord.read(WHOLE_JOB))
        productions.add_scene(work, 1, SceneRecord.read(WHOLE_SCENE))
    return ada


def first_of(kind: str) -> Callable[[Any], Any]:
    """What asks for the first part of a kind of the room."""
    return lambda work: getattr(rooms.room(work, 1).kept.record, kind)[0]


FORMS: dict[str, tuple[str, type[BaseModel], Callable[[Any], Any]]] = {
    **{kind: (f"/parts/{kind}/1", PARTS[kind].record, first_of(kind)) for kind in PARTS},
    "room": ("/rooms/1/edit", RoomRecord, lambda work: rooms.room(work, 1).kept.record),
    "surface": (
        "/rooms/1/surfaces/A",
        RoomRecord,
        lambda work: (rooms.room(work, 1).kept.record.surfaces or {})["A"],
    ),
    "marks": ("/rooms/1/marks", Marks, lambda work: rooms.room(work, 1).marks),
    "place": (
        "/locations/1/edit",
        LocationRecord,
        lambda work: locations.location(work, 1).kept.record,
    ),
    "job": (
        "/productions/1/edit",
        ProductionRecord,
        lambda work: productions.production(work, 1).kept.record,
    ),
    "scene": ("/scenes/1/edit", SceneRecord, lambda work: productions.scene(work, 1).kept.record),
}


def test_the_examples_fill_every_field() -> None:
    for record in (
        LocationRecord.read(WHOLE_PLACE),
        ProductionRecord.read(WHOLE_JOB),
        SceneRecord.read(WHOLE_SCENE),
        Marks.read(WHOLE_MARKS),
    ):
        assert list(gaps(record)) == []
    assert {need["topic"] for need in WHOLE_SCENE["needs"]} == set(NEED_TOPICS)


@pytest.mark.parametrize("name", FORMS)
def test_saving_a_filled_form_untouched_changes_nothing(
    filled: Browser, look: Callable[..., Any], name: str
) -> None:
    address, _, kept = FORMS[name]
    before = look(kept)
    page = filled.get(address)
    assert page.status_code == 200
    sent: dict[str, list[str]] = {}
    for field, value in Sent(page.text).fields:
        if field != "csrf_token":
            sent.setdefault(field, []).append(value)
    assert sent["version"] != [""]
    answer = filled.post(address, sent)
    assert answer.status_code in (302, 303), faults(answer)
    # a band without a level is the same as a band left out
    assert dumped(look(kept)) == dumped(before)


@pytest.mark.parametrize("kind", PARTS)
def test_every_field_of_a_part_is_in_its_form(filled: Browser, kind: str) -> None:
    page = filled.get(f"/parts/{kind}/1")
    shown = {field.split("-")[0] for field, value in Sent(page.text).fields if value}
    assert set(PARTS[kind].record.model_fields) <= shown
