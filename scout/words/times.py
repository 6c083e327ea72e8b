"""Instants, times of day and dates as a reader says them, by Babel."""

from __future__ import annotations

from datetime import date, datetime, time
from zoneinfo import ZoneInfo

from babel.dates import format_date, format_time, get_day_names

from scout.words.language import locale_of
from scout.words.reader import Reader


def clock(moment: datetime | time, reader: Reader) -> str:
    """Time of day to the minute, by the reader's clock where one is named."""
    if isinstance(moment, datetime) and reader.timezone and moment.tzinfo is not None:
        moment = moment.astimezone(ZoneInfo(reader.timezone))
    return format_time(
        moment.time() if isinstance(moment, datetime) else moment,
        "HH:mm",
        locale=locale_of(reader.language),
    )


def day(value: date, reader: Reader, *, long: bool = False) -> str:
    """A date in words: 3 May 2026; long: Sunday 3 May 2026."""
    form = "EEEE d MMMM y" if long else "d MMM y"
    return format_date(value, form, locale=locale_of(reader.language))


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


def when(moment: datetime, reader: Reader) -> str:
    """An instant as day and time, with the offset where no zone is named."""
    if reader.timezone and moment.tzinfo is not None:
        moment = moment.astimezone(ZoneInfo(reader.timezone))
        return f"{day(moment, reader)}, {clock(moment, reader)}"
    return f"{day(moment, reader)}, {clock(moment, reader)} {offset(moment)}".rstrip()
