"""The walk: one page that records a room in the order in which a person goes through it, all of it
kept on the phone until the server has taken it.
"""

from __future__ import annotations

import re
from typing import Any

from flask import Blueprint, jsonify, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from pydantic_core import PydanticCustomError

from scout import records
from scout.calc.bounce.named import NAMED
from scout.calc.countries import country_of
from scout.errors import Refused, RefusedMany
from scout.records import Measurement, RoomRecord
from scout.records.base import Record, kept_whole, parse_json, words_of
from scout.records.kept import Contact
from scout.records.limits import limits
from scout.records.merge import Conflict
from scout.records.parts import MATERIALS_OF
from scout.records.sheet import (
    Circuit,
    Facing,
    LightReading,
    Material,
    WayIn,
    Window,
)
from scout.usecases import difference, locations, rooms, walking
from scout.usecases.shown import Kept
from scout.values import said
from scout.web.forms.base import say
from scout.web.work import asking, begin_again, work
from scout.words import figures

bp = Blueprint("walk", __name__)
_PARTS = ("room", "marks", "place")
_STEPS = tuple(
    (re.compile(pattern), step)
    for pattern, step in (
        (r"windows|doors|outlets", "openings"),
        (r"surfaces", "surfaces"),
        (r"facing|bearing", "facing"),
        (r"marks|furniture", "marks"),
        (r"noise", "sound"),
        (r"circuits", "power"),
        (r"readings", "light"),
        (r"contacts|hazards|emergency", "people"),
        (r"way_in|location|place", "access"),
        (r"plan_m|width_m|length_m|height_m|corners", "shape"),
    )
)


# what each field of the page becomes
_FIELDS: dict[str, tuple[type[Record], str]] = {
    "name": (RoomRecord, "name"),
    "width": (RoomRecord, "width_m"),
    "depth": (RoomRecord, "length_m"),
    "leg": (RoomRecord, "width_m"),
    "height": (RoomRecord, "height_m"),
    "facing.bearing": (Facing, "bearing_deg"),
    "open.offset": (Window, "offset_m"),
    "open.width": (Window, "width_m"),
    "open.height": (Window, "height_m"),
    "open.sill": (Window, "sill_m"),
    "lux": (LightReading, "lux"),
    "circuits.breaker": (Circuit, "breaker_a"),
    "circuits.volts": (Circuit, "volts"),
    "circuits.load": (Circuit, "other_load_w"),
    "way.steps": (WayIn, "steps"),
    "way.door": (WayIn, "door_width_m"),
    "way.carry": (WayIn, "carry_m"),
    "contacts.name": (Contact, "name"),
    "contacts.role": (Contact, "role"),
    "contacts.phone": (Contact, "phone"),
}


def step_of(path: str) -> str:
    """The step of the walk at which a fact is caught."""
    return next((step for pattern, step in _STEPS if pattern.search(path)), "photos")


@bp.get("/locations/<int:location_id>/walk")
def show(location_id: int) -> ResponseReturnValue:
    """The walk through a new room of a place."""
    kept = locations.location(work(), location_id).kept
    return _page(kept, walking.at_place(work(), location_id))


@bp.get("/rooms/<int:room_id>/walk")
def on(room_id: int) -> ResponseReturnValue:
    """The walk gone on with in a room that is recorded."""
    page = rooms.room(work(), room_id)
    return _page(page.location, walking.in_room(work(), room_id), page.kept)


def _page(
    location: Kept[Any], recorded: dict[str, Any], room: Kept[Any] | None = None
) -> ResponseReturnValue:
    place, who = location.record, asking()
    guess = country_of(place.latitude_deg, place.longitude_deg, place.timezone)
    return render_template(
        "rooms/walk.html",
        place=place,
        location_id=location.id,
        room=room,
        recorded=recorded,
        seen=_now(),
        limits={
            key: [(one.end, one.bound, str(one.because)) for one in limits(record, name)]
            for key, (record, name) in _FIELDS.items()
        },
        country=guess.codes[0] if guess.codes else "",
        colours=NAMED,
        materials={
            word: [kind for kind, words in MATERIALS_OF.items() if word in words]
            for word in words_of(Material)
        },
        by=who.name if who else "",
    )


