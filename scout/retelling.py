"""Sentences of the engine, which are written in metres, said again in feet and inches for those who
read those.

One place does it, at the rim, so that no calculation and no sentence has to know who reads. Left as
they are: millimetres (lenses, sensors,
conductors), kilometres, metres a second, light and sound "at 1 m", which is how both are defined,
what stands in “quotation marks”, for
that is what somebody typed, and examples of what may be typed.
"""

from __future__ import annotations

import copy
import dataclasses
import re
from collections.abc import Mapping
from typing import Any, TypeVar

from scout.units import METRES_PER_FOOT, SQUARE_METRES_PER_SQUARE_FOOT, Units, metres_as_text
from scout.values import Said, Spoken

T = TypeVar("T")
# a length given in whole metres from here on is a walk or a lead: inches would say more than is
# known
FEET_ALONE_FROM_M = 10.0
NAMES = frozenset(
    {
        "id",
        "name",
        "light",
        "outlet",
        "circuit",
        "mic",
        "surface",
        "wall",
        "reading",
        "conditions",
        "reason",
        "room_name",
        "location_name",
        "scene",
        "worst_surface",
        "window",
        "cable",
        "key",
        "code",
    }
)

_NUMBER = r"(?:\d{1,3}(?:,\d{3})+|\d+)(?:\.\d+)?"
_BETWEEN = r"\s*(?:,\s?|\bto\b|\bby\b|\band\b|\bor\b|[x×–-])\s*"
_LENGTHS = re.compile(
    rf"(?<![\w.,:$€£])(?P<numbers>[-−]?{_NUMBER}(?:{_BETWEEN}[-−]?{_NUMBER})*\)?)[ \u00a0\u202f]?"
    rf"(?P<unit>m2|m²|m3|m³|metres?|cm|m)(?![\w²³/^°])"
)
_KEYED = re.compile(rf"\b([a-z]+(?:_[a-z]+)*)_m (?:is )?({_NUMBER})(?![\w.])")
_DEFINED = re.compile(
    r"(?:lux|lx|dBA?|dB SPL|lm|voice[^.;]{0,20}|effort[^.;]{0,20})(?: is)?(?: (?:read|given|measured|recorded))? at $"
)
_KEPT = re.compile(
    r"(“[^”]*”|(?:such as|; write|; give)\b.*?(?:\.\s|\Z))", re.S
)  # what was typed, and examples of what may be typed


def retold(text: str, units: Units) -> str:
    """A sentence with its lengths, areas and volumes in the units of who reads it."""
    if units == "metric":
        return text
    parts = _KEPT.split(text)
    return "".join(part if i % 2 else _again(part) for i, part in enumerate(parts))


def _again(text: str) -> str:
    text = _KEYED.sub(lambda found: f"{found[1].replace('_', ' ')} {_length(found[2], 'm')}", text)

    def said(found: re.Match[str]) -> str:
        numbers, unit = found["numbers"], found["unit"]
        if numbers == "1" and unit == "m" and _DEFINED.search(text[: found.start()]):
            return found[0]
        if unit in ("m2", "m²", "m3", "m³"):
            say, word = (_area, "sq ft") if unit in ("m2", "m²") else (_volume, "cu ft")
            return f"{re.sub(_NUMBER, lambda one: say(_value(one[0])), numbers)} {word}"
        return re.sub(_NUMBER, lambda one: _length(one[0], unit), numbers)

    return _LENGTHS.sub(said, text)


def _value(digits: str) -> float:
    return float(digits.replace(",", ""))


def _length(digits: str, unit: str) -> str:
    length_m = _value(digits) * (0.01 if unit == "cm" else 1.0)
    if unit != "cm" and "." not in digits and length_m >= FEET_ALONE_FROM_M:
        return f"{length_m / METRES_PER_FOOT:,.0f} ft"
    said = metres_as_text(length_m, "feet")
    return said.removeprefix("0' ") if length_m else said


def _area(area_m2: float) -> str:
    square_feet = area_m2 / SQUARE_METRES_PER_SQUARE_FOOT
    return f"{square_feet:.1f}" if square_feet < 20 else f"{square_feet:,.0f}"


def _volume(volume_m3: float) -> str:
    cubic_feet = volume_m3 / METRES_PER_FOOT**3
    return f"{float(f'{cubic_feet:.3g}'):,.0f}" if cubic_feet >= 10 else f"{cubic_feet:.1f}"


def retold_answers(value: T, units: Units) -> T:
    """The same answers with every sentence said again; what people typed (records, names, notes) is
    handed on as it is.
    """
    spoken: T = _walk(value, False, units)
    return spoken


def _walk(value: Any, inside: bool, units: Units) -> Any:
    if isinstance(value, Said):
        return str(value)
    if isinstance(value, Spoken):
        return value
    if isinstance(value, str):
        return retold(value, units) if inside else value
    if isinstance(value, tuple) and not hasattr(value, "_fields"):
        made = [_walk(one, inside, units) for one in value]
        return (
            value if all(new is old for new, old in zip(made, value, strict=True)) else tuple(made)
        )
    if isinstance(value, list):
        return [_walk(one, inside, units) for one in value]
    if isinstance(value, Mapping):
        return (
            {key: _walk(one, inside, units) for key, one in value.items()}
            if isinstance(value, dict)
            else value
        )
    if not dataclasses.is_dataclass(value) or isinstance(value, type):
        return value
    room = type(value).__module__
    answer = room.startswith("scout.assess")
    if (
        not answer
        and not (
            room.startswith(("scout.usecases", "scout.pages")) and room != "scout.usecases.shown"
        )
        and room != "scout.packet.content"
    ):
        return value
    changed = {}
    for field in dataclasses.fields(value):
        old = getattr(value, field.name)
        new = (
            old
            if answer and field.name in NAMES and isinstance(old, str)
            else _walk(old, answer, units)
        )
        if new is not old:
            changed[field.name] = new
    if not changed:
        return value
    again: Any = copy.copy(value)
    for name, new in changed.items():
        object.__setattr__(again, name, new)
    return again
