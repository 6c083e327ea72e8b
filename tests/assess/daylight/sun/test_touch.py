"""What the sun touches: spells worked out by hand in a plain box, and held to the day's own
answers.
"""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from scout.assess.daylight import findings as daylight
from scout.assess.daylight.sun.touch import FLARE_DEG, SunTouch, sun_touches
from scout.values import said
from tests.assess.daylight.test_daylight import sheet, why

LONDON = ZoneInfo("Europe/London")
LENS = {
    "kit__camera": {
        "iso": 800,
        "f_number": 2.8,
        "shutter_s": 0.02,
        "sensor_width_mm": 24.9,
        "sensor_height_mm": 14.0,
        "focal_lengths_mm": [24, 50],
    }
}
TRUE_SOUTH = {"room__facing": {"wall": "A", "bearing_deg": 180, "north": "true", "accuracy_deg": 1}}
WINTER, SUMMER = date(2026, 12, 21), date(2026, 6, 21)


def at(on: date, hour: int, minute: int) -> datetime:
    return datetime(on.year, on.month, on.day, hour, minute, tzinfo=LONDON)


def test_the_subject_is_lit_when_the_ray_back_to_the_sun_leaves_through_the_window() -> None:
    # by hand: subject at (2.0, 2.5, 1.2), window 1-3 along, 0.9-2.4 up, 2.5 m off: lit while |tan
    # g| < 0.4 and tan h / cos g < 1.2 / 2.5.
    touches = sun_touches(sheet(**TRUE_SOUTH, **LENS, marks__camera=[2.0, 0.5, 1.5]), WINTER)
    (spell,) = touches.subject.spells
    for moment, inside in ((spell[0], 30), (spell[1], -30)):
        for shift, lit in ((inside, True), (-inside, False)):
            sun = daylight.sun_position_at(sheet().location, moment + timedelta(seconds=shift))
            assert sun.azimuth_deg is not None
            assert sun.elevation_deg is not None
            g, h = np.radians(sun.azimuth_deg - 180), np.radians(sun.elevation_deg)
            # Wall A runs left to right as seen from inside: to a person looking south that is west
            # on the right, and x = 0 is its left end.
            along = 2.0 + 2.5 * np.tan(g)
            up = 1.2 + 2.5 * np.tan(h) / np.cos(g)
            assert (1.0 < along < 3.0 and 0.9 < up < 2.4) == lit
    assert touches.subject.total_min == pytest.approx(
        (spell[1] - spell[0]) / timedelta(minutes=1), abs=0.1
    )


def test_the_lens_flares_only_from_the_front_and_the_caution_comes_with_it() -> None:
    into_sun = sun_touches(
        sheet(**TRUE_SOUTH, **LENS, marks__subject=[2.0, 3.5, 1.2], marks__camera=[2.0, 2.5, 1.2]),
        WINTER,
    )
    assert into_sun.lens.spells
    assert [one.code for one in into_sun.cautions] == ["sun.lens_caution"]
    # property: turned round at the same place, the sun comes from behind the camera.
    away = sun_touches(
        sheet(**TRUE_SOUTH, **LENS, marks__subject=[2.0, 1.5, 1.2], marks__camera=[2.0, 2.5, 1.2]),
        WINTER,
    )
    assert away.lens.spells == ()
    assert away.cautions == ()


def test_the_sun_stands_in_frame_within_the_angles_of_the_lens() -> None:
    # by hand: a 24 mm lens on 24.9 x 14 sees 27.4 degrees to each side and 16.3 up; the axis is
    # level and looks true south; at noon the sun is 14.4 high.
    touches = sun_touches(
        sheet(**TRUE_SOUTH, **LENS, marks__subject=[2.0, 3.5, 1.2], marks__camera=[2.0, 2.5, 1.2]),
        WINTER,
    )
    assert touches.lens.sun_in_frame
    for start, end in touches.lens.sun_in_frame:
        sun = daylight.sun_position_at(sheet().location, start + (end - start) / 2)
        assert sun.azimuth_deg is not None
        assert sun.elevation_deg is not None
        assert abs(sun.azimuth_deg - 180) < 27.5
        tangent = np.tan(np.radians(sun.elevation_deg)) / np.cos(np.radians(sun.azimuth_deg - 180))
        assert tangent < 7.0 / 24.0