def _now() -> int:
    """By which of two copies on a phone is the later one, whatever the phone's own clock says."""
    return round(work().now().timestamp() * 1000)


@bp.post("/locations/<int:location_id>/walk")
def keep(location_id: int) -> ResponseReturnValue:
    """Record what was walked, or say of each fact that cannot be taken what would be."""
    try:
        sheet = records.read_sheet(request.form.get("sheet", ""))
        base, yours = (document.get("place") or {} for document in _two())
        room_id = walking.keep_walk(work(), sheet, location_id, (base, yours), _room_page)
    except (Refused, RefusedMany, walking.Contradiction) as error:
        begin_again()
        return _not_taken(error, walking.at_place(work(), location_id))
    return redirect(_room_page(room_id), code=303)


@bp.post("/rooms/<int:room_id>/walk")
def keep_on(room_id: int) -> ResponseReturnValue:
    """Record what a further walk changed, and say how the room stands now."""
    there = _room_page(room_id)
    try:
        base, yours = _two()
        given = yours.pop("measured", None) or []
        if not isinstance(given, list):
            raise Refused("measured", None, said("record.no_list"))
        measured = tuple(Measurement.read(one, f"measured[{i}]") for i, one in enumerate(given))
        walking.walk_on(work(), room_id, base, yours, measured, there)
    except (Refused, RefusedMany, walking.Contradiction) as error:
        begin_again()
        return _not_taken(error, walking.in_room(work(), room_id))
    return jsonify(there=there, recorded=walking.in_room(work(), room_id), seen=_now())


def _two() -> tuple[dict[str, Any], dict[str, Any]]:
    """What was recorded when the walk began, and what the walk made of it; both empty where a phone
    sent neither.
    """
    found = parse_json(request.form.get("walk") or "{}", "walk")
    base, yours = (_document(found, key) for key in ("base", "yours"))
    return base, yours


def _document(pair: Any, key: str) -> dict[str, Any]:
    found = pair.get(key, {}) if isinstance(pair, dict) else None
    parts = [found.get(part) or {} for part in _PARTS] if isinstance(found, dict) else [None]
    if not isinstance(found, dict) or not all(isinstance(part, dict) for part in parts):
        raise Refused("walk", None, said("record.no_object"))
    try:
        kept_whole(found)
    except PydanticCustomError:
        raise Refused("walk", None, said("record.nested_json")) from None
    return found


def _not_taken(
    error: Refused | RefusedMany | walking.Contradiction, recorded: dict[str, Any]
) -> ResponseReturnValue:
    if isinstance(error, walking.Contradiction):
        conflicts = [_shown(conflict) for conflict in error.conflicts]
        return jsonify(conflicts=conflicts, recorded=recorded, seen=_now()), 409
    refusals = error.refusals if isinstance(error, RefusedMany) else (error,)
    return jsonify(
        refusals=[
            {
                "path": one.path,
                "step": step_of(one.path),
                "fact": figures.fact(one.path),
                "because": say(one),
            }
            for one in refusals
        ]
    ), 422


def _shown(conflict: Conflict) -> dict[str, Any]:
    path = ".".join(conflict.path[1:] if conflict.path[0] != "marks" else conflict.path)
    return {
        "path": conflict.path,
        "step": step_of(".".join(conflict.path)),
        "fact": figures.fact(path),
        "yours": str(difference.told(conflict.yours, conflict.path)),
        "theirs": str(difference.told(conflict.theirs, conflict.path)),
        "recorded": conflict.theirs,
    }


def _room_page(room_id: int) -> str:
    return url_for("rooms.show", room_id=room_id)
