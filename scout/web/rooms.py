"""Rooms: find, look at with all that was worked out, record, change, bin."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from flask import Blueprint, Response, flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from scout.assess.answers.finding import Finding, Level, Topic
from scout.assess.answers.short import by_person, short, summary, topic_levels
from scout.assess.choice.way_in import way_in
from scout.assess.setup import Setup
from scout.drawing import svg
from scout.drawing.plan.foot import signs_apart
from scout.drawing.svg import Svg
from scout.errors import NotFound, ScoutError
from scout.pages import assessing, places
from scout.pages.choice import candidates, serving
from scout.pages.day import calls, planned
from scout.pages.day.setups import setups_of_scene
from scout.pages.room import stagings
from scout.records import Marks
from scout.records.base import words_of
from scout.records.sheet import Setting
from scout.usecases import locations, productions, recordings, rooms
from scout.usecases.shown import Kept, RoomPage
from scout.values import Name, Said, Spell, Word, said
from scout.web.answer import answer_form, form_of
from scout.web.asked import (
    Question,
    chosen_key,
    date_asked,
    number_asked,
    question,
    setup_or_fault,
    spot_asked,
    version_sent,
)
from scout.web.bodies import body, unchanged
from scout.web.forms.locations import NoteForm
from scout.web.forms.rooms import MarksForm, RoomForm
from scout.web.links import called, field_link
from scout.web.measured import save_measured
from scout.web.parts import surface_names
from scout.web.walk import step_of
from scout.web.work import looking, units, work
from scout.words import figures

bp = Blueprint("rooms", __name__)


@bp.get("/rooms")
def listing() -> ResponseReturnValue:
    """Rooms whose name or place holds a text, a page at a time."""
    text, setting = request.args.get("text", "")[:200], request.args.get("setting", "")
    settings = words_of(Setting)
    found = rooms.find_rooms(
        work(),
        text=text,
        setting=setting if setting in settings else None,
        spot=spot_asked(),
    )
    return render_template(
        "rooms/list.html", found=found, text=text, setting=setting, settings=settings
    )


@bp.get("/rooms/<int:room_id>")
def show(room_id: int) -> ResponseReturnValue:
    """A room: the answer in a few lines, plan and day, who does what, and doors to the rest."""
    return render_template("rooms/show.html", **unchanged(lambda: _shown(room_id)))


def _shown(room_id: int) -> dict[str, Any]:
    page = rooms.room(work(), room_id)
    asked = question(page)
    setup = setup_or_fault(page, asked)
    jobs = productions.choices(work(), also=chosen_key(asked.production_id))
    plan = planned_for(page, asked)
    dates = None
    if isinstance(setup, Setup) and not date_asked() and not plan["shot"]:
        dates = candidates.room_on_dates(work(), room_id, asked.production_id, asked.scene_id)

    def told() -> dict[str, Any]:
        found = worked_out(page, asked, setup)
        findings = found["assessment"].findings if found["assessment"] is not None else ()
        lines, rest = short(findings)
        return {
            "page": page,
            "asked": asked,
            "jobs": jobs,
            "short": lines,
            "rest": rest,
            "answer": str(summary(findings)),
            "people": by_person(findings),
            "doors": _doors(room_id, asked, findings, [line.finding for line in lines]),
            "next": _next_step(page, asked, findings),
            "dates": dates,
            "hung": None if plan["line"] is None else plan["line"].hung(findings),
            "way": way_in(page.kept.record, page.location.record).told,
            "dial": places.to_dial(page.location.record),
            **plan,
            **found,
        }

    drawn = body("rooms/answer.html", (page, asked, setup, jobs, plan, dates), told)
    return {"page": page, "body": drawn}


@bp.get("/rooms/<int:room_id>/recorded")
def recorded(room_id: int) -> ResponseReturnValue:
    """Everything recorded of a room, in the order of a walk."""
    page = rooms.room(work(), room_id)
    return render_template(
        "rooms/recorded.html",
        page=page,
        production_id=question(page).kit_of,
        note_form=form_of(NoteForm, start={"audience": "crew"}),
        surface_names=surface_names,
        memos=recordings.recordings(work(), room_id, memos=True),
    )


@bp.get("/rooms/<int:room_id>/scenes")
def scenes(room_id: int) -> ResponseReturnValue:
    """Which scenes the room would serve."""

    def found() -> dict[str, Any]:
        return {
            "page": rooms.room(work(), room_id),
            "found": serving.serving(work(), room_id, first=number_asked("first")),
        }

    return render_template("rooms/scenes.html", **unchanged(found))


@bp.get("/rooms/<int:room_id>/<any(light, sun, power, space):topic>")
def about(room_id: int, topic: str) -> ResponseReturnValue:
    """One topic of a room: its drawing, its findings, its figures."""
    return render_template("rooms/topic.html", **unchanged(lambda: _topic(room_id, topic)))


def _topic(room_id: int, topic: str) -> dict[str, Any]:
    page = rooms.room(work(), room_id)
    asked = question(page)
    setup = setup_or_fault(page, asked)

    def told() -> dict[str, Any]:
        found = worked_out(page, asked, setup)
        pictures = _pictures(page, asked, topic, found["drawn"]) if found["assessment"] else ()
        return {"page": page, "asked": asked, "topic": topic, "pictures": pictures, **found}

    drawn = body("rooms/about.html", (page, asked, setup, topic), told)
    return {"page": page, "topic": topic, "body": drawn}


def _pictures(
    page: RoomPage, asked: Question, topic: str, drawn: Mapping[str, Svg]
) -> tuple[Svg, ...]:
    """The drawings that a topic's page begins with."""
    if topic in ("light", "sun"):
        names = ("lux",) if topic == "light" else ("timeline", "plan")
        return tuple(drawn[name] for name in names if name in drawn)
    staging = stagings.staging(
        work(), page.kept.id, asked.scene.id if asked.scene is not None else None, asked.on
    )
    wanted = "power" if topic == "power" else "shot"
    sheet = getattr(stagings.drawings(staging, units(), for_print=False), wanted)
    return () if sheet is None else (svg.render(sheet, id_prefix=wanted),)


