"""Work done once as long as not a letter of what it rests on changes: a page, its drawings and a
comparison ask for the same.
"""

from __future__ import annotations

import hashlib
import inspect
from collections.abc import Callable
from dataclasses import fields, is_dataclass
from functools import lru_cache, wraps
from typing import Any, Generic, ParamSpec, TypeVar

from pydantic import BaseModel

P = ParamSpec("P")
T = TypeVar("T")


class _Question(Generic[T]):
    """A call, told from others by what it asks for and not by how it was written."""

    __slots__ = ("arguments", "key")

    def __init__(self, key: str, arguments: inspect.BoundArguments) -> None:
        self.key, self.arguments = key, arguments

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Question) and self.key == other.key

    def __hash__(self) -> int:
        return hash(self.key)


def content_key(value: Any) -> str:
    """A short text that differs as soon as the content of an unchanging value does."""
    written = hashlib.sha256()
    _write(value, written.update)
    return written.hexdigest()


def _write(value: Any, put: Callable[[bytes], None]) -> None:
    if isinstance(value, BaseModel):
        put(b"{" + value.model_dump_json().encode())
    elif is_dataclass(value):
        for field in fields(value):
            _write(getattr(value, field.name), put)
    elif isinstance(value, (tuple, list)):
        put(b"[%d" % len(value))
        for part in value:
            _write(part, put)
    else:
        put(repr(value).encode() + b"\0")


def once(most: int) -> Callable[[Callable[P, T]], Callable[P, T]]:
    """Keep the answers to the last `most` questions, however a call writes its arguments."""

    def wrap(work_out: Callable[P, T]) -> Callable[P, T]:
        signature = inspect.signature(work_out)

        @lru_cache(maxsize=most)
        def answer(question: _Question[T]) -> T:
            return work_out(*question.arguments.args, **question.arguments.kwargs)

        @wraps(work_out)
        def ask(*args: P.args, **kwargs: P.kwargs) -> T:
            bound = signature.bind(*args, **kwargs)
            bound.apply_defaults()
            return answer(_Question(content_key(tuple(bound.arguments.values())), bound))

        ask.forget = answer.cache_clear  # type: ignore[attr-defined]
        return ask

    return wrap
