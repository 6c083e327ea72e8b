"""An arrow dragged, a box tapped, words typed on a photo, undone and kept, on a phone's width."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Browser, expect

from scout.settings import Settings
from scout.usecases import photos
from scout.usecases.work import open_work
from tests.browser.conftest import log_in
from tests.browser.test_sighting_by_hand import prepared

pytestmark = pytest.mark.browser


def test_drawn_by_touch_and_by_keyboard(embedded: Settings, address: str, browser: Browser) -> None:
    prepared(embedded)
    page = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True).new_page()
    log_in(page, address)
    page.goto(f"{address}/photos/1")
    board = page.locator("[data-overlays]")
    box = board.bounding_box()
    assert box is not None
    assert box["width"] > 300

    def at(x: float, y: float) -> tuple[float, float]:
        return box["x"] + x * box["width"], box["y"] + y * box["height"]

    drawn, said = board.locator(".drawing desc"), page.locator("[data-overlay-said]")
    page.get_by_role("button", name="Arrow", exact=True).click()
    page.mouse.move(*at(0.25, 0.5))
    page.mouse.down()
    page.mouse.move(*at(0.5, 0.4))
    page.mouse.move(*at(0.75, 0.25))
    page.mouse.up()
    expect(drawn).to_have_text("arrow")
    page.get_by_label("Words beside it").fill("This socket")
    expect(drawn).to_have_text("arrow: This socket")
    page.get_by_role("button", name="Box", exact=True).click()
    page.touchscreen.tap(*at(0.1, 0.1))
    expect(said).to_have_text("Now tap the other corner.")
    page.touchscreen.tap(*at(0.3, 0.3))
    expect(drawn).to_have_text("arrow: This socket; box")
    page.get_by_role("button", name="Undo").click()
    expect(drawn).to_have_text("arrow: This socket")
    # the same by keyboard alone: a further row, its fields, saved
    page.get_by_role("button", name="Add an arrow, box or words").focus()
    page.keyboard.press("Enter")
    page.keyboard.press("w")  # what: words, in the list that has the focus
    for key, text in (("text", "Quiet here"), ("x", "50 %"), ("y", "0.9")):
        page.locator(f"[name=overlays-2-{key}]").fill(text)
    expect(drawn).to_have_text("arrow: This socket; words: Quiet here")
    page.get_by_role("button", name="Save the photo").last.click()
    expect(page).to_have_url(re.compile(r"/rooms/"))
    with open_work(embedded) as work:
        arrow, words = photos.photo_kept(work, 1).record.overlays or ()
    assert (arrow.x, arrow.y) == pytest.approx((0.25, 0.5), abs=0.01)
    assert (arrow.to_x, arrow.to_y) == pytest.approx((0.75, 0.25), abs=0.01)
    assert (words.kind, words.text, words.x, words.y) == ("words", "Quiet here", 0.5, 0.9)
