"""The sun-path disc, the year's carpet, the plan of daylight factors, and what the lux chart says
under itself.
"""

from __future__ import annotations

import math
from datetime import date, datetime, timedelta
from typing import Any
from xml.etree import ElementTree
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from scout.assess.answers import DaylightAnswer, LuxPoint, MarkDaylight, WindowSunAnswer, unmeasured
from scout.assess.daylight.sun.sky import clear_opening, sky_of_room
from scout.calc.daylight.window.pane import Pane
from scout.drawing import svg
from scout.drawing.charts.carpet import Carpet, Layer, month_spells, year_carpet
from scout.drawing.charts.factor_grid import FactorGrid, factor_plan, factor_text, level_lines
from scout.drawing.charts.lux import lux_chart
from scout.drawing.charts.sunpath import Disc, elevation_in, sun_path
from scout.drawing.shapes import Drawing, Group, Line, Polyline, bounds, walk
from scout.records.sheet import RoomSheet
from scout.values import Name
from tests.drawing.charts.test_ruler import at, events, texts, window
from tests.drawing.rooms import NASTY, group, parlour

LONDON = {"latitude_deg": 51.5, "longitude_deg": -0.12, "timezone": "Europe/London"}


def sheet(
    location: dict[str, Any] | None = None, marks: dict[str, Any] | None = None, **room: Any
) -> RoomSheet:
    """The parlour as a sheet."""
    plain = parlour(**room).model_dump(mode="json", exclude_none=True)
    given = {
        "schema": "room-sheet/1",
        "location": LONDON if location is None else location,
        "room": plain,
        "marks": {"subject": [2.5, 3.0, 1.2], "camera": [2.5, 0.8, 1.4]}
        if marks is None
        else marks,
    }
    return RoomSheet.read(given)


def sound(drawing: Drawing) -> None:
    """Well formed, within its sheet, and with words."""
    ElementTree.fromstring(svg.render(drawing))
    left, bottom, right, top = bounds(drawing.shapes)
    assert left >= -0.3, left
    assert bottom >= -0.3, bottom
    assert right <= drawing.width_mm + 0.3, right
    assert top <= drawing.height_mm + 0.3, top
    assert len(drawing.description) > 20


# -- what is seen of the sky
# ------------------------------------------------------------------------------------------
def test_a_window_before_the_mark_as_angles() -> None:
    # by hand: from (2.5, 3.0, 1.2) to wall A is 3.5 m; W1 is 1.5 to 3.5 m along it, so 1 m to
    # either side: 2 atan(1 / 3.5) = 31.89 degrees across;
    # its head is 2.4 - 1.2 = 1.2 m up, highest where nearest: atan(1.2 / 3.5) = 18.92; its sill
    # -0.3 m, lowest there: atan(-0.3 / 3.5) = -4.90
    sky = sky_of_room(sheet(), date(2026, 6, 21))
    seen = sky.windows[0]
    assert seen.across_deg == pytest.approx(31.89, abs=0.01)
    assert seen.to_elevation_deg == pytest.approx(18.92, abs=0.01)
    assert seen.from_elevation_deg == pytest.approx(-4.90, abs=0.01)
    # by hand: wall A faces 183; a person at the mark who looks out sees its left end at 183 - 15.95
    # and its right end at 183 + 15.95
    assert [seen.patches[0].low[k][0] for k in (0, -1)] == pytest.approx([167.05, 198.95], abs=0.01)
    assert sky.up_deg == pytest.approx(183.0)


def test_reveal_and_overhang_narrow_what_is_seen() -> None:
    # by hand: eye 2 m before the middle of a pane 2 m wide, reveal 0.5: outer edges at +-1 show on
    # the pane at +-1 * 2 / 2.5 = +-0.8;
    # the outer head, 1 m above the eye, at 1 * 0.8 = 0.8; a slab 1.5 m out from there, at the
    # head's height, at 1 * 2 / (2 + 0.5 + 1.5) = 0.5
    pane = Pane(0, 0.0, 0.5, 2.0, 1.5, reveal_m=0.5)
    assert clear_opening(pane, 1.0, 2.0, 1.0) == pytest.approx((0.2, 1.8, 0.6, 1.8))
    slab = Pane(0, 0.0, 0.5, 2.0, 1.5, reveal_m=0.5, overhang_m=1.5)
    assert clear_opening(slab, 1.0, 2.0, 1.0) == pytest.approx((0.2, 1.8, 0.6, 1.5))
    assert clear_opening(pane, 1.0, 0.0, 1.0) is None  # the eye in the wall's own plane


