"""Who reads: their units, their language, and whether a line or the full sentence is wanted."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass

from scout.units import Units


@dataclass(frozen=True)
class Reader:
    """Somebody who reads. `rounded`: figures to what can be acted on, as lines say them."""

    units: Units = "metric"
    language: str = "en"
    rounded: bool = False
    timezone: str | None = None  # whose clock is meant where an instant has another offset
    # by whose clock an instant of the program's own (kept in UTC) is said where no zone is named
    home: Callable[[], str | None] | None = None


METRIC = Reader()
_READER: ContextVar[Reader] = ContextVar("reader", default=METRIC)  # it is frozen


def current() -> Reader:
    """Who reads now."""
    return _READER.get()


def set_reader(reader: Reader) -> None:
    """From here on, in this thread, values are said for this reader."""
    _READER.set(reader)


@contextmanager
def reading(reader: Reader) -> Iterator[Reader]:
    """Within it, values are said for this reader."""
    token = _READER.set(reader)
    try:
        yield reader
    finally:
        _READER.reset(token)
