"""Locations: find, look at, record, change, bin."""

from __future__ import annotations

from flask import Blueprint, flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from scout.pages.places import map_of
from scout.usecases import gates, locations
from scout.values import Word, said
from scout.web.answer import answer_form, form_of
from scout.web.asked import spot_asked, version_sent
from scout.web.forms.locations import LocationForm, NoteForm
from scout.web.heed import heed
from scout.web.work import work

bp = Blueprint("locations", __name__)


@bp.get("/locations")
def listing() -> ResponseReturnValue:
    """Locations whose name or address holds a text, a page at a time."""
    text = request.args.get("text", "")[:200]
    found = locations.find_locations(work(), text=text, spot=spot_asked())
    return render_template("locations/list.html", found=found, text=text)


@bp.get("/locations/<int:location_id>")
def show(location_id: int) -> ResponseReturnValue:
    """A location with its rooms, photos and notes."""
    page = locations.location(work(), location_id)
    return render_template(
        "locations/show.html",
        page=page,
        map=map_of(location_id, page.kept.record),
        gates=gates.of_place(work(), location_id),
        note_form=form_of(NoteForm, start={"audience": "crew"}),
    )


@bp.route("/locations/new", methods=["GET", "POST"])
def add() -> ResponseReturnValue:
    """Record a location."""
    form = form_of(LocationForm)

    def save() -> str:
        record = form.record()
        added = locations.add_location(work(), record)
        heed(record)
        return url_for("locations.show", location_id=added)

    return answer_form(
        form,
        save,
        template="locations/form.html",
        title="A new location",
        verb="Record the location",
        back=url_for("locations.listing"),
    )


@bp.route("/locations/<int:location_id>/edit", methods=["GET", "POST"])
def edit(location_id: int) -> ResponseReturnValue:
    """Change a location."""
    kept, here = (
        locations.location(work(), location_id).kept,
        url_for("locations.show", location_id=location_id),
    )
    form = form_of(LocationForm, kept)

    def save() -> str:
        record = form.record()
        locations.save_location(work(), location_id, form.opened_at, record)
        heed(record, kept.record)
        return here

    return answer_form(
        form,
        save,
        template="locations/form.html",
        title=kept.record.name,
        verb="Save the location",
        back=here,
    )


@bp.post("/locations/<int:location_id>/bin")
def to_bin(location_id: int) -> ResponseReturnValue:
    """Move a location and its rooms to the bin."""
    locations.bin_location(work(), location_id, version_sent())
    flash(str(said("done.deleted", thing=Word("thing", "location"))))
    return redirect(url_for("locations.listing"), code=303)
