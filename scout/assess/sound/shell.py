"""What a room's reverberation is worked out from: its plan, height and surfaces as far as they are
known, and the field of pieces of one material that the formulas work on.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from scout.assess.answers import unmeasured
from scout.calc import geometry
from scout.calc.geometry import FloatArray
from scout.calc.sound.absorption import ABSORPTION_BANDS_HZ, absorption, is_counted
from scout.records.sheet import Content, RoomRecord
from scout.values import Said, Word, said

MID_BANDS = tuple(ABSORPTION_BANDS_HZ.index(band) for band in (500, 1000))  # "mid": ISO 3382-1
SEATS = frozenset({"seats_upholstered", "seats_wooden"})
ON_FLOOR = SEATS | {
    "concrete_floor",
    "tile_or_marble",
    "wood_floor",
    "linoleum",
    "carpet_thin",
    "carpet_closed_foam",
    "carpet_open_foam",
    "audience",
}
ON_CEILING = frozenset({"ceiling_tile", "plasterboard_ceiling"})
# Floor that one of them takes: the table's audience sits one to the square metre; rows of seats
# 0.5 to 1 m2 (common practice).
EACH_M2: Mapping[str, tuple[float, float]] = {
    "audience": (1.0, 1.0),
    **dict.fromkeys(SEATS, (0.5, 1.0)),
}
MOST_PEOPLE_PER_M2 = 1.0  # that sit or stand apart, as the table counts them


@dataclass(frozen=True)
class Piece:
    """One surface, or part of one, of one material."""

    where: str  # wall letter, ceiling, floor; walls: before one of them
    area_m2: float
    absorption: FloatArray  # (bands,)
    opening: bool = False


@dataclass(frozen=True)
class Field:
    """What the formulas work on."""

    volume_m3: float
    pieces: tuple[Piece, ...]
    beside_m2: FloatArray  # people, and furniture as far as it hides no surface
    air: FloatArray

    @property
    def areas(self) -> FloatArray:
        return np.array([piece.area_m2 for piece in self.pieces])

    @property
    def rows(self) -> FloatArray:
        return np.array([piece.absorption for piece in self.pieces])


@dataclass(frozen=True)
class Shell:
    """The room's plan, height and surfaces, as far as they are known."""

    room: RoomRecord
    corners: FloatArray
    height_m: float
    whole_m2: Mapping[str, float]
    materials: Mapping[str, str | None]
    openings: tuple[Piece, ...]
    gaps: tuple[str, ...]

    @property
    def volume_m3(self) -> float:
        return self.whole_m2["floor"] * self.height_m


def mid_of(time_s: FloatArray) -> float:
    return float(np.mean(time_s[list(MID_BANDS)]))


def shell_of(room: RoomRecord) -> Shell | Said:
    if room.corners_m is None or room.height_m is None:
        return unmeasured(
            *(["room.plan_m"] if room.corners_m is None else []),
            *(["room.height_m"] if room.height_m is None else []),
        )
    corners, floor_m2 = (
        np.asarray(room.corners_m, dtype=np.float64),
        geometry.plan_area_m2(room.corners_m),
    )
    whole = {wall.letter: wall.length_m * room.height_m for wall in geometry.walls(corners)}
    whole |= {"ceiling": floor_m2, "floor": floor_m2}
    surfaces = room.surfaces or {}
    found = {name: surface.material if (surface := surfaces.get(name)) else None for name in whole}
    openings = []
    kinds = (("windows", "glass", room.windows), ("doors", "wood_door", room.doors))
    sizes = [
        f"{kind}.{part.id}.{size}"
        for kind, _, parts in kinds
        for part in parts or ()
        for size in ("width_m", "height_m")
        if getattr(part, size) is None
    ]
    if sizes:
        return unmeasured(
            *sizes, *(f"surfaces.{name}.material" for name in found if not found[name])
        )
    for kind, usual, parts in kinds:
        for part in parts or ():
            assert part.width_m is not None
            assert part.height_m is not None
            material: str = part.material or usual
            if is_counted(material):
                return said(
                    "reverb.no_surface",
                    where=Word("fact", f"{kind}.{part.id}"),
                    material=Word("material", material),
                )
            openings.append(
                Piece(part.wall, part.width_m * part.height_m, absorption(material), opening=True)
            )
    for name, covered in found.items():
        if covered is not None and is_counted(covered):
            return said(
                "reverb.no_surface",
                where=Word("surface", name),
                material=Word("material", covered),
            )
        left = whole[name] - sum(piece.area_m2 for piece in openings if piece.where == name)
        if left < -0.01 * whole[name] - 0.05:
            return said("reverb.openings_too_large", wall=Word("surface", name))
    gaps = [f"surfaces.{name}.material" for name, material in found.items() if material is None]
    gaps += [
        f"contents[{i}].{'count' if is_counted(content.material) else 'area_m2'}"
        for i, content in enumerate(room.contents or ())
        if is_open(content)
    ]
    return Shell(room, corners, room.height_m, whole, found, tuple(openings), tuple(gaps))


def is_open(content: Content) -> bool:
    """Whether how much of a furnishing there is lies between bounds."""
    if is_counted(content.material):
        return content.count is None
    if content.area_m2 is not None:
        return False
    least, most = EACH_M2.get(content.material, (0.0, 1.0))
    return content.count is None or least != most
