"""The reverberation of a sheet's room: its surfaces and what stands in it, by octave band, with the
doubt of the formulas and of what nobody wrote down.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from scout.assess.answers import unmeasured
from scout.calc import geometry
from scout.calc.geometry import FloatArray
from scout.calc.sound.absorption import (
    ABSORPTION_BANDS_HZ,
    absorption,
    absorption_each_m2,
    air_absorption_per_m,
    is_counted,
    materials,
)
from scout.calc.sound.boundaries import FLUTTER_LEAST_M, flutter, flutter_warns
from scout.calc.sound.reverberation import (
    absorption_area_m2,
    arau_puchades_s,
    eyring_s,
    pairs_of_walls,
    reverberation_s,
)
from scout.errors import OutOfRange
from scout.records.sheet import Content, Door, RoomRecord, Window
from scout.values import Figure, Many, Said, Value, Word, said, words

MID_BANDS = tuple(ABSORPTION_BANDS_HZ.index(band) for band in (500, 1000))  # "mid": ISO 3382-1
AT_1K = ABSORPTION_BANDS_HZ.index(1000)
# Ray traced rooms, much scattering: 0.89 to 1.12 of Eyring; little scattering, evenly bare: down to
# 0.79. So:
RANGE_LOW, RANGE_HIGH = 0.8, 1.15
WIDE = 1.2  # bare pairs that ring so much longer than that make the range wide
WITH_AIR_MATTERS = 0.05
# halls; in smaller rooms the surfaces' doubt is wider than what the air takes below 4 kHz (common
# practice)
AIR_FROM_M3 = 1000.0
HARD_BELOW = (
    0.15  # absorption at 1 kHz up to which a wall counts as bare for flutter (common practice)
)
# axes: the two pairs of walls are 0 and 1; -1 is a thing on walls, which wall not recorded
UPRIGHT, LEVEL = -1, 2
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
End = Literal["bare", "soft"]


@dataclass(frozen=True)
class FacingWalls:
    """Two bare parallel surfaces between which sound is thrown to and fro."""

    surfaces: Many
    apart_m: float
    decay_s: float
    room_s: float


@dataclass(frozen=True)
class RoomSound:
    """What the geometry and the materials say of the room's reverberation. Where facts are missing
    (`gaps`) there are only the ends of `range_s`, worked out with all that may be there.
    """

    volume_m3: float
    time_s: Mapping[str, float] | None  # by octave
    formula: Mapping[str, str] | None  # by octave: Sabine or Eyring
    mid_s: float | None
    range_s: tuple[float, float]
    range_because: Said
    wide: bool  # the pessimistic end stands far off
    flutter: FacingWalls | None
    assumed: tuple[Said, ...]
    gaps: tuple[str, ...] = ()


@dataclass(frozen=True)
class _Piece:
    """One surface, or part of one, of one material."""

    where: str  # wall letter, ceiling, floor; walls: before one of them
    area_m2: float
    absorption: FloatArray  # (bands,)
    opening: bool = False


@dataclass(frozen=True)
class _Field:
    """What the formulas work on."""

    volume_m3: float
    pieces: tuple[_Piece, ...]
    people_m2: FloatArray
    air: FloatArray

    @property
    def areas(self) -> FloatArray:
        return np.array([piece.area_m2 for piece in self.pieces])

    @property
    def rows(self) -> FloatArray:
        return np.array([piece.absorption for piece in self.pieces])


@dataclass(frozen=True)
class _Shell:
    """The room's plan, height and surfaces, as far as they are known."""

    room: RoomRecord
    corners: FloatArray
    height_m: float
    whole_m2: Mapping[str, float]
    materials: Mapping[str, str | None]
    openings: tuple[_Piece, ...]
    gaps: tuple[str, ...]

    @property
    def volume_m3(self) -> float:
        return self.whole_m2["floor"] * self.height_m


