"""Dimensions on witness lines outside the plan: a chain of openings next to the wall, the whole
wall beyond it, and its letter.
"""

from __future__ import annotations

import math

from scout.calc.geometry import Wall
from scout.drawing.board import Board
from scout.drawing.pictograms import lettered_circle
from scout.drawing.plan.letters import RADIUS, place_letter, stands_at
from scout.drawing.plan.walls import View, called, lies_over, placed_openings
from scout.drawing.shapes import Line, Point, Shape, turned
from scout.records.sheet import Door, RoomRecord, Window
from scout.values import Figure, Name, Said, Word, said
from scout.words.figures import Words


def draw_dimensions(board: Board, view: View, room: RoomRecord, *, openings: bool = True) -> None:
    """Every wall lettered; each length given once (a rectangle's opposite walls are equal).

    openings: also the chain of windows and doors; a working plan names them alone
    """
    given: list[tuple[float, float]] = []
    apart: list[
        tuple[Words, Wall, float, float]
    ] = []  # names set last, so that they never stand in the way of a dimension
    rectangle = _is_rectangle(view)
    for wall in view.walls:
        stretch = view.stretch_m(wall)
        if stretch is None:
            continue
        distance = (
            0.0 if room.setting == "exterior" else view.thickness_mm
        ) + 1.9 * board.hand.text_mm
        if not openings and placed_openings(room, wall):
            distance += (
                1.5 * board.hand.text_mm
            )  # their names stand between the wall and its length
            apart += [
                (called(room, opening), wall, (start + end) / 2, 0.4 * board.hand.text_mm)
                for opening, start, end in placed_openings(room, wall)
                if stretch[0] <= (start + end) / 2 <= stretch[1]
            ]
        elif openings and _chain(board, view, room, wall, distance, apart):
            distance += 2.3 * board.hand.text_mm
        level = abs(float(wall.along[0]))
        again = rectangle and any(
            math.isclose(wall.length_m, length, rel_tol=1e-6) and abs(level - other) < 1e-6
            for length, other in given
        )
        given.append((wall.length_m, level))
        _whole(board, view, room, wall, distance, with_length=not again)
    for name, wall, middle_m, distance in apart:
        _name_apart(board, view, wall, name, middle_m, distance)


def _is_rectangle(view: View) -> bool:
    found = view.walls
    return len(found) == 4 and all(
        abs(float(a.along @ b.along)) < 1e-6
        for a, b in zip(found, (*found[1:], found[0]), strict=True)
    )


def reading_angle_deg(wall: Wall) -> float:
    """The angle of letters along a wall, so that they read from the foot or the right of the sheet."""
    angle = math.degrees(math.atan2(wall.along[1], wall.along[0]))
    while angle > 90.0 + 1e-6:
        angle -= 180.0
    while angle <= -90.0 + 1e-6:
        angle += 180.0
    return angle


def _witnessed(
    board: Board,
    view: View,
    wall: Wall,
    offsets_m: list[float],
    distance: float,
    gap_mm: float = 0.0,
) -> list[Shape]:
    """The dimension line with witness lines and slashes at the offsets, broken in its middle by
    gap_mm for what is written there.
    """
    hand, u = board.hand, board.hand.text_mm
    hair, tick = hand.pen("hair"), hand.pen("medium")
    middle_m, half_m = (offsets_m[0] + offsets_m[-1]) / 2, gap_mm / 2 / view.mm_per_m
    shapes: list[Shape] = [
        Line(
            view.on_wall(wall, offsets_m[0], distance),
            view.on_wall(wall, middle_m - half_m, distance),
            hair,
        ),
        Line(
            view.on_wall(wall, middle_m + half_m, distance),
            view.on_wall(wall, offsets_m[-1], distance),
            hair,
        ),
    ]
    slash_deg = math.degrees(math.atan2(wall.along[1], wall.along[0])) + 45.0
    for offset in offsets_m:
        if (offset == 0.0 and _into_corner(view, wall, 0)) or (
            offset == wall.length_m and _into_corner(view, wall, 1)
        ):
            continue  # the next wall stands there and is its own witness
        near, far = (
            view.on_wall(wall, offset, view.thickness_mm + 0.5 * u),
            view.on_wall(wall, offset, distance + 0.5 * u),
        )
        shapes.append(Line(near, far, hair))
        x, y = view.on_wall(wall, offset, distance)
        dx, dy = turned((0.38 * u, 0.0), slash_deg)
        shapes.append(Line((x - dx, y - dy), (x + dx, y + dy), tick))
    return shapes


