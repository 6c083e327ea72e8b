"""A camera marked outside a small room, behind its door."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from scout.assess.daylight.mark.contrast import window_contrast
from scout.assess.daylight.sun.touch import sun_touches
from scout.assess.fit.findings import findings
from scout.assess.fit.plan.figures import plan_figures
from scout.assess.fit.plan.kinds import OnPiece
from scout.assess.room import assess_room, assess_setup
from scout.assess.setup import Setup
from scout.drawing.plan.sheets import shot_sheet
from scout.errors import RefusedMany
from scout.records import read_sheet
from scout.records.sheet import RoomSheet
from scout.values import Name

ON = date(2026, 6, 20)


def sheet(camera: list[float], door: dict[str, Any] | None = None, **room: Any) -> RoomSheet:
    """A study 2.4 by 2.6 m whose door is in the middle of its near wall."""
    return read_sheet(
        {
            "schema": "room-sheet/1",
            "location": {"latitude_deg": 52.0, "longitude_deg": 13.0, "timezone": "Europe/Berlin"},
            "room": {
                "setting": "interior",
                "width_m": 2.4,
                "length_m": 2.6,
                "height_m": 2.5,
                "furniture": [],
                "facing": {"wall": "A", "bearing_deg": 0.0, "north": "true"},
                "windows": [
                    {
                        "id": "W1",
                        "wall": "A",
                        "offset_m": 0.5,
                        "width_m": 1.0,
                        "sill_m": 0.9,
                        "height_m": 1.2,
                    }
                ],
                "doors": [
                    {"id": "D1", "wall": "C", "offset_m": 0.75, "width_m": 0.9, "height_m": 2.0}
                    | (door or {})
                ],
                **room,
            },
            "marks": {"subject": [1.2, 2.0, 1.3], "camera": camera},
            "kit": {
                "camera": {
                    "sensor_width_mm": 24.9,
                    "sensor_height_mm": 14.0,
                    "focal_lengths_mm": [35.0, 85.0],
                    "iso": 800,
                    "f_number": 2.8,
                    "shutter_s": 0.02,
                },
                "lights": [
                    {
                        "id": "key",
                        "lux_at_1m": 4000.0,
                        "stand_min_m": 1.0,
                        "stand_max_m": 2.2,
                        "head_m": 0.2,
                    }
                ],
            },
        }
    )


def test_a_mark_behind_a_door_is_taken_and_one_behind_a_wall_refused() -> None:
    assert sheet([1.2, -1.0, 1.4]).marks is not None
    for camera, door in (
        ([1.2, 3.5, 1.4], {}),  # behind the far wall, whose window is no door
        ([2.3, -0.6, 1.4], {}),  # beside the opening
        ([1.2, -1.0, 1.4], {"width_m": None}),  # a door that nobody measured
    ):
        with pytest.raises(RefusedMany) as refused:
            sheet(camera, door)
        assert [(one.path, one.because.code) for one in refused.value.refusals] == [
            ("marks.camera", "sheet.camera_outside")
        ]


def test_the_room_still_answers_and_lights_stay_inside() -> None:
    found = assess_room(sheet([1.2, -1.0, 1.4]), ON)
    assert found.daylight.marks["subject"].daylight_factor_pct
    because = found.daylight.marks["camera"].unknown
    assert because is not None
    assert because.code == "light.camera_outside"
    key = found.fit.plan["key"]
    assert key.at_m is not None
    assert 0.0 < key.at_m[0] < 2.4
    assert 0.0 < key.at_m[1] < 2.6
    seen = {part.wall for part in found.fit.views[0].walls}
    assert "A" in seen
    assert "C" not in seen  # the wall it looks through
    behind = found.fit.backdrop[0]
    assert behind.surface == "A"


def framing(camera: list[float], door: dict[str, Any] | None = None, mm: float = 35.0) -> Any:
    setup = Setup(sheet(camera, door), on=ON, framing="head_and_shoulders", focal_length_mm=mm)
    found = assess_setup(setup)
    return next(one for one in findings(setup, found) if one.code.startswith("space.framing"))


def test_a_finding_says_the_door_and_how_far_behind_it() -> None:
    # by hand: 0.6 m high at 14 mm of sensor and 85 mm of lens is 0.6 x 85 / 14 = 3.64 m; the face is
    # 2.0 m from the door's wall, so the lens sqrt(3.643^2 - 0.1^2) - 2.0 = 1.641 m behind it
    found = framing([1.2, -1.0, 1.4], mm=85.0)
    assert (found.code, found.level, found.door) == ("space.framing_through", "care", Name("D1"))
    assert found.distance.value == pytest.approx(3.643, abs=0.001)
    assert found.beyond.value == pytest.approx(1.6415, abs=0.001)
    assert found.why is None


def test_a_door_that_is_kept_free_is_no_place_for_a_camera() -> None:
    found = framing([1.2, -1.0, 1.4], {"keep_free": True}, 85.0)
    assert (found.code, found.because.code) == ("space.framing_none", "fit.door_kept")


def test_where_the_room_has_no_floor_the_act_is_to_go_behind_the_door() -> None:
    found = framing([0.4, 0.4, 1.4], mm=85.0)  # across the room there is no 3.64 m
    assert found.code in ("space.framing_none", "space.framing_held")
    act = next(one for one in found.acts if one.code == "camera.door")
    values = dict(act.values)
    assert values["door"] == Name("D1")
    assert values["beyond"].value == pytest.approx(1.64, abs=0.2)  # or as far, slantwise


def test_the_plan_says_where_it_stands_and_draws_its_field_through_the_opening() -> None:
    here = sheet([1.2, -1.0, 1.4])
    found = assess_room(here, ON)
    drawn = shot_sheet(found.sheet, found.fit)
    assert "drawing.camera_outside" in [getattr(one, "code", "") for one in drawn.remarks]
    # by hand: the outer jambs, 0.45 to each side at 0.75 m, show 0.45 x 3.6 / 0.75 = 2.16 to each
    # side at the far wall, the inner ones 1.62: cut by the walls at 0 and 2.4
    for lens in drawn.lenses:
        for x, y in lens.ends_m:
            assert 0.0 <= x <= 2.4
            assert 0.0 < y <= 2.6 + 1e-6
    assert len(drawn.operator_m) == 4
    assert drawn.camera_tapes == ()


def test_what_is_not_worked_out_outside_says_so() -> None:
    here = sheet([1.2, -1.0, 1.4])
    for because in (
        window_contrast(here, ON).unknown,
        sun_touches(here, ON).lens.unknown,
    ):
        assert because is not None
        assert because.code == "light.camera_outside"
    figures = plan_figures(here)
    assert figures.unknown is None
    # by hand: 24.9 / 70 = 0.356 to each side at the door, of 0.45; inside, the leaf is in it
    assert [one.code for one in figures.camera_against] == ["fit.door_leaf"]
    assert figures.bands  # what of the walls the widest lens holds


def test_a_light_on_a_table_is_warned_of() -> None:
    def on_piece(high: float, at: list[float]) -> list[tuple[Name, Name]]:
        table = {"id": "desk", "at_m": [0.6, 1.0], "width_m": 0.8, "depth_m": 0.6, "height_m": high}
        here = sheet([1.2, -1.0, 1.4], furniture=[table])
        assert here.kit is not None
        lights = tuple(one.model_copy(update={"at_m": tuple(at)}) for one in here.kit.lights or ())
        here = here.model_copy(update={"kit": here.kit.model_copy(update={"lights": lights})})
        setup = Setup(here, on=ON)
        found = findings(setup, assess_setup(setup))
        return [(one.about[0], one.piece) for one in found if isinstance(one, OnPiece)]

    # by hand: the desk reaches from 0.2 to 1.0 across and from 0.7 to 1.3 up the plan
    assert on_piece(0.74, [0.9, 1.2, 1.5]) == [(Name("key"), Name("desk"))]
    assert on_piece(0.74, [1.1, 1.2, 1.5]) == []  # beside it
    assert on_piece(0.74, [0.9, 1.2, 0.7]) == []  # under its top
    assert on_piece(0.04, [0.9, 1.2, 1.5]) == []  # a rug
