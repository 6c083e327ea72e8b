"""The plan changed by mouse, by touch and by keyboard in a real browser, undone, kept, and read
again.
"""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Browser, Page, expect
from pypdf import PdfReader

from scout.pages.packet.printing import PRINTER
from scout.records import (
    CandidateRecord,
    Kit,
    LocationRecord,
    Marks,
    Person,
    ProductionRecord,
    RoomRecord,
    SceneRecord,
)
from scout.settings import Settings
from scout.usecases import locations, packets, people, productions, revisions, rooms
from scout.usecases.work import open_work
from tests.browser.conftest import EMAIL, PASSWORD, log_in

pytestmark = pytest.mark.browser


def prepared(settings: Settings) -> int:
    """A room with marks, proposed for a scene with a small kit."""
    with open_work(settings) as work:
        people.add_person(work, Person(name="Ada", email=EMAIL), PASSWORD)
        place = locations.add_location(work, LocationRecord(name="Mill"))
        room = rooms.add_room(
            work,
            place,
            RoomRecord.read(
                {
                    "name": "Loft",
                    "setting": "interior",
                    "width_m": 5,
                    "length_m": 6.5,
                    "height_m": 2.7,
                    "doors": [
                        {"id": "D1", "wall": "C", "offset_m": 0.4, "width_m": 0.83, "height_m": 2.0}
                    ],
                }
            ),
        )
        rooms.save_marks(
            work,
            room,
            rooms.room(work, room).kept.version,
            Marks.read({"subject": [2.5, 3.0, 1.2], "camera": [2.5, 0.8, 1.4]}),
        )
        kit = Kit.read(
            {
                "camera": {
                    "sensor_width_mm": 24.9,
                    "sensor_height_mm": 14,
                    "focal_lengths_mm": [35, 85],
                },
                "lights": [{"id": "key", "lux_at_1m": 9000}, {"id": "fill", "lux_at_1m": 3000}],
            }
        )
        job = productions.add_production(work, ProductionRecord(title="Film", kit=kit))
        productions.add_candidate(
            work,
            productions.add_scene(work, job, SceneRecord(name="The talk")),
            room,
            CandidateRecord(),
        )
        return room


def place_of(page: Page, name: str) -> tuple[float, float]:
    return float(page.input_value(f'[name="at-{name}-x"]')), float(
        page.input_value(f'[name="at-{name}-y"]')
    )


def place_of_prefix(page: Page, prefix: str) -> tuple[float, ...]:
    return tuple(float(page.input_value(f'[name="{prefix}-{axis}"]')) for axis in "xyz")


def middle(page: Page, name: str) -> tuple[float, float]:
    box = page.locator(f'[data-mover="{name}"] .plan-mark').bounding_box()
    assert box is not None
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


MM = 0.001  # places are kept to the millimetre


def opened(browser: Browser, address: str, room: int, **context: object) -> Page:
    page = browser.new_context(**context).new_page()  # type: ignore[arg-type]
    log_in(page, address)
    page.goto(f"{address}/rooms/{room}/plan")
    return page


def test_mouse_keyboard_undo_and_keep(browser: Browser, address: str, embedded: Settings) -> None:
    page = opened(browser, address, prepared(embedded), viewport={"width": 1280, "height": 900})
    figures = page.locator("[data-plan-figures]")
    was, shown = place_of(page, "key"), figures.inner_text()
    scale = (
        page.evaluate("document.querySelector('[data-plan]').getScreenCTM().a") * 100
    )  # pixels a metre
    x, y = middle(page, "key")
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x - 0.5 * scale, y - 0.25 * scale, steps=5)
    page.mouse.up()
    # by hand: dragged half a metre left and a quarter up the drawing, to a pixel
    assert place_of(page, "key") == pytest.approx((was[0] - 0.5, was[1] + 0.25), abs=1.5 / scale)
    expect(figures).not_to_have_text(shown)
    moved = place_of(page, "key")

    x, y = place_of(page, "camera")
    page.locator('[data-mover="camera"]').focus()
    page.keyboard.press("ArrowUp")
    page.keyboard.press("Shift+ArrowRight")
    assert place_of(page, "camera") == pytest.approx((x + 0.25, y + 0.05), abs=MM)  # 25 cm, 5 cm
    page.get_by_role("button", name="Undo").click()
    assert place_of(page, "camera") == pytest.approx((x, y + 0.05), abs=MM)
    page.keyboard.press("Control+z")
    page.keyboard.press("Control+z")
    assert place_of(page, "camera") == pytest.approx((x, y), abs=MM)
    assert place_of(page, "key") == pytest.approx(was)
    expect(page.get_by_role("button", name="Undo")).to_be_disabled()
    page.keyboard.press("Control+Shift+z")
    assert place_of(page, "key") == pytest.approx(moved)
    page.keyboard.press("Control+y")
    assert place_of(page, "camera") == pytest.approx((x, y + 0.05), abs=MM)
    page.keyboard.press("Control+z")
    page.get_by_role("button", name="Undo").click()
    page.get_by_role("button", name="Redo").click()
    assert place_of(page, "key") == pytest.approx(moved)
    page.get_by_role("button", name="Keep the plan for this scene").click()
    page.wait_for_load_state()
    expect(page.locator("main")).to_contain_text("Kept with the scene")
    page.reload()
    assert place_of(page, "key") == pytest.approx(moved)
    page.get_by_role("link", name="Light, power and shot plan as printed").click()
    expect(page.locator("main")).to_contain_text("As drawn by hand and kept for the scene")
    # by hand: walls B and C stand at x = 5 and y = 0
    expect(page.locator("svg.drawing desc").first).to_contain_text(
        re.compile(rf"{5 - moved[0]:.2f}\sm off (wall )?B")
    )
    page.context.close()
    with open_work(embedded) as work:
        job = productions.find_productions(work).items[0].id
        printed = packets.print_packet(work, job, PRINTER)
        path, _ = revisions.packet_file(work, printed.id)
        words = " ".join(" ".join(page.extract_text().split()) for page in PdfReader(path).pages)
    assert f"{5 - moved[0]:.2f} off B" in words


