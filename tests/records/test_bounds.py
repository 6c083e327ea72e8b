"""What each number of a record may be, on both sides of each border.

Expected: as decided: wide enough for whatever stands in a room or hangs in a kit, narrow enough to
catch a slip of the key; angles and shares by what they are.
"""

from __future__ import annotations

import math
from itertools import chain
from typing import Annotated, Any, get_args

import annotated_types as bounds
import pytest

from scout.errors import RefusedMany
from scout.records import kept, kit, plan, sheet, sighted, sounds
from scout.records.base import Record

# of anything counted 1e12 is the most: its square is still a number
LENGTH, HEIGHT, COUNTED, LEAST_0 = "(0, 1000]", "(0, 200]", "(0, 1e12]", "[0, 1e12]"
SHARE, BEARING, LATITUDE, LONGITUDE = "[0, 1]", "[0, 360]", "[-90, 90]", "[-180, 180]"
DECIBEL, COORDINATE, STAND = "[-50, 200]", "[-10000, 10000]", "[0, 20]"
TABLE: dict[type[Record], dict[str, str]] = {
    kit.Camera: {
        "sensor_width_mm": "(0, 200]",
        "sensor_height_mm": "(0, 200]",
        "focal_lengths_mm": "(0, 3000]",
        "iso": "(0, 10000000]",
        "f_number": "[0.1, 128]",
        "shutter_s": "[1e-6, 3600]",
        "latitude_stops": "[0, 30]",
    },
    kit.Light: {
        "watts": LEAST_0,
        "power_factor": "(0, 1]",
        "cct_k": "[1000, 40000]",
        "duv": "[-0.1, 0.1]",
        "lux_at_1m": COUNTED,
        "reading_lux": COUNTED,
        "reading_at_m": "(0, 100]",
        "lumens": COUNTED,
        "beam_deg": "(0, 180)",
        "stand_min_m": STAND,
        "stand_max_m": STAND,
        "head_m": "[0, 5]",
        "soft_width_m": "[0, 10]",
        "at_m": COORDINATE,
        "aim_m": COORDINATE,
    },
    kit.Charger: {"watts": LEAST_0, "power_factor": "(0, 1]"},
    kit.Modifier: {"loss_stops": "[0, 15]", "width_m": "(0, 10]"},
    kit.Stand: {
        "count": "[1, 200]",
        "lowest_m": STAND,
        "highest_m": "(0, 20]",
        "foot_m": "(0, 5]",
    },
    kit.Reflector: {"width_m": "(0, 20]", "height_m": "(0, 20]", "reflectance": SHARE},
    kit.Mic: {"distance_m": "(0, 100]"},
    kit.ShortLight: {
        "watts": LEAST_0,
        "lux_at_1m": COUNTED,
        "cct_k": "[1000, 40000]",
        "lead_m": LENGTH,
    },
    kit.Cable: {"length_m": LENGTH, "conductor_mm2": "(0, 100]"},
    kit.Kit: {"continuous_share": "(0, 1]", "ratio": "[1, 64]"},
    kept.Spot: {"latitude_deg": LATITUDE, "longitude_deg": LONGITUDE},
    kept.LocationRecord: {
        "latitude_deg": LATITUDE,
        "longitude_deg": LONGITUDE,
        "elevation_m": "[-500, 9000]",
        "ground_reflectance": SHARE,
        "door_width_m": LENGTH,
        "door_height_m": LENGTH,
        "steps": "[0, 10000]",
        "lift_width_m": LENGTH,
        "lift_depth_m": LENGTH,
        "lift_height_m": LENGTH,
        "parking_distance_m": "[0, 100000]",
        "fee_amount": LEAST_0,
        "permit_lead_days": "[0, 3650]",
    },
    kept.LinkRecord: {"days": "[1, 366]"},
    kept._Need: {"weight": "[0, 100]", "bend": "[-5, 5]"},
    kept.DepthNeed: {"depth_m": LENGTH},
    kept.LuxNeed: {"lux": COUNTED},
    kept.SocketsNeed: {"sockets": "[1, 1000]"},
    kept.PermitNeed: {"days": "[0, 3650]"},
    kept.TravelNeed: {
        "from_latitude_deg": LATITUDE,
        "from_longitude_deg": LONGITUDE,
        "km": COUNTED,
    },
    kept.FloorNeed: {"width_m": LENGTH, "length_m": LENGTH},
    kept.HeightNeed: {"height_m": LENGTH},
    kept.NoiseNeed: {"laeq_db": "[0, 120]"},
    kept.WattsNeed: {"watts": COUNTED},
    kept.AccessNeed: {"steps": "[0, 10000]", "carry_m": "[0, 100000]", "door_width_m": LENGTH},
    kept.BudgetNeed: {"amount": LEAST_0},
    kept.PhotoRecord: {
        "position": "[0, 1000000]",
        "latitude_deg": LATITUDE,
        "longitude_deg": LONGITUDE,
        "bearing_deg": BEARING,
    },
    kept.Overlay: {"x": SHARE, "y": SHARE, "to_x": SHARE, "to_y": SHARE},
    sheet.Facing: {"bearing_deg": BEARING, "accuracy_deg": "[0, 180]"},
    sheet.Spectrum: {"first_nm": "[200, 400]", "step_nm": "(0, 100]", "values": SHARE},
    sheet.Colour: {},
    sheet.Surface: {"light_reflectance": SHARE},
    sheet.SkylinePoint: {"bearing_deg": BEARING, "elevation_deg": LATITUDE},
    sheet.Window: {
        "offset_m": LEAST_0,
        "sill_m": LEAST_0,
        "width_m": LENGTH,
        "height_m": HEIGHT,
        "transmittance": SHARE,
        "reveal_m": "[0, 5]",
        "overhang_m": "[0, 50]",
        "overhang_gap_m": "[0, 50]",
        "reveal_reflectance": SHARE,
        "overhang_reflectance": SHARE,
    },
    sheet.Door: {"offset_m": LEAST_0, "width_m": LENGTH, "height_m": HEIGHT},
    sheet.Circuit: {"volts": LENGTH, "breaker_a": LENGTH, "other_load_w": LEAST_0},
    sheet.Outlet: {"offset_m": LEAST_0, "height_m": LEAST_0, "sockets": "[1, 50]"},
    sheet.Content: {"area_m2": COUNTED, "count": "[0, 10000]"},
    sheet.Practical: {
        "at_m": COORDINATE,
        "lumens": LEAST_0,
        "cct_k": "[1000, 40000]",
        "duv": "[-0.1, 0.1]",
    },
    sheet.Furniture: {
        "at_m": COORDINATE,
        "width_m": LENGTH,
        "depth_m": LENGTH,
        "turn_deg": "[-360, 360]",
        "height_m": HEIGHT,
        "clear_below_m": LEAST_0,
        "reflectance": SHARE,
    },
    sheet.Street: {
        "width_m": LENGTH,
        "building_height_m": HEIGHT,
        "facade_reflectance": SHARE,
    },
    sheet.NoiseReading: {
        "laeq_db": DECIBEL,
        "lceq_db": DECIBEL,
        "duration_s": COUNTED,
    },
    sheet.LightReading: {"lux": COUNTED, "doubt_stops": "[0, 5]"},
    sheet.WayIn: {"steps": "[0, 10000]", "door_width_m": LENGTH, "carry_m": "[0, 100000]"},
    sheet.RoomRecord: {
        "storey": "[-20, 200]",
        "width_m": LENGTH,
        "length_m": LENGTH,
        "height_m": HEIGHT,
    },
    sheet.Marks: {
        "subject": COORDINATE,
        "subject_normal": COORDINATE,
        "camera": COORDINATE,
    },
    plan.PlannedLight: {"at_m": COORDINATE, "aim_m": COORDINATE},
    plan.PlannedBlock: {"at_m": COORDINATE, "turn_deg": "[-360, 360]"},
    plan.StagePlan: {"lens_mm": "(0, 3000]", "subject": COORDINATE, "camera": COORDINATE},
    sighted.MapLine: {
        "from_latitude_deg": LATITUDE,
        "from_longitude_deg": LONGITUDE,
        "to_latitude_deg": LATITUDE,
        "to_longitude_deg": LONGITUDE,
        "accuracy_m": LEAST_0,
    },
    sighted.ShadowLine: {"accuracy_m": LEAST_0, "clock_s": "[0, 7200]"},
    sighted.WallPhoto: {
        "door_width_m": "(0, 100]",
        "door_height_m": "(0, 100]",
        "tape_m": "(0, 100]",
    },
    sighted.FloorPhoto: {"clock_s": "[0, 7200]", "along_m": "(0, 100]", "deep_m": "(0, 100]"},
    sighted.SkylineTrace: {
        "bearing_deg": BEARING,
        "across_deg": "(1, 170)",
        "equivalent_mm": "(2, 3000]",
        "tilt_deg": "[-80, 80]",
    },
    sounds.RecordingRecord: {"calibration_db": "[-50, 250]"},
}
# lists of points and of bands, whose numbers are those of the fields above; numbers that
# the database gives
OTHERS = {
    "path",
    "others",
    "skyline",
    "plan_m",
    "near",
    "far",
    "boom",
    "lab",
    "bands_db",
    "photo_id",
    "again_id",
}
LISTS = {"focal_lengths_mm": 1, "values": 60, "at_m": 3, "aim_m": 3, "subject": 3, "camera": 3}
LISTS["subject_normal"] = 3
IN_PLAN = (sheet.Furniture, plan.PlannedBlock)  # whose `at_m` has no height


