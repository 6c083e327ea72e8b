"""The walk's drawing on a small phone: no two words lie on each other, whatever the room's shape."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import Browser, expect

from scout.records import LocationRecord, Person, read_sheet
from scout.settings import Settings
from scout.usecases import people, walking
from scout.usecases.locations import add_location
from scout.usecases.work import open_work
from tests.browser.conftest import EMAIL, PASSWORD, log_in

pytestmark = pytest.mark.browser
TEETH = [[x * 0.8, 4.0 + 0.35 * (i % 2)] for i in range(8) for x in (i, i + 1)]
PLANS: dict[str, list[list[float]]] = {
    "L": [[0, 5], [4.6, 5], [4.6, 2.2], [2.4, 2.2], [2.4, 0], [0, 0]],
    "U": [[0, 4], [1.6, 4], [1.6, 1.6], [3.6, 1.6], [3.6, 4], [5.2, 4], [5.2, 0], [0, 0]],
    "chimney breast": [
        *([0, 3.6], [1.5, 3.6], [1.5, 3.25], [2.9, 3.25], [2.9, 3.6]),
        *([4.4, 3.6], [4.4, 0], [0, 0]),
    ],
    "twenty walls": [*TEETH, [6.4, 0], [3.2, 0], [3.2, 0.6], [0, 0.6]],
}
# of the L: crowded, so that what has no room for its name is seen too
PIECES = {
    "sofa": ([1.1, 4.4], 2.0, 0.9),
    "table": ([2.7, 3.4], 1.4, 0.8),
    "desk": ([4.2, 3.5], 0.7, 1.4),
    "chair": ([3.6, 3.6], 0.5, 0.5),
    "bed": ([0.8, 2.6], 1.4, 2.0),
    "cupboard": ([0.4, 0.6], 0.6, 1.0),
}
# in pixels of the screen; a letter's box is higher than what is drawn of it
BOXES = """() => [...document.querySelectorAll('[data-plan] text')].map((one) => {
  const { left, right, top, bottom } = one.getBoundingClientRect();
  return [one.textContent, left + 1, right - 1, top + 3, bottom - 3];
})"""


def sheet(name: str, plan: list[list[float]]) -> dict[str, Any]:
    pieces = PIECES if name == "L" else {}
    return {
        "schema": "room-sheet/1",
        "room": {
            "name": name,
            "plan_m": plan,
            "height_m": 2.5,
            "outlets": [{"id": f"P{i}", "wall": "ABC"[i], "offset_m": 0.2} for i in range(3)],
            "furniture": [
                {"id": called, "at_m": at, "width_m": wide, "depth_m": deep, "height_m": 0.8}
                for called, (at, wide, deep) in pieces.items()
            ],
        },
        "marks": {"subject": [1.9, 2.75, 1.2], "camera": [1.4, 0.9, 1.3]},
    }


def test_no_words_of_the_drawing_lie_on_each_other(
    browser: Browser, address: str, embedded: Settings
) -> None:
    with open_work(embedded) as work:
        people.add_person(work, Person(name="Ada", email=EMAIL), PASSWORD)
        place = add_location(work, LocationRecord(name="Mill"))
        sheets = [sheet(name, plan) for name, plan in PLANS.items()]
        sheets[1]["marks"] = {"subject": [0.8, 2, 1.2], "camera": [4.4, 2, 1.3]}
        keys = [
            walking.keep_walk(work, read_sheet(one), place, ({}, {}), lambda key: f"/rooms/{key}")
            for one in sheets
        ]
    opened = browser.new_context(viewport={"width": 360, "height": 640})
    page = opened.new_page()
    log_in(page, address)
    for key, plan in zip(keys, PLANS.values(), strict=True):
        page.goto(f"{address}/rooms/{key}/walk")
        expect(page.locator("[data-onward]")).not_to_be_empty()
        page.click('[data-to="marks"]')
        boxes = page.evaluate(BOXES)
        words = [box[0] for box in boxes]
        letters = [chr(ord("A") + turn) for turn in range(len(plan))]
        assert [one for one in words if len(one) == 1] == letters, "each wall once"
        assert {"person", "camera"} <= set(words)
        for turn, (one, *a) in enumerate(boxes):
            assert a[3] - a[2] > 5, f"{one} is too small to be read"
            for other, *b in boxes[:turn]:
                apart = a[0] >= b[1] or b[0] >= a[1] or a[2] >= b[3] or b[2] >= a[3]
                assert apart, f"{one} lies on {other}"
    opened.close()
