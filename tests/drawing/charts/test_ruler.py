"""The 24-hour ruler and what stands on it: clock changes, polar light, doubt, unknowns."""

from __future__ import annotations

import math
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from scout.assess.answers import (
    Crossing,
    DaylightAnswer,
    EventsAnswer,
    IntervalRange,
    LuxPoint,
    MarkDaylight,
    WindowSunAnswer,
    unmeasured,
)
from scout.drawing.charts.lux import lux_chart
from scout.drawing.charts.ruler import Ruler, day_of, skies, unix_s
from scout.drawing.charts.timeline import TimelineRoom, day_timeline
from scout.drawing.shapes import Drawing, Group, Line, Polygon, Polyline, Text, bounds, walk
from scout.words.figures import clock
from tests.drawing.rooms import NASTY, group

LONDON = "Europe/London"
SUMMER = date(2026, 6, 21)


def at(hour: int, minute: int = 0, *, on: date = SUMMER, zone: str = LONDON) -> datetime:
    return datetime(on.year, on.month, on.day, hour, minute, tzinfo=ZoneInfo(zone))


def events(on: date = SUMMER, zone: str = LONDON) -> EventsAnswer:
    """A made-up day: dawn 04, sunrise 05, sunset 21, dusk 22."""
    made = tuple(
        Crossing(at(hour, on=on, zone=zone), event)
        for hour, event in ((4, "dawn"), (5, "sunrise"), (21, "sunset"), (22, "dusk"))
    )  # type: ignore[arg-type]
    return EventsAnswer(
        state="normal",
        sunrise=made[1].at,
        sunset=made[2].at,
        crossings=made,
        low_sun=((made[0].at, made[1].at),),
    )


def window(**changes: object) -> WindowSunAnswer:
    facts: dict[str, object] = {
        "id": "W1",
        "facing_deg": 183.2,
        "facing_true": True,
        "direct_sun": ((at(10, 12), at(15, 40)),),
        "direct_sun_min": 328.0,
        "direct_sun_range": (IntervalRange((at(9, 52), at(10, 31)), (at(15, 18), at(16, 2))),),
    }
    return WindowSunAnswer(**{**facts, **changes})  # type: ignore[arg-type]


def texts(drawing: Drawing) -> list[str]:
    return [s.text for s in walk(drawing.shapes) if isinstance(s, Text)]


@pytest.mark.parametrize(
    ("on", "hours"),
    [
        # Source: IANA time zone database, Europe/London: clocks go forward on 29 March 2026 at
        # 01:00 UTC and back on 25 October 2026 at 01:00 UTC
        (date(2026, 3, 29), [0, *range(2, 24)]),
        (date(2026, 10, 25), [0, 1, 1, *range(2, 24)]),
        (date(2026, 6, 21), list(range(24))),
    ],
)
def test_hours_of_days_on_which_the_clocks_change(on: date, hours: list[int]) -> None:
    day = day_of(on, LONDON)
    assert [hour for _, hour in day.hours()] == hours
    assert day.length_s == len(hours) * 3600


@pytest.mark.parametrize(
    ("zone", "on", "hours", "length_h"),
    [
        # Source: IANA time zone database. Lord Howe moves its clocks by half an hour (5 April 2026,
        # back at 02:00 to 01:30);
        # Apia skipped 30 December 2011; Kathmandu stands at +05:45.
        ("Australia/Lord_Howe", date(2026, 4, 5), list(range(24)), 24.5),
        ("Pacific/Apia", date(2011, 12, 30), [], 0.0),
        ("Asia/Kathmandu", date(2026, 1, 1), list(range(24)), 24.0),
    ],
)
def test_hours_where_zones_are_odd(zone: str, on: date, hours: list[int], length_h: float) -> None:
    day = day_of(on, zone)
    assert [hour for _, hour in day.hours()] == hours
    assert day.length_s == length_h * 3600
    assert all(day.local(instant).minute == 0 for instant, _ in day.hours())


def test_clocks_that_change_at_midnight_leave_no_hour_twice() -> None:
    # Source: IANA time zone database: Havana goes forward from 00:00 to 01:00 on 8 March 2026, so
    # the date begins at one
    assert [hour for _, hour in day_of(date(2026, 3, 8), "America/Havana").hours()] == list(
        range(1, 24)
    )


def test_instants_stand_in_proportion_on_a_day_of_25_hours() -> None:
    # by hand: 25 October 2026 begins at 23:00 UTC (BST) and has 25 hours; 12:00 GMT is 13 of its
    # hours in: 13/25
    ruler = Ruler(day_of(date(2026, 10, 25), LONDON), 0.0, 100.0)
    assert ruler.x(datetime(2026, 10, 25, 12, tzinfo=UTC)) == pytest.approx(100 * 13 / 25)
    assert ruler.x(datetime(2026, 10, 24, 23, tzinfo=UTC)) == 0.0
    assert ruler.x(datetime(2026, 10, 26, 0, tzinfo=UTC)) == 100.0
    assert ruler.x(datetime(2027, 1, 1, tzinfo=UTC)) == 100.0  # held to the ends of the day


