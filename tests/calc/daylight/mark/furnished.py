"""Furnished rooms, streets, white reveals and balconies that our light and Radiance's are worked out
for, and the run that makes the
expected values again: `python -m tests.calc.daylight.mark.furnished` (an hour of one processor).
"""

from __future__ import annotations

import json
import sys
import tempfile
from dataclasses import replace
from pathlib import Path

import numpy as np

from scout.calc.daylight.outside.street import EYE_M, Street
from scout.calc.daylight.window.glazing import Glazing
from scout.calc.daylight.window.pane import Pane
from scout.calc.radiosity import Box
from tests.calc.daylight.mark.radiance import TracedRoom

Plane = tuple[tuple[float, float, float], tuple[float, float, float]]
EXPECTED = Path(__file__).with_name("furnished_radiance.json")
OPTIONS = "-u+ -ab 20 -ad 32768 -aa 0 -lw 1e-7 -lr -40"
UP = (0.0, 0.0, 1.0)
PLAN = ((0.0, 6.0), (5.0, 6.0), (5.0, 0.0), (0.0, 0.0))
TURNED = ((0.0, 5.0), (3.5, 5.0), (3.5, 2.2), (6.5, 2.2), (6.5, 0.0), (0.0, 0.0))
TABLE = Box("table", 2.5, 3.4, 1.6, 0.9, 12.0, 0.7, 0.74)
SOFA = Box("sofa", 1.0, 2.2, 0.9, 2.0, 0.0, 0.0, 0.8)
BOOKCASE = Box("bookcase", 4.84, 3.2, 0.3, 1.2, 0.0, 0.0, 2.0)
SIDEBOARD = Box("sideboard", 1.6, 5.75, 1.5, 0.45, 0.0, 0.0, 0.9)
SCREEN = Box("screen", 2.9, 4.4, 1.4, 0.1, 30.0, 0.0, 1.8)
TWO = (
    Glazing("W1", Pane(0, 0.6, 0.8, 1.6, 1.5), 1.0, facing_deg=0.0),
    Glazing("W2", Pane(0, 2.9, 0.8, 1.6, 1.5), 1.0, facing_deg=0.0),
)
PLANES: list[Plane] = [
    ((2.5, 2.4, 1.2), UP),
    ((2.5, 2.4, 1.2), (0.0, -1.0, 0.0)),
    ((2.5, 2.4, 1.2), (0.3, 0.95, 0.0)),
    ((2.5, 3.4, 0.8), UP),
    ((4.0, 1.0, 1.2), UP),
    ((2.3, 3.3, 0.3), UP),
]
LOW_SUN, NO_SUN = (20.0, 30.0), (170.0, 35.0)  # through the windows, and behind the room
LIGHT, MIDDLING, DARK = (
    ((0.8, 0.8, 0.8, 0.8, 0.5, 0.9), 0.6),
    ((0.5, 0.5, 0.5, 0.5, 0.2, 0.7), 0.35),
    ((0.15, 0.2, 0.15, 0.2, 0.1, 0.5), 0.1),
)


def furnished(
    surfaces: tuple[tuple[float, ...], float],
    boxes: tuple[Box, ...],
    sun: tuple[float, float] | None,
) -> TracedRoom:
    """The room of two windows with these boxes, all of one reflectance."""
    walls, box = surfaces
    return TracedRoom(PLAN, 2.7, TWO, walls, 0.2, boxes, (box,) * len(boxes), sun)


USUAL = (TABLE, SOFA, BOOKCASE)
FULL = (*USUAL, SIDEBOARD, SCREEN)
CORNER = TracedRoom(
    TURNED,
    2.6,
    (
        Glazing("W1", Pane(0, 0.8, 0.8, 1.6, 1.5), 1.0, facing_deg=0.0),
        Glazing("W2", Pane(3, 0.5, 0.9, 1.2, 1.3), 1.0, facing_deg=90.0),
    ),
    (0.6, 0.5, 0.6, 0.6, 0.6, 0.5, 0.25, 0.75),
    0.2,
    (
        Box("bed", 1.1, 3.0, 1.6, 2.0, 0.0, 0.0, 0.55),
        Box("wardrobe", 3.15, 3.6, 0.6, 1.4, 0.0, 0.0, 2.0),
        Box("table", 4.8, 1.1, 0.8, 0.8, 45.0, 0.7, 0.74),
    ),
    (0.5, 0.3, 0.4),
    None,
)
CORNER_PLANES: list[Plane] = [
    ((2.2, 1.1, 1.2), UP),
    ((2.2, 1.1, 1.2), (1.0, 0.0, 0.0)),
    ((2.2, 1.1, 1.2), (0.0, 1.0, 0.0)),
    ((5.4, 0.6, 1.0), UP),
    ((1.1, 3.0, 0.7), UP),
]


