"""A passkey made and used in Chromium, whose own virtual device (Chrome DevTools Protocol, WebAuthn)
answers.
"""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser, expect

from scout.records import Person
from scout.settings import Settings
from scout.usecases import people
from scout.usecases.work import open_work
from tests.browser.conftest import EMAIL, PASSWORD, log_in

pytestmark = pytest.mark.browser
DEVICE = {
    "protocol": "ctap2",
    "transport": "internal",
    "hasResidentKey": True,
    "hasUserVerification": True,
    "isUserVerified": True,
    "automaticPresenceSimulation": True,
}


def test_a_passkey_is_made_used_and_removed(
    browser: Browser, address: str, embedded: Settings
) -> None:
    with open_work(embedded) as work:
        people.add_person(work, Person(email=EMAIL, name="Ada"), PASSWORD)
    here = address.replace("127.0.0.1", "localhost")  # a key is for a name, never for a number
    page = browser.new_context(service_workers="block").new_page()
    page.goto(f"{address}/login")
    expect(page.get_by_role("button", name="Log in with a passkey")).to_be_hidden()
    device = page.context.new_cdp_session(page)
    device.send("WebAuthn.enable")
    device.send("WebAuthn.addVirtualAuthenticator", {"options": DEVICE})
    log_in(page, here)
    page.goto(f"{here}/code")
    page.fill("#passkey-name", "This phone")
    page.fill("#passkey-old", "not it")
    page.click("text=Make a passkey")
    expect(page.locator("form[data-passkey] [role=status]")).to_contain_text("password")
    page.fill("#passkey-old", PASSWORD)
    page.click("text=Make a passkey")
    expect(page.locator("#passkeys li")).to_contain_text("This phone")

    page.goto("about:blank")  # else an answer on its way to the page sets the cookie again
    page.context.clear_cookies()
    page.goto(f"{here}/login?then=/rooms")
    page.click("text=Log in with a passkey")
    page.wait_for_url(f"{here}/rooms")
    page.goto(f"{here}/code")
    expect(page.locator("#passkeys li")).to_contain_text("last used")
    page.click("#passkeys li button")
    expect(page.locator("#passkeys .empty-box")).to_be_visible()

    page.goto("about:blank")  # else an answer on its way to the page sets the cookie again
    page.context.clear_cookies()
    page.goto(f"{here}/login")
    page.click("text=Log in with a passkey")
    expect(page.locator("form[data-passkey] [role=status]")).to_contain_text("No passkey of ours")
