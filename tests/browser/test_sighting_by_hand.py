"""The needle of north turned, and a skyline traced on a photo, by pointer and by keyboard in a real
browser.
"""

from __future__ import annotations

from io import BytesIO

import pytest
from PIL import Image
from playwright.sync_api import Browser, Page

from scout.records import LocationRecord, Person, RoomRecord
from scout.settings import Settings
from scout.usecases import locations, people, photos, rooms
from scout.usecases.work import open_work
from tests.browser.conftest import EMAIL, PASSWORD, log_in

pytestmark = pytest.mark.browser


def prepared(settings: Settings) -> int:
    """A room whose wall A faces east, with a photo of 4:3."""
    with open_work(settings) as work:
        people.add_person(work, Person(name="Ada", email=EMAIL), PASSWORD)
        place = locations.add_location(
            work,
            LocationRecord(
                name="Mill", latitude_deg=52.2, longitude_deg=0.12, timezone="Europe/London"
            ),
        )
        room = rooms.add_room(
            work,
            place,
            RoomRecord.read(
                {
                    "name": "Loft",
                    "setting": "interior",
                    "width_m": 5,
                    "length_m": 6.5,
                    "facing": {"wall": "A", "bearing_deg": 90, "north": "true"},
                }
            ),
        )
        picture = BytesIO()
        Image.new("RGB", (800, 600), (90, 120, 160)).save(picture, "JPEG")
        picture.seek(0)
        photos.add_photo(work, "room", room, picture, "out.jpg")
        return room


def opened(browser: Browser, address: str, path: str) -> Page:
    page = browser.new_context(viewport={"width": 1280, "height": 1100}).new_page()
    log_in(page, address)
    page.goto(f"{address}{path}")
    return page


def test_the_needle_by_mouse_and_keyboard(
    browser: Browser, address: str, embedded: Settings
) -> None:
    room = prepared(embedded)
    page = opened(browser, address, f"/rooms/{room}/daylight/facing")
    dial, bearing = page.locator("[data-dial] svg"), page.locator("#facing-bearing_deg")
    assert dial.get_attribute("aria-valuenow") == "90"
    box = dial.bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y - 100)
    page.mouse.down()
    page.mouse.move(x + 100, y, steps=4)
    page.mouse.up()
    # by hand: north to the right of the plan, and wall A at its top: who looks out through A looks
    # west
    assert float(bearing.input_value()) == pytest.approx(270.0, abs=0.2)
    dial.focus()
    page.keyboard.press("Shift+ArrowRight")
    page.keyboard.press("ArrowLeft")
    # by hand: north ten degrees on and one back, clockwise: the bearing falls by nine
    assert float(bearing.input_value()) == pytest.approx(261.0, abs=0.2)
    bearing.fill("45")
    bearing.press("Tab")
    assert dial.get_attribute("aria-valuenow") == "45"
    page.locator(".actions .main-button").click()
    page.wait_for_url("**/daylight#facing")
    with open_work(embedded, reading=True) as work:
        kept = rooms.room(work, room).kept.record.facing
    assert kept is not None
    assert kept.bearing_deg == 45.0


def test_a_skyline_by_clicks_and_keys(browser: Browser, address: str, embedded: Settings) -> None:
    room = prepared(embedded)
    page = opened(browser, address, f"/rooms/{room}/daylight/skyline")
    page.locator("#trace .photos a").first.click()
    page.wait_for_load_state()
    board, points = page.locator("[data-trace]"), page.locator("#points")
    box = board.bounding_box()
    assert box is not None
    for across, down in ((0.1, 0.4), (0.9, 0.3)):
        board.click(position={"x": box["width"] * across, "y": box["height"] * down})
    board.focus()
    for key in ("Shift+ArrowUp", "Enter", "ArrowRight", "Enter", "Backspace"):
        page.keyboard.press(key)
    lines = [
        [float(part) for part in line.split(",")] for line in points.input_value().splitlines()
    ]
    # by hand: two clicks; then the cross, from the middle, a twentieth up; a further point set and
    # taken away again
    assert [[round(part, 2) for part in line] for line in lines] == [
        [0.1, 0.4],
        [0.9, 0.3],
        [0.5, 0.45],
    ]
    page.fill("#bearing_deg", "180")
    page.fill("#across_deg", "60")
    page.locator(".actions .main-button").click()
    page.wait_for_load_state()
    # by hand: 60 degrees across: tan 30 = 0.577; 0.4 of half the width to either side is atan(0.8 x
    # 0.577) = 24.8 degrees; bearings 155.2, 180 and 204.8
    assert [line.split(";")[0] for line in page.locator("#skyline").input_value().splitlines()] == [
        "155.2",
        "180",
        "204.8",
    ]
    page.locator(".actions .main-button").click()
    page.wait_for_url("**/daylight#skylines")
    with open_work(embedded, reading=True) as work:
        assert len(rooms.room(work, room).kept.record.skyline or ()) == 3
