"""The light on the face as it is turned, and the exposure to start from."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, time
from math import cos, log2, radians, sin
from typing import Any

import pytest

from scout.assess.answers import DaylightAnswer, ExposureAnswer, LuxPoint, MarkDaylight
from scout.assess.fit.fit import fit
from scout.assess.fit.light.exposure import exposure
from scout.assess.setup import Setup
from scout.records.sheet import RoomSheet
from tests.assess.fit.test_findings import found_for
from tests.assess.fit.test_fit import LIGHT, codes, sheet

ON = date(2026, 6, 21)
LONDON = {"latitude_deg": 51.5, "longitude_deg": -0.1, "timezone": "Europe/London"}
NEW_YORK = {"latitude_deg": 40.7, "longitude_deg": -74.0, "timezone": "America/New_York"}


def day_of(*lux: tuple[int, float, float]) -> DaylightAnswer:
    """Daylight on the camera's side of the face by the hour (UTC): hour, overcast, clear."""
    series = tuple(
        LuxPoint(datetime(2026, 6, 21, hour, tzinfo=UTC), 1.0, 1.0, False, overcast, clear)
        for hour, overcast, clear in lux
    )
    noon = lux[len(lux) // 2]
    mark = MarkDaylight(
        daylight_factor_pct=1.0,
        overcast_lux_noon=1.0,
        series=series,
        camera_overcast_lux_noon=noon[1],
        camera_clear_lux_noon=noon[2],
    )
    return DaylightAnswer(marks={"subject": mark}, needed_lux=122.5)


def start(given: RoomSheet, day: DaylightAnswer | None = None, **scene: Any) -> ExposureAnswer:
    day = day or DaylightAnswer()
    return exposure(Setup(given, ON, **scene), fit(given, day), day)


def pinned(across_deg: float, **changes: Any) -> RoomSheet:
    """A key of 9000 lux at 1 m, level with the face and 2 m off, so far round from the lens."""
    turn = radians(across_deg)
    at = [2.5 + 2.0 * sin(turn), 3.0 - 2.0 * cos(turn), 1.2]
    light = {**LIGHT, "at_m": at, "stand_min_m": 1.0}
    return sheet(kit__lights=[light], **changes)


def test_a_key_square_on_the_skin_and_on_the_plane_the_face_looks_along() -> None:
    # by hand: 9000 / 2^2 = 2250 lux square on, dimmed to the 122.5 the camera needs; 45 degrees round
    # the face's own plane has cos 45 of it, and the cheek is square to the lamp
    one = start(pinned(45.0)).lights[0]
    assert one.own_lux == pytest.approx(122.5)
    assert one.face_lux == pytest.approx(122.5 * cos(radians(45)), rel=1e-3)
    assert one.lit_lux == pytest.approx(122.5)


@pytest.mark.parametrize(("across", "share"), [(60.0, 1.0), (90.0, cos(radians(30)))])
def test_beyond_sixty_degrees_no_skin_is_square_to_the_key(across: float, share: float) -> None:
    # by hand: the skin nearest the key looks 60 degrees off the face's way, so at 90 it is 30 off it
    found = start(pinned(across))
    assert found.lights[0].lit_lux == pytest.approx(122.5 * share, rel=1e-3)
    assert found.lit_lux == pytest.approx(122.5 * share, rel=1e-3)


def test_a_face_turned_to_the_key_is_lit_in_full() -> None:
    turned = pinned(90.0, marks__subject_normal=[1.0, 0.0, 0.0])
    assert start(turned).lights[0].face_lux == pytest.approx(122.5, rel=1e-3)
    # and one turned away from it not at all
    away = pinned(90.0, marks__subject_normal=[-1.0, 0.0, 0.0])
    assert start(away).lights[0].face_lux == 0.0


def test_the_exposure_of_a_key_dimmed_to_the_need_is_the_cameras_own() -> None:
    # by hand: ISO 2720 with C = 250 at f/2.8, 1/50 s, ISO 800 is 122.5 lux: nothing over, no ND
    found = start(pinned(45.0, location=LONDON))
    assert (found.iso, found.f_number, found.shutter_s) == (800, 2.8, 0.02)
    assert found.nd_stops == 0.0
    assert codes(found.assumed) == ["fit.cheek", "fit.exposed_without_day"]


def test_daylight_over_the_need_is_taken_off_the_iso_and_then_by_nd() -> None:
    # by hand: 245 overcast + the key left at four times it = 980, 1225 lux in all: log2(1225 / 122.5)
    found = start(pinned(45.0), day_of((10, 245.0, 490.0), (11, 245.0, 980.0), (12, 245.0, 490.0)))
    assert found.day_lux == 245.0
    assert found.key_over_day_stops == pytest.approx(2.0)
    # by hand: three stops of those 3.32 are ISO 800 to ISO 100, the rest a third of a stop of ND
    assert (found.iso, found.nd_stops) == (100.0, pytest.approx(1 / 3))
    lowered = next(one for one in found.assumed if one.code == "fit.iso_lowered")
    assert "3" in str(dict(lowered.values)["stops"])
    # by hand: without hours the day may be gone, 980 lux, or at its most, 1960
    assert found.lit_range_lux == pytest.approx((980.0, 1960.0))
    assert found.nd_range_stops == pytest.approx((0.0, 1.0))
    assert found.lamps_add_stops == pytest.approx(log2(5.0))
    assert found.lamps_add_range_stops is None  # nothing to add to at night


def test_a_lamp_against_the_sun() -> None:
    # by hand: 2250 lux is all the key has; to 36 000 it adds log2(38250 / 36000) = .087 stops, and it
    # stands 4 stops under
    sun = start(pinned(45.0), day_of(*((hour, 36_000.0, 36_000.0) for hour in (10, 11, 12))))
    assert sun.lamps_add_stops == pytest.approx(0.0875, abs=1e-3)
    assert sun.key_over_day_stops == pytest.approx(-4.0)
    # by hand: log2(38250 / 980) = 5.29 stops over ISO 100, 5 1/3 in thirds
    assert (sun.iso, sun.nd_stops) == (100.0, pytest.approx(16 / 3))


@pytest.mark.parametrize(
    ("over", "iso", "nd"),
    [(0.16, 800, 0), (0.18, 640, 0), (0.5, 500, 0), (2.9, 100, 0), (3.16, 100, 0), (3.2, 100, 1)],
)
def test_there_is_no_nd_before_the_lowest_iso_and_none_under_a_third(
    over: float, iso: float, nd: int
) -> None:
    # by hand: ISO 800 needs 122.5 lux; a third of a stop is the step of ISO and of ND
    lux = 122.5 * 2.0**over
    found = start(
        sheet(kit__lights=[], location=LONDON), day_of(*((h, lux, lux) for h in (10, 11, 12)))
    )
    assert (found.iso, found.nd_stops) == (iso, pytest.approx(nd / 3))


def test_the_hours_of_the_scene_bound_the_day() -> None:
    day = day_of((8, 10.0, 20.0), (9, 20.0, 40.0), (10, 30.0, 90.0), (15, 500.0, 900.0))
    morning = start(
        pinned(45.0, location={"timezone": "UTC"}), day, from_time=time(8), until_time=time(10)
    )
    assert morning.day_lux == 20.0
    assert morning.day_range_lux == (10.0, 90.0)
    night = start(
        pinned(45.0, location={"timezone": "UTC"}), day, from_time=time(22), until_time=time(23)
    )
    assert night.day_range_lux == (0.0, 0.0)


@pytest.mark.parametrize(
    ("place", "recorded", "steady"),
    [
        # Source: shutters that hold whole pulses of the mains: 1/50 on 50 Hz, 1/60 on 60 Hz, and 144
        # degrees at 24 frames, which is 1/60; 172.8 degrees is 1/50
        (LONDON, 1 / 50, 1 / 50),
        (LONDON, 1 / 48, 1 / 50),
        (LONDON, 1 / 60, 1 / 50),
        (LONDON, 1 / 125, 1 / 100),
        (NEW_YORK, 1 / 50, 1 / 60),
        (NEW_YORK, 1 / 48, 1 / 40),
        (NEW_YORK, 1 / 60, 1 / 60),
        (LONDON, None, 1 / 50),
        (NEW_YORK, None, 1 / 60),
    ],
)
def test_the_shutter_is_steady_on_the_mains_of_the_place(
    place: dict[str, Any], recorded: float | None, steady: float
) -> None:
    found = start(pinned(45.0, location=place, kit__camera__shutter_s=recorded))
    assert found.shutter_s == pytest.approx(steady)


def test_in_the_sun_the_recorded_shutter_stays() -> None:
    outdoors = sheet(
        room__setting="exterior",
        room__windows=None,
        room__doors=None,
        location=NEW_YORK,
        kit__camera__shutter_s=1 / 50,
    )
    assert start(outdoors).shutter_s == 1 / 50


def test_a_country_nobody_knows_is_said() -> None:
    found = start(pinned(45.0))
    assert found.mains_hz == (50.0, 60.0)
    assert "fit.mains_unknown" in codes(found.assumed)


def test_what_is_not_recorded_of_the_three_is_worked_out() -> None:
    day = day_of(*((hour, 4000.0, 4000.0) for hour in (10, 11, 12)))
    no_stop = start(sheet(kit__lights=[], location=LONDON, kit__camera__f_number=None), day)
    # by hand: N^2 = 4000 x .02 x 800 / 250 = 256, f/16
    assert (no_stop.iso, no_stop.f_number) == (800, 16.0)
    no_iso = start(sheet(kit__lights=[], location=LONDON, kit__camera__iso=None), day)
    # by hand: S = 250 x 7.84 x 50 / 4000 = 24.5, two stops under the lowest of most cameras
    assert (no_iso.iso, no_iso.f_number, no_iso.nd_stops) == (100.0, 2.8, pytest.approx(2.0))
    neither = start(sheet(kit__lights=[], kit__camera__iso=None, kit__camera__f_number=None), day)
    assert neither.iso is None
    assert neither.unknown is not None


def test_too_little_light_raises_the_iso() -> None:
    # by hand: 30.6 lux is two stops under the 122.5 of ISO 800: ISO 3200
    found = start(
        sheet(kit__lights=[], location=LONDON), day_of(*((h, 30.6, 30.6) for h in (10, 11, 12)))
    )
    assert found.iso == 3200
    assert "fit.iso_raised" in codes(found.assumed)
    assert found.nd_stops == 0.0


def test_the_white_balance_of_lamp_and_day() -> None:
    warm = pinned(45.0)
    assert warm.kit is not None
    assert warm.kit.lights is not None
    light = warm.kit.lights[0].model_copy(update={"cct_k": 3200.0})
    warm = warm.model_copy(update={"kit": warm.kit.model_copy(update={"lights": (light,)})})
    alone = start(warm)
    assert alone.white_balance_k == pytest.approx(3200, rel=0.005)
    mixed = start(warm, day_of(*((hour, 245.0, 245.0) for hour in (10, 11, 12))))
    assert mixed.white_balance_k is not None
    assert mixed.white_balance_range_k is not None
    # property: between lamp and day, nearer the key, which is four times as strong
    assert 3200 < mixed.white_balance_k < 4200
    assert mixed.white_balance_range_k[0] == pytest.approx(3200, rel=0.005)  # when the day is gone
    # a lamp of no recorded colour leaves it open, and says which
    blank = start(pinned(45.0), day_of((11, 245.0, 245.0)))
    assert blank.white_balance_k is None
    assert codes(blank.unknown) == ["unmeasured"]


def test_without_a_mark_or_any_light_nothing_is_made_up() -> None:
    assert start(sheet(marks=None)).unknown is not None
    dark = start(sheet(kit__lights=[]), day_of((11, 0.0, 0.0)))
    assert dark.iso is None
    assert dark.unknown is not None
    assert dark.unknown.code == "fit.no_light_on_face"


@pytest.mark.parametrize(
    ("change", "level"),
    [
        ({}, "good"),
        ({"iso": 1600.0}, "good"),  # a stop over the kit's 800 is usual
        ({"iso": 2000.0}, "care"),
        (
            {"nd_stops": 10.0, "nd_range_stops": (9.0, 10.5)},
            "good",
        ),  # the strongest that is carried
        ({"nd_stops": 10.5, "nd_range_stops": (9.0, 11.0)}, "care"),
    ],
)
def test_the_finding_is_care_where_the_setting_is_unusual(
    change: dict[str, Any], level: str
) -> None:
    given = pinned(45.0, location=LONDON)
    usual = ExposureAnswer(iso=800.0, f_number=2.8, shutter_s=0.02, lit_lux=122.5, nd_stops=0.0)
    found = found_for(given, fit={"exposure": replace(usual, **change)})["light.exposure"]
    assert [one.level for one in found] == [level]
    assert "light.exposure" not in found_for(given, fit={"exposure": replace(usual, iso=None)})
