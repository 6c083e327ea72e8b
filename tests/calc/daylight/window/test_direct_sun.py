"""Spells of direct sun through a window: the doubt of a bearing, skylines, reveals, overhangs and
the room's own wings.
"""

from __future__ import annotations

from datetime import date, datetime
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scout.calc.daylight.outside.skyline import skyline_deg
from scout.calc.daylight.place.local_date import spans_of_date
from scout.calc.daylight.sun.position import sun_position
from scout.calc.daylight.window.direct_sun import DirectSun, direct_sun
from scout.calc.daylight.window.pane import Pane, Wings, lit_rectangle, turned_deg
from scout.calc.daylight.window.sun_patches import sun_through
from scout.calc.geometry import rectangle_m
from scout.errors import OutOfRange

LONDON, LA = "Europe/London", "America/Los_Angeles"
PANE = Pane(0, 1.0, 0.9, 2.0, 1.5, reveal_m=0.12)
CAMBRIDGE = (52.2, 0.12)

# Source: SPA at 1 s steps (azimuth interpolated between 10 s samples), sun's centre, -0.8333
# horizon, reveal 0.12; tolerance 10 s.
# Rows: place, zone, date, bearing, then the spells 5 degrees left, as read, 5 degrees right.
DOUBT = [
    (
        CAMBRIDGE,
        LONDON,
        "2026-06-21",
        182.6,
        "08:25:07-17:13:58",
        "08:49:40-17:38:34",
        "09:13:56-18:04:11",
    ),
    (
        (34.05, -118.24),
        LA,
        "2026-03-20",
        270.0,
        "13:04:22-19:04:44",
        "13:15:30-19:04:44",
        "13:26:39-19:04:44",
    ),
    (
        CAMBRIDGE,
        LONDON,
        "2026-06-21",
        0.0,
        "04:38:09-07:35:58 17:34:55-21:24:31",
        "04:38:09-08:02:17 18:00:24-21:24:31",
        "04:38:09-08:27:46 18:26:43-21:24:31",
    ),
    (
        CAMBRIDGE,
        LONDON,
        "2026-12-21",
        182.6,
        "08:06:22-15:48:48",
        "08:06:22-15:48:48",
        "08:06:22-15:48:48",
    ),
]


def spells_of(text: str, zone: str, day: str) -> list[tuple[float, ...]]:
    def instant(clock: str) -> float:
        return datetime.fromisoformat(f"{day}T{clock}").replace(tzinfo=ZoneInfo(zone)).timestamp()

    return [tuple(instant(clock) for clock in spell.split("-")) for spell in text.split()]


def sun_in(
    place: tuple[float, float],
    zone: str,
    day: str,
    facing: float,
    pane: Pane = PANE,
    doubt: float = 0.0,
    skyline: list[tuple[float, float]] | None = None,
    wings: Wings | None = None,
) -> DirectSun:
    spans = spans_of_date(date.fromisoformat(day), ZoneInfo(zone))
    return direct_sun(
        pane,
        facing,
        spans,
        latitude_deg=place[0],
        longitude_deg=place[1],
        doubt_deg=doubt,
        skyline=skyline,
        wings=wings,
    )


@pytest.mark.parametrize(("place", "zone", "day", "facing", "left", "read", "right"), DOUBT)
def test_doubt_of_five_degrees(
    place: tuple[float, float], zone: str, day: str, facing: float, left: str, read: str, right: str
) -> None:
    for turn, text in ((-5, left), (0, read), (5, right)):
        got = sun_in(place, zone, day, facing + turn).spells
        assert [t for spell in got for t in spell] == pytest.approx(
            [t for spell in spells_of(text, zone, day) for t in spell], abs=10
        )
    ranged = sun_in(place, zone, day, facing, doubt=5.0)
    cases = [spells_of(text, zone, day) for text in (left, read, right)]
    for number, found in enumerate(ranged.ranges):
        starts, ends = [case[number][0] for case in cases], [case[number][1] for case in cases]
        assert found.start == pytest.approx((min(starts), max(starts)), abs=10)
        assert found.end == pytest.approx((min(ends), max(ends)), abs=10)
        assert not found.may_fail


