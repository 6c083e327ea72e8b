"""A served application on a free port, and the system's Chromium to drive it."""

from __future__ import annotations

import shutil
from collections.abc import Iterator

import pytest
import waitress
from playwright.sync_api import Browser, Page, Playwright, expect, sync_playwright

from scout.cli.work_command import workers
from scout.settings import Settings
from scout.web.app import create_app
from tests.conftest import missing
from tests.web.real_server import started

CHROMIUM = (
    shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
)
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
expect.set_options(
    timeout=60_000
)  # how long a page may take on a busy machine; what never comes still fails
EMAIL = "ada@example.org"
PASSWORD = "a long enough one 77"


def log_in(page: Page, address: str, email: str = EMAIL, password: str = PASSWORD) -> None:
    """As a person who has been added under that address, up to the first page."""
    page.goto(f"{address}/login")
    page.fill("input[name=email]", email)
    page.fill("input[name=password]", password)
    page.click("main form button")
    page.wait_for_url(f"{address}/")


@pytest.fixture
def address(embedded: Settings) -> Iterator[str]:
    """The address of an application with an empty database."""
    server = waitress.create_server(create_app(embedded), host="127.0.0.1", port=0, threads=4)
    thread = started(server)
    with workers(embedded):
        yield f"http://127.0.0.1:{server.effective_port}"
    server.close()
    # the loop goes on as long as the browser holds a connection open, which it does till it is closed
    thread.join(timeout=0.2)


@pytest.fixture(scope="session")
def driver() -> Iterator[Playwright]:
    """What drives browsers: one a process, it allows no second."""
    if CHROMIUM is None:
        missing("no Chromium is installed")
    with sync_playwright() as driver:
        yield driver


@pytest.fixture(scope="session")
def browser(driver: Playwright) -> Iterator[Browser]:
    """The system's Chromium, without a window."""
    opened = driver.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
    yield opened
    opened.close()
