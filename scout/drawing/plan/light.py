"""The light plan: every light by what it does, the way it points, how high and how far down, taped
off the walls, and the shadows it throws.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import ClassVar, Literal

from scout.drawing import pictograms
from scout.drawing.board import Board
from scout.drawing.lettering import tidy
from scout.drawing.plan.placer import Tag, place_tags
from scout.drawing.plan.tape import TapeLine, angle_of, draw_tapes, taped
from scout.drawing.plan.walls import View
from scout.drawing.shapes import Hatch, Line, Point, Polygon, Shape, turned
from scout.values import Figure, Name, Said, Word, said
from scout.words.figures import Words

BEAM_M = 1.2  # how far the edges of a beam are drawn
Place = tuple[float, float, float]


@dataclass(frozen=True)
class LightMark:
    """One light: `role` is key, fill, back, other or bounce (a board)."""

    name: str
    role: str
    at_m: Place
    aim_m: Place | None
    beam_deg: float | None = None
    tapes: tuple[TapeLine, ...] = ()

    @property
    def called(self) -> Name | Said:
        """Its name; a board that stands in for a second light has none."""
        return Name(tidy(self.name)) if self.name else said("drawing.white_board")


@dataclass(frozen=True)
class Throw:
    """A shadow that a light throws of the subject: a patch on the floor, or a stretch of a wall
    with the height it reaches.
    """

    light: str
    of: Literal["subject", "boom"] = "subject"
    floor_m: tuple[tuple[float, float], ...] = ()
    wall: str | None = None
    span_m: tuple[float, float] = (0.0, 0.0)
    top_m: float | None = None
    in_frame: bool = False

    @property
    def words(self) -> Said:
        """`shadow of the subject by key`."""
        return said("drawing.shadow", of=Word("thrower", self.of), light=Name(tidy(self.light)))


@dataclass(frozen=True)
class BoomMark:
    """The microphone on its pole and, where known, the hand that holds it."""

    mic_m: Place
    end_m: Place | None = None


@dataclass(frozen=True)
class LightSheet:
    """What the light plan shows beyond the room."""

    lights: tuple[LightMark, ...]
    subject: Place | None
    facing_deg: float | None
    camera: Place | None
    throws: tuple[Throw, ...] = ()
    boom: BoomMark | None = None
    remarks: tuple[Words, ...] = ()
    title: ClassVar[Said] = said("drawing.light_plan")

    def needed_m(self) -> tuple[Point, ...]:
        """Where lights, people and the microphone are."""
        boom = () if self.boom is None else (self.boom.mic_m,)
        people = tuple(place for place in (self.subject, self.camera) if place is not None)
        return tuple(at[:2] for at in (*(one.at_m for one in self.lights), *people, *boom))

    def draw(self, board: Board, view: View) -> None:
        """Shadows first, then beams, tapes and symbols, and the letters where they leave room."""
        size = 1.15 * board.hand.text_mm
        for throw in self.throws:
            _throw(board, view, throw)
        for light in self.lights:
            _beam(board, view, light)
        if self.boom is not None:
            at = view.paper(*self.boom.mic_m[:2])
            end = view.paper(*self.boom.end_m[:2]) if self.boom.end_m is not None else None
            board.group(
                pictograms.boom(board.hand, at, 0.8 * board.hand.text_mm, end),
                "boom",
                said("drawing.boom"),
                "boom",
            )
            board.take_round(at, 0.5 * board.hand.text_mm)
        spots = [*((view.paper(*light.at_m[:2]), light.at_m) for light in self.lights)]
        draw_people(
            board, view, self.subject, self.facing_deg, self.camera, 0.95 * board.hand.text_mm
        )
        for (at, _), light in zip(spots, self.lights, strict=True):
            board.group(
                pictograms.role_light(
                    board.hand, at, size, angle_of(light.at_m, light.aim_m), light.role
                ),
                f"light-{light.name}",
                said("drawing.of", of=Word("part", light.role), what=light.called),
                f"role_{light.role}",
            )
            board.take_round(at, size)
        for light in self.lights:
            draw_tapes(board, view, light.called, light.tapes, 1.1 * size)
        tags = [
            Tag(light.name or "board", at, size, (light.called, how_it_stands(light)))
            for (at, _), light in zip(spots, self.lights, strict=True)
        ]
        people = [view.paper(*at[:2]) for at in (self.subject, self.camera) if at is not None]
        others = [(at, size) for at in people]
        most = 22 * board.hand.text_mm
        for tag in place_tags(board, tags, others, view.outline, most):
            board.note(", ".join(board.hand.say(line) for line in tag.lines))
        for remark in self.remarks:
            board.note(remark)

    def words(self) -> tuple[Words, ...]:
        """The same in words."""
        stands = [
            said(
                "drawing.light_stands",
                role=Word("part", light.role),
                light=light.called,
                how=how_it_stands(light),
                tapes=taped(light.tapes) if light.tapes else None,
            )
            for light in self.lights
        ]
        falls = [
            said(
                "drawing.shadow_falls",
                shadow=one.words,
                surface=Word("surface", one.wall or "floor"),
            )
            for one in self.throws
        ]
        return (*stands, *falls, *self.remarks)


def how_it_stands(light: LightMark) -> Said:
    """Height and tilt: `2.20 m high, 38° down`."""
    high = Figure(light.at_m[2], "m")
    if light.aim_m is None:
        return said("drawing.no_aim", height=high)
    across = math.dist(light.at_m[:2], light.aim_m[:2])
    tilt = math.degrees(math.atan2(light.at_m[2] - light.aim_m[2], across))
    if abs(tilt) < 0.5:
        return said("drawing.level", height=high)
    steep = Figure(abs(tilt), "deg")
    if tilt > 0:
        return said("drawing.tilted_down", height=high, tilt=steep)
    return said("drawing.tilted_up", height=high, tilt=steep)


def draw_people(
    board: Board,
    view: View,
    subject: Place | None,
    facing_deg: float | None,
    camera: Place | None,
    size: float,
) -> None:
    """Subject and camera; the legend names them."""
    if camera is not None:
        at = view.paper(*camera[:2])
        board.group(
            pictograms.camera(board.hand, at, size, angle_of(camera, subject)),
            "camera",
            Word("mark", "camera"),
            "camera",
        )
        board.take_round(at, size)
    if subject is not None:
        at = view.paper(*subject[:2])
        board.group(
            pictograms.person(board.hand, at, size, facing_deg),
            "subject",
            Word("mark", "subject"),
            "subject",
        )
        board.take_round(at, size)


def _beam(board: Board, view: View, light: LightMark) -> None:
    """The way it points as far as its aim, and the edges of its beam near the head."""
    if light.aim_m is None or (angle := angle_of(light.at_m, light.aim_m)) is None:
        return
    hand, u = board.hand, board.hand.text_mm
    start, end = view.paper(*light.at_m[:2]), view.paper(*light.aim_m[:2])
    length = math.dist(start, end)
    shapes: list[Shape] = [Line(start, end, hand.pen("hair", dash=(0.9, 0.35)))]
    if length > 4 * u:
        tip = (start[0] + (end[0] - start[0]) * 0.6, start[1] + (end[1] - start[1]) * 0.6)
        shapes.append(pictograms.head_of_arrow(hand, tip, angle))
    if light.beam_deg is not None and light.beam_deg < 170.0:
        reach = min(BEAM_M * view.mm_per_m, 0.7 * length)
        for sign in (-1.0, 1.0):
            dx, dy = turned((reach, 0.0), angle + sign * light.beam_deg / 2)
            shapes.append(Line(start, (start[0] + dx, start[1] + dy), hand.pen("fine")))
        board.add(symbol="beam")
    board.group(shapes, f"beam-{light.name}", said("drawing.beam", light=light.called), "aim")


def _throw(board: Board, view: View, throw: Throw) -> None:
    hand, u = board.hand, board.hand.text_mm
    title = throw.words
    if len(throw.floor_m) >= 3:
        points: tuple[Point, ...] = tuple(view.paper(x, y) for x, y in throw.floor_m)
        board.group(
            (Hatch(points, 0.0, 0.5 * u, hand.pen("hair")), Polygon(points, hand.pen("hair"))),
            f"shadow-{throw.light}",
            title,
            "shadow_floor",
        )
    wall = next((wall for wall in view.walls if wall.letter == throw.wall), None)
    if wall is None:
        return
    low, high = max(0.0, throw.span_m[0]), min(wall.length_m, throw.span_m[1])
    if high - low <= 1e-6:
        return
    strip = (
        view.on_wall(wall, low),
        view.on_wall(wall, high),
        view.on_wall(wall, high, -0.7 * u),
        view.on_wall(wall, low, -0.7 * u),
    )
    angle = math.degrees(math.atan2(wall.along[1], wall.along[0]))
    board.group(
        (
            Polygon(strip, hand.pen("fine"), "ground"),
            Hatch(strip, angle + 90.0, 0.28 * u, hand.pen("fine")),
        ),
        f"shadow-{throw.light}-{wall.letter}",
        said("drawing.on_surface", what=title, surface=Word("surface", wall.letter)),
        "shadow_wall",
    )
    board.take(strip)
    if throw.top_m is not None:
        on, top = Word("surface", wall.letter), Figure(throw.top_m, "m")
        if throw.in_frame:
            board.note(said("drawing.shadow_in_frame", what=title, surface=on, top=top))
        else:
            board.note(said("drawing.shadow_out_of_frame", what=title, surface=on, top=top))
