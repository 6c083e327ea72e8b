"""The room as bounced light meets it: patches, a spectrum for every surface that is known, and what
is not known.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from scout.assess.answers import unmeasured
from scout.assess.daylight.room.furniture import USUAL_PIECE, boxes_of, free_of
from scout.assess.recorded import Trust, trust_of
from scout.calc import geometry
from scout.calc.bounce.spectra import NM
from scout.calc.bounce.surface import Reflectance, of_lab, of_level, of_spectrum, of_srgb
from scout.calc.geometry import FloatArray
from scout.calc.radiosity import Enclosure, Opening, enclosure
from scout.errors import OutOfRange
from scout.records.sheet import Door, Furniture, RoomRecord, RoomSheet, Surface, Window
from scout.values import Figure, Many, Name, Said, Value, Word, names, said, words
from scout.values import names as typed

# 0.25 m changes the worked rooms by less than 1 % once the first bounce is summed point by point
PATCH_M = 0.5
SMALL_PATCH_M = 0.25
SMALL_ROOM_M = 1.6  # a room with a side under this is cut finer
MOST_PATCHES = 650.0
DARK, PALE = 0.05, 0.90  # what a wall may reflect: black paint to brilliant white
OPEN = 0.0  # an open side sends nothing back
GLASS_REFLECTS, DOOR_REFLECTS = 0.12, 0.40
OUTDOORS = said("bounce.outdoors")
MATTE, CLOSED_ALL_ROUND = said("bounce.matte"), said("bounce.closed_all_round")
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
    missing: Mapping[str, Said]
    assumed: tuple[Said, ...]
    assumed_of: Mapping[str, tuple[Said, ...]] = field(default_factory=dict)
    open_sides: tuple[str, ...] = ()  # of a covered place: nothing to bounce off

    @property
    def surfaces(self) -> tuple[str, ...]:
        """Walls by letter, then floor and ceiling: what a light can be bounced off."""
        return self.room.patches.names[: len(self.room.patches.plan_m) + 2]

    @property
    def spectra(self) -> FloatArray:
        """(surfaces, 71) of every name of the patches; nothing for one without a patch."""
        found = np.zeros((len(self.room.patches.names), len(NM)))
        names, first = np.unique(self.room.patches.surface, return_index=True)
        found[names] = self.reflectance[0][first]
        return found

    def because(self) -> Said:
        """Why the light of the whole room cannot be given as one figure."""
        unusable = [why for why in self.missing.values() if why.code == "bounce.unusable"]
        paths = [
            f"surfaces.{name}.colour" for name in self.missing if self.missing[name] not in unusable
        ]
        reasons = (*((unmeasured(*paths),) if paths else ()), *unusable)
        return reasons[0] if len(reasons) == 1 else said("bounce.reasons", reasons=Many(reasons))


def of_surface(name: str) -> Word:
    """`wall B`, `the ceiling`."""
    return Word("surface", name)


def lit_room(sheet: RoomSheet) -> LitRoom | Said:
    """The room, or why there is none to bounce light in."""
    room = sheet.room
    if room.setting == "exterior":
        return OUTDOORS
    corners, height_m = room.corners_m, room.height_m
    if corners is None or height_m is None:
        absent = {"room.plan_m": corners, "room.height_m": height_m}
        return unmeasured(*(path for path, value in absent.items() if value is None))
    assumed = [MATTE, *((said("bounce.taken_as_interior"),) if room.setting is None else ())]
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
    marks = sheet.marks
    at = [] if marks is None else [mark for mark in (marks.subject, marks.camera) if mark]
    placed = boxes_of(room, assumed)
    free = free_of(tuple(box for _, box in placed), at, assumed)
    pieces = {box.name: piece for (piece, box), clear in zip(placed, free, strict=True) if clear}
    boxes = tuple(box for _, box in placed if box.name in pieces)
    try:
        here = enclosure(corners, height_m, openings, round(patch_m, 3), boxes)
    except OutOfRange as refusal:
        return cannot("room", refusal)
    names = here.patches.names
    known: dict[str, FloatArray] = {}
    open_sides: list[str] = []
    missing: dict[str, Said] = {}
    assumed_of: dict[str, tuple[Said, ...]] = {}
    for name in names[: len(corners) + 2]:
        surface = (room.surfaces or {}).get(name)
        colour = _reflectance(name, surface)
        if isinstance(colour, Reflectance):
            known[name] = colour.spectrum
            assumed_of[name] = _assumed_of(name, surface, colour, trust_of(sheet, name))
        elif room.setting == "covered" and name in geometry.WALL_LETTERS and surface is None:
            open_sides.append(name)
        else:
            missing[name] = colour
    of_openings, of_glass = _opening_reflectance(room, {opening[0] for opening in openings})
    assumed += of_glass
    if room.setting == "covered":
        assumed.append(
            said("bounce.open_sides", sides=words("surface", open_sides))
            if open_sides
            else CLOSED_ALL_ROUND
        )
    of_openings |= dict.fromkeys(open_sides, OPEN)
    of_pieces = _piece_spectra(pieces, assumed)
    ends = (DARK, PALE) if missing else (DARK,)
    reflectance = []
    for end in ends:
        spectra = [
            (known | of_pieces).get(name, np.full(len(NM), of_openings.get(name, end)))
            for name in names
        ]
        reflectance.append(np.stack(spectra)[here.patches.surface])
    if missing:
        assumed.append(said("bounce.ranges", dark=_percent(DARK), pale=_percent(PALE)))
    return LitRoom(
        here, tuple(reflectance), known, missing, tuple(assumed), assumed_of, tuple(open_sides)
    )


def _percent(share: float) -> Figure:
    return Figure(100 * share, "%")


def of_thing(thing: Value, what: Said) -> Said:
    """`wall B: its colour is an everyday name`."""
    return said("bounce.of", thing=thing, what=what)


def cannot(thing: str, refusal: OutOfRange) -> Said:
    """Why something on record is of no use."""
    because = refusal.because
    given = {"because": because} if isinstance(because, Said) else {}
    return said("bounce.unusable", fact=Word("fact", f"{thing}.{refusal.path}"), **given)


def _assumed_of(
    name: str, surface: Surface | None, colour: Reflectance, trust: Trust
) -> tuple[Said, ...]:
    """What is taken for granted of a surface whose colour is known."""
    taken = [*colour.assumed, *((trust.note,) if trust.note is not None else ())]
    if surface is not None and surface.finish not in (None, "matte"):
        taken.append(said("bounce.shiny", finish=Word("finish", surface.finish)))
    return tuple(of_thing(of_surface(name), what) for what in taken)


def _openings(room: RoomRecord) -> tuple[tuple[Opening, ...], list[Said]]:
    """Openings as the solver takes them, and a note for each that is not measured well enough to
    be placed.
    """
    letters = geometry.wall_letters(len(room.corners_m or ()))
    placed: list[Opening] = []
    notes: list[Said] = []
    rows: Sequence[Window | Door] = (*(room.windows or ()), *(room.doors or ()))
    for row in rows:
        sill_m = row.sill_m if isinstance(row, Window) else 0.0
        named: dict[str, Value] = {"opening": Name(row.id), "wall": of_surface(row.wall)}
        if row.offset_m is None or sill_m is None or row.width_m is None or row.height_m is None:
            notes.append(said("bounce.opening_unmeasured", **named))
        elif row.id in letters or row.id in {"floor", "ceiling"}:
            notes.append(said("bounce.opening_misnamed", **named))
        else:
            wall = letters.index(row.wall)
            placed.append((row.id, wall, row.offset_m, sill_m, row.width_m, row.height_m))
    return tuple(placed), notes


def _opening_reflectance(room: RoomRecord, placed: set[str]) -> tuple[dict[str, float], list[Said]]:
    shares: dict[str, float] = {}
    notes: list[Said] = []
    glass: list[str] = []
    for window in room.windows or ():
        if window.id not in placed:
            continue
        shares[window.id] = COVERS_REFLECT.get(window.covering or "none", GLASS_REFLECTS)
        if window.covering in COVERS_REFLECT:
            notes.append(
                said(
                    "bounce.covering",
                    covering=Word("covering", window.covering),
                    window=Name(window.id),
                    share=_percent(shares[window.id]),
                )
            )
        else:
            glass.append(window.id)
    if glass:
        notes.append(said("bounce.glass", windows=names(glass), share=_percent(GLASS_REFLECTS)))
    doors = [door.id for door in room.doors or () if door.id in placed]
    shares |= dict.fromkeys(doors, DOOR_REFLECTS)
    if doors:
        notes.append(said("bounce.doors", doors=names(doors), share=_percent(DOOR_REFLECTS)))
    return shares, notes


def _piece_spectra(pieces: Mapping[str, Furniture], assumed: list[Said]) -> dict[str, FloatArray]:
    """Spectra of what stands in the room; a piece of no known colour counts as a usual grey."""
    found: dict[str, FloatArray] = {}
    unknown = []
    for name, piece in pieces.items():
        colour = _reflectance(
            name, Surface(colour=piece.colour, light_reflectance=piece.reflectance)
        )
        if isinstance(colour, Reflectance):
            found[name] = colour.spectrum
        else:
            unknown.append(piece.id)
            found[name] = np.full(len(NM), USUAL_PIECE)
    if unknown:
        assumed.append(
            said("bounce.grey_pieces", pieces=typed(unknown), share=_percent(USUAL_PIECE))
        )
    return found


def _reflectance(name: str, surface: Surface | None) -> Reflectance | Said:
    """The surface's spectrum, or why it has none."""
    if surface is None or (surface.colour is None and surface.light_reflectance is None):
        return unmeasured(f"surfaces.{name}.colour")
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
        return cannot(f"surfaces.{name}", refusal)
