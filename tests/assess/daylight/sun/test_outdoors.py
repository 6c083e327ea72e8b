"""The sun outdoors as key, back light and in the lens, and the reflector that brings it back:
angles checked at every edge.
"""

from __future__ import annotations

from datetime import date, datetime, timedelta
from itertools import chain, pairwise
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from scout.assess.daylight import findings as daylight
from scout.assess.daylight.sun.outdoors import reflector, sun_as_light
from scout.calc.daylight.sun.position import towards
from scout.errors import OutOfRange, Refused
from tests.assess.daylight.test_daylight import JUNE, sheet, why

LONDON = ZoneInfo("Europe/London")
GROUND: dict[str, Any] = {
    "room__setting": "exterior",
    "room__windows": None,
    "room__height_m": None,
    "room__skyline": [],
    "room__facing": {"wall": "A", "bearing_deg": 180, "north": "true", "accuracy_deg": 1},
}
LENS = {
    "iso": 800,
    "f_number": 2.8,
    "shutter_s": 0.02,
    "sensor_width_mm": 24.9,
    "sensor_height_mm": 14.0,
    "focal_lengths_mm": [24],
}
NOON = datetime(2026, 6, 21, 13, 0, tzinfo=LONDON)


def sun(at: datetime) -> tuple[float, float]:
    found = daylight.sun_position_at(sheet().location, at)
    assert found.azimuth_deg is not None
    assert found.elevation_deg is not None
    return found.azimuth_deg, found.elevation_deg


def test_each_spell_ends_at_its_angle() -> None:
    # by hand: wall A looks south, so +y is south and a face that looks along +y looks to 180
    # degrees. Sides as its owner has them: east is left.
    light = sun_as_light(
        sheet(**GROUND, marks__subject_normal=[0, 1, 0], marks__camera=[2.0, 4.5, 1.4]), JUNE
    )
    assert light.looks_deg == 180
    assert light.key_left
    assert light.key_right
    for spells, test in (
        (light.key_left, lambda a, h: -60 <= a <= -30 and 30 <= h <= 60),
        (light.key_right, lambda a, h: 30 <= a <= 60 and 30 <= h <= 60),
        (light.flat, lambda a, h: abs(a) < 30),
        (light.back, lambda a, h: abs(a) > 120 and h <= 60),
    ):
        assert spells
        for start, end in spells:
            for moment, inside in ((start, 60), (end, -60)):
                azimuth, height = sun(moment + timedelta(seconds=inside))
                assert test(azimuth - 180, height)
                azimuth, height = sun(moment - timedelta(seconds=inside))
                assert not test(azimuth - 180, height) or height < -0.8
    assert all(start.hour < 13 for start, _ in light.key_left)
    assert all(start.hour > 13 for start, _ in light.key_right)


def test_the_spells_do_not_overlap_and_lie_between_sunrise_and_sunset() -> None:
    light = sun_as_light(
        sheet(**GROUND, marks__subject_normal=[1, 0, 0], marks__camera=[3.5, 2.5, 1.4]), JUNE
    )
    day = daylight.events(sheet().location, JUNE)
    assert day.sunrise is not None
    assert day.sunset is not None
    for start, end in chain(light.key_left, light.key_right, light.flat, light.back):
        assert (
            day.sunrise - timedelta(minutes=1) <= start < end <= day.sunset + timedelta(minutes=1)
        )
    held = sorted(chain(light.key_left, light.key_right, light.flat, light.back))
    assert all(one[1] <= other[0] for one, other in pairwise(held))


def test_skyline_makes_shade_and_takes_the_rest() -> None:
    walled = {
        **GROUND,
        "room__skyline": [{"bearing_deg": b, "elevation_deg": 70} for b in (90, 269)]
        + [{"bearing_deg": 270, "elevation_deg": 0}, {"bearing_deg": 89, "elevation_deg": 0}],
    }
    light = sun_as_light(
        sheet(**walled, marks__subject_normal=[0, 1, 0], marks__camera=[2.0, 4.5, 1.4]), JUNE
    )
    assert light.key_left == ()
    assert light.flat == ()
    (shade,) = light.shade  # the midsummer sun stands in the east before 8 and passes west after 17
    assert shade[0].hour <= 8 < 17 <= shade[1].hour
    assert light.back  # early and late, over the open north


def test_sun_behind_the_subject_shines_into_the_lens() -> None:
    # property: the camera north of the subject looks south at a face that looks north.
    there = sheet(
        **GROUND,
        marks__subject=[2.0, 3.0, 1.2],
        marks__camera=[2.0, 0.5, 1.4],
        kit__camera=LENS,
    )
    light = sun_as_light(there, JUNE)
    assert light.looks_deg == pytest.approx(0)
    noon = datetime(2026, 6, 21, 13, 0, tzinfo=LONDON)
    # from 61 degrees behind it falls on the crown and leaves the eyes dark: back light ends at 60
    assert not any(start < noon < end for start, end in light.back)
    ends = [end for _, end in light.back if end < noon]
    assert sun(max(ends))[1] == pytest.approx(60, abs=0.2)
    # 61 degrees high it stands far over the frame; in winter, 14 high, it shines into the lens
    assert not any(start < noon < end for start, end in light.in_lens)
    winter = sun_as_light(there, date(2026, 12, 21))
    noon = datetime(2026, 12, 21, 12, 0, tzinfo=LONDON)
    assert any(start < noon < end for start, end in winter.in_lens)
    assert any(start < noon < end for start, end in winter.back)
    assert winter.cautions


