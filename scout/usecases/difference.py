"""What changed between two revisions, in sentences a crew can read."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

MOST_LINES = 60
MOST_CHARACTERS = 80
NUMBERED = (
    "crew notes",
    "photos",
)  # what lies under these has no name of its own: its number is nothing to read
_UNITS = {
    "m": "m",
    "m2": "m²",
    "deg": "°",
    "db": "dB",
    "k": "K",
    "w": "W",
    "a": "A",
    "v": "V",
    "lux": "lx",
    "mm": "mm",
    "s": "s",
    "px": "px",
    "pct": "%",
}


def differences(before: Mapping[str, Any], after: Mapping[str, Any]) -> list[str]:
    """Sentences, one a change, in the order of what is there now; past MOST_LINES the rest is
    counted.

    before, after: plain JSON objects whose first keys are the names of things (rooms, places,
        scenes)
    """
    found = []
    for name in after:
        found += (
            [f"{name}: added to the packet"]
            if name not in before
            else [f"{name}: {words}" for words in _within(before[name], after[name], ())]
        )
    found += [f"{name}: no longer in the packet" for name in before if name not in after]
    if len(found) > MOST_LINES:
        rest = len(found) - MOST_LINES
        return [*found[:MOST_LINES], f"and {rest} further change{'s' if rest > 1 else ''}"]
    return found


def _within(before: Any, after: Any, path: tuple[str, ...]) -> Iterator[str]:
    if isinstance(before, Mapping) and isinstance(after, Mapping):
        for key in [*after, *(key for key in before if key not in after)]:
            yield from _within(before.get(key), after.get(key), (*path, key))
    elif before != after:
        where = _where(path)
        if before in (None, {}, []) and path[-2:-1] and path[-2] in NUMBERED:
            yield f"{where} added: {_shown(after, path)}"
        elif before in (None, {}, []):
            yield (
                f"{where} added"
                if isinstance(after, (Mapping, list))
                else f"{where}: {_shown(after, path)}, not recorded before"
            )
        elif after in (None, {}, []):
            yield (
                f"{where} taken out"
                if isinstance(before, (Mapping, list))
                else f"{where} taken out (was {_shown(before, path)})"
            )
        elif isinstance(after, (Mapping, list)) or isinstance(before, (Mapping, list)):
            yield f"{where} changed"
        else:
            yield f"{where}: {_shown(before, path)} became {_shown(after, path)}"


def _where(path: tuple[str, ...]) -> str:
    return (
        " ".join(
            _split_unit(part)[0].replace("_", " ")
            for before, part in zip(("", *path), path, strict=False)
            if before not in NUMBERED
        )
        or "it"
    )


def _split_unit(key: str) -> tuple[str, str]:
    stem, _, unit = key.rpartition("_")
    return (stem, _UNITS[unit]) if stem and unit in _UNITS else (key, "")


def _shown(value: Any, path: tuple[str, ...]) -> str:
    unit = _split_unit(path[-1])[1] if path else ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (int, float)):
        return f"{value:g}{'' if unit == '°' else ' ' if unit else ''}{unit}"
    text = " ".join(str(value).split())
    return (
        f"\u201c{text if len(text) <= MOST_CHARACTERS else text[: MOST_CHARACTERS - 1] + '…'}\u201d"
    )
