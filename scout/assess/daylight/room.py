"""The room as daylight meets it: glazing, reflectances and marks out of the sheet, with what is
missing in words.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from scout.assess.daylight.place import WallFacings
from scout.assess.daylight.windows import shading_pane, skyline_of
from scout.calc.bounce.surface import BRIGHTEST_LEVEL, of_lab, of_spectrum, of_srgb
from scout.calc.daylight.room_light import Glazing, RoomLight, room_light
from scout.calc.geometry import wall_letters, walls
from scout.calc.radiosity import Opening
from scout.errors import OutOfRange
from scout.records.sheet import RoomRecord, RoomSheet, Surface, Window

Points = tuple[tuple[float, float, float], ...]
DOOR_REFLECTANCE = 0.40
DARK, PALE = 0.10, 0.80  # what an unmeasured surface may be: charcoal paint to off-white
# Share of the light that passes what hangs in a window, and whether it scatters it (common
# practice, wide limits).
COVERINGS = {
    "none": (1.0, False),
    "sheer": (0.5, True),
    "blind": (0.1, True),
    "blackout": (0.0, True),
}

GLASS = "glass loses more at a slant, as plane uncoated panes do (Fresnel, index 1.52)"
DOUBLE = "double glazing is reckoned as two panes alike with air between"
SINGLE = "where a window's glass is not recorded as double glazing, one pane is taken: two would change the sky's light by 2 %, a slanting sun's by a tenth"


@dataclass(frozen=True)
class LightRoom:
    """A room ready for daylight. `dark` and `pale` bound it where reflectances are missing; then
    `light` has the straight part alone.
    """

    light: RoomLight
    bounds: tuple[RoomLight, RoomLight] | None
    missing: str | None  # "because the reflectance of wall D is not measured"
    assumed: tuple[str, ...]


@dataclass(frozen=True)
class Reckoned:
    """What the light needs of a room's record. `levels`: of walls, floor, ceiling, None where not
    measured; `missing` names those.
    """

    plan_m: tuple[tuple[float, float], ...]
    height_m: float
    glazing: tuple[Glazing, ...]
    doors: tuple[Opening, ...]
    door_reflectance: float
    levels: tuple[float | None, ...]
    missing: tuple[str, ...]
    assumed: tuple[str, ...]

    @property
    def because(self) -> str | None:
        """What the missing reflectances take away, in words; None when there are none."""
        if not self.missing:
            return None
        return f"because the light reflectance of {_listed(list(self.missing))} is not measured, so the light by way of the surfaces is not known"


def reckoned(sheet: RoomSheet, facings: WallFacings) -> Reckoned | str:
    """Glazing, doors and reflectances of the record, or why there is no light to be worked out
    ("because ...").
    """
    room = sheet.room
    corners = room.corners_m
    if room.setting == "covered":
        return "because a covered place is open at its sides, and how much sky they show is not recorded"
    absent = [
        words
        for words, value in (("the plan", corners), ("the height", room.height_m))
        if value is None
    ]
    if corners is None or room.height_m is None:
        return f"because {' and '.join(absent)} of the room {'are' if len(absent) > 1 else 'is'} not measured"
    if room.windows is None:
        return "because the windows of the room are not recorded"
    plan = tuple((float(x), float(y)) for x, y in corners)
    assumed = (
        ["an empty room with matte surfaces: furniture and people are left out"]
        if room.windows
        else ["the room has no windows"]
    )
    glazing: list[Glazing] = []
    for window in room.windows:
        found = _glazing(window, room, facings, assumed)
        if isinstance(found, str):
            return found
        if found is not None:
            glazing.append(found)
    if any(glass.pane.reveal_m > 0 or glass.pane.overhang_m > 0 for glass in glazing):
        assumed.append("the sides of reveals and the underside of overhangs are taken as dark")
    if any(glass.skyline is not None for glass in glazing):
        assumed.append(
            "what stands before the sky is taken to reflect as the ground does, out of the sun"
        )
    doors = _doors(room, assumed)
    levels, missing = _levels(room, assumed)
    return Reckoned(
        plan,
        room.height_m,
        tuple(glazing),
        doors,
        DOOR_REFLECTANCE,
        tuple(levels),
        tuple(missing),
        tuple(assumed),
    )


def light_room(
    sheet: RoomSheet, facings: WallFacings, marks_m: Points, normals: Points | None = None
) -> LightRoom | str:
    """The room worked out for its marks (level planes, or ones that look the way of `normals`), or
    why it cannot be ("because ...").
    """
    ready = reckoned(sheet, facings)
    if isinstance(ready, str):
        return ready
    try:
        return _solved(ready, marks_m, normals)
    except OutOfRange as refusal:
        return f"because the room cannot be worked out: {refusal}"


def _solved(ready: Reckoned, marks_m: Points, normals: Points | None) -> LightRoom:
    def light(reflectance: tuple[float, ...] | None) -> RoomLight:
        return room_light(
            ready.plan_m,
            ready.height_m,
            ready.glazing,
            marks_m,
            reflectance,
            ready.doors,
            ready.door_reflectance,
            normals,
        )

    if not ready.missing:
        return LightRoom(
            light(tuple(level for level in ready.levels if level is not None)),
            None,
            None,
            ready.assumed,
        )
    dark, pale = (
        light(tuple(level if level is not None else end for level in ready.levels))
        for end in (DARK, PALE)
    )
    return LightRoom(light(None), (dark, pale), ready.because, ready.assumed)


def _glazing(
    window: Window, room: RoomRecord, facings: WallFacings, assumed: list[str]
) -> Glazing | str | None:
    passes, spreads = COVERINGS[window.covering or "none"]
    if window.covering is None:
        assumed.append(f"what hangs in {window.id} is not recorded: bare glass is taken")
    elif window.covering == "blackout":
        assumed.append(f"{window.id} is blacked out: no light is taken to come through")
        return None
    elif window.covering != "none":
        assumed.append(
            f"the {window.covering} in {window.id} is taken drawn, to pass {passes:.0%} of the light and scatter it; 0.5 to 2 times that is usual"
        )
    missing = [
        name
        for name in ("offset", "sill", "width", "height")
        if getattr(window, f"{name}_m") is None
    ]
    if window.transmittance is None:
        missing.append("transmittance")
    if missing or window.transmittance is None:
        return f"because {' and '.join(missing)} of {window.id} {'are' if len(missing) > 1 else 'is'} not measured"
    pane = shading_pane(window, room, assumed)
    if isinstance(pane, str):
        return pane
    facing = facings.true_deg.get(window.wall)
    skyline = skyline_of(window.skyline, room.skyline, assumed, window.id)
    if skyline is not None and facing is None:
        return f"{facings.unknown or 'because facing is not measured'}; without it the skyline of {window.id} cannot be placed"
    panes = 2 if window.material == "double_glazing" else 1
    if window.transmittance not in (0.0, 1.0):
        for words in (GLASS, DOUBLE if panes == 2 else SINGLE if window.material is None else None):
            if words is not None and words not in assumed:
                assumed.append(words)
    return Glazing(
        window.id,
        pane,
        window.transmittance,
        passes,
        spreads,
        None if skyline is None else tuple(skyline),
        facing,
        panes,
    )


def _doors(room: RoomRecord, assumed: list[str]) -> tuple[Opening, ...]:
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
        assumed.append(f"doors are taken shut, reflecting {DOOR_REFLECTANCE:.2f}")
    return tuple(placed)


def _levels(room: RoomRecord, assumed: list[str]) -> tuple[list[float | None], list[str]]:
    """The light reflectance of walls, floor and ceiling in the solver's order, and the names of
    those not measured.
    """
    names = (*wall_letters(len(room.corners_m or ())), "floor", "ceiling")
    levels = [_level(name, (room.surfaces or {}).get(name), assumed) for name in names]
    return levels, [
        f"wall {name}" if len(name) == 1 else f"the {name}"
        for name, level in zip(names, levels, strict=True)
        if level is None
    ]


def _level(name: str, surface: Surface | None, assumed: list[str]) -> float | None:
    if surface is None:
        return None
    if surface.light_reflectance is not None:
        if surface.light_reflectance > BRIGHTEST_LEVEL:
            assumed.append(
                f"no surface reflects more than {BRIGHTEST_LEVEL}: the {surface.light_reflectance:g} of {name} is held there"
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
        assumed.append(f"the colour of {name} cannot be used: {refusal}")
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


def _listed(names: list[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