def test_a_spell_that_only_another_bearing_gives_is_told() -> None:
    # property: a north window in winter gets no sun as read; turned far enough to the east it gets
    # the sunrise.
    found = sun_in(CAMBRIDGE, LONDON, "2026-12-21", 30.0, doubt=20.0)
    assert found.spells == ()
    assert len(found.elsewhere) == 1
    turned = sun_in(CAMBRIDGE, LONDON, "2026-12-21", 50.0, doubt=20.0)
    assert len(turned.spells) == 1
    assert turned.ranges[0].may_fail


def test_ends_are_roots_not_samples() -> None:
    # property: at each end the lit condition changes within a tenth of a second.
    for facing in (100.0, 182.6, 275.0):
        for start, end in sun_in(CAMBRIDGE, LONDON, "2026-04-10", facing).spells:
            for t, inward in ((start, 0.1), (end, -0.1)):

                def lit(at: float, facing: float = facing) -> bool:
                    sun = sun_position([at], latitude_deg=CAMBRIDGE[0], longitude_deg=CAMBRIDGE[1])
                    part = lit_rectangle(
                        PANE, turned_deg(sun.azimuth_deg, facing), sun.elevation_deg
                    )
                    return bool(sun.geometric_elevation_deg[0] > -0.8333 and part.area_m2[0] > 0)

                assert lit(t + inward)
                assert not lit(t - inward)


def test_skyline_cuts_the_spell_where_the_sun_meets_it() -> None:
    # property: at the new end the refracted sun stands on the skyline, here a straight slope from
    # 10 to 30 degrees.
    skyline = [(150.0, 10.0), (260.0, 30.0)]
    free, cut = (
        sun_in(CAMBRIDGE, LONDON, "2026-03-20", 182.6),
        sun_in(CAMBRIDGE, LONDON, "2026-03-20", 182.6, skyline=skyline),
    )
    assert cut.spells[0][1] < free.spells[-1][1]
    sun = sun_position([cut.spells[0][1]], latitude_deg=CAMBRIDGE[0], longitude_deg=CAMBRIDGE[1])
    assert sun.elevation_deg[0] == pytest.approx(
        10 + 20 * (sun.azimuth_deg[0] - 150) / 110, abs=0.001
    )


def test_a_notch_in_the_skyline_gives_a_spell_of_its_own() -> None:
    # property: a slot 2 degrees wide in a wall of 89 degrees lets the sun in once, for as long as
    # it crosses the slot.
    skyline = [(0.0, 89.0), (179.0, 89.0), (179.0, 0.0), (181.0, 0.0), (181.0, 89.0), (359.0, 89.0)]
    (spell,) = sun_in(CAMBRIDGE, LONDON, "2026-03-20", 180.0, skyline=skyline).spells
    sun = sun_position(list(spell), latitude_deg=CAMBRIDGE[0], longitude_deg=CAMBRIDGE[1])
    assert sun.azimuth_deg == pytest.approx([179, 181], abs=0.01)


@pytest.mark.parametrize(
    ("skyline", "bearing", "want"),
    [
        ([(150, 12), (200, 25)], 175, 18.5),  # by hand: half way
        ([(200, 25), (150, 12)], 175, 18.5),  # property: order does not matter
        ([(350, 10), (10, 20)], 0, 15.0),  # by hand: half way round through north
        ([(350, 10), (10, 20)], 355, 12.5),
        ([(90, 7)], 300, 7.0),
        ([(360, 4), (180, 8)], 0, 4.0),
        (
            [(150, 12), (200, 25)],
            20,
            12 + 13 * (130 / 310),
        ),  # by hand: the long way from 200 to 150, 310 degrees; 20 lies 130 before 150
    ],
)
def test_skyline_between_its_points(
    skyline: list[tuple[float, float]], bearing: float, want: float
) -> None:
    assert skyline_deg(skyline, bearing) == pytest.approx(want)