def refused(kind: type[Record], field: str, value: float) -> bool:
    """Whether a record refuses a value of one of its numbers, whatever else it lacks."""
    given: Any = value
    if field in LISTS:
        given = [value] * (2 if kind in IN_PLAN else LISTS[field])
    try:
        kind.read({field: given})
    except RefusedMany as error:
        return any(one.path.startswith(field) for one in error.refusals)
    return False


def beyond(value: float, way: int, *, whole: bool) -> float:
    """The next number that can be told from a border."""
    if whole:
        return int(value) + way
    return math.nextafter(value, math.inf * way) if value else way * 1e-9


def is_whole(kind: type[Record], field: str) -> bool:
    def inside(annotation: Any) -> bool:
        return annotation is int or any(map(inside, get_args(annotation)))

    return inside(kind.model_fields[field].annotation)


@pytest.mark.parametrize(
    ("kind", "field", "span"),
    [(kind, field, span) for kind, fields in TABLE.items() for field, span in fields.items()],
)
def test_a_number_is_taken_up_to_its_borders(kind: type[Record], field: str, span: str) -> None:
    whole = is_whole(kind, field)
    low, high = (float(end) for end in span[1:-1].split(","))
    low, high = (int(low), int(high)) if whole else (low, high)
    outside, inside = beyond(low, -1, whole=whole), beyond(low, 1, whole=whole)
    assert refused(kind, field, low) is (span[0] == "(")
    assert refused(kind, field, outside)
    assert not refused(kind, field, inside)
    outside, inside = beyond(high, 1, whole=whole), beyond(high, -1, whole=whole)
    assert refused(kind, field, high) is (span[-1] == ")")
    assert refused(kind, field, outside)
    assert not refused(kind, field, inside)


