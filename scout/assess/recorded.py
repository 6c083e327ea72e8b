"""How a surface's colour was come by, and how far each way of recording it can be trusted."""

from __future__ import annotations

from dataclasses import dataclass

from scout.calc.bounce.named import NAMED
from scout.records.sheet import RoomSheet, Surface
from scout.values import Figure, Said, said

MEASUREMENTS = "measurements"  # under "extra": who measured what and how
PHOTO_CARD, PHOTO_CARD_LAMPS, PHOTO_BARE = (
    "photo beside a card, by daylight",
    "photo beside a card, under lamps",
    "photo without a card",
)
GUESSES = ("guess", "name")  # words of `how` that tell a colour was only called something
_CODES = frozenset(NAMED.values())


@dataclass(frozen=True)
class Trust:
    """One way of recording. level, tint: one standard deviation, as a share of the reflectance, of
    the whole and of each third of the spectrum besides.
    """

    level: float
    tint: float
    photo: bool = False
    note: Said | None = None  # what has to be said of it beside every figure


# Common practice: a spectrophotometer repeats to a percent; a hand reader to CIEDE2000 1, but gives
# no spectrum, which leaves 0.003 in
# u'v' under another light; a colour beside a card or off a paint maker's page is good to about 3;
# the light of lamps in place of daylight
# adds 3 to 5, a photo without a card is off by 5; what people call by one everyday name lies within
# about 8 of its middle; of a colour
# known by its lightness alone the hue is open, as of any pale paint.
SPECTRUM = Trust(0.01, 0.01)
READER = Trust(0.02, 0.02)
CARD, CODE = Trust(0.05, 0.04, photo=True), Trust(0.05, 0.04)
LAMPS = Trust(0.08, 0.08, True, said("bounce.photo_under_lamps", doubt=Figure(10, "%")))
BARE = Trust(0.15, 0.10, True, said("bounce.photo_without_card", doubt=Figure(15, "%")))
NAME = Trust(0.20, 0.12, note=said("bounce.everyday_name", doubt=Figure(20, "%")))
LEVEL = Trust(0.05, 0.10)
KEPT = {PHOTO_CARD: CARD, PHOTO_CARD_LAMPS: LAMPS, PHOTO_BARE: BARE}
# a light reflectance value beside a colour: equal to 2-degree Y within 1 to 3 points (BS 8493)
MEASURED_LEVEL = 0.03
ASSUMED = said("bounce.doubt_of_colours")


def trust_of(sheet: RoomSheet, name: str) -> Trust:
    """How far the colour of a surface can be trusted: by its kind, and by what was written down of
    how it was taken.
    """
    surface = (sheet.room.surfaces or {}).get(name)
    if surface is None or surface.colour is None:
        return LEVEL
    found = _of_colour(surface, how_of(sheet, f"surfaces.{name}.colour")[0])
    if surface.light_reflectance is not None and found.level > MEASURED_LEVEL and not found.photo:
        return Trust(MEASURED_LEVEL, found.tint, note=found.note)
    return found


def _of_colour(surface: Surface, how: str) -> Trust:
    assert surface.colour is not None
    if surface.colour.spectrum is not None:
        return SPECTRUM
    if surface.colour.lab is not None:
        return READER
    if how in KEPT:
        return KEPT[how]
    if (surface.colour.srgb or "").lower() in _CODES or any(
        word in how.lower() for word in GUESSES
    ):
        return NAME
    return CODE


def how_of(sheet: RoomSheet, path: str) -> tuple[str, str]:
    """How a fact was last taken and how well, as somebody wrote it down; empty where nobody did."""
    rows = (sheet.extra or {}).get(MEASUREMENTS)
    found = "", ""
    for row in rows if isinstance(rows, (list, tuple)) else ():
        if isinstance(row, dict) and str(row.get("path", "")).removeprefix("room.") == path:
            found = str(row.get("how") or ""), str(row.get("accuracy") or "")
    return found
