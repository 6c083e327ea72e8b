"""Where a fact is changed: from its path in the sheet to the field of the form that holds it."""

from __future__ import annotations

import re

from flask import url_for

from scout.records.parts import PARTS
from scout.usecases.shown import RoomPage
from scout.values import Name, Said, said
from scout.web.forms.locations import LocationForm
from scout.web.forms.parts import PART_FORMS, SurfaceForm
from scout.web.forms.rooms import MarksForm, RoomForm

_INDEX = re.compile(r"\[(\d+)\]$")  # `windows[0]` of a path: input of the engine, not a sentence


def field_link(path: str, page: RoomPage, production_id: int | None = None) -> str | None:
    """The address of the field that changes a fact of a room: `windows.W1.sill_m`,
    `room.windows[0].sill_m`, `surfaces.A.colour`; None where no form has it.
    """
    parts = path.removeprefix("room.").split(".")
    kind, rest = parts[0], parts[1:]
    if numbered := _INDEX.search(kind):
        kind = kind[: numbered.start()]
        rest = [numbered[1], *rest]
    if kind == "location":
        anchor = _anchor(LocationForm, rest)
        return url_for("locations.edit", location_id=page.location.id, _anchor=anchor)
    if kind == "kit":
        if production_id is None:
            return None
        anchor = "-".join(["kit", *rest[:1]]) if rest else "kit"
        return url_for("productions.edit", production_id=production_id, _anchor=anchor)
    if kind == "marks":
        return url_for("rooms.marks", room_id=page.kept.id, _anchor=_anchor(MarksForm, rest))
    if kind == "surfaces":
        if not rest:
            return url_for("rooms.recorded", room_id=page.kept.id, _anchor="surfaces")
        return url_for(
            "parts.surface",
            room_id=page.kept.id,
            name=rest[0],
            _anchor=_anchor(SurfaceForm, rest[1:]),
        )
    if kind in PARTS:
        return _part_link(kind, rest, bool(numbered), page)
    if kind in RoomForm.record_type.model_fields:
        return url_for("rooms.edit", room_id=page.kept.id, _anchor=_anchor(RoomForm, [kind]))
    return None


def _part_link(kind: str, rest: list[str], numbered: bool, page: RoomPage) -> str:
    kept = page.parts[kind]
    named = rest[0] if rest else None
    part = next(
        (
            one
            for i, one in enumerate(kept)
            if named == (str(i) if numbered else getattr(one.record, "id", None))
        ),
        None,
    )
    if part is None:
        return url_for("parts.add", room_id=page.kept.id, kind=kind)
    return url_for(
        "parts.edit", kind=kind, part_id=part.id, _anchor=_anchor(PART_FORMS[kind], rest[1:])
    )


def _anchor(form: type, fields: list[str]) -> str | None:
    """The id of the form's field, where it has one of that name."""
    name = fields[0].split("[")[0] if fields else ""
    return name if hasattr(form, name) and name else None


def called(name: str | None) -> Name | Said:
    """What a room is called in a title."""
    return Name(name) if name else said("page.the_room")
