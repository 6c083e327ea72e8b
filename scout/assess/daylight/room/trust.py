"""How good each recorded fact of daylight is, by how it was come by: half widths that hold the truth
nine times in ten.
"""

from __future__ import annotations

from scout.assess.recorded import GUESSES, how_of, trust_of
from scout.errors import Refused
from scout.records.sheet import RoomSheet
from scout.units import parse_length_m, parse_number

NINE_OF_TEN = 1.645  # standard deviations either way that hold nine of ten
# Common practice for how facts are come by: a maker's figure for clean glass, a meter inside and
# outside a pane, a tape, a laser, paces; pale or dark ground, bare or after rain.
GLASS, GLASS_METERED = 0.10, 0.05
TAPE_M, LASER_M, PACED = 0.02, 0.005, 0.10
GROUND_TAKEN, GROUND_RECORDED, GROUND_METERED = 0.10, 0.05, 0.02
LEVEL_GUESSED, LEVEL_METERED = 0.20, 0.05
BY_EYE = (*GUESSES, "estimate", "pace", "steps", "eye")


def length_doubt_m(sheet: RoomSheet, path: str, length_m: float) -> float:
    """How good a recorded length is, by what was written down of how it was taken; a tape's where
    nothing was.
    """
    how, accuracy = how_of(sheet, path)
    try:
        if accuracy.strip().endswith("%"):
            share = parse_number(accuracy.strip()[:-1].removeprefix("±"))
            return abs(share) / 100.0 * length_m
        if accuracy:
            return abs(parse_length_m(accuracy.strip().removeprefix("±")))
    except Refused:
        pass  # said in other words: how it was taken must do
    if any(word in how.lower() for word in BY_EYE):
        return PACED * length_m
    return LASER_M if "laser" in how.lower() else TAPE_M


def glass_doubt(sheet: RoomSheet, window: str) -> float:
    how, _ = how_of(sheet, f"windows.{window}.transmittance")
    if any(word in how.lower() for word in BY_EYE):
        return 2.0 * GLASS
    return GLASS_METERED if "meter" in how.lower() else GLASS


def level_doubt(sheet: RoomSheet, name: str) -> float:
    """How good a surface's light reflectance is, as a share of it."""
    surface = (sheet.room.surfaces or {}).get(name)
    path = f"surfaces.{name}.light_reflectance"
    if surface is not None and surface.light_reflectance is not None:
        how, _ = how_of(sheet, path)
        if any(word in how.lower() for word in BY_EYE):
            return LEVEL_GUESSED
    return NINE_OF_TEN * trust_of(sheet, name).level


def ground_doubt(sheet: RoomSheet) -> tuple[float, float]:
    """How good the ground's reflectance is, and how good a meter would make it."""
    given = None if sheet.location is None else sheet.location.ground_reflectance
    return (GROUND_TAKEN if given is None else GROUND_RECORDED), GROUND_METERED
