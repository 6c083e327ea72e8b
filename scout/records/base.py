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

NAME_MOST = 300
TEXT_MOST = 1_000_000
WALL, CURRENCY, EMAIL = r"^[A-Z]$", r"^[A-Z]{3}$", r"^[^@\s]+@[^@\s]+$"
PATTERNS = {
    WALL: "is no wall's letter; give one capital letter, A, B, C and so on",
    CURRENCY: "is no currency; give three capital letters, such as EUR",
    EMAIL: "is no email address; give one such as name@example.org",
}
DEEPEST = 64
UNION_TAGS: set[str] = set()  # filled by the module that has tagged records
TAGGED_LISTS: set[str] = set()  # the lists that hold such records


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
                _refusal(detail, path) for detail in error.errors(include_url=False)
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
        raise Refused(
            name, word, "is not a JSON number; leave out what was not measured, or write null"
        )

    def number(digits: str) -> float:
        value = float(digits)
        if not math.isfinite(value):
            raise Refused(name, digits, "is too large a number")
        return value

    def pairs(items: list[tuple[str, Any]]) -> dict[str, Any]:
        found = dict(items)
        if len(found) != len(items):
            twice = next(
                key for i, (key, _) in enumerate(items) if key in {k for k, _ in items[:i]}
            )
            raise Refused(name, twice, "is given twice in one object")
        return found

    try:
        if isinstance(text, bytes):
            text = text.decode("utf-8-sig")
        return json.loads(
            text, parse_constant=no_constant, parse_float=number, object_pairs_hook=pairs
        )
    except UnicodeDecodeError as error:
        raise Refused(
            name, None, f"it is not UTF-8 text (byte {error.start}); save it as UTF-8"
        ) from None
    except json.JSONDecodeError as error:
        raise Refused(
            name, None, f"it is not JSON: {error.msg} at line {error.lineno}, column {error.colno}"
        ) from None
    except RecursionError:
        raise Refused(name, None, "it is nested too deeply to be a room sheet") from None
    except ValueError as error:
        raise Refused(name, None, f"it holds a number that cannot be read ({error})") from None


def join_path(path: str, location: tuple[int | str, ...]) -> str:
    """`room.windows[1].sill_m` from the parts of a location."""
    for part in location:
        path += f"[{part}]" if isinstance(part, int) else (f".{part}" if path else part)
    return path


def _refusal(detail: ErrorDetails, path: str) -> Refused:
    parts = detail["loc"]
    # pydantic names the kind of a tagged record behind its place in the list; people know the place
    # alone
    # (and only there: a light of the kit has a key "watts" too)
    location = tuple(
        part
        for i, part in enumerate(parts)
        if not (
            i > 1
            and isinstance(parts[i - 1], int)
            and parts[i - 2] in TAGGED_LISTS
            and part in UNION_TAGS
        )
    )
    return Refused(join_path(path, location) or "document", _shown(detail), _words(detail))


def _shown(detail: ErrorDetails) -> object:
    if detail["type"] in {"missing", "extra_forbidden"}:
        return None
    given = detail["input"]
    if isinstance(given, (Mapping, list, tuple, BaseModel)):
        return None
    return given


def _words(detail: ErrorDetails) -> str:
    kind, context = detail["type"], detail.get("ctx", {})
    fixed = {
        "missing": "is needed and was not given",
        "extra_forbidden": 'is not a key of this document; put anything of your own under "extra"',
        "float_type": "is not a number",
        "float_parsing": "is not a number",
        "finite_number": "is not a finite number",
        "int_type": "is not a whole number",
        "int_from_float": "is not a whole number",
        "bool_type": "is neither true nor false",
        "string_type": "is not text",
        "string_unicode": "is text with half a character in it, which cannot be kept; type it anew",
        "list_type": "is not a list",
        "tuple_type": "is not a list",
        "dict_type": "is not an object",
        "model_type": "is not an object",
        "model_attributes_type": "is not an object",
        "none_required": "is not null",
        "date_type": "is not a date; give YYYY-MM-DD",
        "date_parsing": "is not a date; give YYYY-MM-DD",
        "date_from_datetime_parsing": "is not a date; give YYYY-MM-DD",
        "date_from_datetime_inexact": "is not a date alone; give YYYY-MM-DD",
        "time_parsing": "is not a time; give HH:MM",
    }
    if kind in fixed:
        return fixed[kind]
    if kind == "literal_error":
        return f"is not one of: {str(context.get('expected', '')).replace(' or ', ', ')}"
    bounds = {
        "greater_than": ("gt", "must be above {}"),
        "greater_than_equal": ("ge", "must be {} or more"),
        "less_than": ("lt", "must be below {}"),
        "less_than_equal": ("le", "must be {} or less"),
        "string_too_long": ("max_length", "is longer than {} characters"),
        "string_too_short": ("min_length", "is empty or shorter than {} characters"),
        "too_short": ("min_length", "needs {} values at least"),
        "too_long": ("max_length", "has more than {} values"),
    }
    if kind in bounds:
        key, words = bounds[kind]
        return words.format(_plain_number(context.get(key)))
    if kind == "string_pattern_mismatch":
        return PATTERNS.get(context.get("pattern", ""), "is not of the form that is accepted")
    if kind == "union_tag_invalid":
        return f"is not one of: {context.get('expected_tags', '')}"
    return str(detail["msg"])


def _plain_number(value: object) -> str:
    return f"{value:g}" if isinstance(value, float) else str(value)


def refuse(words: str) -> PydanticCustomError:
    """The error a validator raises; `words` follow the value that was given."""
    return PydanticCustomError("refused", "{words}", {"words": words})


def _keepable(text: str) -> str:
    for ch in text:
        if ch == "\0" or "\ud800" <= ch <= "\udfff":
            raise refuse(f"holds a character that cannot be kept (U+{ord(ch):04X})")
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
            _keepable(text)
        layer = [
            inner
            for one in layer
            if isinstance(one, (dict, list))
            for inner in (one.values() if isinstance(one, dict) else one)
        ]
        if not layer:
            return value
    raise refuse(f"is nested deeper than {DEEPEST} levels")


def _whole(value: Any) -> Any:
    if isinstance(value, float) and value.is_integer():
        return int(value)
    return value


def words_of(vocabulary: Any) -> tuple[str, ...]:
    """The words of a closed vocabulary."""
    return tuple(get_args(vocabulary))


Number = Annotated[float, Field(allow_inf_nan=False)]
WHOLE = BeforeValidator(_whole)  # last in its Annotated, so that bounds reach the JSON Schema too
Text = Annotated[str, Field(max_length=TEXT_MOST), AfterValidator(_keepable)]
Name = Annotated[str, Field(min_length=1, max_length=NAME_MOST), AfterValidator(_keepable)]
Label = Annotated[str, Field(min_length=1, max_length=40), AfterValidator(_keepable)]
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


Place = Annotated[tuple[Coordinate, Coordinate, Coordinate], BeforeValidator(listed)]
PlanPoint = Annotated[tuple[Coordinate, Coordinate], BeforeValidator(listed)]
