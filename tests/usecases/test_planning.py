"""The plans for paper: as worked out, and as kept for each scene; nothing where nothing can be
placed.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date
from typing import Any

import pytest

from scout.drawing.shapes import Drawing
from scout.pages.room import planning as desk_page
from scout.pages.room import stagings
from scout.records import (
    CandidateRecord,
    Kit,
    LocationRecord,
    Marks,
    ProductionRecord,
    RoomRecord,
    SceneRecord,
)
from scout.records.plan import PlannedLight, StagePlan
from scout.settings import Settings
from scout.usecases import locations, planning, productions, rooms
from scout.usecases.work import Work, open_work
from scout.values import Said


def plan_of(places: Mapping[str, tuple[float, float, float]]) -> StagePlan:
    """A plan of places by name: subject, camera, and lights by their id."""
    lights = tuple(
        PlannedLight(id=name, at_m=place)
        for name, place in places.items()
        if name not in ("subject", "camera")
    )
    return StagePlan(subject=places.get("subject"), camera=places.get("camera"), lights=lights)


def setting(work: Work, marks: dict[str, Any] | None) -> tuple[int, int, int]:
    """A room proposed for a scene: keys of room, production and candidate."""
    place = locations.add_location(work, LocationRecord(name="Mill"))
    room = rooms.add_room(
        work,
        place,
        RoomRecord.read(
            {
                "name": "Loft",
                "setting": "interior",
                "width_m": 5,
                "length_m": 6.5,
                "height_m": 2.7,
                "circuits": [{"id": "K1", "volts": 230, "breaker_a": 16}],
                "outlets": [
                    {
                        "id": "P1",
                        "wall": "B",
                        "offset_m": 1.0,
                        "height_m": 0.3,
                        "circuit": "K1",
                        "sockets": 2,
                    }
                ],
            }
        ),
    )
    if marks:
        rooms.save_marks(work, room, rooms.room(work, room).kept.version, Marks.read(marks))
    kit = Kit.read(
        {
            "camera": {
                "sensor_width_mm": 24.9,
                "sensor_height_mm": 14,
                "focal_lengths_mm": [35, 85],
            },
            "lights": [
                {"id": "key", "watts": 300, "lux_at_1m": 9000},
                {"id": "fill", "watts": 100, "lux_at_1m": 3000},
            ],
        }
    )
    job = productions.add_production(work, ProductionRecord(title="Film", kit=kit))
    productions.add_candidate(
        work,
        productions.add_scene(work, job, SceneRecord(name="The talk")),
        room,
        CandidateRecord(),
    )
    return room, job, rooms.room(work, room).candidates[0].id


def words(drawing: Drawing) -> str:
    """What a drawing tells those who do not see it, with plain blanks."""
    return drawing.description.replace("\u00a0", " ")


MARKS = {"subject": [2.5, 3.0, 1.2], "camera": [2.5, 0.8, 1.4]}


ON = date(2026, 6, 21)


def test_the_three_plans_tell_lights_leads_and_frame(embedded: Settings) -> None:
    with open_work(embedded) as work:
        room, job, _ = setting(work, {"subject": [2.5, 3.0, 1.4], "camera": [2.5, 0.8, 1.4]})
        (staging,) = stagings.stagings(work, room, job, ON)
        drawn = stagings.drawings(staging)
    assert (staging.kept, staging.scenes) == (False, ("The talk",))
    assert drawn.light is not None
    assert drawn.power is not None
    assert drawn.shot is not None
    assert drawn.wall is not None
    assert drawn.light.title.startswith("Light plan")
    assert "key stands 2.43 m high" in words(drawn.light)
    stands = staging.found.fit.plan["key"].at_m
    assert stands is not None
    assert stands[2] == pytest.approx(2.43, abs=0.005)
    # by hand: 300 W at 230 V and the power factor of 0.6 that is assumed is 2.2 A, 100 W is 0.7 A
    for light, amperes in (("key", "2.2 A"), ("fill", "0.7 A")):
        way = rf"The cable of {light} runs (along the walls|over the floor, taped,) from P1: {amperes}, "
        assert re.search(way, words(drawn.power))
    # by hand: a close frame with 35 mm is had 0.6 x 35 / 14 = 1.5 m from the face, so the camera is
    # set 0.70 m before its mark; 24.9 mm behind 35 mm is 0.3557 either way a metre; wall A is 5.0 m
    # off the lens, so 1.78 m to each side of 2.5 m
    assert "The camera stands 0.70 m off its mark" in words(drawn.shot)
    assert "35 mm lens: wall A from 0.72 m to 4.28 m from its left end" in words(drawn.shot)
    assert "The 35 mm lens holds it from 0.72 m to 4.28 m" in words(drawn.wall)
    for one in (drawn.light, drawn.power, drawn.shot, drawn.wall):
        assert one.scale is not None
        assert one.scale <= 100  # a room of 5.0 by 6.5 m


def test_the_kept_plan_is_the_one_drawn_and_worked_out(embedded: Settings) -> None:
    with open_work(embedded) as work:
        room, job, candidate = setting(work, MARKS)
        planning.save_plan(
            work,
            candidate,
            1,
            plan_of({**desk_page.desk(work, room).places, "key": (4.2, 2.4, 2.2)}),
        )
        (staging,) = stagings.stagings(work, room, job, ON)
        drawn = stagings.drawings(staging)
    assert staging.kept
    assert staging.found.fit.plan["key"].at_m == (
        4.2,
        2.4,
        2.2,
    )  # the figures are of the plan that is drawn
    assert drawn.light is not None
    # by hand: wall B stands at x = 5 and wall C at y = 0; the face is 1.70 m across from the key and
    # 0.6 m, and 1.0 m below it: 29 degrees
    assert "key stands 2.20 m high, 29° down, 0.80 m off B and 2.40 m off C" in words(drawn.light)


def test_two_scenes_that_use_one_room_differently_are_both_there(embedded: Settings) -> None:
    with open_work(embedded) as work:
        room, job, candidate = setting(work, MARKS)
        planning.save_plan(
            work,
            candidate,
            1,
            plan_of({**desk_page.desk(work, room).places, "key": (4.2, 2.4, 2.2)}),
        )
        for name in ("The letter", "The wait"):
            productions.add_candidate(
                work,
                productions.add_scene(work, job, SceneRecord(name=name)),
                room,
                CandidateRecord(),
            )
        other = next(
            one.candidate_id
            for one in desk_page.desk(work, room).scenes
            if one.scene_name == "The letter"
        )
        planning.save_plan(
            work,
            other,
            1,
            plan_of({**desk_page.desk(work, room).places, "subject": (1.5, 4.5, 1.2)}),
        )
        found = stagings.stagings(work, room, job, ON)
    assert [(one.scenes, one.kept) for one in found] == [
        (("The talk",), True),
        (("The letter",), True),
        (("The wait",), False),
    ]
    assert found[1].sheet.marks is not None
    assert found[1].sheet.marks.subject == (1.5, 4.5, 1.2)


def test_a_kit_that_changed_since_leaves_the_plan_readable(embedded: Settings) -> None:
    with open_work(embedded) as work:
        room, job, candidate = setting(work, MARKS)
        planning.save_plan(
            work,
            candidate,
            1,
            plan_of({**desk_page.desk(work, room).places, "fill": (1.0, 1.5, 1.4)}),
        )
        page = productions.production(work, job).kept
        less = page.record.model_copy(
            update={"kit": Kit.read({"lights": [{"id": "key", "lux_at_1m": 500}]})}
        )
        productions.save_production(work, job, page.version, less)
        assert (
            "fill" not in desk_page.desk(work, room).places
        )  # the light is gone, and so is its place
        assert stagings.drawings(stagings.stagings(work, room, job, ON)[0]).light is not None


def test_no_marks_no_plans(embedded: Settings) -> None:
    with open_work(embedded) as work:
        room, job, _ = setting(work, None)
        drawn = stagings.drawings(stagings.stagings(work, room, job, ON)[0])
        assert (drawn.light, drawn.power, drawn.shot, drawn.wall) == (None, None, None, None)
        assert desk_page.desk(work, room).figures.unknown is not None


LOFT = RoomRecord.read(
    {"name": "Loft", "setting": "interior", "width_m": 5, "length_m": 6.5, "height_m": 2.7}
)


def light(*at: float, aim: tuple[float, ...] | None = None) -> dict[str, Any]:
    return {"lights": [{"id": "key", "at_m": at, "aim_m": aim}]}


@pytest.mark.parametrize(
    ("plan", "refused"),
    [
        (light(1, 1, 0), None),
        (light(1, 1, -0.01), ("key", "refused.plan.under_floor")),
        (light(1, 1, 2.71), None),  # a hand's breadth of the tape is no ceiling
        (light(1, 1, 2.72), ("key", "refused.plan.above_ceiling")),
        (light(20, 3, 4), None),  # through a window, 15 m off wall B
        (light(20.1, 3, 4), ("key", "refused.plan.far_outside")),
        (light(1, 1, 2, aim=(1, 1, 1.9)), None),
        (light(1, 1, 2, aim=(1, 1, 2)), ("key", "refused.plan.own_aim")),
        ({"boom": (5, 6.5, 2.7)}, None),
        ({"boom": (1, 1, 2.8)}, ("boom", "refused.plan.boom")),
        ({"boom": (1, 1, -0.1)}, ("boom", "refused.plan.boom")),
        ({"boom": (5.1, 1, 2)}, ("boom", "refused.plan.outside")),
        ({"furniture": [{"id": "table", "at_m": (5, 1)}]}, None),
        ({"furniture": [{"id": "table", "at_m": (5.1, 1)}]}, ("table", "refused.plan.outside")),
    ],
)
def test_what_may_stand_where(plan: dict[str, Any], refused: tuple[str, str] | None) -> None:
    found = [
        (one.path, one.because.code)
        for one in planning.plan_refusals(LOFT, StagePlan.read(plan, "plan"))
        if isinstance(one.because, Said)
    ]
    assert found == ([] if refused is None else [refused])
