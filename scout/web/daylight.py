"""Daylight of a room: its day, its year, its floor and steady hours."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Any

from flask import Blueprint, Response, render_template, request
from flask.typing import ResponseReturnValue

from scout.drawing import svg
from scout.errors import NotFound, Refused, RefusedMany, ScoutError
from scout.pages import assessing
from scout.pages.daylight import day as day_page
from scout.pages.daylight import floor as floor_page
from scout.pages.daylight import steady as steady_page
from scout.pages.daylight import year as year_page
from scout.pages.daylight.wanted import Sheet
from scout.units import parse_length_m, parse_number
from scout.usecases import productions, rooms
from scout.usecases.shown import RoomPage
from scout.values import Figure, Said, names, said
from scout.web.asked import Question, chosen_key, date_asked, number_asked, question, setup_or_fault
from scout.web.bodies import body, unchanged
from scout.web.forms.times import with_offset
from scout.web.work import units, work

bp = Blueprint("daylight", __name__)
HOURS = (9, 12, 15)
MARKS = ("subject", "camera")


@dataclass(frozen=True)
class Asked:
    """What the page is to show."""

    day: Question
    hours: tuple[datetime, ...]
    hours_text: str
    mark: str
    scenes: tuple[tuple[int, str], ...] = ()  # the room is proposed for

    @property
    def on(self) -> date:
        return self.day.on

    def link(self, **more: Any) -> dict[str, Any]:
        """The parts of an address that ask for the same, with more."""
        kept = {
            "hours": self.hours_text or None,
            "mark": self.mark if self.mark != MARKS[0] else None,
        }
        return self.day.link(**kept, **more)


def asked_of(page: RoomPage) -> Asked:
    """What the address asks of a room's daylight. Raises Refused."""
    day, text, mark = (
        question(page),
        request.args.get("hours", "").strip(),
        request.args.get("mark", MARKS[0]),
    )
    if mark not in MARKS:
        raise Refused("mark", mark, said("refused.not_one_of", words=names(MARKS, "list")))
    zone = page.location.record.timezone
    words = [word for word in text.replace(";", ",").replace(",", " ").split() if word]
    if zone is None:
        return Asked(day, (), text, mark)
    if not words:
        return Asked(
            day,
            assessing.local_hours(day.on, zone, HOURS),
            ", ".join(f"{hour:02d}:00" for hour in HOURS),
            mark,
        )
    return Asked(day, tuple(sorted({_hour(word, day.on, zone) for word in words})), text, mark)


def _hour(word: str, on: date, zone: str) -> datetime:
    try:
        naive = datetime.fromisoformat(
            f"{on.isoformat()}T{word.zfill(2) if word.isdecimal() else word.zfill(5)}"
        )
    except ValueError:
        raise Refused(
            "hours",
            word,
            "is not a time of day; give times such as 9, 12:30 or 15:00 with commas between",
        ) from None
    return with_offset(naive.replace(tzinfo=None), zone, "hours", word)


@bp.app_template_filter("stops_against")
def stops_against(lux: float, needed_lux: float) -> Said | str:
    """How far a light lies over or under what the camera needs, in stops; empty when either is
    nothing.
    """
    if lux <= 0 or needed_lux <= 0:
        return ""
    stops = math.log2(lux / needed_lux)
    apart = Figure(abs(stops), "stops")
    if abs(stops) < 0.05:
        return said("light.just")
    return said("light.over", stops=apart) if stops > 0 else said("light.under", stops=apart)


@bp.app_template_global("year_from")
def year_from(day: date, years: int) -> str:
    """The same day so many years later; 28 February for the 29th."""
    held = day.replace(day=28) if (day.month, day.day) == (2, 29) else day
    return held.replace(year=held.year + years).isoformat()


@bp.get("/rooms/<int:room_id>/daylight")
def show(room_id: int) -> ResponseReturnValue:
    """The daylight of a room on a date; its year, its floor and steady hours where they are asked
    for.
    """
    return render_template("daylight/show.html", **unchanged(lambda: _shown(room_id)))


def _shown(room_id: int) -> dict[str, Any]:
    page = rooms.room(work(), room_id)
    asked = replace(
        asked_of(page), scenes=tuple((line.scene_id, line.scene_name) for line in page.candidates)
    )
    wanted = set(request.args.getlist("show"))
    jobs, setup = (
        productions.choices(work(), also=chosen_key(asked.day.production_id)),
        setup_or_fault(page, asked.day),
    )

    def told() -> dict[str, Any]:
        return {
            "page": page,
            "asked": asked,
            "jobs": jobs,
            "year": _year(page, asked) if "year" in wanted else None,
            "floor": _floor(page, asked) if "floor" in wanted else None,
            "steady": _steady(page, asked) if "steady" in wanted else None,
            "reflected": _reflected(page, asked) if "reflector" in wanted else None,
            **_day(page, asked),
        }

    given = sorted(request.args.items(multi=True))
    drawn = body("daylight/day.html", (page, asked, setup, jobs, given), told)
    return {"page": page, "body": drawn}


