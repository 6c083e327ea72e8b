"""Windows as sources of bounced light: the lux of the daylight block, the colours of sky and sun,
both sides of the subject.
"""

from __future__ import annotations

from datetime import date, time
from typing import Any

import numpy as np
import pytest

from scout.assess.answers import DaylightAnswer, WindowLightAnswer, as_json
from scout.assess.bounce.remedies import remedies
from scout.assess.bounce.room import LitRoom, lit_room
from scout.assess.bounce.windows import (
    NO_DAYLIGHT,
    Hour,
    WindowRoom,
    came_to,
    hour_of,
    side_of,
    towards_windows,
    window_room,
    window_surround,
)
from scout.assess.bounce.worst import worst_of
from scout.assess.daylight import findings as daylight
from scout.assess.room import assess_room
from scout.assess.setup import Setup
from scout.calc.bounce.reach import lux_of
from scout.calc.bounce.spectra import NM, xyz
from scout.calc.bounce.whiteness import cct_duv, uv_1960
from scout.calc.daylight.mark.entering import landed_beam
from scout.records import read_sheet
from scout.records.sheet import RoomSheet
from tests.assess.bounce.codes import codes
from tests.assess.bounce.test_bounce import FLOOR_CEILING, L_PLAN, flat, spectrum
from tests.calc.bounce.charts import GREEN

SUMMER, WINTER = date(2026, 6, 21), date(2026, 12, 21)
WINDOW: dict[str, Any] = {
    "id": "W1",
    "wall": "A",
    "offset_m": 1.5,
    "sill_m": 0.9,
    "width_m": 2.0,
    "height_m": 1.5,
    "transmittance": 0.7,
    "reveal_m": 0.0,
    "overhang_m": 0.0,
    "covering": "none",
}
GREYS = {**dict.fromkeys("ABCD", flat(0.6)), **FLOOR_CEILING}
GREEN_B = {**GREYS, "B": spectrum(GREEN)}


def south(
    surfaces: dict[str, Any],
    subject: tuple[float, float, float] = (2.5, 4.0, 1.2),
    windows: list[dict[str, Any]] | None = None,
    **room: Any,
) -> RoomSheet:
    """Five by six and a half metres; wall A, at the far end, looks south."""
    return read_sheet(
        {
            "schema": "room-sheet/1",
            "location": {
                "name": "Weir House",
                "latitude_deg": 52.2,
                "longitude_deg": 0.12,
                "elevation_m": 15,
                "timezone": "Europe/London",
                "ground_reflectance": 0.2,
            },
            "room": {
                "setting": "interior",
                "width_m": 5.0,
                "length_m": 6.5,
                "height_m": 2.7,
                "facing": {"wall": "A", "bearing_deg": 180, "north": "true"},
                "surfaces": surfaces,
                "windows": windows if windows is not None else [WINDOW],
                **room,
            },
            "marks": {"subject": list(subject), "camera": [2.5, 0.8, 1.4]},
            "kit": {"lights": []},
        }
    )


def rows(given: RoomSheet, on: date = SUMMER) -> tuple[WindowLightAnswer, ...]:
    return window_surround(given, on, daylight.marks(given, on))[0]


@pytest.mark.parametrize("shape", ["rectangle", "L with a blind"])
def test_lux_is_that_of_the_daylight_block(shape: str) -> None:
    # property: grey surfaces, a level plane at the mark: the same lux as daylight at the marks,
    # which was held against a path tracer; two ways of summing
    given = (
        south(GREYS)
        if shape == "rectangle"
        else south(
            {**dict.fromkeys("ABCDEF", flat(0.6)), **FLOOR_CEILING},
            (1.5, 2.5, 1.0),
            [{**WINDOW, "offset_m": 0.5}, {**WINDOW, "id": "W2", "wall": "E", "covering": "blind"}],
            plan_m=L_PLAN,
            width_m=None,
            length_m=None,
        )
    )
    lit = lit_room(given)
    assert isinstance(lit, LitRoom)
    room = window_room(given, lit, SUMMER)
    assert isinstance(room, WindowRoom)
    assert given.marks is not None
    assert given.marks.subject is not None
    level = side_of(room, given.marks.subject, np.array([0.0, 0.0, 1.0]))
    series = [
        point for point in daylight.marks(given, SUMMER).marks["subject"].series if point.clear_lux
    ][::9]
    assert len(series) > 4
    for point in series:
        for sky, lux in (("overcast", point.overcast_lux), ("clear", point.clear_lux)):
            hour = hour_of(room, "overcast" if sky == "overcast" else "clear", point.at)
            assert isinstance(hour, Hour)
            came = came_to(room, level, hour)
            assert float(lux_of(came.straight + came.bounced, np.ones(len(NM)))) == pytest.approx(
                lux, rel=0.02
            )


