"""The days as a person plans them: a scene dragged and moved by key, the plan kept, its calendar
read back.
"""

from __future__ import annotations

import re
from datetime import UTC, datetime
from pathlib import Path

import pytest
import vobject
from playwright.sync_api import Browser, Page, expect

from scout.pages.day.plan import day_plan
from scout.settings import Settings
from scout.usecases.work import open_work
from tests.browser.conftest import log_in
from tests.days import bare_demo

SCENE = "The binder talks"


def at(page: Page) -> int:
    """When the scene begins by its row, in minutes after midnight."""
    row = page.locator("tr", has=page.get_by_role("rowheader", name=re.compile(SCENE))).first
    found = re.search(r"(\d\d):(\d\d)", row.locator("td[data-label=Shoot]").inner_text())
    assert found
    return int(found[1]) * 60 + int(found[2])


def unfold(page: Page) -> None:
    page.evaluate("document.querySelectorAll('[data-day] details').forEach((d) => d.open = true)")


@pytest.mark.browser
def test_three_days_are_planned_moved_kept_and_read_back(
    browser: Browser, address: str, embedded: Settings, tmp_path: Path
) -> None:
    with open_work(embedded) as work:
        email, password, job = bare_demo(work, tmp_path / "demo")
        wanted = {row.scene_id: row.scene for row in day_plan(work, job).rows}
    context = browser.new_context(viewport={"width": 390, "height": 844}, accept_downloads=True)
    page = context.new_page()
    log_in(page, address, email, password)
    page.goto(f"{address}/productions/{job}/day")
    expect(page.locator("[data-day-status]")).to_contain_text("Proposed, not kept")
    unfold(page)
    assert page.locator("[data-day-chart]").count() == 3
    before = at(page)

    # dragged along the ruler: by a quarter of its length, and what turns worse is said
    key = next(number for number, name in wanted.items() if name == SCENE)
    bar = page.locator(f"g[id$='-scene-{key}']")
    bar.scroll_into_view_if_needed()
    box = bar.bounding_box()
    assert box
    page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    page.mouse.down()
    page.mouse.move(box["x"] + box["width"] / 2 + 20, box["y"] + box["height"] / 2, steps=4)
    page.mouse.up()
    expect(page.locator("[data-day-status]")).to_contain_text("Tried out, not kept")
    expect(page.locator("[data-day-worse]")).to_be_visible()
    dragged = at(page)
    assert dragged > before
    # property: the next scene was planned as soon as the crew has moved, so this one runs into it
    assert "before the crew is done" in page.locator("[data-day-worse]").inner_text()

    # by key: the button keeps the focus, so that it can be pressed again
    for step in (1, 2):
        button = page.get_by_role("button", name=f"{SCENE}: 15 minutes earlier")
        if step == 1:
            button.focus()
        page.keyboard.press("Enter")
        page.wait_for_function(
            "([name, minutes]) => [...document.querySelectorAll('tr')].some((row) => row"
            ".querySelector('th')?.innerText.includes(name) && row.innerText.includes(minutes))",
            arg=[SCENE, f"{(dragged - 15 * step) // 60:02d}:{(dragged - 15 * step) % 60:02d} to"],
        )
        assert at(page) == dragged - 15 * step

    page.get_by_role("button", name="Keep this plan").click()
    expect(page.locator("[data-day-status]")).to_contain_text("Kept")
    with page.expect_download() as waiting:
        page.get_by_role("link", name="Calendar file").click()
    text = Path(waiting.value.path()).read_text(encoding="utf-8")

    # read back by a library that shares nothing with the one that wrote it
    read = vobject.readOne(text)
    starts = {
        event.summary.value: event.dtstart.value.astimezone(UTC)
        for event in read.contents["vevent"]
    }
    with open_work(embedded, reading=True) as work:
        plan = day_plan(work, job)
    assert plan.kept
    for row in plan.rows:
        assert starts[f"{row.scene}, {row.room}"] == row.begin.astimezone(UTC)
    begins = next(row.begin for row in plan.rows if row.scene == SCENE)
    assert begins.hour * 60 + begins.minute == dragged - 30
    # the days lie in two countries: Auckland's clock is at UTC + 13 in December, Norwich's at
    # UTC + 1 in June (tz database)
    zones = {zone.tzid.value for zone in read.contents["vtimezone"]}
    assert zones == {"Europe/London", "Pacific/Auckland"}
    offsets = {row.on.month: row.begin.utcoffset() for row in plan.rows}
    assert {
        month: offset.total_seconds() / 3600 for month, offset in offsets.items() if offset
    } == {
        6: 1.0,
        12: 13.0,
    }
    assert datetime.now(UTC) > max(event.dtstamp.value for event in read.contents["vevent"])
    context.close()
