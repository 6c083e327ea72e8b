"""How the room of a sheet rings: its surfaces and what stands in it, by octave band, with the doubt
of the formulas.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from scout.calc import geometry
from scout.calc.geometry import FloatArray
from scout.calc.sound.absorption import (
    ABSORPTION_BANDS_HZ,
    absorption,
    absorption_each_m2,
    air_absorption_per_m,
    is_counted,
)
from scout.calc.sound.boundaries import FLUTTER_LEAST_M, flutter, flutter_warns
from scout.calc.sound.reverberation import (
    absorption_area_m2,
    arau_puchades_s,
    eyring_s,
    pairs_of_walls,
    reverberation_s,
    schroeder_hz,
)
from scout.errors import OutOfRange
from scout.records.sheet import Door, RoomRecord, Window

MID_BANDS = tuple(ABSORPTION_BANDS_HZ.index(band) for band in (500, 1000))  # "mid": ISO 3382-1
# Ray traced rooms, much scattering: 0.89 to 1.12 of Eyring; little scattering, evenly bare: down to
# 0.79. So:
RANGE_LOW, RANGE_HIGH = 0.8, 1.15
WITH_AIR_MATTERS = 0.05
# halls; in smaller rooms the surfaces' doubt is wider than what the air takes below 4 kHz (common
# practice)
AIR_FROM_M3 = 1000.0
HARD_BELOW = (
    0.15  # absorption at 1 kHz up to which a wall counts as bare for flutter (common practice)
)
UPRIGHT, LEVEL = (
    -1,
    2,
)  # axes: the two pairs of walls are 0 and 1; -1 is a thing on walls, which wall not recorded
ON_FLOOR = frozenset(
    {
        "concrete_floor",
        "tile_or_marble",
        "wood_floor",
        "linoleum",
        "carpet_thin",
        "carpet_closed_foam",
        "carpet_open_foam",
        "seats_upholstered",
        "seats_wooden",
        "audience",
    }
)
ON_CEILING = frozenset({"ceiling_tile", "plasterboard_ceiling"})


@dataclass(frozen=True)
class RoomSound:
    """What the geometry and the materials say of the room's sound."""

    volume_m3: float
    time_s: Mapping[str, float]  # by octave
    formula: Mapping[str, str]  # by octave: Sabine or Eyring
    mid_s: float
    range_s: tuple[float, float]
    range_because: str
    schroeder_hz: float
    flutter: str | None
    assumed: tuple[str, ...]


@dataclass(frozen=True)
class _Piece:
    """One surface, or part of one, of one material."""

    where: str  # wall letter, ceiling, floor
    material: str
    area_m2: float
    opening: bool = False


def room_sound(room: RoomRecord) -> RoomSound | str:
    """The room's reverberation, or "because ..." naming what is not measured."""
    if room.setting == "exterior":
        return "because out of doors there is no room to ring"
    if room.setting == "covered":
        return "because the place is covered but open at its sides, where the formulas for closed rooms do not hold"
    corners, height = room.corners_m, room.height_m
    if corners is None:
        return "because the plan of the room (width_m and length_m, or plan_m) is not measured"
    if height is None:
        return "because the height of the room (height_m) is not measured"
    bare = _bare_pieces(room, np.asarray(corners, dtype=np.float64), height)
    if isinstance(bare, str):
        return bare
    laid = _with_contents(room, bare)
    if isinstance(laid, str):
        return laid
    pieces, people_m2, assumed = laid
    areas = np.array([piece.area_m2 for piece in pieces])
    rows = np.array([absorption(piece.material) for piece in pieces])
    volume = geometry.plan_area_m2(corners) * height
    if np.any(absorption_area_m2(areas, rows, people_m2) >= 0.999 * areas.sum()):
        return "because what stands in the room absorbs as much as all its surfaces could; check the areas and counts of contents"
    air = _air_per_m(volume)
    found = reverberation_s(volume, areas, rows, extra_m2=people_m2, air_per_m=air)
    mid = float(np.mean(found.time_s[list(MID_BANDS)]))
    names = [str(band) for band in ABSORPTION_BANDS_HZ]
    formula = {
        name: "Sabine" if low else "Eyring" for name, low in zip(names, found.sabine, strict=True)
    }
    low_high, because = _range(
        _Field(volume, areas, rows, people_m2, air),
        pieces,
        mid,
        np.asarray(corners, dtype=np.float64),
    )
    words = [
        *_general(room),
        *assumed,
        _formula_words(formula),
        *_air_words(_Field(volume, areas, rows, people_m2, air), found.time_s),
    ]
    return RoomSound(
        volume,
        dict(zip(names, (float(t) for t in found.time_s), strict=True)),
        formula,
        mid,
        low_high,
        because,
        schroeder_hz(mid, volume),
        _flutter(
            room,
            bare,
            np.asarray(corners, dtype=np.float64),
            height,
            float(found.time_s[MID_BANDS[1]]),
        ),
        tuple(words),
    )


