"""What stands in a room's plan: furniture, outlets, practicals, the subject, the camera, the walk,
the lights, and the sun on floor and walls.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from scout.assess.answers import Placement, SunPatchAnswer
from scout.calc.geometry import WALL_LETTERS, signed_area_m2
from scout.drawing import pictograms
from scout.drawing.board import Board, in_polygon
from scout.drawing.lettering import tidy
from scout.drawing.pictograms import block_shapes
from scout.drawing.plan.walls import View
from scout.drawing.shapes import Hatch, Line, Point, Polygon, box_of
from scout.records.sheet import Furniture, Marks, Outlet, RoomRecord
from scout.values import Figure, Name, Said, Word, said
from scout.words.figures import Words

HATCH_ANGLES_DEG = (
    45.0,
    135.0,
    20.0,
    110.0,
    70.0,
    160.0,
)  # one hour's patches are told from the next hour's


@dataclass(frozen=True)
class PatchHour:
    """Where the sun falls at one time; `label` is the hour as written in the patch."""

    label: str
    windows: tuple[SunPatchAnswer, ...]


def lit_thing(surface: str) -> Word | Name:
    """A surface or a piece of furniture that the sun falls on."""
    known = surface in {"floor", "ceiling", *WALL_LETTERS}
    return Word("surface", surface) if known else Name(surface)


def draw_patches(
    board: Board, view: View, hours: Sequence[PatchHour]
) -> list[tuple[str, tuple[Point, ...]]]:
    """Sun on the floor hatched, and on the walls as a hatched strip along their face; returns the
    hours still to be written, with their patch.
    """
    hand, u = board.hand, board.hand.text_mm
    letters = {wall.letter: wall for wall in view.walls}
    labels: list[tuple[str, tuple[Point, ...]]] = []
    for k, hour in enumerate(hours):
        angle = HATCH_ANGLES_DEG[k % len(HATCH_ANGLES_DEG)]
        floors: list[tuple[float, tuple[Point, ...]]] = []
        for patch in (patch for window in hour.windows for patch in window.patches):
            if (
                patch.surface == "floor" and len(patch.polygon_m) >= 3
            ):  # pieces hide their tops' own
                points = tuple(view.paper(x, y) for x, y, _ in patch.polygon_m)
                board.group(
                    (
                        Hatch(points, angle, 0.42 * u, hand.pen("fine", "rust")),
                        Polygon(points, hand.pen("fine", "rust")),
                    ),
                    f"sun-{hour.label}",
                    said("drawing.sun_on", on=Word("surface", "floor"), at=Name(hour.label)),
                    "sun_floor",
                )
                floors.append((abs(signed_area_m2(points)), points))
            elif patch.surface in letters and len(patch.polygon_m) >= 3:
                wall = letters[patch.surface]
                along = [
                    float(
                        (x - wall.start_m[0]) * wall.along[0]
                        + (y - wall.start_m[1]) * wall.along[1]
                    )
                    for x, y, _ in patch.polygon_m
                ]
                low, high = max(0.0, min(along)), min(wall.length_m, max(along))
                if high > low:
                    strip = (
                        view.on_wall(wall, low),
                        view.on_wall(wall, high),
                        view.on_wall(wall, high, -0.6 * u),
                        view.on_wall(wall, low, -0.6 * u),
                    )
                    board.group(
                        (
                            Polygon(strip, hand.pen("fine", "rust")),
                            Hatch(strip, angle + 45.0, 0.3 * u, hand.pen("fine", "rust")),
                        ),
                        f"sun-{hour.label}-{wall.letter}",
                        said(
                            "drawing.sun_on",
                            on=Word("surface", wall.letter),
                            at=Name(hour.label),
                        ),
                        "sun_wall",
                    )
        if floors:
            labels.append((hour.label, max(floors)[1]))
    return labels


def label_patches(board: Board, labels: Sequence[tuple[str, tuple[Point, ...]]]) -> None:
    """The hour in each patch, or beside one too small for it; after the symbols, which must not be
    covered.
    """
    hand, u = board.hand, board.hand.text_mm
    for label, points in labels:
        (x, y), box = _middle(points), box_of(points)
        half_mm = hand.width(label, 0.9, bold=True) / 2
        around = [
            (x + dx, y + dy)
            for dx, dy in (
                (0.0, 0.0),
                (1.5 * u, 0.0),
                (-1.5 * u, 0.0),
                (0.0, 1.5 * u),
                (0.0, -1.5 * u),
            )
        ]
        beside = [
            (x, box[1] - 0.8 * u),
            (x, box[3] + 0.8 * u),
            (box[2] + half_mm + 0.5 * u, y),
            (box[0] - half_mm - 0.5 * u, y),
        ]
        choices = [
            hand.centred(spot, label, size=0.9, ink="rust", bold=True, backed=True)
            for spot in (*around, *beside)
        ]
        within = [
            text
            for text in choices[: len(around)]
            if all(in_polygon(points, corner) for corner in text.corners(0.1 * u))
        ]
        if (
            board.place([*within, *choices[len(around) :], *choices[: len(around)]], over=True)
            is None
        ):
            board.note(said("drawing.patch_unnamed", at=Name(label)))


def _middle(points: Sequence[Point]) -> Point:
    """Centroid of a polygon's area; of its corners when it has none."""
    total = x = y = 0.0
    for (x1, y1), (x2, y2) in zip(points, [*points[1:], points[0]], strict=True):
        cross = x1 * y2 - x2 * y1
        total += cross
        x += (x1 + x2) * cross
        y += (y1 + y2) * cross
    if abs(total) < 1e-6:
        return sum(p[0] for p in points) / len(points), sum(p[1] for p in points) / len(points)
    return x / (3 * total), y / (3 * total)


