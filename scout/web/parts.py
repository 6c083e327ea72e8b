"""What a room is made of: windows, doors, circuits, outlets, furnishings, practicals, furniture,
noise readings, and its surfaces.
"""

from __future__ import annotations

from typing import Any

from flask import Blueprint, flash, redirect, request, url_for
from flask.typing import ResponseReturnValue

from scout.calc.geometry import WALL_LETTERS
from scout.errors import NotFound
from scout.records import RoomRecord
from scout.records.parts import MATERIALS_OF, PARTS, next_label
from scout.usecases import rooms
from scout.usecases.shown import Kept, RoomPage
from scout.values import Name, Word, said
from scout.web.answer import answer_form, form_of
from scout.web.asked import version_sent
from scout.web.forms.parts import PART_FORMS, SurfaceForm
from scout.web.forms.rooms import MeasuredRecordForm, walls_of
from scout.web.links import called
from scout.web.measured import save_measured
from scout.web.work import looking, work

bp = Blueprint("parts", __name__)
KIND = f"<any({', '.join(PARTS)}):kind>"
NONE_OF = f"<any({', '.join(name for name in PARTS if PARTS[name].can_be_none)}):kind>"


def _form(
    kind: str, page: RoomPage, kept: Kept[Any] | None = None, start: dict[str, Any] | None = None
) -> MeasuredRecordForm[Any]:
    """The form of a kind, offering this room's walls and circuits."""
    form = form_of(PART_FORMS[kind], kept, timezone=page.location.record.timezone, start=start)
    at = next(
        (i for i, part in enumerate(page.parts[kind]) if kept is not None and part.id == kept.id),
        -1,
    )
    return offering(form.within(page.kept.record, kind, at), page.kept.record)


def offering(form: MeasuredRecordForm[Any], room: RoomRecord) -> MeasuredRecordForm[Any]:
    """The form with the walls and circuits that this room has to choose from."""
    corners = room.corners_m
    if "wall" in form:
        form["wall"].choices = walls_of(len(corners or ()))
    if "circuit" in form:
        form["circuit"].choices = [(circuit.id, circuit.id) for circuit in room.circuits or ()]
    return form


@bp.route(
    f"/rooms/<int:room_id>/{KIND}/new",
    methods=["GET", "POST"],
)
def add(room_id: int, kind: str) -> ResponseReturnValue:
    """Add a part to a room."""
    page = rooms.room(looking(), room_id)
    form = _form(kind, page, start={"id": next_label(page.kept.record, kind)})

    def save() -> str:
        record = form.record()
        told = form.measurements(
            None, f"{kind}.{getattr(record, 'id', getattr(record, 'material', ''))}"
        )
        rooms.add_part(work(), room_id, kind, record)
        save_measured(room_id, told)
        return url_for("rooms.recorded", room_id=room_id, _anchor=kind)

    return answer_form(
        form,
        save,
        title=said("page.added", thing=PARTS[kind].one, of=called(page.kept.record.name)),
        verb=said("page.add", thing=PARTS[kind].one),
        back=url_for("rooms.recorded", room_id=room_id),
    )


@bp.route(
    f"/parts/{KIND}/<int:part_id>",
    methods=["GET", "POST"],
)
def edit(kind: str, part_id: int) -> ResponseReturnValue:
    """Change a part of a room."""
    room_id, kept = rooms.part(looking(), kind, part_id)
    page = rooms.room(work(), room_id)
    form = _form(kind, page, kept)

    def save() -> str:
        record = form.record()
        told = form.measurements(
            kept.record, f"{kind}.{getattr(record, 'id', getattr(record, 'material', ''))}"
        )
        rooms.save_part(work(), kind, part_id, form.opened_at, record)
        save_measured(room_id, told)
        return url_for("rooms.recorded", room_id=room_id, _anchor=kind)

    label, of = getattr(kept.record, "id", None), called(page.kept.record.name)
    thing = PARTS[kind].one
    return answer_form(
        form,
        save,
        title=said("page.part", thing=thing, name=Name(label), of=of)
        if label
        else said("page.part_unnamed", thing=thing, of=of),
        verb=said("page.save", thing=PARTS[kind].one),
        back=url_for("rooms.recorded", room_id=room_id),
    )


@bp.post(f"/parts/{KIND}/<int:part_id>/bin")
def to_bin(kind: str, part_id: int) -> ResponseReturnValue:
    """Move a part to the bin."""
    room_id, _kept = rooms.part(work(), kind, part_id)
    rooms.bin_part(work(), kind, part_id, version_sent())
    flash(str(said("done.deleted", thing=PARTS[kind].one)))
    return redirect(url_for("rooms.recorded", room_id=room_id, _anchor=kind), code=303)


@bp.post(f"/rooms/<int:room_id>/{NONE_OF}/none")
def say_none(room_id: int, kind: str) -> ResponseReturnValue:
    """Record that a room has none of a kind, which is not the same as nobody having looked; or take
    that back.
    """
    none = request.form.get("none", "yes") == "yes"
    rooms.say_none(work(), room_id, kind, none)
    many = PARTS[kind].many
    flash(
        str(
            said("done.none_of", things=many) if none else said("done.none_taken_back", things=many)
        )
    )
    return redirect(url_for("rooms.recorded", room_id=room_id, _anchor=kind), code=303)


@bp.route("/rooms/<int:room_id>/surfaces/<name>", methods=["GET", "POST"])
def surface(room_id: int, name: str) -> ResponseReturnValue:
    """What a wall, the ceiling or the floor is like."""
    page = rooms.room(looking(), room_id)
    if name not in surface_names(page.kept.record, page.surfaces):
        raise NotFound("surface", name)
    kept = page.surfaces.get(name)
    form = form_of(SurfaceForm, kept, timezone=page.location.record.timezone)
    offered = MATERIALS_OF[name if name in MATERIALS_OF else "wall"]
    form.material.choices = [one for one in form.material.choices if one[0] in offered]

    def save() -> str:
        told = form.measurements(kept.record if kept else None, f"surfaces.{name}")
        rooms.save_surface(work(), room_id, name, form.opened_at or None, form.record())
        save_measured(room_id, told)
        return url_for("rooms.recorded", room_id=room_id, _anchor="surfaces")

    return answer_form(
        form,
        save,
        title=said("page.surface", surface=Word("surface", name), of=called(page.kept.record.name)),
        verb="Save the surface",
        back=url_for("rooms.recorded", room_id=room_id),
    )


def surface_names(room: RoomRecord, recorded: Any) -> tuple[str, ...]:
    """The surfaces a room has: as many walls as its plan, four while it has none, and whatever is
    recorded.
    """
    corners = room.corners_m
    count = 0 if room.setting == "exterior" else len(corners) if corners is not None else 4
    return (
        *(name for i, name in enumerate(WALL_LETTERS) if i < count or name in recorded),
        *(("ceiling",) if room.setting != "exterior" or "ceiling" in recorded else ()),
        "floor",
    )
