"""The room as daylight meets it: glazing, reflectances and marks out of the sheet, with what is
not measured.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Literal

from scout.assess.answers import unmeasured
from scout.assess.daylight.place.where import WallFacings, reason
from scout.assess.daylight.room.frames import USUAL_FRAME, framing_words
from scout.assess.daylight.room.furniture import (
    DARK_PIECE,
    PALE_PIECE,
    USUAL_PIECE,
    boxes_of,
    free_of,
    usual_boxes,
    usual_words,
)
from scout.assess.daylight.room.street import (
    STOREY_M,
    USUAL_FACADE,
    street_before,
    street_open,
    street_words,
)
from scout.assess.daylight.room.windows import PLACED, shading_pane, skyline_of, unmeasured_of
from scout.calc.bounce.surface import BRIGHTEST_LEVEL, of_lab, of_spectrum, of_srgb
from scout.calc.daylight.mark.room_light import RoomLight, room_light
from scout.calc.daylight.window.glazing import Glazing
from scout.calc.geometry import wall_letters, walls
from scout.calc.radiosity import Box, Opening
from scout.errors import OutOfRange
from scout.records.sheet import Furniture, RoomRecord, RoomSheet, Street, Surface, Window
from scout.values import Figure, Name, Said, Word, said, words
from scout.values import names as typed

Points = tuple[tuple[float, float, float], ...]
DOOR_REFLECTANCE = 0.40
# What nobody measured: taken as is usual (common practice for walls, floor and ceiling of rooms that
# people work in; plain double glazing), and worked out from charcoal paint to fresh white, from
# tinted glass to one clear pane.
USUAL_LEVEL = {"floor": 0.20, "ceiling": 0.70}
USUAL_WALL = 0.50
DARK, PALE = 0.05, 0.90
USUAL_GLASS, DIM_GLASS, CLEAR_GLASS = 0.70, 0.50, 0.92
# Share of the light that passes what hangs in a window, and whether it scatters it (common
# practice, wide limits).
COVERINGS = {
    "none": (1.0, False),
    "sheer": (0.5, True),
    "blind": (0.1, True),
    "blackout": (0.0, True),
}


# a room as it may be: glazing, levels, what stands in it and how much that reflects
End = tuple[tuple[Glazing, ...], tuple[float, ...], tuple[Box, ...], tuple[float, ...]]


@dataclass(frozen=True)
class LightRoom:
    """A room ready for daylight, and the same at its darkest and its palest where not all is
    measured and they are asked for.
    """

    light: RoomLight
    bounds: tuple[RoomLight, RoomLight] | None
    assumed: tuple[Said, ...]
    ready: Reckoned


@dataclass(frozen=True)
class Reckoned:
    """What the light needs of a room's record. `levels`: light reflectances of walls, floor and
    ceiling, `box_levels` those of what stands in the room; `bounds`: all of these at both ends where
    some are not measured.
    """

    plan_m: tuple[tuple[float, float], ...]
    height_m: float
    glazing: tuple[Glazing, ...]
    doors: tuple[Opening, ...]
    door_reflectance: float
    levels: tuple[float, ...]
    bounds: tuple[End, End] | None
    assumed: tuple[Said, ...]
    boxes: tuple[Box, ...] = ()
    box_levels: tuple[float, ...] = ()

    def around(self, marks_m: Points) -> Reckoned:
        """The same without the pieces that a mark lies within."""
        if not self.boxes:
            return self
        notes: list[Said] = []
        free = free_of(self.boxes, marks_m, notes)
        if all(free):
            return self

        def freed(
            boxes: tuple[Box, ...], levels: tuple[float, ...]
        ) -> tuple[tuple[Box, ...], tuple[float, ...]]:
            kept = [
                (box, level)
                for box, level, clear in zip(boxes, levels, free, strict=False)
                if clear
            ]
            return tuple(box for box, _ in kept), tuple(level for _, level in kept)

        boxes, levels = freed(self.boxes, self.box_levels)
        bounds = self.bounds
        if bounds is not None:
            low, high = ((*end[:2], *freed(*end[2:])) for end in bounds)
            bounds = low, high
        return replace(
            self, boxes=boxes, box_levels=levels, bounds=bounds, assumed=(*self.assumed, *notes)
        )


def not_taken(room: RoomRecord) -> tuple[str, ...]:
    """Paths of the surfaces and the glass that the light takes a usual value for."""
    surfaces = (
        f"surfaces.{name}.light_reflectance"
        for name in surface_names(room)
        if surface_level(name, (room.surfaces or {}).get(name)) is None
    )
    glass = (
        f"windows.{window.id}.transmittance"
        for window in room.windows or ()
        if window.transmittance is None and window.covering != "blackout"
    )
    return (*surfaces, *glass) if room.windows else ()


def surface_names(room: RoomRecord) -> tuple[str, ...]:
    """Walls, floor and ceiling in the solver's order."""
    return (*wall_letters(len(room.corners_m or ())), "floor", "ceiling")


