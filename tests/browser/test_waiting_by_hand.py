"""A page that is being worked out calls nobody back who has gone on to another one."""

from __future__ import annotations

import time

import pytest
from playwright.sync_api import Browser, Route, expect

pytestmark = pytest.mark.browser
SKELETON = """<!doctype html><title>Loft</title><main><p data-waiting="/whole"><span data-waiting-words>
</span><span data-waiting-fault hidden></span></p><a href="/slow">Other</a></main>
<script type="module" src="/static/waiting.js"></script>"""


def test_who_has_tapped_another_page_gets_that_one(browser: Browser, address: str) -> None:
    context = browser.new_context()
    page = context.new_page()
    asked: list[str] = []

    def answer(route: Route) -> None:
        asked.append(route.request.resource_type)
        if asked[-1] == "fetch":
            time.sleep(0.4)  # the figures come while the other page is on its way
        route.fulfill(body=SKELETON, content_type="text/html")

    def slow(route: Route) -> None:
        time.sleep(0.2)
        route.fulfill(body="<title>Slow</title><h1>The other page</h1>", content_type="text/html")

    page.route("**/cold", answer)
    page.route("**/slow", slow)
    page.goto(f"{address}/cold")
    page.get_by_role("link", name="Other").click()
    expect(page.locator("h1")).to_have_text("The other page")
    # who stays gets the page anew as soon as it is whole
    page.goto(f"{address}/cold")
    page.wait_for_function("performance.getEntriesByType('navigation')[0].type === 'reload'")
    context.close()
