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
_CLEARERS: list[Callable[[], None]] = []


def held(most: int, most_bytes: float = math.inf) -> Callable[[Callable[P, T]], Callable[P, T]]:
    """As lru_cache, and forgotten by `let_go`.

    most_bytes: of arrays in all the answers held; the last one is held however large it is
    """

    def wrap(work_out: Callable[P, T]) -> Callable[P, T]:
        answers: OrderedDict[Any, tuple[T, int]] = OrderedDict()
        lock = Lock()

        def clear() -> None:
            with lock:
                answers.clear()

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


def let_go() -> None:
    """Forget what is held of every room; the next question works it out again."""
    for clear in _CLEARERS:
        clear()
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