def test_the_rooms_own_walls_hide_a_window() -> None:
    # by hand: an L of 4 x 4 m with the quarter x > 2, y < 2 cut out; from (1, 0.5) the sight line
    # to the window in wall A at (3, 4) passes (2, 2.25): free;
    # from (1, 0.2) to the window in the right wall at (4, 3) it passes x = 2 at y = 1.13, inside
    # the cut: hidden
    plan = [[0, 4], [4, 4], [4, 2], [2, 2], [2, 0], [0, 0]]
    windows = [
        {"id": "W1", "wall": "A", "offset_m": 2.9, "sill_m": 0.9, "width_m": 0.2, "height_m": 1.0},
        {"id": "W2", "wall": "B", "offset_m": 0.9, "sill_m": 0.9, "width_m": 0.2, "height_m": 1.0},
    ]
    made = sheet(
        marks={"subject": [1.0, 0.2, 1.2]},
        plan_m=plan,
        width_m=None,
        length_m=None,
        windows=windows,
        doors=[],
        outlets=[],
        practicals=[],
    )
    first, second = sky_of_room(made, date(2026, 6, 21)).windows
    assert first.patches
    assert second.unknown is not None
    assert second.unknown.code == "sun.walls_hide"


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"facing": None}, "facing is not measured"),
        ({"location": {"timezone": "Europe/London"}}, "latitude and longitude"),
    ],
)
def test_what_is_not_known_is_said(changes: dict[str, Any], said: str) -> None:
    # property: without facing or place no bearing can be drawn
    sky = sky_of_room(sheet(**changes), date(2026, 6, 21))
    drawing = sun_path("Parlour", sky)
    assert said in drawing.description
    sound(drawing)


# -- the disc
# ---------------------------------------------------------------------------------------------------------
def test_directions_on_the_disc() -> None:
    # by hand: zenith in the middle, horizon on the rim; the bearing that is up points up, one 90
    # degrees clockwise of it to the right
    disc = Disc(30.0, 183.0)
    assert disc.at(10.0, 90.0) == pytest.approx((0.0, 0.0), abs=1e-9)
    assert disc.at(183.0, 0.0) == pytest.approx((0.0, 30.0), abs=1e-9)
    assert disc.at(273.0, 45.0) == pytest.approx((15.0, 0.0), abs=1e-9)
    assert disc.at(183.0, -20.0) == disc.at(183.0, 0.0)  # below the level: held to the rim


@pytest.mark.parametrize(
    ("skyline", "bearing", "expected"),
    [
        # by hand: straight between points, on through north
        ([(350.0, 10.0), (10.0, 30.0)], 0.0, 20.0),
        ([(10.0, 30.0), (350.0, 10.0)], 0.0, 20.0),
        ([(10.0, 30.0), (350.0, 10.0)], 180.0, 20.0),
        ([(90.0, 7.0)], 271.0, 7.0),
        ([(90.0, 7.0), (90.0, 20.0), (100.0, 20.0)], 95.0, 20.0),
    ],
)
def test_skyline_between_its_points(
    skyline: list[tuple[float, float]], bearing: float, expected: float
) -> None:
    assert elevation_in(sorted(skyline), bearing) == pytest.approx(expected)


