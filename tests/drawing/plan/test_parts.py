"""Plans of large rooms: the part that is needed, its letters apart and each at its own symbol."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from scout.drawing.plan.light import LightMark, LightSheet
from scout.drawing.plan.part import LETTER_MOST_M, part_of
from scout.drawing.plan.place import PlaceSheet
from scout.drawing.plan.power import LeadLine, PowerSheet
from scout.drawing.plan.sheet import Working, room_plan
from scout.drawing.plan.shot import ShotSheet
from scout.drawing.shapes import Box, Drawing, Group, Line, Shape, Text, bounds, walk
from scout.drawing.taken import Taken
from scout.pages.medium import Medium
from scout.records.sheet import RoomRecord
from scout.values import Figure, said

POINTS_8_MM = 8 * 25.4 / 72  # by hand: a point is 1/72 inch
PHONE_PX, SCREEN_WIDE_MM = (
    358.0,
    112.0,
)  # 390 px less its margins of 16 (templates), the drawing's breadth


def hall(random: np.random.Generator) -> tuple[RoomRecord, dict[str, Any]]:
    """A large room at random with a set-up somewhere in it."""
    width, length = (float(side) for side in random.uniform((28.0, 18.0), (60.0, 45.0)))
    plan = [[0, 0], [0, length], [width, length], [width, 0]]
    if random.random() < 0.5:
        x, y = 0.6 * width, 0.5 * length
        plan = [[0, 0], [0, length], [x, length], [x, y], [width, y], [width, 0]]
    count = len(plan)
    lengths = [math.dist(plan[k], plan[(k + 1) % count]) for k in range(count)]
    outlets = [
        {"id": f"P{k}", "wall": "ABCDEF"[k % count], "offset_m": lengths[k % count] * share}
        for k, share in enumerate(random.uniform(0.05, 0.95, 9))
    ]
    room = RoomRecord.read(
        {"name": "Hall", "setting": "interior", "height_m": 8.0, "plan_m": plan, "outlets": outlets}
    )
    middle = random.uniform((4.0, 4.0), (0.55 * width, 0.45 * length))
    near = middle + random.uniform(-3.5, 3.5, (5, 2))
    at = [(float(x), float(y), 1.6) for x, y in near]
    lights = tuple(
        LightMark(name, name, place, at[1])
        for name, place in zip(("key", "fill", "back"), at[2:], strict=True)
    )
    run = said("power.run_take", run=Figure(7.5, "m"), lead=Figure(10, "m"))
    lead = LeadLine("key", "P0", None, (at[2][:2], (at[2][0], 0.2)), run, 1.0, 1.0)
    return room, {"camera": at[0], "subject": at[1], "lights": lights, "leads": (lead,)}


def sheets(room: RoomRecord, held: dict[str, Any]) -> list[Working]:
    light = LightSheet(held["lights"], held["subject"], None, held["camera"])
    stood = tuple((one.name, one.role, one.at_m, None) for one in held["lights"])
    power = PowerSheet(room, held["leads"], (), stood)
    shot = ShotSheet(room, held["camera"], held["subject"], None)
    return [light, power, shot, PlaceSheet(room, light, power, shot)]


def drawn(room: RoomRecord, working: Working, *, paper: bool) -> Drawing:
    return room_plan(
        room,
        working=working,
        size_mm=(180.0, 150.0) if paper else (SCREEN_WIDE_MM, 160.0),
        stated_scale=paper,
        **Medium(for_print=paper).letters,
    )


def groups(shapes: tuple[Shape, ...]) -> dict[str, Group]:
    return {one.id: one for one in shapes if isinstance(one, Group) and one.id}


@pytest.mark.parametrize("paper", [True, False])
def test_letters_of_large_rooms_stand_apart_and_are_large_enough(paper: bool) -> None:
    """property: over random halls no letters overlap, none is smaller than 8 points or 12 px, and the
    letters of a symbol are nearer to it than to another's or led to it by a line.
    """
    random = np.random.default_rng(50)
    for _ in range(4):
        room, held = hall(random)
        for working in sheets(room, held):
            drawing = drawn(room, working, paper=paper)
            texts = [one for one in walk(drawing.shapes) if isinstance(one, Text)]
            for text in texts:
                size = text.size_mm
                assert size >= (POINTS_8_MM if paper else 12.0 * SCREEN_WIDE_MM / PHONE_PX) - 0.01
            before = Taken()
            for text in texts:
                assert not before.meets([text.corners(-0.05)])[0][0], text.text
                before.add(text.corners(-0.05), hard=True)
            named = groups(drawing.shapes)
            symbols = {
                key: bounds([group])
                for key, group in named.items()
                if key.split("-")[0] in ("light", "camera", "subject", "outlet")
            }
            for key, group in named.items():
                own = key.removeprefix("label-").replace("socket-", "outlet-")
                own = own if own in symbols else f"light-{own}"
                if not key.startswith("label-") or own not in symbols:
                    continue
                if any(isinstance(shape, Line) for shape in group.shapes):
                    continue  # led to it
                box = bounds(group.shapes)
                slack = 0.3 * max(
                    text.size_mm for text in texts
                )  # a symbol is round, its box is not
                nearest = min(_apart(box, other) for other in symbols.values())
                assert _apart(box, symbols[own]) <= nearest + slack, key


def _apart(one: Box, other: Box) -> float:
    return math.hypot(
        max(one[0] - other[2], other[0] - one[2], 0.0),
        max(one[1] - other[3], other[1] - one[3], 0.0),
    )


def test_a_large_room_is_cut_to_what_is_needed_and_shown_whole_beside_it() -> None:
    random = np.random.default_rng(3)
    room, held = hall(random)
    light = sheets(room, held)[0]
    for paper in (True, False):
        drawing = drawn(room, light, paper=paper)
        size = Medium(for_print=paper).letters["text_mm"]
        # by hand: 7 m of lights with 1.2 m round them are at most 9.4 m, at 1:100 94 mm of paper
        assert (drawing.scale or 0.0) * size / 1000.0 <= LETTER_MOST_M
        assert "the whole room, the part hatched" in [
            one.text for one in walk(drawing.shapes) if isinstance(one, Text)
        ]
        box = bounds(drawing.shapes)
        assert box[0] >= -0.01
        assert box[2] <= drawing.width_mm + 0.01


def test_what_is_a_part_worth_cutting() -> None:
    # by hand: round (10, 10) to (12, 10) lie 1.2 m, and 5 m is the least: 8.5 to 13.5 and 7.5 to 12.5
    plan = [(0.0, 0.0), (0.0, 30.0), (50.0, 30.0), (50.0, 0.0)]
    assert part_of(plan, [(10.0, 10.0), (12.0, 10.0)]) == pytest.approx((8.5, 7.5, 13.5, 12.5))
    # a wall 1.5 m from the part is shown too
    assert part_of(plan, [(2.6, 15.0), (8.0, 15.0)]) == pytest.approx((0.0, 12.5, 9.2, 17.5))
    assert part_of(plan, []) is None
    assert part_of(plan, [(1.0, 1.0), (45.0, 25.0)]) is None  # as good as the whole