def test_the_background_is_lit_while_a_patch_lies_in_frame() -> None:
    # property: with the camera at the window looking in, every patch on the far wall is in frame;
    # in midwinter the low sun reaches wall C about noon.
    changed = {
        **TRUE_SOUTH,
        **LENS,
        "marks__subject": [2.0, 2.0, 1.2],
        "marks__camera": [2.0, 4.8, 1.4],
    }
    touches = sun_touches(sheet(**changed), WINTER)
    assert touches.background.focal_length_mm == 24
    assert touches.background.total_min is not None
    assert touches.background.total_min > 60
    noon = at(WINTER, 12, 0)
    assert any(start < noon < end for start, end in touches.background.spells)
    _, rows = daylight.sun_at(sheet(**changed), noon)
    assert any(patch.surface == "C" for patch in rows[0].patches)
    # Turned to the window wall itself, which the sun cannot reach from inside, only the floor near
    # it could be lit, and a tilted-up frame leaves it out.
    up = {**changed, "marks__subject": [2.0, 4.9, 2.5], "marks__camera": [2.0, 4.0, 1.0]}
    assert sun_touches(sheet(**up), WINTER).background.spells == ()


def test_outdoors_the_subject_is_lit_from_sunrise_to_sunset() -> None:
    changed = {
        "room__setting": "exterior",
        "room__windows": None,
        "room__height_m": None,
        "room__skyline": [],
    }
    touches = sun_touches(sheet(**changed, **LENS, marks__camera=[2.0, 0.5, 1.5]), WINTER)
    day = daylight.events(sheet().location, WINTER)
    assert day.day_length_min is not None
    assert touches.subject.total_min == pytest.approx(day.day_length_min, abs=0.1)
    assert touches.background.unknown is not None
    walled = {**changed, "room__skyline": [{"bearing_deg": 0, "elevation_deg": 80}]}
    assert sun_touches(sheet(**walled, **LENS), WINTER).subject.spells == ()


@pytest.mark.parametrize(
    ("change", "because"),
    [
        ({"room__facing": None}, ("unmeasured", "room.facing")),
        ({"room__windows": None}, ("unmeasured.many", "room.windows")),
        ({"room__windows__0__sill_m": None}, ("unmeasured", "windows.W1.sill_m")),
        ({"location__longitude_deg": None}, ("unmeasured", "location.longitude_deg")),
        ({"room__height_m": None}, ("unmeasured", "room.height_m")),
        ({"room__setting": "covered"}, ("sun.open_sides",)),
    ],
)
def test_what_is_missing_is_said(change: dict[str, Any], because: tuple[str, ...]) -> None:
    touches = sun_touches(sheet(**change, marks__camera=[2.0, 0.5, 1.5]), WINTER)
    assert why(touches.unknown) == because
    assert touches.subject.spells == ()


def test_no_marks_and_no_lens() -> None:
    assert why(sun_touches(sheet(), WINTER).lens.unknown) == ("light.no_mark", "marks.camera")
    plain = sun_touches(sheet(marks__camera=[2.0, 0.5, 1.5]), WINTER)
    assert plain.lens.unknown == plain.background.unknown == said("fit.no_lens")


def sun_over_lens(focal_mm: float, away_deg: float) -> tuple[SunTouch, datetime]:
    """Outdoors at noon in midsummer with the camera tilted so that the sun stands so far above the
    frame's upper edge; and the noon.
    """
    day = daylight.events(sheet().location, SUMMER)
    assert day.noon is not None
    sun = daylight.sun_position_at(sheet().location, day.noon)
    assert sun.elevation_deg is not None
    half = float(np.degrees(np.arctan(7.0 / focal_mm)))
    tilt = np.radians(sun.elevation_deg - half - away_deg)
    there = sheet(
        **TRUE_SOUTH,
        **LENS,
        room__setting="exterior",
        room__windows=None,
        room__height_m=None,
        room__skyline=[],
        marks__camera=[2.0, 2.0, 1.5],
        marks__subject=[2.0, 2.0 + float(np.cos(tilt)), 1.5 + float(np.sin(tilt))],
    )
    return sun_touches(there, SUMMER, focal_mm).lens, day.noon


@pytest.mark.parametrize("focal_mm", [24.0, 50.0])
@pytest.mark.parametrize(
    ("away_deg", "flares", "framed"),
    [(-1.0, True, True), (1.0, True, False), (29.5, True, False), (30.5, False, False)],
)
def test_the_lens_flares_within_thirty_degrees_of_the_frame(
    focal_mm: float, away_deg: float, flares: bool, framed: bool
) -> None:
    assert FLARE_DEG == 30.0  # common practice
    lens, noon = sun_over_lens(focal_mm, away_deg)
    assert any(start < noon < end for start, end in lens.spells) is flares
    assert any(start < noon < end for start, end in lens.sun_in_frame) is framed


@pytest.mark.parametrize("covering", ["sheer", "blind", "blackout"])
def test_a_covered_window_lets_no_sun_through(covering: str) -> None:
    touches = sun_touches(
        sheet(
            **TRUE_SOUTH, **LENS, room__windows__0__covering=covering, marks__camera=[2.0, 4.8, 1.4]
        ),
        WINTER,
    )
    assert touches.subject.spells == ()
    assert touches.background.spells == ()