def air_in_m3(room: RoomRecord) -> float | None:
    """The volume of a closed room, which needs no material; None where it is not measured or not
    closed.
    """
    if room.setting in ("exterior", "covered") or room.corners_m is None or room.height_m is None:
        return None
    return geometry.plan_area_m2(room.corners_m) * room.height_m


def surface_words(name: str) -> str:
    """`wall C`, `the ceiling`."""
    return f"wall {name}" if len(name) == 1 else f"the {name}"


def _bare_pieces(room: RoomRecord, corners: FloatArray, height: float) -> list[_Piece] | str:
    surfaces = room.surfaces or {}
    walls = geometry.walls(corners)
    floor_m2 = geometry.plan_area_m2(corners)
    whole = {wall.letter: wall.length_m * height for wall in walls} | {
        "ceiling": floor_m2,
        "floor": floor_m2,
    }
    materials: dict[str, str] = {}
    missing = []
    for name in whole:
        surface = surfaces.get(name)
        if surface is None or surface.material is None:
            missing.append(surface_words(name))
        elif is_counted(surface.material):
            return f"because {surface_words(name)} is said to be of material {surface.material}, which is no surface"
        else:
            materials[name] = surface.material
    if missing:
        return f"because {_listed(missing)} {'has' if len(missing) == 1 else 'have'} no material recorded"
    pieces = []
    openings: list[tuple[Window | Door, str]] = [
        (window, "glass") for window in room.windows or ()
    ] + [(door, "wood_door") for door in room.doors or ()]
    for opening, usual in openings:
        kind = "window" if isinstance(opening, Window) else "door"
        if opening.width_m is None or opening.height_m is None:
            size = "width_m" if opening.width_m is None else "height_m"
            return f"because {kind} {opening.id} has no {size}, so how much of wall {opening.wall} it takes is not known"
        material = opening.material or usual
        if is_counted(material):
            return f"because {kind} {opening.id} is said to be of material {material}, which is no surface"
        pieces.append(
            _Piece(opening.wall, material, opening.width_m * opening.height_m, opening=True)
        )
    for name, material in materials.items():
        left = whole[name] - sum(
            piece.area_m2 for piece in pieces if piece.where == name and piece.opening
        )
        if left < -0.01 * whole[name] - 0.05:
            return f"because the windows and doors of wall {name} are larger than the wall"
        pieces.append(_Piece(name, material, max(0.0, left)))
    return pieces


def _with_contents(
    room: RoomRecord, bare: list[_Piece]
) -> tuple[list[_Piece], FloatArray, list[str]] | str:
    """The surfaces with what lies on or hangs before them, the absorption of people, and what was
    assumed.
    """
    people = np.zeros(len(ABSORPTION_BANDS_HZ))
    laid: list[tuple[str, str, float]] = []
    for i, content in enumerate(room.contents or ()):
        if is_counted(content.material):
            if content.count is None:
                return f"because contents[{i}] ({content.material}) has no count"
            people = people + content.count * absorption_each_m2(content.material)
            continue
        if content.area_m2 is None:
            return f"because contents[{i}] ({content.material}) has no area_m2"
        group = (
            "floor"
            if content.material in ON_FLOOR
            else "ceiling"
            if content.material in ON_CEILING
            else "walls"
        )
        laid.append((group, content.material, content.area_m2))
    words = []
    if room.contents is None:
        words.append(
            "What stands in the room is not recorded: the reverberation is the bare room's, and furniture and people shorten it."
        )
    pieces = list(bare)
    for group in ("floor", "ceiling", "walls"):
        things = [(material, area) for where, material, area in laid if where == group]
        if not things:
            continue
        hosts = [
            piece
            for piece in pieces
            if not piece.opening
            and (piece.where == group or (group == "walls" and len(piece.where) == 1))
        ]
        host_m2, cover_m2 = sum(piece.area_m2 for piece in hosts), sum(area for _, area in things)
        stays = max(0.0, 1.0 - cover_m2 / host_m2) if host_m2 > 0 else 0.0
        pieces = [piece for piece in pieces if piece not in hosts]
        pieces += [_Piece(piece.where, piece.material, piece.area_m2 * stays) for piece in hosts]
        pieces += [_Piece(group, material, area) for material, area in things]
        named = _listed(
            [f"{area:g} m2 of {material.replace('_', ' ')}" for material, area in things]
        )
        where = "the walls" if group == "walls" else f"the {group}"
        if cover_m2 <= host_m2:
            words.append(f"{named} taken to hide as much of {where}.")
        else:
            words.append(
                f"{named} is more than {where} hold ({host_m2:.1f} m2); the rest is taken to stand free."
            )
    return pieces, people, words


