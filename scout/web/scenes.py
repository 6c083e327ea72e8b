"""Scenes: their needs, the rooms proposed for them, and the rooms side by side."""

from __future__ import annotations

from flask import Blueprint, flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from scout.drawing.plan.editor import floor_board
from scout.pages import choice, setups
from scout.records import CandidateRecord
from scout.usecases import productions, rooms
from scout.usecases import setups as deeds
from scout.usecases.shown import CandidateLine
from scout.values import Name, Said, Word, said
from scout.web.answer import answer_form, form_of
from scout.web.asked import date_asked, number_asked, version_sent
from scout.web.forms.productions import CandidateForm
from scout.web.forms.scenes import TOPIC_CHOICES, SceneForm
from scout.web.forms.setups import SetupForm
from scout.web.work import work

bp = Blueprint("scenes", __name__)


@bp.get("/scenes/<int:scene_id>")
def show(scene_id: int) -> ResponseReturnValue:
    """A scene with its needs and candidates."""
    return render_template(
        "scenes/show.html",
        page=productions.scene(work(), scene_id),
        setups=setups.setups_of_scene(work(), scene_id),
    )


@bp.route("/productions/<int:production_id>/scenes/new", methods=["GET", "POST"])
def add(production_id: int) -> ResponseReturnValue:
    """Add a scene to a production."""
    kept, form = productions.production(work(), production_id).kept, form_of(SceneForm)
    return answer_form(
        form,
        lambda: url_for(
            "scenes.show", scene_id=productions.add_scene(work(), production_id, form.record())
        ),
        title=said("page.new_scene", of=Name(kept.record.title)),
        verb="Add the scene",
        topics=TOPIC_CHOICES,
        back=url_for("productions.show", production_id=production_id),
    )


@bp.route("/scenes/<int:scene_id>/edit", methods=["GET", "POST"])
def edit(scene_id: int) -> ResponseReturnValue:
    """Change a scene and its needs."""
    kept, here = productions.scene(work(), scene_id).kept, url_for("scenes.show", scene_id=scene_id)
    form = form_of(SceneForm, kept)

    def save() -> str:
        productions.save_scene(work(), scene_id, form.opened_at, form.record())
        return here

    return answer_form(
        form, save, title=kept.record.name, verb="Save the scene", topics=TOPIC_CHOICES, back=here
    )


@bp.post("/scenes/<int:scene_id>/bin")
def to_bin(scene_id: int) -> ResponseReturnValue:
    """Move a scene to the bin."""
    page = productions.scene(work(), scene_id)
    productions.bin_scene(work(), scene_id, version_sent())
    flash(str(said("done.deleted", thing=Word("thing", "scene"))))
    return redirect(url_for("productions.show", production_id=page.production.id), code=303)


@bp.get("/scenes/<int:scene_id>/propose")
def propose(scene_id: int) -> ResponseReturnValue:
    """Rooms to propose for a scene."""
    text, page = request.args.get("text", "")[:200], productions.scene(work(), scene_id)
    found = rooms.find_rooms(work(), text=text, page=number_asked("page") or 1)
    return render_template(
        "scenes/propose.html",
        page=page,
        found=found,
        text=text,
        proposed={line.room_id for line in page.candidates},
    )


@bp.post("/scenes/<int:scene_id>/rooms/<int:room_id>")
def add_candidate(scene_id: int, room_id: int) -> ResponseReturnValue:
    """Propose a room for a scene."""
    productions.add_candidate(work(), scene_id, room_id, CandidateRecord())
    flash("The room is proposed.")
    return redirect(url_for("scenes.show", scene_id=scene_id, _anchor="candidates"), code=303)


@bp.route("/candidates/<int:candidate_id>", methods=["GET", "POST"])
def candidate(candidate_id: int) -> ResponseReturnValue:
    """Where the choice stands for one room, and why."""
    line, kept = productions.candidate(work(), candidate_id)
    form, here = (
        form_of(CandidateForm, kept),
        url_for("scenes.show", scene_id=line.scene_id, _anchor="candidates"),
    )

    def save() -> str:
        productions.save_candidate(work(), candidate_id, form.opened_at, form.record())
        return here

    return answer_form(
        form,
        save,
        title=said("page.choice", room=Name(line.room_name), scene=Name(line.scene_name)),
        verb="Save the choice",
        back=here,
    )


@bp.post("/candidates/<int:candidate_id>/bin")
def candidate_to_bin(candidate_id: int) -> ResponseReturnValue:
    """Take a room out of the choice."""
    line, _kept = productions.candidate(work(), candidate_id)
    productions.bin_candidate(work(), candidate_id, version_sent())
    flash(str(said("done.not_proposed", room=Name(line.room_name))))
    return redirect(url_for("scenes.show", scene_id=line.scene_id, _anchor="candidates"), code=303)


@bp.route("/candidates/<int:candidate_id>/setups/new", methods=["GET", "POST"])
def add_setup(candidate_id: int) -> ResponseReturnValue:
    """Add a setup to a room that is proposed."""
    line, _kept = productions.candidate(work(), candidate_id)
    form = form_of(SetupForm)
    here = url_for("scenes.show", scene_id=line.scene_id, _anchor="candidates")

    def save() -> str:
        deeds.add_setup(work(), candidate_id, form.record())
        return here

    return answer_form(form, save, title=_setup_title(line), verb="Add the setup", back=here)


@bp.route("/setups/<int:setup_id>", methods=["GET", "POST"])
def setup(setup_id: int) -> ResponseReturnValue:
    """Change a setup."""
    kept, line = deeds.setup(work(), setup_id)
    form = form_of(SetupForm, kept)
    here = url_for("scenes.show", scene_id=line.scene_id, _anchor="candidates")

    def save() -> str:
        deeds.save_setup(work(), setup_id, form.opened_at, form.record())
        return here

    return answer_form(form, save, title=_setup_title(line), verb="Save the setup", back=here)


def _setup_title(line: CandidateLine) -> Said:
    return said("page.setup_of", room=Name(line.room_name), scene=Name(line.scene_name))


@bp.post("/setups/<int:setup_id>/bin")
def setup_to_bin(setup_id: int) -> ResponseReturnValue:
    """Move a setup to the bin."""
    _kept, line = deeds.setup(work(), setup_id)
    deeds.bin_setup(work(), setup_id, version_sent())
    flash(str(said("done.deleted", thing=Word("thing", "setup"))))
    return redirect(url_for("scenes.show", scene_id=line.scene_id, _anchor="candidates"), code=303)


@bp.get("/scenes/<int:scene_id>/compare")
def compare(scene_id: int) -> ResponseReturnValue:
    """The candidates of a scene side by side, a row a need."""
    page, on = productions.scene(work(), scene_id), date_asked()
    plans = {
        key: (plan, floor_board(plan.room))
        for key, plan in choice.small_plans(work(), scene_id).items()
    }
    return render_template(
        "scenes/compare.html",
        page=page,
        found=choice.compare(work(), scene_id, on=on),
        plans=plans,
    )
