"""The walk: one page that records a room in the order in which a person goes through it, all of it
kept on the phone until the server has taken it.
"""

from __future__ import annotations

from flask import Blueprint, jsonify, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from scout import records
from scout.calc.bounce.named import NAMED
from scout.calc.countries import country_of
from scout.errors import Refused, RefusedMany
from scout.records.base import words_of
from scout.records.sheet import Material
from scout.usecases import locations, sheets
from scout.web.forms.base import say
from scout.web.work import asking, begin_again, work
from scout.words import figures

bp = Blueprint("walk", __name__)


@bp.get("/locations/<int:location_id>/walk")
def show(location_id: int) -> ResponseReturnValue:
    """The walk through a new room of a place."""
    kept = locations.location(work(), location_id).kept
    place, who = kept.record, asking()
    guess = country_of(place.latitude_deg, place.longitude_deg, place.timezone)
    return render_template(
        "rooms/walk.html",
        place=place,
        location_id=location_id,
        country=guess.codes[0] if guess.codes else "",
        colours=NAMED,
        materials=words_of(Material),
        by=who.name if who else "",
    )


@bp.post("/locations/<int:location_id>/walk")
def keep(location_id: int) -> ResponseReturnValue:
    """Record what was walked, or say of each fact that cannot be taken what would be."""
    try:
        sheet = records.read_sheet(request.form.get("sheet", ""))
        room_id = sheets.keep_walk(work(), sheet, location_id, _room_page)
    except (Refused, RefusedMany) as refusal:
        begin_again()
        refusals = refusal.refusals if isinstance(refusal, RefusedMany) else (refusal,)
        return jsonify(
            refusals=[
                {"path": one.path, "fact": figures.fact(one.path), "because": say(one)}
                for one in refusals
            ]
        ), 422
    return redirect(_room_page(room_id), code=303)


def _room_page(room_id: int) -> str:
    return url_for("rooms.show", room_id=room_id)