@dataclass(frozen=True)
class _Field:
    """What the formulas work on."""

    volume_m3: float
    areas: FloatArray
    rows: FloatArray
    people_m2: FloatArray
    air: FloatArray


def _air_per_m(volume_m3: float) -> FloatArray:
    """What the air takes, by octave: ISO 9613-1 at 20 degC and 50 % in a hall, nothing in a room."""
    bands = np.array(ABSORPTION_BANDS_HZ, dtype=np.float64)
    return air_absorption_per_m(bands) if volume_m3 >= AIR_FROM_M3 else np.zeros(len(bands))


def _range(
    field: _Field, pieces: list[_Piece], mid: float, corners: FloatArray
) -> tuple[tuple[float, float], str]:
    """Between which times the mid bands lie, and why so far apart."""
    eyring = float(
        np.mean(
            eyring_s(
                field.volume_m3,
                field.areas,
                field.rows,
                extra_m2=field.people_m2,
                air_per_m=field.air,
            )[list(MID_BANDS)]
        )
    )
    low, high = RANGE_LOW * min(eyring, mid), RANGE_HIGH * mid
    usual = "the usual doubt of the formulas against ray-traced rooms, and of handbook absorption"
    by_axis = _by_axis(field, pieces, corners)
    if by_axis is None or by_axis <= high:
        return (low, high), usual
    return (low, by_axis), (
        "one pair of surfaces is soft and the others bare: with little in the room to scatter the sound it keeps ringing between the bare ones "
        f"(Arau-Puchades gives {by_axis:.2f} s); furniture or a blanket on one bare wall brings it down"
    )


def _by_axis(field: _Field, pieces: list[_Piece], corners: FloatArray) -> float | None:
    areas, rows = field.areas, field.rows
    pairs = pairs_of_walls(corners)
    letters = geometry.wall_letters(len(corners))
    axis_of = {"ceiling": LEVEL, "floor": LEVEL, "walls": UPRIGHT}
    # A room with slanting walls has no pairs: its walls together are one group, floor and ceiling
    # the other.
    axis_of |= dict(zip(letters, pairs if pairs is not None else (0,) * len(letters), strict=True))
    axis = np.array([axis_of[piece.where] for piece in pieces])
    upright = [a for a in (0, 1) if np.any(axis == a)]
    bare_m2 = {a: float(areas[axis == a].sum()) for a in upright}
    keep, on_walls = axis != UPRIGHT, axis == UPRIGHT
    new_areas, new_rows, new_axis = [areas[keep]], [rows[keep]], [axis[keep]]
    for (
        a
    ) in upright:  # a curtain whose wall is not recorded is shared out over the pairs by their area
        share = (
            bare_m2[a] / sum(bare_m2.values()) if sum(bare_m2.values()) > 0 else 1.0 / len(upright)
        )
        new_areas.append(areas[on_walls] * share)
        new_rows.append(rows[on_walls])
        new_axis.append(np.full(int(on_walls.sum()), a))
    try:
        time = arau_puchades_s(
            field.volume_m3,
            np.concatenate(new_areas),
            np.concatenate(new_rows),
            np.concatenate(new_axis),
            extra_m2=field.people_m2,
            air_per_m=field.air,
        )
    except OutOfRange:
        # one pair absorbs all that reaches it: there is no ringing on that axis to put a figure to
        return None
    return float(np.mean(time[list(MID_BANDS)]))


