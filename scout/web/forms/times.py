"""Fields for dates, clock times and instants. An instant is typed in local time; the location's
zone supplies the offset.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from typing import Any, ClassVar
from zoneinfo import ZoneInfo

from scout.errors import Refused
from scout.values import Name, Said, names, said
from scout.web.forms.fields import LongField, TypedField

_LOCAL = re.compile(r"(\d{4}-\d{2}-\d{2})[ T](\d{2}:\d{2}(?::\d{2})?)")
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_MONTH = (
    r"(?P<month>jan(?:uary)?|feb(?:ruary)?|mar(?:ch)?|apr(?:il)?|may|june?|july?|aug(?:ust)?"
    r"|sept?(?:ember)?|oct(?:ober)?|nov(?:ember)?|dec(?:ember)?)\.?"
)
_DAY, _YEAR = r"(?P<day>\d{1,2})(?:st|nd|rd|th)?\.?", r"(?:,?\s+(?P<year>\d{4}))?"
_END = r"(?=[\s,;]|$)"
_NUMBERS = re.compile(rf"\d{{1,2}}[./-]\d{{1,2}}(?:[./-](?:\d{{2,4}})?)?{_END}")
_WRITTEN = [
    re.compile(pattern + _END, re.IGNORECASE)
    for pattern in (
        r"\d{4}-\d{2}-\d{2}",
        rf"{_DAY}\s+(?:of\s+)?{_MONTH}{_YEAR}",
        rf"{_MONTH}\s+{_DAY}{_YEAR}",
    )
]
_LEAP_YEARS = 9  # within as many every date comes, even 29 February over a century's end


class DateField(TypedField):
    """A local date. `past`: of something that was done, so that a date without a year is the last
    one and not the next.
    """

    kind = "date"

    def __init__(self, label: str, *, past: bool = False, **rest: Any) -> None:
        super().__init__(label, **rest)
        self.past = past
        self.told: list[Said] = []  # what was taken for granted

    def read(self) -> str | None:
        """The date as YYYY-MM-DD. Raises Refused."""
        self.told = []
        if self.blank:
            return None
        return _told_date(self.text.strip(), self.short_name, self.told, self.past).isoformat()

    @property
    def as_picker(self) -> bool:
        """Whether a date picker can hold what is there: it would swallow anything else that was
        typed.
        """
        return self.blank or _is_date(self.text)


class ClockField(TypedField):
    """A time of day."""

    kind = "clock"

    @property
    def as_picker(self) -> bool:
        """Whether a time picker can hold what is there."""
        return self.blank or re.fullmatch(r"([01]\d|2[0-3]):[0-5]\d", self.text) is not None


class MomentField(TypedField):
    """An instant: local time by the location's clock, or ISO 8601 with offset."""

    kind = "moment"
    timezone: str | None = None
    inputmode: ClassVar[str] = ""

    def read(self) -> str | None:
        """ISO 8601 with offset. Raises Refused for an hour that does not exist or comes twice, or
        when no zone is known.
        """
        if self.blank:
            return None
        text = self.text.strip()
        local = _LOCAL.fullmatch(text)
        if local is None:
            return text.replace(" ", "T", 1) if re.match(r"\d{4}-\d{2}-\d{2} \d", text) else text
        try:
            naive = datetime.fromisoformat(
                f"{local[1]}T{local[2]}"
            )  # local, by the clock on the wall
        except ValueError:
            raise Refused(
                self.short_name, text, "is not a time; give one such as 2026-05-03 10:40"
            ) from None
        if self.timezone is None:
            raise Refused(
                self.short_name,
                text,
                "cannot be placed: the location's time zone is not recorded; add the offset, such as 2026-05-03T10:40+01:00",
            )
        return with_offset(naive, self.timezone, self.short_name, text).isoformat(
            timespec="seconds"
        )

    def show(self, value: Any) -> None:
        """Local time when that says it all, else the whole text with its offset."""
        self.text = "" if value is None else self._local(str(value))

    def _local(self, text: str) -> str:
        if self.timezone is None:
            return text
        try:
            moment = datetime.fromisoformat(text)
            shown = moment.astimezone(ZoneInfo(self.timezone)).replace(tzinfo=None)
            again = with_offset(shown, self.timezone, self.short_name, text)
        except (ValueError, Refused):
            return text
        return (
            shown.isoformat(timespec="minutes" if not shown.second else "seconds")
            if again.isoformat(timespec="seconds") == text
            else text
        )

    @property
    def as_picker(self) -> bool:
        """Whether a date and time picker can hold what is there."""
        return self.blank or (
            self.timezone is not None
            and re.fullmatch(r"\d{4}-\d{2}-\d{2}T\d{2}:\d{2}(:\d{2})?", self.text) is not None
        )