def test_aim_boom_facing_walk_and_height(
    browser: Browser, address: str, embedded: Settings
) -> None:
    page = opened(browser, address, prepared(embedded), viewport={"width": 1280, "height": 900})
    figures = page.locator("[data-plan-figures]")
    page.get_by_role("button", name="Add the boom").click()
    # by hand: the camera stands straight below the subject in plan, so 0.3 m towards it is y = 2.7;
    # 0.6 m over 1.2 m
    assert place_of_prefix(page, "boom") == pytest.approx((2.5, 2.7, 1.8))
    page.keyboard.press("PageUp")
    assert place_of_prefix(page, "boom")[2] == pytest.approx(1.85)
    expect(figures).to_contain_text("The boom hangs 0.72 m")  # by hand: sqrt(0.3^2 + 0.65^2)
    page.locator('[data-mover="subject"]').focus()
    page.keyboard.press("]")
    assert (
        page.input_value('[name="facing"]') == "185"
    )  # towards the camera is straight down the drawing, 180; a step is 5 degrees
    page.get_by_role("button", name="Add a mark of the walk").click()
    assert place_of_prefix(page, "path-1") == pytest.approx((2.0, 3.0, 1.2))
    assert place_of_prefix(page, "path-2") == pytest.approx((3.0, 3.0, 1.2))
    page.keyboard.press("Delete")
    assert page.input_value('[name="path-1-x"]') == ""
    page.keyboard.press("Control+z")
    page.locator("summary", has_text="Places as numbers").click()
    page.locator("summary", has_text="Where the lights are aimed").click()
    page.select_option('[name="aim-key"]', "place")
    assert place_of_prefix(page, "aim-key") == pytest.approx((2.5, 3.0, 1.2))
    page.locator('[data-mover="aim-key"]').focus()
    page.keyboard.press("Shift+ArrowUp")
    assert place_of_prefix(page, "aim-key")[1] == pytest.approx(3.25)
    page.get_by_role("button", name="Keep the plan for this scene").click()
    page.wait_for_load_state()
    expect(page.locator("main")).to_contain_text("Kept with the scene")
    assert place_of_prefix(page, "aim-key") == pytest.approx((2.5, 3.25, 1.2))
    assert place_of_prefix(page, "boom") == pytest.approx((2.5, 2.7, 1.85))
    assert page.input_value('[name="facing"]') == "185"
    names = page.evaluate("""() => [...document.querySelectorAll('.mover:not([visibility=hidden]) .plan-name')]
        .map((one) => { const box = one.getBoundingClientRect(); return [one.textContent, box.left, box.top, box.right, box.bottom]; })""")
    for i, (a, l1, t1, r1, b1) in enumerate(names):
        for b, l2, t2, r2, b2 in names[i + 1 :]:
            assert min(r1, r2) - max(l1, l2) <= 1 or min(b1, b2) - max(t1, t2) <= 4, (
                f"{a} runs over {b}"
            )
    page.context.close()