def test_the_disc_names_hours_windows_and_when_the_sun_reaches_the_mark() -> None:
    made = sheet(
        skyline=None,
        windows=[
            {
                "id": "W1",
                "wall": "A",
                "offset_m": 1.5,
                "sill_m": 0.9,
                "width_m": 2.0,
                "height_m": 1.5,
                "skyline": [
                    {"bearing_deg": 170, "elevation_deg": 6},
                    {"bearing_deg": 175, "elevation_deg": 12},
                ],
            }
        ],
    )
    drawing = sun_path(
        NASTY,
        sky_of_room(made, date(2026, 12, 21)),
        reaching=((at(11, on=date(2026, 12, 21)), at(12, on=date(2026, 12, 21))),),
    )
    sound(drawing)
    # Source: NREL SPA by pvlib: at London on 21 December 2026 at 12:00 UTC the sun stands at
    # bearing 179 to 180, 15.1 to 15.2 degrees high (with refraction)
    assert (
        "12:00 at bearing 179°, 15° high" in drawing.description
        or "12:00 at bearing 180°, 15° high" in drawing.description
    )
    assert "The sun reaches the mark 11:00 to 12:00." in drawing.description
    assert {"W1", "N", "12"} <= set(texts(drawing))
    assert group(drawing, "window-W1")
    heavy = [s for s in group(drawing, "sun-way") if isinstance(s, Polyline)]
    assert max(s.pen.weight_mm for s in heavy) > min(
        s.pen.weight_mm for s in heavy
    )  # told apart without colour


@pytest.mark.parametrize(
    ("latitude", "on"),
    [
        (78.2, date(2026, 12, 21)),
        (78.2, date(2026, 6, 21)),
        (-89.99, date(2026, 12, 21)),
        (0.0, date(2026, 3, 20)),
    ],
)
def test_discs_of_polar_and_equatorial_days(latitude: float, on: date) -> None:
    # property: a day without sun, a day without night and a sun through the zenith are drawings
    # like any other
    sound(
        sun_path(
            "Hut",
            sky_of_room(
                sheet({"latitude_deg": latitude, "longitude_deg": 15.6, "timezone": "UTC"}), on
            ),
        )
    )


# -- the carpet
# -------------------------------------------------------------------------------------------------------
def year(columns: int = 144) -> tuple[tuple[date, ...], np.ndarray[Any, Any]]:
    days = tuple(date(2026, 1, 1) + timedelta(days=k) for k in range(365))
    return days, np.arange(columns)[None, :] * (24.0 / columns) * np.ones((365, 1))


def test_a_carpet_says_its_months_and_keeps_to_its_hours() -> None:
    # by hand: yes from 10:00 to 14:00 on every date but in July; strokes lie between the lines of
    # those hours
    days, hour = year()
    yes = (hour >= 10) & (hour < 14) & np.array([d.month != 7 for d in days])[:, None]
    carpet = Carpet(
        days,
        hour < 6,
        (
            Layer(Name("direct sun on the subject"), yes),
            Layer(Name("enough light"), np.zeros_like(yes)),
        ),
    )
    drawing = year_carpet("The year", carpet, marked=[date(2026, 6, 20)], notes=["A clear sky."])
    sound(drawing)
    assert dict(month_spells(carpet, yes))["15 Jun"] == "10:00 to 14:00"
    assert dict(month_spells(carpet, yes))["15 Jul"] == "none"
    assert "enough light: at no time." in drawing.description
    assert "15 Jun 10:00 to 14:00" in drawing.description
    night = [s for s in group(drawing, "night") if isinstance(s, Line)]
    right = max(x for s in night for x in (s.start[0], s.end[0]))
    layer = [s for s in group(drawing, "layer-1") if isinstance(s, Line)]
    left = min(x for s in layer for x in (s.start[0], s.end[0]))
    assert right < left
    assert not group(drawing, "layer-2")
    assert len(svg.render(drawing)) < 60_000  # a page of it stays light


