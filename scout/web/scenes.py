"""Scenes: their needs, the rooms proposed for them, and the rooms side by side."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date
from typing import Any

from flask import Blueprint, flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from scout.assess.choice.saying import tells
from scout.drawing.plan.editor import floor_board
from scout.errors import Refused
from scout.packet.privacy import cleared
from scout.pages.choice import candidates
from scout.pages.day import planned, setups
from scout.records import CandidateRecord, ProductionRecord
from scout.records.presets import PRESETS
from scout.usecases import deciding, productions, rooms
from scout.usecases import setups as deeds
from scout.usecases.shown import CandidateLine
from scout.usecases.work import Work
from scout.values import Figure, Name, Said, Spell, Word, said
from scout.web.answer import answer_form, form_of
from scout.web.asked import date_asked, spot_asked, version_sent
from scout.web.bodies import unchanged
from scout.web.forms.productions import CandidateForm
from scout.web.forms.scenes import TOPIC_CHOICES, SceneForm
from scout.web.forms.setups import SetupForm
from scout.web.heed import heed
from scout.web.work import begin_again, looking, saving, work

bp = Blueprint("scenes", __name__)
# how many times as much one need counts as another (Saaty's scale, every other step)
ANSWERS = {
    "far_more": (5.0, "far more than"),
    "more": (3.0, "more than"),
    "same": (1.0, "as much as"),
    "less": (1 / 3, "less than"),
    "far_less": (1 / 5, "far less than"),
}
MOST_MISS = 2.0  # a choice further off than this is worth asking again


@bp.get("/scenes/<int:scene_id>")
def show(scene_id: int) -> ResponseReturnValue:
    """A scene with its needs and candidates."""
    page = productions.scene(work(), scene_id)
    shots = planned.shots(work(), page.production.id)
    return render_template(
        "scenes/show.html",
        page=page,
        shot=next((shot for shot in shots if shot.scene_id == scene_id), None),
        setups=setups.setups_of_scene(work(), scene_id),
    )


@bp.route("/productions/<int:production_id>/scenes/new", methods=["GET", "POST"])
def add(production_id: int) -> ResponseReturnValue:
    """Add a scene to a production."""
    kept = productions.production(work(), production_id).kept
    preset = PRESETS.get(request.args.get("preset", ""))
    form = form_of(
        SceneForm, start=None if preset is None else {"needs": _starting(preset, kept.record)}
    )

    def save() -> str:
        record = form.record()
        added = productions.add_scene(work(), production_id, record)
        heed(record, shoot_dates=kept.record.shoot_dates)
        return url_for("scenes.show", scene_id=added)

    return answer_form(
        form,
        save,
        title=said("page.new_scene", of=Name(kept.record.title)),
        verb="Add the scene",
        topics=TOPIC_CHOICES,
        presets=PRESETS,
        back=url_for("productions.show", production_id=production_id),
    )


def _starting(
    preset: Sequence[Mapping[str, Any]], job: ProductionRecord
) -> list[Mapping[str, Any]]:
    """A kind of scene's needs, and first that the room is open on the production's dates, whose hours
    are typed there.
    """
    dates = [on.isoformat() for on in job.shoot_dates or ()]
    return [*([{"topic": "when", "strength": "must", "dates": dates}] if dates else []), *preset]


@bp.route("/scenes/<int:scene_id>/edit", methods=["GET", "POST"])
def edit(scene_id: int) -> ResponseReturnValue:
    """Change a scene and its needs."""
    page, here = productions.scene(work(), scene_id), url_for("scenes.show", scene_id=scene_id)
    kept, shoot_dates = page.kept, page.production.record.shoot_dates
    form = form_of(SceneForm, kept)

    def save() -> str:
        record = form.record()
        productions.save_scene(work(), scene_id, form.opened_at, record)
        heed(record, kept.record, shoot_dates)
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
    found = rooms.find_rooms(work(), text=text, spot=spot_asked())
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

    if request.method == "GET" and request.args.get("choose"):
        form.state.show("first_choice")

    def save() -> str:
        facts = candidates.standing(looking(), line.scene_id)
        deciding.decide(
            saving(), candidate_id, form.opened_at, form.record(), facts.facts_sha256, facts.held
        )
        return url_for("scenes.compare", scene_id=line.scene_id)

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
        record = form.record()
        deeds.add_setup(work(), candidate_id, record)
        heed(record, shoot_dates=_shoot_dates(line))
        return here

    return answer_form(form, save, title=_setup_title(line), verb="Add the setup", back=here)


@bp.route("/setups/<int:setup_id>", methods=["GET", "POST"])
def setup(setup_id: int) -> ResponseReturnValue:
    """Change a setup."""
    kept, line = deeds.setup(work(), setup_id)
    form = form_of(SetupForm, kept)
    here = url_for("scenes.show", scene_id=line.scene_id, _anchor="candidates")

    def save() -> str:
        record = form.record()
        deeds.save_setup(work(), setup_id, form.opened_at, record)
        heed(record, kept.record, _shoot_dates(line))
        return here

    shot = planned.shot_of(work(), line.production_id, line.scene_id, line.room_id)
    return answer_form(
        form,
        save,
        title=_setup_title(line),
        verb="Save the setup",
        back=here,
        note=shot
        and said("page.setup_planned", on=shot.on, spell=Spell(shot.begin.time(), shot.end.time())),
    )


def _shoot_dates(line: CandidateLine) -> tuple[date, ...] | None:
    production: ProductionRecord = productions.production(work(), line.production_id).kept.record
    return production.shoot_dates


def _setup_title(line: CandidateLine) -> Said:
    return said("page.setup_of", room=Name(line.room_name), scene=Name(line.scene_name))


@bp.post("/setups/<int:setup_id>/bin")
def setup_to_bin(setup_id: int) -> ResponseReturnValue:
    """Move a setup to the bin."""
    _kept, line = deeds.setup(work(), setup_id)
    deeds.bin_setup(work(), setup_id, version_sent())
    flash(str(said("done.deleted", thing=Word("thing", "setup"))))
    return redirect(url_for("scenes.show", scene_id=line.scene_id, _anchor="candidates"), code=303)


@bp.get("/scenes/<int:scene_id>/client")
def client(scene_id: int) -> ResponseReturnValue:
    """The choice on one page for the client, without what is not theirs to know."""
    return render_template(
        "scenes/client.html",
        scene_id=scene_id,
        **unchanged(
            lambda: for_client(
                work(),
                scene_id,
                lambda photo: url_for("photos.picture", photo_id=photo, size="screen"),
                on=date_asked(),
            )
        ),
    )


def for_client(
    here: Work, scene_id: int, picture: Callable[[int], str], *, on: date | None = None
) -> dict[str, Any]:
    """What the page for the client is given: worked out from all facts, of which it shows what is
    theirs. `picture`: the address of a photo.
    """
    page = productions.scene(here, scene_id)
    first = candidates.first_photos(here, scene_id, ruled_out=False)
    return {
        "scene": cleared(page.kept.record, "client"),
        "production": cleared(page.production.record, "client"),
        "found": candidates.choosing(here, scene_id, on=on),
        "picture_of": {room: picture(photo) for room, photo in first.items()},
    }


@bp.route("/scenes/<int:scene_id>/weigh", methods=["GET", "POST"])
def weigh(scene_id: int) -> ResponseReturnValue:
    """Weights by choices between two needs at a time."""
    page = productions.scene(work(), scene_id)
    preferred = [need for need in page.kept.record.needs or () if need.strength == "wish"]
    pairs = [(at, (at + 1) % len(preferred)) for at in range(len(preferred))]
    pairs = pairs[: 1 if len(preferred) == 2 else None] if len(preferred) > 1 else []
    refusal = None
    if request.method == "POST":
        try:
            chosen = [(*pair, _ratio(f"pair-{at}")) for at, pair in enumerate(pairs)]
            misses = deciding.weigh(work(), scene_id, version_sent(), chosen)
        except Refused as error:
            begin_again()
            refusal = error
        else:
            factor = Figure(misses) if misses > MOST_MISS else None
            flash(str(said("choice.weighed", factor=factor)))
            return redirect(url_for("scenes.compare", scene_id=scene_id), code=303)
    return render_template(
        "scenes/weigh.html",
        page=page,
        preferred=preferred,
        pairs=pairs,
        answers=ANSWERS,
        refusal=refusal,
    ), 200 if refusal is None else 422


def _ratio(name: str) -> float:
    """How many times as much the first of two counts, as was answered. Raises Refused."""
    given = request.form.get(name, "")
    if given not in ANSWERS:
        raise Refused(name, given, said("refused.ratio"))
    return ANSWERS[given][0]


@bp.get("/scenes/<int:scene_id>/compare")
def compare(scene_id: int) -> ResponseReturnValue:
    """Which of its candidates to take for a scene, and why."""
    return render_template("scenes/choose.html", **unchanged(lambda: _compared(scene_id)))


def _compared(scene_id: int) -> dict[str, Any]:
    page, on = productions.scene(work(), scene_id), date_asked()
    plans = {
        key: (plan, floor_board(plan.room))
        for key, plan in candidates.small_plans(work(), scene_id).items()
    }
    found = candidates.choosing(work(), scene_id, on=on)
    first = found.ranked[0] if found.ranked else None
    rows = found.comparison.rows
    wishes = sum(row.strength == "wish" for row in rows)
    same = [at for at in range(len(rows)) if not tells(found.ranked, at)]
    differing = [at for at in range(len(rows)) if at not in same]
    differing.sort(key=lambda at: len({cell.level for cell in rows[at].cells}) == 1)
    return {
        "page": page,
        "found": found,
        "plans": plans,
        "photos": candidates.first_photos(work(), scene_id),
        "decided": candidates.decision(work(), scene_id),
        "share": first
        and first.known
        and said(
            "choice.share",
            room=Name(first.head.room_name),
            tenths=round(10 * first.first_share),
        ),
        "measure": candidates.measure_line(found),
        "same": same,
        "differing": differing,
        "weighed": bool(wishes),
        "weighable": wishes > 1,
    }
