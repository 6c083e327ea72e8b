"""Light on the side of a mark that the camera sees, indoors and out: closed forms, a numerical sum,
and what must hold.
"""

from __future__ import annotations

import numpy as np
import pytest

from scout.assess.daylight import findings as daylight
from tests.assess.daylight.test_daylight import JUNE, sheet, why

OUTDOORS = {
    "room__setting": "exterior",
    "room__windows": None,
    "room__height_m": None,
    "room__skyline": [],
}


def test_outdoors_a_face_before_an_overcast_sky_gets_39_62_percent_and_half_the_ground() -> None:
    # Source: (pi / 6 + 4 / 9) / (7 pi / 9) = 39.62 % of the level light on an upright plane; the
    # ground of reflectance q adds 50 q %.
    light = daylight.marks(sheet(**OUTDOORS, marks__camera=[2.0, 0.5, 1.5]), JUNE)
    assert light.marks["subject"].camera_factor_pct == pytest.approx(39.62 + 0.5 * 20, abs=0.02)
    assert light.marks["subject"].daylight_factor_pct == pytest.approx(100, abs=0.01)


def test_outdoors_the_sun_counts_by_its_angle_to_the_face() -> None:
    # by hand: wall A faces about true south, so a face that looks along +y looks south: at noon it
    # gets the sun's cos h, one that looks
    # along -y gets none of it. Sky and ground are the same for both to a few per cent of the sun.
    south = daylight.marks(sheet(**OUTDOORS, marks__subject_normal=[0, 1, 0]), JUNE).marks[
        "subject"
    ]
    north = daylight.marks(sheet(**OUTDOORS, marks__subject_normal=[0, -3, 0]), JUNE).marks[
        "subject"
    ]
    level = daylight.marks(sheet(**OUTDOORS, marks__subject_normal=[0, 0, 2]), JUNE).marks[
        "subject"
    ]
    assert level.camera_clear_lux_noon == pytest.approx(level.clear_lux_noon, rel=1e-6)
    assert south.camera_clear_lux_noon is not None
    assert north.camera_clear_lux_noon is not None
    # Source: IES availability, direct normal at 61.2 degrees: Ext exp(-0.21 / sin h), Ext 123.26
    # klx in midsummer.
    h = np.radians(90 - 52.2 + 23.44)
    sun = 123_260 * np.exp(-0.21 / np.sin(h)) * np.cos(h)
    assert south.camera_clear_lux_noon - north.camera_clear_lux_noon > 0.99 * sun
    assert (
        south.camera_clear_lux_noon - north.camera_clear_lux_noon < 1.25 * sun
    )  # the sky round the sun is brighter too


def test_indoors_a_face_towards_the_window_against_a_numerical_sum() -> None:
    # by hand: a black room; directions spread over the window's rectangle, luminance 3 (1 + 2 sin
    # g) / 7 pi for each lux, cosine to the face.
    black = {
        f"room__surfaces__{name}": {"light_reflectance": 0.0}
        for name in ("A", "B", "C", "D", "floor", "ceiling")
    }
    light = daylight.marks(
        sheet(**black, location__ground_reflectance=0.0, marks__camera=[2.0, 4.9, 1.2]), JUNE
    )
    x, z = np.meshgrid(1.0 + (np.arange(800) + 0.5) / 400, 0.9 + (np.arange(600) + 0.5) / 400)
    way = np.stack([x - 2.0, np.full_like(x, 2.5), z - 1.2], axis=-1)
    distance = np.linalg.norm(way, axis=-1)
    sine, cosine = way[..., 2] / distance, way[..., 1] / distance
    luminance = np.where(sine > 0, 3 * (1 + 2 * sine) / (7 * np.pi), 0.0)
    want = float(np.sum(luminance * cosine * cosine / distance**2) / 400**2)
    assert light.marks["subject"].camera_factor_pct == pytest.approx(100 * want, rel=0.001)


def test_a_back_to_the_window_gets_only_what_the_walls_send() -> None:
    black = {
        f"room__surfaces__{name}": {"light_reflectance": 0.0}
        for name in ("A", "B", "C", "D", "floor", "ceiling")
    }
    dark = daylight.marks(sheet(**black, marks__camera=[2.0, 0.5, 1.2]), JUNE).marks["subject"]
    assert dark.camera_factor_pct == pytest.approx(0.0, abs=1e-9)
    lived_in = daylight.marks(sheet(marks__camera=[2.0, 0.5, 1.2]), JUNE).marks["subject"]
    assert lived_in.camera_factor_pct is not None
    assert 0 < lived_in.camera_factor_pct < lived_in.daylight_factor_pct  # type: ignore[operator]


def test_the_need_of_the_camera() -> None:
    # Source: ISO 2720, E = C N^2 / (t S) = 250 x 2.8^2 / (0.02 x 800) = 122.5 lux
    light = daylight.marks(sheet(marks__camera=[2.0, 0.5, 1.2]), JUNE)
    assert light.needed_lux == pytest.approx(122.5)
    for point in light.marks["subject"].series:
        assert (point.camera_overcast_lux is None) == (point.overcast_lux is None)


def test_without_a_camera_mark_the_side_is_unknown_and_the_level_light_is_not() -> None:
    row = daylight.marks(sheet(), JUNE).marks["subject"]
    assert row.camera_factor_pct is None
    assert why(row.camera_unknown) == ("light.no_side", "marks.camera")
    assert row.daylight_factor_pct is not None


def test_a_camera_straight_above_has_no_level_side() -> None:
    row = daylight.marks(
        sheet(marks__camera=[2.0, 0.5, 2.9], marks__path=[[2.0, 0.5, 1.0]]), JUNE
    ).marks["path 1"]
    assert why(row.camera_unknown) == ("light.straight_up",)


def test_outdoors_without_facing_the_side_is_unknown() -> None:
    row = daylight.marks(
        sheet(**OUTDOORS, room__facing=None, marks__camera=[2.0, 0.5, 1.5]), JUNE
    ).marks["subject"]
    assert row.camera_factor_pct is None
    assert why(row.camera_unknown) == ("light.no_side", "room.facing")
