"""Messages as a row keeps them: plain JSON of their codes and values, and read back from it."""

from __future__ import annotations

from datetime import date, datetime, time
from typing import Any

from scout.values import Figure, Many, Name, Said, Spell, Value, Word


def keep(value: Value | None) -> Any:
    """A message or a value of one as plain JSON."""
    if isinstance(value, Said):
        return {"said": value.code, "values": {name: keep(one) for name, one in value.values}}
    if isinstance(value, Figure):
        return {"figure": [value.value, value.unit, value.low, value.high]}
    if isinstance(value, Name):
        return {"name": value.text}
    if isinstance(value, Word):
        return {"word": [value.vocabulary, value.key]}
    if isinstance(value, Many):
        return {"many": [keep(one) for one in value], "style": value.style}
    if isinstance(value, Spell):
        return {"spell": [keep(value.start), keep(value.end)]}
    if isinstance(value, (datetime, date, time)):
        return {type(value).__name__: value.isoformat()}
    return value


def kept(plain: Any) -> Any:
    """What `keep` made of it; a text that an earlier version kept is a Name."""
    if isinstance(plain, str):
        return Name(plain)
    if not isinstance(plain, dict):
        return plain
    ((kind, inside), *rest) = plain.items()
    if kind == "said":
        return Said(inside, tuple((name, kept(one)) for name, one in rest[0][1].items()))
    if kind == "figure":
        return Figure(*inside)
    if kind == "name":
        return Name(inside)
    if kind == "word":
        return Word(*inside)
    if kind == "many":
        return Many(tuple(kept(one) for one in inside), rest[0][1])
    if kind == "spell":
        return Spell(*(kept(one) for one in inside))
    if kind == "datetime":
        return datetime.fromisoformat(inside)
    return date.fromisoformat(inside) if kind == "date" else time.fromisoformat(inside)
