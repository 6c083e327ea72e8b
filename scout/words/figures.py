"""Values of the record and of answers as a page prints them, for whoever reads now.

What is not known stays None, so that the page shows an empty box and not a nought. Nothing here
rounds to what can be acted on: these are the figures of the detail pages.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date, datetime, time

from scout.assess.answers.finding import Act
from scout.values import Figure, Many, Name, Said, Spell, Spoken, Unit, Word, said, words
from scout.words.reader import Reader, current
from scout.words.speaker import say

Words = str | Spoken
WINDS = ("N", "NE", "E", "SE", "S", "SW", "W", "NW")


def figure(value: float | None, unit: Unit, spec: str = "exact") -> str | None:
    """A number with its unit; spec as in a template."""
    return None if value is None else say(Figure(value, unit), spec)


def number(value: float | None, decimals: int = 0, unit: Unit = "") -> str | None:
    """A number with so many decimals, and its unit: `34.0 dBA`."""
    return figure(value, unit, f"{decimals},exact")


def length(value_m: float | None) -> str | None:
    """A length as a tape reads it: two decimals of a metre, or half inches."""
    return figure(value_m, "m", "size,exact")


def distance(value_m: float | None) -> str | None:
    """A walk, to the whole metre or foot."""
    return figure(value_m, "m", "walk")


def area(value_m2: float | None) -> str | None:
    """An area."""
    return figure(value_m2, "m2")


def sizes(values_m: Sequence[float | None]) -> str | None:
    """`0.83 × 2.00 m`: a side that is not measured is a question mark; None when none is."""
    if all(value is None for value in values_m):
        return None
    *before, last = values_m
    shown = [figure(value, "m", "size,exact,bare") for value in before]
    return " × ".join(side or "?" for side in [*shown, length(last)])


def span(
    values: Iterable[float | None], decimals: int = 0, unit: Unit = "", *, spec: str = ""
) -> str | None:
    """The least to the greatest of some figures, `48 to 200 lux`; None when none is known."""
    known = [value for value in values if value is not None]
    if not known:
        return None
    return say(Figure(min(known), unit, min(known), max(known)), spec or f"{decimals},exact")


def percent(share: float | None, decimals: int = 0) -> str | None:
    """A share as percent."""
    return None if share is None else number(share * 100.0, decimals, "%")


def minutes(value: float | None) -> str | None:
    """A spell of time: `5 h 28 min`."""
    return figure(value, "min")


def clock(moment: datetime | time | None, timezone: str | None = None) -> str | None:
    """Time of day, by its own offset or by a zone's clock."""
    return None if moment is None else _say(moment, "", timezone)


def day(value: date | str | None, *, long: bool = False) -> str | None:
    """`3 May 2026`; long: `Sunday 3 May 2026`. A text is ISO 8601."""
    if value is None:
        return None
    found = date.fromisoformat(value[:10]) if isinstance(value, str) else value
    return say(found, "long" if long else "date")


def when(moment: datetime | str | None, timezone: str | None = None) -> str | None:
    """Day and time, and by which clock where no zone is named. A text is ISO 8601; one that is not
    stays as it is.
    """
    if isinstance(moment, str):
        try:
            moment = datetime.fromisoformat(moment)
        except ValueError:
            return str(moment)
    return None if moment is None else _say(moment, "when", timezone)


def _say(moment: datetime | time, spec: str, timezone: str | None) -> str:
    reader = replace(current(), timezone=timezone) if timezone else current()
    return say(moment, spec, reader)


def spell_list(intervals: Iterable[tuple[datetime, datetime]]) -> Many:
    """Spells of time as one value: `10:12 to 15:40, 17:05 to 17:50`."""
    return Many(tuple(Spell(*one) for one in intervals), "list")


def spells(intervals: Iterable[tuple[datetime, datetime]]) -> str | None:
    """The same said; None when there are none."""
    return say(spell_list(intervals)) or None


def coordinates(latitude_deg: float | None, longitude_deg: float | None) -> str | None:
    """A position to about a metre."""
    if latitude_deg is None or longitude_deg is None:
        return None
    north, east = "N" if latitude_deg >= 0 else "S", "E" if longitude_deg >= 0 else "W"
    return f"{number(abs(latitude_deg), 5, 'deg')} {north}, {number(abs(longitude_deg), 5, 'deg')} {east}"


def compass(bearing_deg: float) -> str:
    """The nearest of eight winds."""
    return WINDS[round(bearing_deg / 45.0) % 8]


def yes_no(value: bool | None) -> str | None:
    """A claim in words."""
    return word("claim", None if value is None else "yes" if value else "no")


def word(vocabulary: str, key: str | None) -> str | None:
    """A word of the sheet."""
    return None if key is None else say(Word(vocabulary, key), "plain")


def fact(path: str) -> str:
    """Where a fact stands in the record, in words: `windows.W1.sill_m` is `W1 sill`."""
    return say(Word("fact", path))


def surfaces(keys: Iterable[str]) -> str:
    """Letters of walls and other surfaces as one phrase: `walls A and C and the ceiling`."""
    return say(words("surface", keys))


def storey(number: int | None) -> str | None:
    """Which floor a room is on: `ground floor`, `2 floors up`."""
    if number is None:
        return None
    if number > 0:
        return str(said("storey.up", n=number))
    return str(said("storey.down", n=-number) if number else said("storey.ground"))


def mark_name(name: str) -> Said | Word:
    """A mark by its name in answers: `subject`, `camera`, `path 2`."""
    stem, _, number_ = name.rpartition(" ")
    if not stem:
        return Word("mark", name)
    return said("mark.numbered", mark=Word("mark", stem), n=int(number_))


def room_name(name: str | None) -> Name | Said:
    """What a room is called, or that it has no name."""
    return Name(name) if name else said("room.nameless")


def act_message(act: Act) -> Said:
    """An act as a message, to be put in another or to be merged with its like."""
    return Said(f"act.{act.code}", act.values)


def sentence(text: Words | None, reader: Reader | None = None) -> str:
    """A text as a sentence: a capital first, but for a name that was typed small, and a full stop
    last; empty for None.
    """
    if isinstance(text, Spoken):
        shown = say(text, "cap", reader)
    else:
        shown = (text or "").strip()
        shown = shown[:1].upper() + shown[1:]
    return shown if not shown or shown[-1] in ".:;!?…" else f"{shown}."


def paragraph(*texts: Words | None) -> str:
    """Texts as sentences one after another."""
    return " ".join(filter(None, map(sentence, texts)))


def unknown(why: Said | None) -> str:
    """Why a figure is missing, as a sentence; empty for None."""
    return "" if why is None else sentence(said("value.why", why=why))
