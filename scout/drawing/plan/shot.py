"""The shot plan: camera and operator's floor, the field of each lens, what of which wall the chosen
lens holds, the subject and the walk.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import ClassVar

from scout.drawing import pictograms
from scout.drawing.board import Board
from scout.drawing.plan.light import draw_people
from scout.drawing.plan.placer import Tag, place_tags
from scout.drawing.plan.tape import TapeLine, draw_tapes, taped
from scout.drawing.plan.walls import View
from scout.drawing.shapes import Hatch, Line, Polygon, Shape
from scout.records.sheet import RoomRecord
from scout.values import Figure, Many, Said, Word, names, said
from scout.words.figures import Words

Place = tuple[float, float, float]


@dataclass(frozen=True)
class WallBand:
    """The stretch of a wall that the chosen lens holds, from its left end as seen from inside."""

    wall: str
    start_m: float
    end_m: float

    @property
    def words(self) -> Said:
        """`wall B from 0.40 m to 3.10 m from its left end`."""
        start, end = (Figure(at, "m") for at in (self.start_m, self.end_m))
        return said("drawing.stretch", wall=Word("surface", self.wall), start=start, end=end)


@dataclass(frozen=True)
class LensField:
    """One lens: where the two edges of its field meet the walls, left and right of the picture."""

    focal_length_mm: float
    ends_m: tuple[tuple[float, float], tuple[float, float]]


@dataclass(frozen=True)
class ShotSheet:
    """What the shot plan shows beyond the room."""

    room: RoomRecord
    camera: Place | None
    subject: Place | None
    facing_deg: float | None
    lenses: tuple[LensField, ...] = ()
    chosen_mm: float | None = None
    bands: tuple[WallBand, ...] = ()
    windows: tuple[str, ...] = ()  # in frame with the chosen lens
    operator_m: tuple[tuple[float, float], ...] = ()  # the floor behind the camera
    path: tuple[Place, ...] = ()
    camera_tapes: tuple[TapeLine, ...] = ()
    subject_tapes: tuple[TapeLine, ...] = ()
    frame_m: tuple[float, float] | None = (
        None  # width and height of the chosen frame at the subject
    )
    remarks: tuple[Words, ...] = ()
    # further people, the second first, each with its tapes
    others: tuple[tuple[Place, tuple[TapeLine, ...]], ...] = ()
    left_m: Place | None = None  # the camera's mark, where the camera is set elsewhere
    held: Said | None = None  # how, where tripod and operator have no floor
    title: ClassVar[Said] = said("drawing.shot_plan")

    def needed_m(self) -> tuple[tuple[float, float], ...]:
        """Where the camera, who holds it, and the subject are, and go."""
        places = (self.camera, self.subject, *self.path)
        return (*(at[:2] for at in places if at is not None), *self.operator_m)

    def draw(self, board: Board, view: View) -> None:
        """Bands and fields under the symbols, the letters last."""
        hand, u = board.hand, board.hand.text_mm
        size = 0.95 * u
        if len(self.operator_m) >= 3:
            points = tuple(view.paper(x, y) for x, y in self.operator_m)
            board.group(
                (Polygon(points, hand.pen("fine", dash=(0.5, 0.35))),),
                "operator",
                said("drawing.operator"),
                "operator",
            )
        self._fields(board, view)
        self._bands(board, view)
        if len(self.path) > 1:
            points = tuple(view.paper(x, y) for x, y, _ in self.path)
            board.group(pictograms.path(hand, points), "path", said("drawing.walk"), "path")
            for k, at in enumerate(points):
                if (
                    self.subject is not None
                    and math.dist(at, view.paper(*self.subject[:2])) < 1.5 * u
                ):
                    board.note(said("drawing.own_mark", n=k + 1))
                    continue
                board.group(
                    pictograms.numbered(hand, at, str(k + 1)),
                    f"mark-{k + 1}",
                    said("drawing.walk_mark", n=k + 1),
                    "walk_mark",
                )
                board.take_round(at, 0.75 * u)
        self.draw_mark(board, view)
        draw_people(board, view, self.subject, self.facing_deg, self.camera, size)
        if self.camera is not None and self.subject is not None:
            self._focus(board, view)
        draw_tapes(board, view, Word("mark", "camera"), self.camera_tapes, 1.1 * size)
        draw_tapes(board, view, Word("mark", "subject"), self.subject_tapes, 1.1 * size)
        tags = []
        for name, place, what in (
            ("camera", self.camera, "drawing.lens_high"),
            ("subject", self.subject, "drawing.eyes_high"),
        ):
            if place is not None:
                high = Said(what, (("height", Figure(place[2], "m")),))
                lines: tuple[Words, ...] = (Word("mark", name), high)
                if name == "camera":
                    lines = (*lines, *self.camera_lines)
                tags.append(Tag(name, view.paper(*place[:2]), size, lines))
        for tag in place_tags(board, tags, (), view.outline):
            board.note(", ".join(board.hand.say(line) for line in tag.lines))
        for remark in self.remarks:
            board.note(remark)

    def draw_mark(self, board: Board, view: View) -> None:
        """The mark that the camera has left."""
        if self.left_m is not None:
            size, at = 0.8 * board.hand.text_mm, view.paper(*self.left_m[:2])
            board.group(
                pictograms.camera_mark(board.hand, at, size),
                "camera-mark",
                said("drawing.camera_left"),
                "camera_mark",
            )
            board.take_round(at, size)

    @property
    def camera_lines(self) -> tuple[Said, ...]:
        """Below the camera's name: how it is held, how far off its mark it stands."""
        return tuple(one for one in (self.held, self.moved) if one is not None)

    @property
    def moved(self) -> Said | None:
        """How far the camera stands from its mark; None where it stands there."""
        if self.left_m is None or self.camera is None:
            return None
        away = Figure(math.dist(self.left_m[:2], self.camera[:2]), "m")
        return said("drawing.off_its_mark", away=away)

    def _focus(self, board: Board, view: View) -> None:
        assert self.camera is not None
        assert self.subject is not None
        hand, u = board.hand, board.hand.text_mm
        a, b = view.paper(*self.camera[:2]), view.paper(*self.subject[:2])
        length = math.dist(a, b)
        if length < 1e-6:
            return
        way = ((b[0] - a[0]) / length, (b[1] - a[1]) / length)
        start, end = (a[0] + way[0] * u, a[1] + way[1] * u), (b[0] - way[0] * u, b[1] - way[1] * u)
        board.add(Line(start, end, hand.pen("fine")), symbol="focus")
        angle = math.degrees(math.atan2(way[1], way[0]))
        reading = (
            angle - 180.0
            if angle > 90.0 + 1e-6
            else angle + 180.0
            if angle <= -90.0 + 1e-6
            else angle
        )
        words = hand.length(math.dist(self.camera, self.subject))
        spots = [
            (start[0] + (end[0] - start[0]) * s, start[1] + (end[1] - start[1]) * s)
            for s in (0.5, 0.35, 0.65)
        ]
        board.place(
            [
                hand.centred(spot, words, size=0.9, angle_deg=reading, backed=True, bold=True)
                for spot in spots
            ],
            over=True,
        )
        board.take((start, end))

    def _fields(self, board: Board, view: View) -> None:
        """The edges of every lens, the chosen one's heavier, its focal length at the wall."""
        if self.camera is None:
            return
        hand, u, start = board.hand, board.hand.text_mm, view.paper(*self.camera[:2])
        names: list[tuple[LensField, bool]] = []
        for lens in self.lenses:
            chosen = lens.focal_length_mm == self.chosen_mm
            pen = (
                hand.pen("thin", "green") if chosen else hand.pen("fine", "green", dash=(1.2, 0.4))
            )
            lines = [Line(start, view.paper(*end), pen) for end in lens.ends_m]
            board.group(
                lines,
                f"field-{lens.focal_length_mm:g}",
                said("drawing.field", lens=Figure(lens.focal_length_mm)),
                "field_chosen" if chosen else "field",
            )
            names.append((lens, chosen))
        for lens, chosen in sorted(names, key=lambda row: not row[1]):
            words, choices = Figure(lens.focal_length_mm), []
            for end in (lens.ends_m[1], lens.ends_m[0]):
                x, y = board.last_shown(start, view.paper(*end))
                length = math.dist(start, (x, y))
                if length > 3 * u:
                    choices += [
                        hand.centred(
                            (
                                x - (x - start[0]) / length * back * u,
                                y - (y - start[1]) / length * back * u,
                            ),
                            words,
                            size=0.9,
                            bold=chosen,
                            backed=True,
                            ink="green",
                        )
                        for back in (1.9, 3.2, 4.6, 6.2, 8.0)
                    ]
            if not board.place(choices, over=True):
                board.note(said("drawing.lens_unnamed", lens=words))
        if self.lenses:
            board.add(symbol="field_name")

    def _bands(self, board: Board, view: View) -> None:
        """A thick hatched band on the inner face of each wall in frame; windows in frame named."""
        hand, u, by_letter = (
            board.hand,
            board.hand.text_mm,
            {wall.letter: wall for wall in view.walls},
        )
        for band in self.bands:
            wall = by_letter.get(band.wall)
            if wall is None or band.end_m - band.start_m < 1e-6:
                continue
            strip = (
                view.on_wall(wall, band.start_m),
                view.on_wall(wall, band.end_m),
                view.on_wall(wall, band.end_m, -0.75 * u),
                view.on_wall(wall, band.start_m, -0.75 * u),
            )
            angle = math.degrees(math.atan2(wall.along[1], wall.along[0])) + 45.0
            shapes: tuple[Shape, ...] = (
                Polygon(strip, hand.pen("medium"), "ground"),
                Hatch(strip, angle, 0.3 * u, hand.pen("thin")),
            )
            board.group(
                shapes,
                f"band-{band.wall}",
                said("drawing.band", what=band.words),
                "band",
            )
            board.take(strip)
        for note in self._in_frame():
            board.note(note)
        if self.windows:
            board.note(said("drawing.windows_in_frame", windows=names(self.windows)))
        elif self.bands and self.room.windows:
            board.note(said("drawing.no_window_in_frame"))
        if self.frame_m is not None and self.chosen_mm is not None:
            width, height = (Figure(side, "m") for side in self.frame_m)
            lens = Figure(self.chosen_mm)
            board.note(said("drawing.frame_at_subject", lens=lens, width=width, height=height))

    def _in_frame(self) -> list[Said]:
        bands = Many(tuple(band.words for band in self.bands))
        lens = None if self.chosen_mm is None else Figure(self.chosen_mm)
        return [said("drawing.in_frame", lens=lens, bands=bands)] if bands.items else []

    def words(self) -> tuple[Words, ...]:
        """The same in words; what is noted beside the drawing is in them too."""
        stands = [
            said("drawing.stands", what=Word("mark", name), tapes=taped(tapes))
            for name, tapes in (("camera", self.camera_tapes), ("subject", self.subject_tapes))
            if tapes
        ]
        moved = () if self.moved is None else (said("drawing.camera_moved", how=self.moved),)
        held = () if self.held is None else (said("drawing.camera_held", how=self.held),)
        return (*self._in_frame(), *stands, *moved, *held, *self.remarks)
