"""The day plan: looked at, moved by hand, kept; its times and limits; its calendar."""

from __future__ import annotations

import json
from typing import Any

from flask import Blueprint, Response, flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from scout.drawing import svg
from scout.drawing.lettering import SCREEN_TEXT_MM, SCREEN_WIDE_MM, Hand
from scout.errors import Refused
from scout.pages.day import plan as page
from scout.pages.day.calendar import calendar_file
from scout.pages.day.desk import AIMS, Aim
from scout.pages.day.plan import DayPlan, day_plan, gap_said
from scout.pages.medium import Medium
from scout.pages.once import wait_for
from scout.pages.places import routes
from scout.records.day import DayRecord, PlacedScene
from scout.usecases import days, productions, rooms
from scout.values import Name, Said, said, words
from scout.web.answer import answer_form, form_of
from scout.web.asked import number_sent
from scout.web.bodies import unchanged
from scout.web.forms.days import DayForm
from scout.web.waiting import PATIENCE_S
from scout.web.work import looking, units, work

bp = Blueprint("day", __name__)
STEP_MIN = 15


@bp.get("/productions/<int:production_id>/day")
def show(production_id: int) -> ResponseReturnValue:
    """The days: the plan that is kept, else the best."""
    aim = _aim()

    def best() -> dict[str, Any]:
        plan_b, anew = "plan_b" in request.args, "anew" in request.args
        return shown(day_plan(work(), production_id, aim=aim, plan_b=plan_b, anew=anew))

    try:
        return render_template("day/show.html", **unchanged(best))
    except Refused as refusal:
        return _undated(production_id, refusal)


@bp.get("/productions/<int:production_id>/day/hours")
def hours(production_id: int) -> ResponseReturnValue:
    """When each scene is shot and who is called, for pages that only mention it; 202 while it is
    worked out, so that no thread of the server waits for it.
    """
    wait_for(PATIENCE_S)

    def found() -> dict[str, Any]:
        plan = day_plan(work(), production_id)
        return {
            "kept": plan.kept,
            "rows": plan.rows,
            "calls": plan.calls,
            "clashes": plan.clashes if plan.kept else (),
            "production_id": production_id,
        }

    try:
        return render_template("day/hours.html", **unchanged(found))
    except Refused:
        return render_template("day/hours.html", rows=(), calls=())  # no scene has a date yet


@bp.post("/productions/<int:production_id>/day/try")
def move(production_id: int) -> ResponseReturnValue:
    """A scene moved, locked or unlocked, and what that turns worse; nothing is kept."""
    stands = _state()
    before = day_plan(looking(), production_id, typed=stands)
    after = day_plan(work(), production_id, typed=_moved(stands))
    page_of = shown(after, worse=page.worse(before, after))
    template = "day/plan.html" if "X-Fragment" in request.headers else "day/show.html"
    return render_template(template, **page_of)


@bp.post("/productions/<int:production_id>/day")
def keep(production_id: int) -> ResponseReturnValue:
    """Keep the plan that the page shows, or forget the one kept."""
    forget = "forget" in request.form
    days.save_plan(work(), production_id, number_sent("version") or 0, None if forget else _state())
    flash(str(said("day.forgotten") if forget else said("day.kept")))
    return redirect(url_for("day.show", production_id=production_id), code=303)


@bp.route("/productions/<int:production_id>/day/facts", methods=["GET", "POST"])
def facts(production_id: int) -> ResponseReturnValue:
    """The crew's limits and how long scenes take."""
    job = productions.production(work(), production_id)
    kept = days.day_kept(work(), production_id)
    form = form_of(DayForm, kept)
    times = (kept.record.scenes or ()) if kept is not None else ()
    covers = [one.cover_room_id for one in times if one.cover_room_id is not None]
    form.scenes.offer(
        [(line.id, line.name) for line in job.scenes],
        rooms.choices(work(), also=covers),
    )
    here = url_for("day.show", production_id=production_id)

    def save() -> str:
        typed = form.record()
        placed = kept.record.placed if kept is not None else None
        record = DayRecord.read(
            typed.model_copy(update={"placed": placed}).model_dump(mode="json"), "day"
        )
        days.save_day(work(), production_id, form.opened_at, record)
        return here

    return answer_form(
        form,
        save,
        title=said("day.facts_title", title=Name(job.kept.record.title)),
        verb="Keep times and limits",
        back=here,
    )


