"""Fields for dates, clock times and instants. An instant is typed in local time; the location's
zone supplies the offset.
"""

from __future__ import annotations

import re
from datetime import UTC, date, datetime
from typing import Any, ClassVar
from zoneinfo import ZoneInfo

from scout.errors import Refused
from scout.values import Name, names, said
from scout.web.forms.fields import LongField, TypedField

_LOCAL = re.compile(r"(\d{4}-\d{2}-\d{2})[ T](\d{2}:\d{2}(?::\d{2})?)")


class DateField(TypedField):
    """A local date."""

    kind = "date"

    def read(self) -> str | None:
        """The date as YYYY-MM-DD. Raises Refused."""
        return None if self.blank else read_date(self.text, self.short_name)

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
        words = [word for word in re.split(r"[\s,;]+", self.text.strip()) if word]
        return sorted({read_date(word, self.short_name) for word in words}) or None

    def show(self, value: Any) -> None:
        """One a line."""
        self.text = "" if value is None else "\n".join(str(day) for day in value)


def read_date(text: str, name: str) -> str:
    """A date as YYYY-MM-DD. Raises Refused."""
    if not _is_date(text.strip()):
        raise Refused(name, text, "is not a date; give YYYY-MM-DD, such as 2026-05-03")
    return text.strip()


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