def _day(page: RoomPage, asked: Asked) -> dict[str, Any]:
    """The day with its drawings, or the reason why there is none."""
    try:
        day = day_page.day(
            work(),
            page.kept.id,
            asked.on,
            asked.hours,
            mark=asked.mark,
            production_id=asked.day.production_id,
            scene_id=asked.day.scene_id,
            wanted=Sheet(units()),
        )
    except NotFound:
        raise
    except ScoutError as error:
        return {"day": None, "drawn": {}, "fault": str(error)}
    return {
        "day": day,
        "fault": None,
        "drawn": {
            name: svg.render(getattr(day, name), id_prefix=name.replace("_", "-")) for name in DRAWN
        },
    }


DRAWN = ("plan", "sky_disc", "lux")


def _year(page: RoomPage, asked: Asked) -> dict[str, Any]:
    try:
        found = year_page.year(
            work(),
            page.kept.id,
            asked.on.year,
            mark=asked.mark,
            marked=[asked.on],
            production_id=asked.day.kit_of,
            wanted=Sheet(units()),
        )
    except (Refused, RefusedMany) as refusal:
        return {"fault": str(refusal)}
    return {
        "figures": found.figures,
        "drawing": None if found.drawing is None else svg.render(found.drawing, id_prefix="year"),
        "windows": None
        if found.windows is None
        else svg.render(found.windows, id_prefix="year-windows"),
        "months": year_page.month_words(found.figures),
    }


def _floor(page: RoomPage, asked: Asked) -> dict[str, Any]:
    found = floor_page.floor(work(), page.kept.id, asked.on, wanted=Sheet(units()))
    return {
        "found": found,
        "drawing": None if found.drawing is None else svg.render(found.drawing, id_prefix="floor"),
    }


def _steady(page: RoomPage, asked: Asked) -> dict[str, Any]:
    """The best blocks as asked for, or what is wrong with the question, beside the question as it
    was typed.
    """
    typed = {
        name: request.args.get(name, "").strip()
        for name in ("from", "until", "minutes", "stops", "sky", "scene")
    }
    try:
        scene = number_asked("scene")
        first = date_asked("from") or asked.on
        last = date_asked("until") or first + timedelta(days=6)
        minutes, stops = (
            parse_number(typed[name] or usual, name=name)
            for name, usual in (("minutes", "60"), ("stops", "0.5"))
        )
        wanted = steady_page.SteadyWanted(minutes, stops, typed["sky"] != "overcast", asked.mark)
        if scene is not None:
            found = steady_page.scene_steady(work(), page.kept.id, scene, wanted)
        else:
            found = steady_page.steady(
                work(), page.kept.id, first, last, wanted, asked.day.production_id
            )
    except (Refused, RefusedMany) as refusal:
        return _wrong(refusal, typed)
    return {
        "typed": {**typed, "from": first.isoformat(), "until": last.isoformat()},
        "fault": None,
        "found": found,
    }


def _reflected(page: RoomPage, asked: Asked) -> dict[str, Any]:
    """How a reflector is aimed, or what is wrong with the question, beside it as it was typed."""
    typed = {name: request.args.get(name, "").strip() for name in ("when", "distance", "drift")}
    try:
        zone = page.location.record.timezone
        if zone is None:
            raise Refused(
                "when", typed["when"], "cannot be placed: the location's time zone is not recorded"
            )
        at = _hour(typed["when"] or "12:00", asked.on, zone)
        distance, drift = (
            parse_length_m(typed[name] or usual, name=name)
            for name, usual in (("distance", "4 m"), ("drift", "0.3 m"))
        )
        found = day_page.aim_reflector(
            work(),
            page.kept.id,
            at,
            distance_m=distance,
            drift_m=drift,
            production_id=asked.day.production_id,
        )
    except (Refused, RefusedMany) as refusal:
        return _wrong(refusal, typed)
    return {"typed": typed, "fault": None, "found": found}


def _wrong(refusal: Refused | RefusedMany, typed: dict[str, str]) -> dict[str, Any]:
    """What is wrong with a question, beside it as it was typed."""
    wrong = refusal.refusals[0] if isinstance(refusal, RefusedMany) else refusal
    return {
        "typed": typed,
        "fault": f"{wrong.given} {wrong.because}",
        "field": wrong.path.removesuffix("_m"),
        "found": None,
    }


@bp.get("/rooms/<int:room_id>/daylight/<any(plan, sky_disc, lux, year, windows, floor):which>.svg")
def drawing(room_id: int, which: str) -> ResponseReturnValue:
    """One drawing alone, to look at closely on a small screen or to keep."""
    asked, wanted = asked_of(rooms.room(work(), room_id)), Sheet(units())
    kit = asked.day.kit_of
    if which in {"year", "windows"}:
        year = year_page.year(
            work(),
            room_id,
            asked.on.year,
            mark=asked.mark,
            marked=[asked.on],
            production_id=kit,
            wanted=wanted,
        )
        drawn = year.drawing if which == "year" else year.windows
    elif which == "floor":
        drawn = floor_page.floor(work(), room_id, asked.on, wanted=wanted).drawing
    else:
        drawn = getattr(
            day_page.day(
                work(),
                room_id,
                asked.on,
                asked.hours,
                mark=asked.mark,
                production_id=kit,
                scene_id=asked.day.scene_id,
                wanted=wanted,
            ),
            which,
        )
    if drawn is None:
        raise NotFound("drawing", which)
    return Response(svg.render(drawn, standalone=True), mimetype="image/svg+xml")
