"""The one plan to set up by: camera with its lens, subject and walk, lights with height and two
tapes, sockets with circuit, cables with length, sun in the scene's hours, boom, exits, bags.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar

from scout.drawing import pictograms
from scout.drawing.board import Board
from scout.drawing.lettering import tidy
from scout.drawing.plan.light import LightMark, LightSheet, draw_people
from scout.drawing.plan.placer import Tag, place_tags
from scout.drawing.plan.power import DASHES, LeadLine, PowerSheet
from scout.drawing.plan.shot import ShotSheet
from scout.drawing.plan.tape import TapeLine, angle_of
from scout.drawing.plan.things import PatchHour, draw_patches, label_patches
from scout.drawing.plan.walls import View
from scout.drawing.shapes import Hatch, Line, Point, Polygon, Polyline, Shape, rectangle
from scout.records.sheet import RoomRecord
from scout.values import Figure, Many, Name, Said, Value, Word, said
from scout.words.figures import Words

BAGS_M = (1.0, 0.6)  # the floor that bags and cases take, at the least (common practice)


@dataclass(frozen=True)
class WhiteLaid:
    """A sheet of white on the floor, under the ceiling or on a wall, and for which lights.

    x_m: on a wall, along it from its beginning; y_m: on a wall, up from the floor
    """

    surface: str  # "floor", "ceiling", or a wall's letter
    x_m: tuple[float, float]
    y_m: tuple[float, float]
    lights: Value | None


@dataclass(frozen=True)
class PlaceSheet:
    """What the plan to set up by shows beyond the room."""

    room: RoomRecord
    light: LightSheet
    power: PowerSheet
    shot: ShotSheet
    patches: tuple[PatchHour, ...] = ()
    bags_m: tuple[float, float] | None = None
    white: tuple[WhiteLaid, ...] = ()
    lettered: bool = True  # False: too small to letter who stands where
    title: ClassVar[Said] = said("drawing.place_plan")

    def needed_m(self) -> tuple[Point, ...]:
        """Where everything of the set-up is; nothing without lights, for then the room is looked at."""
        if not self.light.lights:
            return ()
        return (*self.light.needed_m(), *self.power.needed_m(), *self.shot.needed_m())

    def draw(self, board: Board, view: View) -> None:
        """What lies on the floor first, then what stands on it, then every name at its symbol."""
        u = board.hand.text_mm
        hours = draw_patches(board, view, self.patches)
        _keep_off_leaves(board, view, self.room)
        self._frame(board, view)
        self._walk(board, view)
        laid = self._cables(board, view)
        tags = self._people(board, view)
        tags = [*self._lights(board, view), *tags]
        tags += self._sockets(board, view)
        tags += self._exits(board, view)
        tags += self._bags(board, view)
        tags += self._white(board, view)
        self.power.draw_trips(board, view)
        for lead, points in zip(self.power.leads, laid, strict=True):
            self._length(board, lead, points, u)
        for tag in place_tags(board, tags, allowed=view.outline):
            board.note(", ".join(board.hand.say(one) for one in tag.lines))
        label_patches(board, hours)

    def _frame(self, board: Board, view: View) -> None:
        """The edges of the scene's lens, and the wall that it holds."""
        hand, u, shot = board.hand, board.hand.text_mm, self.shot
        lens = next((one for one in shot.lenses if one.focal_length_mm == shot.chosen_mm), None)
        if lens is None or shot.camera is None:
            return
        start = view.paper(*shot.camera[:2])
        pen = hand.pen("fine", dash=(1.6, 0.5))
        board.group(
            [Line(start, view.paper(*end), pen) for end in lens.ends_m],
            f"field-{lens.focal_length_mm:g}",
            said("drawing.field", lens=Figure(lens.focal_length_mm)),
            "field_chosen",
        )
        walls = {wall.letter: wall for wall in view.walls}
        for band in shot.bands:
            wall = walls.get(band.wall)
            if wall is None or band.end_m - band.start_m < 1e-6:
                continue
            strip = (
                view.on_wall(wall, band.start_m),
                view.on_wall(wall, band.end_m),
                view.on_wall(wall, band.end_m, -0.5 * u),
                view.on_wall(wall, band.start_m, -0.5 * u),
            )
            angle = math.degrees(math.atan2(wall.along[1], wall.along[0])) + 45.0
            board.group(
                (Hatch(strip, angle, 0.3 * u, hand.pen("fine")), Polygon(strip, hand.pen("hair"))),
                f"band-{band.wall}",
                said("drawing.band", what=band.words),
                "band",
            )
            board.take(strip)

    def _walk(self, board: Board, view: View) -> None:
        points = tuple(view.paper(x, y) for x, y, _ in self.shot.path)
        if len(points) > 1:
            board.group(pictograms.path(board.hand, points), "path", said("drawing.walk"), "path")
            for a, b in itertools.pairwise(points):
                board.take((a, b))

    def _cables(self, board: Board, view: View) -> list[tuple[Point, ...]]:
        """Cables on the floor, each circuit with its own stroke."""
        hand = board.hand
        circuits = [one.id for one in self.power.circuits]
        circuits += [lead.circuit or "" for lead in self.power.leads]
        order = list(dict.fromkeys(circuits))
        laid = []
        for lead in self.power.leads:
            points = tuple(view.paper(x, y) for x, y in lead.points_m)
            laid.append(points)
            stroke = order.index(lead.circuit or "") % len(DASHES)
            board.group(
                (Polyline(points, hand.pen("medium", "rust", DASHES[stroke])),),
                f"lead-{lead.light}",
                said("drawing.cable", outlet=Name(lead.outlet), light=Name(lead.light)),
                f"lead_{stroke}",
            )
            for a, b in itertools.pairwise(points):
                board.take((a, b), hard=False)
        return laid

    def _length(self, board: Board, lead: LeadLine, points: Sequence[Point], u: float) -> None:
        """How long a cable is, upon it where there is room on one of its stretches; the table below
        the plan has it too.
        """
        hand = board.hand
        words = hand.say(lead.lettered)
        stretches = sorted(
            itertools.pairwise(points), key=lambda pair: math.dist(*pair), reverse=True
        )
        choices = []
        for (ax, ay), (bx, by) in stretches[:3]:
            angle = math.degrees(math.atan2(by - ay, bx - ax))
            reading = (angle + 90.0) % 180.0 - 90.0
            if reading <= -90.0 + 1e-6:
                reading += 180.0
            for share in (0.5, 0.35, 0.65, 0.2, 0.8):
                spot = (ax + (bx - ax) * share, ay + (by - ay) * share)
                for side in (0.85, -0.85):
                    normal = math.radians(reading + 90.0)
                    at = (
                        spot[0] + math.cos(normal) * side * u,
                        spot[1] + math.sin(normal) * side * u,
                    )
                    choices.append(
                        hand.centred(
                            at, words, size=0.9, angle_deg=reading, ink="rust", backed=True
                        )
                    )
        board.place(choices, pad=0.02)

    def _people(self, board: Board, view: View) -> list[Tag]:
        """Subject, camera and the microphone on its pole."""
        hand, u, shot = board.hand, board.hand.text_mm, self.shot
        size = 0.95 * u
        tags = []
        if self.light.boom is not None:
            at = view.paper(*self.light.boom.mic_m[:2])
            end = self.light.boom.end_m
            pole = view.paper(*end[:2]) if end is not None else None
            shapes = pictograms.boom(hand, at, 0.8 * u, pole)
            board.group(shapes, "boom", said("drawing.boom"), "boom")
            board.take_round(at, 0.4 * u)
            if pole is not None:
                board.take((at, pole))
                tags.append(Tag("boom", pole, 0.25 * u, (said("drawing.boom_pole"),)))
        camera = shot.camera
        if (
            camera is not None
            and shot.subject is not None
            and math.dist(view.paper(*camera[:2]), view.paper(*shot.subject[:2])) < 1.9 * size
        ):
            camera = None  # one symbol upon another says nothing; where it stands is noted
        shot.draw_mark(board, view)
        draw_people(board, view, shot.subject, shot.facing_deg, camera, size)
        for name, place, tapes in (
            ("camera", shot.camera, shot.camera_tapes),
            ("subject", shot.subject, shot.subject_tapes),
        ):
            if place is None or not self.lettered:
                continue
            mark = Word("mark", name)
            lens = shot.chosen_mm if name == "camera" else None
            head = said(
                "drawing.stands_high",
                what=mark,
                height=Figure(place[2], "m"),
                lens=None if lens is None else Figure(lens),
            )
            at, lines = view.paper(*place[:2]), (head, *taped_short(tapes))
            if name == "camera":
                lines = (*lines, *shot.camera_lines)
            if name == "camera" and camera is None:
                board.note(", ".join(board.hand.say(one) for one in lines))
                continue
            tags.append(Tag(name, at, size, lines))
        for number, (other, tapes) in enumerate(shot.others, start=2):
            at, called = view.paper(*other[:2]), said("drawing.person", n=number)
            looks = angle_of(other, shot.subject)
            board.group(pictograms.person(hand, at, size, looks), "subject", called, "subject")
            board.take_round(at, size)
            if self.lettered:
                head = said(
                    "drawing.stands_high", what=called, height=Figure(other[2], "m"), lens=None
                )
                lines = (head, *taped_short(tapes))
                tags.append(Tag(f"person-{number}", at, size, lines))
        if shot.camera is not None and shot.subject is not None:
            self._focus(board, view)
        return tags

    def _focus(self, board: Board, view: View) -> None:
        """From the lens to the eyes, with the length a tape reads."""
        shot, hand, u = self.shot, board.hand, board.hand.text_mm
        assert shot.camera is not None
        assert shot.subject is not None
        a, b = view.paper(*shot.camera[:2]), view.paper(*shot.subject[:2])
        length = math.dist(a, b)
        if length < 4 * u:
            return
        way = ((b[0] - a[0]) / length, (b[1] - a[1]) / length)
        start, end = (a[0] + way[0] * u, a[1] + way[1] * u), (b[0] - way[0] * u, b[1] - way[1] * u)
        board.add(Line(start, end, hand.pen("hair")), symbol="focus")
        words = hand.length(math.dist(shot.camera, shot.subject))
        angle = (math.degrees(math.atan2(way[1], way[0])) + 90.0) % 180.0 - 90.0
        choices = []
        for share in (0.5, 0.4, 0.6, 0.3, 0.7):
            spot = (start[0] + (end[0] - start[0]) * share, start[1] + (end[1] - start[1]) * share)
            choices.append(
                hand.centred(spot, words, size=0.9, angle_deg=angle, backed=True, bold=True)
            )
        board.place(choices, over=True)
        board.take((start, end))

    def _lights(self, board: Board, view: View) -> list[Tag]:
        hand, size = board.hand, 1.15 * board.hand.text_mm
        for light in self.light.lights:
            if light.aim_m is not None:
                a, b = view.paper(*light.at_m[:2]), view.paper(*light.aim_m[:2])
                board.add(Line(a, b, hand.pen("hair", dash=(0.3, 0.35))), symbol="aim")
        tags = []
        for light in self.light.lights:
            at = view.paper(*light.at_m[:2])
            board.group(
                pictograms.role_light(
                    hand, at, size, angle_of(light.at_m, light.aim_m), light.role
                ),
                f"light-{light.name}",
                said("drawing.of", of=Word("part", light.role), what=light.called),
                f"role_{light.role}",
            )
            board.take_round(at, size)
            tags.append(Tag(light.name or "board", at, size, light_lines(light)))
        return tags

    def _sockets(self, board: Board, view: View) -> list[Tag]:
        u = board.hand.text_mm
        tags = []
        for at, outlet in self.power.draw_outlets(board, view):
            circuit = Name(tidy(outlet.circuit)) if outlet.circuit else None
            words = said("drawing.socket_on", socket=Name(tidy(outlet.id)), circuit=circuit)
            tags.append(Tag(f"socket-{outlet.id}", at, 0.6 * u, (words,)))
        return tags

    def _exits(self, board: Board, view: View) -> list[Tag]:
        walls, tags = {wall.letter: wall for wall in view.walls}, []
        for door in self.room.doors or ():
            wall = walls.get(door.wall)
            if not door.keep_free or wall is None or door.offset_m is None:
                continue
            middle = min(door.offset_m + (door.width_m or 0.9) / 2, wall.length_m)
            at = view.on_wall(wall, middle)
            tags.append(Tag(f"exit-{door.id}", at, 0.0, (said("drawing.keep_free"),)))
        return tags

    def _bags(self, board: Board, view: View) -> list[Tag]:
        if self.bags_m is None:
            return []
        u = board.hand.text_mm
        x, y = view.paper(*self.bags_m)
        wide, deep = (side / 2 * view.mm_per_m for side in BAGS_M)
        box = rectangle(x - wide, y - deep, x + wide, y + deep)
        pen = board.hand.pen("fine", dash=(0.5, 0.35))
        shapes: list[Shape] = [Polygon(box, pen)]
        board.group(shapes, "bags", said("drawing.bags"), "bags")
        board.take(box)
        return [Tag("bags", (x, y), min(wide, deep, 2 * u), (said("drawing.bags"),))]

    def _white(self, board: Board, view: View) -> list[Tag]:
        """The outline of each sheet of white, named in its middle; on a wall a stroke along it."""
        pen, tags = board.hand.pen("bold", "green", (1.0, 0.6)), []
        walls = {wall.letter: wall for wall in view.walls}
        for k, one in enumerate(self.white):
            (left, right), (low, high) = one.x_m, one.y_m
            if one.surface in walls:
                wall, inside = walls[one.surface], -0.4 * board.hand.text_mm
                start, end = (view.on_wall(wall, along, inside) for along in one.x_m)
                words = said(
                    "drawing.white_hung",
                    wall=Name(wall.letter),
                    low=Figure(low, "m"),
                    high=Figure(high, "m"),
                    lights=one.lights,
                )
                board.group((Line(start, end, pen),), f"white-{k}", words, "white")
                board.take((start, end))
                middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
                short = said(  # heights and lights stand with the act
                    "drawing.white_hung", wall=Name(wall.letter), low=None, high=None, lights=None
                )
                tags.append(Tag(f"white-{k}", middle, 0.0, (short,)))
                continue
            (x, y), (across, up) = view.paper(left, low), view.paper(right, high)
            ring = rectangle(min(x, across), min(y, up), max(x, across), max(y, up))
            words = said(
                "drawing.white_laid", surface=Word("surface", one.surface), lights=one.lights
            )
            board.group((Polygon(ring, pen),), f"white-{k}", words, "white")
            for a, b in itertools.pairwise((*ring, ring[0])):
                board.take((a, b), hard=False)
            middle = ((x + across) / 2, (y + up) / 2)
            tags.append(Tag(f"white-{k}", middle, 0.0, (words,)))
        return tags

    def words(self) -> tuple[Words, ...]:
        """The same in words."""
        return (*self.light.words(), *self.power.words(), *self.shot.words())