def test_an_overcast_sky_in_a_grey_room_keeps_its_colour() -> None:
    # property: one colour of light, grey surfaces
    overcast = [row for row in rows(south(GREYS)) if row.sky == "overcast"]
    assert [row.side for row in overcast] == ["key", "shadow"]
    for row in overcast:
        assert (row.delta_e, row.duv_shift, row.mired_shift) == pytest.approx((0, 0, 0), abs=1e-3)
        assert row.cct_k == pytest.approx(6500, abs=15)
        assert row.risk == "none"
        assert row.worst_surface is None


def test_a_clear_day_goes_from_sky_to_sun() -> None:
    # property: what comes in lies between the sun's and the sky's colour; grey surfaces carry the
    # sun's warmth to the shadow side, where the room's sun patch shines
    clear = [row for row in rows(south(GREYS)) if row.sky == "clear"]
    assert len({row.at for row in clear}) == 5
    noon = [row for row in clear if row.at.hour == 13]
    for row in clear:
        assert row.entering_cct_k is not None
        assert 4500 < row.entering_cct_k < 12000
    key, shadow = noon
    assert key.cct_k is not None
    assert shadow.cct_k is not None
    assert shadow.cct_k < key.cct_k
    assert shadow.contrast_stops is not None
    assert shadow.contrast_stops > 1
    # the low winter sun shines on the face: the camera is balanced to it
    low = [
        row
        for row in rows(south(GREYS, (2.5, 5.0, 1.2)), WINTER)
        if row.sky == "clear" and row.at.hour == 12
    ]
    assert low[0].sun_lux is not None
    assert low[0].sun_lux > 10000
    assert low[0].cct_k == pytest.approx(
        4300, abs=500
    )  # by hand: beam 4030 K at 14 degrees, some sky at 12000 K; common practice in window_light


def test_all_of_the_beam_lands() -> None:
    # by hand: the lumens that land are glass area x lux square on x cosine x transmittance: E(60.9
    # deg from level) for a pane 2 x 1.5 m
    given = south(GREYS)
    lit = lit_room(given)
    assert isinstance(lit, LitRoom)
    room = window_room(given, lit, SUMMER)
    assert isinstance(room, WindowRoom)
    open_hole = window_room(south(GREYS, windows=[{**WINDOW, "transmittance": 1.0}]), lit, SUMMER)
    assert isinstance(open_hole, WindowRoom)
    at = daylight.marks(given, SUMMER).marks["subject"].series[52].at
    sun = open_hole.sun(at)
    assert sun is not None
    lumens = float(landed_beam(open_hole.ready, sun) @ open_hole.ready.room.patches.area_m2)
    h, s = np.radians(sun.elevation_deg), np.radians(sun.azimuth_deg - 180.0)
    normal = sun.outside_lux * np.exp(-0.21 / np.sin(h))  # IES availability practice, clear sky
    assert lumens == pytest.approx(normal * np.cos(h) * np.cos(s) * 2.0 * 1.5, rel=1e-6)


def test_a_green_wall_colours_the_shadow_side_of_daylight() -> None:
    found = rows(south(GREEN_B))
    shadow = next(row for row in found if row.sky == "overcast" and row.side == "shadow")
    key = next(row for row in found if row.sky == "overcast" and row.side == "key")
    assert shadow.risk == "high"
    assert shadow.worst_surface == "B"
    assert shadow.duv_shift is not None
    assert shadow.duv_shift > 0.003
    assert key.risk in {"none", "low"}
    assert as_json(found[0])["light"] == "windows"


def test_daylight_is_balanced_to_a_card_at_the_lit_face() -> None:
    # property: a card at the lit face comes out grey whatever the walls add to it, and the shadow
    # side is judged against that card
    found = [row for row in rows(south(GREEN_B)) if row.risk is not None]
    assert found
    for row in found:
        if row.side == "key":
            assert row.delta_e == pytest.approx(0.0, abs=1e-6)
            assert row.delta_e_range == pytest.approx((0.0, 0.0), abs=1e-6)
            assert row.risk == "none"


