"""What an address asks for, read and judged: numbers, dates, times, versions."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from flask import request

from scout.errors import Refused
from scout.pages import assessing
from scout.usecases.shown import RoomPage
from scout.web.forms.times import read_date, with_offset
from scout.web.work import work

LARGEST = 2**31 - 1


@dataclass(frozen=True)
class Question:
    """Which day, at what time, with whose kit a room is looked at."""

    on: date
    at: datetime | None
    at_text: str
    production_id: int | None


def number_asked(name: str) -> int | None:
    """A whole number of the address, or None. Raises Refused."""
    return _whole(name, request.args.get(name, ""))


def number_sent(name: str) -> int | None:
    """A whole number of a form, or None. Raises Refused."""
    return _whole(name, request.form.get(name, ""))


def _whole(name: str, text: str) -> int | None:
    text = text.strip()
    if not text:
        return None
    if not (text.isdecimal() and text.isascii() and len(text) < 12 and int(text) <= LARGEST):
        raise Refused(name, text, "is not a whole number that can be meant here")
    return int(text)


def version_sent() -> int:
    """The version a button was shown for; 0, which nothing has, when it was not sent."""
    return number_sent("version") or 0


def date_asked(name: str = "on") -> date | None:
    """A date of the address, or None. Raises Refused."""
    text = request.args.get(name, "").strip()
    return date.fromisoformat(read_date(text, name)) if text else None


def question(page: RoomPage) -> Question:
    """How the address wants a room looked at. Raises Refused."""
    on = date_asked() or assessing.default_date(work(), page.kept.id)
    text, zone, at = request.args.get("at", "").strip(), page.location.record.timezone, None
    if text:
        if zone is None:
            raise Refused("at", text, "cannot be placed: the location's time zone is not recorded")
        try:
            naive = datetime.fromisoformat(f"{on.isoformat()}T{text}")
        except ValueError:
            raise Refused("at", text, "is not a time of day; give HH:MM, such as 14:00") from None
        at = with_offset(naive.replace(tzinfo=None), zone, "at", text)
    return Question(on, at, text, number_asked("production"))
