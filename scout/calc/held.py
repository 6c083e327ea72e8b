"""What is held of rooms from one question to the next: it is many megabytes a room, so whoever goes
through many rooms lets it go after each.
"""

from __future__ import annotations

import ctypes
import math
from collections import OrderedDict
from collections.abc import Callable, Iterable
from dataclasses import fields, is_dataclass
from functools import wraps
from threading import Lock
from typing import Any, ParamSpec, TypeVar

import numpy as np

P = ParamSpec("P")
T = TypeVar("T")
MB = 1_000_000
_CLEARERS: list[Callable[[int | None], None]] = []


def held(
    most: int, most_bytes: float = math.inf, kept_bytes: int = 0
) -> Callable[[Callable[P, T]], Callable[P, T]]:
    """As lru_cache, and forgotten by `let_go`.

    most_bytes: of arrays in all the answers held; the last one is held however large it is
    kept_bytes: of the last answers, what `let_go` leaves: it is dear to work out, and asked for
        again once all rooms have been gone through
    """

    def wrap(work_out: Callable[P, T]) -> Callable[P, T]:
        answers: OrderedDict[Any, tuple[T, int]] = OrderedDict()
        lock = Lock()

        def clear(most_left: int | None) -> None:
            most_left = kept_bytes if most_left is None else most_left
            with lock:
                left = sum(row[1] for row in answers.values())
                while answers and (left > most_left or not most_left):
                    left -= answers.popitem(last=False)[1][1]

        @wraps(work_out)
        def ask(*args: P.args, **kwargs: P.kwargs) -> T:
            key = (args, tuple(sorted(kwargs.items())))
            with lock:
                if key in answers:
                    answers.move_to_end(key)
                    return answers[key][0]
            found = work_out(*args, **kwargs)
            size = bytes_of(found) if most_bytes < math.inf else 0
            with lock:
                found, size = answers.setdefault(key, (found, size))
                while len(answers) > 1 and (
                    len(answers) > most or sum(row[1] for row in answers.values()) > most_bytes
                ):
                    answers.popitem(last=False)
            return found

        _CLEARERS.append(clear)
        return ask

    return wrap


def bytes_of(value: Any) -> int:
    """What the arrays in a value take, each counted once."""
    return sum(one.nbytes for one in {id(one): one for one in _arrays(value)}.values())


def _arrays(value: Any) -> Iterable[np.ndarray[Any, Any]]:
    if isinstance(value, np.ndarray):
        yield value if not isinstance(value.base, np.ndarray) else value.base
    elif isinstance(value, (tuple, list)):
        for one in value:
            yield from _arrays(one)
    elif is_dataclass(value):
        for field in fields(value):
            yield from _arrays(getattr(value, field.name))


def let_go(*, of_all: bool = False) -> None:
    """Forget what is held of every room; the next question works it out again. `of_all`: also what
    is kept for when the rooms are gone through once more.
    """
    for clear in _CLEARERS:
        clear(0 if of_all else None)
    if _trim is not None:
        _trim(0)


def _trimming() -> Callable[[int], int] | None:
    """The C library's call that gives freed memory back, where it has one: it keeps many small
    arrays' room for itself otherwise.
    """
    try:
        return ctypes.CDLL(None).malloc_trim
    except (AttributeError, OSError, TypeError):
        return None


_trim = _trimming()
