"""How good framings, places and the key's strength are, each border on both sides."""

from __future__ import annotations

from datetime import UTC, date, datetime, time
from typing import Any

import pytest

from scout.assess.answers import (
    DaylightAnswer,
    FitAnswer,
    FramingAnswer,
    LuxPoint,
    MarkDaylight,
    PlanLight,
)
from scout.assess.fit.levels import (
    Daylight,
    daylight_on_face,
    framing_level,
    in_frame,
    key_strength,
    lens_level,
    lenses_that_count,
    mark_words,
    place_level,
)
from scout.assess.setup import Setup
from tests.assess.fit.test_fit import sheet


def row(lens: float, name: str = "medium", **figures: Any) -> FramingAnswer:
    away = figures.setdefault("distance_m", 2.0)
    given = {"fits": True, "face_distance_m": away, **figures}
    return FramingAnswer(name=name, focal_length_mm=lens, **given)


@pytest.mark.parametrize(
    ("figures", "level"),
    # common practice: a face nearer than 1.2 m is distorted; a figure is not
    [
        ({}, "good"),
        ({"distance_m": 1.2}, "good"),
        ({"distance_m": 1.199}, "care"),
        ({"distance_m": 1.199, "name": "full_figure"}, "good"),
        ({"fits": False}, "problem"),
        ({"fits": False, "operator_beside": "left"}, "care"),
        ({"fits": False, "behind": "hand_held"}, "care"),
        ({"fits": False, "behind": "clamp"}, "care"),
        ({"fits": None}, "unknown"),
    ],
)
def test_level_of_one_lens(figures: dict[str, Any], level: str) -> None:
    assert lens_level(row(35, **figures)) == level


@pytest.mark.parametrize(
    ("mark_m", "told"), [(2.09, False), (2.11, True), (1.91, False), (1.89, True)]
)
def test_a_mark_elsewhere_is_told_beside_the_framings_distance(mark_m: float, told: bool) -> None:
    mark = mark_words(FitAnswer(mark_distance_m=mark_m), row(35, distance_m=2.0))
    assert (mark is not None) == told
    assert mark_words(FitAnswer(), row(35)) is None


def test_the_lens_that_gives_the_framing_at_the_mark_counts() -> None:
    rows = (row(24, distance_m=1.4), row(35, distance_m=2.2), row(50, distance_m=3.2))
    answer = FitAnswer(framings=rows, mark_distance_m=2.1)
    framed = framing_level(answer, "medium")
    assert framed.level == "good"
    assert framed.row == rows[1]  # by hand: 2.2 is nearest to 2.1
    assert framed.others == (rows[0], rows[2])
    assert framing_level(answer, "medium", 24).row == rows[0]
    assert framing_level(answer, "wide") == framing_level(FitAnswer(), "wide")
    # without a mark the longest lens that fits, which flatters a face most (common practice)
    assert framing_level(FitAnswer(framings=rows), "medium").row == rows[2]


def test_tripod_then_operator_aside_then_hand_then_clamp() -> None:
    ways: tuple[dict[str, Any], ...] = (
        {"distance_m": 1.3, "fits": False, "operator_beside": "left", "behind": "beside"},
        {"distance_m": 1.1},  # a distorted face, but on a tripod (common practice)
        {"fits": False, "behind": "hand_held"},
        {"fits": False, "behind": "clamp"},
    )
    rows = [row(24 + 10 * number, **way) for number, way in enumerate(ways)]
    for number in range(4):
        found = framing_level(FitAnswer(framings=tuple(reversed(rows[number:]))), "medium")
        assert (found.level, found.row) == ("care", rows[number])


def test_a_framing_is_as_good_as_its_best_lens() -> None:
    near, short, shorter = (
        row(16, distance_m=0.9),
        row(50, fits=False, short_m=0.5),
        row(35, fits=False, short_m=0.2),
    )
    assert framing_level(FitAnswer(framings=(near, short)), "medium").level == "care"
    # of what does not fit, the lens that lacks least floor
    none = framing_level(FitAnswer(framings=(short, shorter), mark_distance_m=3.0), "medium")
    assert (none.level, none.row) == ("problem", shorter)
    missing = framing_level(FitAnswer(framings=(row(35, fits=None),)), "medium")
    assert missing.level == "unknown"


def test_lenses_that_count() -> None:
    rows = (
        row(16, distance_m=0.9),  # a face is distorted
        row(24, "two_people"),
        row(35, fits=False, operator_beside="right"),
        row(85, fits=False),
        row(100, "full_figure"),  # no face framing
    )
    answer = FitAnswer(framings=rows, mark_distance_m=2.0)
    assert lenses_that_count(answer, None, None) == (24, 35)
    assert lenses_that_count(answer, "full_figure", None) == (100,)
    assert lenses_that_count(answer, "medium", 85) == (85,)
    # where nothing else frames a face the distorting lens does; where none does, all count
    assert lenses_that_count(FitAnswer(framings=(rows[0], rows[3])), None, None) == (16,)
    assert lenses_that_count(FitAnswer(framings=rows[3:]), None, None) == (85, 100)
    unknown = FitAnswer(framings=(row(35, fits=None), row(50, fits=None)))
    assert lenses_that_count(unknown, "medium", None) == (35, 50)


