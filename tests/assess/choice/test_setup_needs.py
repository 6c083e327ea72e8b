"""Needs of the setup at its hours, at their borders by hand; facts are invented beside each test."""

from __future__ import annotations

from datetime import datetime
from typing import Any

import pytest

from scout.assess import answers as a
from scout.assess.choice.cells import CandidateFacts
from scout.assess.choice.compare import compare
from scout.assess.fit.levels import framing_level
from scout.packet.crew.sheets import camera_away
from scout.packet.setting.table import Cell
from scout.values import Figure, Many, Name, Said, Spell, Word, said
from scout.words.figures import length
from tests.assess.choice.candidates import (
    NO_CAMERA,
    NOT_MEASURED,
    ON,
    OTHER,
    WHY,
    at,
    candidate,
    check,
    judged,
    scene,
)


def framing(
    focal: float,
    distance: float | None,
    *,
    fits: bool | None,
    why: Said | None = None,
    unknown: Said | None = None,
    beside: bool | None = None,
) -> a.FramingAnswer:
    return a.FramingAnswer(
        name="medium",
        focal_length_mm=focal,
        distance_m=distance,
        face_distance_m=distance,
        fits=fits,
        why=why,
        unknown=unknown,
        operator_beside=beside,
        short_m=None if fits else 0.01 * focal,
    )


FRAMED = {"topic": "framing", "framing": "medium"}


def framed(*rows: a.FramingAnswer, mark_m: float | None = None) -> Any:
    fit = a.FitAnswer(framings=rows, mark_distance_m=mark_m)
    return judged(FRAMED, candidate(fit=fit))


def test_framing() -> None:
    rows = (
        framing(50, 3.2, fits=True),
        framing(24, 1.5, fits=True),
        framing(85, 5.4, fits=False, why=WHY),
    )
    cell = framed(*rows)
    lenses = Many((Figure(24, "mm"), Figure(50, "mm")), "list")
    check(cell, "pass", lenses, "need.best_lens")
    assert (cell.why["lens"], cell.why["away"]) == (Figure(50, "mm"), Figure(3.2, "m"))
    # property: where the camera has a mark, the lens that does it from nearest there
    assert framed(*rows, mark_m=1.6).why["lens"] == Figure(24, "mm")
    assert framed(*rows, mark_m=1.55).why["mark"] is None  # it stands there
    # property: page, packet and finding tell one pair of distances
    apart = framed(*rows, mark_m=2.31).why
    best = framing_level(a.FitAnswer(framings=rows, mark_distance_m=2.31), "medium").row
    assert best is not None
    assert best.face_distance_m is not None
    stood = (best.face_distance_m, 0.0, 1.2)
    answer = a.FitAnswer(framings=rows, mark_distance_m=2.31, camera_m=stood)
    on_paper = camera_away(answer, (0.0, 0.0, 1.2))
    assert isinstance(on_paper, Cell)
    assert apart["mark"] == Figure(2.31, "m")
    assert str(on_paper.text) == length(apart["away"].value)
    assert str(on_paper.more) == str(said("packet.its_mark", away=apart["mark"]))


def test_framing_that_no_lens_gives_names_the_one_that_lacks_least() -> None:
    cell = framed(framing(85, 5.4, fits=False, why=WHY), framing(50, 3.2, fits=False, why=OTHER))
    check(cell, "fail", said("need.needs_room", distance=Figure(3.2, "m")), "need.at_lens")
    assert (cell.why["lens"], cell.why["why"]) == (Figure(50, "mm"), OTHER)
    bare = framed(framing(50, None, fits=False))
    check(bare, "fail", "need.no_lens", "need.no_lens_fits")


def test_framing_at_a_price_is_care_and_unknown_is_unknown() -> None:
    # by hand: under 1.0 m a face is drawn out of shape (fit.levels)
    close = framed(framing(24, 0.9, fits=True, why=WHY))
    assert (close.level, close.why) == ("care", WHY)
    beside = framed(framing(50, 3.2, fits=False, why=WHY, beside=True))
    assert (beside.level, beside.why) == ("care", WHY)
    vague = framed(framing(50, 3.2, fits=None, unknown=WHY))
    assert (vague.level, vague.why) == ("unknown", WHY)
    assert judged(FRAMED).why == NO_CAMERA


