"""The reverberation of a sheet's room: its surfaces and what stands in it, by octave band, with the
doubt of the formulas and of what nobody wrote down.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from scout.assess.sound.pieces import furnishing
from scout.assess.sound.shell import (
    EACH_M2,
    MOST_PEOPLE_PER_M2,
    ON_CEILING,
    ON_FLOOR,
    SEATS,
    Field,
    Piece,
    Shell,
    mid_of,
    shell_of,
)
from scout.assess.sound.spread import AT_1K, FacingWalls, facing_walls, range_of
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
from scout.calc.sound.reverberation import absorption_area_m2, reverberation_s
from scout.records.sheet import Content, Door, RoomRecord, Window
from scout.values import Figure, Many, Said, Value, Word, said, words

WITH_AIR_MATTERS = 0.05
# halls; in smaller rooms the surfaces' doubt is wider than what the air takes below 4 kHz (common
# practice)
AIR_FROM_M3 = 1000.0
End = Literal["bare", "soft"]


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


_LAST: list[
    tuple[RoomRecord, RoomSound | Said]
] = []  # rooms asked for last: itself, and one changed


def room_sound(room: RoomRecord) -> RoomSound | Said:
    """The room's reverberation, or what stands in its way; once for the several who ask in turn about
    the same record, which never changes.
    """
    for asked, found in tuple(_LAST):
        if asked is room:
            return found
    found = _room_sound(room)
    _LAST[:] = [*_LAST[-1:], (room, found)]
    return found


def _room_sound(room: RoomRecord) -> RoomSound | Said:
    """A material or the size of a furnishing that nobody wrote down lies between bounds: the room is
    worked out with the barest and with the softest there is.
    """
    if room.setting == "exterior":
        return said("reverb.outdoors")
    if room.setting == "covered":
        return said("reverb.covered")
    shell = shell_of(room)
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


def _worked_out(shell: Shell, end: End) -> RoomSound | Said:
    bare = _surfaces(shell, end)
    pieces, beside_m2, assumed = _with_contents(shell, bare, end)
    stands = furnishing(shell.room, shell.volume_m3, _seats_m2(shell, end))
    beside_m2 = beside_m2 + stands.absorbing_m2
    volume = shell.volume_m3 - stands.volume_m3
    field = Field(volume, pieces, beside_m2, _air_per_m(volume))
    if np.any(absorption_area_m2(field.areas, field.rows, beside_m2) >= 0.999 * field.areas.sum()):
        return said("reverb.all_absorbing")
    found = reverberation_s(
        volume, field.areas, field.rows, extra_m2=beside_m2, air_per_m=field.air
    )
    mid = mid_of(found.time_s)
    names = [str(band) for band in ABSORPTION_BANDS_HZ]
    formula = {
        name: "Sabine" if low else "Eyring" for name, low in zip(names, found.sabine, strict=True)
    }
    low_high, because, wide = range_of(field, mid, shell)
    return RoomSound(
        volume,
        dict(zip(names, (float(t) for t in found.time_s), strict=True)),
        formula,
        mid,
        low_high,
        because,
        wide,
        facing_walls(shell, bare, float(found.time_s[AT_1K])),
        (
            *_general(shell.room),
            *assumed,
            *stands.assumed,
            _formula_words(formula),
            _air_words(field, found.time_s),
        ),
    )


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


def _surfaces(shell: Shell, end: End) -> tuple[Piece, ...]:
    pieces = list(shell.openings)
    for name, material in shell.materials.items():
        row = absorption(material) if material is not None else _bound(name, end)
        left = shell.whole_m2[name] - sum(
            piece.area_m2 for piece in shell.openings if piece.where == name
        )
        pieces.append(Piece(name, max(0.0, left), row))
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


def _seats_m2(shell: Shell, end: End) -> FloatArray:
    """(bands,) what the seats among the contents take, where the furniture may be the same."""
    found = np.zeros(len(ABSORPTION_BANDS_HZ))
    for content in shell.room.contents or ():
        if content.material in SEATS:
            found += _amount(content, shell.whole_m2["floor"], end) * absorption(content.material)
    return found


def _with_contents(
    shell: Shell, bare: tuple[Piece, ...], end: End
) -> tuple[tuple[Piece, ...], FloatArray, list[Said]]:
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
            and (
                piece.where == group or (group == "walls" and piece.where in geometry.WALL_LETTERS)
            )
        ]
        host_m2, cover_m2 = sum(piece.area_m2 for piece in hosts), sum(area for _, area in things)
        stays = max(0.0, 1.0 - cover_m2 / host_m2) if host_m2 > 0 else 0.0
        pieces = [piece for piece in pieces if piece not in hosts]
        pieces += [replace(piece, area_m2=piece.area_m2 * stays) for piece in hosts]
        pieces += [Piece(group, area, absorption(material)) for material, area in things]
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


def _air_words(field: Field, time_s: FloatArray) -> Said:
    """Whether the air is counted, and what the other way would give where it is felt."""
    counted = bool(np.any(field.air > 0))
    air = (
        np.zeros(len(time_s))
        if counted
        else air_absorption_per_m(np.array(ABSORPTION_BANDS_HZ, dtype=np.float64))
    )
    other = reverberation_s(
        field.volume_m3, field.areas, field.rows, extra_m2=field.beside_m2, air_per_m=air
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
