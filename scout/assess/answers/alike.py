"""Messages that say the same of several things are one message that names them all."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from scout.values import Many, Name, Said, Word

PLURAL = {
    "unmeasured": "unmeasured.many",
    "unlisted": "unlisted.many",
}  # codes that say one thing and several by two messages


def merged(messages: Iterable[Any]) -> list[Any]:
    """Messages of one code whose values are equal but for one name, word or list, as one; in order.

    `unmeasured(facts=W1 sill)` and `unmeasured(facts=W2 sill)` are `unmeasured(facts=[W1 sill, W2
    sill])`. Two that differ in a figure, or in two names, stay two: it would not be clear which
    belong together. What is no message is kept once.
    """
    kept: list[tuple[Any, str | None]] = []  # each with the one value in which it has grown
    for message in messages:
        for at, (whole, grown) in enumerate(kept):
            again = _joined(whole, grown, message)
            if again is not None:
                kept[at] = again
                break
        else:
            kept.append((message, None))
    return [whole for whole, _ in kept]


def _joined(whole: Any, grown: str | None, other: Any) -> tuple[Any, str | None] | None:
    """Both as one, or None where they do not say the same."""
    if not (isinstance(whole, Said) and isinstance(other, Said)):
        return (whole, grown) if whole == other else None
    mine, theirs = dict(whole.values), dict(other.values)
    codes = [PLURAL.get(one.code, one.code) for one in (whole, other)]
    if codes[0] != codes[1] or list(mine) != list(theirs):
        return None
    differ = [
        name
        for name in mine
        if mine[name] != theirs[name]  # one name, and a list of that one, say the same
        and ((items := _items(mine[name])) is None or items != _items(theirs[name]))
    ]
    if not differ:
        return whole, grown
    if len(differ) > 1 or grown not in (None, differ[0]):
        return None
    (name,) = differ
    first, more = _items(mine[name]), _items(theirs[name])
    if first is None or more is None or _kind(first) != _kind(more):
        return None
    mine[name] = Many(tuple(dict.fromkeys((*first, *more))))
    return Said(codes[0], tuple(mine.items())), name


def _items(value: Any) -> tuple[Any, ...] | None:
    if isinstance(value, (Name, Word)):
        return (value,)
    if isinstance(value, Many) and value.style == "and" and value.items:
        items = tuple(dict.fromkeys(value.items))  # one named twice is one
        return items if _kind(items) else None
    return None


def _kind(items: tuple[Any, ...]) -> set[tuple[type, str]] | None:
    """What the items are: names, or words of one vocabulary; None for anything else."""
    kinds = {(type(one), getattr(one, "vocabulary", "")) for one in items}
    return kinds if len(kinds) == 1 and isinstance(items[0], (Name, Word)) else None
