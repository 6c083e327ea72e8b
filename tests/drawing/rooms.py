"""Rooms for the tests of drawings; invented."""

from __future__ import annotations

from typing import Any

from scout.assess.answers import PatchPolygon, Placement, SunPatchAnswer
from scout.drawing.plan.rim import North, SunBearing
from scout.drawing.plan.things import PatchHour
from scout.drawing.shapes import Drawing, Group, Shape
from scout.records.sheet import Marks, RoomRecord

NASTY = '<script>alert("1")</script> & Söhne \u202e\x07 ' + "x" * 200


def parlour(**changes: Any) -> RoomRecord:
    """The rectangular room of the room sheet's own example, 5.0 by 6.5 m."""
    facts: dict[str, Any] = {
        "name": "Long parlour",
        "setting": "interior",
        "storey": 0,
        "width_m": 5.0,
        "length_m": 6.5,
        "height_m": 2.7,
        "facing": {"wall": "A", "bearing_deg": 183, "north": "true", "accuracy_deg": 5},
        "windows": [
            {
                "id": "W1",
                "wall": "A",
                "offset_m": 1.5,
                "sill_m": 0.9,
                "width_m": 2.0,
                "height_m": 1.5,
            }
        ],
        "doors": [{"id": "D1", "wall": "C", "offset_m": 0.4, "width_m": 0.83, "height_m": 2.0}],
        "circuits": [{"id": "K1"}],
        "outlets": [
            {"id": "P1", "wall": "B", "offset_m": 0.6, "circuit": "K1"},
            {"id": "P2", "wall": "D", "offset_m": 2.0},
        ],
        "practicals": [{"id": "L1", "at_m": [1.5, 4.2, 2.4]}],
        "furniture": [
            {
                "id": "table",
                "at_m": [4.0, 5.0],
                "width_m": 1.2,
                "depth_m": 0.7,
                "turn_deg": 20,
                "height_m": 0.75,
            }
        ],
    }
    return RoomRecord.read({**facts, **changes})


MARKS = Marks.read(
    {
        "subject": [2.5, 3.0, 1.2],
        "camera": [2.5, 0.8, 1.4],
        "path": [[1.0, 3.6, 1.5], [4.0, 3.6, 1.5]],
    }
)
LIGHTS = (
    Placement("key", (1.2, 1.6, 2.4), (2.5, 3.0, 1.2), "planned"),
    Placement("fill", (3.9, 1.5, 2.0), None, "pinned"),
)
SUN = (
    SunBearing("04:43", 48, "sunrise"),
    SunBearing("09:00", 97),
    SunBearing("12:00", 157),
    SunBearing("21:24", 312, "sunset"),
)
PATCHES = (
    PatchHour(
        "11:00",
        (
            SunPatchAnswer(
                window="W1",
                patches=(
                    PatchPolygon(
                        "floor", ((0.6, 5.9, 0), (2.6, 5.9, 0), (2.2, 4.9, 0), (0.2, 4.9, 0)), 2.0
                    ),
                    PatchPolygon("B", ((5, 6.2, 0), (5, 6.2, 1), (5, 5.2, 1)), 0.5),
                ),
            ),
        ),
    ),
)
EVERYTHING: dict[str, Any] = {
    "marks": MARKS,
    "placements": LIGHTS,
    "north": North("A", 183.0, True, 5.0),
    "sun": SUN,
    "patches": PATCHES,
}

ODD_ROOMS: dict[str, dict[str, Any]] = {
    "ell": {
        "plan_m": [[0, 4], [2, 4], [2, 6], [7, 6], [7, 0], [0, 0]],
        "facing": {"wall": "E", "bearing_deg": 20, "north": "magnetic"},
        "windows": [
            {"id": "W1", "wall": "A", "offset_m": 0.4, "width_m": 1.2},
            {"id": "W2", "wall": "B", "offset_m": 0.4, "width_m": 1.2},
        ],
    },
    "corridor": {
        "width_m": 0.8,
        "length_m": 40.0,
        "doors": [{"id": "D1", "wall": "B", "offset_m": 3.0, "width_m": 0.8}],
    },
    "sliver": {
        "width_m": 40.0,
        "length_m": 0.8,
        "windows": [{"id": "W1", "wall": "B", "offset_m": 0.1, "width_m": 0.6}],
    },
    "tiny": {"width_m": 0.3, "length_m": 0.3},
    "triangle": {"plan_m": [[0, 0], [0.2, 9], [0.4, 0]]},
    "yard": {
        "setting": "exterior",
        "plan_m": [[0, 10], [8, 14], [20, 9], [16, 0], [3, 1]],
        "facing": {"wall": "B", "bearing_deg": 20, "north": "true"},
    },
    "field": {"setting": "exterior", "plan_m": [[-9000, 9000], [9000, 9000], [9000, -9000]]},
    "crowded": {
        "width_m": 3.0,
        "length_m": 3.0,
        "outlets": [{"id": f"P{k}", "wall": "A", "offset_m": 0.2 * k} for k in range(15)],
        "windows": [
            {"id": f"W{k}", "wall": "B", "offset_m": 0.3 * k, "width_m": 0.2} for k in range(10)
        ],
    },
    "no openings' places": {
        "width_m": 3.0,
        "length_m": 4.0,
        "windows": [{"id": "W1", "wall": "A"}],
        "doors": [{"id": "D1", "wall": "B", "offset_m": 1.0}],
    },
    "any script": {"name": "قاعة כחול ห้อง 会议室 कक्ष 🎬👩‍👩‍👧", "width_m": 4.0, "length_m": 4.0},
    "nasty": {
        "name": NASTY,
        "width_m": 4.0,
        "length_m": 4.0,
        "windows": [{"id": "<b>&\"'", "wall": "A", "offset_m": 1.0, "width_m": 1.0}],
    },
    "nothing": {},
    "no plan": {
        "name": "Attic",
        "width_m": 3.0,
        "windows": [{"id": "W1", "wall": "A"}],
        "facing": {"wall": "A", "bearing_deg": 90},
    },
}


def odd(name: str) -> RoomRecord:
    """One of the rooms that are not like the others."""
    return RoomRecord.read(ODD_ROOMS[name])


def group(drawing: Drawing, name: str) -> tuple[Shape, ...]:
    """The shapes of a drawing's group."""
    found = [shape for shape in drawing.shapes if isinstance(shape, Group) and shape.id == name]
    assert len(found) == 1, f"{len(found)} groups are called {name}"
    return found[0].shapes