@dataclass(frozen=True)
class Door:
    """A way from the answer to one topic's page."""

    topic: Topic
    level: Level
    line: Finding | None  # None: the answer tells it
    there: str


def _doors(
    room_id: int, asked: Question, findings: Sequence[Finding], told: Collection[Finding]
) -> list[Door]:
    """A door to each topic that is judged, with the worst that is found there and not told yet."""
    pages = {"colour": "bounce.show", "sound": "sound.show"}
    found = []
    for topic, level in topic_levels(findings).items():
        if topic in ("access", "hours"):
            continue  # their facts are the place's, which stands at the head of the page
        worst = [one for one in findings if one.topic == topic and one.level == level]
        line = None if worst[0] in told else worst[0]
        there = (
            url_for(pages[topic], room_id=room_id, **asked.link())
            if topic in pages
            else url_for("rooms.about", room_id=room_id, topic=topic, **asked.link())
        )
        found.append(Door(topic, level, line, there))
    return found


@dataclass(frozen=True)
class Next:
    """The next thing to do, where, and at which step of a walk."""

    words: Said
    there: str
    step: str


def _next_step(page: RoomPage, asked: Question, findings: Sequence[Finding]) -> Next | None:
    """What to measure first: the room itself, else the first fact that a finding waits for."""
    room_id = page.kept.id
    if page.kept.record.corners_m is None and page.kept.record.setting != "exterior":
        return Next(said("page.measure_room"), url_for("rooms.edit", room_id=room_id), "shape")
    if page.marks is None or page.marks.subject is None:
        return Next(said("page.set_marks"), url_for("rooms.marks", room_id=room_id), "marks")
    for finding in findings:
        for path in finding.rests_on if finding.level == "unknown" else ():
            there = field_link(path, page, asked.kit_of)
            if there is not None:
                return Next(
                    said("page.record", fact=Name(figures.fact(path))), there, step_of(path)
                )
    return None


def worked_out(page: RoomPage, asked: Question, setup: Setup | str) -> dict[str, Any]:
    """The assessment and its drawings, or in their place the reason why there are none."""
    if isinstance(setup, str):
        return {"assessment": None, "drawn": {}, "fault": setup, "used_for": ()}
    try:
        found = assessing.assessed(setup, asked.at, in_full=True)
        drawn = assessing.drawings(work(), page.kept.id, found, units=units())
    except ScoutError as error:
        return {"assessment": None, "drawn": {}, "fault": str(error), "used_for": ()}
    plan, signs = signs_apart(drawn.plan)
    sheets = {"plan": plan, "signs": signs, "timeline": drawn.timeline, "lux": drawn.lux}
    pictures = {name: svg.render(sheet, id_prefix=name) for name, sheet in sheets.items() if sheet}
    return {
        "assessment": found,
        "drawn": pictures,
        "fault": None,
        "used_for": used_for(setup, asked),
    }


