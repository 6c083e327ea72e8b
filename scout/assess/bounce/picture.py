"""What bounced light looks like: surfaces by colour and plain name, white, grey and skins before
and after, who gives how much of the light.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from scout.assess.answers import BounceAnswer, Placement, SurroundAnswer
from scout.assess.bounce.lamp import Lamp, lamp_of
from scout.assess.bounce.room import LitRoom, lit_room, of_surface
from scout.assess.bounce.start import lights_of, subject_look
from scout.assess.bounce.surround import Aimed, aimed, contributions, sides_of
from scout.calc.bounce.difference import D65_WHITE, lab, xyz_of_lab
from scout.calc.bounce.named import code_of_xyz, nearest_name
from scout.calc.bounce.reach import face, spot
from scout.calc.bounce.shift import appearances
from scout.calc.bounce.spectra import d65, xyz
from scout.calc.bounce.surface import SKINS
from scout.calc.geometry import FloatArray
from scout.records.sheet import RoomSheet
from scout.values import Said, Word

PATCHES = ("white", "grey", *SKINS)
SHOWN = 0.85  # a white card is shown a little under the screen's white, so that a tint has room


@dataclass(frozen=True)
class SurfaceLook:
    """A surface as it looks in daylight. `code` and the rest None: not measured."""

    name: str
    words: Word
    code: str | None = None
    colour: Word | None = None  # the everyday name nearest to it
    level: float | None = None
    is_open: bool = False


@dataclass(frozen=True)
class PatchLook:
    """One patch under the key alone and under the other light, the camera balanced to the key."""

    name: Word
    before: str
    after: str


@dataclass(frozen=True)
class LightLook:
    """The patches under one light by one way."""

    light: str
    target: str  # "key", "shadow" or the surface it is bounced off
    patches: tuple[PatchLook, ...]
    shares: Mapping[str, float]  # of the bounced light at this side, by surface; empty for a bounce


def surface_looks(sheet: RoomSheet) -> tuple[SurfaceLook, ...] | Said:
    """Every wall, the floor and the ceiling, or why there are none."""
    lit = lit_room(sheet)
    if isinstance(lit, Said):
        return lit
    looks = []
    for name in lit.surfaces:
        spectrum = lit.known.get(name)
        if spectrum is None:
            looks.append(
                SurfaceLook(
                    name,
                    of_surface(name),
                    is_open=name in lit.open_sides,
                )
            )
            continue
        value = xyz(d65() * spectrum) * D65_WHITE / xyz(d65())
        looks.append(
            SurfaceLook(
                name,
                of_surface(name),
                code_of_xyz(value),
                Word("paint", nearest_name(lab(value))),
                float(value[1]),
            )
        )
    return tuple(looks)


def light_looks(
    sheet: RoomSheet,
    placements: Mapping[str, Placement],
    bounces: tuple[BounceAnswer, ...],
    surrounds: tuple[SurroundAnswer, ...],
) -> tuple[LightLook, ...]:
    """The patches for every judged bounce and for both sides of the face under each light."""
    lit = lit_room(sheet)
    if isinstance(lit, Said) or lit.missing:
        return ()
    found: list[LightLook] = []
    for light in lights_of(sheet):
        on_face = aimed(light, sheet, placements, lit)
        if isinstance(on_face, Aimed):
            sides = sides_of(on_face, lit, lit.reflectance[0])
            spectrum = on_face.lamp.colour.spectrum
            for row in (row for row in surrounds if row.light == light.id and row.risk is not None):
                arriving = spectrum * (
                    sides.key + on_face.direct if row.side == "key" else sides.shadow
                )
                found.append(
                    LightLook(
                        light.id,
                        row.side,
                        _patches(spectrum, arriving),
                        contributions(on_face, lit, row.side),
                    )
                )
        found += _bounced(
            sheet,
            placements,
            lit,
            [row for row in bounces if row.light == light.id and row.risk is not None],
        )
    return tuple(found)


def _bounced(
    sheet: RoomSheet, placements: Mapping[str, Placement], lit: LitRoom, rows: list[BounceAnswer]
) -> list[LightLook]:
    looks = subject_look(sheet, lit)
    if isinstance(looks, Said) or not rows:
        return []
    seen = face(lit.room, lit.reflectance[0], looks)
    lights = {light.id: light for light in lights_of(sheet)}
    found = []
    for row in rows:
        lamp = lamp_of(lights[row.light], placements, lit)
        if not isinstance(lamp, Lamp) or row.aim_m is None:
            continue
        arriving = lamp.colour.spectrum * seen.arriving(
            spot(lit.room, lamp.at_m, row.aim_m, lamp.unit_lux, lamp.beam_deg)
        )
        found.append(
            LightLook(row.light, row.surface, _patches(lamp.colour.spectrum, arriving), {})
        )
    return found


def _patches(key: FloatArray, other: FloatArray) -> tuple[PatchLook, ...]:
    before, after = (appearances(key, light[None])[0] for light in (key, other))
    return tuple(
        PatchLook(Word("patch", name), _code(a), _code(b))
        for name, a, b in zip(PATCHES, before, after, strict=True)
    )


def _code(colour: FloatArray) -> str:
    return code_of_xyz(SHOWN * xyz_of_lab(colour))
