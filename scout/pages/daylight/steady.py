"""Steady light of a room: the best blocks between two dates, or on the dates of a scene."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from scout.assess.daylight.sun.year import (
    MOST_DATES,
    SteadyAnswer,
    steady_blocks,
)
from scout.errors import Refused
from scout.pages import assessing
from scout.pages.daylight.wanted import way_of
from scout.records import RoomSheet
from scout.store.queries import jobs
from scout.usecases.work import Work
from scout.values import said

MOST_STEADY_DAYS = 92


@dataclass(frozen=True)
class SteadyWanted:
    """What steady light is: how long at least, within how many stops, under which sky, at which
    mark.
    """

    least_min: float
    within_stops: float
    clear: bool
    mark: str = "subject"


def steady(
    work: Work,
    room_id: int,
    first: date,
    last: date,
    wanted: SteadyWanted,
    production_id: int | None = None,
) -> SteadyAnswer:
    """The best blocks of steady light from the first to the last date. Raises NotFound, or Refused
    naming `until`, `minutes` or `stops`.
    """
    if not 0 <= (last - first).days < MOST_STEADY_DAYS:
        raise Refused(
            "until",
            last.isoformat(),
            said("refused.until", most=MOST_STEADY_DAYS - 1),
        )
    dates = [first + timedelta(days=k) for k in range((last - first).days + 1)]
    return _steady(assessing.sheet(work, room_id, production_id), dates, wanted, "from")


def scene_steady(work: Work, room_id: int, scene_id: int, wanted: SteadyWanted) -> SteadyAnswer:
    """The same on a scene's own dates, else its production's shoot dates, with that production's
    kit.

    Raises NotFound, and Refused naming `scene`, `minutes` or `stops`.
    """
    scene = jobs.scene(work.db, scene_id)
    dates = jobs.dates_of(scene)
    if not dates:
        raise Refused("scene", scene.name, said("refused.no_dates"))
    if len(set(dates)) > MOST_DATES:
        raise Refused("scene", scene.name, said("refused.too_many_dates", most=MOST_DATES))
    sheet = assessing.sheet(work, room_id, scene.production_id)
    return _steady(sheet, dates, wanted, "scene")


def _steady(
    sheet: RoomSheet, dates: Sequence[date], wanted: SteadyWanted, otherwise: str
) -> SteadyAnswer:
    try:
        return steady_blocks(
            sheet,
            dates,
            least_min=wanted.least_min,
            within_stops=wanted.within_stops,
            sky="clear" if wanted.clear else "overcast",
            mark=wanted.mark,
            way=way_of(wanted.mark),
        )
    except Refused as refusal:
        path = {"least_min": "minutes", "within_stops": "stops"}.get(refusal.path, otherwise)
        raise Refused(path, refusal.given, refusal.because) from None
