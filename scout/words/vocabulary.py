"""Words of the sheet's closed vocabularies and names of its fields, by their codes in
`english/vocabulary.py`.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from scout.words.catalogue import MESSAGES

_WALL = re.compile(r"[A-Z]{1,2}")
_PART = re.compile(r"([^\[\]]*)(?:\[(\d+)\])?")
_UNIT = re.compile(r"_(m|m2|deg|db|lux|k|w|a|v|s|mm|pct|hz)$")
SILENT = frozenset({"room", "marks", "surfaces", "kit", "location"})  # said by what stands in them


def is_wall(surface: str) -> bool:
    """Whether a surface is a wall, by its letter."""
    return _WALL.fullmatch(surface) is not None


def code_of(vocabulary: str, key: str, *, plain: bool = False) -> tuple[str, Mapping[str, str]]:
    """The message of a word, and what is filled in: a wall's letter.

    plain: without its article, where it has one ("ceiling" for "the ceiling").
    Raises KeyError for a word that no catalogue has.
    """
    if vocabulary == "surface" and is_wall(key):
        return ("surface.letter" if plain else "surface.wall"), {"label": key}
    code = f"{vocabulary}.{key}"
    if plain and f"{code}.plain" in MESSAGES:
        code = f"{code}.plain"
    if code not in MESSAGES:
        raise KeyError(f"no word for {code}")
    return code, {}


def fact_parts(path: str) -> Iterator[tuple[str | None, str]]:
    """The parts of a fact's path: (code of its word or None, its label or number).

    `windows.W1.sill_m` is the label W1 and the fact sill; `room.windows[0].sill_m` is window 1, sill.
    """
    before = ""
    parts = path.split(".")
    for place, part in enumerate(parts, start=1):
        match = _PART.fullmatch(part)
        name, index = (match[1], match[2]) if match else (part, None)
        number = str(int(index) + 1) if index is not None else None
        if place == len(parts) and number is None and f"kind.{name}" in MESSAGES:
            yield f"kind.{name}.many", ""
        elif number is None and (name in SILENT or f"kind.{name}" in MESSAGES):
            if name == path.rpartition(".")[2] and f"fact.{name}" in MESSAGES:
                yield f"fact.{name}", ""
        elif (before, name) == ("kit", "camera"):
            pass  # the camera of the kit, not its mark
        elif before == "surfaces" and is_wall(name):
            yield "surface.wall", name
        elif before == "surfaces" and f"surface.{name}.plain" in MESSAGES:
            yield f"surface.{name}.plain", ""
        elif f"kind.{name}" in MESSAGES and number is not None:
            yield f"kind.{name}", number
        elif f"fact.{name}" in MESSAGES:
            yield f"fact.{name}", number or ""
        elif before in SILENT or f"kind.{before}" in MESSAGES:
            yield None, name  # a label that somebody gave
        else:
            yield None, _UNIT.sub("", name).replace("_", " ")
        before = name