def _keep_off_leaves(board: Board, view: View, room: RoomRecord) -> None:
    """No letters over the leaf and the swing of a door."""
    walls = {wall.letter: wall for wall in view.walls}
    for door in room.doors or ():
        wall = walls.get(door.wall)
        if wall is None or door.offset_m is None or door.width_m is None:
            continue
        start = min(door.offset_m, wall.length_m)
        end = min(start + door.width_m, wall.length_m)
        wide = (end - start) * view.mm_per_m
        hinge, jamb = view.on_wall(wall, start), view.on_wall(wall, end)
        tip = view.on_wall(wall, start, -wide)
        swing = view.on_wall(wall, start + (end - start) * 0.7071, -wide * 0.7071)
        for a, b in ((hinge, tip), (tip, swing), (swing, jamb)):
            board.take((a, b))


def light_lines(light: LightMark) -> tuple[Words, ...]:
    """`key 2.20 m` and, below it, `0.66 off B, 2.62 off C`."""
    high = said(
        "drawing.stands_high", what=light.called, height=Figure(light.at_m[2], "m"), lens=None
    )
    return (high, *taped_short(light.tapes))


def taped_short(tapes: Sequence[TapeLine]) -> tuple[Words, ...]:
    """The tapes of a place on one line; none where it has none."""
    if not tapes:
        return ()
    parts = tuple(
        said("drawing.tape_short", length=Figure(one.distance_m, "m"), wall=Name(one.wall))
        for one in tapes
    )
    return (Many(parts, "list"),)
