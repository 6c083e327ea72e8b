"""The power plan: outlets with their circuit and how full it is, the leads on the floor, what
each carries, and where somebody may trip.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from typing import ClassVar

from scout.drawing import pictograms
from scout.drawing.board import Board
from scout.drawing.lettering import tidy
from scout.drawing.plan.placer import Tag, place_tags
from scout.drawing.plan.things import outlet_on, outlet_words
from scout.drawing.plan.walls import View
from scout.drawing.shapes import Point, Polyline
from scout.records.sheet import Outlet, RoomRecord
from scout.values import Figure, Name, Said, Word, names, said
from scout.words.figures import Words

DASHES: tuple[tuple[float, ...], ...] = (
    (),
    (0.9, 0.3),
    (0.25, 0.25),
    (1.2, 0.3, 0.25, 0.3),
)  # a circuit is told from the next by its line


@dataclass(frozen=True)
class LeadLine:
    """A lead from its outlet to its light, in plan metres, with what it carries."""

    light: str
    outlet: str
    circuit: str | None
    points_m: tuple[tuple[float, float], ...]
    run: Said  # its length with the lead to take
    load_a: float | None
    drop_pct: float | None
    doors: tuple[str, ...] = ()
    trips_m: tuple[tuple[float, float], ...] = ()  # where it crosses the walk
    across: bool = False  # much of it away from the walls

    @property
    def lettered(self) -> Said:
        """The lead to take and for what length, as short as it is written upon the lead."""
        run = self.run["run"]
        if self.run.code == "power.run_bring":
            return said("drawing.run_bring", run=run)
        return said("drawing.run_take", run=run, lead=self.run["lead"])


@dataclass(frozen=True)
class CircuitLoad:
    """A circuit as the plan fills it."""

    id: str
    load_a: float | None
    limit_a: float | None
    share: float | None
    lights_a: float | None = None

    @property
    def words(self) -> Said:
        """`Circuit K1: 2.0 of 12.8 A, 16 % of what it may carry for hours`."""
        name = Name(tidy(self.id))
        if self.load_a is None or self.limit_a is None or self.share is None:
            lights = None if self.lights_a is None else Figure(self.lights_a, "A")
            return said("drawing.circuit_unknown", circuit=name, lights=lights)
        return said(
            "drawing.circuit",
            circuit=name,
            load=Figure(self.load_a, "A"),
            limit=Figure(self.limit_a, "A"),
            share=Figure(100.0 * self.share, "%"),
        )


@dataclass(frozen=True)
class PowerSheet:
    """What the power plan shows beyond the room."""

    room: RoomRecord
    leads: tuple[LeadLine, ...]
    circuits: tuple[CircuitLoad, ...]
    lights: tuple[
        tuple[str, str, tuple[float, float, float], float | None], ...
    ]  # name, role, place, the angle it points at
    path_m: tuple[tuple[float, float], ...] = ()
    remarks: tuple[Words, ...] = ()
    title: ClassVar[Said] = said("drawing.power_plan")

    def draw(self, board: Board, view: View) -> None:
        """Leads, outlets and lights over them, trip marks last."""
        hand, u = board.hand, board.hand.text_mm
        if len(self.path_m) > 1:
            board.group(
                pictograms.path(hand, tuple(view.paper(x, y) for x, y in self.path_m)),
                "path",
                said("drawing.walk"),
                "path",
            )
        order = list(
            dict.fromkeys(
                [*(one.id for one in self.circuits), *(lead.circuit or "" for lead in self.leads)]
            )
        )
        for lead in self.leads:
            points = tuple(view.paper(x, y) for x, y in lead.points_m)
            dash = DASHES[order.index(lead.circuit or "") % len(DASHES)]
            board.group(
                (Polyline(points, hand.pen("medium", "rust", dash)),),
                f"lead-{lead.light}",
                said("drawing.cable", outlet=Name(lead.outlet), light=Name(lead.light)),
                f"lead_{order.index(lead.circuit or '') % len(DASHES)}",
            )
            for a, b in itertools.pairwise(points):
                board.take((a, b))
        for name, role, at_m, angle in self.lights:
            at = view.paper(*at_m[:2])
            board.group(
                pictograms.role_light(hand, at, 0.8 * u, angle, role),
                f"light-{name}",
                said("drawing.of", of=Word("part", role), what=Name(tidy(name))),
                f"role_{role}",
            )
            board.take_round(at, 0.8 * u)
        outlets = self.draw_outlets(board, view)
        self.draw_trips(board, view)
        shares = {one.id: one.share for one in self.circuits}
        tags: list[Tag] = []
        for at, outlet in outlets:
            share = shares.get(outlet.circuit or "")
            full = None if share is None else Figure(100.0 * share, "%")
            words = outlet_words(outlet, full)
            tags.append(Tag(f"socket-{outlet.id}", at, 0.7 * u, (words,)))
        carried = {lead.light: lead for lead in self.leads}
        for name, _, at_m, _ in self.lights:
            held = carried.get(name)
            lines = (Name(tidy(name)), lead_words(held) if held else said("drawing.no_cable"))
            tags.append(Tag(name, view.paper(*at_m[:2]), 0.8 * u, lines))
        for tag in place_tags(board, tags, (), view.outline, 20 * u, within_sheet=True):
            board.note(", ".join(board.hand.say(line) for line in tag.lines))
        for one in self.circuits:
            board.note(one.words)
        for remark in self.remarks:
            board.note(remark)

    def draw_outlets(self, board: Board, view: View) -> list[tuple[Point, Outlet]]:
        by_letter, found = {wall.letter: wall for wall in view.walls}, []
        for outlet in self.room.outlets or ():
            wall = by_letter.get(outlet.wall or "")
            if wall is None or outlet.offset_m is None:
                continue
            offset = min(outlet.offset_m, wall.length_m)
            size = 0.95 * board.hand.text_mm
            if not board.shows(view.on_wall(wall, offset)):
                continue
            into = math.degrees(math.atan2(-wall.outward[1], -wall.outward[0]))
            board.group(
                pictograms.outlet(board.hand, view.on_wall(wall, offset), size, into),
                f"outlet-{outlet.id}",
                outlet_on(outlet, wall.letter),
                "outlet",
            )
            at = view.on_wall(wall, offset, -0.55 * size)
            board.take_round(at, 0.6 * size)
            found.append((at, outlet))
        return found

    def draw_trips(self, board: Board, view: View) -> None:
        """A triangle where a lead lies across a door or the walk."""
        by_letter, u = {wall.letter: wall for wall in view.walls}, board.hand.text_mm
        crossed: dict[str, list[str]] = {}
        for lead in self.leads:
            for id_ in lead.doors:
                crossed.setdefault(id_, []).append(lead.light)
        for door in self.room.doors or ():
            wall = by_letter.get(door.wall)
            if door.id in crossed and wall is not None and door.offset_m is not None:
                at = view.on_wall(
                    wall,
                    min(door.offset_m + (door.width_m or 0.9) / 2, wall.length_m),
                    -1.6 * u,
                )
                board.group(
                    pictograms.trip(board.hand, at, 0.9 * u),
                    f"trip-{door.id}",
                    said("drawing.door_crossed", door=Name(door.id)),
                    "trip",
                )
                board.take_round(at, 0.9 * u)
                lights = names(crossed[door.id])
                board.note(said("drawing.across_door", door=Name(door.id), lights=lights))
        for lead in self.leads:
            for x, y in lead.trips_m:
                at = view.paper(x, y)
                board.group(
                    pictograms.trip(board.hand, at, 0.9 * u),
                    f"trip-{lead.light}",
                    said("drawing.walk_crossed", light=Name(lead.light)),
                    "trip",
                )
                board.take_round(at, 0.9 * u)
                board.note(said("drawing.across_walk", light=Name(lead.light)))

    def needed_m(self) -> tuple[Point, ...]:
        """Where cables run and lights stand."""
        return (
            *(at_m[:2] for _, _, at_m, _ in self.lights),
            *(point for lead in self.leads for point in lead.points_m),
        )

    def words(self) -> tuple[Words, ...]:
        """The same in words."""
        runs = [
            said(
                "drawing.cable_runs",
                light=Name(lead.light),
                outlet=Name(lead.outlet),
                way=said("drawing.way_across") if lead.across else said("drawing.way_walls"),
                what=lead_words(lead),
                doors=names(lead.doors) if lead.doors else None,
            )
            for lead in self.leads
        ]
        return (
            *(runs or [said("drawing.no_cables")]),
            *(one.words for one in self.circuits),
            *self.remarks,
        )


def lead_words(lead: LeadLine) -> Said:
    """`1.4 A, 6.20 m with rise and slack, 10 m cable, 0.4 % drop`."""
    load, drop = lead.load_a, lead.drop_pct
    return said(
        "drawing.cable_carries",
        load=said("drawing.load_unknown") if load is None else Figure(load, "A"),
        run=lead.run,
        drop=None if drop is None else Figure(drop, "%"),
    )
