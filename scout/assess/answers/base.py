"""What every block of an answer carries, and the words all blocks share."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from scout.values import Said, said, words

Risk = Literal["none", "low", "medium", "high"]
Point = tuple[float, float, float]
Interval = tuple[datetime, datetime]


@dataclass(frozen=True, kw_only=True)
class Answer:
    """What every block carries beside its figures."""

    assumed: tuple[Said, ...] = ()
    unknown: Said | None = None  # "because ..."; None when every figure of the block is there


@dataclass(frozen=True)
class Placement:
    """Where a light stands and points for the calculations that need it."""

    light: str
    at_m: Point
    aim_m: Point | None
    source: Literal["pinned", "planned", "assumed"]


KIT_LISTS = ("kit.lights", "kit.mics", "kit.cables", "kit.chargers", "kit.batteries")


def of_kit(path: str) -> bool:
    """Whether a fact is one that a kit's list says, and no tape."""
    return path == "kit" or path.startswith("kit.")


def unmeasured(*paths: str) -> Said:
    """What stands in the way of a figure: facts of the sheet, by their paths, that nobody took down."""
    from scout.records.parts import PARTS  # whoever only says values waits for no records

    facts = words("fact", paths)
    if all(map(of_kit, paths)):
        return said(
            "unlisted.many" if len(paths) > 1 or paths[0] in KIT_LISTS else "unlisted", facts=facts
        )
    if len(paths) > 1 or paths[0].rpartition(".")[2] in PARTS:
        return said("unmeasured.many", facts=facts)
    return said("unmeasured", facts=facts)
