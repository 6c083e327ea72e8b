"""What is found of lamps that beat with the shutter, and of the light along a walk."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from scout.assess.answers import Change, Finding, FitAnswer, Level, act
from scout.assess.fit.light.flicker import SEEN_STOPS as FLICKER_STOPS
from scout.assess.fit.light.flicker import swing_stops
from scout.assess.fit.light.kinds import Flicker, Walk
from scout.assess.fit.light.motion import SEEN_STOPS as WALK_STOPS
from scout.assess.fit.light.motion import place
from scout.assess.setup import Setup
from scout.values import Figure, Many, names


def flicker_findings(setup: Setup, answer: FitAnswer) -> Iterator[Finding]:
    """Lamps that burn anyway and beat with the shutter."""
    lamps = [
        lamp.id for lamp in setup.sheet.room.practicals or () if lamp.can_switch_off is not True
    ]
    bad = [row for row in answer.flicker if row.safe is False]
    if not lamps or not bad or bad[0].shutter_s is None:
        return
    open_s = bad[0].shutter_s
    swings = [row.swing_stops for row in bad]
    known = [swing for swing in swings if swing is not None]
    acts = []
    for row in bad:
        best = min(row.safe_shutters_s, key=lambda one: abs(np.log(one / open_s)))
        after, mains = swing_stops(best, row.mains_hz), Figure(row.mains_hz, "Hz")
        if row.swing_stops is not None and after is not None and after <= FLICKER_STOPS:
            gain = Change("swing", "stops", row.swing_stops, after)
            acts.append(act("camera.shutter", shutter=_shutter(best), mains=mains, buys=gain))
    yield Flicker(
        level="care",
        about=names(lamps).items,
        shutter=_shutter(open_s),
        mains=Many(tuple(Figure(row.mains_hz, "Hz") for row in bad)),
        swing=Figure(max(known), "stops") if len(known) == len(swings) else None,
        safe=Many(tuple(_shutter(one) for row in bad for one in row.safe_shutters_s)),
        acts=tuple(acts),
    )


def _shutter(seconds: float) -> Figure:
    return Figure(seconds, "shutter_s")


def walk_findings(answer: FitAnswer) -> Iterator[Finding]:
    """How much the light changes along the walk."""
    motion = answer.motion
    if motion is None or motion.stops is None:
        return
    daylit = motion.stops_with_daylight
    change = motion.stops if daylit is None else daylit
    lux = [
        point.lux + (0.0 if daylit is None else point.daylight_lux or 0.0)
        for point in motion.points
    ]
    latitude, points = motion.latitude_stops, motion.points
    add = max(lux) / 2.0**WALK_STOPS - min(lux)  # to bring the dark end within what is seen
    level: Level = "good" if change <= WALK_STOPS else "care"
    if level == "care" and latitude is not None and change > latitude / 2.0:
        level = "problem"
    yield Walk(
        level=level,
        change=Figure(change, "stops"),
        most=Figure(max(lux), "lux"),
        brightest=place(points[lux.index(max(lux))].at_m),
        least=Figure(min(lux), "lux"),
        darkest=place(points[lux.index(min(lux))].at_m),
        add=Figure(add, "lux") if level != "good" and add > 0 else None,
        latitude=None if latitude is None else Figure(latitude, "stops"),
    )