def test_what_stands_nowhere_yet_is_put_where_the_floor_is_tapped(
    browser: Browser, address: str, embedded: Settings
) -> None:
    room = prepared(embedded)
    with open_work(embedded) as work:
        rooms.save_marks(work, room, rooms.room(work, room).kept.version, Marks())
    page = opened(browser, address, room, viewport={"width": 1280, "height": 900})
    board = page.locator("[data-plan]")
    expect(page.locator(".plan-field")).to_have_count(0)
    page.get_by_role("button", name="Place the subject").click()
    scale = page.evaluate("document.querySelector('[data-plan]').getScreenCTM().a")
    # by hand: the wall's corner is 60 cm from the drawing's edge, and the room 6.5 m long
    left = page.evaluate("document.querySelector('[data-plan]').getScreenCTM().e")
    box = board.bounding_box()
    assert box is not None
    spot = {"x": left - box["x"] + (60 + 250) * scale, "y": (60 + 350) * scale}
    board.click(position=spot)
    assert place_of(page, "subject") == pytest.approx((2.5, 3.0), abs=0.03)
    assert place_of_prefix(page, "at-subject")[2] == 1.2
    expect(page.get_by_role("button", name="Place the subject")).to_be_hidden()
    page.get_by_role("button", name="Place the camera").focus()
    page.keyboard.press("Enter")  # by keys it comes to the middle
    assert place_of(page, "camera") == pytest.approx((2.5, 3.25))
    page.keyboard.press("Enter")
    expect(page.locator('[name="at-camera-x"]')).to_be_focused()
    page.locator('[data-mover="camera"]').focus()
    page.keyboard.press("Shift+ArrowDown")
    for _ in range(8):
        page.keyboard.press("Shift+ArrowDown")
    expect(page.locator(".plan-field")).to_have_count(2)  # one pair of lines for each of its lenses
    expect(page.locator(".plan-millimetres")).to_contain_text(["35 mm", "85 mm"])
    page.get_by_role("button", name="Undo").click()
    page.context.close()


def test_feet_and_inches_are_typed_and_written(
    browser: Browser, address: str, embedded: Settings
) -> None:
    page = opened(browser, address, prepared(embedded), viewport={"width": 1280, "height": 900})
    page.get_by_role("button", name="feet").click()
    page.wait_for_load_state()
    page.locator("summary", has_text="Places as numbers").click()
    page.fill('[name="at-key-x"]', "13' 1 1/2\"")
    page.locator('[name="at-key-y"]').focus()
    # by hand: 157.5 in are 4.0005 m, drawn 60 + 400.05 cm from the left
    expect(page.locator('[data-mover="key"]')).to_have_attribute(
        "transform", re.compile(r"translate\(460\.[01] ")
    )
    page.locator('[data-mover="key"]').focus()
    page.keyboard.press("ArrowRight")
    assert page.input_value('[name="at-key-x"]') == "13' 3 1/2\""  # a step is two inches
    page.fill('[name="at-key-x"]', "13")
    page.get_by_role("button", name="Keep the plan for this scene").click()
    page.wait_for_load_state()
    expect(page.locator("main")).to_contain_text("has no unit")
    assert page.input_value('[name="at-key-x"]') == "13"  # nothing typed is lost
    page.context.close()


def test_touch_on_a_phone(browser: Browser, address: str, embedded: Settings) -> None:
    page = opened(
        browser,
        address,
        prepared(embedded),
        viewport={"width": 390, "height": 844},
        has_touch=True,
        is_mobile=True,
    )
    page.locator("[data-plan]").scroll_into_view_if_needed()
    was = place_of(page, "subject")
    x, y = middle(page, "subject")
    scale = page.evaluate("document.querySelector('[data-plan]').getScreenCTM().a") * 100
    touch = page.context.new_cdp_session(page)
    touch.send(
        "Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": [{"x": x, "y": y}]}
    )
    for part in range(1, 6):
        touch.send(
            "Input.dispatchTouchEvent",
            {"type": "touchMove", "touchPoints": [{"x": x + part * scale / 10, "y": y}]},
        )
    touch.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
    assert place_of(page, "subject") == pytest.approx((was[0] + 0.5, was[1]), abs=2.0 / scale)
    assert page.evaluate(
        "document.documentElement.scrollWidth <= document.documentElement.clientWidth"
    )
    small = page.evaluate("""() => [...document.querySelectorAll('.mover:not([visibility=hidden])')].filter((one) => one.dataset.kind !== 'block')
        .filter((one) => one.querySelector('.plan-grip').getBoundingClientRect().width < 44).map((one) => one.dataset.mover)""")
    assert small == []  # WCAG 2.5.5: a target is 44 px wide and high
    page.context.close()


def test_without_scripts_the_form_does_the_same(
    browser: Browser, address: str, embedded: Settings
) -> None:
    page = opened(browser, address, prepared(embedded), java_script_enabled=False)
    page.locator("summary", has_text="Places as numbers").click()
    page.fill('[name="at-key-x"]', "3.5")
    page.fill('[name="at-key-y"]', "2")
    page.fill('[name="at-key-z"]', "2.2")
    page.get_by_role("button", name="Update").click()
    page.wait_for_load_state()
    expect(page.locator("[data-plan-figures]")).to_contain_text(
        "3,000"
    )  # by hand: 9000 / (1 + 1 + 1) lx
    page.get_by_role("button", name="Keep the plan for this scene").click()
    page.wait_for_load_state()
    expect(page.locator("main")).to_contain_text("Kept with the scene")
    page.context.close()