def room_sound(room: RoomRecord) -> RoomSound | Said:
    """The room's reverberation, or what stands in its way.

    A material or the size of a furnishing that nobody wrote down lies between bounds: the room is
    worked out with the barest and with the softest there is.
    """
    if room.setting == "exterior":
        return said("reverb.outdoors")
    if room.setting == "covered":
        return said("reverb.covered")
    shell = _shell(room)
    if isinstance(shell, Said):
        return shell
    if not shell.gaps:
        return _worked_out(shell, "bare")
    bare, soft = _worked_out(shell, "bare"), _worked_out(shell, "soft")
    if isinstance(bare, Said):
        return bare
    low_s = 0.0 if isinstance(soft, Said) else soft.range_s[0]
    return replace(
        bare,
        time_s=None,
        formula=None,
        mid_s=None,
        range_s=(low_s, bare.range_s[1]),
        range_because=said("reverb.bounds", facts=words("fact", shell.gaps)),
        wide=True,
        flutter=None,
        assumed=tuple(_general(room)),
        gaps=shell.gaps,
    )


def air_in_m3(room: RoomRecord) -> float | None:
    """The volume of a closed room, which needs no material; None where it is not measured or not
    closed.
    """
    if room.setting in ("exterior", "covered") or room.corners_m is None or room.height_m is None:
        return None
    return geometry.plan_area_m2(room.corners_m) * room.height_m


def _shell(room: RoomRecord) -> _Shell | Said:
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
    for kind, usual, parts in (
        ("windows", "glass", room.windows),
        ("doors", "wood_door", room.doors),
    ):
        for part in parts or ():
            if part.width_m is None or part.height_m is None:
                size = "width_m" if part.width_m is None else "height_m"
                return unmeasured(f"{kind}.{part.id}.{size}")
            material: str = part.material or usual
            if is_counted(material):
                return said(
                    "reverb.no_surface",
                    where=Word("fact", f"{kind}.{part.id}"),
                    material=Word("material", material),
                )
            openings.append(
                _Piece(part.wall, part.width_m * part.height_m, absorption(material), opening=True)
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
        if _is_open(content)
    ]
    return _Shell(room, corners, room.height_m, whole, found, tuple(openings), tuple(gaps))


def _is_open(content: Content) -> bool:
    """Whether how much of a furnishing there is lies between bounds."""
    if is_counted(content.material):
        return content.count is None
    if content.area_m2 is not None:
        return False
    least, most = EACH_M2.get(content.material, (0.0, 1.0))
    return content.count is None or least != most


def _worked_out(shell: _Shell, end: End) -> RoomSound | Said:
    bare = _surfaces(shell, end)
    pieces, people_m2, assumed = _with_contents(shell, bare, end)
    volume = shell.volume_m3
    field = _Field(volume, pieces, people_m2, _air_per_m(volume))
    if np.any(absorption_area_m2(field.areas, field.rows, people_m2) >= 0.999 * field.areas.sum()):
        return said("reverb.all_absorbing")
    found = reverberation_s(
        volume, field.areas, field.rows, extra_m2=people_m2, air_per_m=field.air
    )
    mid = _mid(found.time_s)
    names = [str(band) for band in ABSORPTION_BANDS_HZ]
    formula = {
        name: "Sabine" if low else "Eyring" for name, low in zip(names, found.sabine, strict=True)
    }
    low_high, because, wide = _range(field, mid, shell.corners)
    return RoomSound(
        volume,
        dict(zip(names, (float(t) for t in found.time_s), strict=True)),
        formula,
        mid,
        low_high,
        because,
        wide,
        _flutter(shell, bare, float(found.time_s[AT_1K])),
        (*_general(shell.room), *assumed, _formula_words(formula), _air_words(field, found.time_s)),
    )


def _mid(time_s: FloatArray) -> float:
    return float(np.mean(time_s[list(MID_BANDS)]))


def _bound(name: str, end: End) -> FloatArray:
    """The barest or the softest absorption there is for a surface, band by band."""
    fits = [
        absorption(material)
        for material in materials()
        if not is_counted(material)
        and material not in SEATS
        and material != "audience"
        and (
            material in ON_FLOOR
            if name == "floor"
            else material not in ON_FLOOR and (name == "ceiling" or material not in ON_CEILING)
        )
    ]
    return np.asarray((np.min if end == "bare" else np.max)(fits, axis=0))