def in_a_street(street: Street, sun: tuple[float, float] | None) -> TracedRoom:
    """A bare room whose window looks into a street; its skyline as it is read at the window."""
    g = np.arange(-85.0, 86.0, 5.0)
    rise = street.opposite_m - street.floor_m - EYE_M
    skyline = tuple(
        (float(b), float(np.degrees(np.arctan(rise * np.cos(np.radians(b)) / street.width_m))))
        for b in g
    )
    glass = Glazing(
        "W",
        Pane(0, 1.5, 0.8, 2.0, 1.5),
        1.0,
        skyline=((-90.0, 0.0), *skyline, (90.0, 0.0)),
        facing_deg=0.0,
        street=street,
    )
    return TracedRoom(PLAN, 2.7, (glass,), MIDDLING[0], 0.2, sun=sun)


STREET_PLANES: list[Plane] = [
    ((2.5, 5.0, 1.2), UP),
    ((2.5, 3.0, 1.2), UP),
    ((2.5, 3.0, 1.2), (0.0, 1.0, 0.0)),
    ((2.5, 3.0, 1.2), (0.0, -1.0, 0.0)),
    ((2.5, 1.0, 1.2), UP),
]


def framed(glass: Glazing, sun: tuple[float, float] | None) -> TracedRoom:
    """A bare room with one window."""
    return TracedRoom(PLAN, 2.7, (glass,), MIDDLING[0], 0.2, sun=sun)


DEEP = Pane(0, 1.9, 0.8, 1.2, 1.5, reveal_m=0.35)
WHITE_REVEALS = Glazing("W", DEEP, 1.0, facing_deg=0.0, reveal=0.8)
GREY_REVEALS = Glazing("W", DEEP, 1.0, facing_deg=0.0, reveal=0.4)
UNDER_A_BALCONY = Glazing(
    "W",
    Pane(0, 1.3, 0.3, 2.4, 2.0, reveal_m=0.15, overhang_m=1.3, overhang_gap_m=0.25),
    1.0,
    facing_deg=0.0,
    reveal=0.6,
    underside=0.75,
    facade=0.5,
    drop_m=6.0,
)
NARROW = Street(width_m=8.0, opposite_m=12.0, own_m=12.0, floor_m=0.0, facade=0.3)
PALE = Street(width_m=15.0, opposite_m=18.0, own_m=15.0, floor_m=6.0, facade=0.5)
SCENES: dict[str, tuple[TracedRoom, list[Plane]]] = {
    "light, overcast": (furnished(LIGHT, USUAL, None), PLANES),
    "light, in the sun": (furnished(LIGHT, USUAL, LOW_SUN), PLANES),
    "middling, overcast": (furnished(MIDDLING, USUAL, None), PLANES),
    "middling, in the sun": (furnished(MIDDLING, FULL, LOW_SUN), PLANES),
    "middling, out of the sun": (furnished(MIDDLING, FULL, NO_SUN), PLANES),
    "dark, overcast": (furnished(DARK, FULL, None), PLANES),
    "dark, in the sun": (furnished(DARK, USUAL, LOW_SUN), PLANES),
    "corner, overcast": (CORNER, CORNER_PLANES),
    "corner, in the sun": (replace(CORNER, sun=(75.0, 25.0)), CORNER_PLANES),
    "narrow street, overcast": (in_a_street(NARROW, None), STREET_PLANES),
    "narrow street, facades in the sun": (in_a_street(NARROW, (200.0, 60.0)), STREET_PLANES),
    "narrow street, facades in shade": (in_a_street(NARROW, (30.0, 35.0)), STREET_PLANES),
    "pale street, overcast": (in_a_street(PALE, None), STREET_PLANES),
    "pale street, facades in the sun": (in_a_street(PALE, (170.0, 50.0)), STREET_PLANES),
    "white reveals, overcast": (framed(WHITE_REVEALS, None), STREET_PLANES),
    "white reveals, in the sun": (framed(WHITE_REVEALS, (30.0, 35.0)), STREET_PLANES),
    "grey reveals, overcast": (framed(GREY_REVEALS, None), STREET_PLANES),
    "under a balcony, overcast": (framed(UNDER_A_BALCONY, None), STREET_PLANES),
    "under a balcony, in the sun": (framed(UNDER_A_BALCONY, (30.0, 35.0)), STREET_PLANES),
}


def main(names: list[str]) -> None:
    """Trace the scenes named, or all, and keep their light."""
    kept = json.loads(EXPECTED.read_text()) if EXPECTED.exists() else {}
    for name in names or SCENES:
        room, planes = SCENES[name]
        with tempfile.TemporaryDirectory() as folder:
            lux = room.light(planes, Path(folder), OPTIONS, runs=2)
        kept[name] = [float(f"{value:.5g}") for value in lux]
        print(name, kept[name], flush=True)  # noqa: T201
        EXPECTED.write_text(json.dumps(kept, indent=1) + "\n")


if __name__ == "__main__":
    main(sys.argv[1:])
