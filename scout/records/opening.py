"""When a place is open: by weekday, on single dates, and never on others; all by the clock on its
wall.
"""

from __future__ import annotations

from typing import Annotated, Literal, Self, get_args

from pydantic import AfterValidator, BeforeValidator, Field, model_validator

from scout.records.base import Record, listed, refuse
from scout.records.sheet import LocalDate
from scout.values import said

Weekday = Literal["mon", "tue", "wed", "thu", "fri", "sat", "sun"]
WEEK: tuple[str, ...] = get_args(Weekday)


def _clock(text: str) -> str:
    hours, colon, minutes = text.partition(":")
    if not (
        text.isascii()
        and colon
        and len(hours) == 2
        and len(minutes) == 2
        and hours.isdecimal()
        and minutes.isdecimal()
        and int(hours) < 24
        and int(minutes) < 60
    ):
        raise refuse(said("record.no_clock"))
    return text


Clock = Annotated[str, AfterValidator(_clock)]
Dates = Annotated[tuple[LocalDate, ...], BeforeValidator(listed), Field(max_length=400)]


class WeekHours(Record):
    """Open on these weekdays from one time to another; closing at or before the opening means on
    the next day.
    """

    first: Weekday
    last: Weekday | None = None  # None: on that one day; before `first`: round the end of the week
    opens: Clock
    closes: Clock

    @property
    def days(self) -> tuple[int, ...]:
        """The weekdays, 0 for Monday."""
        begin = WEEK.index(self.first)
        count = (WEEK.index(self.last) - begin) % 7 + 1 if self.last else 1
        return tuple((begin + i) % 7 for i in range(count))


class DateHours(Record):
    """Open on one date from one time to another, whatever its weekday says."""

    on: LocalDate
    opens: Clock
    closes: Clock


class OpeningHours(Record):
    """When a place is open. A weekday that is not named is closed; without any, only the dates
    given are known.
    """

    week: Annotated[tuple[WeekHours, ...], BeforeValidator(listed), Field(max_length=50)] | None = (
        None
    )
    dates: (
        Annotated[tuple[DateHours, ...], BeforeValidator(listed), Field(max_length=400)] | None
    ) = None
    closed_on: Dates | None = None

    @model_validator(mode="after")
    def _agrees(self) -> Self:
        both = sorted({day.on for day in self.dates or ()} & set(self.closed_on or ()))
        if both:
            raise refuse(said("record.open_and_closed", on=both[0]))
        return self