def _surfaces(shell: _Shell, end: End) -> tuple[_Piece, ...]:
    pieces = list(shell.openings)
    for name, material in shell.materials.items():
        row = absorption(material) if material is not None else _bound(name, end)
        left = shell.whole_m2[name] - sum(
            piece.area_m2 for piece in shell.openings if piece.where == name
        )
        pieces.append(_Piece(name, max(0.0, left), row))
    return tuple(pieces)


def _amount(content: Content, host_m2: float, end: End) -> float:
    """How much of a furnishing there is: the square metres of one that is measured by area, the
    number of one that is counted; at its least or its most where it lies between bounds.
    """
    given: float | None = content.area_m2
    ends = (0.0, host_m2)
    if is_counted(content.material):
        given, ends = content.count, (0.0, MOST_PEOPLE_PER_M2 * (content.area_m2 or host_m2))
    elif content.count is not None and content.material in EACH_M2:
        least, most = EACH_M2[content.material]
        ends = (content.count * least, content.count * most)
    return given if given is not None else ends[0 if end == "bare" else 1]


def _with_contents(
    shell: _Shell, bare: tuple[_Piece, ...], end: End
) -> tuple[tuple[_Piece, ...], FloatArray, list[Said]]:
    """The surfaces with what lies on or hangs before them, the absorption of people, and what was
    assumed.
    """
    people = np.zeros(len(ABSORPTION_BANDS_HZ))
    laid: dict[str, list[tuple[str, float]]] = {"floor": [], "ceiling": [], "walls": []}
    walls_m2 = sum(
        area for name, area in shell.whole_m2.items() if name not in ("floor", "ceiling")
    )
    for content in shell.room.contents or ():
        if is_counted(content.material):
            people += _amount(content, shell.whole_m2["floor"], end) * absorption_each_m2(
                content.material
            )
            continue
        group = (
            "floor"
            if content.material in ON_FLOOR
            else "ceiling"
            if content.material in ON_CEILING
            else "walls"
        )
        laid[group].append(
            (content.material, _amount(content, shell.whole_m2.get(group, walls_m2), end))
        )
    assumed = [said("reverb.contents_unknown")] if shell.room.contents is None else []
    pieces = list(bare)
    for group, things in laid.items():
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
        pieces += [replace(piece, area_m2=piece.area_m2 * stays) for piece in hosts]
        pieces += [_Piece(group, area, absorption(material)) for material, area in things]
        assumed.append(
            said(
                "reverb.hides",
                things=Many(
                    tuple(
                        said(
                            "reverb.thing",
                            area=Figure(area, "m2"),
                            material=Word("material", material),
                        )
                        for material, area in things
                    )
                ),
                surface=Word("surface", "all_walls" if group == "walls" else group),
                free=Figure(cover_m2 - host_m2, "m2") if cover_m2 > host_m2 else None,
            )
        )
    return tuple(pieces), people, assumed


def _air_per_m(volume_m3: float) -> FloatArray:
    """What the air takes, by octave: ISO 9613-1 at 20 degC and 50 % in a hall, nothing in a room."""
    bands = np.array(ABSORPTION_BANDS_HZ, dtype=np.float64)
    return air_absorption_per_m(bands) if volume_m3 >= AIR_FROM_M3 else np.zeros(len(bands))


def _range(
    field: _Field, mid: float, corners: FloatArray
) -> tuple[tuple[float, float], Said, bool]:
    """Between which times the mid bands lie, why so far apart, and whether that is wide."""
    eyring = _mid(
        eyring_s(
            field.volume_m3,
            field.areas,
            field.rows,
            extra_m2=field.people_m2,
            air_per_m=field.air,
        )
    )
    low, high = RANGE_LOW * min(eyring, mid), RANGE_HIGH * mid
    by_axis = _by_axis(field, corners)
    if by_axis is None or by_axis <= high:
        return (low, high), said("reverb.usual_doubt"), False
    return (
        (low, by_axis),
        said("reverb.bare_pair", time=Figure(by_axis, "s")),
        by_axis > WIDE * high,
    )