def _into_corner(view: View, wall: Wall, end: int) -> bool:
    """Whether the wall at the left (0) or right (1) end turns outwards, so that it stands where a
    witness line would.
    """
    before, after = (
        (_neighbour(view, wall, 0), wall) if end == 0 else (wall, _neighbour(view, wall, 1))
    )
    return float(before.along[0] * after.along[1] - before.along[1] * after.along[0]) > 1e-9


def _neighbour(view: View, wall: Wall, end: int) -> Wall:
    """The wall at the left (0) or right (1) end of a wall."""
    found = view.walls
    i = next(k for k, other in enumerate(found) if other.letter == wall.letter)
    return found[(i + (1 if end else -1)) % len(found)]


def _chain(
    board: Board,
    view: View,
    room: RoomRecord,
    wall: Wall,
    distance: float,
    apart: list[tuple[Words, Wall, float, float]],
) -> bool:
    """The openings of a wall one after another; True when a chain was drawn."""
    hand, u = board.hand, board.hand.text_mm
    placed = placed_openings(room, wall)
    if not placed:
        return False
    chain: list[tuple[str, float, float]] = []
    at = 0.0
    # over or under another opening: named, not dimensioned
    beside: list[tuple[Window | Door, float, float]] = []
    for opening, start, end in placed:
        if start < at - 1e-6:
            beside.append((opening, start, end))
            continue
        if start > at + 0.005:
            chain.append(("", at, start))
        chain.append((opening.id, start, end))
        at = end
    if at < wall.length_m - 0.005:
        chain.append(("", at, wall.length_m))
    offsets = [chain[0][1], *(end for _, _, end in chain)]
    if not _clear(board, view, room, wall, offsets[0], offsets[-1], distance):
        beside, chain = list(placed), []
    else:
        board.add(*_witnessed(board, view, wall, offsets, distance))
        board.take(
            (view.on_wall(wall, offsets[0], distance), view.on_wall(wall, offsets[-1], distance))
        )
    angle = reading_angle_deg(wall)
    for name, start, end in chain:
        length = hand.length(end - start, unit=False)
        room_mm = (end - start) * view.mm_per_m - 0.5 * u
        wordings = [f"{name} {length}".strip(), *([name] if name else [])]
        spot = view.on_wall(wall, (start + end) / 2, distance + 0.72 * u)
        fitting = [words for words in wordings if hand.width(words, 0.9) <= room_mm]
        set_as = board.place(
            [
                hand.centred(spot, words, size=0.9, angle_deg=angle, bold=words == name)
                for words in fitting
            ],
            pad=0.06,
        )
        if name and set_as is None:
            apart.append((Name(name), wall, (start + end) / 2, distance))
        if name and (set_as is None or set_as.text == name):
            board.note(_opening(name, start, end, wall))
    for opening, start, end in beside:
        apart.append((called(room, opening), wall, (start + end) / 2, distance))
        board.note(_opening(opening.id, start, end, wall, lies_over(room, opening)))
    return bool(chain)


def _opening(
    name: str, start: float, end: float, wall: Wall, lower: Window | Door | None = None
) -> Said:
    return said(
        "drawing.opening",
        opening=Name(name),
        over=None if lower is None else Name(lower.id),
        width=Figure(end - start, "m"),
        offset=Figure(start, "m"),
        wall=Word("surface", wall.letter),
    )


def _name_apart(
    board: Board, view: View, wall: Wall, name: Words, middle_m: float, distance: float
) -> None:
    """An opening's name where the chain has no room for it: before the wall, or behind the chain."""
    hand, u = board.hand, board.hand.text_mm
    outs = (
        (-0.9 * u, distance + 0.75 * u, -2.0 * u)
        if distance > u
        else (distance + 1.1 * u, -0.9 * u, distance + 2.2 * u)
    )
    spots = [
        view.on_wall(wall, middle_m + shift * u / view.mm_per_m, out)
        for out in outs
        for shift in (0.0, 1.0, -1.0, 2.0, -2.0)
    ]
    if (
        board.place([hand.centred(spot, name, size=0.9, bold=True, backed=True) for spot in spots])
        is None
    ):
        board.dropped.append(hand.say(name))


