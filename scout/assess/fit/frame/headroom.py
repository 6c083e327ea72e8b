"""Where heads meet what is low: a ceiling, a door."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from scout.assess.answers import Finding
from scout.assess.fit.kinds import SpaceFinding
from scout.assess.fit.reasons import metres
from scout.assess.setup import Setup
from scout.values import Length, Name, Word

UPRIGHT_M = 1.9  # nineteen of twenty men in shoes stand upright under it (from memory)


@dataclass(frozen=True, kw_only=True)
class LowOverhead(SpaceFinding):
    """A ceiling or a door under which tall people stoop.

    Why:    heads, raised lamps and poles hit it; whoever carries looks at the kit.
    Level:  care.
    Source: stature of the 95th percentile of men with shoes, from memory.
    """

    code = "space.low_overhead"
    levels = ("care",)
    height: Length


def low_overhead(setup: Setup) -> Iterator[Finding]:
    """The ceiling and each door that is lower than people are tall; outdoors nothing is overhead."""
    room = setup.sheet.room
    low: list[tuple[Name | Word, float, str]] = [
        (Name(door.id), door.height_m, f"room.doors.{door.id}.height_m")
        for door in room.doors or ()
        if door.height_m is not None
    ]
    if room.setting != "exterior" and room.height_m is not None:
        low.insert(0, (Word("surface", "ceiling"), room.height_m, "room.height_m"))
    for about, height_m, fact in low:
        if height_m < UPRIGHT_M:
            yield LowOverhead(
                level="care", about=(about,), height=metres(height_m), rests_on=(fact,)
            )
