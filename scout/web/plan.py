"""The plan of a room for a scene, to change by pointer, touch and keyboard, or by typing; and its
three working plans to look at.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from flask import Blueprint, flash, jsonify, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from scout.assess.answers import as_json
from scout.assess.fit.plan_figures import PlanFigures
from scout.drawing.plan.editor import FloorBoard, floor_board, symbol
from scout.errors import Refused, RefusedMany, Stale
from scout.pages import assessing, stagings
from scout.pages import planning as desk_page
from scout.pages.planning import PlanDesk
from scout.records.plan import StagePlan
from scout.retelling import retold_answers
from scout.usecases import planning
from scout.web.asked import number_asked, number_sent, version_sent
from scout.web.forms.plan import WALK_MOST, facing_of, fields_of, metres_of, plan_in
from scout.web.work import begin_again, units, work

bp = Blueprint("plan", __name__)
FACE_CM = 55.0  # from the subject to the handle that turns them


@dataclass(frozen=True)
class Mover:
    """Something that is moved on the board: the prefix of its fields, what it is called, its
    pictogram, where it is drawn and how it is turned.
    """

    prefix: str
    name: str
    kind: str
    x: float | None
    y: float | None
    turn: float = 0.0
    metres: tuple[float, ...] = ()
    width_cm: float = 0.0
    depth_cm: float = 0.0


@bp.get("/rooms/<int:room_id>/plan")
def show(room_id: int) -> ResponseReturnValue:
    """The drawing, the places as a form, and what they come to."""
    return _page(_desk(room_id))


@bp.get("/rooms/<int:room_id>/plan/figures")
def figures(room_id: int) -> ResponseReturnValue:
    """The figures for places tried out, as the page asks for while something is dragged."""
    desk = _desk(room_id)
    html = render_template("plan/figures.html", desk=desk)
    return jsonify(
        {
            **as_json(retold_answers(desk.figures, units())),
            "html": html,
            "places": metres_of(desk.plan),
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
        plan = plan_in(texts, units())
        if "try" in request.form or candidate_id is None:
            return _page(desk_page.desk(work(), room_id, candidate_id, plan), texts, tried=True)
        desk_page.desk(
            work(), room_id, candidate_id, plan
        )  # refuses what the kit and the room do not have
        planning.save_plan(work(), candidate_id, version_sent(), plan or StagePlan())
    except (Refused, RefusedMany) as refusal:
        begin_again()
        faults = refusal.refusals if isinstance(refusal, RefusedMany) else (refusal,)
        return _page(
            _typed_desk(room_id, candidate_id, plan),
            texts,
            faults=tuple(str(one) for one in faults),
        ), 422
    except Stale as stale:
        begin_again()
        return _page(
            desk_page.desk(work(), room_id, candidate_id, plan),
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


def _page(
    desk: PlanDesk,
    texts: Mapping[str, str] | None = None,
    *,
    tried: bool = False,
    faults: tuple[str, ...] = (),
    theirs: StagePlan | None = None,
    version: int | None = None,
) -> str:
    board = floor_board(desk.sheet.room)
    shown = fields_of(desk.plan, units()) if texts is None else dict(texts)
    compared = []
    if theirs is not None:
        other = fields_of(theirs, units())
        compared = [
            (words_of(key), shown.get(key, ""), other.get(key, ""))
            for key in dict.fromkeys([*shown, *other])
            if key not in ("try", "lens")
            and shown.get(key, "").strip() != other.get(key, "").strip()
        ]
    ghosts = (
        [
            (key.removeprefix("at-"), board.at(place))
            for key, place in metres_of(theirs).items()
            if key.startswith("at-")
        ]
        if theirs and board
        else []
    )
    return render_template(
        "plan/show.html",
        desk=desk,
        board=board,
        movers=movers_of(desk, board) if board else (),
        texts=shown,
        tried=tried,
        faults=faults,
        compared=compared,
        ghosts=ghosts,
        version=version,
        walk_most=WALK_MOST,
        units_now=units(),
        symbols={
            kind: symbol(kind)
            for kind in ("subject", "camera", "key", "fill", "back", "other", "boom")
        },
    )


def _desk(room_id: int) -> PlanDesk:
    return desk_page.desk(
        work(), room_id, number_asked("candidate"), plan_in(request.args, units())
    )


def words_of(key: str) -> str:
    """What a field is called when two plans are compared: `key, x`."""
    for prefix, words in (("at-", ""), ("aim-", "aim of "), ("block-", ""), ("path-", "walk ")):
        if key.startswith(prefix):
            name, _, axis = key.removeprefix(prefix).rpartition("-")
            return (
                f"{words}{name}, {'height' if axis == 'z' else axis}" if name else f"{words}{axis}"
            )
    return key.replace("-", ", ")


def turns_of(plan: StagePlan) -> dict[str, float]:
    """How the symbols are turned on the board, clockwise from looking right [deg]."""
    found: dict[str, float] = {}

    def towards(start: tuple[float, ...], end: tuple[float, ...] | None) -> float:
        return (
            0.0
            if end is None
            else round(-math.degrees(math.atan2(end[1] - start[1], end[0] - start[0])), 1)
        )

    facing = facing_of(plan)
    if plan.subject is not None:
        found["at-subject"] = (
            facing - 90.0 if facing is not None else towards(plan.subject, plan.camera)
        )
    if plan.camera is not None:
        found["at-camera"] = towards(plan.camera, plan.subject)
    found |= {
        f"at-{light.id}": towards(light.at_m, light.aim_m or plan.subject) for light in plan.lights
    }
    return found


def roles_of(figures: PlanFigures) -> dict[str, str]:
    """The pictogram of each light by the prefix of its fields."""
    return {f"at-{light.light}": light.part for light in figures.lights}


def movers_of(desk: PlanDesk, board: FloorBoard) -> tuple[Mover, ...]:
    """Everything that can be moved, furniture first so that it lies under the rest; what has no
    place yet waits, hidden.
    """
    plan, places, turns, roles = (
        desk.plan,
        metres_of(desk.plan),
        turns_of(desk.plan),
        roles_of(desk.figures),
    )
    found: list[Mover] = []
    for block in desk.sheet.room.furniture or ():
        if (
            f"block-{block.id}" in places
            and block.width_m is not None
            and block.depth_m is not None
        ):
            x, y = board.at(places[f"block-{block.id}"])
            found.append(
                Mover(
                    f"block-{block.id}",
                    block.id,
                    "block",
                    x,
                    y,
                    block.turn_deg or 0.0,
                    tuple(places[f"block-{block.id}"]),
                    100.0 * block.width_m,
                    100.0 * block.depth_m,
                )
            )

    def put(prefix: str, name: str, kind: str) -> None:
        x, y = board.at(places[prefix]) if prefix in places else (None, None)
        found.append(
            Mover(prefix, name, kind, x, y, turns.get(prefix, 0.0), tuple(places.get(prefix, ())))
        )

    for k in range(WALK_MOST):
        put(f"path-{k + 1}", str(k + 1), "walk")
    for light in plan.lights:
        put(f"aim-{light.id}", f"aim of {light.id}", "aim")
    put("at-camera", "camera", "camera")
    put("at-subject", "subject", "subject")
    if plan.subject is not None:
        x, y = board.at(plan.subject)
        turn = math.radians(turns["at-subject"])
        found.append(
            Mover(
                "facing",
                "facing",
                "facing",
                round(x + FACE_CM * math.cos(turn), 1),
                round(y + FACE_CM * math.sin(turn), 1),
                turns["at-subject"],
            )
        )
    for name in [light.id for light in plan.lights] + list(desk.missing):
        put(f"at-{name}", name, roles.get(f"at-{name}", "other"))
    put("boom", "boom", "boom")
    return tuple(found)
