"""The plan of a room, drawn to scale as a draughtsman's sheet: the same on the screen and in the
crew's packet.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from functools import partial
from typing import Protocol

from scout.assess.answers import Placement
from scout.calc.geometry import north_in_plan, wall_number
from scout.drawing.board import Board
from scout.drawing.lettering import PRINT_TEXT_MM, Hand, TextWidth, helvetica_width
from scout.drawing.plan.dimensions import draw_dimensions
from scout.drawing.plan.foot import Foot, Needle, foot, slim_foot
from scout.drawing.plan.part import (
    FAR_MM,
    LETTER_MOST_M,
    cut_lines,
    key_plan,
    part_of,
    window_of,
    within,
)
from scout.drawing.plan.rim import North, SunBearing, draw_rim, north_of
from scout.drawing.plan.things import (
    PatchHour,
    draw_furniture,
    draw_patches,
    draw_practicals,
    draw_things,
)
from scout.drawing.plan.walls import View, draw_walls, unplaced
from scout.drawing.plan.words import plan_description, plan_title
from scout.drawing.shapes import (
    Box,
    Drawing,
    Group,
    Point,
    Polygon,
    Shape,
    bounds,
    box_of,
    moved,
    rectangle,
)
from scout.records.sheet import Door, Marks, RoomRecord, SheetLocation, Window
from scout.units import Units
from scout.values import Many, Name, Said, Word, names, said
from scout.values import words as words_of
from scout.words.figures import Words, room_name, sentence, storey

SCALES = (20.0, 25.0, 50.0, 100.0, 200.0, 500.0)
HOUSE = (
    "wall",
    "window",
    "window_over",
    "door",
    "letter",
    "letter_ground",
    "furniture",
)  # signs of the room itself
PLACED = {
    **{
        one: one for one in ("wall", "window", "door", "letter", "furniture", "practical", "outlet")
    },
    "window_over": "window",
}  # symbols of things that a part of the room may have none of, and what their groups are called
SIDE_LEAST = 20.0  # breadth of a column beside the plan, in sizes of the letters


class Working(Protocol):
    """A working plan: what a light, power or shot plan shows in place of the room's own marks and
    dimensions.
    """

    @property
    def title(self) -> Said: ...

    def draw(self, board: Board, view: View) -> None: ...

    def needed_m(self) -> tuple[Point, ...]: ...

    def words(self) -> tuple[Words, ...]: ...


def room_plan(
    room: RoomRecord,
    *,
    location: SheetLocation | None = None,
    marks: Marks | None = None,
    placements: Sequence[Placement] = (),
    north: North | None = None,
    sun: Sequence[SunBearing] = (),
    patches: Sequence[PatchHour] = (),
    size_mm: tuple[float, float] = (180.0, 220.0),
    units: Units = "metric",
    text_mm: float = PRINT_TEXT_MM,
    text_width: TextWidth = helvetica_width,
    stated_scale: bool = True,
    working: Working | None = None,
    scales: Sequence[float] = SCALES,
    legend: bool = True,
    dimensions: bool = True,
) -> Drawing:
    """The plan of a room, no wider than size_mm and no higher where the paper allows it.

    north:        the corrected facing; left out, what the room's record says (a magnetic
        bearing is then drawn as magnetic)
    sun:          the sun at the hours of a day, set on the rim; left out with north unknown,
        since bearings then mean nothing
    patches:      where the sun falls at the given hours
    working:      for a working plan: its symbols and letters stand in place of marks, outlets,
        practicals and the openings' dimensions
    stated_scale: choose 1:20, 1:25, 1:50, 1:100 ... and say it, for paper; on a screen only the
        scale bar is true, so nothing is
                  said, any scale will do, and the height is that of the plan alone: a page
                      scrolls, so the foot comes on top
    scales:       the first of the stated scales to try, before 1:1000 and on
    legend:       False where the symbols are explained elsewhere
    dimensions:   False for a plan too small to letter its walls
    """
    hand = Hand(text_mm, text_width, units)
    north = north if north is not None else north_of(room)
    corners = room.corners_m
    heading = plan_title(room, location)
    messages = plan_description(room, location, marks, placements, north, sun, patches)
    if working is not None:
        heading = said("drawing.of", of=working.title, what=heading)
        messages += working.words()
    title = hand.say(heading)
    words = " ".join(sentence(one, hand.reader) for one in messages)
    if corners is None:
        return _not_measured(hand, room, location, north, size_mm, title, words)
    plan = tuple((float(x), float(y)) for x, y in corners)
    letters = len(plan)
    if north is not None and not wall_number(north.wall) < letters:
        north = None

    def sheets(
        scale: float, part_m: Box | None = None, most_mm: float = math.inf
    ) -> list[tuple[Drawing, float]]:
        return _sheet(
            hand,
            View(plan, scale, hand, part_m),
            room,
            location,
            marks,
            placements,
            north,
            sun,
            patches,
            (size_mm[0], most_mm),
            stated_scale,
            title,
            words,
            working,
            legend,
            dimensions,
        )

    def fitting(scale: float, part_m: Box | None = None) -> Drawing | None:
        for drawing, foot_mm in sheets(scale, part_m, size_mm[1] + 0.01):
            if drawing.height_mm - (0.0 if stated_scale else foot_mm) <= size_mm[1] + 0.01:
                return drawing
        return None

    series = scales if stated_scale else ()
    scales = _scales(plan, size_mm, text_mm, series)
    found = _first(scales, fitting, stride=1 if stated_scale else 6)
    if found is None:  # nothing is as low as it should be: the smallest
        least = next(filter(None, map(sheets, reversed(scales))), [])
        assert least, "the series of scales has no end short of a fit in breadth"
        found = min((drawing for drawing, _ in least), key=lambda drawing: drawing.height_mm)
    crowded = (found.scale or 0.0) * text_mm / 1000.0 > LETTER_MOST_M
    part_m = part_of(plan, working.needed_m()) if crowded and working is not None else None
    if part_m is not None:
        at_part = _scales(rectangle(*part_m), size_mm, text_mm, series)
        larger = _first(at_part, partial(fitting, part_m=part_m), stride=1 if stated_scale else 6)
        if larger is not None and (larger.scale or 0.0) < (found.scale or 0.0):
            return larger
    return found


def _first(
    scales: Sequence[float], fitting: Callable[[float], Drawing | None], *, stride: int
) -> Drawing | None:
    """The drawing at the first scale that fits, looked for in strides and then backwards between
    them, for each try draws the sheet.
    """
    last = len(scales) - 1
    for at in dict.fromkeys([*range(0, last, stride), last]):
        found = fitting(scales[at])
        if found is None:
            continue
        low, high = max(at - stride + 1, 0), at
        while low < high:
            middle = (low + high) // 2
            larger = fitting(scales[middle])
            low, high, found = (
                (low, middle, larger) if larger is not None else (middle + 1, high, found)
            )
        return found
    return None


def _scales(
    plan: Sequence[Point], size_mm: tuple[float, float], text_mm: float, stated: Sequence[float]
) -> list[float]:
    """Scales to try, largest drawing first: from the first at which the bare walls fit, to one at
    which they surely do.
    """
    left, bottom, right, top = box_of(plan)
    series = [*stated, *(base * 10.0**power for power in range(3, 9) for base in (1.0, 2.0, 5.0))]
    if not stated:
        series = [20.0 * 1.07**k for k in range(250)]
    around_mm = 5.5 * text_mm  # letters of the walls on both sides at the least
    least = 1000.0 * max(
        (right - left) / max(size_mm[0] - around_mm, text_mm),
        (top - bottom) / max(size_mm[1] - around_mm, text_mm),
    )
    surely = 1000.0 * max(right - left, top - bottom) / text_mm
    fitting = [scale for scale in series if scale >= least]
    enough = next((i for i, scale in enumerate(fitting) if scale >= surely), len(fitting) - 1)
    return fitting[: enough + 1]


def _sheet(
    hand: Hand,
    view: View,
    room: RoomRecord,
    location: SheetLocation | None,
    marks: Marks | None,
    placements: Sequence[Placement],
    north: North | None,
    sun: Sequence[SunBearing],
    patches: Sequence[PatchHour],
    size_mm: tuple[float, float],
    stated: bool,
    title: str,
    words: str,
    working: Working | None,
    legend: bool,
    dimensions: bool,
) -> list[tuple[Drawing, float]]:
    """The whole sheet at one scale and how much of its height is foot: with the foot under the
    plan, and beside it where there is room.

    Nothing when the plan with its dimensions is wider than the sheet, or where the walls alone show
    that it will be higher.
    """
    width_mm = size_mm[0]
    board = Board(hand, width_mm)
    window = window_of(view)
    u, outdoors = hand.text_mm, room.setting == "exterior"
    needle, toward = _needle(view, north)
    called, place = hand.say(room_name(room.name)), _place(room, location)
    if working is not None:
        place = " · ".join(filter(None, (called, place)))
        called = hand.say(working.title)

    def symbols() -> list[str]:
        shown = ["letter_ground" if s == "letter" and outdoors else s for s in board.used]
        if window is not None:  # what is not in the part needs no explaining
            held = {
                shape.id.split("-")[0]
                for shape in board.shapes
                if isinstance(shape, Group) and shape.id
            }
            shown = [one for one in shown if one not in PLACED or PLACED[one] in held]
        if working is not None and stated:
            # on paper the room's own plan stands before it and explains them
            shown = [symbol for symbol in shown if symbol not in HOUSE]
        return shown

    def its_foot(breadth_mm: float) -> Foot:
        below = its_own_foot(breadth_mm)
        if window is None:
            return below
        shapes, tall = key_plan(hand, view, breadth_mm)
        dropped = [moved(shape, 0.0, -below.height_mm) for shape in shapes]
        return Foot((*below.shapes, *dropped), below.height_mm + tall)

    def its_own_foot(breadth_mm: float) -> Foot:
        if not legend:
            return slim_foot(hand, breadth_mm, scale=view.scale, needle=needle, notes=board.notes)
        return foot(
            hand,
            breadth_mm,
            name=called,
            place=place,
            scale=view.scale,
            stated=stated,
            needle=needle,
            faces=not outdoors,
            symbols=symbols(),
            notes=board.notes,
        )

    if window is not None:
        board.keep_to(window, FAR_MM)
    hours = draw_patches(board, view, patches)
    draw_walls(board, view, room)
    if dimensions:
        draw_dimensions(board, view, room, openings=working is None)
    if window is None and math.isfinite(size_mm[1]):
        # Whatever is drawn besides takes more paper still, and letters are dear to set.
        box = bounds(board.shapes)
        across, tall = box[2] - box[0], box[3] - box[1]
        if not (stated and legend and width_mm - across - 2.5 * u >= SIDE_LEAST * u):
            tall += 1.0 * u + (its_foot(width_mm).height_mm if stated else 0.0)
        if across > width_mm + 1e-6 or tall + 0.6 * u > size_mm[1]:
            return []
    if working is not None:
        blocks = draw_furniture(board, view, room)
        draw_practicals(board, view, room)
        working.draw(board, view)
        for at, reach, name in blocks:  # last: a stand's own letters come first
            board.label(at, reach, name, allowed=view.outline, most_mm=12 * hand.text_mm)
    else:
        draw_things(board, view, room, marks, placements, hours)
    board.shapes += board.over
    if window is not None:
        board.shapes = within([*board.shapes, *cut_lines(board, view, window)], window)
        board.note(said("drawing.part"))
    box = bounds(board.shapes)
    if sun and toward is not None and north is not None and north.true:
        plan_box = box_of(view.outline)
        centre = ((plan_box[0] + plan_box[2]) / 2, (plan_box[1] + plan_box[3]) / 2)
        inner: Box = (box[0] - 1.5 * u, box[1] - 1.5 * u, box[2] + 1.5 * u, box[3] + 1.5 * u)
        draw_rim(board, inner, centre, toward, sun)
        box = bounds(board.shapes)
    elif sun:
        board.note(said("drawing.no_sun"))
    if box[2] - box[0] > width_mm + 1e-6:
        return []
    if board.dropped:
        board.note(said("drawing.not_lettered", what=names(board.dropped, "list")))
    for note in unplaced(room) if working is None else []:
        board.note(note)
    if working is None and not outdoors and room.height_m is None:
        board.note(said("drawing.room_height_unknown"))

    below = its_foot(width_mm)
    sheets = [
        (
            _stacked(hand, board.shapes, box, below, width_mm, title, words, view.scale),
            below.height_mm,
        )
    ]
    side_mm = width_mm - (box[2] - box[0]) - 2.5 * u
    if stated and legend and side_mm >= SIDE_LEAST * u:
        sheets.append(
            (
                _side_by_side(
                    hand,
                    board.shapes,
                    box,
                    its_foot(side_mm),
                    side_mm,
                    width_mm,
                    title,
                    words,
                    view.scale,
                ),
                0.0,
            )
        )
    return sheets


def _stacked(
    hand: Hand,
    shapes: Sequence[Shape],
    box: Box,
    below: Foot,
    width_mm: float,
    title: str,
    words: str,
    scale: float | None,
) -> Drawing:
    u, edge = hand.text_mm, 0.3 * hand.text_mm
    lift = below.height_mm + 1.0 * u
    dx = (width_mm - (box[2] - box[0])) / 2 - box[0]
    dy = lift - box[1] + edge
    placed = [moved(shape, dx, dy) for shape in shapes] + [
        moved(shape, 0.0, below.height_mm + edge) for shape in below.shapes
    ]
    return Drawing(
        width_mm, lift + (box[3] - box[1]) + 2 * edge, tuple(placed), title, words, scale
    )


def _side_by_side(
    hand: Hand,
    shapes: Sequence[Shape],
    box: Box,
    beside: Foot,
    side_mm: float,
    width_mm: float,
    title: str,
    words: str,
    scale: float | None,
) -> Drawing:
    """The foot as a column right of the plan, both from the top of the sheet, as a title block
    stands on a landscape sheet.
    """
    edge = 0.3 * hand.text_mm
    height = max(box[3] - box[1], beside.height_mm) + 2 * edge
    placed = [moved(shape, -box[0], height - edge - box[3]) for shape in shapes]
    placed += [moved(shape, width_mm - side_mm, height - edge) for shape in beside.shapes]
    return Drawing(width_mm, height, tuple(placed), title, words, scale)


def _needle(view: View, north: North | None) -> tuple[Needle, Point | None]:
    if north is None:
        return Needle(None, False, ""), None
    x, y = north_in_plan(view.corners_m, wall_number(north.wall), north.bearing_deg)
    return Needle(math.degrees(math.atan2(y, x)), north.true, north.words), (float(x), float(y))


def _place(room: RoomRecord, location: SheetLocation | None) -> str:
    place = location.name if location is not None else None
    return " · ".join(filter(None, (place, storey(room.storey))))


def _not_measured(
    hand: Hand,
    room: RoomRecord,
    location: SheetLocation | None,
    north: North | None,
    size_mm: tuple[float, float],
    title: str,
    words: str,
) -> Drawing:
    """A ruled box in the plan's place that says what to measure."""
    u, width_mm = hand.text_mm, size_mm[0]
    height_mm = min(18 * u, size_mm[1])
    box = rectangle(0.0, 0.0, width_mm, height_mm)
    middle = (width_mm / 2, height_mm / 2)
    missing = words_of("fact", [key for key in ("width_m", "length_m") if not getattr(room, key)])
    shapes: list[Shape] = [
        Polygon(box, hand.pen("thin")),
        hand.centred(
            (middle[0], middle[1] + 1.2 * u),
            said("value.unmeasured"),
            size=1.6,
            bold=True,
            most_mm=width_mm - 2 * u,
        ),
        hand.centred(
            (middle[0], middle[1] - 1.4 * u),
            said("drawing.measure", facts=missing),
            size=0.95,
            most_mm=width_mm - 2 * u,
        ),
    ]
    y = -2.2 * u
    shapes.append(
        hand.write((0.0, y), room_name(room.name), size=1.25, bold=True, most_mm=width_mm)
    )
    place = _place(room, location)
    lines: list[Words] = [place] if place else []
    if north is not None:
        lines.append(north.looks)
    recorded: list[Window | Door] = [*(room.windows or ()), *(room.doors or ())]
    openings = tuple(
        said("drawing.on_wall", opening=Name(one.id), wall=Word("surface", one.wall))
        for one in recorded
    )
    if openings:
        lines.append(said("drawing.recorded", openings=Many(openings, "list")))
    for line in lines:
        y -= 1.5 * u
        shapes.append(hand.write((0.0, y), line, size=0.9, most_mm=width_mm))
    edge = 0.3 * u
    lift = -y + 0.6 * u
    return Drawing(
        width_mm,
        height_mm + lift + edge,
        tuple(moved(shape, 0.0, lift) for shape in shapes),
        title,
        words,
    )
