"""The plan of a room for a scene, to change by pointer, touch and keyboard, or by typing; and its
three working plans to look at.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from flask import Blueprint, flash, jsonify, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from scout.assess.answers import as_json
from scout.assess.stage.kit import foot_m
from scout.calc.fit.floor.space import TRIPOD_RADIUS_M
from scout.drawing.plan.editor import floor_board, movers_of, places_of, symbol, turns_of
from scout.errors import Refused, RefusedMany, Stale
from scout.pages import assessing
from scout.pages.room import planning as desk_page
from scout.pages.room import stagings
from scout.pages.room.planning import PlanDesk
from scout.records.plan import StagePlan
from scout.usecases import planning
from scout.web.asked import number_asked, number_sent, version_sent
from scout.web.bodies import unchanged
from scout.web.forms.plan import PlanForm
from scout.web.work import begin_again, looking, saving, units, work

bp = Blueprint("plan", __name__)


@bp.get("/rooms/<int:room_id>/plan")
def show(room_id: int) -> ResponseReturnValue:
    """The drawing, the places as a form, and what they come to."""
    return render_template("plan/show.html", **unchanged(lambda: _shown(_desk(room_id))))


@bp.get("/rooms/<int:room_id>/plan/figures")
def figures(room_id: int) -> ResponseReturnValue:
    """The figures for places tried out, as the page asks for while something is dragged."""
    desk = _desk(room_id)
    html = render_template("plan/figures.html", desk=desk)
    return jsonify(
        {
            **as_json(desk.figures),
            "html": html,
            "places": places_of(desk.plan),
            "turns": turns_of(desk.plan),
        }
    )


@bp.get("/rooms/<int:room_id>/plan/sheets")
def sheets(room_id: int) -> ResponseReturnValue:
    """Light, power and shot plan as the packet prints them."""
    desk = _desk(room_id)
    scene = desk.scene
    on = assessing.default_date(work(), room_id, scene.production_id if scene else None)
    staging = stagings.staging(work(), room_id, scene.candidate_id if scene else None, on)
    return render_template(
        "plan/sheets.html", desk=desk, drawn=stagings.shown(staging, units()), staging=staging
    )


@bp.post("/rooms/<int:room_id>/plan")
def save(room_id: int) -> ResponseReturnValue:
    """Try the places out, keep them for the scene, or drop what was kept; what is refused comes
    back as it was typed.
    """
    candidate_id = number_sent("candidate")
    texts = {
        key: value
        for key, value in request.form.items()
        if key not in ("csrf_token", "candidate", "version")
    }
    if candidate_id is None and "try" not in request.form:
        raise Refused(
            "candidate", "", "is missing: a plan is kept for a scene that the room is proposed for"
        )
    if candidate_id is not None and "drop" in request.form:
        planning.drop_plan(work(), candidate_id, version_sent())
        flash("The plan is dropped; the room's marks and the worked-out places hold again.")
        return redirect(url_for("plan.show", room_id=room_id, candidate=candidate_id), code=303)
    plan: StagePlan | None = None
    try:
        plan = PlanForm(texts, units()).plan()
        if "try" in request.form or candidate_id is None:
            return _page(desk_page.desk(looking(), room_id, candidate_id, plan), texts, tried=True)
        desk_page.desk(
            looking(), room_id, candidate_id, plan
        )  # refuses what the kit and the room do not have
        planning.save_plan(saving(), candidate_id, version_sent(), plan or StagePlan())
    except (Refused, RefusedMany) as refusal:
        begin_again()
        faults = refusal.refusals if isinstance(refusal, RefusedMany) else (refusal,)
        looking()
        return _page(
            _typed_desk(room_id, candidate_id, plan),
            texts,
            faults=tuple(str(one) for one in faults),
        ), 422
    except Stale as stale:
        begin_again()
        return _page(
            desk_page.desk(looking(), room_id, candidate_id, plan),
            texts,
            theirs=StagePlan.read(stale.theirs, "plan"),
            version=stale.version,
        ), 409
    flash("The plan is kept for this scene.")
    return redirect(url_for("plan.show", room_id=room_id, candidate=candidate_id), code=303)


def _typed_desk(room_id: int, candidate_id: int | None, plan: StagePlan | None) -> PlanDesk:
    """The desk with what was typed as far as it can be drawn, else with what is kept."""
    try:
        return desk_page.desk(work(), room_id, candidate_id, plan)
    except (Refused, RefusedMany):
        return desk_page.desk(work(), room_id, candidate_id)


def _page(desk: PlanDesk, texts: Mapping[str, str], **more: Any) -> str:
    return render_template("plan/show.html", **_shown(desk, texts, **more))


def _shown(
    desk: PlanDesk,
    texts: Mapping[str, str] | None = None,
    *,
    tried: bool = False,
    faults: tuple[str, ...] = (),
    theirs: StagePlan | None = None,
    version: int | None = None,
) -> dict[str, Any]:
    board = floor_board(desk.sheet.room)
    form = PlanForm.showing(desk.plan, units())
    if texts is not None:
        form = PlanForm(texts, units())
    compared = []
    if theirs is not None:
        other = PlanForm.showing(theirs, units())
        mine, others = form.texts, other.texts
        compared = [
            ((form if key in mine else other).called(key), mine.get(key, ""), others.get(key, ""))
            for key in dict.fromkeys([*mine, *others])
            if key != "lens" and mine.get(key, "").strip() != others.get(key, "").strip()
        ]
    roles = {light.light: light.part for light in desk.figures.lights}
    names = [*(light.id for light in desk.plan.lights), *desk.missing]
    ghosts = (
        [
            (key.removeprefix("at-"), board.at(place))
            for key, place in places_of(theirs).items()
            if key.startswith("at-")
        ]
        if theirs and board
        else []
    )
    return {
        "desk": desk,
        "board": board,
        "movers": movers_of(desk.plan, desk.sheet.room, board, roles, names, form.marks)
        if board
        else (),
        "texts": form.texts,
        "tried": tried,
        "faults": faults,
        "compared": compared,
        "ghosts": ghosts,
        "version": version,
        "walk_most": form.marks,
        "units_now": units(),
        "lenses_json": json.dumps([as_json(lens) for lens in desk.figures.lenses]),
        "foot_cm": 100.0 * foot_m(desk.sheet.kit),
        "tripod_cm": 200.0 * TRIPOD_RADIUS_M,
        "symbols": {
            kind: symbol(kind)
            for kind in ("subject", "camera", "key", "fill", "back", "other", "boom")
        },
    }


def _desk(room_id: int) -> PlanDesk:
    return desk_page.desk(
        work(), room_id, number_asked("candidate"), PlanForm(request.args, units()).plan()
    )
