"""Forms over records: read everything, show every refusal beside its field, and set two versions
side by side.

WTForms only holds the fields and names their inputs; reading, judging and refusing is the records',
so that a room sheet, a form and a command refuse the same thing in the same words.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, ClassVar, Generic, Self, TypeVar

from wtforms import FieldList, Form, FormField

from scout.errors import Refused, RefusedMany, Stale, shorten
from scout.records.base import Record
from scout.records.limits import limits_among, records_in
from scout.units import Units, parse_position
from scout.web.forms.fields import (
    BARE_NUMBER,
    ChoiceField,
    HiddenField,
    LengthField,
    TickField,
    TypedField,
    leaves,
)
from scout.web.forms.times import MomentField
from scout.words.figures import fact

R = TypeVar("R", bound=Record)
GONE = "gone"  # the tick that takes a row out
MORE = "more_rows"  # the button that asks for further empty rows, by the name of the rows


class HalfRead(RefusedMany):
    """Some fields cannot be read; `rest` is what the others say, so that it can be judged too."""

    def __init__(self, refusals: Iterable[Refused], rest: Any) -> None:
        super().__init__(refusals)
        self.rest = rest


@dataclass(frozen=True)
class Fault:
    """One refusal as the page says it: which field (its id, when the form has it), its label, and
    what is wrong.
    """

    target: str | None
    label: str
    words: str


@dataclass(frozen=True)
class Difference:
    """One field of two versions: what you typed, what was saved meanwhile, and whether they differ."""

    label: str
    yours: str
    theirs: str

    @property
    def differs(self) -> bool:
        """Whether somebody must look."""
        return self.yours.strip() != self.theirs.strip()


@dataclass(frozen=True)
class Section:
    """Fields under one heading of a form, in their order on the page."""

    title: str
    fields: tuple[str, ...]
    hint: str = ""
    folded: bool = False


class Group(FormField):  # type: ignore[misc]
    """Fields that belong together and make one value; all blank makes none."""

    def __init__(
        self, form_class: type[GroupForm], label: str, *, hint: str = "", **rest: Any
    ) -> None:
        super().__init__(form_class, label, **rest)
        self.hint = hint

    def read(self) -> dict[str, Any] | None:
        """The value, or None when every field is blank."""
        plain: dict[str, Any] | None = self.form.read()
        return plain

    def show(self, value: Any) -> None:
        """Fill the fields."""
        self.form.fill(value or {})


class Rows(FieldList):  # type: ignore[misc]
    """Repeated rows; a row left empty is no row."""

    def __init__(
        self,
        form_class: type[GroupForm],
        label: str,
        *,
        row: str,
        hint: str = "",
        spare: int = 1,
        most: int = 400,
        folded: bool = False,
        **rest: Any,
    ) -> None:
        super().__init__(FormField(form_class), label, max_entries=most, **rest)
        self.row, self.hint, self.spare, self.row_form, self.folded = (
            row,
            hint,
            spare,
            form_class,
            folded,
        )
        self.asked_for: list[Any] = []  # the rows that a person has just asked for
        self.held: tuple[type[Record], ...] = ()  # what a row makes

    def read(self) -> list[dict[str, Any]] | None:
        """The rows that are not empty, in order. Raises HalfRead with paths such as `[1].name`."""
        plains, refusals = [], []
        self.filled = [i for i, entry in enumerate(self.entries) if not entry.form.blank]
        for at, i in enumerate(self.filled):
            try:
                plains.append(self.entries[i].form.read() or {})
            except HalfRead as half:
                refusals += [Refused(f"[{at}].{r.path}", r.given, r.because) for r in half.refusals]
                plains.append(half.rest)
        if refusals:
            raise HalfRead(refusals, plains)
        return plains or None

    @property
    def adds(self) -> str:
        """What its button adds: a contact, an outlet."""
        return f"{'an' if self.row[:1].lower() in 'aeiou' else 'a'} {self.row}"

    def entry_of(self, index: int) -> Any:
        """The row that a refusal counts as `index`, empty rows left out."""
        filled: list[int] = getattr(self, "filled", list(range(len(self.entries))))
        return self.entries[filled[index]] if index < len(filled) else None

    def show(self, value: Any) -> None:
        """A row for each value."""
        while self.entries:
            self.pop_entry()
        for part in value or ():
            entry = self.append_entry()
            entry.form.fill(part)

    def append_entry(self, *rest: Any, **named: Any) -> Any:
        """A further row, reading figures as the others do."""
        entry = super().append_entry(*rest, **named)
        entry.form.dress(self._form.units, self._form.timezone)
        entry.form.bind(self.held)
        return entry

    def ask_for_one(self) -> None:
        """Add the empty row that a person asked for, to stand open."""
        self.widen(1)
        self.asked_for = self.entries[-1:]

    def opens(self, entry: Any) -> bool:
        """Whether a folded row stands open: it was just asked for, or something in it is refused."""
        return entry in self.asked_for or any(field.faults for field in leaves(entry.form))

    def widen(self, count: int) -> None:
        """Add empty rows."""
        for _ in range(count):
            if len(self.entries) < self.max_entries:
                self.append_entry()

    @property
    def pattern(self) -> Any:
        """An empty row for the page to copy."""
        form = self.row_form(prefix=f"{self.name}-NUMBER-")
        form.dress(self._form.units, self._form.timezone)
        form.bind(self.held)
        return form


class GroupForm(Form):  # type: ignore[misc]
    """Fields that make one plain JSON value."""

    units: Units = "metric"
    timezone: str | None = None

    def dress(self, units: Units, timezone: str | None) -> None:
        """Tell every field how this person reads figures and by which clock."""
        self.units, self.timezone = units, timezone
        for field in self:
            if isinstance(field, TypedField):
                field.units = units
                if isinstance(field, MomentField):
                    field.timezone = timezone
            for inner in getattr(field, "entries", [field]):
                if isinstance(inner, FormField):
                    inner.form.dress(units, timezone)

    def bind(self, kinds: tuple[type[Record], ...]) -> None:
        """Tell every field what the record takes that is made of it, one of these."""
        for field in self:
            name = getattr(field, "short_name", "")
            if isinstance(field, TypedField):
                field.limits = limits_among(kinds, name)
                continue
            held = records_in(kinds, name)
            if isinstance(field, Rows):
                field.held = held
            for inner in getattr(field, "entries", [field]):
                if isinstance(inner, FormField):
                    inner.form.bind(held)

    @property
    def blank(self) -> bool:
        """Whether nothing at all was typed, or the row is to go."""
        return (GONE in self._fields and bool(self._fields[GONE].text)) or all(
            field.blank for field in leaves(self)
        )

    def own_fields(self) -> Iterator[Any]:
        """The fields that make the value."""
        return (field for field in self if hasattr(field, "read") and field.short_name != GONE)

    def read(self) -> dict[str, Any] | None:
        """The value, or None when all is blank. Raises HalfRead with every field that cannot be
        read.
        """
        if self.blank:
            return None
        plain, refusals = self.gathered()
        if refusals:
            raise HalfRead(refusals, plain)
        return plain or None  # every row of it was taken out

    def gathered(self) -> tuple[dict[str, Any], list[Refused]]:
        """What could be read, and what could not."""
        plain: dict[str, Any] = {}
        refusals: list[Refused] = []
        self.place_pasted()
        for field in self.own_fields():
            value = gather(field, refusals)
            if value is not None:
                plain[field.short_name] = value
        return plain, refusals

    def place_pasted(self) -> None:
        """A position that was pasted whole into one of its two fields stands in both."""
        fields = {field.short_name: field for field in self.own_fields()}
        for name, north in fields.items():
            east = fields.get(name.replace("latitude_deg", "longitude_deg"))
            if not name.endswith("latitude_deg") or east is None:
                continue
            pair = parse_position(north.text) or parse_position(east.text)
            if pair is not None:
                north.show(pair[0])
                east.show(pair[1])

    def fill(self, plain: Mapping[str, Any]) -> None:
        """Write kept values into the fields."""
        for field in self.own_fields():
            field.show(plain.get(field.short_name))


def gather(field: Any, refusals: list[Refused]) -> Any:
    """What a field holds; its refusals are put on the pile under its name."""
    try:
        return field.read()
    except Refused as refusal:
        refusals.append(refusal)
    except RefusedMany as many:
        name = field.short_name
        refusals.extend(
            Refused(
                name + r.path if r.path.startswith("[") else f"{name}.{r.path}", r.given, r.because
            )
            for r in many.refusals
        )
        return many.rest if isinstance(many, HalfRead) else None
    return None


def as_shown(field: TypedField) -> str:
    """What stands in a field, in passing: a choice by its words, a bare length with its unit."""
    if isinstance(field, ChoiceField):
        return str(dict(field.options).get(field.text, field.text))
    unit = field.unit
    if isinstance(field, LengthField):
        unit = "m"
    bare = bool(unit) and set(field.text) <= BARE_NUMBER
    return f"{field.text} {unit}" if bare else " ".join(field.text.split())


class RowForm(GroupForm):
    """A repeated row, which can be taken out by a tick."""

    gone = TickField("Remove")

    @property
    def gist(self) -> str:
        """What a folded row is known by: the first thing written in it."""
        field = next(
            (
                field
                for field in self.own_fields()
                if isinstance(field, TypedField) and not field.blank
            ),
            None,
        )
        return "" if field is None else as_shown(field)


class RecordForm(GroupForm, Generic[R]):
    """A form that makes one record. `called` is what the use cases call the record, as a pattern."""

    record_type: type[R]
    called: ClassVar[str] = ""
    sections: ClassVar[tuple[Section, ...]] = ()

    version = HiddenField("")

    def __init__(
        self,
        formdata: Any = None,
        *,
        units: Units = "metric",
        timezone: str | None = None,
        **rest: Any,
    ) -> None:
        super().__init__(formdata, **rest)
        self.before: Record | None = None  # what is kept, where the form changes something
        self.faults: list[Fault] = []
        self.differences: list[Difference] = []
        self.typed = formdata is not None
        self.dress(units, timezone)
        self.bind((self.record_type,))

    @classmethod
    def blank_one(
        cls,
        *,
        units: Units = "metric",
        timezone: str | None = None,
        start: Mapping[str, Any] | None = None,
    ) -> Self:
        """An empty form, but for what is offered to start from."""
        form = cls(units=units, timezone=timezone)
        form.fill(start or {})
        return form.spread()

    @classmethod
    def showing_kept(
        cls, record: Record, version: int, *, units: Units = "metric", timezone: str | None = None
    ) -> Self:
        """A form filled with what is kept."""
        form = cls(units=units, timezone=timezone)
        form.fill(record.model_dump(mode="json", exclude_none=True))
        form.version.show(version)
        return form.spread()

    def spread(self) -> Self:
        """The form with a few empty rows to write in."""
        for field in self:
            _widen(field)
        return self

    def own_fields(self) -> Iterator[Any]:
        """The fields that make the record: not the version, and not who measured."""
        return (
            field
            for field in super().own_fields()
            if field.short_name != "version" and field.short_name in self.record_type.model_fields
        )

    @property
    def opened_at(self) -> int:
        """The version the form was opened at; 0, which no record has, when the page did not send
        one.
        """
        text: str = self.version.text
        return int(text) if text.isdecimal() and len(text) < 12 else 0

    def plain(self) -> dict[str, Any]:
        """What was typed, as plain JSON values. Raises RefusedMany."""
        plain, refusals = self.gathered()
        if refusals:
            raise RefusedMany(refusals)
        return plain

    def record(self) -> R:
        """The record that was typed. Raises RefusedMany with all that is wrong: what cannot be read
        and what cannot be.
        """
        plain, refusals = self.gathered()
        unread = [_steps(refusal.path) for refusal in refusals]
        try:
            record = self.record_type.read(plain)
        except RefusedMany as many:  # what only lacks because it could not be read is said already
            refusals += [
                refusal
                for refusal in many.refusals
                if not any(_along(_steps(refusal.path), way) for way in unread)
            ]
        if refusals:
            refusals += [
                refusal for refusal in self.further(plain) if self.find(refusal.path)[0] is not None
            ]
            order = [field.short_name for field in self]
            raise RefusedMany(sorted(refusals, key=lambda r: _place(order, r)))
        return record

    def further(self, plain: Mapping[str, Any]) -> Iterable[Refused]:
        """What else would be refused of the part that could be read, so that all is said at once
        and not a half now and a half later.
        """
        return ()

    def showing(self, refusal: Refused | RefusedMany) -> Self:
        """The form with what is wrong beside each field and at the top."""
        for one in refusal.refusals if isinstance(refusal, RefusedMany) else (refusal,):
            field, target = self.find(one.path)
            words = say(one)
            if field is not None and hasattr(field, "faults"):
                field.faults.append(words)
            label = _label(field) if field is not None else fact(one.path)
            self.faults.append(Fault(target, label, words))
        return self

    def find(self, path: str) -> tuple[Any, str | None]:
        """The field that a path of the use cases names, and the id of its input; None when the form
        has none.
        """
        rest = re.sub(rf"^(?:{self.called})\.?", "", path) if self.called else path
        tokens: list[str] = re.findall(r"[^.\[\]]+", rest)
        here: Any = self
        while tokens:
            word = tokens.pop(0)
            step = _step(here, word)
            if step is None:
                if here is self:
                    return None, None
                continue  # the words that pydantic puts between, such as the topic of a need
            here = step
            if isinstance(here, TypedField):
                index = int(tokens[0]) if tokens and tokens[0].isdecimal() else 0
                return here, here.component(index)
        return (None, None) if here is self else (here, str(here.id))

    def beside(self, stale: Stale) -> Self:
        """The form as typed, with what somebody else saved meanwhile set against it; saving it
        again is then on purpose.
        """
        theirs = type(self)(units=self.units, timezone=self.timezone)
        theirs.fill(stale.theirs)
        self.differences = list(_differences(self, theirs))
        self.version.show(stale.version)
        return self


def _steps(path: str) -> list[str]:
    return [step.removeprefix("hz_") for step in re.findall(r"[^.\[\]]+", path)]


def _along(one: Sequence[str], other: Sequence[str]) -> bool:
    """Whether one path leads to the other or beyond it."""
    return all(a == b for a, b in zip(one, other, strict=False))


def _widen(field: Any) -> None:
    if isinstance(field, Rows):
        field.widen(field.spare)
    elif isinstance(field, FormField):
        for inner in field.form:
            _widen(inner)


def _place(order: Sequence[str], refusal: Refused) -> int:
    name = next((part for part in re.split(r"[.\[\]]+", refusal.path) if part in order), "")
    return order.index(name) if name in order else len(order)


def _label(field: Any) -> str:
    return str(field.label.text)


def say(refusal: Refused) -> str:
    """A refusal without its path: what was given, and what would do."""
    shown = shorten(refusal.given)
    return f"“{shown}” {refusal.because}" if shown else str(refusal.because)


def _step(here: Any, word: str) -> Any:
    if isinstance(here, Rows):
        return here.entry_of(int(word)) if word.isdecimal() else None
    form = here.form if isinstance(here, FormField) else here
    names = (
        word,
        f"hz_{word}",
    )  # an octave band has its frequency for a key, which no field can be named
    return (
        next((form._fields[name] for name in names if name in form._fields), None)
        if isinstance(form, Form)
        else None
    )


def _texts(form: Any, before: str = "") -> Iterator[tuple[str, str, str]]:
    """(key, label, text) of every field; rows are counted, so that the same row of two forms meets."""
    fields: Iterable[Any] = form.own_fields()
    for field in fields:
        if isinstance(field, TypedField):
            chosen = dict(getattr(field, "choices", ())).get(field.text, field.text)
            yield f"{before}{field.short_name}", field.words, str(chosen)
        elif isinstance(field, Rows):
            filled = [entry for entry in field.entries if not entry.form.blank]
            for i, entry in enumerate(filled):
                for key, label, text in _texts(entry.form, f"{before}{field.short_name}-{i}-"):
                    yield key, f"{field.row[:1].upper()}{field.row[1:]} {i + 1}: {label}", text
        elif isinstance(field, FormField):
            for key, label, text in _texts(field.form, f"{before}{field.short_name}-"):
                yield key, f"{field.label.text}: {label}", text


def _differences(yours: RecordForm[Any], theirs: RecordForm[Any]) -> Iterator[Difference]:
    mine = {key: (label, text) for key, label, text in _texts(yours)}
    others = {key: (label, text) for key, label, text in _texts(theirs)}
    for key in [*mine, *(key for key in others if key not in mine)]:
        label = (mine.get(key) or others[key])[0]
        one, other = mine.get(key, ("", ""))[1], others.get(key, ("", ""))[1]
        if one.strip() or other.strip():
            yield Difference(label, one, other)