def test_reflector_halves_the_angle_and_lands_on_the_subject() -> None:
    # Source: law of reflection. The beam that leaves, 2 (s.n) n - s, must run from the stand to the
    # subject.
    there = sheet(**GROUND, marks__subject_normal=[1, 0, 0], marks__camera=[3.5, 2.5, 1.4])
    aim = reflector(there, NOON)
    assert aim.unknown is None
    assert aim.stand_m is not None
    assert aim.azimuth_deg is not None
    assert aim.tilt_deg is not None
    azimuth, height = sun(NOON)
    s, n = towards(height, azimuth), towards(aim.tilt_deg, aim.azimuth_deg)
    beam = 2 * (s @ n) * n - s
    # by hand: +y is south, so in the plan x to the right is west and y up is south: east = -x,
    # north = -y.
    # the eyes are 1.2 m high, the chest 0.35 m under them (common practice)
    way = np.array([2.0, 2.5, 0.85]) - np.array(aim.stand_m)
    way = np.array([-way[0], -way[1], way[2]])
    assert beam @ (way / np.linalg.norm(way)) == pytest.approx(1, abs=1e-6)
    assert aim.distance_m == pytest.approx(float(np.linalg.norm(way)), abs=0.002)
    assert [one.code for one in aim.cautions] == ["sun.reflector_caution"]


def test_reflector_stands_on_the_dark_side_of_the_face() -> None:
    # The sun at half past nine is left of a face that looks south; the reflector stands to its
    # right, which is west: +x here.
    aim = reflector(
        sheet(**GROUND, marks__subject_normal=[0, 1, 0], marks__camera=[2.0, 4.5, 1.4]),
        datetime(2026, 6, 21, 9, 30, tzinfo=LONDON),
    )
    assert aim.stand_m is not None
    assert aim.stand_m[0] > 2.0
    assert aim.stand_m[1] > 2.5  # before the face, not behind it


def test_drift_is_a_quarter_degree_a_minute_at_the_equinox() -> None:
    # Source: the sky turns 360 degrees in 24 hours; at the equinox the sun rides the equator: 0.25
    # degrees a minute, 0.0175 m a minute at 4 m.
    at = datetime(2026, 3, 20, 12, 0, tzinfo=LONDON)
    aim = reflector(
        sheet(**GROUND, marks__subject_normal=[0, 1, 0], marks__camera=[2.0, 4.5, 1.4]),
        at,
        drift_m=0.1,
    )
    assert aim.reaim_min == pytest.approx(0.1 / (4 * np.radians(0.25)), rel=0.01)
    twice = reflector(
        sheet(**GROUND, marks__subject_normal=[0, 1, 0], marks__camera=[2.0, 4.5, 1.4]),
        at,
        drift_m=0.2,
    )
    assert aim.reaim_min is not None
    assert twice.reaim_min == pytest.approx(2 * aim.reaim_min, rel=0.01)


def test_no_sun_no_reflector() -> None:
    there = sheet(**GROUND, marks__subject_normal=[0, 1, 0], marks__camera=[2.0, 4.5, 1.4])
    night = reflector(there, datetime(2026, 6, 21, 1, 0, tzinfo=LONDON))
    assert why(night.unknown) == ("sun.not_up",)
    walled = sheet(
        **{**GROUND, "room__skyline": [{"bearing_deg": 0, "elevation_deg": 75}]},
        marks__subject_normal=[0, 1, 0],
        marks__camera=[2.0, 4.5, 1.4],
    )
    assert why(reflector(walled, NOON).unknown) == ("sun.behind_skyline",)
    on_it = reflector(there, NOON, stand_m=(2.0, 2.5, 1.2))
    assert on_it.unknown is not None


@pytest.mark.parametrize(
    "bad",
    [
        {"drift_m": 0.0},
        {"drift_m": float("nan")},
        {"distance_m": 0.1},
        {"stand_m": (float("inf"), 0.0, 1.0)},
    ],
)
def test_what_is_out_of_reach_is_refused(bad: dict[str, Any]) -> None:
    with pytest.raises(Refused):
        reflector(sheet(**GROUND, marks__camera=[2.0, 4.5, 1.4]), NOON, **bad)


def test_a_time_without_offset_is_refused() -> None:
    with pytest.raises((Refused, OutOfRange)):
        reflector(sheet(**GROUND, marks__camera=[2.0, 4.5, 1.4]), datetime(2026, 6, 21, 12))  # noqa: DTZ001 - the fault itself


@pytest.mark.parametrize(
    ("change", "because"),
    [
        ({"room__setting": "interior", "room__windows": []}, ("sun.outdoors_only",)),
        ({"room__facing": None}, ("unmeasured", "room.facing")),
        ({"marks__camera": None}, ("light.no_side", "marks.camera")),
        ({"location__latitude_deg": None}, ("unmeasured", "location.latitude_deg")),
        ({"marks__subject_normal": [0, 0, 1]}, ("sun.no_side",)),
    ],
)
def test_what_is_missing_is_said(change: dict[str, Any], because: tuple[str, ...]) -> None:
    light = sun_as_light(
        sheet(**{**GROUND, "marks__camera": [2.0, 4.5, 1.4], **change}), date(2026, 6, 21)
    )
    assert why(light.unknown) == because
