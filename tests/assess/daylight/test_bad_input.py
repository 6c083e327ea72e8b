"""What people give that is odd, far away or wrong: skylines of every order, poles, far dates,
openings that cannot be.
"""

from __future__ import annotations

import json
import random
from datetime import UTC, date, datetime
from typing import Any

import pytest

from scout.assess.answers import as_json
from scout.assess.daylight import findings as daylight
from scout.assess.daylight.mark.contrast import window_contrast
from scout.assess.daylight.mark.grid import daylight_grid
from scout.assess.daylight.sun.outdoors import reflector, sun_as_light
from scout.assess.daylight.sun.touch import sun_touches
from scout.assess.daylight.sun.year import steady_blocks, year_carpet
from scout.errors import RefusedMany
from scout.records.sheet import RoomSheet
from scout.values import Figure, Name, said
from tests.assess.daylight.test_daylight import JUNE, sheet

CAMERA: dict[str, Any] = {
    "marks__camera": [2.0, 0.6, 1.2],
    "kit__camera": {
        "iso": 800,
        "f_number": 2.8,
        "shutter_s": 0.02,
        "sensor_width_mm": 24.9,
        "sensor_height_mm": 14.0,
        "focal_lengths_mm": [24],
        "latitude_stops": 5,
    },
}
OUTDOORS = {"room__setting": "exterior", "room__windows": None, "room__height_m": None}


def skyline(*points: tuple[float, float]) -> list[dict[str, float]]:
    return [{"bearing_deg": bearing, "elevation_deg": elevation} for bearing, elevation in points]


def everything(there: RoomSheet, on: date) -> str:
    """Every answer of daylight over one sheet, as JSON: none may raise, none may hold a number that
    is not finite.
    """
    at = datetime(on.year, on.month, on.day, 12, tzinfo=UTC)
    answers = [
        daylight.marks(there, on),
        daylight.windows(there, on),
        sun_touches(there, on),
        window_contrast(there, on),
        sun_as_light(there, on),
        reflector(there, at),
        steady_blocks(there, [on]),
        daylight_grid(there, 1.0),
    ]
    return json.dumps(as_json(answers), allow_nan=False)


def test_a_skyline_of_one_point_stands_all_round_and_says_so() -> None:
    one = sheet(**CAMERA, room__windows__0__skyline=skyline((200, 20)))
    (row,) = daylight.windows(one, JUNE)
    assert said("sun.one_point", window=Name("W1"), height=Figure(20, "deg")) in row.assumed
    (ring,) = daylight.windows(
        sheet(**CAMERA, room__windows__0__skyline=skyline((0, 20), (90, 20), (180, 20), (270, 20))),
        JUNE,
    )
    assert row.direct_sun == ring.direct_sun
    assert "the skyline of W1 has one point: 20.0\\u00b0 is taken all round" in everything(
        one, JUNE
    )


def test_the_order_of_a_skyline_and_where_it_is_cut_do_not_matter() -> None:
    # property: the same points shuffled, or with north in their middle, are the same skyline.
    points = [(100.0, 12.0), (150.0, 35.0), (190.0, 8.0), (240.0, 22.0), (350.0, 3.0), (10.0, 5.0)]
    wanted = daylight.marks(sheet(**CAMERA, room__windows__0__skyline=skyline(*points)), JUNE)
    spells = daylight.windows(sheet(**CAMERA, room__windows__0__skyline=skyline(*points)), JUNE)[
        0
    ].direct_sun
    for seed in range(3):
        mixed = points[:]
        random.Random(seed).shuffle(mixed)
        there = sheet(**CAMERA, room__windows__0__skyline=skyline(*mixed))
        assert daylight.windows(there, JUNE)[0].direct_sun == spells
        assert (
            daylight.marks(there, JUNE).marks["subject"].daylight_factor_pct
            == wanted.marks["subject"].daylight_factor_pct
        )


def test_a_skyline_that_wraps_north_shades_a_north_window() -> None:
    north = {"room__facing": {"wall": "A", "bearing_deg": 0, "north": "true", "accuracy_deg": 1}}
    free = daylight.windows(sheet(**CAMERA, **north), JUNE)[0]
    # The midsummer sun rises at about 48 and sets at about 312: a wall from 300 through north to 60
    # hides it early and late.
    held = daylight.windows(
        sheet(
            **CAMERA,
            **north,
            room__windows__0__skyline=skyline((300, 30), (60, 30), (61, 0), (299, 0)),
        ),
        JUNE,
    )[0]
    assert free.direct_sun_min is not None
    assert held.direct_sun_min is not None
    assert held.direct_sun_min < free.direct_sun_min - 60
    assert free.direct_sun[0][0] < held.direct_sun[0][0]


