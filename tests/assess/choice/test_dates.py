"""Which dates of a scene are judged, and what is said of the worst and the best of them."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from scout.assess.choice.cells import Case, NeedCell, Reading
from scout.assess.choice.dates import (
    MOST_JUDGED,
    OnDate,
    _sun_low,
    cells_over_dates,
    on_dates,
    telling,
)
from scout.records.kept import Need
from scout.values import said
from tests.assess.choice.candidates import candidate, scene

HEIGHT = {"topic": "height", "strength": "must", "height_m": 2.5}
NOISE = {"topic": "noise", "strength": "wish", "weight": 1, "laeq_db": 35}
DAYS = (date(2026, 6, 20), date(2026, 9, 20), date(2026, 12, 20))


def test_few_dates_are_all_judged_each_once() -> None:
    days = [date(2026, 5, 1) + timedelta(days=k) for k in range(MOST_JUDGED)]
    assert telling([*reversed(days), days[0]]) == tuple(days)


def test_of_many_the_first_and_those_of_the_lowest_and_highest_sun() -> None:
    """By hand: from March to December 21 June has the highest, 21 December the lowest sun."""
    days = [date(2026, 3, 1) + timedelta(days=7 * k) for k in range(42)]
    nearest = {
        month: min(days, key=lambda day: abs(day - date(2026, month, 21))) for month in (6, 12)
    }
    assert telling(days) == (days[0], nearest[6], nearest[12])


@pytest.mark.parametrize(
    ("day", "low"),
    # by hand: a quarter of a year after a solstice it is half way
    [
        (date(2026, 12, 21), -1.0),
        (date(2026, 6, 21), 1.0),
        (date(2026, 3, 22), 0.0),
        (date(2026, 9, 20), 0.0),
        (date(2026, 1, 20), -0.87),
    ],
)
def test_the_sun_over_the_year(day: date, low: float) -> None:
    assert _sun_low(day) == pytest.approx(low, abs=0.02)


def over(figures: dict[date, tuple[str, float]]) -> tuple[tuple[NeedCell, ...], tuple[OnDate, ...]]:
    """A height of a level and a figure by date; noise is the same on each."""

    def height(need: Need, case: Case) -> NeedCell:
        level, figure = figures[case.facts.assessment.date]
        return NeedCell(level, None, said("need.within"), Reading.about(figure))  # type: ignore[arg-type]

    def noise(need: Need, case: Case) -> NeedCell:
        return NeedCell("care", None, said("need.within"), Reading.about(36.0))

    one = candidate()
    found = [replace(one.assessment, date=day) for day in figures]
    facts = replace(one, assessment=found[0], other_dates=tuple(found[1:]))
    return cells_over_dates(scene(HEIGHT, NOISE), facts, {"height": height, "noise": noise})


def test_one_date_is_told_as_it_is() -> None:
    cells, dates = over({DAYS[0]: ("pass", 2.6)})
    # 36 dBA where 35 are asked, within its doubt: nobody can tell
    assert [cell.level for cell in cells] == ["pass", "unknown"]
    assert dates == ()
    assert on_dates(dates) is None


def test_a_cell_is_as_on_its_worst_date_and_says_the_best() -> None:
    cells, dates = over({DAYS[0]: ("pass", 2.6), DAYS[1]: ("fail", 2.4), DAYS[2]: ("pass", 2.7)})
    assert cells[0].level == "fail"
    why = cells[0].why
    assert why is not None
    assert (why.code, why["worst"], why["level"].key) == ("need.dates", DAYS[1], "pass")
    assert why["best"] in (DAYS[0], DAYS[2])
    assert cells[1].why == said("need.within")
    # worst first; of the others the earlier; only what is required counts
    assert dates == (OnDate(DAYS[1], 0, 1), OnDate(DAYS[0], 1, 1), OnDate(DAYS[2], 1, 1))
    line = on_dates(dates)
    assert line == said("choice.on_dates", worst=DAYS[1], least=0, of=1, best=DAYS[2], most=1)


def test_of_one_level_the_worse_figure_counts() -> None:
    """By hand: of heights the lower is the worse."""
    cells, dates = over({DAYS[0]: ("pass", 2.9), DAYS[1]: ("pass", 2.6), DAYS[2]: ("pass", 2.7)})
    assert cells[0].reading is not None
    assert cells[0].reading.figure == 2.6
    assert cells[0].why == said("need.within")
    assert on_dates(dates) == said("choice.on_dates_alike", met=1, of=1)


def test_what_does_not_apply_is_not_counted() -> None:
    _, dates = over({DAYS[0]: ("outside", 2.9), DAYS[1]: ("outside", 2.6)})
    assert [(one.met, one.of) for one in dates] == [(0, 0), (0, 0)]
    assert on_dates(dates) is None
