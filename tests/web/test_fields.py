"""Fields on their own: what is typed reads back as the value, and the value as what may be typed."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from werkzeug.datastructures import MultiDict

from scout.errors import Refused
from scout.units import parse_length_m
from scout.values import Name, Said, said
from scout.web.forms import times
from scout.web.forms.base import GroupForm
from scout.web.forms.camera_fields import ShutterField, StopField
from scout.web.forms.fields import (
    AreaField,
    LengthField,
    NumberField,
    PlaceField,
    ShareField,
    exact_length,
    number_as_typed,
)
from scout.web.forms.lines import NumbersField, PointsField, SkylineField, split_line
from scout.web.forms.times import DateField, DatesField, MomentField
from scout.words.figures import fact


class Sample(GroupForm):
    """One field of each kind."""

    number = NumberField("Number", unit="A")
    share = ShareField("Share")
    shutter = ShutterField("Shutter")
    stop = StopField("Stop")
    length = LengthField("Length")
    area = AreaField("Area")
    place = PlaceField("Place")
    points = PointsField("Points")
    numbers = NumbersField("Numbers")
    skyline = SkylineField("Skyline")
    dates = DatesField("Dates")
    moment = MomentField("Moment")
    read_on = DateField("Read on", past=True)


def read(
    name: str,
    typed: str | list[str],
    *,
    units: Any = "metric",
    timezone: str | None = "Europe/London",
) -> Any:
    form = Sample(
        MultiDict([(name, text) for text in ([typed] if isinstance(typed, str) else typed)])
    )
    form.dress(units, timezone)
    return form[name].read()


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_a_number_shown_reads_back_exactly(value: float) -> None:
    """property: nothing is lost by opening and saving a form."""
    shown = number_as_typed(value)
    assert float(shown) == value or abs(float(shown) - value) <= 1e-12


@pytest.mark.parametrize("typed", ["1/0", "fast", "0 degrees", "400°", "1/50/2", "180 deg at 0"])
def test_what_is_no_shutter_is_refused(typed: str) -> None:
    with pytest.raises(Refused):
        read("shutter", typed)


@given(st.floats(min_value=1e-6, max_value=3600))
def test_a_shutter_shown_reads_back(seconds: float) -> None:
    """property: nothing is lost by opening and saving a form."""
    field = Sample()["shutter"]
    field.show(seconds)
    assert read("shutter", field.text) == pytest.approx(seconds, rel=1e-12)


@given(st.floats(min_value=0, max_value=1000), st.sampled_from(["metric", "feet"]))
def test_a_length_shown_reads_back(value: float, units: Any) -> None:
    """property: to a nanometre, in either system."""
    assert parse_length_m(exact_length(value, units)) == pytest.approx(value, abs=1e-9)


@pytest.mark.parametrize(
    ("name", "typed", "value"),
    [
        ("number", "16 A", 16.0),
        ("number", "3,5", 3.5),
        # by hand: an angle is its share of a turn, over the frames in a second
        ("shutter", "1/50", 0.02),
        ("shutter", "1/50 s", 0.02),
        ("shutter", "50", 0.02),
        ("shutter", "0.02", 0.02),
        ("shutter", "2 s", 2.0),
        ("shutter", "180 degrees", 0.02),
        ("shutter", "180° at 24 fps", 1 / 48),
        ("stop", "f/2.8", 2.8),
        ("stop", "f2,8", 2.8),
        ("stop", "T 2.8", 2.8),
        ("stop", "2.8", 2.8),
        ("number", "  ", None),
        ("share", "70 %", 0.7),
        ("share", "0,48", 0.48),
        ("area", "4", 4.0),
        ("area", "4,5 m²", 4.5),
        ("area", "100 sq ft", 9.290304),  # by hand: 100 x 0.3048^2
        ("place", ["2.5", "8' 2\"", "240 cm"], [2.5, 2.4892, 2.4]),  # by hand: 98 in x 0.0254
        ("points", "0, 6.5\n5, 6.5\n\n5 0", [[0, 6.5], [5, 6.5], [5, 0]]),
        ("points", "0; 6,5\n5,5; 6,5", [[0, 6.5], [5.5, 6.5]]),
        ("points", "8' 2\", 10'", [[2.4892, 3.048]]),
        ("numbers", "24 35, 50", [24, 35, 50]),
        ("numbers", "24;35", [24, 35]),
        (
            "skyline",
            "150°, 12\n200 25",
            [{"bearing_deg": 150, "elevation_deg": 12}, {"bearing_deg": 200, "elevation_deg": 25}],
        ),
        ("dates", "2026-06-22, 2026-06-21\n2026-06-21", ["2026-06-21", "2026-06-22"]),
        ("moment", "2026-05-03 10:40", "2026-05-03T10:40:00+01:00"),
        ("moment", "2026-05-03T10:40:30+05:30", "2026-05-03T10:40:30+05:30"),
    ],
)
def test_what_may_be_typed(name: str, typed: Any, value: Any) -> None:
    found = read(name, typed)
    if isinstance(value, list) and value and isinstance(value[0], list):
        assert [part for row in found for part in row] == pytest.approx(
            [part for row in value for part in row]
        )
    else:
        assert (
            found == pytest.approx(value)
            if isinstance(value, (float, list))
            and not isinstance(value[0] if isinstance(value, list) else 0, (str, dict))
            else found == value
        )


@pytest.mark.parametrize(
    ("name", "typed"),
    [
        ("number", "1_000"),
        ("number", "nan"),
        ("number", "inf"),
        ("share", "lots %"),
        ("area", "4 acres"),
        ("place", ["1", "2", ""]),
        ("points", "1,5,2,5"),
        ("points", "1"),
        ("points", "a, b"),
        ("numbers", "24 x"),
        ("skyline", "150"),
        ("dates", "tomorrow"),
        ("moment", "2026-13-01 10:00"),
        ("length", "12' 14\""),
        ("length", "∞"),
    ],
)
def test_what_may_not(name: str, typed: Any) -> None:
    with pytest.raises(Refused) as refused:
        read(name, typed)
    assert refused.value.path == name


@pytest.mark.parametrize(
    ("typed", "dates"),
    [
        ("12 Dec 2026", ["2026-12-12"]),
        ("December 12th, 2026", ["2026-12-12"]),
        ("3. sept. 2027; 1 of may 2027", ["2027-05-01", "2027-09-03"]),
        (
            "Dec 12, 2026, 13 Dec 2026\n2026-12-14 2026-12-15",
            [f"2026-12-{n}" for n in range(12, 16)],
        ),
    ],
)
def test_dates_with_the_name_of_a_month_are_understood(typed: str, dates: list[str]) -> None:
    assert read("dates", typed) == dates


@pytest.mark.parametrize(
    ("now", "typed", "coming", "gone"),
    [
        # by hand: the next such day, that day included; the last one where it is past
        (date(2026, 11, 29), "12 December", "2026-12-12", "2025-12-12"),
        (date(2026, 12, 12), "12 December", "2026-12-12", "2026-12-12"),
        (date(2026, 12, 14), "Dec 12", "2027-12-12", "2026-12-12"),
        (date(2096, 3, 1), "29 Feb", "2104-02-29", "2096-02-29"),  # 2100 is no leap year
    ],
)
def test_a_year_left_out_is_the_next_to_come_and_said(
    monkeypatch: pytest.MonkeyPatch, now: date, typed: str, coming: str, gone: str
) -> None:
    monkeypatch.setattr(times, "today", lambda: now)
    form = Sample(MultiDict([("dates", typed), ("read_on", typed)]))
    assert form["dates"].read() == [coming]
    assert form["read_on"].read() == gone
    told = said("heed.year", typed=Name(typed), on=date.fromisoformat(coming))
    assert form["dates"].told == [told]


@pytest.mark.parametrize(
    ("typed", "named", "code"),
    [
        ("12/12/2026", "12/12/2026", "refused.date_numbers"),
        ("2026-12-01, 3.4.26, 2026-12-02", "3.4.26", "refused.date_numbers"),
        ("31 June 2026", "31 June 2026", "refused.date"),
        ("12, 13 and 14 December", "12, 13 and 14 December", "refused.date"),
        ("2026-12-01\n12 Dezember 2026", "12 Dezember 2026", "refused.date"),
    ],
)
def test_what_is_no_date_is_named_whole(typed: str, named: str, code: str) -> None:
    with pytest.raises(Refused) as refused:
        read("dates", typed)
    because = refused.value.because
    assert isinstance(because, Said)
    assert (refused.value.given, because.code) == (named, code)


def test_without_a_zone_a_local_time_is_refused_and_an_offset_is_enough() -> None:
    with pytest.raises(Refused, match="time zone is not recorded"):
        read("moment", "2026-05-03 10:40", timezone=None)
    assert read("moment", "2026-05-03T10:40+01:00", timezone=None) == "2026-05-03T10:40+01:00"


def test_the_repeated_hour_is_shown_with_its_offset() -> None:
    """An instant that local time alone cannot name must not lose its offset in a form."""
    form = Sample()
    form.dress("metric", "Europe/London")
    form["moment"].show(
        "2026-10-25T01:30:00+00:00"
    )  # the second 01:30 that night: clocks went back at 02:00 BST (tz database)
    assert form["moment"].text == "2026-10-25T01:30:00+00:00"
    assert not form["moment"].as_picker
    form["moment"].show("2026-05-03T10:40:00+01:00")
    assert form["moment"].text == "2026-05-03T10:40"


@pytest.mark.parametrize("line", ["1,5,2,5", "", "1", "1 2 3", ";;"])
def test_a_line_that_can_be_cut_in_two_ways_is_not_cut(line: str) -> None:
    assert split_line(line, 2) is None


def test_paths_are_said_in_words() -> None:
    assert fact("windows.W1.sill_m") == "W1 sill"
    assert fact("room.windows[0].sill_m") == "window 1 sill"
    assert fact("surfaces.B.colour") == "wall B colour"
