"""Every act there is: its code, who does it, when as a rule, and the values it is said with.

How it is said stands under the same code in `words/english/acts.py`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from scout.assess.answers.finding import BEFORE, LOAD_IN, ON_DAY, Act, Change, Role, When
from scout.values import (
    Area,
    Degrees,
    Hertz,
    Length,
    Many,
    Name,
    Shutter,
    Spell,
    Stops,
    Value,
    Word,
)


@dataclass(frozen=True)
class ActKind:
    """An act in the catalogue."""

    who: Role
    when: When
    values: Mapping[str, Any]


def _kind(who: Role, when: When, **values: Any) -> ActKind:
    return ActKind(who, when, values)


ACTS: Mapping[str, ActKind] = {
    # what to bring
    "bring.lead": _kind("carry", BEFORE, lights=Many, lead=Length),
    "bring.light": _kind("light", BEFORE, short=Stops),
    "bring.stronger": _kind("light", BEFORE, part=Word, short=Stops),
    # what to measure: buys certainty, never a figure
    "measure": _kind("production", BEFORE, facts=Many),
    # light and sun
    "close.covering": _kind("light", ON_DAY, windows=Many),
    "camera.nd": _kind("camera", ON_DAY, stops=Stops),
    # colour
    "hang.white": _kind("light", LOAD_IN, surface=Word, area=Area),
    # space
    "move.back": _kind("camera", LOAD_IN, back=Length),
    "operate.beside": _kind("camera", ON_DAY, side=Word),
    "clamp.light": _kind("light", LOAD_IN, light=Name, height=Length),
    "camera.shutter": _kind("camera", ON_DAY, shutter=Shutter, mains=Hertz),
    "move.subject": _kind("camera", LOAD_IN, away=Length, surface=Word),
    "turn.subject": _kind("camera", LOAD_IN, turn=Degrees),
    # sound and hours
    "wait.noise": _kind("sound", ON_DAY, noise=Name, spell=Spell),
}


def act(
    code: str,
    /,
    *,
    who: Role | None = None,
    when: When | None = None,
    buys: Change | None = None,
    **values: Value | None,
) -> Act:
    """An act of the catalogue. Raises KeyError for a code, TypeError for a value it does not know."""
    kind = ACTS[code]
    if unknown := set(values) - set(kind.values):
        raise TypeError(f"{code} knows no {', '.join(sorted(unknown))}")
    return Act(code, who or kind.who, when or kind.when, tuple(values.items()), buys)
