"""Fields that keep the text exactly as it was typed and read it only when asked; blank means not
measured.

A field has a `kind` (which the template draws), a `read()` that gives a plain JSON value or raises
Refused, and a
`show(value)` that writes a kept value into the field the way this person reads figures.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any, ClassVar

from wtforms import Field

from scout.errors import Refused
from scout.records.base import words_of
from scout.records.limits import Limit, most_of
from scout.units import (
    MOST_M,
    Units,
    could_be,
    length_as_typed,
    parse_degrees,
    parse_length_m,
    parse_number,
    with_unit,
)
from scout.values import Name, Said, Word, said

BARE_NUMBER = frozenset("0123456789.,+- \u00a0\u202f")


class TypedField(Field):  # type: ignore[misc]  # wtforms carries no types
    """One line of text, as typed."""

    kind: ClassVar[str] = "text"
    inputmode: ClassVar[str] = ""
    units: Units = "metric"
    reads: ClassVar[str] = ""  # how the page may read it while it is typed; nothing: not at all
    limits: tuple[Limit, ...] = ()  # what the record takes of it

    def __init__(
        self,
        label: str,
        *,
        hint: Said | str = "",
        unit: str = "",
        needed: bool = False,
        wide: bool = False,
        only: str = "",  # the strength of a need that it goes with
        **rest: Any,
    ) -> None:
        super().__init__(label, **rest)
        self.hint, self.unit, self.needed, self.wide, self.only = hint, unit, needed, wide, only
        self.text = ""
        self.faults: list[str] = []

    def process_data(self, value: Any) -> None:
        """Fields are filled by `show`, never by attribute."""
        self.data = None
        self.text = ""

    def process_formdata(self, valuelist: Sequence[str]) -> None:
        """Keep what was typed."""
        self.text = valuelist[0] if valuelist else ""

    @property
    def ends(self) -> list[tuple[str, float, str]]:
        """Its limits for the page: which end, where, and the words of the refusal."""
        return [(one.end, one.bound, str(one.because)) for one in self.limits if self.reads]

    @property
    def words(self) -> str:
        """The label as text."""
        return str(self.label.text)

    @property
    def blank(self) -> bool:
        """Whether nothing was typed."""
        return not self.text.strip()

    def read(self) -> Any:
        """The plain value of what was typed, None when blank. Raises Refused naming the field."""
        return self.text.replace("\r\n", "\n").strip() or None

    def show(self, value: Any) -> None:
        """Write a kept value into the field."""
        self.text = "" if value is None else str(value)

    def component(self, index: int) -> str:
        """The id of one of its inputs, for a refusal that names a part of the value."""
        return str(self.id)


class TextField(TypedField):
    """One line of text."""

    reads = "text"


class OnceField(TextField):
    """A code that works once: a phone offers the one that it holds."""

    autocomplete = "one-time-code"


class EmailField(TypedField):
    """An e-mail address."""

    kind = "email"


class PasswordField(TypedField):
    """A password: never written back into a page, and read as it stands, blanks and all."""

    kind = "password"

    def __init__(self, label: str, *, autocomplete: str = "current-password", **rest: Any) -> None:
        super().__init__(label, **rest)
        self.autocomplete = autocomplete


class LongField(TypedField):
    """Several lines of text."""

    kind = "long"

    def __init__(self, label: str, *, rows: int = 3, **rest: Any) -> None:
        super().__init__(label, **rest)
        self.rows = rows


class HiddenField(TypedField):
    """Something the page must send back as it was."""

    kind = "hidden"


class NumberField(TypedField):
    """A number, comma or point; its unit may be typed after it."""

    inputmode = "decimal"
    reads = "number"

    def read(self) -> float | None:
        """The number typed. Raises Refused."""
        if self.blank:
            return None
        text = self.text.strip()
        if self.unit and text.lower().endswith(self.unit.lower()):
            text = text[: -len(self.unit)]
        return parse_number(text, name=self.short_name)

    def show(self, value: Any) -> None:
        """The number in full, without a needless `.0`."""
        self.text = "" if value is None else number_as_typed(float(value))


class DegreesField(NumberField):
    """Latitude or longitude: decimal degrees, or with minutes and seconds."""

    inputmode = "text"  # a number pad has no minus and no letters, and a pair is pasted whole
    reads = ""

    def __init__(self, label: str, **rest: Any) -> None:
        super().__init__(label, unit="°", **rest)

    def read(self) -> float | None:
        """The degrees typed. Raises Refused."""
        return None if self.blank else parse_degrees(self.text, name=self.short_name)


class ShareField(NumberField):
    """A share from 0 to 1, or as a percentage."""

    reads = "share"

    def read(self) -> float | None:
        """The share typed. Raises Refused."""
        text = self.text.strip()
        if text.endswith("%"):
            return round(
                parse_number(
                    text[:-1], name=self.short_name, accepted="a share such as 0.7 or 70 %"
                )
                / 100.0,
                12,
            )
        return super().read()


class WholeField(NumberField):
    """A whole number."""

    inputmode = "numeric"
    reads = "whole"


class LengthField(TypedField):
    """A length in metres or feet and inches."""

    inputmode = "text"  # a number pad has no foot mark
    reads = "length"

    def read(self) -> float | None:
        """Metres. Raises Refused; among feet a bare number is not taken for metres in silence."""
        if self.blank:
            return None
        return read_length_m(self.text, self.units, self.short_name, most_of(self.limits, MOST_M))

    def show(self, value: Any) -> None:
        """The length so that reading it again gives the same length."""
        self.text = "" if value is None else exact_length(float(value), self.units)


class AreaField(TypedField):
    """An area in square metres or square feet."""

    inputmode = "text"
    _SUFFIXES: ClassVar[tuple[tuple[str, float], ...]] = (
        ("square metres", 1.0),
        ("square meters", 1.0),
        ("square feet", 0.3048**2),
        ("sq ft", 0.3048**2),
        ("sqft", 0.3048**2),
        ("ft²", 0.3048**2),
        ("ft2", 0.3048**2),
        ("m²", 1.0),
        ("m2", 1.0),
    )

    def read(self) -> float | None:
        """Square metres. Raises Refused."""
        if self.blank:
            return None
        text = " ".join(self.text.lower().split())
        for suffix, scale in self._SUFFIXES:
            if text.endswith(suffix):
                return parse_number(text[: -len(suffix)], name=self.short_name) * scale
        if self.units == "feet" and text.strip(" 0"):
            raise Refused(self.short_name, self.text, said("refused.no_unit_area"))
        return parse_number(
            text, name=self.short_name, accepted="an area such as 4, 4 m² or 43 sq ft"
        )

    def show(self, value: Any) -> None:
        """The area; square metres are named where feet are the rule."""
        self.text = (
            ""
            if value is None
            else number_as_typed(float(value)) + (" m²" if self.units == "feet" else "")
        )


class ChoiceField(TypedField):
    """One word of a closed vocabulary, or none; `of` names it among the words."""

    kind = "choice"

    def __init__(
        self,
        label: str,
        vocabulary: Any = None,
        of: str = "",
        *,
        choices: Sequence[tuple[str, str | Word]] = (),
        none: str = "not recorded",
        **rest: Any,
    ) -> None:
        super().__init__(label, **rest)
        self.none = none
        self.choices = list(choices) or [(word, Word(of, word)) for word in words_of(vocabulary)]

    @property
    def options(self) -> list[tuple[str, str | Word]]:
        """What can be chosen; a word that came in from elsewhere stays choosable, so that showing
        it loses nothing.
        """
        known = {word for word, _ in self.choices}
        return [
            *self.choices,
            *([] if self.blank or self.text in known else [(self.text, self.text)]),
        ]


class YesNoField(ChoiceField):
    """Yes, no, or not known."""

    def __init__(self, label: str, *, none: str = "not known", **rest: Any) -> None:
        super().__init__(label, choices=[("yes", "yes"), ("no", "no")], none=none, **rest)

    def read(self) -> bool | None:
        """True, False or None. Raises Refused for any other word."""
        if self.blank:
            return None
        if self.text not in {"yes", "no"}:
            raise Refused(self.short_name, self.text, "is neither yes nor no")
        return self.text == "yes"

    def show(self, value: Any) -> None:
        """Yes, no or nothing."""
        self.text = "" if value is None else "yes" if value else "no"


class TickField(TypedField):
    """A box to tick."""

    kind = "tick"

    def read(self) -> bool:
        """Whether it is ticked."""
        return bool(self.text)

    def show(self, value: Any) -> None:
        """Tick it or not."""
        self.text = "yes" if value else ""

    @property
    def blank(self) -> bool:
        """A box left empty says nothing on its own."""
        return True


class PlaceField(TypedField):
    """A point of the room: along x, along y, and above the floor, in three boxes of one name."""

    kind = "place"
    reads = "length"
    parts: tuple[str, ...] = ("x, to the right", "y, up the page", "above the floor")

    def process_data(self, value: Any) -> None:
        """Three empty boxes."""
        super().process_data(value)
        self.texts = [""] * len(self.parts)

    def process_formdata(self, valuelist: Sequence[str]) -> None:
        """Keep what was typed in each."""
        self.texts = [*valuelist[: len(self.parts)], *[""] * (len(self.parts) - len(valuelist))]
        self.text = "; ".join(text for text in self.texts if text)

    @property
    def blank(self) -> bool:
        """Whether all boxes are empty."""
        return not any(text.strip() for text in self.texts)

    def read(self) -> list[float] | None:
        """Metres, all three. Raises Refused when one is missing."""
        if self.blank:
            return None
        for text, part in zip(self.texts, self.parts, strict=True):
            if not text.strip():
                raise Refused(
                    self.short_name,
                    None,
                    said("refused.place_part", part=Name(part), count=len(self.parts)),
                )
        return [self._length(text) for text in self.texts]

    def _length(self, text: str) -> float:
        return read_length_m(text, self.units, self.short_name, most_of(self.limits, MOST_M))

    def show(self, value: Any) -> None:
        """The three lengths."""
        self.texts = (
            [""] * len(self.parts)
            if value is None
            else [exact_length(float(part), self.units) for part in value]
        )
        self.text = "; ".join(text for text in self.texts if text)

    def component(self, index: int) -> str:
        """The id of one box."""
        return str(self.id) if index == 0 else f"{self.id}-{index}"


class DirectionField(PlaceField):
    """Three numbers without unit: a direction in the room."""

    reads = "number"
    parts: tuple[str, ...] = ("x", "y", "up")

    def _length(self, text: str) -> float:
        return parse_number(text, name=self.short_name)

    def show(self, value: Any) -> None:
        """The three numbers."""
        self.texts = [""] * 3 if value is None else [number_as_typed(float(part)) for part in value]
        self.text = "; ".join(text for text in self.texts if text)


def number_as_typed(value: float) -> str:
    """A number in full: the shortest text that reads back as the same number, without exponent
    where that is short.
    """
    if value == int(value) and abs(value) < 1e15:
        return str(int(value))
    text = repr(value)
    return (
        text
        if "e" not in text
        else f"{value:.12f}".rstrip("0").rstrip(".")
        if 1e-9 < abs(value) < 1e15
        else text
    )


def read_length_m(text: str, units: Units, name: str, most_m: float = MOST_M) -> float:
    """Metres of what was typed. Raises Refused; a bare number is not taken for metres in silence
    among feet, nor where no room is so long.
    """
    offers = could_be(text, units, most_m)
    if offers:
        raise Refused(name, text, said("typed.which_unit", offers=_either(offers)))
    if units == "feet" and set(text) <= BARE_NUMBER and text.strip(" 0"):
        raise Refused(name, text, said("refused.no_unit"))
    return parse_length_m(text, name=name)


def _either(offers: Sequence[str]) -> Name:
    return Name(" or ".join(offers))


def exact_length(value: float, units: Units) -> str:
    """A length as `length_as_typed`, unless that would lose something that was kept finer than 0.1
    mm; with its unit where it would be asked about.
    """
    text = length_as_typed(value, units)
    if abs(parse_length_m(text) - value) <= 1e-9:
        return with_unit(text)
    return with_unit(number_as_typed(value), units)


def leaves(form: Any) -> Iterator[TypedField]:
    """Every field of a form that holds text, those of its rows and groups included."""
    for field in form:
        if isinstance(field, TypedField):
            yield field
        elif hasattr(field, "entries"):
            for entry in field.entries:
                yield from leaves(entry.form)
        elif hasattr(field, "form"):
            yield from leaves(field.form)