def reckoned(sheet: RoomSheet, facings: WallFacings) -> Reckoned | Said:
    """Glazing, doors and reflectances of the record, or why there is no light to be worked out."""
    room = sheet.room
    corners = room.corners_m
    if room.setting == "covered":
        return said("light.covered")
    given = {"room.plan_m": corners, "room.height_m": room.height_m}
    if corners is None or room.height_m is None:
        return unmeasured(*(path for path, value in given.items() if value is None))
    if room.windows is None:
        return unmeasured("room.windows")
    plan = tuple((float(x), float(y)) for x, y in corners)
    assumed = [said("light.matte") if room.windows else said("light.no_windows")]
    glazing: list[Glazing] = []
    for window in room.windows:
        glass = _glazing(window, room, facings, assumed)
        if isinstance(glass, Said):
            return glass
        if glass is not None:
            glazing.append(glass)
    assumed += framing_words(room.windows, glazing)
    if any(glass.street is not None for glass in glazing):
        assumed.append(street_words(room))
    elif any(glass.skyline is not None for glass in glazing):
        assumed.append(said("light.facades"))
    open_street = bool(street_open(room)) and any(glass.street is not None for glass in glazing)
    doors = _doors(room, assumed)
    names = surface_names(room)
    levels = [_level(name, (room.surfaces or {}).get(name), assumed) for name in names]
    usual = [USUAL_LEVEL.get(name, USUAL_WALL) for name in names]
    boxes, box_levels, may_be_bare = _standing(sheet, assumed if glazing else [])
    open_levels = None in box_levels or may_be_bare
    bounds: tuple[End, End] | None = None
    if glazing and (not_taken(room) or open_levels or open_street):
        taken = {window.id for window in room.windows if window.transmittance is None} & {
            glass.id for glass in glazing
        }
        assumed += _taken(names, levels, usual, sorted(taken))
        dark, pale = (
            (
                tuple(
                    replace(
                        glass,
                        transmittance=clear if glass.id in taken else glass.transmittance,
                        street=street_before(room, glass.skyline, glass.facing_deg, end == PALE),
                    )
                    for glass in glazing
                ),
                tuple(end if level is None else level for level in levels),
                () if may_be_bare and end == PALE else boxes,
                ()
                if may_be_bare and end == PALE
                else tuple(piece if level is None else level for level in box_levels),
            )
            for end, clear, piece in (
                (DARK, DIM_GLASS, DARK_PIECE),
                (PALE, CLEAR_GLASS, PALE_PIECE),
            )
        )
        bounds = dark, pale
    return Reckoned(
        plan,
        room.height_m,
        tuple(glazing),
        doors,
        DOOR_REFLECTANCE,
        tuple(
            middle if level is None else level for level, middle in zip(levels, usual, strict=True)
        ),
        bounds,
        tuple(assumed),
        boxes,
        tuple(USUAL_PIECE if level is None else level for level in box_levels),
    )


