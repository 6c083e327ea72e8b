"""Daylight of a room on a date: events, direct sun through windows, light at the marks, and the
verdicts drawn from them.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from scout.assess.answers import (
    DaylightAnswer,
    EventsAnswer,
    Finding,
    Interval,
    RoomAssessment,
    Verdict,
    WindowSunAnswer,
)
from scout.assess.daylight.events import events
from scout.assess.daylight.events import sun_answer as sun_position_at
from scout.assess.daylight.judged import judged_light
from scout.assess.daylight.marks import marks
from scout.assess.daylight.windows import sun_at, windows
from scout.assess.setup import Setup
from scout.records.sheet import RoomSheet

__all__ = ["CAUTIONS", "events", "marks", "sun_at", "sun_position_at", "verdicts", "windows"]

LISTED = 3
CAUTIONS = (
    "Never look at the sun, least of all through a viewfinder or a long lens: it burns eyes and sensors in moments.",
)


def verdicts(
    sheet: RoomSheet, day: EventsAnswer, through: tuple[WindowSunAnswer, ...], light: DaylightAnswer
) -> tuple[Verdict, ...]:
    """Two judgements in words: whether daylight alone is enough at the subject, and whether direct
    sun will come in.
    """
    return _enough(light), _sun(sheet, day, through)


def _enough(light: DaylightAnswer) -> Verdict:
    mark = light.marks.get("subject")
    if mark is None:
        return Verdict("daylight", "unknown", light.unknown or "because no subject mark is given")
    if mark.overcast_lux_noon is None or light.needed_lux is None:
        because = mark.unknown if mark.overcast_lux_noon is None else light.unknown
        return Verdict(
            "daylight",
            "unknown",
            because or "because at noon the sun is not up, and twilight is not worked out",
        )
    noon, needed = mark.overcast_lux_noon, light.needed_lux
    clear = (
        f", {mark.clear_lux_noon:.0f} under a clear one" if mark.clear_lux_noon is not None else ""
    )
    side = ""
    if mark.camera_overcast_lux_noon is not None:
        lit = (
            f" and {mark.camera_clear_lux_noon:.0f}"
            if mark.camera_clear_lux_noon is not None
            else ""
        )
        side = f" (on the side that the camera sees {mark.camera_overcast_lux_noon:.0f}{lit})"
    said = f"at noon the subject gets {noon:.0f} lux under an overcast sky{clear}{side}; the camera needs {needed:.0f}"
    judged = judged_light(light)
    if judged is not None and judged.enough_from is not None and judged.enough_until is not None:
        return Verdict(
            "daylight",
            "good",
            f"{said}: enough from {_clock(judged.enough_from)} to {_clock(judged.enough_until)}",
        )
    bright = judged.enough_clear(needed) if judged is not None else None
    if bright is not None:
        return Verdict(
            "daylight",
            "care",
            f"{said}: enough only under a clear sky, about {_clock(bright[0])} to {_clock(bright[1])}",
        )
    return Verdict("daylight", "problem", f"{said}: bring light")


def _sun(sheet: RoomSheet, day: EventsAnswer, through: tuple[WindowSunAnswer, ...]) -> Verdict:
    topic = "direct sun"
    if sheet.room.setting == "exterior":
        if day.unknown is not None:
            return Verdict(topic, "unknown", day.unknown)
        if not day.day_length_min:
            return Verdict(topic, "good", "the sun does not rise on this date")
        return Verdict(
            topic,
            "care",
            f"outdoors the sun is up for {day.day_length_min / 60:.1f} hours; where it falls changes all the while",
        )
    if sheet.room.windows is None:
        return Verdict(topic, "unknown", "because the windows of the room are not recorded")
    if not through:
        return Verdict(topic, "good", "the room has no windows: no direct sun can come in")
    known = [row for row in through if row.direct_sun_min is not None]
    lit = [row for row in known if row.direct_sun]
    if lit:
        said = "; ".join(f"{row.id} {_spells(row.direct_sun)}" for row in lit)
        rest = [row.id for row in through if row.direct_sun_min is None]
        tail = f"; unknown for {', '.join(rest)}" if rest else ""
        return Verdict(topic, "care", f"direct sun comes through {said}{tail}")
    if len(known) < len(through):
        return Verdict(
            topic,
            "unknown",
            next(row.unknown for row in through if row.unknown)
            or "because it could not be worked out",
        )
    return Verdict(topic, "good", "no direct sun comes through any window on this date")


def _spells(spells: Iterable[Interval]) -> str:
    shown = [f"{_clock(start)} to {_clock(end)}" for start, end in spells]
    return ", ".join(shown[:LISTED]) + (
        f" and {len(shown) - LISTED} more" if len(shown) > LISTED else ""
    )


def _clock(at: datetime) -> str:
    return f"{at:%H:%M}"


def findings(setup: Setup, found: RoomAssessment) -> tuple[Finding, ...]:
    """What this comes to for a setup."""
    return ()