def planned_for(page: RoomPage, asked: Question) -> dict[str, Any]:
    """When the room's scene is shot by the kept plan, and who is called that day."""
    if asked.scene is None:
        return {"shot": None, "called": None, "line": None}
    of, scene_id = asked.scene.production_id, asked.scene.scene_id
    shot = planned.shot_of(work(), of, scene_id, page.kept.id)
    called = None if shot is None else calls.called_on(work(), of, shot.on)
    mine = planned.running(setups_of_scene(work(), scene_id), scene_id)
    here = (one for one in mine if one.room_id == page.kept.id and asked.on in one.dates)
    return {"shot": shot, "called": called, "line": next(here, None)}


def used_for(setup: Setup, asked: Question) -> tuple[Spell | Word, ...]:
    """The hours and the framing that a room is judged for; none: the room by itself."""
    if asked.scene is None:
        return ()
    hours = (Spell(*setup.hours),) if setup.hours is not None else ()
    framing = (Word("framing", setup.framing),) if setup.framing is not None else ()
    return (*hours, *framing)


@bp.get("/rooms/<int:room_id>/<any(plan, timeline, lux):which>.svg")
def drawing(room_id: int, which: str) -> ResponseReturnValue:
    """One drawing alone, to look at closely on a small screen or to keep."""
    page = rooms.room(work(), room_id)
    asked = question(page)
    setup = setup_or_fault(page, asked)
    if isinstance(setup, str):
        raise NotFound("drawing", which)
    found = assessing.assessed(setup, asked.at)
    drawn = getattr(assessing.drawings(work(), room_id, found, units=units()), which)
    if drawn is None:
        raise NotFound("drawing", which)
    return Response(svg.render(drawn, standalone=True), mimetype="image/svg+xml")


@bp.route("/locations/<int:location_id>/rooms/new", methods=["GET", "POST"])
def add(location_id: int) -> ResponseReturnValue:
    """Record a room of a location."""
    place = locations.location(work(), location_id).kept
    form = form_of(RoomForm, timezone=place.record.timezone).offer_walls()

    def save() -> str:
        told = form.measurements(None)
        room_id = rooms.add_room(work(), location_id, form.record())
        save_measured(room_id, told)
        return url_for("rooms.show", room_id=room_id)

    return answer_form(
        form,
        save,
        title=said("page.new_room", of=Name(place.record.name)),
        verb="Record the room",
        back=url_for("locations.show", location_id=location_id),
    )


@bp.route("/rooms/<int:room_id>/edit", methods=["GET", "POST"])
def edit(room_id: int) -> ResponseReturnValue:
    """Change a room's own facts."""
    page = rooms.room(looking(), room_id)
    form = form_of(RoomForm, page.kept, timezone=page.location.record.timezone).offer_walls()

    def save() -> str:
        told = form.measurements(page.kept.record)
        rooms.save_room(work(), room_id, form.opened_at, form.record())
        save_measured(room_id, told)
        return url_for("rooms.show", room_id=room_id)

    return answer_form(
        form,
        save,
        title=page.kept.record.name or "Unnamed room",
        verb="Save the room",
        back=url_for("rooms.show", room_id=room_id),
    )


@bp.route("/rooms/<int:room_id>/marks", methods=["GET", "POST"])
def marks(room_id: int) -> ResponseReturnValue:
    """Where the subject, the camera and a path stand."""
    page = rooms.room(looking(), room_id)
    form = form_of(MarksForm, marks_kept(page), timezone=page.location.record.timezone)

    def save() -> str:
        told = form.measurements(page.marks, "marks")
        rooms.save_marks(work(), room_id, form.opened_at, form.record())
        save_measured(room_id, told)
        return url_for("rooms.show", room_id=room_id)

    return answer_form(
        form,
        save,
        title=said("page.marks", of=called(page.kept.record.name)),
        verb="Save the marks",
        back=url_for("rooms.show", room_id=room_id),
    )


def marks_kept(page: RoomPage) -> Kept[Marks]:
    """The marks of a room, kept under the room's own version."""
    return Kept(
        page.kept.id,
        page.kept.version,
        page.marks or Marks(),
        page.kept.changed_at,
        page.kept.changed_by,
    )


@bp.post("/rooms/<int:room_id>/bin")
def to_bin(room_id: int) -> ResponseReturnValue:
    """Move a room to the bin."""
    page = rooms.room(work(), room_id)
    rooms.bin_room(work(), room_id, version_sent())
    flash(str(said("done.deleted", thing=Word("thing", "room"))))
    return redirect(url_for("locations.show", location_id=page.location.id), code=303)
