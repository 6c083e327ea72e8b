"""What the days that are left ask of a production: permits, and dates that have gone by."""

from __future__ import annotations

from datetime import date

from scout.assess.answers import Finding
from scout.assess.choice.findings import permit_to_ask
from scout.pages.day import planned
from scout.pages.day.setups import setups_of
from scout.store import translate
from scout.store.queries import jobs
from scout.store.queries import places as queries
from scout.usecases.work import Work


def permits_to_ask(work: Work, production_id: int) -> tuple[tuple[int, Finding], ...]:
    """Places of rooms that are chosen, by key, whose permit is still to be asked for, each for its
    first day to come, worst first. Raises NotFound.
    """
    today = work.now().date()
    first: dict[int, date] = {}
    for one in setups_of(work, production_id):
        if one.state != "first_choice":
            continue
        scene = jobs.scene(work.db, one.scene_id)
        dates = [one.record.on] if one.record.on else planned.dates_of(work, scene, one.room_id)
        for on in dates:
            if on >= today:
                first[one.location_id] = min(on, first.get(one.location_id, on))
    asked = []
    for location_id, on in first.items():
        finding = permit_to_ask(
            translate.to_record(queries.location(work.db, location_id)), on, today
        )
        if finding is not None:
            asked.append((location_id, finding))
    return tuple(sorted(asked, key=lambda row: row[1].level != "problem"))
