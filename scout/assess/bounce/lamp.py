"""One light of the kit as bounced light needs it: its spectrum, its beam, and where it stands in
the room.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from scout.assess.answers import Placement, Point
from scout.assess.bounce.room import LitRoom, surface_words
from scout.calc.bounce.light import LightSpectrum, light_spectrum
from scout.calc.geometry import SMALL_M, inside, walls
from scout.calc.radiosity import INWARD_M, lobe_exponent, sees
from scout.errors import OutOfRange
from scout.records.sheet import Light

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
    assumed: tuple[str, ...]

    @property
    def unit_lux(self) -> float:
        """Lux at one metre to compute with: the measured, or 1 when only ratios can be told."""
        return self.lux_at_1m if self.lux_at_1m is not None else 1.0

    def lux(self, figure: float) -> float | None:
        """A figure computed with unit_lux as lux, or None when the light's level is not measured."""
        return figure if self.lux_at_1m is not None else None

    @property
    def unknown(self) -> str | None:
        """Why lux are missing though the rest is there."""
        return (
            None
            if self.lux_at_1m is not None
            else f"because the lux at 1 m of {self.id} is not measured; colours and stops do not need it"
        )


def lamp_of(light: Light, placements: Mapping[str, Placement], lit: LitRoom) -> Lamp | str:
    """The lamp, or why it cannot be worked with ("because ...")."""
    absent = [
        words
        for words, value in (("colour temperature", light.cct_k), ("beam angle", light.beam_deg))
        if value is None
    ]
    if light.cct_k is None or light.beam_deg is None:
        return f"because the {' and the '.join(absent)} of {light.id} {'are' if len(absent) > 1 else 'is'} not measured"
    placement = placements.get(light.id)
    if placement is None:
        return f"because {light.id} has no place in this room: pin it (at_m), or set the marks so that a plan can place it"
    at = placement.at_m
    patches = lit.room.patches
    if (
        not bool(inside(patches.plan_m, np.array(at[:2]), edge_m=SMALL_M))
        or not 0 <= at[2] <= patches.height_m
    ):
        return f"because {light.id} stands outside the room, at {_place(at)}"
    assumed: list[str] = []
    if placement.source != "pinned":
        assumed.append(
            f"{light.id} stands at {_place(at)}, as {'the light plan puts it' if placement.source == 'planned' else 'assumed'}; pin it to be sure"
        )
    kind = light.spectrum
    if kind is None:
        kind = "led"
        assumed.append(
            f"the kind of {light.id} is not recorded: taken as a white LED of {light.cct_k:g} K"
        )
    try:
        colour = light_spectrum(kind, light.cct_k, light.duv)
        lobe_exponent(light.beam_deg)
    except OutOfRange as refusal:
        return f"because {light.id} cannot be computed: {refusal}"
    if light.duv is None:
        assumed.append(
            f"the Duv of {light.id} is not measured: taken as {colour.duv:+.4f}, as its kind has"
        )
    assumed += [f"{light.id}: {words}" for words in colour.assumed]
    assumed += light.photometry_words
    return Lamp(
        light.id, colour, light.known_lux_at_1m, light.beam_deg, at, placement.aim_m, tuple(assumed)
    )


def square_aim(lamp: Lamp, lit: LitRoom, surface: str) -> tuple[Point, str | None] | str:
    """Where the lamp points when aimed square at a surface, and a sentence if square is not to be
    had; or why it cannot be aimed there.
    """
    x, y, z = lamp.at_m
    patches = lit.room.patches
    words = surface_words(surface)
    if surface in {"floor", "ceiling"}:
        level = 0.0 if surface == "floor" else patches.height_m
        if abs(level - z) < NEAREST_M:
            return f"because {lamp.id} stands {abs(level - z):.2f} m from {words}: too near to bounce off it"
        return (x, y, level), None
    wall = next(wall for wall in walls(patches.plan_m) if wall.letter == surface)
    here = np.array([x, y])
    away = float((wall.start_m - here) @ wall.outward)
    along = float((here - wall.start_m) @ wall.along)
    if away <= 0:
        return f"because {words} faces away from where {lamp.id} stands"
    if 0 <= along <= wall.length_m and _clear(
        lamp, lit, wall.start_m + wall.along * along - wall.outward * INWARD_M
    ):
        if away < NEAREST_M:
            return f"because {lamp.id} stands {away:.2f} m from {words}: too near to bounce off it"
        foot = wall.point(along, z)
        return (float(foot[0]), float(foot[1]), z), None
    middle = wall.point(wall.length_m / 2.0, z)
    if not _clear(lamp, lit, middle[:2] - wall.outward * INWARD_M):
        return f"because {words} cannot be seen from where {lamp.id} stands"
    said = f"the line square to {words} misses it from where {lamp.id} stands: aimed at its middle"
    return (float(middle[0]), float(middle[1]), z), said


def _clear(lamp: Lamp, lit: LitRoom, to_m: np.ndarray) -> bool:
    return bool(sees(lit.room.patches.plan_m, np.array(lamp.at_m[:2]), to_m))


def _place(at: Point) -> str:
    return f"{at[0]:.2f}, {at[1]:.2f}, {at[2]:.2f} m"
