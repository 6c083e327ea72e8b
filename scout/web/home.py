"""The first page: what to do next, what was touched lately; and what belongs to no capability."""

from __future__ import annotations

from flask import Blueprint, redirect, render_template, request, session, url_for
from flask.typing import ResponseReturnValue

from scout.pages import home as home_page
from scout.usecases import locations, productions, rooms
from scout.usecases.demo import demonstrated
from scout.usecases.shown import LocationLine, Page, ProductionLine, RoomLine
from scout.values import Many, Name, Said, Word, said
from scout.web.security import safe_path
from scout.web.work import work

bp = Blueprint("home", __name__)
Step = tuple[Said | str, Said | str, str]  # what to do, why, where


@bp.get("/")
def home() -> ResponseReturnValue:
    """What to do next, and the newest of everything."""
    places, jobs = locations.find_locations(work()), productions.find_productions(work())
    found = rooms.find_rooms(work())
    day = home_page.next_day(work())
    return render_template(
        "home.html",
        day=day,
        steps=next_steps(places, found, jobs, day),
        places=places,
        rooms=found,
        jobs=jobs,
        demonstrated=demonstrated(work().settings),
    )


def next_steps(
    places: Page[LocationLine],
    found: Page[RoomLine],
    jobs: Page[ProductionLine],
    day: home_page.NextDay | None = None,
) -> list[Step]:
    """What is missing, most urgent first, where the next day is shot before elsewhere; three things
    at most.
    """
    cards = () if day is None else [card for job in day.jobs for card in job.cards]
    houses, soon = {card.location_id for card in cards}, {card.room_id for card in cards}
    steps: list[Step] = []
    if not places.total:
        return [
            (
                "Record the first location",
                "Rooms belong to a location: its coordinates give the sun.",
                url_for("locations.add"),
            )
        ]
    steps += [
        (
            "Add a room",
            said("step.add_room", name=Name(line.name)),
            url_for("rooms.add", location_id=line.id),
        )
        for line in places.items
        if not line.room_count
    ][:1]
    steps += [
        (
            said("step.complete", name=Name(line.name)),
            said("step.not_recorded", facts=Many(line.missing, "list")),
            url_for("locations.edit", location_id=line.id),
        )
        for line in sorted(places.items, key=lambda line: line.id not in houses)
        if {Word("fact", "coordinates"), Word("fact", "emergency_care")} & set(line.missing)
    ][:1]
    steps += [
        (
            said("step.measure", name=Name(line.name)),
            said("step.not_measured", facts=Many(line.missing, "list")),
            url_for("rooms.show", room_id=line.id),
        )
        for line in sorted(found.items, key=lambda line: line.id not in soon)
        if line.missing
    ][:1]
    if not jobs.total:
        steps.append(
            (
                "Start a production",
                "Its scenes say what a room must give.",
                url_for("productions.add"),
            )
        )
    steps += [
        (
            said("step.add_scene", name=Name(line.title)),
            "Nothing can be compared before.",
            url_for("scenes.add", production_id=line.id),
        )
        for line in jobs.items
        if not line.scene_count
    ][:1]
    return steps[:3]


@bp.post("/units")
def choose_units() -> ResponseReturnValue:
    """Show and read figures in metres, or in feet and inches."""
    session["units"] = "feet" if request.form.get("units") == "feet" else "metric"
    return redirect(safe_path(request.form.get("then"), url_for("home.home")), code=303)


@bp.get("/words")
def words() -> ResponseReturnValue:
    """What the words of the pages mean."""
    return render_template("words.html")


@bp.get("/methods")
def methods() -> ResponseReturnValue:
    """By what each figure is worked out, what that was checked against, how far it may be off."""
    return render_template("methods.html")