def draw_things(
    board: Board,
    view: View,
    room: RoomRecord,
    marks: Marks | None,
    placements: Iterable[Placement],
    hours: Sequence[tuple[str, tuple[Point, ...]]] = (),
) -> None:
    """Symbols first, then their letters, so that no name is set where a later symbol comes."""
    size = 0.95 * board.hand.text_mm
    names: list[tuple[Point, float, Words]] = []
    names += draw_furniture(board, view, room)
    names += _outlets(board, view, room, size)
    names += draw_practicals(board, view, room)
    for placement in placements:
        at = view.paper(*placement.at_m[:2])
        aim = _direction(placement.at_m, placement.aim_m)
        planned = placement.source != "pinned"
        board.group(
            pictograms.light(board.hand, at, 1.15 * size, aim, planned=planned),
            f"light-{placement.light}",
            said(
                "drawing.light",
                light=Name(tidy(placement.light)),
                source=Word("source", placement.source),
            ),
            "light_planned" if planned else "light",
        )
        names.append((at, 1.15 * size, placement.light))
    names += _marks(board, view, marks, size)
    for at, reach, _ in names:
        board.take_round(at, reach)
    label_patches(board, hours)
    limit = max(12 * board.hand.text_mm, 1.0)
    circuits: dict[Words, Outlet] = {outlet_words(one): one for one in room.outlets or ()}
    for at, reach, name in names:
        if board.label(at, reach, name, allowed=view.outline, most_mm=limit) is not None:
            continue
        outlet = circuits.get(name)
        if (
            outlet is not None
            and board.label(at, reach, outlet.id, size=0.9, allowed=view.outline, most_mm=limit)
            is not None
        ):
            circuit = Name(outlet.circuit) if outlet.circuit else None
            if circuit is None:
                board.note(said("drawing.circuit_not_known", outlet=Name(outlet.id)))
            else:
                board.note(said("drawing.circuit_of", outlet=Name(outlet.id), circuit=circuit))
        elif not isinstance(name, Word):  # the legend names camera and subject
            board.dropped.append(tidy(board.hand.say(name)))


def draw_furniture(board: Board, view: View, room: RoomRecord) -> list[tuple[Point, float, Words]]:
    """Blocks on the floor by a hairline crossed from corner to corner; the name stands on the
    block, or beside it where that is taken.
    """
    hand = board.hand
    names: list[tuple[Point, float, Words]] = []
    for block in room.furniture or ():
        if block.corners_m is None or block.at_m is None:
            continue
        points = tuple(view.paper(x, y) for x, y in block.corners_m)
        board.group(
            block_shapes(hand, points),
            f"furniture-{block.id}",
            said("drawing.block", block=Name(block.id), high=high_words(block)),
            "furniture",
        )
        names.append((view.paper(*block.at_m), 0.0, block.id))
    return names


def high_words(block: Furniture) -> Said:
    """`0.75 m high`."""
    if block.height_m is None:
        return said("drawing.height_unknown")
    return said("drawing.high", height=Figure(block.height_m, "m"))


