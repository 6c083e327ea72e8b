"""The plan to set up by, measured on the paper: lengths at the printed scale.

Rooms beside the demonstration's are invented, drawn from a fixed seed.
"""

from __future__ import annotations

import io
import math
import random
import re
from collections.abc import Iterator
from datetime import date, time
from typing import Any

import pikepdf
from pypdf import PdfReader

from scout.assess.setup import Setup
from scout.drawing.shapes import Drawing, Group, bounds
from scout.packet.book import Book, printed
from scout.pages.packet.crew import PLAN_MM
from scout.pages.packet.plans import place_plan
from scout.records.sheet import RoomRecord
from tests.packet.conftest import Demo
from tests.packet.drawn import lengths_along
from tests.packet.printed import text_by_title
from tests.rooms import sheet

POINTS_A_MM = 72.0 / 25.4
SCALED = 0.005  # a tape on the paper: 5 m is 5 m within half a percent
ROOMS = 6


def _invented(seed: int) -> Setup:
    """A rectangular room with windows, doors, sockets, lights, a table, camera and subject."""
    draw = random.Random(seed)
    wide, deep = round(draw.uniform(2.6, 9.0), 2), round(draw.uniform(3.0, 14.0), 2)
    subject = [round(wide * draw.uniform(0.35, 0.65), 2), round(deep * draw.uniform(0.25, 0.4), 2)]
    camera = [round(wide * draw.uniform(0.35, 0.65), 2), round(deep * draw.uniform(0.65, 0.85), 2)]
    changes: dict[str, Any] = {
        "room__width_m": wide,
        "room__length_m": deep,
        "room__outlets": [
            {"id": f"P{k}", "wall": "ABCD"[k], "offset_m": 0.4 + 0.2 * k, "circuit": "K1"}
            for k in range(4)
        ],
        "room__windows": [
            {
                "id": "W1",
                "wall": "A",
                "offset_m": 0.3,
                "width_m": 1.2,
                "sill_m": 0.9,
                "height_m": 1.2,
                "transmittance": 0.7,
            }
        ],
        "room__doors": [
            {
                "id": "D1",
                "wall": "C",
                "offset_m": 0.4,
                "width_m": 0.83,
                "height_m": 2.0,
                "keep_free": True,
            }
        ],
        "room__furniture": [],
        "room__practicals": [],
        "marks__subject": [*subject, 1.2],
        "marks__camera": [*camera, 1.4],
        "marks__path": None,
        "kit__lights": [
            {"id": name, "watts": 100, "lux_at_1m": 4000, "stand_min_m": 1.1, "stand_max_m": 2.6}
            for name in ("key", "fill", "back")
        ],
    }
    return Setup(sheet(**changes), date(2026, 6, 21), time(10), time(12))


def _plans(demo: Demo) -> Iterator[tuple[str, RoomRecord, Drawing]]:
    for setup in demo.content().setups:
        assert setup.plan is not None
        yield setup.room or "", setup.sheet.room, setup.plan
    for seed in range(ROOMS):
        invented = _invented(seed)
        plan = place_plan(invented, None, None, "metric", PLAN_MM["a4"])
        assert plan is not None
        yield f"invented {seed}", invented.sheet.room, plan


def _walls(room: RoomRecord) -> list[tuple[float, float]]:
    corners = room.corners_m
    assert corners is not None
    ends = zip(corners, [*corners[1:], corners[0]], strict=True)
    return [(b[0] - a[0], b[1] - a[1]) for a, b in ends]


def _print(plan: Drawing) -> pikepdf.Pdf:
    book = Book(title="t", subject="s", author="a", short="s", revision="1")
    body, _ = printed(book, lambda desk: desk.figure(plan, ""))
    return pikepdf.open(io.BytesIO(body))  # a page is lost with its document


def test_five_metres_are_five_metres_at_the_printed_scale(demo: Demo) -> None:
    # Source: ISO 5455, a scale is length on paper to length in the room; 72 points are 25.4 mm
    for name, room, plan in _plans(demo):
        paper = _print(plan)
        assert plan.scale is not None
        for way in _walls(room):
            wanted = math.hypot(*way) * 1000.0 / plan.scale * POINTS_A_MM
            drawn = lengths_along(paper.pages[0], way)
            off = min(abs(length / wanted - 1.0) for length in drawn)
            assert off <= SCALED, (name, way, plan.scale, off)


def test_the_paper_says_the_scale_that_it_is_drawn_to(demo: Demo, demo_packet: PdfReader) -> None:
    pages = text_by_title(demo_packet)
    for setup in demo.content().setups:
        page = pages[f"{setup.room}: where things stand"]
        found = re.search(r"1:(\d+) when printed at 100 %", page)
        assert found is not None, setup.room
        assert setup.plan is not None
        assert float(found[1]) == setup.plan.scale
        assert "Reduced to" not in page


def _groups(plan: Drawing) -> Iterator[Group]:
    todo = list(plan.shapes)
    while todo:
        one = todo.pop()
        if isinstance(one, Group):
            yield one
            todo += one.shapes


def test_white_that_is_asked_for_as_drawn_is_drawn_to_its_size(demo: Demo) -> None:
    drawn = 0
    for setup in demo.content().setups:
        asked = {
            (round(act["width"].value, 2), round(act["depth"].value, 2), str(act["lights"]))
            for finding in setup.found.findings
            for act in finding.acts
            if act.code in ("lay.white", "stretch.white")
        }
        assert setup.plan is not None
        assert setup.plan.scale is not None
        found = set()
        for group in _groups(setup.plan):
            if re.fullmatch(r"white-\d+", group.id or ""):
                left, bottom, right, top = bounds(group.shapes)
                sides = ((right - left), (top - bottom))
                wide, deep = (round(side * setup.plan.scale / 1000.0, 2) for side in sides)
                if min(wide, deep) > 0.05:  # what hangs on a wall is a line on the plan
                    found.add((wide, deep, (group.title or "").split(": ")[-1]))
        # by hand: the tapes of a sheet, in the room, are what the act says, to a centimetre
        assert {(round(w, 1), round(d, 1), of) for w, d, of in found} == {
            (round(w, 1), round(d, 1), of) for w, d, of in asked
        }, setup.room
        drawn += len(found)
    assert drawn >= 2
