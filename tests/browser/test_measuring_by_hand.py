"""A window measured on a photo with a finger, at 390 px, and a point moved by keys."""

from __future__ import annotations

from io import BytesIO

import pytest
from playwright.sync_api import Browser, expect

from scout.records import LocationRecord, Person, RoomRecord
from scout.settings import Settings
from scout.usecases import locations, people, photos, rooms
from scout.usecases.work import open_work
from tests.browser.conftest import EMAIL, PASSWORD, log_in
from tests.media.photos.drawn import text
from tests.web.test_measuring import AGAIN, TAPPED, photo

pytestmark = pytest.mark.browser


def prepared(settings: Settings) -> int:
    with open_work(settings) as work:
        people.add_person(work, Person(name="Ada", email=EMAIL), PASSWORD)
        place = locations.add_location(work, LocationRecord(name="Mill"))
        record = RoomRecord.read({"name": "Loft", "width_m": 5, "length_m": 6.5})
        room = rooms.add_room(work, place, record)
        key = photos.add_photo(work, "room", room, BytesIO(photo()), "wall.jpg").id
        later = photo(original=text(0x9003, "2026:06:21 11:00:40"))
        photos.add_photo(work, "room", room, BytesIO(later), "again.jpg")
        return key


def test_a_window_in_so_many_taps(browser: Browser, address: str, embedded: Settings) -> None:
    key = prepared(embedded)
    opened = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True)
    page = opened.new_page()
    log_in(page, address)
    page.goto(f"{address}/photos/{key}/measure")
    board = page.locator(".measure")
    told = page.locator("[data-measure-said]")
    expect(told).to_contain_text("upper left corner")

    board.evaluate("board => board.scrollIntoView()")
    taps = 0
    for name in ("first_at", "thing_at", "left_at", "floor_at"):
        for line in TAPPED[name].splitlines():
            x, y = map(float, line.split(", "))
            box = board.bounding_box()
            assert box is not None
            # pressed a little off, then moved under the loupe to where it should be
            page.mouse.move(box["x"] + x * box["width"] + 9, box["y"] + y * box["height"] + 9)
            page.mouse.down()
            expect(page.locator(".loupe")).to_be_visible()
            page.mouse.move(box["x"] + x * box["width"], box["y"] + y * box["height"])
            page.mouse.up()
            expect(page.locator(".loupe")).to_be_hidden()
            taps += 1
    # the last point of the window again, by keys: one pixel of the picture to the right and back
    corners = page.locator("#thing_at")
    page.get_by_role("button", name="What to measure 4/4").click()
    board.evaluate("board => board.scrollIntoView()")
    before = corners.input_value().splitlines()
    x, y = map(float, before[3].split(", "))
    box = board.bounding_box()
    assert box is not None
    page.mouse.click(box["x"] + x * box["width"], box["y"] + y * box["height"])
    held = float(corners.input_value().splitlines()[3].split(", ")[0])
    page.keyboard.press("ArrowRight")
    moved = float(corners.input_value().splitlines()[3].split(", ")[0])
    assert moved - held == pytest.approx(1 / 1600, abs=2e-5)
    page.keyboard.press("ArrowLeft")
    page.locator(".main-button").click()
    expect(page.locator("#found")).to_contain_text("wide")

    # a finger is worse than a tape here, and the room's other photo is offered
    page.get_by_role("button", name="again.jpg").click()
    second = page.locator('[data-measure="again_"]')
    board = second.locator(".measure")
    expect(board).to_be_in_viewport()
    for name in ("again_first_at", "again_thing_at"):
        expect(second.locator("[data-measure-said]")).to_contain_text("upper left corner")
        for line in AGAIN[name].splitlines():
            x, y = map(float, line.split(", "))
            box = board.bounding_box()
            assert box is not None
            page.mouse.click(box["x"] + x * box["width"], box["y"] + y * box["height"])
    assert len(page.locator("#again_thing_at").input_value().splitlines()) == 4
    assert page.locator("#thing_at").input_value().splitlines()[:3] == before[:3]
    page.locator(".main-button").click()
    expect(page.locator("#found")).to_contain_text("wide")
    expect(page.locator("[name=along]")).to_have_count(0)
    page.select_option("#into", "windows:new")
    page.select_option("#onto", "A")
    page.get_by_role("button", name="Keep it").click()
    page.wait_for_url("**/recorded*")
    # of one photo: four corners of the sheet, four of the window, two points; measure, two choices, keep
    assert taps + 4 == 14
    with open_work(embedded, reading=True) as work:
        (window,) = rooms.room(work, 1).parts["windows"]
        # a finger on 390 px is a pixel of four of the picture: 5 cm is what it may miss by here
        assert window.record.width_m == pytest.approx(1.2, abs=0.05)
        assert window.record.offset_m == pytest.approx(1.0, abs=0.05)
    opened.close()