def _bounded(annotation: Any) -> bool:
    marks = getattr(annotation, "__metadata__", ())
    parts = chain.from_iterable(
        getattr(mark, "metadata", [mark]) if not isinstance(mark, bounds.BaseMetadata) else [mark]
        for mark in marks
    )
    ends = (bounds.Gt, bounds.Ge, bounds.Lt, bounds.Le)
    return any(isinstance(part, ends) for part in parts) or any(map(_bounded, get_args(annotation)))


def test_no_bounded_number_is_left_out() -> None:
    missing = []
    for module in (kit, kept, sheet, plan, sighted, sounds):
        for kind in vars(module).values():
            if not (isinstance(kind, type) and issubclass(kind, Record)):
                continue
            for name, field in kind.model_fields.items():
                annotation = Annotated[field.annotation, *field.metadata, None]
                known = any(
                    name in fields
                    for one, fields in TABLE.items()
                    if issubclass(kind, one) or issubclass(one, kind)
                )
                if _bounded(annotation) and not known and name not in OTHERS:
                    missing.append(f"{kind.__name__}.{name}")
    assert not missing, "\n".join(sorted(set(missing)))


def test_what_is_taken_of_a_record_that_does_not_say() -> None:
    # as decided
    photo = kept.PhotoRecord.read({})
    assert (photo.position, photo.in_packet) == (0, True)
    assert kept.HeightNeed.read({"topic": "height", "strength": "wish", "height_m": 3}).weight == 3
    assert kept.CandidateRecord.read({}).state == "proposed"
    assert kept.NoteRecord.read({"text": "a"}).audience == "crew"
    assert sounds.RecordingRecord.read({}).purpose == "room"