def test_carpet_edges_follow_the_clock_change() -> None:
    # by hand: an edge at 06:00 UTC stands at 06:00 till 28 March and at 07:00 from 29 March 2026 by
    # London's clocks: one line, with one step
    days, hour = year(24)
    zone = ZoneInfo("Europe/London")
    shift = np.array(
        [
            datetime(d.year, d.month, d.day, 12, tzinfo=zone).utcoffset() == timedelta(hours=1)
            for d in days
        ]
    )
    yes = hour >= (6 + shift)[:, None]
    drawing = year_carpet("The year", Carpet(days, np.zeros_like(yes), (Layer(Name("day"), yes),)))
    edges = [s for s in group(drawing, "layer-1") if isinstance(s, Polyline)]
    assert len(edges) == 1
    steps = [abs(b[0] - a[0]) for a, b in zip(edges[0].points, edges[0].points[1:], strict=False)]
    assert sum(step > 0.1 for step in steps) == 2


# -- daylight factors on the plan
# ------------------------------------------------------------------------------------
def grid(pct: Any, **rest: Any) -> FactorGrid:
    values = np.asarray(pct, dtype=float)
    rows, columns = values.shape
    known = np.ones(values.shape, dtype=bool)
    return FactorGrid(np.arange(0.5, columns), np.arange(0.5, rows), values, known, 0.85, **rest)


def test_level_lines_of_a_slope_and_of_a_hill() -> None:
    # by hand: a factor that falls by 1 a metre along y crosses 2.5 halfway between the rows of 3
    # and 2: one straight line through every column
    slope = grid(np.repeat([[4.0], [3.0], [2.0], [1.0]], 5, axis=1))
    (line,) = level_lines(slope, 2.5)
    assert {round(y, 9) for _, y in line} == {2.0}
    assert {round(min(x for x, _ in line), 9), round(max(x for x, _ in line), 9)} == {0.5, 4.5}
    # property: round a single summit the line is closed
    hill = np.ones((5, 5))
    hill[2, 2] = 9.0
    (ring,) = level_lines(grid(hill), 5.0)
    assert math.dist(ring[0], ring[-1]) < 1e-9
    # by hand: halfway from the summit's 9 to the 1 beside it is 5
    assert (3.0, 2.5) in {(round(x, 9), round(y, 9)) for x, y in ring}


def test_no_line_runs_through_what_is_not_known() -> None:
    # property: a cell with a corner outside the room holds no line
    part = grid(np.repeat([[4.0], [1.0]], 3, axis=1))
    part.known[0, 1] = False
    assert level_lines(part, 2.0) == ()


@pytest.mark.parametrize(
    ("pct", "said"), [(0.074, "0.07"), (0.999, "1.0"), (2.34, "2.3"), (9.96, "10"), (11.6, "12")]
)
def test_factor_as_text(pct: float, said: str) -> None:
    assert factor_text(pct) == said


@pytest.mark.parametrize(
    "changes",
    [
        {},
        {"setting": "exterior"},
        {"name": NASTY},
        {
            "width_m": 40.0,
            "length_m": 0.8,
            "windows": [],
            "doors": [],
            "outlets": [],
            "practicals": [],
        },
    ],
)
def test_plan_of_factors(changes: dict[str, Any]) -> None:
    room = parlour(**changes)
    made = grid(np.geomspace(20.0, 0.2, 7)[:, None] * np.ones((1, 5)))
    drawing = factor_plan(room, made, size_mm=(130.0, 150.0))
    sound(drawing)
    # by hand: of 7 x 5 points the most is 20 and the least 0.2
    assert "Most, 20 %" in drawing.description
    assert "least 0.20 %" in drawing.description


def test_a_plan_of_factors_says_what_it_leaves_out() -> None:
    made = grid([[1.0, 2.0], [3.0, 4.0]], reflected=False)
    assert any("Sky and ground alone" in text for text in texts(factor_plan(parlour(), made)))
    made.known[:] = False
    assert "nknown: the plan" in factor_plan(parlour(), made).description


def test_a_small_plan_of_factors_leaves_its_legend_to_the_rooms_own_plan() -> None:
    made = grid(np.geomspace(20.0, 0.2, 7)[:, None] * np.ones((1, 5)))
    whole, small = (
        factor_plan(parlour(), made, size_mm=(112.0, 84.0), explained=so) for so in (True, False)
    )
    sound(small)
    assert "window" in texts(whole)
    assert "window" not in texts(small)
    assert small.height_mm < whole.height_mm
    assert any("CIE overcast sky" in text for text in texts(small))