def _clear(
    board: Board,
    view: View,
    room: RoomRecord,
    wall: Wall,
    start_m: float,
    end_m: float,
    distance: float,
) -> bool:
    """Whether a dimension line with its letters stands free of walls and of other dimensions, and
    ends on no neighbour's opening.
    """
    u = board.hand.text_mm
    inset = 0.02 * (end_m - start_m)
    low, high = distance - 0.4 * u, distance + 1.1 * u
    a, b = start_m + inset, end_m - inset
    for end in (0, 1):
        if _into_corner(
            view, wall, end
        ):  # the line runs up to the neighbour's face, through its thickness
            neighbour = _neighbour(view, wall, end)
            along = (
                neighbour.length_m - distance / view.mm_per_m
                if end == 0
                else distance / view.mm_per_m
            )
            if any(first <= along <= last for _, first, last in placed_openings(room, neighbour)):
                return False
            a, b = (
                (max(a, 1.05 * view.thickness_mm / view.mm_per_m), b)
                if end == 0
                else (a, min(b, wall.length_m - 1.05 * view.thickness_mm / view.mm_per_m))
            )
    if b <= a:
        return False
    strip = (
        view.on_wall(wall, a, low),
        view.on_wall(wall, b, low),
        view.on_wall(wall, b, high),
        view.on_wall(wall, a, high),
    )
    return bool(board.free([strip])[0])


def _whole(
    board: Board, view: View, room: RoomRecord, wall: Wall, distance: float, *, with_length: bool
) -> None:
    """The wall's whole length with its letter; the letter always finds a place, the length goes to
    the notes when it has none.
    """
    hand, u = board.hand, board.hand.text_mm
    length_mm = wall.length_m * view.mm_per_m
    length = Figure(wall.length_m, "m")
    words = hand.length(wall.length_m)
    radius, gap = RADIUS * u, 0.4 * u
    breadth = 2 * radius + gap + hand.width(words, 0.95)
    angle = reading_angle_deg(wall)
    middle = view.on_wall(wall, wall.length_m / 2, distance)
    along = turned((1.0, 0.0), angle)
    circle: Point = (
        middle[0] - along[0] * (breadth / 2 - radius),
        middle[1] - along[1] * (breadth / 2 - radius),
    )
    if (
        with_length
        and view.stretch_m(wall) == (0.0, wall.length_m)
        and length_mm >= breadth + 2 * u
        and stands_at(view, wall, circle)
        and _clear(board, view, room, wall, 0.0, wall.length_m, distance)
    ):
        shift = breadth / 2 - hand.width(words, 0.95) / 2
        text_at: Point = (middle[0] + along[0] * shift, middle[1] + along[1] * shift)
        text = hand.centred(text_at, words, size=0.95, angle_deg=angle)
        board.group(
            (
                *_witnessed(board, view, wall, [0.0, wall.length_m], distance, breadth + 0.4 * u),
                text,
                *lettered_circle(hand, circle, wall.letter),
            ),
            f"letter-{wall.letter}",
            said("drawing.wall_long", wall=Word("surface", wall.letter), length=length),
            "letter",
        )
        board.take((view.on_wall(wall, 0.0, distance), view.on_wall(wall, wall.length_m, distance)))
        board.take(text.corners(0.2 * u))
        board.take_round(circle, radius)
        return
    placed = place_letter(board, view, wall, distance)
    letter = placed.at
    board.group(
        (*placed.leader(board), *lettered_circle(hand, letter, wall.letter)),
        f"letter-{wall.letter}",
        said("drawing.wall_long", wall=Word("surface", wall.letter), length=length),
        "letter",
    )
    board.take_round(letter, radius)
    if with_length:
        x, y = letter
        half = 0.36 * 0.9 * u
        size = 0.9
        choices = [
            hand.write((x + radius + gap, y - half), words, size=size),
            hand.write((x - radius - gap, y - half), words, size=size, anchor="end"),
            hand.write((x, y + radius + gap), words, size=size, anchor="middle"),
            hand.write((x, y - radius - gap - 2 * half), words, size=size, anchor="middle"),
        ]
        if board.place(choices) is None:
            board.note(said("drawing.wall_long", wall=Word("surface", wall.letter), length=length))