def noisy(level: float, method: str | None) -> CandidateFacts:
    reading = {"id": "N1", "laeq_db": level, **({"method": method} if method else {})}
    return candidate(room={"noise": [reading]})


@pytest.mark.parametrize(
    ("level", "method", "expected", "why"),
    [
        # by hand: the ceiling is 35 dBA; under it by more than the doubt passes, over it by more
        # fails, between wants care; a meter of class 2 errs by 1.5 dB, an app by 5, an ear by 6
        (30.0, "meter_class_2", "pass", "noise.under"),
        (35.0, "meter_class_2", "pass", "noise.under"),
        (36.4, "meter_class_2", "unknown", "noise.over"),
        (36.6, "meter_class_2", "fail", "noise.over"),
        (29.0, "phone_app", "pass", "noise.under"),
        (33.0, "phone_app", "care", "noise.under"),
        (39.0, "phone_app", "unknown", "noise.over"),
        (41.0, "phone_app", "fail", "noise.over"),
        (40.0, None, "unknown", "noise.over"),
        (38.0, "estimate", "unknown", "noise.over"),
    ],
)
def test_noise(level: float, method: str | None, expected: str, why: str) -> None:
    cell = judged({"topic": "noise", "laeq_db": 35}, noisy(level, method))
    check(cell, expected, None, why)
    assert (cell.figure.value, cell.figure.unit) == (level, "dBA")


def test_noise_nobody_read_is_unknown() -> None:
    check(judged({"topic": "noise", "laeq_db": 35}), "unknown", NOT_MEASURED, "noise.none")


def test_noise_of_other_hours_does_not_fail_a_scene() -> None:
    # by hand: 41 dBA was read at 08:00 by a meter, 6 over; the scene is from 10:00
    reading = {
        "id": "N1",
        "laeq_db": 41,
        "method": "meter_class_2",
        "taken_at": "2026-06-21T08:00:00+01:00",
    }
    facts = candidate(room={"noise": [reading]}, place={"timezone": "Europe/London"})
    when = {"topic": "when", "dates": ["2026-06-21"], "from_time": "10:00", "until_time": "12:00"}
    need = {"topic": "noise", "laeq_db": 35}
    assert judged(need, facts, also=(when,)).level == "unknown"
    assert judged(need, facts, also=({**when, "from_time": "07:30"},)).level == "fail"


def lit(
    enough: tuple[datetime, datetime] | None, clear: float = 900.0, overcast: float = 410.0
) -> CandidateFacts:
    """Light that is enough under cloud between two hours and dim else, a point an hour."""
    series = tuple(
        a.LuxPoint(
            at(hour),
            overcast if enough and enough[0] <= at(hour) <= enough[1] else 40.0,
            clear if 4 <= hour <= 21 else 40.0,
            False,
        )
        for hour in range(24)
    )
    noon = overcast if enough else 40.0
    mark = a.MarkDaylight(
        daylight_factor_pct=1.9,
        overcast_lux_noon=noon,
        clear_lux_noon=clear,
        series=series,
        enough_from=enough and enough[0],
        enough_until=enough and enough[1],
    )
    return candidate(daylight=a.DaylightAnswer(marks={"subject": mark}, needed_lux=250.0))


WANTED = {"topic": "daylight", "want": "wanted"}


def test_daylight_wanted() -> None:
    cell = judged(WANTED, lit((at(8), at(18, 30))))
    check(cell, "pass", "need.lux_noon", "need.light_enough")
    assert (cell.figure["lux"], cell.figure["needed"]) == (
        Figure(410.0, "lux"),
        Figure(250.0, "lux"),
    )
    assert cell.why["spell"] == Spell(at(8), at(18, 30))
    assert cell.why["where"] == Word("plane", "level")
    check(judged(WANTED, lit(None)), "care", None, "need.light_clear")
    check(judged(WANTED, lit(None, clear=200.0)), "fail", None, "need.light_short")
    assert judged(WANTED).why == WHY
    # by hand: 410 x 16 is four stops over 250 lux and more: ND
    check(
        judged(WANTED, lit((at(8), at(18, 30)), overcast=6560.0)), "care", None, "need.light_bright"
    )


