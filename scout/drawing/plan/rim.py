"""The rim round a plan: a frame divided by bearing like a chart's, with north, and the sun where it
stands at the hours of a day.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from scout.assess.daylight.place.where import WallFacings
from scout.drawing import pictograms
from scout.drawing.board import Board
from scout.drawing.plan.walls import bearing_on_paper
from scout.drawing.shapes import Box, Circle, Line, Point, Polygon, rectangle
from scout.records.sheet import RoomRecord
from scout.values import Figure, Name, Said, Word, said
from scout.words.figures import Words

CARDINALS = {0: "N", 90: "E", 180: "S", 270: "W"}


@dataclass(frozen=True)
class SunBearing:
    """The sun's direction at one time: `label` is the time as written on the rim; azimuth clockwise
    from true north.
    """

    label: str
    azimuth_deg: float
    kind: Literal["hour", "sunrise", "sunset"] = "hour"

    @property
    def words(self) -> Said:
        """`sunrise 04:42`, or the hour alone."""
        event = None if self.kind == "hour" else Word("event", self.kind)
        return said("drawing.sun_event", event=event, at=Name(self.label))

    @property
    def stands(self) -> Said:
        """The same with its bearing."""
        bearing = Figure(self.azimuth_deg, "deg")
        return said("drawing.sun_stands", what=self.words, bearing=bearing)


@dataclass(frozen=True)
class North:
    """The bearing seen looking out squarely through one wall, and whether it is from true north or
    still magnetic.
    """

    wall: str
    bearing_deg: float
    true: bool
    accuracy_deg: float | None = None

    @property
    def words(self) -> Said:
        """Which north, and how surely."""
        doubt = None if self.accuracy_deg is None else Figure(self.accuracy_deg, "deg")
        if self.true:
            return said("drawing.true_north", doubt=doubt)
        return said("drawing.read_north", doubt=doubt)

    @property
    def looks(self) -> Said:
        """Which way one looks out of the wall."""
        wall, bearing = Word("surface", self.wall), Figure(self.bearing_deg, "deg")
        if self.true:
            return said("drawing.looks_true", wall=wall, bearing=bearing)
        return said("drawing.looks_read", wall=wall, bearing=bearing)


def north_of(room: RoomRecord, facings: WallFacings | None = None) -> North | None:
    """North corrected by the walls' true bearings, None where these are unknown; without them as it
    was read: a bearing that names no north, or magnetic north, is then not called true.
    """
    facing = room.facing
    if facing is None:
        return None
    if facings is None:
        return North(facing.wall, facing.bearing_deg, facing.north == "true", facing.accuracy_deg)
    bearing_deg = facings.true_deg.get(facing.wall)
    if bearing_deg is None:
        return None
    return North(facing.wall, bearing_deg, facing.north is not None, facings.doubt_deg)


def draw_rim(
    board: Board, inner: Box, centre: Point, north: Point, sun: Sequence[SunBearing]
) -> None:
    """A double frame just outside `inner`; `north` is the unit vector to true north on the paper.
    All bearings are seen from the centre.
    """
    hand, u = board.hand, board.hand.text_mm
    gap = 0.55 * u
    outer: Box = (inner[0] - gap, inner[1] - gap, inner[2] + gap, inner[3] + gap)
    board.add(
        Polygon(rectangle(*inner), hand.pen("hair")),
        Polygon(rectangle(*outer), hand.pen("thin")),
        symbol="rim",
    )
    for bearing in range(0, 360, 10):
        a, _ = meets(inner, centre, bearing_on_paper(north, bearing))
        b, _ = meets(outer, centre, bearing_on_paper(north, bearing))
        board.add(Line(a, b, hand.pen("medium" if bearing % 90 == 0 else "hair")))
    _suns(board, outer, centre, north, sun)
    for bearing, letter in CARDINALS.items():
        _beyond(board, outer, centre, bearing_on_paper(north, bearing), [letter], bold=True)
    for bearing in range(30, 360, 30):
        if bearing not in CARDINALS:
            _beyond(
                board,
                outer,
                centre,
                bearing_on_paper(north, bearing),
                [f"{bearing:03d}°"],
                size=0.9,
            )


def meets(box: Box, centre: Point, way: Point) -> tuple[Point, Point]:
    """Where a ray from the centre leaves a box, and the outward normal of the side it crosses."""
    best = math.inf
    normal: Point = (0.0, 1.0)
    for axis, low, high in ((0, box[0], box[2]), (1, box[1], box[3])):
        if abs(way[axis]) > 1e-12:
            reach = ((high if way[axis] > 0 else low) - centre[axis]) / way[axis]
            if reach < best:
                best, sign = reach, math.copysign(1.0, way[axis])
                normal = (sign, 0.0) if axis == 0 else (0.0, sign)
    return (centre[0] + best * way[0], centre[1] + best * way[1]), normal


def _beyond(
    board: Board,
    outer: Box,
    centre: Point,
    way: Point,
    wordings: Sequence[Words],
    *,
    size: float = 0.9,
    bold: bool = False,
    out: float = 0.75,
) -> bool:
    """Letters just outside the frame, in line with a bearing; turned to read from the right on its
    sides. True when set.
    """
    hand, u = board.hand, board.hand.text_mm
    (x, y), normal = meets(outer, centre, way)
    spot = (x + normal[0] * out * u, y + normal[1] * out * u)
    for words in wordings:
        angle = 90.0 if normal[0] and hand.width(words, size) > 1.3 * u else 0.0
        choices = []
        for slide in (0.0, 0.6, -0.6, 1.2, -1.2):
            at = (spot[0] + abs(normal[1]) * slide * u, spot[1] + abs(normal[0]) * slide * u)
            if (
                abs(slide) < 0.1
                or (outer[0] <= at[0] <= outer[2] and abs(normal[1]) > 0)
                or (outer[1] <= at[1] <= outer[3] and abs(normal[0]) > 0)
            ):
                choices.append(hand.centred(at, words, size=size, angle_deg=angle, bold=bold))
        if board.place(choices, pad=0.05):
            return True
    return False


def _suns(board: Board, outer: Box, centre: Point, north: Point, sun: Sequence[SunBearing]) -> None:
    hand, u = board.hand, board.hand.text_mm
    for event in (s for s in sun if s.kind != "hour"):
        way = bearing_on_paper(north, event.azimuth_deg)
        at, normal = meets(outer, centre, way)
        board.group(
            pictograms.sun(hand, at, 0.75 * u, half=math.degrees(math.atan2(normal[1], normal[0]))),
            event.kind,
            event.stands,
            "sun_edge",
        )
        board.take_round(at, 0.4 * u)
        _ray(board, at, centre)
        if not _beyond(board, outer, centre, way, [event.words, event.label], out=1.25):
            board.note(event.stands)
    run: list[SunBearing] = []
    for hour in [*(s for s in sun if s.kind == "hour"), None]:
        if hour is not None:
            at, _ = meets(outer, centre, bearing_on_paper(north, hour.azimuth_deg))
            spot = Circle(at, 0.42 * u, hand.pen("fine", "rust"), "rust")
            board.group(
                (spot,),
                f"sun-{hour.label}",
                said("drawing.sun_at", what=hour.stands),
                "sun_hour",
            )
            _ray(board, at, centre)
            first = (
                meets(outer, centre, bearing_on_paper(north, run[0].azimuth_deg))[0] if run else at
            )
            if math.dist(first, at) < 1.6 * u:
                run.append(hour)
                continue
        if run:
            words = run[0].label if len(run) == 1 else f"{run[0].label}–{run[-1].label}"
            middle = run[len(run) // 2].azimuth_deg
            if not _beyond(board, outer, centre, bearing_on_paper(north, middle), [words], out=1.1):
                stands = said("drawing.sun_stands", what=Name(words), bearing=Figure(middle, "deg"))
                board.note(said("drawing.sun_at", what=stands))
        run = [hour] if hour is not None else []


def _ray(board: Board, at: Point, centre: Point) -> None:
    """A short stroke inwards from the rim, the way the sun shines."""
    u = board.hand.text_mm
    length = math.dist(at, centre)
    if length > 4 * u:
        dx, dy = (centre[0] - at[0]) / length, (centre[1] - at[1]) / length
        board.add(
            Line(
                (at[0] + dx * 0.8 * u, at[1] + dy * 0.8 * u),
                (at[0] + dx * 1.7 * u, at[1] + dy * 1.7 * u),
                board.hand.pen("fine", "rust"),
            )
        )
