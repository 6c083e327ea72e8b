"""The working plan for paper: as worked out, and as kept for a scene; nothing where nothing can be placed."""

from __future__ import annotations

from typing import Any

from scout.records import CandidateRecord, Kit, LocationRecord, Marks, ProductionRecord, RoomRecord, SceneRecord
from scout.settings import Settings
from scout.usecases import locations, planning, productions, rooms
from scout.usecases.work import Work, open_work


def setting(work: Work, marks: dict[str, Any] | None) -> tuple[int, int, int]:
    """A room proposed for a scene: keys of room, production and candidate."""
    place = locations.add_location(work, LocationRecord(name="Mill"))
    room = rooms.add_room(work, place, RoomRecord.read({
        "name": "Loft", "setting": "interior", "width_m": 5, "length_m": 6.5, "height_m": 2.7, "circuits": [{"id": "K1", "volts": 230, "breaker_a": 16}],
        "outlets": [{"id": "P1", "wall": "B", "offset_m": 1.0, "height_m": 0.3, "circuit": "K1", "sockets": 2}]}))
    if marks:
        rooms.save_marks(work, room, rooms.room(work, room).kept.version, Marks.read(marks))
    kit = Kit.read({"camera": {"sensor_width_mm": 24.9, "sensor_height_mm": 14, "focal_lengths_mm": [35, 85]},
                    "lights": [{"id": "key", "watts": 300, "lux_at_1m": 9000}, {"id": "fill", "watts": 100, "lux_at_1m": 3000}]})
    job = productions.add_production(work, ProductionRecord(title="Film", kit=kit))
    productions.add_candidate(work, productions.add_scene(work, job, SceneRecord(name="The talk")), room, CandidateRecord())
    return room, job, rooms.room(work, room).candidates[0].id


MARKS = {"subject": [2.5, 3.0, 1.2], "camera": [2.5, 0.8, 1.4]}


def test_the_working_plan_tells_frame_and_leads(embedded: Settings) -> None:
    with open_work(embedded) as work:
        room, job, _ = setting(work, MARKS)
        plan = planning.working_plan(work, room, job)
    assert plan is not None
    assert plan.title.startswith("Lights, frame and leads")
    assert "the lead of key runs along the walls from P1" in plan.description


def test_the_kept_plan_is_the_one_drawn(embedded: Settings) -> None:
    with open_work(embedded) as work:
        room, job, candidate = setting(work, MARKS)
        before = planning.working_plan(work, room, job)
        moved = {**planning.desk(work, room).places, "key": (4.2, 2.4, 2.2)}
        planning.save_plan(work, candidate, 1, moved)
        after = planning.working_plan(work, room, job)
        kept = planning.desk(work, room)
    assert kept.places["key"] == (4.2, 2.4, 2.2)
    assert before is not None
    assert after is not None
    assert before.shapes != after.shapes


def test_a_kit_that_changed_since_leaves_the_plan_readable(embedded: Settings) -> None:
    with open_work(embedded) as work:
        room, job, candidate = setting(work, MARKS)
        planning.save_plan(work, candidate, 1, {**planning.desk(work, room).places, "fill": (1.0, 1.5, 1.4)})
        page = productions.production(work, job).kept
        less = page.record.model_copy(update={"kit": Kit.read({"lights": [{"id": "key", "lux_at_1m": 500}]})})
        productions.save_production(work, job, page.version, less)
        assert "fill" not in planning.desk(work, room).places  # the light is gone, and so is its place
        assert planning.working_plan(work, room, job) is not None


def test_no_marks_no_working_plan(embedded: Settings) -> None:
    with open_work(embedded) as work:
        room, job, _ = setting(work, None)
        assert planning.working_plan(work, room, job) is None
        assert planning.desk(work, room).figures.unknown is not None
