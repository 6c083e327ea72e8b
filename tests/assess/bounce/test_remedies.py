"""Remedies are worked out again with them done, and the doubt of the colours is carried to the
verdict.
"""

from __future__ import annotations

import numpy as np
import pytest

from scout.assess.answers import RemedyAnswer
from scout.assess.bounce.bounce import bounce, surround
from scout.assess.bounce.doubt import doubted
from scout.assess.bounce.remedies import remedies
from scout.calc.bounce.shift import RISKS
from scout.records.sheet import RoomSheet
from tests.assess.bounce.test_bounce import (
    FLOOR_CEILING,
    GREEN_WALL,
    GREY_ROOM,
    RED_ROOM,
    at,
    flat,
    off,
    sheet,
    side,
    spectrum,
)
from tests.calc.bounce.charts import GREEN

GREEN_ROOM = {**GREEN_WALL, "A": flat(0.7)}
LIGHT = at((2.5, 1.5, 1.2))


def green() -> RoomSheet:
    return sheet(GREEN_ROOM, marks={"subject": [0.5, 1.5, 1.2], "subject_normal": [1, 0, 0]})


def found(
    made: RoomSheet, place: tuple[float, float, float] = (2.5, 1.5, 1.2)
) -> tuple[RemedyAnswer, ...]:
    lights = at(place)
    return remedies(made, lights, bounce(made, lights), surround(made, lights))


def test_white_over_the_green_wall_cleans_the_fill() -> None:
    (cover,) = [
        row
        for row in found(green())
        if row.target == "shadow side" and row.action.startswith("cover")
    ]
    # property: worked out again means the same as a room recorded with that wall white, when the
    # whole wall is covered
    white = sheet(
        {**GREEN_ROOM, "D": flat(0.85)},
        marks={"subject": [0.5, 1.5, 1.2], "subject_normal": [1, 0, 0]},
    )
    there = side(surround(white, LIGHT), "shadow")
    assert cover.surface == "D"
    assert cover.delta_e_before == pytest.approx(
        24, abs=0.5
    )  # Source: worked room 5a, computed independently by patches
    assert cover.delta_e_after is not None
    assert cover.delta_e_after < (cover.delta_e_before or 0) / 4
    if "the whole" in cover.action:
        assert cover.delta_e_after == pytest.approx(there.delta_e, abs=0.05)
    assert cover.stops_change is not None
    assert cover.stops_change > 0
    assert cover.amount is not None
    assert 0 < cover.amount <= 3 * 2.5 + 1e-6


def test_moving_away_and_the_black_flag() -> None:
    rows = {row.action.split()[0]: row for row in found(green()) if row.target == "shadow side"}
    # property: further from the green wall less of what arrives comes from it; a black flag only
    # takes light away
    assert rows["move"].delta_e_after is not None
    assert rows["move"].delta_e_after < (rows["move"].delta_e_before or 0)
    assert rows["move"].unit == "m"
    assert rows["stand"].stops_change is not None
    assert rows["stand"].stops_change < -0.5


def test_gels_bring_a_warm_ceiling_back() -> None:
    rows = [
        row
        for row in found(sheet(RED_ROOM), (2, 1.5, 1.5))
        if row.target == "bounce off the ceiling"
    ]
    gel = next(row for row in rows if row.action.startswith("put"))
    assert gel.delta_e_after is not None
    assert gel.delta_e_after < (gel.delta_e_before or 0)
    assert gel.stops_change is not None
    assert gel.stops_change < 0
    assert "blue" in gel.action
    assert "plus green" in gel.action
    balance = next(row for row in rows if row.action.startswith("balance"))
    assert balance.delta_e_after == 0.0


def test_nothing_is_offered_where_nothing_is_wrong_or_known() -> None:
    assert found(sheet(GREY_ROOM)) == ()
    assert found(sheet({"A": flat(0.5)})) == ()


def test_doubt_is_carried_to_the_verdict() -> None:
    made = sheet(RED_ROOM)
    lights = at((2, 1.5, 1.5))
    rows, _ = doubted(made, lights, bounce(made, lights), surround(made, lights))
    ceiling = off(rows, "ceiling")
    assert ceiling.risk_range is not None
    assert ceiling.doubt is not None
    low, high = (RISKS.index(risk) for risk in ceiling.risk_range)
    assert low <= RISKS.index(ceiling.risk or "none") <= high
    again, _ = doubted(made, lights, bounce(made, lights), surround(made, lights))
    assert again == rows  # property: the draws are the same every time


def test_lightness_alone_is_doubted_more_than_a_spectrum() -> None:
    # property: a grey known by lightness alone may be a tinted paint; one measured by spectrum may
    # not
    vague = sheet({**dict.fromkeys("ABCD", flat(0.6)), **FLOOR_CEILING})
    grey = " ".join(["0.6"] * 36)
    sure = sheet(dict.fromkeys(["A", "B", "C", "D", "floor", "ceiling"], spectrum(grey)))
    spans = []
    for made in (vague, sure):
        rows, _ = doubted(made, LIGHT, bounce(made, LIGHT), surround(made, LIGHT))
        ranges = [row.risk_range for row in rows if row.risk_range is not None]
        spans.append(np.mean([RISKS.index(high) - RISKS.index(low) for low, high in ranges]))
    assert spans[0] > spans[1]


def test_a_room_with_one_measured_surface_has_no_invented_doubt() -> None:
    made = sheet({"A": spectrum(GREEN)})
    rows, sides = doubted(made, LIGHT, bounce(made, LIGHT), surround(made, LIGHT))
    assert all(row.risk_range is None for row in rows)
    assert all(row.risk_range is None for row in sides)
