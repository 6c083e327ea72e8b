"""What is held of rooms from one question to the next: it is many megabytes a room, so whoever goes
through many rooms lets it go after each.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from typing import ParamSpec, TypeVar

P = ParamSpec("P")
T = TypeVar("T")
_CLEARERS: list[Callable[[], None]] = []


def held(most: int) -> Callable[[Callable[P, T]], Callable[P, T]]:
    """As lru_cache, and forgotten by `let_go`."""

    def wrap(work_out: Callable[P, T]) -> Callable[P, T]:
        kept = lru_cache(maxsize=most)(work_out)
        _CLEARERS.append(kept.cache_clear)
        return kept  # type: ignore[return-value]  # hashable arguments alone are given

    return wrap


def let_go() -> None:
    """Forget what is held of every room; the next question works it out again."""
    for clear in _CLEARERS:
        clear()
