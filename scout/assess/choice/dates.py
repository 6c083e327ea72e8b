"""A date that is not chosen yet: a room on several of the dates it may be, the worst and the best."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from math import cos, pi
from typing import Any

from scout.assess.answers import RoomAssessment
from scout.assess.choice.cells import MEETS, WORSE, CandidateFacts, Case, NeedCell
from scout.assess.choice.scales import scale_of, settled
from scout.records.kept import SceneRecord
from scout.values import Said, Word, said

Judge = Callable[[Any, Case], NeedCell]
MOST_JUDGED = 3
MIDWINTER = (12, 21)  # of the north; the sun's way through the year is the same but for its sign


@dataclass(frozen=True)
class OnDate:
    """What a room comes to on one of the dates it may be used on: how much of what is required is
    met, as the choice counts it.
    """

    on: date
    met: int
    of: int


def telling(dates: Iterable[date]) -> tuple[date, ...]:
    """Of the dates a room may be used on, those that tell most: the first, and those on which the
    sun stands lowest and highest. What hangs on the sun lies between the last two.
    """
    days = sorted(set(dates))
    if len(days) <= MOST_JUDGED:
        return tuple(days)
    by_sun = sorted(days, key=_sun_low)
    return tuple(sorted({days[0], by_sun[0], by_sun[-1]}))


def _sun_low(day: date) -> float:
    """-1 at the northern midwinter to 1 at its midsummer, as the sun's declination goes."""
    return -cos(2.0 * pi * (day - date(day.year, *MIDWINTER)) / timedelta(days=365.25))


def cells_over_dates(
    scene: SceneRecord, facts: CandidateFacts, judges: dict[str, Judge]
) -> tuple[tuple[NeedCell, ...], tuple[OnDate, ...]]:
    """The cells of a room, each as on its worst date, and the dates from worst to best; no dates
    where one alone is judged.
    """
    needs = scene.needs or ()
    by_date = [
        (
            found,
            [
                settled(
                    need, judges[need.topic](need, Case(replace(facts, assessment=found), scene))
                )
                for need in needs
            ],
        )
        for found in (facts.assessment, *facts.other_dates)
    ]
    if len(by_date) == 1:
        return tuple(by_date[0][1]), ()
    cells = tuple(
        _worst(scale_of(need).sense, [(found, row[at]) for found, row in by_date])
        for at, need in enumerate(needs)
    )
    required = [at for at, need in enumerate(needs) if need.strength == "must"]
    days = []
    for found, row in by_date:
        asked = [at for at in required if row[at].level != "outside"]
        met = sum(MEETS[row[at].level] is True for at in asked)
        days.append((met, -sum(map(_badness, row)), OnDate(found.date, met, len(asked))))
    days.sort(key=lambda day: (day[0], day[1], day[2].on))
    return cells, tuple(day for _, _, day in days)


def on_dates(dates: Sequence[OnDate]) -> Said | None:
    """The worst and the best of the dates; None where one alone is judged, or nothing is required."""
    if not dates or not dates[0].of:
        return None
    worst, best = dates[0], dates[-1]
    if worst.met == best.met:
        return said("choice.on_dates_alike", met=worst.met, of=worst.of)
    return said(
        "choice.on_dates",
        worst=worst.on,
        least=worst.met,
        of=worst.of,
        best=best.on,
        most=best.met,
    )


def _badness(cell: NeedCell) -> int:
    return WORSE.index(cell.level)


def _worst(sense: float, cells: Sequence[tuple[RoomAssessment, NeedCell]]) -> NeedCell:
    """The worst of a need's cells, by its figure where the level is the same; it also says the best
    where that is of another level.
    """

    def badness(pair: tuple[RoomAssessment, NeedCell]) -> tuple[int, float]:
        figure = pair[1].reading.figure if pair[1].reading is not None else None
        return _badness(pair[1]), -sense * (figure or 0.0)

    found, cell = max(cells, key=badness)
    best, other = min(cells, key=badness)
    if other.level == cell.level:
        return cell
    why = said(
        "need.dates",
        why=cell.why,
        worst=found.date,
        best=best.date,
        level=Word("need_level", other.level),
        figure=other.figure,
    )
    return replace(cell, why=why)