def _standing(
    sheet: RoomSheet, assumed: list[Said]
) -> tuple[tuple[Box, ...], tuple[float | None, ...], bool]:
    """What stands in the room, what each of it reflects (None: not measured), and whether the room
    may as well be bare.
    """
    room = sheet.room
    if not room.furniture:
        if room.furnished == "usual":
            marks = sheet.marks
            at = []
            if marks is not None:
                people = (*(marks.path or ()), *(marks.others or ()))
                at = [marks.subject, marks.camera, *people]
            boxes = usual_boxes(room, [mark for mark in at if mark is not None])
            assumed.append(usual_words(boxes, room))
            return boxes, (None,) * len(boxes), True
        if room.furniture is None and room.furnished is None:
            assumed.append(said("light.empty"))
        return (), (), False
    placed = boxes_of(room, assumed)
    levels = tuple(_piece_level(piece, assumed) for piece, _ in placed)
    unknown = [piece.id for (piece, _), level in zip(placed, levels, strict=True) if level is None]
    if unknown:
        share = Figure(100 * USUAL_PIECE, "%", 100 * DARK_PIECE, 100 * PALE_PIECE)
        assumed.append(said("light.pieces_taken", pieces=typed(unknown), share=share))
    return tuple(box for _, box in placed), levels, False


def _piece_level(piece: Furniture, assumed: list[Said]) -> float | None:
    return _level(
        piece.id, Surface(colour=piece.colour, light_reflectance=piece.reflectance), assumed
    )


def _taken(
    names: Sequence[str],
    levels: Sequence[float | None],
    usual: Sequence[float],
    windows: Sequence[str],
) -> Iterator[Said]:
    """What is taken for surfaces and glass that nobody measured."""
    for share in dict.fromkeys(usual):
        surfaces = [
            name
            for name, level, middle in zip(names, levels, usual, strict=True)
            if level is None and middle == share
        ]
        if surfaces:
            range_pct = Figure(100 * share, "%", 100 * DARK, 100 * PALE)
            yield said(
                "light.reflectance_taken", surfaces=words("surface", surfaces), share=range_pct
            )
    if windows:
        range_pct = Figure(100 * USUAL_GLASS, "%", 100 * DIM_GLASS, 100 * CLEAR_GLASS)
        yield said("light.glass_taken", windows=typed(windows), share=range_pct)


def light_room(
    sheet: RoomSheet,
    facings: WallFacings,
    marks_m: Points,
    normals: Points | None = None,
    *,
    bounded: bool = False,
) -> LightRoom | Said:
    """The room worked out for its marks (level planes, or ones that look the way of `normals`), or
    why it cannot be. bounded: at both ends too, where not all is measured: the room three times.
    """
    ready = reckoned(sheet, facings)
    if isinstance(ready, Said):
        return ready
    ready = ready.around(marks_m)

    def light(
        glazing: tuple[Glazing, ...],
        levels: tuple[float, ...],
        boxes: tuple[Box, ...],
        box_levels: tuple[float, ...],
    ) -> RoomLight:
        return room_light(
            ready.plan_m,
            ready.height_m,
            glazing,
            marks_m,
            levels,
            ready.doors,
            ready.door_reflectance,
            normals,
            boxes,
            box_levels,
        )

    try:
        ends = ready.bounds if bounded else None
        bounds = None if ends is None else (light(*ends[0]), light(*ends[1]))
        usual = light(ready.glazing, ready.levels, ready.boxes, ready.box_levels)
        return LightRoom(usual, bounds, ready.assumed, ready)
    except OutOfRange as refusal:
        return said("light.refused", why=reason(refusal))


