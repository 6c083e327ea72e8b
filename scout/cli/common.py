"""What commands share: reading dates, times and files, and printing answers."""

from __future__ import annotations

import json
import re
import signal
import sys
import threading
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from datetime import date, datetime, time
from pathlib import Path
from typing import Any

import click
from tqdm import tqdm

import scout.words  # noqa: F401  # who has met it says values; a command prints them
from scout.calc.daylight.place.local_date import FIRST_YEAR, LAST_YEAR
from scout.errors import Refused
from scout.values import Figure, Name, said

DATE = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)
JSON_OPTION = click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON.")


def read_date(text: str, name: str = "--date", *, any_year: bool = False) -> date:
    """A date, of the years that the sun is worked out for, or any. Raises Refused naming the option."""
    try:
        if DATE.fullmatch(text):  # fromisoformat alone also reads a week's date
            day = date.fromisoformat(text)
            return day if any_year else _in_years(day, text, name)
    except ValueError:
        pass
    raise Refused(name, text, said("record.no_date"))


def _in_years(day: date, text: str, name: str) -> date:
    if not FIRST_YEAR <= day.year <= LAST_YEAR:
        first, last = Figure(FIRST_YEAR), Figure(LAST_YEAR)
        raise Refused(name, text, said("command.years", first=first, last=last))
    return day


def read_clock(text: str, name: str) -> time:
    """A time of day. Raises Refused naming the option."""
    if re.fullmatch(r"([01]\d|2[0-3]):[0-5]\d", text, re.ASCII):
        return time.fromisoformat(text)
    raise Refused(name, text, said("record.no_clock"))


def read_moment(text: str, name: str = "--at") -> datetime:
    """An instant with its offset. Raises Refused naming the option."""
    try:
        when = datetime.fromisoformat(text)
    except ValueError:
        raise Refused(name, text, said("record.no_moment")) from None
    if when.utcoffset() is None:
        raise Refused(name, text, said("record.no_offset"))
    _in_years(when.date(), text, name)
    return when


@contextmanager
def by_option(options: Mapping[str, str]) -> Iterator[None]:
    """Refusals of fields that options stand for name the options."""
    try:
        yield
    except Refused as refusal:
        path = options.get(refusal.path, refusal.path)
        raise Refused(path, refusal.given, refusal.because) from None


def read_bytes(path: str, name: str, most: int = 50_000_000) -> bytes:
    """A file's bytes, `-` being standard input. Raises Refused when it cannot be read or is larger
    than `most`.
    """
    try:
        if path == "-":
            data = sys.stdin.buffer.read(most + 1)
        else:
            with Path(path).open("rb") as file:
                data = file.read(most + 1)
    except OSError as error:
        raise Refused(
            name, path, said("command.unread", why=Name(str(error.strerror or error)))
        ) from None
    if len(data) > most:
        raise Refused(name, path, said("kept.too_large", limit=Figure(most / 1e6)))
    return data


def print_json(value: Any) -> None:
    """Plain values as JSON on standard output."""
    plain_letters = (getattr(sys.stdout, "encoding", None) or "").lower().replace("-", "") == "utf8"
    click.echo(json.dumps(value, ensure_ascii=not plain_letters, indent=2, allow_nan=False))


def progress(words: str) -> tuple[Callable[[int, int], None], Callable[[], None]]:
    """A progress bar on stderr (none where stderr is no terminal): what to call at each step, and
    what to call at the end.
    """
    bar: Any = tqdm(desc=words, disable=None, leave=False)

    def step(done: int, total: int) -> None:
        bar.total = total
        bar.n = done
        bar.refresh()

    return step, bar.close


def stop_in_order() -> None:
    """Whoever asks this process to end, as an operating system does, ends it as a key would: requests
    are answered, what stands in the database's log is written into its file.
    """
    if threading.current_thread() is threading.main_thread():  # nobody else may say so
        signal.signal(signal.SIGTERM, signal.default_int_handler)
