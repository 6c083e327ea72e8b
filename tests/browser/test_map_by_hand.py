"""Maps as a person uses them: pins dropped, dragged and set by keyboard, signs walked through by
keyboard, and a metric grid where there are no tiles.
"""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser, Page, Request, expect

from scout.records import LocationRecord
from scout.settings import Settings
from scout.usecases import locations, rooms
from scout.usecases.work import open_work
from tests.browser.test_sighting_by_hand import opened, prepared

pytestmark = pytest.mark.browser


def position(page: Page, of: str = "") -> tuple[float, float]:
    lat, lon = (
        page.locator(f"#{of}{name}_deg").input_value() for name in ("latitude", "longitude")
    )
    return float(lat), float(lon)


def test_pins_give_coordinates_and_the_facing_stays(
    browser: Browser, address: str, embedded: Settings
) -> None:
    room = prepared(embedded)
    page = opened(browser, address, "/locations/1/edit")
    box = page.locator(".map").bounding_box()
    assert box is not None
    middle = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    before = position(page)
    assert before == (52.2, 0.12)

    # tapped north-east of the middle, where the place is: latitude and longitude grow
    page.get_by_role("radio", name="Parking").check()
    page.mouse.click(middle[0] + 60, middle[1] - 60)
    parking = position(page, "parking_at-")
    assert parking[0] > before[0]
    assert parking[1] > before[1]
    assert position(page) == before, "the other pins stay"

    # dragged to the west
    pin = page.get_by_title("Pin of the place").bounding_box()
    assert pin is not None
    page.mouse.move(pin["x"] + pin["width"] / 2, pin["y"] + pin["height"] / 2)
    page.mouse.down()
    page.mouse.move(pin["x"] + pin["width"] / 2 - 80, pin["y"] + pin["height"] / 2, steps=5)
    page.mouse.up()
    dragged = position(page)
    assert dragged[1] < before[1]
    assert dragged[0] == pytest.approx(before[0], abs=1e-4)

    # by keyboard alone: the map moved with the arrows, the pin set in its middle
    page.get_by_role("radio", name="Door").focus()
    page.keyboard.press("Space")
    page.locator(".map").focus()
    page.keyboard.press("ArrowUp")
    page.wait_for_timeout(400)
    page.get_by_role("button", name="Set it in the middle of the map").press("Enter")
    door = position(page, "door_at-")
    assert door[0] > before[0]
    expect(page.locator("[data-pin-said]")).to_contain_text("Door")

    page.get_by_role("button", name="Save the location").last.click()
    expect(page).to_have_url(f"{address}/locations/1")
    with open_work(embedded) as work:
        kept = locations.location(work, 1).kept.record
        assert (kept.latitude_deg, kept.longitude_deg) == dragged
        assert kept.door_at is not None
        assert (kept.door_at.latitude_deg, kept.door_at.longitude_deg) == door
        facing = rooms.room(work, room).kept.record.facing
        assert facing is not None
        assert (facing.wall, facing.bearing_deg) == ("A", 90)


def test_a_pair_that_is_pasted_fills_both_fields(
    browser: Browser, address: str, embedded: Settings
) -> None:
    prepared(embedded)
    page = opened(browser, address, "/locations/1/edit")
    for text, wanted in (
        ("51.4545, -2.5879", (51.4545, -2.5879)),
        ("geo:-41.3012,174.7701?z=18", (-41.3012, 174.7701)),
    ):
        page.locator("#latitude_deg").evaluate(
            """(box, text) => { const data = new DataTransfer(); data.setData("text", text);
            box.dispatchEvent(new ClipboardEvent("paste", {clipboardData: data, cancelable: true})); }""",
            text,
        )
        assert position(page) == wanted


def test_the_map_without_tiles_is_a_grid_walked_by_keyboard(
    browser: Browser, address: str, embedded: Settings
) -> None:
    prepared(embedded)
    with open_work(embedded) as work:
        locations.add_location(
            work, LocationRecord(name="Barn", latitude_deg=52.3, longitude_deg=0.12)
        )
    page = opened(browser, address, "/map")
    asked: list[str] = []
    faults: list[str] = []
    page.on("request", lambda request: asked.append(_host(request)))
    page.on("console", lambda line: faults.append(line.text) if line.type == "error" else None)
    page.reload()
    page.wait_for_load_state("networkidle")
    assert set(asked) == {address}
    assert faults == []
    assert page.locator(".map-line").count() > 5
    widths = [box["width"] for box in _boxes(page) if box["width"] > box["height"]]
    assert min(widths) > 200, "lines are drawn across the map"
    assert "A square of the grid is" in page.locator("[data-map-grid]").inner_text()
    expect(page.get_by_role("img", name="North is up")).to_be_visible()
    # by hand: a tenth of a degree of the meridian at 52.25 degrees is 11.13 km; the scale bar and
    # the two signs say the same number of metres a pixel
    bar = page.locator(".leaflet-control-scale-line")
    metres = float(bar.inner_text().removesuffix(" km")) * 1000 / bar.evaluate("e => e.offsetWidth")
    high = [page.get_by_title(name).bounding_box() for name in ("Barn", "Mill")]
    assert high[0]
    assert high[1]
    assert (high[1]["y"] - high[0]["y"]) * metres == pytest.approx(11_126, rel=0.03)

    # the signs in the order of the list, each says its name and leads to its place
    page.locator(".map").focus()
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.title") in {"Barn", "Mill"}
    page.keyboard.press("Enter")
    link = page.locator(".leaflet-popup a[href*='/locations/']")
    expect(link).to_be_focused()
    page.keyboard.press("Enter")
    expect(page).to_have_url(f"{address}/locations/2")


def _host(request: Request) -> str:
    return "/".join(request.url.split("/")[:3])


def _boxes(page: Page) -> list[dict[str, float]]:
    found: list[dict[str, float]] = page.locator(".map-line").evaluate_all(
        "lines => lines.map((line) => line.getBoundingClientRect().toJSON())"
    )
    return found


def test_the_grid_is_metric(browser: Browser, address: str, embedded: Settings) -> None:
    prepared(embedded)
    page = opened(browser, address, "/map")
    ask = "async (latitude) => (await import(document.querySelector('script[data-grid]').dataset.grid))"
    # Source: lengths of a degree of latitude and of longitude on WGS 84, as geographies tabulate
    # them in metres
    for latitude, north, east in (
        (0, 110574, 111320),
        (15, 110649, 107550),
        (30, 110852, 96486),
        (45, 111132, 78847),
        (-60, 111412, 55800),
        (75, 111618, 28902),
    ):
        assert page.evaluate(f"{ask}.metresPerDegree(latitude)", latitude) == pytest.approx(
            [north, east], abs=2
        )
    # property: lines stand at 1, 2 or 5 times a power of ten of the reader's unit
    assert page.evaluate(f"{ask}.spacing(0.5, 'metric')", 0) == [50, "50 m"]
    assert page.evaluate(f"{ask}.spacing(20, 'metric')", 0) == [2000, "2 km"]
    assert page.evaluate(f"{ask}.spacing(0.5, 'feet')", 0) == pytest.approx([60.96, "200 ft"])
