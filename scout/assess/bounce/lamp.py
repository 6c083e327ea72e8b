"""One light of the kit as bounced light needs it: its spectrum, its beam, and where it stands in
the room.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from scout.assess.answers import Placement, Point
from scout.assess.bounce.room import LitRoom, cannot, of_surface, of_thing
from scout.calc.bounce.light import LightSpectrum, light_spectrum
from scout.calc.geometry import SMALL_M, inside, walls
from scout.calc.radiosity import INWARD_M, lobe_exponent, sees
from scout.errors import OutOfRange
from scout.records.sheet import Light
from scout.values import Figure, Name, Said, Value, said, words

NEAREST_M = 0.10  # a lamp nearer to a surface than this is laid against it, not bounced off it


@dataclass(frozen=True)
class Lamp:
    """A light that can be worked with. lux_at_1m None: not measured, then only ratios and colours
    are given.
    """

    id: str
    colour: LightSpectrum
    lux_at_1m: float | None
    beam_deg: float
    at_m: Point
    aim_m: Point | None
    assumed: tuple[Said, ...]

    @property
    def unit_lux(self) -> float:
        """Lux at one metre to compute with: the measured, or 1 when only ratios can be told."""
        return self.lux_at_1m if self.lux_at_1m is not None else 1.0

    def lux(self, figure: float) -> float | None:
        """A figure computed with unit_lux as lux, or None when the light's level is not measured."""
        return figure if self.lux_at_1m is not None else None

    @property
    def unknown(self) -> Said | None:
        """Why lux are missing though the rest is there; colours and stops do not need them."""
        return None if self.lux_at_1m is not None else light_unmeasured(self.id, "lux_at_1m")


def light_unmeasured(light: str, *facts: str) -> Said:
    """What nobody measured of a light."""
    return said("bounce.light_unmeasured", facts=words("fact", facts), light=Name(light))


def lamp_of(light: Light, placements: Mapping[str, Placement], lit: LitRoom) -> Lamp | Said:
    """The lamp, or why it cannot be worked with."""
    named = Name(light.id)
    if light.cct_k is None or light.beam_deg is None:
        absent = {"cct_k": light.cct_k, "beam_deg": light.beam_deg}
        return light_unmeasured(light.id, *(fact for fact in absent if absent[fact] is None))
    placement = placements.get(light.id)
    if placement is None:
        return said("bounce.no_place", light=named)
    at = placement.at_m
    patches = lit.room.patches
    if (
        not bool(inside(patches.plan_m, np.array(at[:2]), edge_m=SMALL_M))
        or not 0 <= at[2] <= patches.height_m
    ):
        return said("bounce.outside", light=named)
    assumed: list[Said] = []
    if placement.source == "planned":
        assumed.append(said("bounce.planned_place", light=named))
    elif placement.source == "assumed":
        assumed.append(said("bounce.assumed_place", light=named))
    kind = light.spectrum
    if kind is None:
        kind = "led"
        assumed.append(said("bounce.taken_as_led", light=named, cct=Figure(light.cct_k, "K")))
    try:
        colour = light_spectrum(kind, light.cct_k, light.duv)
        lobe_exponent(light.beam_deg)
    except OutOfRange as refusal:
        return of_thing(named, cannot("light", refusal))
    if light.duv is None:
        assumed.append(said("bounce.duv_of_kind", light=named, duv=Figure(colour.duv)))
    assumed += [of_thing(named, what) for what in colour.assumed]
    assumed += light.photometry_words
    return Lamp(
        light.id, colour, light.known_lux_at_1m, light.beam_deg, at, placement.aim_m, tuple(assumed)
    )


def square_aim(lamp: Lamp, lit: LitRoom, surface: str) -> tuple[Point, Said | None] | Said:
    """Where the lamp points when aimed square at a surface, and a note if square is not to be
    had; or why it cannot be aimed there.
    """
    x, y, z = lamp.at_m
    patches = lit.room.patches
    named: dict[str, Value] = {"light": Name(lamp.id), "surface": of_surface(surface)}
    if surface in {"floor", "ceiling"}:
        level = 0.0 if surface == "floor" else patches.height_m
        if abs(level - z) < NEAREST_M:
            return said("bounce.too_near", away=Figure(abs(level - z), "m"), **named)
        return (x, y, level), None
    wall = next(wall for wall in walls(patches.plan_m) if wall.letter == surface)
    here = np.array([x, y])
    away = float((wall.start_m - here) @ wall.outward)
    along = float((here - wall.start_m) @ wall.along)
    if away <= 0:
        return said("bounce.not_seen", **named)
    if 0 <= along <= wall.length_m and _clear(
        lamp, lit, wall.start_m + wall.along * along - wall.outward * INWARD_M
    ):
        if away < NEAREST_M:
            return said("bounce.too_near", away=Figure(away, "m"), **named)
        foot = wall.point(along, z)
        return (float(foot[0]), float(foot[1]), z), None
    middle = wall.point(wall.length_m / 2.0, z)
    if not _clear(lamp, lit, middle[:2] - wall.outward * INWARD_M):
        return said("bounce.not_seen", **named)
    return (float(middle[0]), float(middle[1]), z), said("bounce.aimed_at_middle", **named)


def _clear(lamp: Lamp, lit: LitRoom, to_m: np.ndarray) -> bool:
    return bool(sees(lit.room.patches.plan_m, np.array(lamp.at_m[:2]), to_m))
