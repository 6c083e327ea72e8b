"""Rooms for tests; invented. One parlour that most tests change, and one example of every fact."""

from __future__ import annotations

import copy
from typing import Any

from scout.records import RoomRecord, RoomSheet, read_sheet

PARLOUR: dict[str, Any] = {
    "schema": "room-sheet/1",
    "location": {
        "name": "Weir House",
        "address": "1 Example Lane",
        "latitude_deg": 52.2,
        "longitude_deg": 0.12,
        "elevation_m": 15,
        "timezone": "Europe/London",
        "ground_reflectance": 0.2,
    },
    "room": {
        "name": "Long parlour",
        "setting": "interior",
        "storey": 0,
        "width_m": 5.0,
        "length_m": 6.5,
        "plan_m": None,
        "height_m": 2.7,
        "facing": {
            "wall": "A",
            "bearing_deg": 182,
            "north": "magnetic",
            "accuracy_deg": 5,
            "read_on": "2026-05-03",
        },
        "surfaces": {
            "A": {
                "colour": {"srgb": "#c9b79c"},
                "light_reflectance": 0.48,
                "finish": "matte",
                "material": "hard_surface",
            },
            "ceiling": {
                "colour": {"lab": [95.1, -0.4, 2.0], "illuminant": "D65"},
                "material": "plasterboard_ceiling",
            },
            "floor": {
                "colour": {
                    "spectrum": {
                        "first_nm": 380,
                        "step_nm": 50,
                        "values": [0.08, 0.09, 0.11, 0.14, 0.17, 0.19, 0.20, 0.21],
                    }
                }
            },
        },
        "windows": [
            {
                "id": "W1",
                "wall": "A",
                "offset_m": 1.5,
                "sill_m": 0.9,
                "width_m": 2.0,
                "height_m": 1.5,
                "transmittance": 0.7,
                "reveal_m": 0.12,
                "covering": "none",
                "skyline": [{"bearing_deg": 150, "elevation_deg": 12}],
            }
        ],
        "doors": [{"id": "D1", "wall": "C", "offset_m": 0.4, "width_m": 0.83, "height_m": 2.0}],
        "circuits": [
            {"id": "K1", "volts": 230, "breaker_a": 16, "other_load_w": 150, "verified": False}
        ],
        "outlets": [
            {
                "id": "P1",
                "wall": "B",
                "offset_m": 0.6,
                "height_m": 0.3,
                "circuit": "K1",
                "sockets": 2,
            }
        ],
        "contents": [{"material": "person", "count": 3}],
        "practicals": [{"id": "L1", "at_m": [2.5, 3.2, 2.4], "lumens": 800}],
        "furniture": [
            {
                "id": "table",
                "at_m": [4.0, 4.0],
                "width_m": 1.6,
                "depth_m": 0.8,
                "height_m": 0.75,
                "movable": True,
            }
        ],
        "noise": [
            {
                "id": "N1",
                "taken_at": "2026-05-03T10:40:00+01:00",
                "laeq_db": 34.0,
                "lceq_db": None,
                "bands_db": {"63": 45, "8000": 17},
            }
        ],
    },
    "marks": {
        "subject": [2.5, 3.0, 1.2],
        "subject_normal": [0, -1, 0],
        "camera": [2.5, 0.8, 1.4],
        "path": [[1.0, 3.0, 1.5], [4.0, 3.0, 1.5]],
    },
    "kit": {
        "camera": {"focal_lengths_mm": [24, 35]},
        "lights": [
            {"id": "key", "watts": 300, "spectrum": "led", "stand_min_m": 1.1, "stand_max_m": 2.6}
        ],
        "mics": [{"id": "boom", "kind": "shotgun", "distance_m": 0.7}],
        "cables": [{"length_m": 10}],
        "exposure_constant": 330,
    },
    "extra": {"anything": {"of": ["our", 1, None]}},
}  # as the published document shows it
WHOLE_ROOM: dict[str, Any] = {  # every field of the room itself, none at its default
    "name": "Long parlour",
    "setting": "covered",
    "storey": -1,
    "tags": ["brick", "north light"],
    "width_m": 5.0,
    "length_m": 6.5,
    "plan_m": [[0.0, 6.5], [5.0, 6.5], [5.0, 0.0], [0.0, 0.0]],
    "height_m": 2.7,
    "facing": {
        "wall": "B",
        "bearing_deg": 182.0,
        "north": "magnetic",
        "accuracy_deg": 4.0,
        "read_on": "2026-05-03",
    },
    "skyline": [{"bearing_deg": 150.0, "elevation_deg": 12.0}],
    "street": {"width_m": 12.0, "building_height_m": 15.0, "facade_reflectance": 0.4},
    "furnished": "usual",
    "way_in": {"steps": 19, "lift": False, "door_width_m": 0.75, "carry_m": 40.0},
}
WHOLE_PARTS: dict[str, dict[str, Any]] = {
    "windows": {
        "id": "W1",
        "wall": "A",
        "offset_m": 0.0,
        "sill_m": 0.9,
        "width_m": 2.0,
        "height_m": 1.5,
        "transmittance": 0.7,
        "reveal_m": 0.12,
        "overhang_m": 0.4,
        "overhang_gap_m": 0.2,
        "reveal_reflectance": 0.8,
        "overhang_reflectance": 0.3,
        "covering": "blind",
        "skyline": [{"bearing_deg": 90.0, "elevation_deg": -2.0}],
        "material": "glass",
    },
    "doors": {
        "id": "D1",
        "wall": "C",
        "offset_m": 0.4,
        "width_m": 0.83,
        "height_m": 2.0,
        "material": "wood_door",
        "keep_free": True,
    },
    "circuits": {
        "id": "K1",
        "volts": 230.0,
        "breaker_a": 16.0,
        "other_load_w": 0.0,
        "verified": False,
    },
    "outlets": {
        "id": "P1",
        "wall": "B",
        "offset_m": 0.6,
        "height_m": 0.3,
        "circuit": "K1",
        "sockets": 2,
    },
    "contents": {"material": "person", "area_m2": 1.5, "count": 0},
    "practicals": {
        "id": "L1",
        "at_m": [2.5, 3.2, 2.4],
        "lumens": 800.0,
        "cct_k": 2700.0,
        "duv": -0.004,
        "can_switch_off": False,
    },
    "furniture": {
        "id": "table",
        "at_m": [2.5, 3.0],
        "width_m": 1.6,
        "depth_m": 0.8,
        "turn_deg": 10.0,
        "height_m": 0.75,
        "clear_below_m": 0.7,
        "reflectance": 0.35,
        "colour": {"srgb": "#8a6f4d"},
        "movable": True,
        "mirrors": True,
    },
    "readings": {
        "id": "R1",
        "mark": "subject",
        "plane": "camera",
        "sky": "clear",
        "taken_at": "2026-05-03T11:20:00+01:00",
        "lux": 410.0,
        "doubt_stops": 0.3,
        "how": "meter",
        "counts": False,
    },
    "noise": {
        "id": "N1",
        "taken_at": "2026-05-03T10:40:00+01:00",
        "laeq_db": 34.0,
        "lceq_db": 50.0,
        "bands_db": {"63": 45.0, "8000": None},
        "duration_s": 60.0,
        "method": "phone_app",
        "conditions": "window open",
    },
}
WHOLE_SURFACE: dict[str, Any] = {
    "colour": {"srgb": "#c9b79c"},
    "light_reflectance": 0.48,
    "finish": "matte",
    "material": "hard_surface",
}


def plain_sheet(**changes: Any) -> dict[str, Any]:
    """The parlour's sheet as plain values, changed by path: `room__windows__0__sill_m=0.3`. None
    takes a key away.
    """
    plain = copy.deepcopy(PARLOUR)
    for path, value in changes.items():
        *way, last = path.split("__")
        here: Any = plain
        for step in way:
            here = here[int(step)] if step.isdecimal() else here.setdefault(step, {})
        if value is None:
            here.pop(last, None)
        else:
            here[last] = value
    return plain


def sheet(**changes: Any) -> RoomSheet:
    """The parlour's sheet, changed by path."""
    return read_sheet(plain_sheet(**changes))


def room(**changes: Any) -> RoomRecord:
    """The parlour alone, changed by path within it: `windows__0__sill_m=0.3`."""
    return sheet(**{f"room__{path}": value for path, value in changes.items()}).room
