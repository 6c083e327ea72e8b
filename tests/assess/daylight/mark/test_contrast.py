"""A window in frame against the face: luminances worked out by hand, and what is said when facts
are missing.
"""

from __future__ import annotations

from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from scout.assess.daylight import findings as daylight
from scout.assess.daylight.mark.contrast import _said, light_skin, window_contrast
from tests.assess.daylight.test_daylight import JUNE, sheet, why

INTO: dict[str, Any] = {
    "marks__subject": [2.0, 3.0, 1.2],
    "marks__camera": [2.0, 0.6, 1.2],
    "kit__camera": {
        "iso": 800,
        "f_number": 2.8,
        "shutter_s": 0.02,
        "sensor_width_mm": 24.9,
        "sensor_height_mm": 14.0,
        "focal_lengths_mm": [24, 85],
        "latitude_stops": 5,
    },
}


def test_light_skin_is_the_published_patch() -> None:
    # Source: the 24-patch chart, published Y of light skin 35.8 % (illuminant C; a little less
    # under D65).
    assert light_skin() == pytest.approx(0.358, abs=0.01)


def test_overcast_contrast_by_hand() -> None:
    # by hand: an open hole shows the sky's own luminance; from (2, 0.6, 1.2) its directions rise
    # -3.9 to 15.3 degrees, ground below the level.
    (row,) = window_contrast(sheet(**INTO), JUNE).windows
    noon = daylight.marks(sheet(**INTO), JUNE).marks["subject"]
    x, z = np.meshgrid(1.0 + (np.arange(400) + 0.5) / 200, 0.9 + (np.arange(300) + 0.5) / 200)
    way = np.stack([x - 2.0, np.full_like(x, 4.4), z - 1.2], axis=-1)
    distance = np.linalg.norm(way, axis=-1)
    sine = way[..., 2] / distance
    luminance = np.where(
        sine > 0, 3 * (1 + 2 * sine) / (7 * np.pi), 0.2 / np.pi
    )  # for each lux outdoors
    to_middle = np.array([0.0, 4.4, 1.65 - 1.2]) / np.hypot(4.4, 0.45)
    weight = (way @ to_middle) / distance * (way[..., 1] / distance) / distance**2
    outdoors = noon.overcast_lux_noon / noon.daylight_factor_pct * 100  # type: ignore[operator]
    want = float(np.sum(luminance * weight) / np.sum(weight)) * outdoors
    assert row.window_overcast_cd_m2 == pytest.approx(want, rel=0.005)
    face = light_skin() * noon.camera_overcast_lux_noon / np.pi  # type: ignore[operator]
    assert row.face_overcast_cd_m2 == pytest.approx(face, rel=0.001)
    assert row.overcast_stops == pytest.approx(np.log2(want / face), abs=0.02)
    assert row.focal_lengths_mm == (24.0, 85.0)
    assert row.exceeds is True
    assert row.said is not None
    assert row.said["comes"].code == "light.burns"
    most = max(row.overcast_stops or 0.0, row.clear_stops or 0.0)
    assert row.latitude_stops is not None
    assert row.said["comes"]["times"].value == pytest.approx(
        2 ** (most - row.latitude_stops), rel=1e-6
    )


def test_glass_and_sheer_bring_the_window_down_not_the_stops_of_an_empty_sky() -> None:
    # property: what dims the only window dims the face by about as much, so the stops between them
    # hardly move.
    (clear,) = window_contrast(sheet(**INTO), JUNE).windows
    (dim,) = window_contrast(sheet(**INTO, room__windows__0__transmittance=0.4), JUNE).windows
    assert clear.window_overcast_cd_m2 is not None
    assert dim.window_overcast_cd_m2 is not None
    assert dim.window_overcast_cd_m2 == pytest.approx(0.4 * clear.window_overcast_cd_m2, rel=0.02)
    assert dim.overcast_stops == pytest.approx(clear.overcast_stops, abs=0.35)


def test_a_window_behind_the_camera_is_not_in_frame() -> None:
    turned = {**INTO, "marks__subject": [2.0, 0.6, 1.2], "marks__camera": [2.0, 3.0, 1.2]}
    answer = window_contrast(sheet(**turned), JUNE)
    assert answer.unknown is None
    assert answer.windows == ()


def test_at_an_instant_and_by_night() -> None:
    zone = ZoneInfo("Europe/London")
    morning = window_contrast(sheet(**INTO), JUNE, at=datetime(2026, 6, 21, 8, tzinfo=zone))
    assert morning.at == datetime(2026, 6, 21, 8, tzinfo=zone)
    assert (
        morning.windows[0].window_overcast_cd_m2
        < window_contrast(sheet(**INTO), JUNE).windows[0].window_overcast_cd_m2
    )  # type: ignore[operator]
    night = window_contrast(sheet(**INTO), JUNE, at=datetime(2026, 6, 21, 1, tzinfo=zone))
    assert why(night.unknown) == ("light.sun_not_up",)


def test_no_latitude_leaves_the_stops() -> None:
    camera = {key: value for key, value in INTO["kit__camera"].items() if key != "latitude_stops"}
    (row,) = window_contrast(sheet(**{**INTO, "kit__camera": camera}), JUNE).windows
    assert row.overcast_stops is not None
    assert row.exceeds is None
    assert why(row.unknown) == ("light.no_latitude",)
    assert row.said is not None
    assert (row.said.code, row.said["latitude"]) == ("light.window", None)


@pytest.mark.parametrize(
    ("change", "because"),
    [
        ({"room__facing": None}, ("unmeasured", "room.facing")),
        ({"kit__camera": {"iso": 800}}, ("light.no_frame",)),
        ({"room__setting": "exterior", "room__windows": None}, ("light.no_window",)),
    ],
)
def test_what_is_missing_is_said(change: dict[str, Any], because: tuple[str, ...]) -> None:
    answer = window_contrast(sheet(**{**INTO, **change}), JUNE)
    assert answer.windows == ()
    assert why(answer.unknown) == because


def test_no_camera_no_height_no_contrast() -> None:
    for change in ({"marks__camera": None}, {"room__height_m": None}):
        assert window_contrast(sheet(**{**INTO, **change}), JUNE).unknown is not None


@pytest.mark.parametrize(
    ("stops", "code"),
    [
        ((5.0, 5.0), "both_held"),
        ((4.0, 5.1), "may_burn"),
        ((5.1, 5.2), "burns"),
        ((5.1, 4.0), "may_burn"),
    ],
)
def test_what_a_latitude_of_five_stops_holds(stops: tuple[float, float], code: str) -> None:
    message = _said("W1", list(stops), 5.0)
    assert message is not None
    assert message["comes"].code == f"light.{code}"
    assert (message["over"].low, message["over"].high) == (min(stops), max(stops))
