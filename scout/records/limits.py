"""What a record takes of a number or a text, for whoever must say so before it is sent: read off the
record itself, so that a page cannot say something else than the record.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Any, get_args, get_origin

from scout.records.base import Record, beyond, unit_of
from scout.values import Said

ENDS = ("gt", "ge", "lt", "le")


@dataclass(frozen=True)
class Limit:
    """One end of what is taken: `gt`, `ge`, `lt`, `le` of a number or `max_length` of a text, in the
    unit of the record, and what is said of anything beyond it.
    """

    end: str
    bound: float
    because: Said


@cache
def limits(record: type[Record], name: str) -> tuple[Limit, ...]:
    """The limits of a field of a record, those of each part where it is a point; none of one that
    it has not.
    """
    field = record.model_fields.get(name)
    if field is None:
        return ()
    marks = [*field.metadata, *_marks(field.annotation)]
    ends = ENDS if _holds(field.annotation, tuple) else (*ENDS, "max_length")
    unit = unit_of((name,))
    found = {
        (end, float(getattr(mark, end))): None
        for mark in marks
        for end in ends
        if getattr(mark, end, None) is not None
    }
    return tuple(Limit(end, bound, beyond(end, bound, unit)) for end, bound in found)


def most_of(found: tuple[Limit, ...], otherwise: float) -> float:
    """The greatest number that is taken."""
    return min((one.bound for one in found if one.end in {"lt", "le"}), default=otherwise)


def limits_among(kinds: tuple[type[Record], ...], name: str) -> tuple[Limit, ...]:
    """The limits of a field of whichever record it is, where all that have it agree."""
    found = {limits(kind, name) for kind in kinds if name in kind.model_fields}
    return found.pop() if len(found) == 1 else ()


def records_in(kinds: tuple[type[Record], ...], name: str) -> tuple[type[Record], ...]:
    """The records that a field may hold, alone or in a list."""
    fields = [kind.model_fields[name] for kind in kinds if name in kind.model_fields]
    return tuple(dict.fromkeys(held for field in fields for held in _records(field.annotation)))


def _marks(annotation: Any) -> Iterator[Any]:
    for mark in getattr(annotation, "__metadata__", ()):
        yield from getattr(mark, "metadata", (mark,))
    for part in get_args(annotation):
        yield from _marks(part)


def _records(annotation: Any) -> Iterator[type[Record]]:
    if isinstance(annotation, type) and issubclass(annotation, Record):
        yield annotation
    for part in get_args(annotation):
        yield from _records(part)


def _holds(annotation: Any, kind: type) -> bool:
    return get_origin(annotation) is kind or any(_holds(one, kind) for one in get_args(annotation))
