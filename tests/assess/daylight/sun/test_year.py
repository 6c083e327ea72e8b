"""A year's carpet and steady blocks: held to the day's own answer, to clocks, and to what must hold
of any run.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scout.assess.daylight import findings as daylight
from scout.assess.daylight.sun.year import STEADY_STEP_S, _reach, steady_blocks, year_carpet
from scout.errors import Refused
from tests.assess.daylight.test_daylight import codes, sheet, why

CAMERA: dict[str, Any] = {"marks__camera": [2.0, 0.8, 1.4], "marks__subject_normal": [0, 1, 0]}
LONDON = ZoneInfo("Europe/London")


def test_the_carpet_says_of_a_day_what_the_day_says() -> None:
    # property: two ways to one answer; the day is worked out instant by instant, the year from a
    # table.
    year = year_carpet(sheet(**CAMERA), 2026, step_min=30)
    assert year.clear_lux is not None
    assert year.overcast_lux is not None
    for on in (date(2026, 1, 15), date(2026, 3, 29), date(2026, 6, 21), date(2026, 10, 25)):
        row = daylight.marks(sheet(**CAMERA), on).marks["subject"]
        at = {point.at.replace(tzinfo=None): point for point in row.series if point.at.fold == 0}
        k = year.dates.index(on)
        compared = 0
        for j in range(48):
            point = at.get(datetime(on.year, on.month, on.day) + timedelta(minutes=30 * j + 15))  # noqa: DTZ001 - as the clock shows it
            if point is None or point.camera_clear_lux is None or point.camera_clear_lux < 20:
                continue
            compared += 1
            assert year.clear_lux[k, j] == pytest.approx(point.camera_clear_lux, rel=0.12)
            assert year.overcast_lux[k, j] == pytest.approx(point.camera_overcast_lux, rel=1e-3)
            assert year.sun_on_mark is not None
            assert year.sun_on_mark[k, j] == point.in_direct_sun
        assert compared > 10


def test_sun_on_the_mark_is_the_sum_of_the_days() -> None:
    # property: hours of sun on the mark in June, from the carpet, are those of its days' own series
    # within a quarter of an hour a day.
    year = year_carpet(sheet(**CAMERA), 2026)
    assert year.sun_on_mark is not None
    for on in (date(2026, 11, 3), date(2026, 12, 21)):
        lit = sum(
            bool(point.in_direct_sun)
            for point in daylight.marks(sheet(**CAMERA), on).marks["subject"].series
        )
        assert abs(int(year.sun_on_mark[year.dates.index(on)].sum()) - lit) <= 1


@pytest.mark.parametrize(
    "change",
    [
        {},
        {"room__windows__0__reveal_m": 0.4, "room__windows__0__overhang_m": 0.8},
        {
            "room__windows__0__skyline": [
                {"bearing_deg": 170, "elevation_deg": 40},
                {"bearing_deg": 200, "elevation_deg": 5},
            ]
        },
    ],
    ids=["plain", "reveal and overhang", "skyline"],
)
def test_sun_in_a_window_is_its_spells_of_each_day(change: dict[str, Any]) -> None:
    # property: the spells of a day, whose ends are roots, cut into the carpet's cells.
    there = sheet(**CAMERA, **change)
    year = year_carpet(there, 2026, step_min=30)
    for on in (date(2026, 2, 1), date(2026, 6, 21), date(2026, 9, 30)):
        (row,) = daylight.windows(there, on)
        cells = year.sun_in["W1"][year.dates.index(on)]
        for j in range(48):
            middle = datetime(on.year, on.month, on.day, tzinfo=LONDON) + timedelta(
                minutes=30 * j + 15
            )
            assert cells[j] == any(start <= middle < end for start, end in row.direct_sun), (on, j)


def test_hours_the_sun_is_up_in_a_year() -> None:
    # Source: from memory, almanacs: about 4,480 hours at London's latitude (half the year, and
    # refraction's and twilight's 1.1 %).
    year = year_carpet(sheet(**CAMERA), 2026, step_min=10)
    assert year.up is not None
    assert year.there is not None
    assert year.hours(year.up) == pytest.approx(4480, rel=0.01)
    assert (
        year.hours(year.there) == pytest.approx(8759)
        # 365 x 24 less the hour that clocks skip in March; October's second hour is not counted twice
    )


@pytest.mark.parametrize(
    ("zone", "place"),
    [
        ("Pacific/Auckland", (-36.8, 174.8)),
        ("America/St_Johns", (47.5, -52.7)),
        ("Australia/Lord_Howe", (-31.5, 159.1)),
        ("Pacific/Pago_Pago", (-14.3, -170.7)),
        ("Pacific/Kiritimati", (1.9, -157.4)),
        ("Africa/Cairo", (30.0, 31.2)),
    ],
)
def test_cells_are_those_the_clocks_show(zone: str, place: tuple[float, float]) -> None:
    # Source: zoneinfo, asked cell by cell. The carpet puts the sun of that instant in the cell.
    from scout.assess.daylight.mark.planes import plane_at
    from scout.assess.daylight.sun.year import _cells

    changed = {
        "location__timezone": zone,
        "location__latitude_deg": place[0],
        "location__longitude_deg": place[1],
        **CAMERA,
    }
    plane = plane_at(sheet(**changed), date(2026, 7, 1))
    assert not isinstance(plane, str)
    dates = [date(2026, 1, 1) + timedelta(days=k) for k in range(365)]
    at, there = _cells(dates, plane, 60)
    local = ZoneInfo(zone)
    for k, day in enumerate(dates):
        for j in range(24):
            shown = datetime(day.year, day.month, day.day, j, 30, tzinfo=local)
            back = shown.astimezone(UTC).astimezone(local)
            assert there[k, j] == (back.replace(tzinfo=None) == shown.replace(tzinfo=None))
            if there[k, j]:
                assert at[k, j] == shown.timestamp()


def test_a_polar_year_has_its_long_day_and_its_long_night() -> None:
    # Source: from memory: at Tromso the sun stays up from about 19 May to 26 July and down from
    # about 27 November to 15 January.
    tromso = {
        "location__latitude_deg": 69.65,
        "location__longitude_deg": 18.96,
        "location__timezone": "Europe/Oslo",
        **CAMERA,
    }
    year = year_carpet(sheet(**tromso), 2026, step_min=60)
    assert year.up is not None
    assert year.up[year.dates.index(date(2026, 6, 21))].all()
    assert not year.up[year.dates.index(date(2026, 12, 21))].any()


@pytest.mark.parametrize(
    ("change", "because"),
    [
        ({"room__facing": None}, ("unmeasured", "room.facing")),
        (
            {"marks__subject": None, "marks__subject_normal": None},
            ("light.no_mark", "marks.subject"),
        ),
        ({"location__latitude_deg": None}, ("unmeasured", "location.latitude_deg")),
        ({"room__windows": None}, ("unmeasured.many", "room.windows")),
    ],
)
def test_what_is_missing_is_said(change: dict[str, Any], because: tuple[str, ...]) -> None:
    year = year_carpet(sheet(**{**CAMERA, **change}), 2026)
    assert year.clear_lux is None
    assert why(year.unknown) == because
    blocks = steady_blocks(sheet(**{**CAMERA, **change}), [date(2026, 6, 1)])
    assert blocks.unknown == year.unknown


def test_unmeasured_reflectance_is_taken_as_usual() -> None:
    year = year_carpet(sheet(**CAMERA, room__surfaces__D=None), 2026, step_min=60)
    usual = year_carpet(
        sheet(**CAMERA, room__surfaces__D={"light_reflectance": 0.5}), 2026, step_min=60
    )
    assert year.unknown is None
    assert year.clear_lux is not None
    assert np.array_equal(year.clear_lux, usual.clear_lux)  # type: ignore[arg-type]
    assert "light.reflectance_taken" in codes(year.assumed)


@pytest.mark.parametrize(
    ("covering", "hours"), [("none", True), ("sheer", True), ("blind", False), ("blackout", False)]
)
def test_a_window_that_is_shut_has_no_sun_in_the_year(covering: str, hours: bool) -> None:
    year = year_carpet(sheet(**CAMERA, room__windows__0__covering=covering), 2026, step_min=60)
    assert ("W1" in year.sun_in and bool(year.sun_in["W1"].any())) is hours


@pytest.mark.parametrize(("year", "step"), [(999, 15), (3001, 15), (2026, 7), (2026, 0)])
def test_years_and_steps_out_of_reach_are_refused(year: int, step: int) -> None:
    with pytest.raises(Refused):
        year_carpet(sheet(**CAMERA), year, step_min=step)


@given(st.lists(st.floats(0, 1000), min_size=1, max_size=60), st.floats(0.05, 2))
@settings(max_examples=150, deadline=None)
def test_each_run_is_the_longest_that_keeps_within(lux: list[float], within: float) -> None:
    # by hand: every run tried one sample at a time.
    values = np.array([value if value > 0.01 else 0.0 for value in lux])
    ends = _reach(values, within)
    for first in range(len(values)):
        end = first
        while (
            end < len(values)
            and values[end] > 0
            and np.ptp(np.log2(values[first : end + 1])) <= within
        ):
            end += 1
        assert ends[first] == end


def test_blocks_are_steady_long_apart_and_longest_first() -> None:
    days = [date(2026, 6, 1) + timedelta(days=k) for k in range(5)]
    found = steady_blocks(sheet(**CAMERA), days, least_min=45, within_stops=0.4)
    assert found.unknown is None
    assert found.blocks
    for block in found.blocks:
        assert block.minutes >= 45
        assert block.change_stops <= 0.4
        assert block.most_lux / block.least_lux == pytest.approx(2**block.change_stops, rel=0.01)
        series = daylight.marks(sheet(**CAMERA), block.on).marks["subject"].series
        inside = [
            point.camera_clear_lux
            for point in series
            if block.start <= point.at < block.end and point.camera_clear_lux
        ]
        assert (
            max(inside) / min(inside) < 2**0.55
        )  # quarter hours of the day's own answer, which is not read from a table
    held = sorted((block.start, block.end) for block in found.blocks)
    assert all(one[1] <= other[0] for one, other in pairwise(held))
    enough = [block for block in found.blocks if block.enough]
    assert [block.minutes for block in enough] == sorted(
        (block.minutes for block in enough), reverse=True
    )


def test_an_overcast_sky_is_steady_round_noon() -> None:
    # by hand: overcast lux goes as 0.3 + 21 sin h; within half a stop of its top at solar noon, so
    # the longest block holds noon (13:02 BST).
    found = steady_blocks(sheet(**CAMERA), [date(2026, 6, 21)], sky="overcast", within_stops=0.5)
    block = found.blocks[0]
    assert block.start < datetime(2026, 6, 21, 13, 2, tzinfo=LONDON) < block.end
    top, ends = 0.3 + 21 * np.sin(np.radians(61.24)), []
    for at in (block.start, block.end):
        h = daylight.sun_position_at(sheet().location, at).elevation_deg
        assert h is not None
        ends.append(np.log2(top / (0.3 + 21 * np.sin(np.radians(h)))))
    assert max(ends) == pytest.approx(0.5, abs=0.02)
    assert not block.in_direct_sun


def test_a_polar_night_holds_no_block() -> None:
    tromso = {
        "location__latitude_deg": 69.65,
        "location__longitude_deg": 18.96,
        "location__timezone": "Europe/Oslo",
        **CAMERA,
    }
    found = steady_blocks(sheet(**tromso), [date(2026, 12, 20), date(2026, 12, 21)])
    assert found.blocks == ()
    assert found.without == (date(2026, 12, 20), date(2026, 12, 21))


@pytest.mark.parametrize(
    "bad",
    [
        {"dates": []},
        {"least_min": 1},
        {"least_min": float("nan")},
        {"within_stops": 0},
        {"within_stops": 9},
        {"dates": [date(500, 1, 1)]},
        {"dates": [date(2026, 1, 1) + timedelta(days=k) for k in range(500)]},
    ],
)
def test_what_cannot_be_asked_is_refused_by_name(bad: dict[str, Any]) -> None:
    with pytest.raises(Refused):
        steady_blocks(sheet(**CAMERA), **{"dates": [date(2026, 6, 1)], **bad})


def test_step_is_fine_enough_for_the_shortest_block() -> None:
    assert STEADY_STEP_S * 2 <= 5 * 60
