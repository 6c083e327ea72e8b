"""What a message is made of: figures with their unit, names as typed, words of a vocabulary; and the
message itself, a code with its values, which becomes a sentence only when a reader is known.

Nothing below `words/` knows how any of this is said. `str()` of a value asks the speaker that
`words/` sets for the person who reads (as lazily translated texts do); without one it shows the
code and the values, which is enough to debug by.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from contextvars import ContextVar
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Annotated, Any, Literal

Unit = Literal[
    "",  # a plain number
    "count",
    "m",
    "m2",
    "m3",
    "mm",
    "mm2",
    "km",
    "m/s",
    "deg",
    "s",
    "min",
    "h",
    "Hz",
    "dB",
    "dBA",
    "NC",
    "lux",
    "lm",
    "stops",
    "%",
    "K",
    "mired",
    "delta_e",
    "W",
    "VA",
    "A",
    "V",
    "ratio",
    "f",
    "iso",
    "shutter_s",
    "MB",
]
SPEAKER: ContextVar[Callable[[Any, str], str] | None] = ContextVar("speaker", default=None)


class Spoken:
    """A value that says itself for whoever reads."""

    __slots__ = ()

    def __str__(self) -> str:
        speaker = SPEAKER.get() or _default
        return repr(self) if speaker is None else speaker(self, "")

    def __format__(self, spec: str) -> str:
        speaker = SPEAKER.get() or _default
        return repr(self) if speaker is None else speaker(self, spec)


_default: Callable[[Any, str], str] | None = None


def speak_by_default(speaker: Callable[[Any, str], str]) -> None:
    """Who says values where no reader was named: the command line, a log."""
    global _default
    _default = speaker


@dataclass(frozen=True, slots=True, repr=False)
class Figure(Spoken):
    """A number with its unit, in SI; `low` and `high` where the doubt is known."""

    value: float
    unit: Unit = ""
    low: float | None = None
    high: float | None = None

    def __repr__(self) -> str:
        return f"{self.value:g} {self.unit}".rstrip()


@dataclass(frozen=True, slots=True, repr=False)
class Name(Spoken):
    """What a person typed: a name, a note, a condition. It is said exactly as typed."""

    text: str

    def __repr__(self) -> str:
        return self.text


@dataclass(frozen=True, slots=True, repr=False)
class Word(Spoken):
    """A word of a closed vocabulary: Word("surface", "ceiling"), Word("mic", "omni_clip")."""

    vocabulary: str
    key: str

    def __repr__(self) -> str:
        return f"{self.vocabulary}:{self.key}"


@dataclass(frozen=True, slots=True, repr=False)
class Spell(Spoken):
    """From one instant, or time of day, to another."""

    start: datetime | time
    end: datetime | time

    def __repr__(self) -> str:
        return f"{self.start.isoformat()}/{self.end.isoformat()}"


@dataclass(frozen=True, slots=True, repr=False)
class Many(Spoken):
    """Several values in one breath: `A, B and C`, or with `or`."""

    items: tuple[Value, ...]
    style: Literal["and", "or", "list"] = "and"

    def __repr__(self) -> str:
        return f"[{', '.join(map(repr, self.items))}]"

    def __len__(self) -> int:
        return len(self.items)

    def __iter__(self) -> Iterator[Value]:
        return iter(self.items)


@dataclass(frozen=True, slots=True, repr=False)
class Said(Spoken):
    """A message: its code and its values. Make one with `said`."""

    code: str
    values: tuple[tuple[str, Value | None], ...] = ()

    def __getitem__(self, name: str) -> Any:
        return dict(self.values)[name]

    def __repr__(self) -> str:
        inside = ", ".join(f"{name}={value!r}" for name, value in self.values)
        return f"{self.code}({inside})"


Value = Figure | Name | Word | Spell | Many | Said | int | datetime | date | time
VALUE_TYPES = (Figure, Name, Word, Spell, Many, Said, int, datetime, date, time)
_KINDS = frozenset((*VALUE_TYPES, type(None)))


def said(code: str, /, **values: Value | None) -> Said:
    """A message by its code in `words/english/`; None leaves out the part that would say it.

    Raises TypeError for a bare text or a bare float: what a person typed is a Name, a word of the
    sheet a Word, a number a Figure with its unit.
    """
    for name, value in values.items():
        # the set first: of ten thousand rooms a million values pass here
        if type(value) not in _KINDS and not isinstance(value, VALUE_TYPES):
            raise TypeError(f"{code}: {name} is {value!r}; give a Figure, Name, Word, Many or Said")
    return Said(code, tuple(values.items()))


def names(texts: Any, style: Literal["and", "or", "list"] = "and") -> Many:
    """Typed names as one value."""
    return Many(tuple(Name(text) for text in texts), style)


def words(vocabulary: str, keys: Any, style: Literal["and", "or", "list"] = "and") -> Many:
    """Words of one vocabulary as one value."""
    return Many(tuple(Word(vocabulary, key) for key in keys), style)


# Fields of findings and acts are annotated with these, so that the catalogue knows their units.
Length = Annotated[Figure, "m"]
Area = Annotated[Figure, "m2"]
Millimetres = Annotated[Figure, "mm"]
Degrees = Annotated[Figure, "deg"]
Seconds = Annotated[Figure, "s"]
Minutes = Annotated[Figure, "min"]
Hertz = Annotated[Figure, "Hz"]
Decibels = Annotated[Figure, "dB"]
NoiseLevel = Annotated[Figure, "dBA"]
Lux = Annotated[Figure, "lux"]
Stops = Annotated[Figure, "stops"]
Percent = Annotated[Figure, "%"]
Kelvin = Annotated[Figure, "K"]
Mired = Annotated[Figure, "mired"]
ColourCast = Annotated[Figure, "delta_e"]
Watts = Annotated[Figure, "W"]
VoltAmperes = Annotated[Figure, "VA"]
Amperes = Annotated[Figure, "A"]
Count = Annotated[Figure, "count"]
Plain = Annotated[Figure, ""]
Shutter = Annotated[Figure, "shutter_s"]
Speed = Annotated[Figure, "iso"]
Stop = Annotated[Figure, "f"]
Ratio = Annotated[Figure, "ratio"]


def plain_value(value: Any) -> Any:
    """A value as JSON: figures keep their unit, the rest is what it is."""
    if isinstance(value, Figure):
        made: dict[str, Any] = {"value": value.value, "unit": value.unit}
        if value.low is not None and value.high is not None:
            made["range"] = [value.low, value.high]
        return made
    if isinstance(value, Name):
        return {"value": value.text, "unit": "name"}
    if isinstance(value, Word):
        return {"value": value.key, "unit": value.vocabulary}
    if isinstance(value, Spell):
        return {"value": [value.start.isoformat(), value.end.isoformat()], "unit": "time"}
    if isinstance(value, Many):
        return {"value": [plain_value(item)["value"] for item in value], "unit": "list"}
    if isinstance(value, Said):
        inside = {name: plain_value(one) for name, one in value.values if one is not None}
        return {"value": value.code, "unit": "code", "figures": inside}
    if isinstance(value, (datetime, date, time)):
        return {"value": value.isoformat(), "unit": "time"}
    return {"value": value, "unit": "count"}


def plain_values(values: Mapping[str, Any]) -> dict[str, Any]:
    """Named values as JSON, without those that are None."""
    return {name: plain_value(value) for name, value in values.items() if value is not None}
