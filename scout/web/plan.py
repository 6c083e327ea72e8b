"""The plan of a room for a scene, to change by pointer, touch and keyboard, or by typing coordinates."""

from __future__ import annotations

import math

from flask import Blueprint, flash, jsonify, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from werkzeug.datastructures import MultiDict

from scout.assess.answers import as_json
from scout.drawing.plan_board import floor_board
from scout.errors import Refused
from scout.usecases import planning
from scout.usecases.planning import PlanDesk, Point
from scout.web.asked import number_asked, number_sent, version_sent
from scout.web.work import work

bp = Blueprint("plan", __name__)
AXES = ("x", "y", "z")


@bp.get("/rooms/<int:room_id>/plan")
def show(room_id: int) -> ResponseReturnValue:
    """The drawing, the places as a form, and what they come to."""
    return _page(_desk(room_id))


@bp.get("/rooms/<int:room_id>/plan/figures")
def figures(room_id: int) -> ResponseReturnValue:
    """The figures for places tried out, as the page asks for while something is dragged."""
    desk = _desk(room_id)
    return jsonify({**as_json(desk.figures), "html": render_template("plan/figures.html", desk=desk)})


@bp.post("/rooms/<int:room_id>/plan")
def save(room_id: int) -> ResponseReturnValue:
    """Try the places out, keep them for the scene, or drop what was kept."""
    candidate_id = number_sent("candidate")
    if "try" in request.form:
        return _page(planning.desk(work(), room_id, candidate_id, places_in(request.form)), tried=True)
    if candidate_id is None:
        raise Refused("candidate", "", "is missing: a plan is kept for a scene that the room is proposed for")
    if "drop" in request.form:
        planning.drop_plan(work(), candidate_id, version_sent())
        flash("The plan is dropped; the room's marks and the worked-out places hold again.")
    else:
        planning.save_plan(work(), candidate_id, version_sent(), places_in(request.form))
        flash("The plan is kept for this scene.")
    return redirect(url_for("plan.show", room_id=room_id, candidate=candidate_id), code=303)


def _page(desk: PlanDesk, *, tried: bool = False) -> str:
    return render_template("plan/show.html", desk=desk, board=floor_board(desk.sheet.room), tried=tried)


def _desk(room_id: int) -> PlanDesk:
    return planning.desk(work(), room_id, number_asked("candidate"), places_in(request.args) or None)


def places_in(sent: MultiDict[str, str]) -> dict[str, Point]:
    """The places of a form: `at-NAME-x`, `-y`, `-z` in metres; a place with nothing typed is none. Raises Refused."""
    names = dict.fromkeys(key[3:-2] for key in sent if key.startswith("at-") and key[-2:] in ("-x", "-y", "-z"))
    found: dict[str, Point] = {}
    for name in names:
        texts = [sent.get(f"at-{name}-{axis}", "").strip() for axis in AXES]
        if any(texts):
            x, y, z = (_metres(f"{name}, {axis}", text) for axis, text in zip(AXES, texts, strict=True))
            found[name] = (x, y, z)
    return found


def _metres(path: str, text: str) -> float:
    try:
        value = float(text.removesuffix("m").strip().replace(",", "."))
    except ValueError:
        raise Refused(path, text, "is not a number of metres; give one such as 2.35") from None
    if not math.isfinite(value) or abs(value) > planning.MOST_M:
        raise Refused(path, text, f"must be within {planning.MOST_M:g} m")
    return value