def test_sky_of_a_day_is_night_twilight_day_twilight_night() -> None:
    day = day_of(SUMMER, LONDON)
    found = skies(day, events())
    assert [sky for sky, _, _ in found] == ["night", "twilight", "day", "twilight", "night"]
    # by hand: the made-up sunrise at 05 and sunset at 21 leave 16 hours of day
    assert sum(end - start for sky, start, end in found if sky == "day") == 16 * 3600
    assert sum(end - start for _, start, end in found) == day.length_s


def test_sky_in_polar_light_and_white_nights() -> None:
    day = day_of(SUMMER, "Europe/Oslo")
    assert [sky for sky, _, _ in skies(day, EventsAnswer(state="polar_day"))] == ["day"]
    assert [sky for sky, _, _ in skies(day, EventsAnswer(state="polar_night"))] == ["night"]
    twilight = tuple(
        Crossing(at(hour, zone="Europe/Oslo"), event)
        for hour, event in ((10, "dawn"), (14, "dusk"))
    )  # type: ignore[arg-type]
    assert [
        sky for sky, _, _ in skies(day, EventsAnswer(state="polar_night", crossings=twilight))
    ] == ["night", "twilight", "night"]
    white = tuple(
        Crossing(at(hour, zone="Europe/Oslo"), event)
        for hour, event in ((1, "sunset"), (2, "sunrise"))
    )  # type: ignore[arg-type]
    assert [sky for sky, _, _ in skies(day, EventsAnswer(state="normal", crossings=white))] == [
        "day",
        "twilight",
        "day",
    ]
    assert skies(day, EventsAnswer()) == ()


def test_bars_stand_where_the_sun_does_and_doubt_reaches_past_them() -> None:
    drawing = day_timeline(
        SUMMER, [TimelineRoom("Long parlour", LONDON, events(), (window(),))], width_mm=180.0
    )
    ticks = {
        s.text: s.at[0]
        for s in walk(drawing.shapes)
        if isinstance(s, Text) and len(s.text) == 2 and s.text.isdigit()
    }
    hour_mm = (ticks["24"] - ticks["00"]) / 24
    row = group(drawing, "window-0-W1")
    box = next(s for g in row if isinstance(g, Group) for s in g.shapes if isinstance(s, Polygon))
    # by hand: 10:12 is 10.2 hours, 15:40 is 15 2/3 hours from midnight on a day of 24 hours
    assert min(p[0] for p in box.points) == pytest.approx(ticks["00"] + 10.2 * hour_mm)
    assert max(p[0] for p in box.points) == pytest.approx(ticks["00"] + (15 + 2 / 3) * hour_mm)
    reach = [p[0] for s in row if isinstance(s, Line) for p in (s.start, s.end)]
    assert min(reach) == pytest.approx(ticks["00"] + (9 + 52 / 60) * hour_mm)
    assert max(reach) == pytest.approx(ticks["00"] + (16 + 2 / 60) * hour_mm)
    assert "10:12 to 15:40" in texts(drawing)


def test_the_words_of_a_timeline_hold_its_figures() -> None:
    words = day_timeline(
        SUMMER,
        [
            TimelineRoom(
                "Long parlour",
                LONDON,
                events(),
                (window(), window(id="W2", direct_sun=(), direct_sun_range=())),
            )
        ],
    ).description.replace("\u00a0", " ")
    for fact in (
        "Sunday 21 June 2026",
        "Long parlour",
        "sunrise 05:00",
        "sunset 21:00",
        "Window W1, facing 183°",
        "direct sun 10:12 to 15:40, 5 h 28 min in total",
        "start 09:52 to 10:31, end 15:18 to 16:02",
        "Window W2, facing 183°: no direct sun.",
    ):
        assert fact in words, fact


def test_unknown_windows_and_places_are_said_in_ruled_boxes() -> None:
    unknown = WindowSunAnswer(id="W3", unknown=unmeasured("room.facing"))
    drawing = day_timeline(
        SUMMER,
        [
            TimelineRoom(
                "A",
                LONDON,
                EventsAnswer(unknown=unmeasured("location.latitude_deg")),
                (unknown,),
            ),
            TimelineRoom("B", None, EventsAnswer()),
        ],
    )
    said = texts(drawing)
    assert "unknown: facing is not measured" in said
    assert f"unknown: {unmeasured('location.latitude_deg')}" in said
    assert "unknown: the place or time zone is not recorded" in said
    assert not any(
        isinstance(s, Group) and s.id and s.id.startswith("window-") for s in drawing.shapes
    )


def test_rooms_of_one_layout_share_a_ruler_and_others_get_their_own() -> None:
    spring = date(
        2026, 3, 29
    )  # the clocks change in London, not in New York (IANA time zone database)
    london = TimelineRoom("A", LONDON, events(spring))
    york = TimelineRoom("C", "America/New_York", events(spring, "America/New_York"))
    assert texts(day_timeline(spring, [london, london])).count("12") == 1
    both = texts(day_timeline(spring, [london, york]))
    assert both.count("12") == 2
    assert both.count("01") == 1  # London has no hour 01 on this date
    assert "23 hours" in both


