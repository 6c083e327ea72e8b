"""What commands share that read or write what is kept."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from scout.settings import Settings
from scout.usecases.work import Work, open_work, prepare


@contextmanager
def kept(*, reading: bool = False) -> Iterator[Work]:
    """A unit of work on the installation that the environment names, made ready first."""
    settings = Settings.from_environment()
    prepare(settings)
    with open_work(settings, reading=reading) as work:
        yield work