def _glazing(
    window: Window, room: RoomRecord, facings: WallFacings, assumed: list[Said]
) -> Glazing | Said | None:
    passes, spreads = COVERINGS[window.covering or "none"]
    name = Name(window.id)
    if window.covering is None:
        assumed.append(said("light.bare_glass", window=name))
    elif window.covering == "blackout":
        assumed.append(said("light.blacked_out", window=name))
        return None
    elif window.covering != "none":
        assumed.append(
            said(
                "light.drawn",
                window=name,
                covering=Word("covering", window.covering),
                share=Figure(100 * passes, "%"),
            )
        )
    if (missing := unmeasured_of(window, *PLACED)) is not None:
        return missing
    pane = shading_pane(window, room, assumed)
    if isinstance(pane, Said):
        return pane
    facing = facings.true_deg.get(window.wall)
    skyline = skyline_of(window.skyline, room.skyline, assumed, window.id)
    if skyline is not None and facing is None:
        return said(
            "light.skyline_unplaced", window=name, why=facings.unknown or unmeasured("room.facing")
        )
    panes = 2 if window.material == "double_glazing" else 1
    levels = {
        name: USUAL_FRAME if value is None else min(value, BRIGHTEST_LEVEL)
        for name, value in (
            ("reveal", window.reveal_reflectance),
            ("underside", window.overhang_reflectance),
        )
    }
    street = room.street or Street()
    if window.transmittance not in (0.0, 1.0):
        notes = [said("light.slant")]
        if panes == 2:
            notes.append(said("light.double"))
        elif window.material is None:
            notes.append(said("light.single"))
        assumed += [note for note in notes if note not in assumed]
    return Glazing(
        window.id,
        pane,
        USUAL_GLASS if window.transmittance is None else window.transmittance,
        passes,
        spreads,
        None if skyline is None else tuple(skyline),
        facing,
        panes,
        street_before(room, None if skyline is None else tuple(skyline), facing),
        levels["reveal"],
        levels["underside"],
        USUAL_FACADE if street.facade_reflectance is None else street.facade_reflectance,
        pane.sill_m + STOREY_M * max(room.storey or 0, 0),
    )


def _doors(room: RoomRecord, assumed: list[Said]) -> tuple[Opening, ...]:
    letters = wall_letters(len(room.corners_m or ()))
    placed: list[Opening] = []
    for door in room.doors or ():
        if (
            door.offset_m is not None
            and door.width_m is not None
            and door.height_m is not None
            and door.id not in (*letters, "floor", "ceiling")
        ):
            number = letters.index(door.wall)
            width = min(door.width_m, walls(room.corners_m or ())[number].length_m - door.offset_m)
            height = door.height_m if room.height_m is None else min(door.height_m, room.height_m)
            if width > 0:
                placed.append((door.id, number, door.offset_m, 0.0, width, height))
    if placed:
        assumed.append(said("light.doors", share=Figure(100 * DOOR_REFLECTANCE, "%")))
    return tuple(placed)


def _level(name: str, surface: Surface | None, assumed: list[Said]) -> float | None:
    if surface is None:
        return None
    if surface.light_reflectance is not None:
        if surface.light_reflectance > BRIGHTEST_LEVEL:
            assumed.append(
                said(
                    "light.held",
                    most=Figure(100 * BRIGHTEST_LEVEL, "%"),
                    given=Figure(100 * surface.light_reflectance, "%"),
                    surface=Word("surface", name),
                )
            )
        return min(surface.light_reflectance, BRIGHTEST_LEVEL)
    colour = surface.colour
    if colour is None:
        return None
    try:
        if colour.srgb is not None:
            return _srgb_level(colour.srgb)
        if colour.lab is not None:
            return _lab_level(colour.lab, colour.illuminant or "D65")
        assert colour.spectrum is not None
        return of_spectrum(
            colour.spectrum.first_nm, colour.spectrum.step_nm, colour.spectrum.values
        ).level
    except OutOfRange as refusal:
        assumed.append(said("light.no_colour", surface=Word("surface", name), why=reason(refusal)))
        return None


@lru_cache(maxsize=512)
def _srgb_level(srgb: str) -> float:
    return of_srgb(srgb).level


@lru_cache(maxsize=512)
def _lab_level(lab: tuple[float, float, float], illuminant: Literal["D50", "D65"]) -> float:
    return of_lab(lab, illuminant).level


def surface_level(name: str, surface: Surface | None) -> float | None:
    """The light reflectance of a surface, measured or from its colour; None when neither is
    recorded or usable.
    """
    return _level(name, surface, [])