@pytest.mark.parametrize(
    ("light", "key", "other"),
    [
        (PlanLight(light="a", at_m=(0, 0, 2), fits=True), "good", "good"),
        (PlanLight(light="a", at_m=(0, 0, 2), fits=False), "care", "care"),
        (PlanLight(light="a", at_m=(0, 0, 2), fits=None), "unknown", "unknown"),
        (PlanLight(light="a", fits=False), "problem", "care"),
        (PlanLight(), "unknown", "unknown"),
    ],
)
def test_level_of_a_place(light: PlanLight, key: str, other: str) -> None:
    assert place_level(light, "key") == key
    assert place_level(light, "fill") == place_level(light, "back") == other


def test_in_frame_only_where_every_lens_that_counts_sees_it() -> None:
    def clear(lens: float | None) -> PlanLight:
        return PlanLight(light="a", at_m=(0, 0, 2), clear_from_mm=lens)

    assert not in_frame(clear(24), (24, 50))
    assert not in_frame(clear(50), (24, 50))
    assert in_frame(clear(85), (24, 50))
    assert in_frame(clear(None), (24, 50))
    assert not in_frame(clear(None), ())


@pytest.mark.parametrize(
    ("lux", "needed", "least", "most", "level", "what"),
    [
        (2400.0, 122.5, 0.0, 15000.0, "care", "lost"),  # a key under the sun
        (2400.0, 122.5, 0.0, 2400.0, "good", "strong"),
        (2400.0, 122.5, 0.0, 2401.0, "care", "lost"),
        # by hand: 100 / 2^0.1 = 93.3, a tenth of a stop that is let pass; 100 / 2 = 50, a stop
        (93.4, 100.0, 0.0, 0.0, "good", "strong"),
        (93.2, 100.0, 0.0, 0.0, "care", "weak"),
        (50.0, 100.0, 0.0, 0.0, "care", "weak"),
        (49.9, 100.0, 0.0, 0.0, "problem", "weak"),
        # by hand: 30 lx of key and 70 of the darkest day are the 100 that are needed
        (30.0, 100.0, 70.0, 80.0, "care", "lost"),
        (0.0, 100.0, 0.0, 0.0, "problem", "turned_away"),
        (None, 100.0, 0.0, 0.0, "unknown", "unknown"),
        (50.0, None, 0.0, 0.0, "unknown", "unknown"),
        (50.0, None, 0.0, 51.0, "care", "lost"),
    ],
)
def test_strength_of_the_key(
    lux: float | None, needed: float | None, least: float, most: float, level: str, what: str
) -> None:
    key = PlanLight(light="key", at_m=(0, 0, 2), lux=lux)
    found = key_strength(key, needed, Daylight(least, most, None))
    assert found is not None
    assert (found.level, found.what) == (level, what)


def test_a_key_without_a_place_is_another_matter() -> None:
    assert key_strength(PlanLight(light="key", lux=90.0), 100.0, None) is None
    # by hand: log2(15000 / 2400) = 2.64 stops under the sun, log2(50 / 100) = 1 short
    key = PlanLight(light="key", at_m=(0, 0, 2), lux=2400.0)
    lost = key_strength(key, None, Daylight(0.0, 15000.0, None))
    assert lost is not None
    assert lost.stops == pytest.approx(-2.644, abs=0.001)


def hour(at: int, *lux: float | None) -> LuxPoint:
    level, clear, side, side_clear = lux
    moment = datetime(2026, 6, 21, at, tzinfo=UTC)
    return LuxPoint(moment, level, clear, None, side, side_clear)


def test_daylight_on_the_face_in_the_scenes_hours() -> None:
    series = (hour(10, 100, 400, 30, 90), hour(12, 200, 800, 60, 300), hour(14, 150, 500, 50, 200))
    side = MarkDaylight(series=series, overcast_lux_noon=200, camera_overcast_lux_noon=60)
    level = MarkDaylight(series=series, overcast_lux_noon=200, clear_lux_noon=800)
    place = {"latitude_deg": 52.2, "longitude_deg": 0.12, "timezone": "UTC"}
    at = sheet().model_copy(update={"location": sheet_location(place)})
    on = date(2026, 6, 21)
    all_day = Setup(at, on)
    assert daylight_on_face(all_day, DaylightAnswer(marks={"subject": side})) == Daylight(
        0.0, 300, series[1].at
    )
    assert daylight_on_face(all_day, DaylightAnswer(marks={"subject": level})) == Daylight(
        0.0, 800, series[1].at
    )
    after = Setup(at, on, from_time=time(13), until_time=time(15))
    assert daylight_on_face(after, DaylightAnswer(marks={"subject": side})) == Daylight(
        50, 200, series[2].at
    )
    night = Setup(at, on, from_time=time(22), until_time=time(23))
    assert daylight_on_face(night, DaylightAnswer(marks={"subject": side})) is None
    noon = MarkDaylight(overcast_lux_noon=200, clear_lux_noon=800)
    assert daylight_on_face(all_day, DaylightAnswer(marks={"subject": noon})) == Daylight(
        0.0, 800, None
    )
    assert daylight_on_face(all_day, DaylightAnswer()) is None


def sheet_location(place: dict[str, Any]) -> Any:
    from scout.records.sheet import SheetLocation  # of one test

    return SheetLocation.read(place)
