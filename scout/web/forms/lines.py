"""Fields of several numbers: points and pairs written a line each, and lists of numbers on one
line.
"""

from __future__ import annotations

import re
from typing import Any

from scout.errors import Refused
from scout.units import parse_number
from scout.values import Name, Said, said
from scout.web.forms.fields import (
    LongField,
    TypedField,
    exact_length,
    number_as_typed,
    read_length_m,
)


def split_line(line: str, count: int) -> list[str] | None:
    """The parts of a line such as `2.5, 3` or `2,5; 3` or `8' 2", 10'`; None when there is more
    than one way to cut it.
    """
    if ";" in line:
        parts = [part.strip() for part in line.split(";")]
    elif re.search(r"['\"a-zA-Z′″’”]", line):
        parts = [part.strip() for part in re.split(r",\s*", line)]
    else:
        parts = [part.rstrip(",") for part in line.split()]
        if len(parts) != count:
            parts = [part.strip() for part in line.split(",")]
    return parts if len(parts) == count and all(parts) else None


def in_line(name: str, given: str, line: int, why: Said | str) -> Refused:
    """The refusal of something in one line of several."""
    because = why if isinstance(why, Said) else Name(why)
    return Refused(name, given, said("refused.in_line", line=line, why=because))


class PointsField(LongField):
    """Points in metres or feet and inches, one a line."""

    def __init__(self, label: str, *, count: int = 2, example: str = "0, 6.5", **rest: Any) -> None:
        super().__init__(label, **rest)
        self.count, self.example = count, example

    def read(self) -> list[list[float]] | None:
        """A list of points in metres. Raises Refused naming the line."""
        rows = [
            self._row(number, line)
            for number, line in enumerate(self.text.splitlines(), start=1)
            if line.strip()
        ]
        return rows or None

    def _row(self, number: int, line: str) -> list[float]:
        parts = split_line(line.strip(), self.count)
        if parts is None:
            why = said("refused.lengths", n=self.count, example=Name(self.example))
            raise in_line(self.short_name, line, number, why)
        return [self._value(part, number) for part in parts]

    def _value(self, text: str, number: int) -> float:
        try:
            return read_length_m(text, self.units, self.short_name)
        except Refused as refusal:
            raise in_line(self.short_name, text, number, refusal.because) from None

    def show(self, value: Any) -> None:
        """One point a line; a semicolon between, so that feet and inches read back."""
        self.text = (
            ""
            if value is None
            else "\n".join(
                "; ".join(exact_length(float(part), self.units) for part in point)
                for point in value
            )
        )


class SkylineField(LongField):
    """Bearing and elevation in degrees, one pair a line."""

    def read(self) -> list[dict[str, float]] | None:
        """The skyline's points. Raises Refused naming the line."""
        points = []
        for number, line in enumerate(self.text.splitlines(), start=1):
            if not line.strip():
                continue
            parts = split_line(line.replace("°", " ").strip(), 2)
            if parts is None:
                raise in_line(self.short_name, line, number, said("refused.skyline"))
            bearing, elevation = (parse_number(part, name=self.short_name) for part in parts)
            points.append({"bearing_deg": bearing, "elevation_deg": elevation})
        return points or None

    def show(self, value: Any) -> None:
        """One pair a line."""
        pairs = ((point["bearing_deg"], point["elevation_deg"]) for point in value or ())
        self.text = "\n".join(
            "; ".join(number_as_typed(float(part)) for part in pair) for pair in pairs
        )


class NumbersField(TypedField):
    """Numbers on one line."""

    def read(self) -> list[float] | None:
        """The numbers in order. Raises Refused for the first that is none."""
        text = self.text.strip()
        words = (
            [word.strip() for word in text.split(";")]
            if ";" in text
            else [word.strip(",") for word in text.split()]
        )
        if len(words) == 1 and "," in text:
            words = [word.strip() for word in text.split(",")]
        return [
            parse_number(word, name=self.short_name, accepted="numbers with spaces between")
            for word in words
            if word
        ] or None

    def show(self, value: Any) -> None:
        """With spaces between."""
        self.text = (
            "" if value is None else " ".join(number_as_typed(float(part)) for part in value)
        )