@pytest.mark.parametrize("on", [date(1850, 6, 21), date(3000, 6, 21)])
@pytest.mark.parametrize("place", [{}, OUTDOORS], ids=["room", "outdoors"])
def test_far_dates_have_answers(on: date, place: dict[str, Any]) -> None:
    # A compass that was read in a year no model knows stays unknown; read from true north, there is
    # nothing to correct.
    true = {"room__facing": {"wall": "A", "bearing_deg": 180, "north": "true"}}
    assert "NaN" not in everything(sheet(**CAMERA, **place, **true), on)


def test_a_carpet_of_1850_and_of_a_leap_year() -> None:
    true = {"room__facing": {"wall": "A", "bearing_deg": 180, "north": "true"}}
    assert year_carpet(sheet(**CAMERA, **true), 1850, step_min=60).clear_lux is not None
    assert len(year_carpet(sheet(**CAMERA, **true), 2028, step_min=60).dates) == 366
    skipped = {
        "location__timezone": "Pacific/Apia",
        "location__latitude_deg": -13.8,
        "location__longitude_deg": -171.8,
    }
    apia = year_carpet(sheet(**CAMERA, **true, **skipped), 2011, step_min=60)
    assert apia.there is not None
    assert not apia.there[
        apia.dates.index(date(2011, 12, 30))
    ].any()  # the date the islands skipped


@pytest.mark.parametrize("latitude", [90.0, -90.0, 89.9999])
@pytest.mark.parametrize("place", [{}, OUTDOORS], ids=["room", "outdoors"])
def test_the_poles_have_answers(latitude: float, place: dict[str, Any]) -> None:
    true = {
        "room__facing": {"wall": "A", "bearing_deg": 180, "north": "true"}
    }  # a compass is of no use there
    there = sheet(
        **CAMERA,
        **place,
        **true,
        location__latitude_deg=latitude,
        location__longitude_deg=0.0,
        location__timezone="UTC",
    )
    for on in (date(2026, 6, 21), date(2026, 12, 21), date(2026, 3, 20)):
        everything(there, on)
    assert year_carpet(there, 2026, step_min=60).up is not None


@pytest.mark.parametrize(
    "change",
    [
        {"room__facing": None},
        {"marks": {}},
        {"marks": {"subject": [2.0, 2.5, 1.2]}},
        {"kit": {}},
        {"location": {}},
        {"room__windows": []},
        {"room__surfaces": {}},
        {"room__height_m": None},
        {"room__windows__0__covering": "blackout"},
        {"room__windows__0__transmittance": 0.0},
        {"room__setting": "covered"},
        OUTDOORS,
        {**OUTDOORS, "room__facing": None},
    ],
)
def test_whatever_is_missing_nothing_fails(change: dict[str, Any]) -> None:
    text = everything(
        sheet(**{**CAMERA, **change})
        if not any(key in change for key in ("marks", "kit"))
        else sheet(**change),
        JUNE,
    )
    assert "unknown" in text


@pytest.mark.parametrize(
    ("change", "path"),
    [
        ({"room__windows__0__height_m": 2.5}, "height_m"),
        ({"room__windows__0__sill_m": 3.2}, "sill_m"),
        ({"room__windows__0__overhang_gap_m": -0.1}, "overhang_gap_m"),
        ({"room__windows__0__reveal_m": -1}, "reveal_m"),
        (
            {"room__windows__0__skyline": [{"bearing_deg": 10, "elevation_deg": 91}]},
            "elevation_deg",
        ),
        ({"room__windows__0__transmittance": 1.2}, "transmittance"),
        ({"location__latitude_deg": 91}, "latitude_deg"),
    ],
)
def test_what_cannot_be_is_refused_by_its_path(change: dict[str, Any], path: str) -> None:
    with pytest.raises(RefusedMany) as refused:
        sheet(**change)
    assert any(path in refusal.path for refusal in refused.value.refusals)
