"""Notes: written, changed, binned."""

from __future__ import annotations

from flask import Blueprint, flash, redirect, url_for
from flask.typing import ResponseReturnValue

from scout.usecases import notes
from scout.values import Word, said
from scout.web.answer import answer_form, form_of
from scout.web.asked import version_sent
from scout.web.forms.locations import NoteForm
from scout.web.work import work

bp = Blueprint("notes", __name__)


def owner_page(owner: str, owner_id: int, anchor: str) -> str:
    """Where the notes and photos of a location or room are shown."""
    if owner == "room":
        return url_for("rooms.recorded", room_id=owner_id, _anchor=anchor)
    return url_for("locations.show", location_id=owner_id, _anchor=anchor)


@bp.route("/<any(location, room):owner>/<int:owner_id>/notes/new", methods=["GET", "POST"])
def add(owner: str, owner_id: int) -> ResponseReturnValue:
    """Write a note about a location or a room."""
    notes.owner_of(work(), owner, owner_id)
    form, here = form_of(NoteForm, start={"audience": "crew"}), owner_page(owner, owner_id, "notes")

    def save() -> str:
        notes.add_note(work(), owner, owner_id, form.record())
        return here

    return answer_form(form, save, title="A new note", verb="Add the note", back=here)


@bp.route("/notes/<int:note_id>", methods=["GET", "POST"])
def edit(note_id: int) -> ResponseReturnValue:
    """Change a note."""
    owner, owner_id, kept = notes.note(work(), note_id)
    form, here = form_of(NoteForm, kept), owner_page(owner, owner_id, "notes")

    def save() -> str:
        notes.save_note(work(), note_id, form.opened_at, form.record())
        return here

    return answer_form(form, save, title="Note", verb="Save the note", back=here)


@bp.post("/notes/<int:note_id>/bin")
def to_bin(note_id: int) -> ResponseReturnValue:
    """Move a note to the bin."""
    owner, owner_id, _kept = notes.note(work(), note_id)
    notes.bin_note(work(), note_id, version_sent())
    flash(str(said("done.deleted", thing=Word("thing", "note"))))
    return redirect(owner_page(owner, owner_id, "notes"), code=303)