def test_overhang_and_reveal_shut_out_a_high_sun() -> None:
    # by hand: reveal 0, overhang 1.5 m at the head over a 1 m pane: dark when tan P > 1 / 1.5, P >
    # 33.69 degrees. On 12 March the sun
    # crosses that profile twice: at noon P = h = 90 - 52.2 - 3.4 = 34.4, and less before and after.
    pane = Pane(0, 1, 0.9, 2, 1.0, overhang_m=1.5)
    spells = sun_in(CAMBRIDGE, LONDON, "2026-03-12", 180.0, pane).spells
    assert len(spells) == 2
    sun = sun_position(
        [spells[0][1], spells[1][0]], latitude_deg=CAMBRIDGE[0], longitude_deg=CAMBRIDGE[1]
    )
    profile = np.degrees(
        np.arctan2(np.tan(np.radians(sun.elevation_deg)), np.cos(np.radians(sun.azimuth_deg - 180)))
    )
    assert profile == pytest.approx([33.69, 33.69], abs=0.01)
    summer = sun_in(CAMBRIDGE, LONDON, "2026-06-21", 180.0, pane).spells
    assert (
        summer == ()
    )  # by hand: whenever it faces the wall the June sun at 52 N has P over 61 degrees


L_PLAN = np.array([(0.0, 6.0), (3.0, 6.0), (3.0, 2.5), (7.0, 2.5), (7.0, 0.0), (0.0, 0.0)])


def test_own_wing_shades_the_inner_corner_window() -> None:
    # Wall D of the L (2.5 m up its plan, facing up) has the tall leg on its left outside: with that
    # wall facing south the leg stands
    # to the east. property: the spells are those instants in which the patches' own clipping says
    # some glass is lit.
    pane = Pane(2, 0.3, 0.9, 1.0, 1.2)
    wings = Wings(L_PLAN, 2, 2.7)
    assert wings
    open_air = sun_in(CAMBRIDGE, LONDON, "2026-03-20", 180.0, pane)
    shaded = sun_in(CAMBRIDGE, LONDON, "2026-03-20", 180.0, pane, wings=wings)
    assert shaded.total_s < open_air.total_s - 1800
    for at in np.linspace(open_air.spells[0][0] + 60, open_air.spells[-1][1] - 60, 150):
        sun = sun_position([at], latitude_deg=CAMBRIDGE[0], longitude_deg=CAMBRIDGE[1])
        share = sun_through(
            L_PLAN,
            2.7,
            pane,
            facing_deg=180,
            azimuth_deg=sun.azimuth_deg[0],
            elevation_deg=sun.elevation_deg[0],
        ).lit_share
        lit = any(start <= at <= end for start, end in shaded.spells)
        assert lit == (share > 0) or share < 0.01


def test_a_box_has_no_wings() -> None:
    assert not Wings(rectangle_m(4, 5), 0, 3.0)


@settings(max_examples=25, deadline=None)
@given(st.floats(-66, 66), st.floats(0, 360), st.dates(date(2000, 1, 1), date(2040, 1, 1)))
def test_the_sun_is_up_and_in_front_in_every_spell(
    latitude: float, facing: float, on: date
) -> None:
    # property: the middle of a spell has the sun up and before the wall, and the spells lie apart
    # and in order.
    spans = spans_of_date(on, ZoneInfo("UTC"))
    found = direct_sun(PANE, facing, spans, latitude_deg=latitude, longitude_deg=0.0)
    flat = [t for spell in found.spells for t in spell]
    assert flat == sorted(flat)
    for start, end in found.spells:
        sun = sun_position([(start + end) / 2], latitude_deg=latitude, longitude_deg=0.0)
        assert sun.geometric_elevation_deg[0] > -0.8333
        assert abs(turned_deg(sun.azimuth_deg, facing)[0]) < 90


def test_bad_panes_and_skylines_are_refused_by_name() -> None:
    with pytest.raises(OutOfRange, match="overhang_gap_m"):
        Pane(0, 0, 0, 1, 1, overhang_gap_m=-0.1)
    with pytest.raises(OutOfRange, match="skyline"):
        skyline_deg([], 0.0)
    with pytest.raises(OutOfRange, match="elevation_deg"):
        skyline_deg([(10, 95)], 0.0)
