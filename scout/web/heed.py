"""What is said at once of dates and hours that were kept and may be slips of the pen."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date, time
from typing import Any

from flask import flash

from scout.records import LocationRecord, ProductionRecord, SceneRecord, SetupRecord
from scout.records.kept import WhenNeed
from scout.values import Many, Said, Spell, said
from scout.web.forms.base import RecordForm
from scout.web.forms.fields import leaves
from scout.web.forms.times import today

MOST_SHOWN = 6  # of the dates of one line


def heed_typed(form: RecordForm[Any]) -> None:
    """Say what was taken for granted in reading a form that is kept now."""
    for field in leaves(form):
        for note in getattr(field, "told", ()):
            flash(str(note))


def heed(kept: Any, before: Any = None, shoot_dates: Sequence[date] | None = None) -> None:
    """Say what may be a slip in a place, production, scene or setup that is kept now, unless it was so
    before. `shoot_dates`: those of its production.
    """
    known = () if before is None else set(_slips(before, shoot_dates))
    for note in dict.fromkeys(_slips(kept, shoot_dates)):
        if note not in known:
            flash(str(note), "care")


def _slips(kept: Any, shoot_dates: Sequence[date] | None) -> Iterator[Said]:
    if isinstance(kept, LocationRecord):
        for hours in (kept.opening_hours, kept.parking_hours):
            for week in (hours.week or ()) if hours else ():
                yield from _through_midnight(week.opens, week.closes)
            for day in (hours.dates or ()) if hours else ():
                yield from _through_midnight(day.opens, day.closes)
    elif isinstance(kept, ProductionRecord):
        yield from _past(kept.shoot_dates or ())
    elif isinstance(kept, SceneRecord):
        whens = [need for need in kept.needs or () if isinstance(need, WhenNeed)]
        dates = sorted({day for need in whens for day in need.dates})
        yield from (*_past(dates), *_no_shoot_day(dates, shoot_dates))
        for need in whens:
            yield from _through_midnight(need.from_time, need.until_time)
    elif isinstance(kept, SetupRecord):
        dates = [kept.on] if kept.on is not None else []
        yield from (*_past(dates), *_no_shoot_day(dates, shoot_dates))
        yield from _through_midnight(kept.from_time, kept.until_time)


def _past(dates: Iterable[date]) -> Iterator[Said]:
    now = today()
    past = [day for day in dates if day < now]
    if past:
        yield said("heed.past", dates=_listed(past), n=len(past))


def _no_shoot_day(dates: Iterable[date], shoot_dates: Sequence[date] | None) -> Iterator[Said]:
    other = [day for day in dates if day not in (shoot_dates or ())]
    if other and shoot_dates:
        shot = _listed(shoot_dates)
        yield said("heed.no_shoot_day", dates=_listed(other), shot=shot, n=len(other))


def _through_midnight(begin: str | None, end: str | None) -> Iterator[Said]:
    if begin is not None and end is not None and end < begin:
        spell = Spell(time.fromisoformat(begin), time.fromisoformat(end))
        yield said("heed.midnight", spell=spell)


def _listed(dates: Sequence[date]) -> Many:
    return Many(tuple(dates[:MOST_SHOWN]))
