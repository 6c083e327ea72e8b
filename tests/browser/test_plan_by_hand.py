"""The plan changed by mouse, by touch and by keyboard in a real browser, undone, kept, and read again."""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser, Page, expect

from scout.records import CandidateRecord, Kit, LocationRecord, Marks, Person, ProductionRecord, RoomRecord, SceneRecord
from scout.settings import Settings
from scout.usecases import locations, people, productions, rooms
from scout.usecases.work import open_work

pytestmark = pytest.mark.browser
PASSWORD = "a long enough one"


def prepared(settings: Settings) -> int:
    """A room with marks, proposed for a scene with a small kit."""
    with open_work(settings) as work:
        people.add_person(work, Person(name="Ada", email="ada@example.org"), PASSWORD)
        place = locations.add_location(work, LocationRecord(name="Mill"))
        room = rooms.add_room(work, place, RoomRecord.read({
            "name": "Loft", "setting": "interior", "width_m": 5, "length_m": 6.5, "height_m": 2.7,
            "doors": [{"id": "D1", "wall": "C", "offset_m": 0.4, "width_m": 0.83, "height_m": 2.0}]}))
        rooms.save_marks(work, room, rooms.room(work, room).kept.version, Marks.read({"subject": [2.5, 3.0, 1.2], "camera": [2.5, 0.8, 1.4]}))
        kit = Kit.read({"camera": {"sensor_width_mm": 24.9, "sensor_height_mm": 14, "focal_lengths_mm": [35, 85]},
                        "lights": [{"id": "key", "lux_at_1m": 9000}, {"id": "fill", "lux_at_1m": 3000}]})
        job = productions.add_production(work, ProductionRecord(title="Film", kit=kit))
        productions.add_candidate(work, productions.add_scene(work, job, SceneRecord(name="The talk")), room, CandidateRecord())
        return room


def place_of(page: Page, name: str) -> tuple[float, float]:
    return float(page.input_value(f'[name="at-{name}-x"]')), float(page.input_value(f'[name="at-{name}-y"]'))


def middle(page: Page, name: str) -> tuple[float, float]:
    box = page.locator(f'[data-mover="{name}"] .plan-mark').bounding_box()
    assert box is not None
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def opened(browser: Browser, address: str, room: int, **context: object) -> Page:
    page = browser.new_context(**context).new_page()  # type: ignore[arg-type]
    page.goto(f"{address}/login")
    page.fill("input[name=email]", "ada@example.org")
    page.fill("input[name=password]", PASSWORD)
    page.locator("main form button").first.click()
    page.wait_for_load_state()
    page.goto(f"{address}/rooms/{room}/plan")
    return page


def test_mouse_keyboard_undo_and_keep(browser: Browser, address: str, embedded: Settings) -> None:
    page = opened(browser, address, prepared(embedded), viewport={"width": 1280, "height": 900})
    figures = page.locator("[data-plan-figures]")
    was, shown = place_of(page, "key"), figures.inner_text()
    scale = page.evaluate("document.querySelector('[data-plan]').getScreenCTM().a") * 100  # pixels a metre
    x, y = middle(page, "key")
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x - 0.5 * scale, y - 0.25 * scale, steps=5)
    page.mouse.up()
    # by hand: dragged half a metre left and a quarter up the drawing, to a pixel
    assert place_of(page, "key") == pytest.approx((was[0] - 0.5, was[1] + 0.25), abs=1.5 / scale)
    expect(figures).not_to_have_text(shown)
    moved = place_of(page, "key")

    page.locator('[data-mover="camera"]').focus()
    page.keyboard.press("ArrowUp")
    page.keyboard.press("Shift+ArrowRight")
    assert place_of(page, "camera") == pytest.approx((2.75, 0.85))  # 5 cm, and 25 cm with Shift
    page.get_by_role("button", name="Undo").click()
    assert place_of(page, "camera") == pytest.approx((2.5, 0.85))
    page.keyboard.press("Control+z")
    page.keyboard.press("Control+z")
    assert place_of(page, "camera") == pytest.approx((2.5, 0.8))
    assert place_of(page, "key") == pytest.approx(was)
    expect(page.get_by_role("button", name="Undo")).to_be_disabled()
    page.get_by_role("button", name="Redo").click()
    assert place_of(page, "key") == pytest.approx(moved)
    page.get_by_role("button", name="Keep the plan for this scene").click()
    page.wait_for_load_state()
    expect(page.locator("main")).to_contain_text("Kept with the scene")
    assert place_of(page, "key") == pytest.approx(moved)
    page.context.close()


def test_touch_on_a_phone(browser: Browser, address: str, embedded: Settings) -> None:
    page = opened(browser, address, prepared(embedded), viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True)
    page.locator("[data-plan]").scroll_into_view_if_needed()
    was = place_of(page, "subject")
    x, y = middle(page, "subject")
    scale = page.evaluate("document.querySelector('[data-plan]').getScreenCTM().a") * 100
    touch = page.context.new_cdp_session(page)
    touch.send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": [{"x": x, "y": y}]})
    for part in range(1, 6):
        touch.send("Input.dispatchTouchEvent", {"type": "touchMove", "touchPoints": [{"x": x + part * scale / 10, "y": y}]})
    touch.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
    assert place_of(page, "subject") == pytest.approx((was[0] + 0.5, was[1]), abs=2.0 / scale)
    assert page.evaluate("document.documentElement.scrollWidth <= document.documentElement.clientWidth")
    page.context.close()


def test_without_scripts_the_form_does_the_same(browser: Browser, address: str, embedded: Settings) -> None:
    page = opened(browser, address, prepared(embedded), java_script_enabled=False)
    page.fill('[name="at-key-x"]', "3.5")
    page.fill('[name="at-key-y"]', "2")
    page.fill('[name="at-key-z"]', "2.2")
    page.get_by_role("button", name="Work it out").click()
    page.wait_for_load_state()
    expect(page.locator("[data-plan-figures]")).to_contain_text("3000")  # by hand: 9000 / (1 + 1 + 1) lx
    page.get_by_role("button", name="Keep the plan for this scene").click()
    page.wait_for_load_state()
    expect(page.locator("main")).to_contain_text("Kept with the scene")
    page.context.close()
