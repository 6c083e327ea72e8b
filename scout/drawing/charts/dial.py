"""A room's outline with the needle of north over it: to see which way it faces, and to turn on a
page.
"""

from __future__ import annotations

import math

from scout.calc.geometry import walls
from scout.drawing import pictograms
from scout.drawing.lettering import SCREEN_TEXT_MM, Hand
from scout.drawing.shapes import Circle, Drawing, Group, Line, Point, Polygon, Shape, box_of, moved
from scout.records.sheet import RoomRecord
from scout.values import Figure, Many, Word, said
from scout.words.figures import paragraph

NEEDLE = "needle"  # the id of the group that a page turns about the middle of the drawing


def outward_deg(room: RoomRecord) -> dict[str, float]:
    """How far each wall's outward normal is turned clockwise from up on the plan."""
    if room.corners_m is None:
        return {}
    return {
        wall.letter: math.degrees(math.atan2(float(wall.outward[0]), float(wall.outward[1])))
        % 360.0
        for wall in walls(room.corners_m)
    }


def facing_dial(
    room: RoomRecord, north_deg: float, *, size_mm: float = 80.0, text_mm: float = SCREEN_TEXT_MM
) -> Drawing:
    """The outline of a room in a ring, its walls lettered, and a needle to north, north_deg
    clockwise from up on the plan.
    """
    hand, u = Hand(text_mm), text_mm
    radius = size_mm / 2 - 1.6 * u
    shapes: list[Shape] = [Circle((0.0, 0.0), radius, hand.pen("thin"))]
    for turn in range(0, 360, 10):
        inner = radius - (1.0 if turn % 30 == 0 else 0.5) * u
        shapes.append(Line(_out(turn, inner), _out(turn, radius), hand.pen("hair")))
    if room.corners_m is not None:
        shapes += _outline(hand, room, radius)
    tip, tail = _out(north_deg, radius - 0.2 * u), _out(north_deg + 180.0, radius * 0.6)
    left, right = (_out(north_deg + side, radius - 2.6 * u) for side in (-6.0, 6.0))
    needle = (
        Line(tail, tip, hand.pen("medium", "rust")),
        Polygon((tip, left, right), hand.pen("medium", "rust"), "rust"),
        hand.centred(_out(north_deg, radius + 0.8 * u), "N", bold=True, ink="rust"),
    )
    shapes.append(Group(needle, NEEDLE, str(said("drawing.north"))))
    looks = tuple(
        said(
            "drawing.wall_bearing",
            wall=Word("surface", letter),
            bearing=Figure((turn - north_deg) % 360.0, "deg"),
        )
        for letter, turn in outward_deg(room).items()
    )
    title = said("drawing.north_over_plan")
    out = said("drawing.looking_out", walls=Many(looks, "list")) if looks else None
    placed = tuple(moved(shape, size_mm / 2, size_mm / 2) for shape in shapes)
    return Drawing(
        size_mm,
        size_mm,
        placed,
        str(title),
        paragraph(title, out or said("drawing.plan_unmeasured")),
    )


def _out(turn_deg: float, radius: float) -> Point:
    turn = math.radians(turn_deg)
    return radius * math.sin(turn), radius * math.cos(turn)


def _outline(hand: Hand, room: RoomRecord, radius: float) -> list[Shape]:
    corners = [(float(x), float(y)) for x, y in room.corners_m or ()]
    left, bottom, right, top = box_of(corners)
    scale = 1.15 * radius / max(math.hypot(right - left, top - bottom), 1e-9)
    middle = ((left + right) / 2, (bottom + top) / 2)

    def at(x: float, y: float) -> Point:
        return (x - middle[0]) * scale, (y - middle[1]) * scale

    shapes: list[Shape] = [Polygon(tuple(at(x, y) for x, y in corners), hand.pen("thick"))]
    for wall in walls(corners):
        x, y = at(*((wall.start_m + wall.end_m) / 2))
        spot = (
            x - float(wall.outward[0]) * 1.5 * hand.text_mm,
            y - float(wall.outward[1]) * 1.5 * hand.text_mm,
        )
        if wall.length_m * scale > 2.2 * hand.text_mm:
            shapes += pictograms.lettered_circle(hand, spot, wall.letter)
    return shapes
