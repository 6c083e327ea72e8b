"""The comparison on a phone: one room a swipe, the row in its place, by finger and by key."""

from __future__ import annotations

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, expect

from scout.records import (
    CandidateRecord,
    LocationRecord,
    ProductionRecord,
    RoomRecord,
    SceneRecord,
)
from scout.records.kept import Person
from scout.settings import Settings
from scout.usecases import locations, people, productions, rooms
from scout.usecases.work import open_work
from tests.browser.conftest import EMAIL, PASSWORD, log_in

NEEDS = [
    {"topic": "floor", "strength": "must", "width_m": 2, "length_m": 2},
    {"topic": "height", "strength": "must", "height_m": 2.5},
    {"topic": "noise", "strength": "wish", "laeq_db": 35},
    {"topic": "sockets", "strength": "wish", "sockets": 4},
]


def filled(settings: Settings) -> None:
    """Three rooms that all have the floor, one of them too low, each with its own noise."""
    with open_work(settings) as work:
        people.add_person(work, Person(email=EMAIL, name="Ada"), PASSWORD)
        place = locations.add_location(work, LocationRecord(name="Mill"))
        job = productions.add_production(work, ProductionRecord(title="Film"))
        scene = productions.add_scene(work, job, SceneRecord.read({"name": "Talk", "needs": NEEDS}))
        for name, height, noise in (("Loft", 3.0, 30), ("Cellar", 2.2, 28), ("Hall", 3.4, 50)):
            read = {"id": "N1", "laeq_db": noise, "method": "meter_class_1"}
            room = {"name": name, "width_m": 4, "length_m": 6, "height_m": height, "noise": [read]}
            key = rooms.add_room(work, place, RoomRecord.read(room))
            productions.add_candidate(work, scene, key, CandidateRecord())


def left(page: Page, number: int) -> float:
    """How far the head of a candidate begins right of the names of the rows."""
    return float(
        page.evaluate(
            """n => { const row = document.querySelector('.side-by-side thead tr')
              return row.cells[n].getBoundingClientRect().left
                - row.cells[0].getBoundingClientRect().right }""",
            number,
        )
    )


@pytest.mark.browser
def test_one_room_a_swipe_with_the_row_in_its_place(
    browser: Browser, address: str, embedded: Settings
) -> None:
    filled(embedded)
    context = browser.new_context(
        viewport={"width": 390, "height": 844}, has_touch=True, java_script_enabled=True
    )
    page = context.new_page()
    log_in(page, address)
    page.goto(f"{address}/scenes/1/compare")

    # the decision comes before the table
    answer = page.locator(".answer")
    expect(answer).to_contain_text("Take Loft")
    table = page.get_by_role("region", name="Comparison")
    assert answer.bounding_box()["y"] < table.bounding_box()["y"]  # type: ignore[index]
    # what differs stands first, what all meet is folded away
    heads = [text.split("\n")[0] for text in page.locator("tbody th").all_inner_texts()]
    assert heads[0] == "In all"
    assert heads[1].startswith("Ceiling height")
    assert not any(head.startswith("Clear floor") for head in heads)
    folded = page.get_by_text("The same for all")
    assert folded.count() == 1
    # the page itself does not move sideways
    assert page.evaluate("document.documentElement.scrollWidth") == 390

    # one room fills the width beside the names of the rows
    assert left(page, 1) == pytest.approx(0, abs=1)
    assert left(page, 2) >= 390 - 32 - 120
    # and says how many there are, where a row's name and its room are all that is seen
    head, cell = page.locator("thead th").nth(1), page.locator("tbody tr").nth(1).locator("td")
    expect(head.locator(".nth")).to_have_text("1 of 3 rooms ›")
    expect(cell.first.locator(".nth")).to_be_visible()
    expect(cell.last.locator(".nth")).to_have_text("3 of 3 rooms")
    # a swipe that stops short of the next room comes to rest on it, its row in place
    row = page.locator("tbody tr").nth(1)
    before = row.locator("th").bounding_box()
    page.evaluate(
        """() => { const s = document.querySelector('.scroll'); s.scrollBy(s.clientWidth * 0.55, 0) }"""
    )
    page.wait_for_timeout(700)
    assert left(page, 2) == pytest.approx(0, abs=2)
    assert row.locator("th").bounding_box() == before
    # by key: the region takes the focus, and an arrow brings the next room
    table.focus()
    for _ in range(8):
        page.keyboard.press("ArrowRight")
        page.wait_for_timeout(150)
    page.wait_for_timeout(700)
    assert left(page, 3) == pytest.approx(0, abs=2)
    # by its name
    page.get_by_role("navigation", name="Rooms").get_by_text("Loft").click()
    page.wait_for_timeout(700)
    assert left(page, 1) == pytest.approx(0, abs=2)

    # what is required has no weight to type
    page.goto(f"{address}/scenes/1/edit")
    for row, weighs in ((0, False), (2, True)):
        page.locator(f"#needs-{row} summary").click()
        expect(page.locator(f"#needs-{row}-weight")).to_be_visible(visible=weighs)
    page.select_option("#needs-0-strength", "wish")
    expect(page.locator("#needs-0-weight")).to_be_visible()

    found = Axe().run(page, options={"runOnly": ["wcag2a", "wcag2aa", "wcag21aa"]})
    assert found.violations_count == 0, found.generate_report()
    context.close()
