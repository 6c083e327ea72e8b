"""Steady light on the dates a scene itself names: the stretches in which a take cuts with the next."""

from __future__ import annotations

from scout.assess.daylight.year import MOST_DATES, SteadyAnswer, steady_blocks
from scout.errors import Refused
from scout.pages import assessing
from scout.pages.daylight import way_of
from scout.store.queries import jobs
from scout.usecases.work import Work
from scout.values import said


def scene_steady(
    work: Work,
    room_id: int,
    scene_id: int,
    *,
    least_min: float,
    within_stops: float,
    clear: bool,
    mark: str = "subject",
) -> SteadyAnswer:
    """The longest blocks of steady light in a room on a scene's own dates, else its production's
    shoot dates, with that production's kit.

    Raises NotFound, and Refused naming `scene`, `minutes` or `stops`.
    """
    scene = jobs.scene(work.db, scene_id)
    dates = assessing.dates_of(scene)
    if not dates:
        raise Refused(
            "scene",
            scene.name,
            said("refused.no_dates"),
        )
    if len(set(dates)) > MOST_DATES:
        raise Refused("scene", scene.name, said("refused.too_many_dates", most=MOST_DATES))
    sheet = assessing.sheet(work, room_id, scene.production_id)
    try:
        return steady_blocks(
            sheet,
            dates,
            least_min=least_min,
            within_stops=within_stops,
            sky="clear" if clear else "overcast",
            mark=mark,
            way=way_of(mark),
        )
    except Refused as refusal:
        raise Refused(
            {"least_min": "minutes", "within_stops": "stops"}.get(refusal.path, "scene"),
            refusal.given,
            refusal.because,
        ) from None
