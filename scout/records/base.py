"""What every record is built on: strict values, texts that can be kept, and refusals that name
their path.
"""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from typing import Annotated, Any, Literal, Self, get_args

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Field, ValidationError
from pydantic_core import ErrorDetails, PydanticCustomError

from scout.errors import Refused, RefusedMany
from scout.values import Figure, Said, Unit, said
from scout.values import Name as PlainName

NAME_MOST = 300
TEXT_MOST = 1_000_000
WALL, CURRENCY, EMAIL = r"^[A-Z]{1,2}$", r"^[A-Z]{3}$", r"^[^@\s]+@[^@\s]+$"
PATTERNS = {
    WALL: said("record.no_wall"),
    CURRENCY: said("record.no_currency"),
    EMAIL: said("record.no_email"),
}
DEEPEST = 64


class Record(BaseModel):
    """A validated, unchanging set of facts. None means not measured; a key nobody knows is refused
    with its path.
    """

    model_config = ConfigDict(
        strict=True, extra="forbid", frozen=True, ser_json_inf_nan="null", populate_by_name=True
    )

    @classmethod
    def read(cls, data: Any, path: str = "") -> Self:
        """The record in `data` (plain JSON values). Raises RefusedMany, each refusal with its path
        under `path`.
        """
        try:
            return cls.model_validate(data)
        except ValidationError as error:
            raise RefusedMany(
                _refusal(cls, detail, path) for detail in error.errors(include_url=False)
            ) from None

    def plain(self) -> dict[str, Any]:
        """The record as plain JSON values, only the keys that were given (a given null stays a
        null).
        """
        return self.model_dump(mode="json", exclude_unset=True)


def parse_json(text: str | bytes, name: str = "document") -> Any:
    """JSON from outside. Raises Refused, naming the line: for NaN and infinity, a key given twice,
    or no JSON at all.
    """

    def no_constant(word: str) -> Any:
        raise Refused(name, word, said("record.no_json_number"))

    def number(digits: str) -> float:
        value = float(digits)
        if not math.isfinite(value):
            raise Refused(name, digits, said("record.too_large"))
        return value

    def pairs(items: list[tuple[str, Any]]) -> dict[str, Any]:
        found = dict(items)
        if len(found) != len(items):
            keys = [key for key, _ in items]
            twice = next(key for i, key in enumerate(keys) if key in keys[:i])
            raise Refused(name, twice, said("record.key_twice"))
        return found

    try:
        if isinstance(text, bytes):
            text = text.decode("utf-8-sig")
        return json.loads(
            text, parse_constant=no_constant, parse_float=number, object_pairs_hook=pairs
        )
    except UnicodeDecodeError as error:
        raise Refused(name, None, said("record.not_utf8", at=error.start)) from None
    except json.JSONDecodeError as error:
        why = said(
            "record.not_json", why=PlainName(error.msg), line=error.lineno, column=error.colno
        )
        raise Refused(name, None, why) from None
    except RecursionError:
        raise Refused(name, None, said("record.nested_json")) from None
    except ValueError as error:
        raise Refused(
            name, None, said("record.no_such_number", why=PlainName(str(error)))
        ) from None


def join_path(path: str, location: tuple[int | str, ...]) -> str:
    """`room.windows[1].sill_m` from the parts of a location."""
    for part in location:
        path += f"[{part}]" if isinstance(part, int) else (f".{part}" if path else part)
    return path


def _tagged(annotation: Any) -> bool:
    """Whether a field holds records of several kinds, told apart by one of their keys."""
    return any(
        getattr(one, "discriminator", None) for one in getattr(annotation, "__metadata__", ())
    ) or any(_tagged(one) for one in get_args(annotation))


def _refusal(cls: type[Record], detail: ErrorDetails, path: str) -> Refused:
    parts = detail["loc"]
    # pydantic names the kind of a tagged record behind its place in the list; people know the
    # place alone
    if len(parts) > 2 and isinstance(parts[1], int):
        field = cls.model_fields.get(str(parts[0]))
        if field is not None and _tagged(field.annotation):
            parts = (*parts[:2], *parts[3:])
    unit = unit_of(parts)
    given = None if detail["type"] in {"missing", "extra_forbidden"} else detail["input"]
    if isinstance(given, (Mapping, list, tuple, BaseModel)):
        given = None
    elif unit and isinstance(given, (int, float)) and not isinstance(given, bool):
        given = Figure(float(given), unit)
    return Refused(join_path(path, parts) or "document", given, _because(detail, unit))


def unit_of(parts: tuple[int | str, ...]) -> Unit:
    """The unit of a length by its key, for those who read feet; other figures go without."""
    key = next((part for part in reversed(parts) if isinstance(part, str)), "")
    return "m" if key.endswith("_m") else "m2" if key.endswith("_m2") else ""