@bp.get("/productions/<int:production_id>/day.ics")
def calendar(production_id: int) -> ResponseReturnValue:
    """The calendar as a file, of all or of one person."""
    person = request.args.get("person") or None
    if person is not None:
        crew = productions.production(work(), production_id).kept.record.crew or ()
        if person not in {member.name for member in crew}:
            raise Refused("person", person, said("day.refused.person"))
    return _calendar(calendar_file(work(), production_id, person))


@bp.post("/productions/<int:production_id>/calendars")
def add_calendar(production_id: int) -> ResponseReturnValue:
    """A new private address, shown this once."""
    token = days.add_calendar(work(), production_id, request.form.get("person") or None)
    address = url_for("day.private_calendar", token=token, _external=True)
    return render_template(
        "day/show.html", **shown(day_plan(looking(), production_id)), new=address
    )


@bp.post("/productions/<int:production_id>/calendars/<int:calendar_id>/revoke")
def revoke_calendar(production_id: int, calendar_id: int) -> ResponseReturnValue:
    """End a private address."""
    days.revoke_calendar(work(), production_id, calendar_id)
    flash(str(said("day.address_revoked")))
    return redirect(url_for("day.show", production_id=production_id, _anchor="calendar"), code=303)


@bp.get("/calendar/<token>.ics")
def private_calendar(token: str) -> ResponseReturnValue:
    """The calendar for whoever knows its address."""
    of = days.calendar_of(work(), token)
    return _calendar(calendar_file(work(), of.production_id, of.person))


def _calendar(body: bytes) -> Response:
    response = Response(body, mimetype="text/calendar")
    response.headers["Cache-Control"] = "private, no-cache"
    response.headers["X-Robots-Tag"] = "noindex"
    response.headers["Referrer-Policy"] = "no-referrer"
    response.headers["Content-Disposition"] = 'attachment; filename="days.ics"'
    return response


def _undated(production_id: int, refusal: Refused) -> ResponseReturnValue:
    job = productions.production(work(), production_id)
    return render_template("day/undated.html", job=job, why=refusal.because)


def _aim() -> Aim:
    text = request.args.get("aim", "balanced")
    found = next((aim for aim in AIMS if aim == text), None)
    if found is None:
        raise Refused("aim", text, said("refused.not_one_of", words=words("aim", AIMS, "or")))
    return found


def _state() -> tuple[PlacedScene, ...]:
    """The plan that the page shows. Raises Refused."""
    text = request.form.get("state", "")
    try:
        rows = json.loads(text)
    except ValueError:
        raise Refused("state", text, said("day.refused.state")) from None
    if not isinstance(rows, list):
        raise Refused("state", text, said("day.refused.state"))
    record = DayRecord.read({"placed": rows}, "")
    return record.placed or ()


def _moved(stands: tuple[PlacedScene, ...]) -> tuple[PlacedScene, ...]:
    """The plan with the asked move: `move` is a scene and minutes, `lock` a scene. Raises Refused."""
    move, lock = request.form.get("move", ""), request.form.get("lock", "")
    scene, _, by = move.partition(":")
    found = []
    for one in stands:
        if lock == str(one.scene_id):
            one = one.model_copy(update={"locked": not one.locked})
        if scene == str(one.scene_id):
            try:
                minutes = int(by)
            except ValueError:
                raise Refused("move", move, said("day.refused.state")) from None
            at = int(one.at[:2]) * 60 + int(one.at[3:]) + minutes
            at = min(max(at, 0), 24 * 60 - 1)
            text = f"{at // 60:02d}:{at % 60:02d}"
            one = one.model_copy(update={"at": text})
        found.append(one)
    return tuple(found)


def shown(plan: DayPlan, worse: tuple[Said, ...] | None = None) -> dict[str, Any]:
    """What the page of the days is given."""
    medium = Medium(units())
    hand = Hand(SCREEN_TEXT_MM)
    drawn = [
        (day.on, svg.render(page.drawing(day, medium, SCREEN_WIDE_MM), id_prefix=f"day-{day.on}"))
        for day in plan.days
    ]
    left, right = 0.6 * hand.text_mm, SCREEN_WIDE_MM - 0.8 * hand.text_mm
    return {
        "plan": plan,
        "drawn": drawn,
        "today": work().now().date(),
        "share": round((right - left) / SCREEN_WIDE_MM, 4),  # of the drawing that the ruler takes
        "state": json.dumps([one.model_dump(mode="json") for one in plan.placed]),
        "worse": worse,
        "tried": worse is not None,
        "step": STEP_MIN,
        "aims": AIMS,
        "gap": gap_said(plan),
        "routes": routes(work(), plan.rows),
        "calendars": days.calendars(work(), plan.production_id),
    }