def _flutter(
    room: RoomRecord, bare: list[_Piece], corners: FloatArray, height: float, time_s: float
) -> str | None:
    """A sentence for the pair of bare parallel surfaces that rings longest against the room;
    rectangles only.
    """
    if len(corners) != 4 or pairs_of_walls(corners) is None:
        return None
    at_1k = ABSORPTION_BANDS_HZ.index(1000)

    def mean(name: str) -> float:
        here = [piece for piece in bare if piece.where == name]
        return sum(
            piece.area_m2 * float(absorption(piece.material)[at_1k]) for piece in here
        ) / sum(piece.area_m2 for piece in here)

    lengths = [wall.length_m for wall in geometry.walls(corners)]
    found = []
    for one, other, apart in (
        ("A", "C", lengths[1]),
        ("B", "D", lengths[0]),
        ("floor", "ceiling", height),
    ):
        if apart < FLUTTER_LEAST_M or max(mean(one), mean(other)) > HARD_BELOW:
            continue
        echo = flutter(apart, mean(one), mean(other))
        if flutter_warns(echo, apart, time_s):
            found.append((echo.decay_s, one, other, apart))
    if not found:
        return None
    decay, one, other, apart = max(found)
    pair = f"walls {one} and {other}" if len(one) == 1 else "floor and ceiling"
    return (
        f"{pair} face each other bare, {apart:.1f} m apart: a flutter of {decay:.1f} s against {time_s:.1f} s for the room, "
        "unless something on them breaks it; clap between them"
    )


def _general(room: RoomRecord) -> list[str]:
    words = []
    if room.setting is None:
        words.append(
            "The setting is not recorded; the room is taken as an interior with all its walls."
        )
    if room.windows is None:
        words.append("The windows are not recorded; none is taken out of the walls.")
    if room.doors is None:
        words.append("The doors are not recorded; none is taken out of the walls.")
    openings: tuple[Window | Door, ...] = (*(room.windows or ()), *(room.doors or ()))
    if any(opening.material is None for opening in openings):
        words.append("Windows count as glass and doors as wood, all of them shut.")
    words.append(
        "Absorption is the handbook's for each material; what is behind a surface can change it below 250 Hz."
    )
    return words


def _formula_words(formula: Mapping[str, str]) -> str:
    used = {
        name: [band for band, which in formula.items() if which == name]
        for name in ("Sabine", "Eyring")
    }
    if not used["Eyring"]:
        return "Reverberation by Sabine in every band: the mean absorption is below 0.2."
    if not used["Sabine"]:
        return "Reverberation by Eyring in every band: the mean absorption is 0.2 or more."
    return (
        f"Reverberation by Sabine at {', '.join(used['Sabine'])} Hz, where the mean absorption is below 0.2, "
        f"by Eyring at {', '.join(used['Eyring'])} Hz."
    )


def _air_words(field: _Field, time_s: FloatArray) -> list[str]:
    """Whether the air is counted, and what the other way would give where it is felt."""
    counted = bool(np.any(field.air > 0))
    air = (
        np.zeros(len(time_s))
        if counted
        else air_absorption_per_m(np.array(ABSORPTION_BANDS_HZ, dtype=np.float64))
    )
    other = reverberation_s(
        field.volume_m3, field.areas, field.rows, extra_m2=field.people_m2, air_per_m=air
    ).time_s
    felt = [
        i
        for i in range(len(time_s))
        if min(other[i], time_s[i]) < (1.0 - WITH_AIR_MATTERS) * max(other[i], time_s[i])
    ]
    figures = ", ".join(f"{other[i]:.2f} s at {ABSORPTION_BANDS_HZ[i]} Hz" for i in felt)
    if counted:
        without = f"; without it the room would ring {figures}" if felt else ""
        return [
            f"The absorption of the air is counted, as in every room of {AIR_FROM_M3:g} m3 or more (here {field.volume_m3:.0f}): 20 degC and 50 % "
            f"humidity taken{without}."
        ]
    if not felt:
        return ["The absorption of the air is left out; here it changes no band by more than 5 %."]
    return [
        f"The absorption of the air is left out; with it (20 degC, 50 % humidity) the room would ring {figures}."
    ]


def _listed(words: list[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