_DATE, _NUMBER, _LIST = said("record.no_date"), said("record.no_number"), said("record.no_list")
_OBJECT, _WHOLE = said("record.no_object"), said("record.not_whole")
_FIXED: Mapping[str, Said] = {
    "missing": said("record.missing"),
    "extra_forbidden": said("record.no_key"),
    "float_type": _NUMBER,
    "float_parsing": _NUMBER,
    "finite_number": said("record.not_finite"),
    "int_type": _WHOLE,
    "int_from_float": _WHOLE,
    "bool_type": said("record.no_boolean"),
    "string_type": said("record.no_text"),
    "string_unicode": said("record.half_character"),
    "list_type": _LIST,
    "tuple_type": _LIST,
    "dict_type": _OBJECT,
    "model_type": _OBJECT,
    "model_attributes_type": _OBJECT,
    "none_required": said("record.not_null"),
    "date_type": _DATE,
    "date_parsing": _DATE,
    "date_from_datetime_parsing": _DATE,
    "date_from_datetime_inexact": said("record.not_date_alone"),
    "time_parsing": said("record.no_time"),
}
_BOUNDS = {  # where pydantic keeps the bound, and what is said of it
    "greater_than": ("gt", "record.above"),
    "greater_than_equal": ("ge", "record.least"),
    "less_than": ("lt", "record.below"),
    "less_than_equal": ("le", "record.most"),
    "string_too_long": ("max_length", "record.too_long"),
    "string_too_short": ("min_length", "record.too_short"),
    "too_short": ("min_length", "record.too_few"),
    "too_long": ("max_length", "record.too_many"),
}


def beyond(end: str, bound: float, unit: Unit, code: str | None = None) -> Said:
    """What is said of a value beyond an end (`gt`, `ge`, `lt`, `le`; `max_length` of a text)."""
    code = code or next(said_so for key, said_so in _BOUNDS.values() if key == end)
    counts = end.endswith("length")
    return Said(code, (("bound", int(bound) if counts else Figure(bound, unit if bound else "")),))


def _because(detail: ErrorDetails, unit: Unit) -> Said:
    kind, context = detail["type"], detail.get("ctx", {})
    if kind == "said":
        made: Said = context["said"]
        return made
    if kind in _FIXED:
        return _FIXED[kind]
    if kind in _BOUNDS:
        end, code = _BOUNDS[kind]
        return beyond(end, float(context[end]), unit, code)
    if kind == "string_pattern_mismatch":
        return PATTERNS.get(context.get("pattern", ""), said("record.pattern"))
    if kind in {"literal_error", "union_tag_invalid"}:
        choices = context.get("expected", context.get("expected_tags", ""))
        return said("record.not_one_of", choices=PlainName(str(choices)))
    return said("record.other", why=PlainName(str(detail["msg"])))


def refuse(because: Said) -> PydanticCustomError:
    """The error a validator raises; what it says follows the value that was given."""
    return PydanticCustomError("said", "{said}", {"said": because})


def keepable(text: str) -> str:
    """The text, if every sign of it can be kept."""
    for ch in text:
        if ch == "\0" or "\ud800" <= ch <= "\udfff":
            raise refuse(said("record.character", sign=PlainName(f"U+{ord(ch):04X}")))
    return text


def kept_whole(value: Any) -> Any:
    """For values that are passed through unread: none nested deeper than DEEPEST, no text that
    cannot be kept.
    """
    layer = [value]
    for _ in range(DEEPEST):
        for text in (
            part
            for one in layer
            for part in (one if isinstance(one, dict) else (one,))
            if isinstance(part, str)
        ):
            keepable(text)
        layer = [
            inner
            for one in layer
            if isinstance(one, (dict, list))
            for inner in (one.values() if isinstance(one, dict) else one)
        ]
        if not layer:
            return value
    raise refuse(said("record.nested", levels=DEEPEST))


def _whole(value: Any) -> Any:
    if isinstance(value, float) and value.is_integer():
        return int(value)
    return value


def words_of(vocabulary: Any) -> tuple[str, ...]:
    """The words of a closed vocabulary."""
    return tuple(get_args(vocabulary))


Number = Annotated[float, Field(allow_inf_nan=False)]
WHOLE = BeforeValidator(_whole)  # last in its Annotated, so that bounds reach the JSON Schema too
Text = Annotated[str, Field(max_length=TEXT_MOST), AfterValidator(keepable)]
Name = Annotated[str, Field(min_length=1, max_length=NAME_MOST), AfterValidator(keepable)]
Label = Annotated[str, Field(min_length=1, max_length=40), AfterValidator(keepable)]
# of anything counted here; far more is a slip of the key, and its square no longer a number
MOST = 1e12
Above0 = Annotated[Number, Field(gt=0, le=MOST)]
Least0 = Annotated[Number, Field(ge=0, le=MOST)]
Share = Annotated[Number, Field(ge=0, le=1)]
LengthM = Annotated[Number, Field(gt=0, le=1000)]
HeightM = Annotated[Number, Field(gt=0, le=200)]
Coordinate = Annotated[Number, Field(ge=-10_000, le=10_000)]
BearingDeg = Annotated[Number, Field(ge=0, le=360)]
Decibel = Annotated[Number, Field(ge=-50, le=200)]
Yes = Literal[True]


def listed(value: Any) -> Any:
    """A list as the tuple that a record holds; anything else as it is, to be refused by its type."""
    return tuple(value) if isinstance(value, list) else value


def has_direction(way: tuple[float, float, float]) -> tuple[float, float, float]:
    """A direction in space. Raises ValueError where it has no length."""
    if not any(abs(part) > 1e-9 for part in way):
        raise refuse(said("record.no_direction"))
    return way


Place = Annotated[tuple[Coordinate, Coordinate, Coordinate], BeforeValidator(listed)]
PlanPoint = Annotated[tuple[Coordinate, Coordinate], BeforeValidator(listed)]
