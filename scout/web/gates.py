"""Codes of doors, gates and alarms: kept, changed, deleted, and one shown for half a minute."""

from __future__ import annotations

from flask import Blueprint, flash, make_response, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from scout.errors import Refused
from scout.usecases import gates
from scout.usecases import locations as places
from scout.values import Name, said
from scout.web.answer import answer_form, form_of
from scout.web.forms.locations import GateForm
from scout.web.work import work

bp = Blueprint("gates", __name__, url_prefix="/locations/<int:location_id>/codes")
SHOWN_S = 30


def _there(location_id: int) -> str:
    return url_for("locations.show", location_id=location_id, _anchor="codes")


@bp.route("/new", methods=["GET", "POST"])
def add(location_id: int) -> ResponseReturnValue:
    """Keep a code of a place."""
    place = places.location(work(), location_id).kept.record
    form, there = form_of(GateForm), _there(location_id)

    def save() -> str:
        gates.add(work(), location_id, form.record())
        return there

    page = {
        "title": str(said("gate.title", of=Name(place.name))),
        "verb": "Keep the code",
        "back": there,
    }
    return answer_form(form, save, "locations/gate_form.html", **page)


@bp.route("/<int:gate_id>", methods=["GET", "POST"])
def edit(location_id: int, gate_id: int) -> ResponseReturnValue:
    """Type a code anew; the one that is kept is not shown here."""
    line, there = gates.line_of(work(), location_id, gate_id), _there(location_id)
    form = form_of(GateForm, start={"label": line.label})
    if request.method == "GET":
        form.version.show(line.version)

    def save() -> str:
        gates.save(work(), location_id, gate_id, form.opened_at, form.record())
        return there

    page = {
        "title": str(said("gate.title", of=Name(line.label))),
        "verb": "Keep the code",
        "back": there,
        "delete": url_for("gates.delete", location_id=location_id, gate_id=gate_id),
    }
    return answer_form(form, save, "locations/gate_form.html", **page)


@bp.post("/<int:gate_id>/show")
def show(location_id: int, gate_id: int) -> ResponseReturnValue:
    """The code, for half a minute; that it was shown is kept among the changes."""
    there = _there(location_id)
    try:
        told = gates.show(work(), location_id, gate_id)
    except Refused as refusal:
        flash(str(said("gate.not_shown", because=Name(str(refusal.because)))))
        return redirect(there, code=303)
    page = render_template("locations/gate.html", told=told, there=there, seconds=SHOWN_S)
    answer = make_response(page)
    answer.headers["Refresh"] = f"{SHOWN_S}; url={there}"  # without scripts too
    return answer


@bp.post("/<int:gate_id>/delete")
def delete(location_id: int, gate_id: int) -> ResponseReturnValue:
    """Forget a code for good."""
    gates.delete(work(), location_id, gate_id)
    flash(str(said("gate.deleted")))
    return redirect(_there(location_id), code=303)
