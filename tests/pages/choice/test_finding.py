"""A search judges a room as its own page does: at the hours of the scene that it is proposed for."""

from __future__ import annotations

from scout.pages.choice.candidates import compare
from scout.pages.choice.finding import Asked, find
from scout.records import (
    CandidateRecord,
    LocationRecord,
    ProductionRecord,
    RoomRecord,
    SceneRecord,
)
from scout.records.presets import PRESETS
from scout.usecases import locations, productions, rooms
from scout.usecases.work import Work
from scout.web.forms.sought import QUIET_DBA

QUIET = {"topic": "noise", "laeq_db": 35}


def reading(key: str, at: str, laeq_db: float) -> dict[str, object]:
    when = f"2026-06-20T{at}:00+01:00"
    return {"id": key, "laeq_db": laeq_db, "taken_at": when, "method": "meter_class_1"}


def test_noise_is_judged_at_the_hours_of_the_scene(work: Work) -> None:
    place = locations.add_location(
        work, LocationRecord.read({"name": "Mill", "timezone": "Europe/London"})
    )
    noise = [reading("N1", "09:00", 30.0), reading("N2", "14:00", 50.0)]
    keys = [
        rooms.add_room(work, place, RoomRecord.read({"name": name, "noise": noise}))
        for name in ("Proposed", "Proposed by nobody")
    ]
    job = productions.add_production(work, ProductionRecord(title="Film"))
    when = {"topic": "when", "dates": ["2026-06-20"], "from_time": "08:00", "until_time": "10:00"}
    needs = [{"strength": "must", **need} for need in (when, QUIET)]
    scene = productions.add_scene(work, job, SceneRecord.read({"name": "Talk", "needs": needs}))
    productions.add_candidate(work, scene, keys[0], CandidateRecord())
    found = {room.room_id: room for room in find(work, Asked(needs=(QUIET,))).rooms}
    row = next(row for row in compare(work, scene).rows if row.topic == "noise")
    # property: the search and the comparison say the same of the same room at the same hours
    assert found[keys[0]].cells[0][1] == row.cells[0]
    assert found[keys[0]].hours is not None
    # by hand: only the reading of 09:00 lies in those hours; without hours the loudest counts
    assert row.cells[0].figure is not None
    assert keys[1] not in found


def test_quiet_is_what_an_interview_asks_for() -> None:
    noise = next(need for need in PRESETS["interview"] if need["topic"] == "noise")
    assert noise["laeq_db"] == QUIET_DBA