def draw_practicals(board: Board, view: View, room: RoomRecord) -> list[tuple[Point, float, Words]]:
    """The room's own lamps; returns their names to be set, which a working plan leaves out."""
    size = 0.95 * board.hand.text_mm
    names: list[tuple[Point, float, Words]] = []
    for lamp in room.practicals or ():
        if lamp.at_m is not None:
            at = view.paper(*lamp.at_m[:2])
            board.group(
                pictograms.practical(board.hand, at, size),
                f"practical-{lamp.id}",
                said("drawing.practical", lamp=Name(lamp.id)),
                "practical",
            )
            board.take_round(at, size * 0.8)
            names.append((at, size * 0.8, lamp.id))
    return names


def _outlets(
    board: Board, view: View, room: RoomRecord, size: float
) -> list[tuple[Point, float, Words]]:
    letters = {wall.letter: wall for wall in view.walls}
    names: list[tuple[Point, float, Words]] = []
    for outlet in room.outlets or ():
        wall = letters.get(outlet.wall or "")
        if wall is None or outlet.offset_m is None:
            continue
        foot = view.on_wall(wall, min(outlet.offset_m, wall.length_m))
        into = math.degrees(math.atan2(-wall.outward[1], -wall.outward[0]))
        words = outlet_words(outlet)
        board.group(
            pictograms.outlet(board.hand, foot, size, into),
            f"outlet-{outlet.id}",
            outlet_on(outlet, wall.letter),
            "outlet",
        )
        names.append(
            (
                view.on_wall(wall, min(outlet.offset_m, wall.length_m), -0.55 * size),
                0.65 * size,
                words,
            )
        )
    return names


def outlet_words(outlet: Outlet, full: Figure | None = None) -> Said:
    """An outlet with its circuit; a circuit nobody knows is said to be so."""
    circuit = Name(outlet.circuit) if outlet.circuit else said("drawing.which_circuit")
    return said("drawing.outlet", outlet=Name(outlet.id), circuit=circuit, full=full)


def outlet_on(outlet: Outlet, wall: str) -> Said:
    """An outlet with its circuit and its wall."""
    what = outlet_words(outlet)
    return said("drawing.outlet_on", outlet=what, wall=Word("surface", wall))


def _direction(start: Sequence[float], end: Sequence[float] | None) -> float | None:
    """The angle on the plan from one place to another, or None when they stand over one another or
    one is not known.
    """
    if end is None:
        return None
    dx, dy = end[0] - start[0], end[1] - start[1]
    return math.degrees(math.atan2(dy, dx)) if math.hypot(dx, dy) > 1e-6 else None


def _marks(
    board: Board, view: View, marks: Marks | None, size: float
) -> list[tuple[Point, float, Words]]:
    names: list[tuple[Point, float, Words]] = []
    if marks is None:
        return names
    if marks.path:
        points = tuple(view.paper(x, y) for x, y, _ in marks.path)
        board.group(pictograms.path(board.hand, points), "path", said("drawing.walk"), "path")
        for a, b in pairwise(points):
            board.take((a, b))
    for number, other in enumerate(marks.others or (), start=2):
        at, called = view.paper(*other[:2]), said("drawing.person", n=number)
        looks = _direction(other, marks.subject)
        board.group(pictograms.person(board.hand, at, size, looks), "subject", called, "subject")
        names.append((at, size, called))
    if marks.camera is not None:
        at = view.paper(*marks.camera[:2])
        board.group(
            pictograms.camera(board.hand, at, size, _direction(marks.camera, marks.subject)),
            "camera",
            Word("mark", "camera"),
            "camera",
        )
        names.append((at, size, Word("mark", "camera")))
        if marks.subject is not None:
            board.shapes.append(
                Line(at, view.paper(*marks.subject[:2]), board.hand.pen("hair", dash=(0.2, 0.4)))
            )
    if marks.subject is not None:
        at = view.paper(*marks.subject[:2])
        looks = None
        if marks.subject_normal is not None and math.hypot(*marks.subject_normal[:2]) > 1e-6:
            looks = math.degrees(math.atan2(marks.subject_normal[1], marks.subject_normal[0]))
        elif marks.subject_normal is None:
            looks = _direction(marks.subject, marks.camera)
        subject = Word("mark", "subject")
        board.group(pictograms.person(board.hand, at, size, looks), "subject", subject, "subject")
        names.append((at, size, subject))
    return names
