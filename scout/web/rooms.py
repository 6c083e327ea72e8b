"""Rooms: find, look at with all that was worked out, record, change, bin."""

from __future__ import annotations

from typing import Any

from flask import Blueprint, Response, flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from scout.assess.setup import Setup
from scout.drawing import svg
from scout.errors import NotFound, ScoutError
from scout.pages import assessing
from scout.records import Marks
from scout.records.base import words_of
from scout.records.sheet import Setting
from scout.usecases import locations, productions, rooms
from scout.usecases.shown import Kept, RoomPage
from scout.values import Name, Said, Spell, Word, said
from scout.web.answer import answer_form, form_of
from scout.web.asked import Question, number_asked, question, version_sent
from scout.web.forms.locations import NoteForm
from scout.web.forms.rooms import MarksForm, RoomForm
from scout.web.links import called
from scout.web.measured import save_measured
from scout.web.parts import surface_names
from scout.web.work import units, work

bp = Blueprint("rooms", __name__)


@bp.get("/rooms")
def listing() -> ResponseReturnValue:
    """Rooms whose name or place holds a text, a page at a time."""
    text, setting = request.args.get("text", "")[:200], request.args.get("setting", "")
    settings = words_of(Setting)
    found = rooms.find_rooms(
        work(),
        text=text,
        setting=setting if setting in settings else None,
        page=number_asked("page") or 1,
    )
    return render_template(
        "rooms/list.html", found=found, text=text, setting=setting, settings=settings
    )


@bp.get("/rooms/<int:room_id>")
def show(room_id: int) -> ResponseReturnValue:
    """A room: findings, plan, figures, and everything recorded."""
    page = rooms.room(work(), room_id)
    asked = question(page)
    return render_template(
        "rooms/show.html",
        page=page,
        asked=asked,
        note_form=form_of(NoteForm, start={"audience": "crew"}),
        jobs=productions.find_productions(work()).items,
        surface_names=surface_names,
        **worked_out(page, asked),
    )


def worked_out(page: RoomPage, asked: Question) -> dict[str, Any]:
    """The assessment and its drawings, or in their place the reason why there are none."""
    try:
        setup = _setup(page, asked)
        found = assessing.assessed(setup, asked.at)
        drawn = assessing.drawings(work(), page.kept.id, found, units=units(), sheet_=setup.sheet)
    except ScoutError as error:
        return {"assessment": None, "drawn": {}, "fault": str(error), "used_for": None}
    pictures = {
        name: svg.render(drawing, id_prefix=name)
        for name in ("plan", "timeline", "lux")
        if (drawing := getattr(drawn, name)) is not None
    }
    return {
        "assessment": found,
        "drawn": pictures,
        "fault": None,
        "used_for": used_for(setup, asked),
    }


def _setup(page: RoomPage, asked: Question) -> Setup:
    return assessing.setup_of(
        work(),
        page.kept.id,
        asked.on,
        production_id=asked.production_id,
        scene_id=asked.scene_id,
    )


def used_for(setup: Setup, asked: Question) -> Said | None:
    """The scene that a room is judged for, with its hours and framing; None: the room by itself."""
    if asked.scene is None:
        return None
    return said(
        "page.setup",
        scene=Name(asked.scene.scene_name),
        hours=Spell(*setup.hours) if setup.hours is not None else None,
        framing=Word("framing", setup.framing) if setup.framing is not None else None,
    )


@bp.get("/rooms/<int:room_id>/<any(plan, timeline, lux):which>.svg")
def drawing(room_id: int, which: str) -> ResponseReturnValue:
    """One drawing alone, to look at closely on a small screen or to keep."""
    page = rooms.room(work(), room_id)
    asked = question(page)
    setup = _setup(page, asked)
    found = assessing.assessed(setup, asked.at)
    drawn = getattr(
        assessing.drawings(work(), room_id, found, units=units(), sheet_=setup.sheet), which
    )
    if drawn is None:
        raise NotFound("drawing", which)
    return Response(svg.render(drawn, standalone=True), mimetype="image/svg+xml")


@bp.route("/locations/<int:location_id>/rooms/new", methods=["GET", "POST"])
def add(location_id: int) -> ResponseReturnValue:
    """Record a room of a location."""
    place = locations.location(work(), location_id).kept
    form = form_of(RoomForm, timezone=place.record.timezone)

    def save() -> str:
        told = form.measurements(None)
        room_id = rooms.add_room(work(), location_id, form.record())
        return save_measured(room_id, told)

    return answer_form(
        form,
        save,
        title=said("page.new_room", of=Name(place.record.name)),
        verb="Record the room",
        back=url_for("locations.show", location_id=location_id),
    )


@bp.route("/rooms/<int:room_id>/edit", methods=["GET", "POST"])
def edit(room_id: int) -> ResponseReturnValue:
    """Change a room's own facts."""
    page = rooms.room(work(), room_id)
    form = form_of(RoomForm, page.kept, timezone=page.location.record.timezone)

    def save() -> str:
        told = form.measurements(page.kept.record)
        rooms.save_room(work(), room_id, form.opened_at, form.record())
        return save_measured(room_id, told)

    return answer_form(
        form,
        save,
        title=page.kept.record.name or "Unnamed room",
        verb="Save the room",
        back=url_for("rooms.show", room_id=room_id),
    )


@bp.route("/rooms/<int:room_id>/marks", methods=["GET", "POST"])
def marks(room_id: int) -> ResponseReturnValue:
    """Where the subject, the camera and a path stand."""
    page = rooms.room(work(), room_id)
    form = form_of(MarksForm, marks_kept(page), timezone=page.location.record.timezone)

    def save() -> str:
        told = form.measurements(page.marks, "marks")
        rooms.save_marks(work(), room_id, form.opened_at, form.record())
        return save_measured(room_id, told)

    return answer_form(
        form,
        save,
        title=said("page.marks", of=called(page.kept.record.name)),
        verb="Save the marks",
        back=url_for("rooms.show", room_id=room_id),
    )


def marks_kept(page: RoomPage) -> Kept[Marks]:
    """The marks of a room, kept under the room's own version."""
    return Kept(
        page.kept.id,
        page.kept.version,
        page.marks or Marks(),
        page.kept.changed_at,
        page.kept.changed_by,
    )


@bp.post("/rooms/<int:room_id>/bin")
def to_bin(room_id: int) -> ResponseReturnValue:
    """Move a room to the bin."""
    page = rooms.room(work(), room_id)
    rooms.bin_room(work(), room_id, version_sent())
    flash(str(said("done.deleted", thing=Word("thing", "room"))))
    return redirect(url_for("locations.show", location_id=page.location.id), code=303)
