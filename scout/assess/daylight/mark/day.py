"""Light on the planes of a mark at the steps of a date, as it is taken, at both ends of what is not
measured, and with the doubt of what is.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

import numpy as np
from numpy.typing import NDArray

from scout.assess.answers import RangeFact
from scout.assess.daylight.mark.doubt import Clear, Plane, PlaneDoubt, plane_doubt, range_note
from scout.assess.daylight.place.where import Place, WallFacings
from scout.assess.daylight.room.reckoned import LightRoom
from scout.assess.daylight.room.sources import Source, taken_facts
from scout.calc.daylight.mark.clear_day import RoomSpot, Spot, clear_luxes
from scout.calc.daylight.mark.room_light import MarkLight
from scout.calc.daylight.outside.sky import OVERCAST, extraterrestrial_lux, sky_lux
from scout.calc.daylight.place.local_date import local_time
from scout.calc.daylight.sun.events import DayEvents
from scout.calc.daylight.sun.position import SUNRISE_DEG, SunPosition, sun_position
from scout.calc.geometry import FloatArray
from scout.records.sheet import RoomSheet
from scout.values import Said

STEP_S = 900.0
Point = tuple[float, float, float]
Range = tuple[float, float]


class Day:
    """The sun over one local date, at the steps of the series and, last, at noon."""

    def __init__(self, events: DayEvents, place: Place, on: date) -> None:
        self.events, self.place, self.on = events, place, on
        steps = np.arange(events.spans[0][0], events.spans[-1][1], STEP_S)
        self.clocks = [self.clock(float(at)) for at in steps]
        self.at_s = steps if events.noon is None else np.append(steps, events.noon)
        self.at_steps = self.sun(self.at_s)
        self.outside_lux = extraterrestrial_lux(on)

    def sun(self, at_s: FloatArray) -> SunPosition[FloatArray]:
        return sun_position(at_s, **self.place.where)

    def clock(self, at_s: float) -> datetime:
        return local_time(at_s, self.place.zone)


@dataclass(frozen=True)
class Side:
    """Light on one plane; through the day at its steps and at noon, where the date is known."""

    factor: float
    sky: float
    overcast: FloatArray | None = None
    clear: FloatArray | None = None
    lit: NDArray[np.bool_] | None = None
    sunlit: Clear | None = None


@dataclass(frozen=True)
class Sides:
    """A plane as it is taken, at both ends of what is not measured, and the doubt of what is: under
    cloud, and down and up at each step under a clear sky.
    """

    usual: Side
    bounds: tuple[Side, Side] | None = None
    doubt: PlaneDoubt | None = None
    clear_doubt: tuple[FloatArray, FloatArray] | None = None

    @property
    def ends(self) -> tuple[Side, Side]:
        return (self.usual, self.usual) if self.bounds is None else self.bounds

    @property
    def factor_range_pct(self) -> Range | None:
        if self.doubt is None:
            return None
        low, high = (side.factor for side in self.ends)
        wide = float(np.exp(self.doubt.overcast))
        return round(100.0 * low / wide, 4), round(100.0 * high * wide, 4)

    @property
    def facts(self) -> tuple[RangeFact, ...]:
        return () if self.doubt is None else self.doubt.facts

    @property
    def because(self) -> Said | None:
        if self.doubt is None or self.usual.factor <= 0:
            return None
        low, high = self.factor_range_pct or (0.0, 0.0)
        return range_note(self.facts, float(np.log(high / low)) / 2.0) if low > 0 else None


@dataclass(frozen=True)
class Doubts:
    """What the doubt of every plane rests on."""

    sheet: RoomSheet
    facings: WallFacings
    ground: float
    room: LightRoom | None = None
    sources: tuple[Source, ...] = ()

    def of(
        self, number: int, plane: Plane, usual: Side, bounds: tuple[Side, Side] | None = None
    ) -> Sides:
        """A plane with its doubt."""
        taken = () if self.room is None else taken_facts(self.sheet, self.room, self.ground, number)
        doubt = plane_doubt(
            self.sheet,
            number,
            plane,
            self.sources,
            taken,
            self.facings.doubt_deg,
            self.ground,
            usual.sunlit,
        )
        if doubt.clear_down is None or doubt.clear_up is None or usual.clear is None:
            return Sides(usual, bounds, doubt)
        shone = usual.sunlit
        assert shone is not None
        steps = []
        for half in (doubt.clear_down, doubt.clear_up):
            whole = np.zeros(len(usual.clear))
            whole[shone.up] = half
            steps.append(whole)
        return Sides(usual, bounds, doubt, (steps[0], steps[1]))


def in_room(doubts: Doubts, turn: float | None, day: Day | None) -> tuple[Sides, ...]:
    """Every plane that the room was worked out for."""
    room, ground = doubts.room, doubts.ground
    assert room is not None
    every = [(light, mark) for light in (room.light, *(room.bounds or ())) for mark in light.marks]
    planes = [_plane(mark, ground) for _, mark in every]
    skies = [mark.direct.overcast_sky for _, mark in every]
    under = list(zip(planes, skies, strict=True))
    if not room.light.glazing:
        return tuple(Sides(dark(plane.factor, sky, day)) for plane, sky in under)
    spots = None if turn is None else [RoomSpot(light, mark, turn) for light, mark in every]
    found = lit_sides([(plane.factor, sky) for plane, sky in under], spots, day, ground)
    count = len(room.light.marks)
    usual, low, high = found[:count], found[count : 2 * count], found[2 * count :]
    return tuple(
        doubts.of(number, planes[number], side, None if not low else (low[number], high[number]))
        for number, side in enumerate(usual)
    )


def _plane(mark: MarkLight, ground: float) -> Plane:
    """The light of a plane under cloud, by its ways."""
    assert mark.reflected is not None
    straight, reflected = mark.direct.overcast(ground), mark.reflected.overcast(ground)
    whole = straight + reflected
    without = mark.direct.overcast(0.0) + mark.reflected.overcast(0.0)
    return Plane(straight, reflected, whole - without)


def dark(factor: float, sky: float, day: Day | None) -> Side:
    if day is None:
        return Side(factor, sky)
    height = day.at_steps.elevation_deg
    none = np.zeros_like(height)
    return Side(factor, sky, none, none, np.zeros(height.shape, dtype=bool))


def lit_sides(
    planes: Sequence[tuple[float, float]],
    spots: Sequence[Spot] | None,
    day: Day | None,
    ground: float,
) -> list[Side]:
    """Planes, each by its factor under cloud and the sky's own part of it, through the day; their
    clear lux and whether the sun lights them are None without a facing (`spots`).
    """
    if day is None:
        return [Side(factor, sky) for factor, sky in planes]
    sun = day.at_steps
    level = sky_lux(sun.elevation_deg, OVERCAST)
    if spots is None:
        return [Side(factor, sky, factor * level) for factor, sky in planes]
    up = sun.geometric_elevation_deg > SUNRISE_DEG
    azimuth, high = sun.azimuth_deg[up], sun.elevation_deg[up]
    lights = clear_luxes(
        spots, azimuth, high, outside_lux=day.outside_lux, ground_reflectance=ground
    )
    found = []
    for (factor, sky), spot, light in zip(planes, spots, lights, strict=True):
        lit, lux = np.zeros(up.shape, dtype=bool), np.zeros(up.shape)
        lit[up], lux[up] = light.lit, light.lux
        sunlit = Clear(spot, light, up, day.at_s[up], azimuth, high, day.outside_lux)
        found.append(Side(factor, sky, factor * level, lux, lit, sunlit))
    return found