@pytest.mark.parametrize(
    ("hours", "level"),
    [
        # by hand: light from 08:00 to 18:30
        ({"from_time": "08:00", "until_time": "18:30"}, "pass"),
        ({"from_time": "07:59", "until_time": "12:00"}, "care"),
        ({"from_time": "09:00", "until_time": "19:00"}, "care"),
        ({"from_time": "17:00", "until_time": "02:00"}, "care"),  # into the next day
    ],
)
def test_daylight_must_last_for_the_hours_wanted(hours: dict[str, str], level: str) -> None:
    when = {"topic": "when", "dates": ["2026-06-21"], **hours}
    assert judged(WANTED, lit((at(8), at(18, 30))), also=(when,)).level == level


@pytest.mark.parametrize(
    ("room", "level", "why"),
    [
        (
            {"windows": [{"id": "W1", "wall": "A", "covering": "blackout"}]},
            "pass",
            "need.blackout",
        ),
        ({"windows": []}, "pass", "need.no_window"),
        (
            {"windows": [{"id": "W1", "wall": "A", "covering": "blind"}]},
            "care",
            "need.blinds",
        ),
        (
            {
                "windows": [
                    {"id": "W1", "wall": "A", "covering": "sheer"},
                    {"id": "W2", "wall": "B"},
                ]
            },
            "fail",
            "need.bare",
        ),
        ({"windows": [{"id": "W1", "wall": "A"}]}, "unknown", "unmeasured"),
        ({}, "unknown", "unmeasured.many"),
        ({"setting": "exterior"}, "fail", "need.not_outdoors"),
        ({"setting": "covered"}, "fail", "need.from_the_side"),
    ],
)
def test_daylight_shut_out(room: dict[str, Any], level: str, why: str) -> None:
    check(judged({"topic": "daylight", "want": "shut_out"}, candidate(room=room)), level, None, why)


def cast(risk: a.Risk) -> CandidateFacts:
    rows = (
        a.SurroundAnswer(light="key", side="key", risk="none", delta_e=0.2, worst_surface="floor"),
        a.SurroundAnswer(light="key", side="shadow", risk=risk, delta_e=7.25, worst_surface="C"),
    )
    return candidate(surround=rows)


@pytest.mark.parametrize(
    ("most", "found", "level"),
    [
        ("low", "none", "pass"),
        ("low", "low", "pass"),
        ("low", "medium", "care"),
        ("low", "high", "fail"),
        ("medium", "high", "fail"),
        ("none", "low", "care"),
        ("none", "medium", "fail"),
    ],
)
def test_colour(most: str, found: a.Risk, level: str) -> None:
    cell = judged({"topic": "colour", "risk": most}, cast(found))
    assert (cell.level, cell.figure) == (level, Figure(7.25, "delta_e"))
    assert (cell.why["light"], cell.why["surface"]) == (Name("key"), Word("surface", "C"))


def test_the_worst_cast_is_the_worst_of_its_class_not_the_first() -> None:
    rows = tuple(
        a.SurroundAnswer(light=light, side="shadow", risk="high", delta_e=cast_of)
        for light, cast_of in (("key", 6.0), ("fill", 13.2), ("back", 9.0))
    )
    cell = judged({"topic": "colour", "risk": "low"}, candidate(surround=rows))
    assert (cell.level, cell.figure) == ("fail", Figure(13.2, "delta_e"))
    assert cell.why["light"] == Name("fill")


def test_colour_unknown_says_why_and_outdoors_it_does_not_apply() -> None:
    need = {"topic": "colour", "risk": "low"}
    assert judged(need).why == OTHER
    row = a.SurroundAnswer(light="key", side="key", unknown=WHY)
    cell = judged(need, candidate(surround=(row,)))
    assert (cell.level, cell.why) == ("unknown", WHY)
    garden = candidate(room={"setting": "exterior"}, surround=(row,))
    check(judged(need, garden), "outside", None, "need.no_walls")
    # property: what does not apply is not counted at the head, neither met nor unmet
    head = compare(scene({"strength": "must", **need}), ON, [garden]).candidates[0]
    assert head.summary.code == "need.none"
