"""Two people's changes of one document, merged fact by fact.

What only one of them changed is taken; what both changed to the same is taken once; what both changed
to different things is a conflict, of which both answers are handed back and theirs stays.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from copy import deepcopy
from dataclasses import dataclass
from typing import Any

# These say one thing together, with the key that says it: half of one and half of another is a third
# that nobody measured.
WHOLE = frozenset({"facing", "colour", "street", "bands_db"})
_NUMBER = re.compile(r"\d+$")


@dataclass(frozen=True)
class Conflict:
    """One fact that both changed, by its keys; parts of a list are named. None: taken out."""

    path: tuple[str, ...]
    yours: Any
    theirs: Any


@dataclass(frozen=True)
class Merged:
    """The document that holds both people's changes, and where they contradict each other."""

    plain: dict[str, Any]
    conflicts: tuple[Conflict, ...]


def merge(base: Mapping[str, Any], yours: Mapping[str, Any], theirs: Mapping[str, Any]) -> Merged:
    """Merge two changes of one document of plain JSON values.

    base:   the document as it was when you began; a key left out is the same as null
    yours:  what you made of it
    theirs: what it has become meanwhile
    """
    conflicts: list[Conflict] = []
    plain = _both(base, yours, theirs, (), conflicts)
    return Merged(deepcopy(dict(plain or {})), tuple(conflicts))


def relabelled(
    base: Mapping[str, Any], yours: Mapping[str, Any], theirs: Mapping[str, Any]
) -> dict[str, str]:
    """Labels for parts of a room that you added while somebody else gave their label to another:
    two windows called W2 are two windows. A part that both added alike is one and keeps its label.
    """
    found: dict[str, str] = {}
    new = set(_labels(theirs)) - set(_labels(base))
    taken = {*_labels(base), *_labels(theirs), *_labels(yours)}
    for kind, parts in yours.items():
        others = _keyed(theirs.get(kind)) or {}
        for label, part in (_keyed(parts) or {}).items():
            if label in new and part != others.get(label):
                stem = _NUMBER.sub("", label)
                fresh = next(
                    f"{stem}{n}" for n in range(1, len(taken) + 2) if f"{stem}{n}" not in taken
                )
                taken.add(fresh)
                found[label] = fresh
    return found


def with_labels(room: Mapping[str, Any], labels: Mapping[str, str]) -> dict[str, Any]:
    """A room whose parts bear other labels; what hangs on a circuit follows it."""
    if not labels:
        return dict(room)
    names = {"id", "circuit"}
    return {
        kind: [
            {key: labels.get(one, one) if key in names else one for key, one in part.items()}
            for part in value
        ]
        if _keyed(value)
        else value
        for kind, value in room.items()
    }


def _labels(room: Mapping[str, Any]) -> Iterator[str]:
    for parts in room.values():
        yield from _keyed(parts) or ()


def _keyed(value: Any) -> dict[str, Any] | None:
    """The parts of a list by what they are called; None for a list whose parts have no names."""
    if not isinstance(value, list) or not all(isinstance(part, Mapping) for part in value):
        return None
    for key in ("id", "name"):
        found = {part[key]: part for part in value if isinstance(part.get(key), str)}
        if len(found) == len(value):
            return found
    return None


def _both(
    base: Any, yours: Any, theirs: Any, path: tuple[str, ...], conflicts: list[Conflict]
) -> Any:
    if yours in (base, theirs):
        return theirs
    if theirs == base:
        return yours
    if not (path and path[-1] in WHOLE):
        if isinstance(yours, Mapping) and isinstance(theirs, Mapping):
            return _within(
                base if isinstance(base, Mapping) else {}, yours, theirs, path, conflicts
            )
        old, new, other = (_keyed([] if one is None else one) for one in (base, yours, theirs))
        if old is not None and new and other:
            return list(_within(old, new, other, path, conflicts).values()) or None
    conflicts.append(Conflict(path, yours, theirs))
    return theirs


def _within(
    base: Mapping[str, Any],
    yours: Mapping[str, Any],
    theirs: Mapping[str, Any],
    path: tuple[str, ...],
    conflicts: list[Conflict],
) -> dict[str, Any]:
    found = {}
    for key in [*theirs, *(key for key in yours if key not in theirs)]:
        value = _both(base.get(key), yours.get(key), theirs.get(key), (*path, key), conflicts)
        if value is not None:
            found[key] = value
    return found
