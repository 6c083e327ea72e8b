"""Whether daylight is enough: each kind on both sides of its border, the setup's hours, both ends
of what nobody measured.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, time, timedelta
from math import log2
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from scout.assess.answers import DaylightAnswer, LuxPoint, MarkDaylight, RangeFact
from scout.assess.daylight.findings import marks
from scout.assess.daylight.judged import judged_light
from scout.assess.setup import Setup
from tests.assess.daylight.test_daylight import JUNE, sheet

LONDON = ZoneInfo("Europe/London")
NEEDED = 100.0


def at(hour: int, minute: int = 0) -> datetime:
    return datetime(2026, 6, 21, hour, minute, tzinfo=LONDON)


def light(
    overcast: list[float | None],
    clear: list[float | None],
    *,
    side: bool = True,
    enough: tuple[datetime, datetime] | None = None,
    ends: tuple[float, float] | None = None,
    recorded: bool = False,
    needed: float | None = NEEDED,
) -> DaylightAnswer:
    """Daylight at the subject from 08:00 on, an hour a figure; on the side the camera sees it is as
    given, on the level plane ten times that. ends: factors of what is not measured.
    """
    points = []
    for k, (dim, bright) in enumerate(zip(overcast, clear, strict=True)):
        ranges = [
            None if ends is None or lux is None else (lux * ends[0], lux * ends[1])
            for lux in (dim, bright)
        ]
        levels = [None if lux is None else 10 * lux for lux in (dim, bright)]
        point = LuxPoint(at(8 + k), levels[0], levels[1], False)
        if side:
            point = replace(
                point,
                camera_overcast_lux=dim,
                camera_clear_lux=bright,
                camera_overcast_range_lux=ranges[0],
                camera_clear_range_lux=ranges[1],
            )
        points.append(point)
    noon = (max(lux or 0 for lux in overcast), max(lux or 0 for lux in clear))
    mark = MarkDaylight(
        daylight_factor_pct=2.0,
        daylight_factor_range_pct=None if ends is None else (1.0, 3.0),
        series=tuple(points),
        overcast_lux_noon=10 * noon[0],
        clear_lux_noon=10 * noon[1],
        camera_overcast_lux_noon=noon[0] if side else None,
        camera_clear_lux_noon=noon[1] if side else None,
        camera_enough_from=enough[0] if enough and side else None,
        camera_enough_until=enough[1] if enough and side else None,
        enough_from=None if side else at(8, 1),
        enough_until=None if side else at(9, 59),
        range_from=(
            ()
            if ends is None
            else (RangeFact("windows.W1.transmittance", 30.0, recorded=recorded),)
        ),
    )
    return DaylightAnswer(marks={"subject": mark}, needed_lux=needed)


def setup(begin: time | None = None, until: time | None = None) -> Setup:
    return Setup(sheet(), JUNE, begin, until)


@pytest.mark.parametrize(
    ("overcast", "clear", "kind", "level"),
    [
        (100.0, 100.0, "enough", "good"),
        (99.9, 100.0, "clear_only", "care"),
        (99.9, 99.9, "short", "problem"),
        (399.9, 399.9, "enough", "good"),
        (400.0, 400.0, "too_bright", "care"),  # by hand: two stops over 100 lux
        (102_400.0, 102_400.0, "too_bright", "care"),  # by hand: ten stops
        (102_500.0, 102_500.0, "too_bright", "problem"),
        (0.0, 0.0, "dark", "care"),
    ],
)
def test_each_kind_and_its_border(overcast: float, clear: float, kind: str, level: str) -> None:
    found = judged_light(light([overcast] * 3, [clear] * 3), setup())
    assert found is not None
    assert (found.kind, found.level) == (kind, level)


def test_twilight_alone_is_dark() -> None:
    found = judged_light(light([None, None], [None, None]), setup())
    assert found is not None
    assert found.kind == "dark"


def test_nothing_to_judge_by() -> None:
    assert judged_light(DaylightAnswer(needed_lux=NEEDED), setup()) is None
    unneeded = judged_light(light([200.0] * 2, [200.0] * 2, needed=None))
    assert unneeded is not None
    assert (unneeded.kind, unneeded.level, unneeded.overcast) == ("unknown", "unknown", None)
    blank = DaylightAnswer(marks={"subject": MarkDaylight()}, needed_lux=NEEDED)
    unlit = judged_light(blank)
    assert unlit is not None
    assert unlit.kind == "unknown"


def test_the_side_that_the_camera_sees_decides_over_the_level_plane() -> None:
    # Fault of before: 0.6 stops short was said by the level plane, 3.6 by the camera's side.
    found = judged_light(light([25.0] * 3, [30.0] * 3))
    assert found is not None
    assert found.side
    assert found.where.key == "camera"
    assert found.kind == "short"
    assert found.overcast is not None
    assert found.overcast.value == pytest.approx(-2.0)  # by hand: 25 of 100 lux
    level = judged_light(light([25.0] * 3, [30.0] * 3, side=False))
    assert level is not None
    assert level.where.key == "level"
    assert level.kind == "enough"
    assert (level.enough_from, level.enough_until) == (at(8, 1), at(9, 59))


def test_the_whole_day_is_judged_at_its_brightest_a_scene_at_its_dimmest() -> None:
    day = light([50.0, 200.0, 100.0, 100.0], [100.0, 300.0, 150.0, 150.0])
    whole = judged_light(day, setup())
    assert whole is not None
    assert whole.at == at(9)
    assert whole.overcast is not None
    assert whole.overcast.value == pytest.approx(1.0)  # by hand: 200 of 100 lux
    scene = judged_light(day, setup(time(8), time(9)))
    assert scene is not None
    assert scene.at == at(8)
    assert scene.overcast is not None
    assert scene.overcast.value == pytest.approx(-1.0)
    assert scene.clear is not None
    assert scene.clear.value == pytest.approx(0.0)


def test_hours_cut_the_spells_and_part_of_them_is_care() -> None:
    day = light(
        [50.0, 200.0, 200.0, 50.0], [50.0, 200.0, 200.0, 50.0], enough=(at(8, 20), at(10, 40))
    )
    for begin, until, spell, level in (
        (time(9), time(10), (at(9), at(10)), "good"),
        (time(8, 20), time(10, 40), (at(8, 20), at(10, 40)), "good"),
        (time(8, 19), time(10), (at(8, 20), at(10)), "care"),
        (time(9), time(10, 41), (at(9), at(10, 40)), "care"),
    ):
        found = judged_light(day, setup(begin, until))
        assert found is not None
        assert (found.kind, found.level) == ("enough", level)
        assert found.enough == (spell,)
    early = judged_light(day, setup(time(8), time(8, 10)))
    assert early is not None
    assert early.kind == "short"


def test_hours_between_two_points_are_drawn_straight() -> None:
    # by hand: 50 at 8, 150 at 9: 100 at 8:30, which a scene of ten minutes does not see in the series
    day = light([50.0, 150.0], [50.0, 150.0])
    found = judged_light(day, setup(time(8, 30), time(8, 36)))
    assert found is not None
    assert found.at == at(8, 30)
    assert found.overcast is not None
    assert found.overcast.value == pytest.approx(0.0, abs=1e-9)
    assert found.most is not None
    assert found.most.value == pytest.approx(0.1375, abs=1e-3)  # by hand: log2 of 110 / 100
    assert found.brightest == at(8, 36)


def test_clear_spells_begin_and_end_between_the_points() -> None:
    day = light([10.0] * 5, [50.0, 150.0, 50.0, 100.0, 50.0])
    found = judged_light(day)
    assert found is not None
    assert found.kind == "clear_only"
    # by hand: 100 half-way up and half-way down; a point that only touches it is no spell
    assert found.enough_clear == ((at(8, 30), at(9, 30)),)
    gap = judged_light(light([10.0] * 3, [150.0, None, 150.0]))
    assert gap is not None
    assert gap.enough_clear == ()
    steady = judged_light(light([10.0] * 3, [150.0] * 3))
    assert steady is not None
    assert steady.enough_clear == ((at(8), at(10)),)


def test_both_ends_of_a_range() -> None:
    # by hand: 80 to 300 of 200 lux is short at one end and enough at the other, 120 to 300 enough
    # at both; what is recorded leaves the likeliest, with care
    for ends, recorded, kind, level in (
        ((0.4, 1.5), False, "unknown", "unknown"),
        ((0.4, 1.5), True, "enough", "care"),
        ((0.6, 1.5), False, "enough", "good"),
        ((0.6, 1.5), True, "enough", "good"),
    ):
        found = judged_light(light([200.0] * 3, [200.0] * 3, ends=ends, recorded=recorded))
        assert found is not None
        assert (found.kind, found.level) == (kind, level)
        assert (found.hangs_on is None) == (ends[0] == 0.6)
        assert found.overcast is not None
        assert found.overcast.value == pytest.approx(1.0)
        assert found.overcast.low == pytest.approx(1 + log2(ends[0]))
        assert found.overcast.high == pytest.approx(1 + log2(ends[1]))
        assert found.most is not None
        assert found.most.high == pytest.approx(1 + log2(ends[1]))


@pytest.mark.parametrize(
    ("lux", "level"), [(399.0, None), (400.0, "care"), (102_400.0, "care"), (102_401.0, "problem")]
)
def test_too_bright_under_a_clear_sky(lux: float, level: str | None) -> None:
    found = judged_light(light([100.0, 100.0, 100.0], [100.0, lux, 100.0]))
    assert found is not None
    assert found.kind == "enough"
    assert found.too_bright == level
    assert found.brightest == (at(9) if lux else None)


def test_a_room_is_judged_by_the_light_of_its_day() -> None:
    # property: what is judged of a real room is what its series says
    room = sheet(marks__camera=[2.0, 4.0, 1.2])
    answer = marks(room, JUNE)
    found = judged_light(answer, Setup(room, JUNE, time(10), time(14)))
    assert found is not None
    mark = answer.marks["subject"]
    inside = [
        point.camera_overcast_lux
        for point in mark.series
        if time(10) <= point.at.time() <= time(14) and point.camera_overcast_lux is not None
    ]
    assert found.overcast is not None
    assert found.overcast.value == pytest.approx(log2(min(inside) / 122.5), abs=0.02)
    assert found.needed_lux == 122.5


def test_an_end_after_midnight_is_within_the_hours() -> None:
    night = Setup(sheet(), JUNE, time(22), time(2))
    assert night.hours is not None
    assert night.hours[1] - night.hours[0] == timedelta(hours=4)
    found: Any = judged_light(light([100.0] * 2, [100.0] * 2), night)
    assert found.kind == "dark"
