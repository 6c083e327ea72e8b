"""What the sun does on a date: the hard days of the year, everywhere, and the traps of the astral
library.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import astral
import astral.sun
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scout.calc.daylight.place.local_date import local_time, spans_of_date
from scout.calc.daylight.sun.events import DayEvents, day_events
from scout.calc.daylight.sun.position import sun_position
from tests.refusing import refused

# Source: bisection on pvlib 0.16.1's SPA elevation (NREL/TP-560-34302), -0.8333 degrees, sea level;
# local wall time. `+` marks the
# end of the date. Bands are -4 to +6 degrees, common practice.
DAYS = [
    (
        "Los Angeles",
        34.05,
        -118.24,
        "America/Los_Angeles",
        "2026-06-21",
        "05:42:03",
        "20:07:38",
        "05:24:17-06:19:02 19:30:40-20:25:24",
    ),
    (
        "Denver",
        39.74,
        -104.99,
        "America/Denver",
        "2026-07-10",
        "05:41:04",
        "20:29:24",
        "05:21:40-06:21:02 19:49:31-20:48:46",
    ),
    (
        "Honolulu",
        21.31,
        -157.86,
        "Pacific/Honolulu",
        "2026-06-21",
        "05:50:24",
        "19:16:18",
        "05:35:13-06:22:34 18:44:08-19:31:29",
    ),
    (
        "Auckland",
        -36.85,
        174.76,
        "Pacific/Auckland",
        "2026-12-21",
        "05:58:01",
        "20:39:34",
        "05:39:21-06:36:36 20:00:58-20:58:14",
    ),
    (
        "Kiritimati",
        1.87,
        -157.4,
        "Pacific/Kiritimati",
        "2026-03-20",
        "06:34:00",
        "18:40:26",
        "06:21:20-07:01:20 18:13:05-18:53:06",
    ),
    (
        "Apia",
        -13.83,
        -171.76,
        "Pacific/Apia",
        "2026-06-21",
        "06:49:27",
        "18:08:02",
        "06:35:13-07:20:30 17:36:59-18:22:16",
    ),
    (
        "Urumqi",
        43.82,
        87.6,
        "Asia/Shanghai",
        "2026-06-21",
        "06:27:25",
        "21:55:19",
        "06:05:36-07:11:29 21:11:15-22:17:08",
    ),
    (
        "New York, 23 h",
        40.71,
        -74.01,
        "America/New_York",
        "2026-03-08",
        "07:18:54",
        "18:55:12",
        "07:02:09-07:55:20 18:18:42-19:11:57",
    ),
    (
        "New York, 25 h",
        40.71,
        -74.01,
        "America/New_York",
        "2026-11-01",
        "06:26:28",
        "16:52:15",
        "06:08:58-07:05:20 16:13:23-17:09:44",
    ),
    (
        "London, 23 h",
        51.5,
        -0.12,
        "Europe/London",
        "2026-03-29",
        "06:42:51",
        "19:28:38",
        "06:22:18-07:26:45 18:44:35-19:49:15",
    ),
    (
        "Lord Howe",
        -31.55,
        159.08,
        "Australia/Lord_Howe",
        "2026-04-05",
        "06:07:13",
        "17:45:15",
        "05:52:17-06:39:41 17:12:49-18:00:11",
    ),
    (
        "Santiago",
        -33.45,
        -70.67,
        "America/Santiago",
        "2026-09-06",
        "07:53:53",
        "19:28:33",
        "07:38:38-08:27:04 18:55:20-19:43:49",
    ),
    (
        "Reykjavik",
        64.146,
        -21.94,
        "Atlantic/Reykjavik",
        "2026-06-21",
        "02:55:12",
        "00:03:45",
        "00:00:00-04:52:21 22:06:50-+",
    ),
    (
        "Fairbanks",
        64.84,
        -147.72,
        "America/Anchorage",
        "2026-06-21",
        "02:57:37",
        "00:47:44",
        "00:00:00-05:09:04 22:36:28-+",
    ),
    (
        "Tromso, polar day",
        69.65,
        18.96,
        "Europe/Oslo",
        "2026-06-21",
        None,
        None,
        "00:00:00-02:56:52 22:35:03-+",
    ),
    (
        "Tromso, polar night",
        69.65,
        18.96,
        "Europe/Oslo",
        "2026-12-21",
        None,
        None,
        "10:29:35-12:54:48",
    ),
    ("Longyearbyen", 78.22, 15.65, "Arctic/Longyearbyen", "2026-12-21", None, None, ""),
    (
        "Tromso, grazing",
        69.65,
        18.96,
        "Europe/Oslo",
        "2026-05-18",
        "00:51:55",
        "00:28:21",
        "00:00:00-04:02:17 21:21:17-+",
    ),
]


def on_clock(text: str, zone: ZoneInfo, on: date) -> float:
    if text == "+":
        return datetime.combine(on + timedelta(days=1), datetime.min.time(), zone).timestamp()
    return datetime.fromisoformat(f"{on}T{text}").replace(tzinfo=zone).timestamp()


@pytest.mark.parametrize(("name", "lat", "lon", "zone_name", "day", "rises", "sets", "bands"), DAYS)
def test_table_of_days(
    name: str,
    lat: float,
    lon: float,
    zone_name: str,
    day: str,
    rises: str | None,
    sets: str | None,
    bands: str,
) -> None:
    zone, on = ZoneInfo(zone_name), date.fromisoformat(day)
    events = day_events(on, zone, latitude_deg=lat, longitude_deg=lon)
    slow = 30.0 if events.grazes else 5.0
    for want, event in ((rises, "sunrise"), (sets, "sunset")):
        got = events.first(event)  # type: ignore[arg-type]
        assert (got is None) == (want is None), name
        if want is not None and got is not None:
            assert got == pytest.approx(on_clock(want, zone, on), abs=slow), name
    wanted = [tuple(on_clock(t, zone, on) for t in band.split("-")) for band in bands.split()]
    assert len(events.low_sun) == len(wanted)
    for low, want_low in zip(events.low_sun, wanted, strict=True):
        assert low == pytest.approx(want_low, abs=5.0), name


@pytest.mark.parametrize(
    ("lat", "lon", "zone", "day", "state", "kinds"),
    [
        # Source: the same bisection on SPA; civil twilight at -6 degrees.
        (69.65, 18.96, "Europe/Oslo", "2026-06-21", "polar_day", []),
        (69.65, 18.96, "Europe/Oslo", "2026-12-21", "polar_night", ["dawn", "dusk"]),
        (78.22, 15.65, "Arctic/Longyearbyen", "2026-12-21", "polar_night", []),
        (64.146, -21.94, "Atlantic/Reykjavik", "2026-06-21", "normal", ["sunset", "sunrise"]),
        (
            -30.0,
            -100.0,
            "UTC",
            "2024-05-07",
            "normal",
            ["sunset", "dusk", "dawn", "sunrise", "sunset"],
        ),
    ],
)
def test_states_and_order_of_crossings(
    lat: float, lon: float, zone: str, day: str, state: str, kinds: list[str]
) -> None:
    events = day_events(
        date.fromisoformat(day), ZoneInfo(zone), latitude_deg=lat, longitude_deg=lon
    )
    assert events.state == state
    assert [kind for _, kind in events.crossings] == kinds


def test_civil_twilight_of_a_polar_night() -> None:
    # Source: bisection on SPA: Tromso 2026-12-21, civil twilight 09:31:15 to 13:53:08, highest
    # -3.089 degrees.
    zone, on = ZoneInfo("Europe/Oslo"), date(2026, 12, 21)
    events = day_events(on, zone, latitude_deg=69.65, longitude_deg=18.96)
    assert events.first("dawn") == pytest.approx(on_clock("09:31:15", zone, on), abs=5)
    assert events.first("dusk") == pytest.approx(on_clock("13:53:08", zone, on), abs=5)
    assert events.highest_deg == pytest.approx(-3.089, abs=0.002)
    assert events.day_length_s == 0


def test_two_sunsets_on_one_date() -> None:
    # Source: bisection on SPA: 2024-05-07 in UTC at 30 S 100 W, sunsets 00:00:13 and 23:59:28,
    # sunrise 13:13:13.
    events = day_events(date(2024, 5, 7), UTC, latitude_deg=-30, longitude_deg=-100)
    midnight = datetime(2024, 5, 7, tzinfo=UTC).timestamp()
    sunsets = [at - midnight for at, kind in events.crossings if kind == "sunset"]
    assert sunsets == pytest.approx([13, 23 * 3600 + 59 * 60 + 28], abs=5)
    assert events.day_length_s == pytest.approx(
        13 + 86368 - (13 * 3600 + 13 * 60 + 13), abs=10
    )  # by hand: from the three times


def test_grazing_sun_is_said_and_a_steep_one_is_not() -> None:
    # Source: bisection on SPA: Tromso 2026-05-18 dips to -0.858 degrees, 24 minutes of night by
    # 0.025 degrees.
    events = day_events(
        date(2026, 5, 18), ZoneInfo("Europe/Oslo"), latitude_deg=69.65, longitude_deg=18.96
    )
    assert events.grazes
    assert events.lowest_deg == pytest.approx(-0.858, abs=0.002)
    assert not day_events(
        date(2026, 5, 18), ZoneInfo("Europe/London"), latitude_deg=51.5, longitude_deg=0
    ).grazes


def test_nrel_example_transit_and_sunrise() -> None:
    # Source: NREL/TP-560-34302 example by pvlib: 2003-10-17, sunrise 13:12:43.46Z, transit
    # 18:46:04.96Z, sunset 00:20:19.18Z.
    zone = ZoneInfo("America/Denver")
    events = day_events(
        date(2003, 10, 17),
        zone,
        latitude_deg=39.742476,
        longitude_deg=-105.1786,
        elevation_m=1830.14,
    )
    at = datetime(2003, 10, 17, tzinfo=UTC).timestamp()
    assert events.noon == pytest.approx(at + 18 * 3600 + 46 * 60 + 4.96, abs=1.0)
    assert events.first("sunrise") == pytest.approx(at + 13 * 3600 + 12 * 60 + 43.46, abs=5.0)
    evening_before = day_events(
        date(2003, 10, 16),
        zone,
        latitude_deg=39.742476,
        longitude_deg=-105.1786,
        elevation_m=1830.14,
    )
    # SPA gives the sunset of the UTC date, which is the evening of the local date before.
    assert evening_before.first("sunset") == pytest.approx(at + 20 * 60 + 19.18, abs=5.0)


# -- the local date
# ---------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("zone", "day", "hours"),
    [
        # Source: the IANA time zone database (clock changes of those dates).
        ("America/New_York", "2026-03-08", [23]),
        ("America/New_York", "2026-11-01", [25]),
        ("Australia/Lord_Howe", "2026-04-05", [24.5]),
        ("Australia/Lord_Howe", "2026-10-04", [23.5]),
        ("America/Santiago", "2026-09-06", [23]),
        ("Europe/London", "2026-06-21", [24]),
        ("Pacific/Apia", "2011-12-30", []),
        ("Pacific/Apia", "2011-12-31", [24]),
        ("America/Sao_Paulo", "2018-02-17", [25]),
        (
            "America/St_Johns",
            "2009-11-01",
            [1 / 60, 24],
        ),  # clocks went from 00:01 back to 23:01: the date showed twice
        ("America/St_Johns", "2009-10-31", [24, 59 / 60]),
    ],
)
def test_hours_of_a_local_date(zone: str, day: str, hours: list[float]) -> None:
    spans = spans_of_date(date.fromisoformat(day), ZoneInfo(zone))
    assert [(end - start) / 3600 for start, end in spans] == pytest.approx(hours)


def test_a_date_the_zone_skipped_has_no_events() -> None:
    # Source: IANA: Samoa moved over the date line and had no 30 December 2011.
    events = day_events(
        date(2011, 12, 30), ZoneInfo("Pacific/Apia"), latitude_deg=-13.83, longitude_deg=-171.76
    )
    assert events.state is None
    assert events.crossings == ()
    assert events.noon is None


@pytest.mark.parametrize("year", [1850, 1900, 2200, 3000])
def test_far_years_still_have_a_right_day(year: int) -> None:
    # property: at the equator every day is 12 h 6 to 8 min long (12 h and twice 50' of arc at 15
    # degrees an hour, 23.4 degrees slanted).
    events = day_events(date(year, 3, 21), UTC, latitude_deg=0, longitude_deg=0)
    assert events.state == "normal"
    assert events.day_length_s / 60 == pytest.approx(727, abs=1.5)


@pytest.mark.parametrize("year", [1, 999, 3001, 9999])
def test_years_outside_are_refused(year: int) -> None:
    with refused("refusal.years", "date"):
        day_events(date(year, 1, 1), UTC, latitude_deg=0, longitude_deg=0)


def test_times_are_never_rounded_into_the_next_date() -> None:
    # property: 23:59:59.7 is shown as 23:59:59 when its date ends at midnight.
    start = datetime(2026, 6, 21, tzinfo=UTC).timestamp()
    spans = ((start, start + 86400.0),)
    assert local_time(start + 86399.7, UTC, spans).date() == date(2026, 6, 21)
    assert local_time(start + 86399.7, UTC).date() == date(2026, 6, 22)


PLACES = st.tuples(st.floats(-90, 90), st.floats(-180, 180))
ZONES = st.sampled_from(
    [
        "UTC",
        "Pacific/Kiritimati",
        "Pacific/Pago_Pago",
        "America/New_York",
        "Australia/Lord_Howe",
        "Asia/Kathmandu",
        "Europe/Oslo",
    ]
)


@settings(max_examples=60, deadline=None)
@given(PLACES, ZONES, st.dates(date(1900, 1, 1), date(2100, 12, 31)))
def test_events_keep_their_promises_everywhere(
    place: tuple[float, float], zone_name: str, on: date
) -> None:
    # property: events in order, on the date asked for, with the sun within 0.1 degrees of each
    # one's definition.
    zone = ZoneInfo(zone_name)
    events = day_events(on, zone, latitude_deg=place[0], longitude_deg=place[1])
    times = [at for at, _ in events.crossings]
    assert times == sorted(times)
    for at, kind in events.crossings:
        level = -6.0 if kind in ("dawn", "dusk") else -0.8333
        height = sun_position(
            [at], latitude_deg=place[0], longitude_deg=place[1]
        ).geometric_elevation_deg[0]
        assert height == pytest.approx(level, abs=0.01)
        assert local_time(at, zone, events.spans).date() == on
    if events.noon is not None:
        assert local_time(events.noon, zone, events.spans).date() == on
    for low in events.low_sun:
        middle = sun_position(
            [sum(low) / 2], latitude_deg=place[0], longitude_deg=place[1]
        ).geometric_elevation_deg[0]
        assert -4.01 < middle < 6.01
    assert 0 <= events.day_length_s <= sum(end - start for start, end in events.spans)
    kinds = {kind for _, kind in events.crossings}
    assert (events.state == "normal") == bool(kinds & {"sunrise", "sunset"})


# -- the traps of astral 3.2, each beside our answer
# ------------------------------------------------------------------
def ours(lat: float, lon: float, zone: str, on: date) -> DayEvents:
    return day_events(on, ZoneInfo(zone), latitude_deg=lat, longitude_deg=lon)


def test_trap_polar_light_raises_in_astral_and_is_a_state_here() -> None:
    tromso = astral.Observer(69.65, 18.96, 0)
    for on, state in ((date(2026, 6, 21), "polar_day"), (date(2026, 12, 21), "polar_night")):
        with pytest.raises(ValueError, match=r"."):
            astral.sun.sunrise(tromso, on, tzinfo=ZoneInfo("Europe/Oslo"))
        with pytest.raises(ValueError, match=r"."):
            astral.sun.golden_hour(tromso, on, tzinfo=ZoneInfo("Europe/Oslo"))
        events = ours(69.65, 18.96, "Europe/Oslo", on)
        assert events.state == state
        assert events.low_sun


def test_trap_no_dawn_loses_the_whole_day_in_astral() -> None:
    zone = ZoneInfo("Atlantic/Reykjavik")
    with pytest.raises(ValueError, match=r"."):
        astral.sun.sun(astral.Observer(64.146, -21.94, 0), date(2026, 6, 21), tzinfo=zone)
    events = ours(64.146, -21.94, "Atlantic/Reykjavik", date(2026, 6, 21))
    assert events.first("dawn") is None
    assert events.first("sunrise") is not None
    assert events.first("sunset") is not None


@pytest.mark.parametrize(
    ("lat", "lon", "zone", "on"),
    [
        (1.87, -157.4, "Pacific/Kiritimati", date(2026, 3, 20)),
        (-13.83, -171.76, "Pacific/Apia", date(2026, 6, 21)),
    ],
)
def test_trap_noon_near_the_date_line_is_a_day_late_in_astral(
    lat: float, lon: float, zone: str, on: date
) -> None:
    noon = astral.sun.noon(astral.Observer(lat, lon, 0), on, tzinfo=ZoneInfo(zone))
    assert noon.date() == on + timedelta(days=1)
    mine = ours(lat, lon, zone, on).noon
    assert mine is not None
    assert local_time(mine, ZoneInfo(zone)).date() == on
    assert (noon - local_time(mine, ZoneInfo(zone))).total_seconds() == pytest.approx(86400, abs=60)


def test_trap_grazing_day_is_refused_by_astral() -> None:
    with pytest.raises(ValueError, match=r"."):
        astral.sun.sunset(
            astral.Observer(69.65, 18.96, 0), date(2026, 5, 18), tzinfo=ZoneInfo("Europe/Oslo")
        )
    assert ours(69.65, 18.96, "Europe/Oslo", date(2026, 5, 18)).first("sunset") is not None


@pytest.mark.parametrize(
    ("lat", "lon", "zone"),
    [
        (51.5, -0.12, "Europe/London"),
        (-33.87, 151.21, "Australia/Sydney"),
        (1.35, 103.82, "Asia/Singapore"),
    ],
)
@pytest.mark.parametrize(
    "on", [date(2026, 1, 10), date(2026, 3, 29), date(2026, 6, 21), date(2026, 10, 25)]
)
def test_astral_agrees_where_it_works(lat: float, lon: float, zone: str, on: date) -> None:
    # Source: astral 3.2, a second code; its sunrise is within 18 s of SPA below latitude 52 (stated
    # tolerance 30 s).
    observer, tz = astral.Observer(lat, lon, 0), ZoneInfo(zone)
    events = ours(lat, lon, zone, on)
    assert events.first("sunrise") == pytest.approx(
        astral.sun.sunrise(observer, on, tzinfo=tz).timestamp(), abs=30
    )
    assert events.first("sunset") == pytest.approx(
        astral.sun.sunset(observer, on, tzinfo=tz).timestamp(), abs=30
    )
    assert events.noon == pytest.approx(
        astral.sun.noon(observer, on, tzinfo=tz).timestamp(), abs=60
    )