@pytest.mark.parametrize(
    "rooms",
    [
        [],
        [TimelineRoom(NASTY, LONDON, events(), (window(id="W" + "x" * 39),))],
        [TimelineRoom("Apia", "Pacific/Apia", EventsAnswer())] * 2,
        [
            TimelineRoom(
                "r",
                LONDON,
                EventsAnswer(state="polar_day"),
                tuple(window(id=f"W{k}") for k in range(20)),
            )
        ],
        [
            TimelineRoom(
                "r",
                LONDON,
                events(),
                (
                    window(
                        direct_sun=tuple((at(h), at(h, 20)) for h in range(5, 21)),
                        direct_sun_range=(),
                    ),
                ),
            )
        ],
    ],
)
@pytest.mark.parametrize("width_mm", [90.0, 120.0, 180.0])
@pytest.mark.parametrize("on", [SUMMER, date(2011, 12, 30)])
def test_every_timeline_stays_on_its_paper(
    rooms: list[TimelineRoom], width_mm: float, on: date
) -> None:
    drawing = day_timeline(on, rooms, width_mm=width_mm, text_mm=3.4)
    left, bottom, right, top = bounds(drawing.shapes)
    assert left >= -0.5
    assert right <= width_mm + 0.5
    assert bottom >= -0.5
    assert top <= drawing.height_mm + 0.5


def series() -> tuple[LuxPoint, ...]:
    found = []
    for k in range(48):
        when = at(k // 2, 30 * (k % 2))
        share = max(0.0, math.sin((k / 2 - 5) / 16 * math.pi)) if 5 < k / 2 < 21 else 0.0
        found.append(LuxPoint(when, 400.0 * share, 900.0 * share, 10 <= k / 2 <= 13))
    return tuple(found)


def daylight(needed_lux: float | None = 250.0) -> DaylightAnswer:
    return DaylightAnswer(
        marks={
            "subject": MarkDaylight(series=series(), overcast_lux_noon=400.0, clear_lux_noon=900.0)
        },
        needed_lux=needed_lux,
        enough_from=at(8, 10),
        enough_until=at(18),
    )


def test_needed_light_is_a_line_at_its_height_on_the_scale_of_tens() -> None:
    # by hand: from 1 to 1000 lux are 3 tens; 250 lux lies log10(250) / 3 = 0.7993 of the way up
    drawing = lux_chart(SUMMER, "Long parlour", LONDON, events(), daylight())
    levels = sorted(
        {
            s.start[1]
            for s in walk(drawing.shapes)
            if isinstance(s, Line)
            and s.start[1] == s.end[1]
            and not s.pen.dash_mm
            and s.pen.ink == "ink"
            and s.end[0] - s.start[0] > 100
        }
    )
    needed = next(
        s
        for s in walk(drawing.shapes)
        if isinstance(s, Line) and s.pen.ink == "rust" and s.pen.dash_mm
    )
    assert (needed.start[1] - levels[0]) / (levels[-1] - levels[0]) == pytest.approx(
        math.log10(250) / 3
    )
    assert "needed 250 lux" in texts(drawing)
    assert "250\u00a0lux, reached from 08:10 to 18:00" in drawing.description


def test_the_band_lies_between_the_two_skies_and_leaves_gaps_open() -> None:
    drawing = lux_chart(SUMMER, "r", LONDON, events(), daylight())
    low, high = [s for s in walk(drawing.shapes) if isinstance(s, Polyline)]
    assert all(b[1] >= a[1] for a, b in zip(low.points, high.points, strict=True))
    holed = tuple(LuxPoint(p.at, None, None, None) if 11 <= p.at.hour < 14 else p for p in series())
    gap = lux_chart(
        SUMMER, "r", LONDON, events(), DaylightAnswer(marks={"subject": MarkDaylight(series=holed)})
    )
    assert sum(isinstance(s, Polyline) for s in walk(gap.shapes)) == 4


def test_no_daylight_is_said_with_its_reason() -> None:
    for answer, words in (
        (DaylightAnswer(unknown=unmeasured("room.windows")), "windows are not measured"),
        (
            DaylightAnswer(marks={"subject": MarkDaylight(unknown=unmeasured("marks.subject"))}),
            "subject's mark is not measured",
        ),
    ):
        for zone in (LONDON, None):
            drawing = lux_chart(SUMMER, "r", zone, EventsAnswer(), answer)
            assert f"unknown: {words}" in texts(drawing)
            assert words in drawing.description


def test_a_time_is_written_as_a_clock_without_seconds_shows_it() -> None:
    # by hand: until the minute is over, a clock shows it
    assert clock(at(9, 59) + timedelta(seconds=59)) == "09:59"
    assert clock(at(23, 30), "Europe/Paris") == "00:30"
    assert unix_s(datetime(1970, 1, 2, tzinfo=UTC)) == 86400