def _by_axis(field: _Field, corners: FloatArray) -> float | None:
    areas, rows = field.areas, field.rows
    pairs = pairs_of_walls(corners)
    letters = geometry.wall_letters(len(corners))
    axis_of = {"ceiling": LEVEL, "floor": LEVEL, "walls": UPRIGHT}
    # A room with slanting walls has no pairs: its walls together are one group, floor and ceiling
    # the other.
    axis_of |= dict(zip(letters, pairs if pairs is not None else (0,) * len(letters), strict=True))
    axis = np.array([axis_of[piece.where] for piece in field.pieces])
    upright = [a for a in (0, 1) if np.any(axis == a)]
    bare_m2 = {a: float(areas[axis == a].sum()) for a in upright}
    all_m2 = sum(bare_m2.values())
    keep, on_walls = axis != UPRIGHT, axis == UPRIGHT
    new_areas, new_rows, new_axis = [areas[keep]], [rows[keep]], [axis[keep]]
    # a curtain whose wall is not recorded is shared out over the pairs by their area
    for a in upright:
        new_areas.append(
            areas[on_walls] * (bare_m2[a] / all_m2 if all_m2 > 0 else 1.0 / len(upright))
        )
        new_rows.append(rows[on_walls])
        new_axis.append(np.full(int(on_walls.sum()), a))
    try:
        return _mid(
            arau_puchades_s(
                field.volume_m3,
                np.concatenate(new_areas),
                np.concatenate(new_rows),
                np.concatenate(new_axis),
                extra_m2=field.people_m2,
                air_per_m=field.air,
            )
        )
    except OutOfRange:
        # one pair absorbs all that reaches it: there is no ringing on that axis to put a figure to
        return None


def _flutter(shell: _Shell, bare: Iterable[_Piece], room_s: float) -> FacingWalls | None:
    """The pair of bare parallel surfaces that rings longest against the room; rectangles only."""
    if len(shell.corners) != 4 or pairs_of_walls(shell.corners) is None:
        return None

    def mean(name: str) -> float:
        here = [piece for piece in bare if piece.where == name]
        return sum(piece.area_m2 * float(piece.absorption[AT_1K]) for piece in here) / sum(
            piece.area_m2 for piece in here
        )

    lengths = [wall.length_m for wall in geometry.walls(shell.corners)]
    facing = []
    for one, other, apart in (
        ("A", "C", lengths[1]),
        ("B", "D", lengths[0]),
        ("floor", "ceiling", shell.height_m),
    ):
        if apart < FLUTTER_LEAST_M or max(mean(one), mean(other)) > HARD_BELOW:
            continue
        echo = flutter(apart, mean(one), mean(other))
        if flutter_warns(echo, apart, room_s):
            facing.append(FacingWalls(words("surface", (one, other)), apart, echo.decay_s, room_s))
    return max(facing, key=lambda pair: pair.decay_s, default=None)


def _general(room: RoomRecord) -> list[Said]:
    missing = [
        f"room.{name}" for name in ("setting", "windows", "doors") if getattr(room, name) is None
    ]
    assumed = [said("reverb.taken", facts=words("fact", missing))] if missing else []
    openings: tuple[Window | Door, ...] = (*(room.windows or ()), *(room.doors or ()))
    if any(opening.material is None for opening in openings):
        assumed.append(said("reverb.usual_openings"))
    assumed.append(said("reverb.handbook"))
    return assumed


def _formula_words(formula: Mapping[str, str]) -> Said:
    bands: dict[str, Value | None] = {
        name.lower(): _hz(band for band, which in formula.items() if which == name)
        for name in ("Sabine", "Eyring")
    }
    return said("reverb.formula", **bands)


def _hz(bands: Iterable[str]) -> Many | None:
    return Many(tuple(Figure(float(band), "Hz") for band in bands), "list") or None


def _air_words(field: _Field, time_s: FloatArray) -> Said:
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
    felt = tuple(
        said("reverb.at", time=Figure(float(other[i]), "s"), band=Figure(band, "Hz"))
        for i, band in enumerate(ABSORPTION_BANDS_HZ)
        if min(other[i], time_s[i]) < (1.0 - WITH_AIR_MATTERS) * max(other[i], time_s[i])
    )
    figures = Many(felt) if felt else None
    if counted:
        return said("reverb.air_counted", volume=Figure(AIR_FROM_M3, "m3"), without=figures)
    return said("reverb.air_left_out", with_air=figures)