def test_white_over_the_wall_mends_daylight() -> None:
    # nobody hangs 17 m2: white is a sheet of 3 by 4 m at the most, and mends who sits near the wall
    given = south(GREEN_B, subject=(4.2, 4.0, 1.2))
    found = rows(given)
    (row,) = remedies(given, {}, (), (), daylit=found, on=SUMMER)
    assert (row.light, row.surface, row.action.code) == ("windows", "B", "hang.white")
    assert row.cover is not None
    assert 0 <= row.cover.from_m < row.cover.to_m <= 6.5 + 1e-6
    assert row.cover.to_m - row.cover.from_m <= 4.0 + 1e-6
    worst = worst_of(one for one in found if one.side == "shadow")
    assert worst is not None
    assert row.delta_e_before == pytest.approx(worst.delta_e, abs=1e-4)  # CLOSED leaves as much
    assert row.delta_e_after < row.delta_e_before / 2
    # property: no less than with the whole wall recorded white
    white = rows(south({**GREYS, "B": flat(0.85)}))
    same = next(
        one for one in white if (one.sky, one.at, one.side) == (worst.sky, worst.at, "shadow")
    )
    assert row.delta_e_after >= (same.delta_e or 0.0) - 0.5
    grey = south(GREYS)
    assert remedies(grey, {}, (), (), daylit=rows(grey), on=SUMMER) == ()


def test_the_lit_side_looks_to_the_windows() -> None:
    lit = lit_room(south(GREYS))
    assert isinstance(lit, LitRoom)
    room = window_room(south(GREYS), lit, SUMMER)
    assert isinstance(room, WindowRoom)
    assert towards_windows(room, (2.5, 4.0, 1.2)) == pytest.approx(
        [0, 1, 0], abs=1e-6
    )  # property: on the middle of a window straight ahead
    assert towards_windows(room, (0.5, 4.0, 1.2))[0] > 0.2
    spectrum_in = hour_of(
        room, "overcast", daylight.marks(south(GREYS), SUMMER).marks["subject"].series[52].at
    )
    assert isinstance(spectrum_in, Hour)
    assert float(
        cct_duv(uv_1960(xyz(spectrum_in.entering(room.ready.room.patches.area_m2))))[0]
    ) == pytest.approx(6500, abs=15)


@pytest.mark.parametrize(
    ("given", "reason"),
    [
        (south(GREYS, windows=[]), "bounce.no_panes"),
        (south(GREYS, windows=[{**WINDOW, "covering": "blackout"}]), "bounce.no_panes"),
        (south({**GREYS, "B": {}}), "unmeasured"),
    ],
)
def test_what_is_missing_is_said(given: RoomSheet, reason: str) -> None:
    found, note = window_surround(given, SUMMER, daylight.marks(given, SUMMER))
    assert found == ()
    assert note.unknown is not None
    assert note.unknown.code == reason


def test_glass_that_is_not_measured_and_outdoors() -> None:
    # property: of one window the glass, a grey, dims what comes straight and what bounces alike
    sides = []
    for glass in (0.7, None):
        given = south(GREEN_B, windows=[{**WINDOW, "transmittance": glass}])
        sides.append([row for row in rows(given) if row.sky == "overcast"])
    for known, unknown in zip(*sides, strict=True):
        assert unknown.delta_e == pytest.approx(known.delta_e, abs=1e-6)
        assert unknown.risk == known.risk
    out = south(GREYS, setting="exterior")
    found, note = window_surround(out, SUMMER, daylight.marks(out, SUMMER))
    assert (found, note.unknown) == ((), None)
    assert codes(note.assumed) == ["bounce.outdoors"]


def test_only_hours_of_the_setup_are_looked_at() -> None:
    given = south(GREYS)
    light = daylight.marks(given, SUMMER)
    evening = Setup(given, SUMMER, from_time=time(15), until_time=time(17))
    found, _ = window_surround(given, SUMMER, light, within=evening.within)
    assert {row.at.hour for row in found if row.sky == "clear"} == {15, 16, 17}
    assert all(15 <= row.at.hour <= 17 for row in found if row.sky == "overcast")
    night = Setup(given, SUMMER, from_time=time(23), until_time=time(1))
    found, note = window_surround(given, SUMMER, light, within=night.within)
    assert (found, note.unknown) == ((), NO_DAYLIGHT)


def test_without_facing_the_overcast_sky_is_left() -> None:
    given = south(GREYS, facing=None)
    found, note = window_surround(given, SUMMER, daylight.marks(given, SUMMER))
    assert {row.sky for row in found} == {"overcast"}
    assert note.unknown is not None
    assert window_surround(given, SUMMER, DaylightAnswer())[1].unknown == NO_DAYLIGHT


def test_the_whole_assessment_carries_it_beside_the_fixed_rows() -> None:
    given = south(GREEN_B)
    plain = as_json(assess_room(given, SUMMER, in_full=True))
    assert plain["surround"] == []  # the kit has no lights: the fixed block is left alone
    assert {row["sky"] for row in plain["window_surround"]} == {"overcast", "clear"}
    assert any("12,000\u00a0K" in words for words in plain["blocks"]["window_surround"]["assumed"])