# -- under the lux chart
# ----------------------------------------------------------------------------------------------
def test_lux_chart_carries_enough_and_the_windows() -> None:
    series = tuple(LuxPoint(at(hour), 50.0 * hour, 90.0 * hour, False) for hour in range(6, 20))
    daylight = DaylightAnswer(
        marks={"subject": MarkDaylight(series=series)},
        needed_lux=300.0,
        enough_from=at(6, 10),
        enough_until=at(18, 40),
    )
    shut = WindowSunAnswer(id="W2", unknown=unmeasured("room.facing"))
    drawing = lux_chart(
        date(2026, 6, 21), "Parlour", "Europe/London", events(), daylight, windows=(window(), shut)
    )
    sound(drawing)
    assert "06:10 to 18:40" in texts(drawing)
    assert "Direct sun through W1: 10:12 to 15:40." in drawing.description
    assert "unknown: facing is not measured" in texts(drawing)
    assert {"enough", "window-W1"} <= {s.id for s in drawing.shapes if isinstance(s, Group)}
    assert all(
        math.isfinite(x)
        for s in walk(drawing.shapes)
        if isinstance(s, Line)
        for x in (*s.start, *s.end)
    )


def test_both_planes_stand_on_one_ruler_and_one_scale() -> None:
    # by hand: overcast, the side the camera sees gets a tenth of the level plane, so its curve lies
    # one ten lower against the needed line
    series = tuple(
        LuxPoint(at(hour), 100.0 * hour, 120.0 * hour, False, 10.0 * hour, 6.0 * hour)
        for hour in range(6, 20)
    )
    row = MarkDaylight(
        series=series,
        overcast_lux_noon=1200.0,
        clear_lux_noon=1440.0,
        camera_overcast_lux_noon=120.0,
        camera_clear_lux_noon=72.0,
        enough_from=at(6, 10),
        enough_until=at(18, 40),
        camera_enough_from=at(11, 5),
        camera_enough_until=at(12, 55),
    )
    daylight = DaylightAnswer(marks={"subject": row}, needed_lux=100.0)
    drawing = lux_chart(date(2026, 6, 21), "Parlour", "Europe/London", events(), daylight)
    sound(drawing)
    curves = [s for s in walk(drawing.shapes) if isinstance(s, Polyline)]
    assert len(curves) == 4
    needed = [
        s.start[1]
        for s in walk(drawing.shapes)
        if isinstance(s, Line) and s.pen.ink == "rust" and s.pen.dash_mm
    ]
    level, side = curves[0].points[0][1] - needed[0], curves[2].points[0][1] - needed[1]
    top_of_scale = needed[0] + 2 * (level - side)  # from the needed 100 lux two tens up to 10,000
    assert level - side > 0
    assert any(
        s.start[1] == pytest.approx(top_of_scale)
        for s in walk(drawing.shapes)
        if isinstance(s, Line) and s.start[1] == s.end[1]
    )
    assert (
        curves[0].points[0][0] == curves[2].points[0][0]
    )  # property: the same instant at the same place of the ruler
    assert {
        "06:10 to 18:40",
        "11:05 to 12:55",
        "On a level plane",
        "On the side that the camera sees",
    } <= set(texts(drawing))
    assert (
        "reached from 06:10 to 18:40 on a level plane and 11:05 to 12:55 on the side that the camera sees"
        in drawing.description
    )
    assert "half or double" in drawing.description


def test_why_the_side_the_camera_sees_is_not_drawn_is_told() -> None:
    series = tuple(LuxPoint(at(hour), 100.0 * hour, 120.0 * hour, False) for hour in range(6, 20))
    row = MarkDaylight(series=series, camera_unknown=unmeasured("marks.camera"))
    drawing = lux_chart(
        date(2026, 6, 21),
        "Parlour",
        "Europe/London",
        events(),
        DaylightAnswer(marks={"subject": row}),
    )
    assert sum(isinstance(s, Polyline) for s in walk(drawing.shapes)) == 2
    assert "not known: camera's mark is not measured" in drawing.description
