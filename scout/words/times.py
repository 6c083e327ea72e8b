"""Instants, times of day and dates as a reader says them, by Babel."""

from __future__ import annotations

from datetime import date, datetime, time
from zoneinfo import ZoneInfo

from babel.dates import format_date, format_time, get_day_names

from scout.words.language import locale_of
from scout.words.reader import Reader


def clock(moment: datetime | time, reader: Reader) -> str:
    """Time of day to the minute, by the reader's clock where one is named."""
    if isinstance(moment, datetime):
        moment = by_the_clock(moment, reader).time()
    return format_time(moment, "HH:mm", locale=locale_of(reader.language))


FORMS = {
    "date": "d MMM y",
    "long": "EEEE d MMMM y",
    "brief": "EEE d MMM",
    "dated": "EEE d MMM y",
    "short": "d MMM",
    "month": "MMM",
}


def day(value: date, reader: Reader, form: str = "date") -> str:
    """A date in words: 3 May 2026; long: Sunday 3 May 2026; brief: Sun 3 May; dated: Sun 3 May 2026; short: 3 May; month: May."""
    return format_date(value, FORMS[form], locale=locale_of(reader.language))


WEEK = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


def weekday(key: str, reader: Reader) -> str:
    """The name of a day of the week."""
    return str(get_day_names("wide", locale=locale_of(reader.language))[WEEK.index(key)])


def offset(moment: datetime) -> str:
    """How far an instant's clock is from UTC: `UTC+01:00`; empty where that is not known."""
    away = moment.utcoffset()
    if away is None:
        return ""
    return "UTC" if not away else f"UTC{moment.isoformat()[-6:]}"


def offset_for(moment: datetime | time, reader: Reader) -> str:
    """The same by the reader's clock; empty for a time of day."""
    return offset(by_the_clock(moment, reader)) if isinstance(moment, datetime) else ""


def by_the_clock(moment: datetime, reader: Reader) -> datetime:
    """An instant by the reader's clock, where one is named and the instant knows its own."""
    if reader.timezone and moment.tzinfo is not None:
        return moment.astimezone(ZoneInfo(reader.timezone))
    return moment


def when(moment: datetime, reader: Reader) -> str:
    """An instant as day and time, with the offset where neither a zone is named nor the instant is
    one of the program's own, which are said by the clock of whoever reads.
    """
    there = by_the_clock(moment, reader)
    zone = "" if reader.timezone else offset(moment)
    if zone == "UTC" and reader.home is not None and (home := reader.home()) is not None:
        there, zone = moment.astimezone(ZoneInfo(home)), ""
    return f"{day(there, reader)}, {clock(there, reader)} {zone}".rstrip()