class DatesField(LongField):
    """Dates, one a line or with commas between."""

    def read(self) -> list[str] | None:
        """The dates in order, each once. Raises Refused for the first that is none."""
        self.told: list[Said] = []
        found = {
            _told_date(typed, self.short_name, self.told).isoformat()
            for line in self.text.splitlines()
            for typed in _parts(line)
        }
        return sorted(found) or None

    def show(self, value: Any) -> None:
        """One a line."""
        self.text = "" if value is None else "\n".join(str(day) for day in value)


def today() -> date:
    """The date that it still is somewhere on earth: what lies before it is past everywhere."""
    return (datetime.now(UTC) - timedelta(hours=12)).date()


def read_date(text: str, name: str) -> str:
    """A date as YYYY-MM-DD. Raises Refused."""
    return _told_date(text.strip(), name, []).isoformat()


def _parts(line: str) -> Iterator[str]:
    """The dates of a line, as typed; from what is none on, all that is left of it."""
    at = 0
    while at < len(line):
        if line[at].isspace() or line[at] in ",;":
            at += 1
            continue
        one = next((m for p in (*_WRITTEN, _NUMBERS) if (m := p.match(line, at))), None)
        yield line[at : one.end() if one else len(line)].strip()
        at = one.end() if one else len(line)


def _told_date(text: str, name: str, told: list[Said], past: bool = False) -> date:
    """A date as somebody wrote it; a year that was left out is said. Raises Refused."""
    if _is_date(text):
        return date.fromisoformat(text)
    if _NUMBERS.fullmatch(text):
        raise Refused(name, text, said("refused.date_numbers"))
    written = next((m for pattern in _WRITTEN[1:] if (m := pattern.fullmatch(text))), None)
    found = None if written is None else _dated(written, past)
    if written is None or found is None:
        raise Refused(name, text, said("refused.date"))
    if written["year"] is None:
        told.append(said("heed.year", typed=Name(text), on=found))
    return found


def _dated(written: re.Match[str], past: bool) -> date | None:
    month, day = _MONTHS.index(written["month"][:3].lower()) + 1, int(written["day"])
    if written["year"] is not None:
        return _real(int(written["year"]), month, day)
    now = today()
    for away in range(_LEAP_YEARS):
        found = _real(now.year + (-away if past else away), month, day)
        if found is not None and (found <= now + timedelta(days=1) if past else found >= now):
            return found
    return None


def _real(year: int, month: int, day: int) -> date | None:
    try:
        return date(year, month, day)
    except ValueError:
        return None


def _is_date(text: str) -> bool:
    try:
        return len(text) == 10 and date.fromisoformat(text).isoformat() == text
    except ValueError:
        return False


def with_offset(naive: datetime, timezone: str, name: str, given: str) -> datetime:
    """A local time as an instant. Raises Refused for an hour the clock jumps over or shows twice:
    nobody can say which is meant.
    """
    zone = ZoneInfo(timezone)
    first, second = naive.replace(tzinfo=zone, fold=0), naive.replace(tzinfo=zone, fold=1)
    try:
        exists = first.astimezone(UTC).astimezone(zone).replace(tzinfo=None) == naive
        once = first.utcoffset() == second.utcoffset()
    except OverflowError:
        raise Refused(name, given, "lies too far from our time") from None
    if not exists:
        raise Refused(name, given, said("refused.hour_skipped", zone=Name(timezone)))
    if not once:
        offsets = names((t.isoformat(timespec="minutes")[16:] for t in (first, second)), "or")
        raise Refused(name, given, said("refused.hour_twice", zone=Name(timezone), offsets=offsets))
    return first
