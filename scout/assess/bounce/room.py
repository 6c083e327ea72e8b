"""The room as bounced light meets it: patches, a spectrum for every surface that is known, and what
is not known.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from scout.assess.bounce.recorded import trust_of
from scout.calc import geometry
from scout.calc.bounce.spectra import NM
from scout.calc.bounce.surface import Reflectance, of_lab, of_level, of_spectrum, of_srgb
from scout.calc.geometry import FloatArray
from scout.calc.radiosity import Enclosure, Opening, enclosure
from scout.errors import OutOfRange
from scout.records.sheet import Door, RoomRecord, RoomSheet, Surface, Window

# 0.25 m changes the worked rooms by less than 1 % once the first bounce is summed point by point
PATCH_M = 0.5
SMALL_PATCH_M = 0.25
SMALL_ROOM_M = 1.6  # a room with a side under this is cut finer
MOST_PATCHES = 650.0
DARK, PALE = 0.10, 0.80  # the walls an unmeasured wall may be: charcoal paint to off-white
OPEN = 0.0  # an open side sends nothing back
GLASS_REFLECTS, DOOR_REFLECTS = 0.12, 0.40
COVERS_REFLECT = {"sheer": 0.45, "blind": 0.60, "blackout": 0.10}


@dataclass(frozen=True)
class LitRoom:
    """A room ready for lamps.

    reflectance: one array (p, 71) when every surface is known; two, the unknown ones dark and
        pale, when not
    known:       spectra (71,) of the surfaces whose colour is measured
    missing:     why each of the others is not known, by name
    """

    room: Enclosure
    reflectance: tuple[FloatArray, ...]
    known: Mapping[str, FloatArray]
    missing: Mapping[str, str]
    assumed: tuple[str, ...]
    assumed_of: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    open_sides: tuple[str, ...] = ()  # of a covered place: nothing to bounce off

    @property
    def surfaces(self) -> tuple[str, ...]:
        """Walls by letter, then floor and ceiling: what a light can be bounced off."""
        return self.room.patches.names[: len(self.room.patches.plan_m) + 2]

    def because(self) -> str:
        """Why the light of the whole room cannot be given as one figure."""
        return f"because {_listed(tuple(self.missing.values()))}"


def surface_words(name: str) -> str:
    """`wall B`, `the ceiling`."""
    return f"wall {name}" if len(name) == 1 else f"the {name}"


def lit_room(sheet: RoomSheet) -> LitRoom | str:
    """The room, or why there is none to bounce light in ("because ...")."""
    room = sheet.room
    if room.setting == "exterior":
        return "because an exterior has no walls or ceiling to bounce light from"
    corners, height_m = room.corners_m, room.height_m
    absent = [
        words
        for words, value in (
            ("the plan of the room (width and length, or plan_m)", corners),
            ("its height", height_m),
        )
        if value is None
    ]
    if corners is None or height_m is None:
        return f"because {' and '.join(absent)} {'are' if len(absent) > 1 else 'is'} not measured"
    assumed = list(_general(room))
    openings, without_place = _openings(room)
    assumed += without_place
    area_m2 = 2.0 * geometry.plan_area_m2(corners) + height_m * sum(
        wall.length_m for wall in geometry.walls(corners)
    )
    small = (
        min(height_m, *(wall.length_m for wall in geometry.walls(corners))) < SMALL_ROOM_M
        and area_m2 < 30.0
    )
    patch_m = SMALL_PATCH_M if small else max(PATCH_M, float(np.sqrt(area_m2 / MOST_PATCHES)))
    try:
        here = enclosure(corners, height_m, openings, round(patch_m, 3))
    except OutOfRange as refusal:
        return f"because the room cannot be cut into patches: {refusal}"
    names = here.patches.names
    known: dict[str, FloatArray] = {}
    open_sides: list[str] = []
    missing: dict[str, str] = {}
    assumed_of: dict[str, tuple[str, ...]] = {}
    for name in names[: len(corners) + 2]:
        found = _reflectance(name, (room.surfaces or {}).get(name))
        if (
            isinstance(found, str)
            and room.setting == "covered"
            and len(name) == 1
            and name not in (room.surfaces or {})
        ):
            open_sides.append(name)
        elif isinstance(found, str):
            missing[name] = found
        else:
            known[name] = found.spectrum
            said = (
                *found.assumed,
                *((trusted,) if (trusted := trust_of(sheet, name).said) is not None else ()),
            )
            assumed_of[name] = (
                *(f"{surface_words(name)}: {words}" for words in said),
                *_finish(name, (room.surfaces or {}).get(name)),
            )
    of_openings, of_glass = _opening_reflectance(room, {opening[0] for opening in openings})
    assumed += of_glass
    if room.setting == "covered":
        assumed.append(_sides_of_covered(open_sides))
    of_openings |= dict.fromkeys(open_sides, OPEN)
    ends = (DARK, PALE) if missing else (DARK,)
    reflectance = []
    for end in ends:
        spectra = [known.get(name, np.full(len(NM), of_openings.get(name, end))) for name in names]
        reflectance.append(np.stack(spectra)[here.patches.surface])
    if missing:
        assumed.append(
            f"ranges take every surface that is not measured as a grey from {DARK:.2f} (dark) to {PALE:.2f} (pale); a coloured one may do more"
        )
    return LitRoom(
        here, tuple(reflectance), known, missing, tuple(assumed), assumed_of, tuple(open_sides)
    )


def _sides_of_covered(open_sides: Sequence[str]) -> str:
    if not open_sides:
        return "a covered place with a surface on record on every side: taken as closed all round"
    verb, kind = (
        ("bears", "is taken as an open side that sends")
        if len(open_sides) == 1
        else ("bear", "are taken as open sides that send")
    )
    return f"a covered place: {', '.join(map(surface_words, open_sides))} {verb} no surface on record and {kind} nothing back; what stands outside is left out"


def _general(room: RoomRecord) -> tuple[str, ...]:
    said = ["surfaces scatter light evenly (matte); furniture and people are left out"]
    if room.setting is None:
        said.append("the setting is not recorded: taken as an interior")
    return tuple(said)


def _openings(room: RoomRecord) -> tuple[tuple[Opening, ...], list[str]]:
    """Openings as the solver takes them, and a sentence for each that is not measured well enough
    to be placed.
    """
    corners = room.corners_m or ()
    letters = geometry.wall_letters(len(corners))
    placed: list[Opening] = []
    said: list[str] = []
    rows: Sequence[Window | Door] = (*(room.windows or ()), *(room.doors or ()))
    for row in rows:
        sill_m = row.sill_m if isinstance(row, Window) else 0.0
        if row.offset_m is None or sill_m is None or row.width_m is None or row.height_m is None:
            said.append(
                f"{row.id} is not fully measured: its part of wall {row.wall} is taken as wall"
            )
            continue
        if row.id in letters or row.id in {"floor", "ceiling"}:
            said.append(
                f"the opening {row.id} bears the name of a surface: its part of wall {row.wall} is taken as wall"
            )
            continue
        placed.append(
            (row.id, letters.index(row.wall), row.offset_m, sill_m, row.width_m, row.height_m)
        )
    return tuple(placed), said


def _opening_reflectance(room: RoomRecord, placed: set[str]) -> tuple[dict[str, float], list[str]]:
    found: dict[str, float] = {}
    said: list[str] = []
    glass: list[str] = []
    for window in room.windows or ():
        if window.id not in placed:
            continue
        found[window.id] = COVERS_REFLECT.get(window.covering or "none", GLASS_REFLECTS)
        if window.covering in COVERS_REFLECT:
            said.append(
                f"the {window.covering} of {window.id} is taken as a grey that reflects {found[window.id]:.2f}: its colour is not recorded"
            )
        else:
            glass.append(window.id)
    if glass:
        said.append(
            f"the glass of {', '.join(glass)} is taken to reflect {GLASS_REFLECTS:.2f}, without colour; what passes it is lost"
        )
    doors = [door.id for door in room.doors or () if door.id in placed]
    found |= dict.fromkeys(doors, DOOR_REFLECTS)
    if doors:
        said.append(
            f"the colour of {', '.join(doors)} is not recorded: taken as shut and a grey that reflects {DOOR_REFLECTS:.2f}"
        )
    return found, said


def _reflectance(name: str, surface: Surface | None) -> Reflectance | str:
    """The surface's spectrum, or why it has none."""
    words = surface_words(name)
    if surface is None or (surface.colour is None and surface.light_reflectance is None):
        return f"the colour of {words} is not measured"
    level, colour = surface.light_reflectance, surface.colour
    try:
        if colour is None:
            assert level is not None
            return of_level(level)
        if colour.srgb is not None:
            return of_srgb(colour.srgb, level)
        if colour.lab is not None:
            return of_lab(colour.lab, colour.illuminant or "D65", level)
        assert colour.spectrum is not None
        return of_spectrum(
            colour.spectrum.first_nm, colour.spectrum.step_nm, colour.spectrum.values, level
        )
    except OutOfRange as refusal:
        return f"the colour of {words} cannot be used ({refusal})"


def _finish(name: str, surface: Surface | None) -> tuple[str, ...]:
    if surface is None or surface.finish in (None, "matte"):
        return ()
    return (
        f"{surface_words(name)} is {surface.finish}: part of the light leaves it as from a mirror, without its colour and in one direction, which is "
        "not worked out here; look for hot spots and reflections from the camera",
    )


def _listed(sentences: tuple[str, ...]) -> str:
    """`the colours of wall B and the floor are not measured`, or the sentences joined."""
    start, end = "the colour of ", " is not measured"
    plain = [
        words.removeprefix(start).removesuffix(end)
        for words in sentences
        if words.startswith(start) and words.endswith(end)
    ]
    others = [words for words in sentences if not words.endswith(end)]
    if len(plain) == 1:
        others.insert(0, f"{start}{plain[0]}{end}")
    elif plain:
        others.insert(0, f"the colours of {', '.join(plain[:-1])} and {plain[-1]} are not measured")
    return "; ".join(others)
