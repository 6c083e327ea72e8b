"""The three-point plan, the figures of a plan drawn by hand, and the plugging plan, against dense solves of the same run."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator

import numpy as np

from scout import places
from scout.assess.fit import fit, placements
from scout.assess.plan_figures import plan_figures, with_plan
from scout.bench.measure import Row, at_most, within
from scout.calc.power.assign import PlugPoint, Supply, assign
from scout.records import RoomSheet, SheetLocation, read_sheet
from scout.records.plan import PlannedLight, StagePlan

FLOOR = "ten dense solves, 600 x 600 with 36 right-hand sides"


def rows() -> Iterator[Row]:
    """The figures, each as soon as it is known."""
    sheets = demo_sheets()
    slowest = max(sheets, key=lambda sheet: len(sheet.room.corners_m or ()))
    floor = _floor()
    yield at_most("full fit of every demonstration room, warm, one after the other", lambda: [fit(sheet) for sheet in sheets], FLOOR, floor, 12.0, times=3)
    yield at_most(f"full fit of the room with the most corners ({slowest.room.name})", lambda: fit(slowest), FLOOR, floor, 2.5)
    yield within(f"the same, against what a page may take ({slowest.room.name})", lambda: fit(slowest), 0.3)
    drawn = hand_drawn(slowest)
    yield at_most("figures of a plan drawn by hand", lambda: plan_figures(drawn), FLOOR, floor, 0.25)
    yield within("20 loads of four kinds over 8 circuits", twenty_loads, 0.2)


def _floor() -> Callable[[], object]:
    random = np.random.default_rng(1)
    matrix, known = np.eye(600) * 600 + random.random((600, 600)), random.random((600, 36))
    return lambda: [np.linalg.solve(matrix, known) for _ in range(10)]


def demo_sheets() -> list[RoomSheet]:
    """The demonstration's rooms with its production's kit."""
    scenario = json.loads((places.DEMO_DATA / "scenario.json").read_text(encoding="utf-8"))
    found = []
    for place in scenario["locations"]:
        location = {key: value for key, value in place["location"].items() if key in SheetLocation.model_fields}
        found += [read_sheet({"schema": "room-sheet/1", "location": location, "room": room["room"], "marks": room.get("marks"),
                              "kit": scenario["production"]["kit"]}) for room in place["rooms"]]
    return found


def hand_drawn(sheet: RoomSheet) -> RoomSheet:
    """The sheet with its lights pinned where the worked-out plan puts them, as the page of the plan sends them."""
    placed = placements(sheet, fit(sheet))
    return with_plan(sheet, StagePlan(lights=tuple(PlannedLight(id=name, at_m=place.at_m) for name, place in placed.items())))


def twenty_loads() -> object:
    """Twenty lights of four kinds over eight circuits of two outlets, the leads as long as they are on a straight wall."""
    random = np.random.default_rng(0)
    loads = random.choice([60.0, 150.0, 300.0, 650.0], 20)
    outlets = tuple(PlugPoint(circuit, 2) for circuit in range(8) for _ in range(2))
    metres = np.abs(random.uniform(0.0, 20.0, 20)[:, None] - np.linspace(0.0, 20.0, 16)[None, :]) + 1.5
    return assign(loads, tuple(Supply(16.0 * 230.0 * 0.8, 0.0) for _ in range(8)), outlets, metres)
