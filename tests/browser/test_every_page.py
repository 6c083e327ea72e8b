"""One address of every rule of the application, opened with the demonstration's data in a real
browser: what somebody without eyes, mouse or colours meets there, how long it is, what it weighs.

Expected: axe-core finds nothing; as decided: four screens of a phone before the first fold, 60 kB.
"""

from __future__ import annotations

import gzip
import shutil
import threading
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date
from io import BytesIO
from pathlib import Path
from typing import Any

import axe_playwright_python
import pytest
import soundfile
import waitress
from flask import Flask
from PIL import Image
from playwright.sync_api import Browser, Page
from sqlalchemy import select

from scout.pages.day import day_plan
from scout.records import NoteRecord, SetupRecord
from scout.settings import Settings
from scout.store import engine as databases
from scout.store import models
from scout.usecases import days, notes, photos, printings, recordings, setups
from scout.usecases.packets import Wanted
from scout.usecases.work import Work, open_work
from scout.web.app import create_app
from tests.days import bare_demo
from tests.media.recordings.made import sine

pytestmark = pytest.mark.browser
PHONE, DESK = {"width": 390, "height": 844}, {"width": 1280, "height": 900}
MOST_SCREENS, MOST_BYTES = 4, 60_000
AXE = (Path(axe_playwright_python.__file__).parent / "axe.min.js").read_text(encoding="utf-8")
RUN = """async () => (await axe.run(document, {
    resultTypes: ["violations"], rules: {"label-content-name-mismatch": {enabled: true}}})).violations.map(
    (one) => `${one.id}: ${one.nodes.length} x ${one.nodes[0].html.slice(0, 200)}`)"""
# a fold of its own right, not the small print of one line
FOLDED_AT = """() => {
    const folds = [...document.querySelectorAll("main details:not([open])")];
    const own = folds.find((one) => one.getClientRects().length && !one.closest(".finding, .assumed"));
    return own ? own.getBoundingClientRect().top + scrollY : document.documentElement.scrollHeight;
}"""


@dataclass
class Seen:
    """What was found on one page."""

    endpoint: str
    path: str
    status: int
    is_page: bool
    size: int
    folded_at_px: float = 0.0
    faults: list[str] = field(default_factory=list)


def keys(work: Work, job: int) -> dict[str, Any]:
    """A value for each part of an address, of what the demonstration holds and is given here."""
    room_id = 1
    picture = BytesIO()
    Image.new("RGB", (800, 600), (190, 180, 150)).save(picture, "JPEG")
    picture.seek(0)
    photo = photos.add_photo(work, "room", room_id, picture, "out.jpg").id
    sound = BytesIO()
    soundfile.write(sound, sine(48_000, 2.0, 100.0, -40.0), 48_000, format="WAV")
    sound.seek(0)
    heard = recordings.add_recording(work, room_id, sound, "hum.wav")
    recordings.measure_recording(work, heard)
    candidate = work.db.scalars(select(models.Candidate).order_by(models.Candidate.id)).first()
    assert candidate is not None
    setup = setups.add_setup(
        work, candidate.id, SetupRecord.read({"on": "2026-06-20", "from_time": "10:00"})
    )
    note = notes.add_note(
        work, "room", room_id, NoteRecord.read({"text": "Radiator.", "audience": "crew"})
    )
    plan = day_plan(work, job)
    days.save_plan(work, job, plan.version, plan.placed)
    window = work.db.scalars(select(models.Window.id).order_by(models.Window.id)).first()
    return {
        "location_id": 1,
        "room_id": candidate.room_id,
        "photo_id": photo,
        "production_id": job,
        "scene_id": candidate.scene_id,
        "candidate_id": candidate.id,
        "setup_id": setup,
        "note_id": note,
        "part_id": window,
        "owner_id": room_id,
        "owner": "room",
        "kind": "windows",
        "topic": "space",
        "which": "plan",
        "way": "map",
        "size": "thumb",
        "token": days.add_calendar(work, job, None),
        "filename": "sillbook.css",
        "heard": heard,
        "asked": printings.ask(work, job, Wanted(on=date(2026, 6, 20))),
    }


def addresses(app: Flask, known: dict[str, Any]) -> Iterator[tuple[str, str]]:
    """One address of every rule that can be opened."""
    with app.test_request_context():
        for rule in app.url_map.iter_rules():
            if "GET" not in (rule.methods or ()) or rule.endpoint == "people.first_user":
                continue
            own = {
                "packets": {"key": known["asked"]},
                "sound": {"key": known["heard"]},
                "parts.surface": {"name": "A"},
                "map.library": {"name": "leaflet.css"},
            }
            values = {
                **known,
                **own.get(rule.endpoint.split(".")[0], {}),
                **own.get(rule.endpoint, {}),
            }
            yield (
                rule.endpoint,
                app.url_map.bind("localhost").build(
                    rule.endpoint, {name: values[name] for name in rule.arguments}
                ),
            )


def look(page: Page, endpoint: str, address: str, path: str) -> Seen:
    """Open one page as a phone, then as a desk."""
    page.set_viewport_size(PHONE)  # type: ignore[arg-type]
    answer = page.goto(f"{address}{path}", wait_until="load")
    assert answer is not None
    body = answer.body()
    seen = Seen(
        endpoint,
        path,
        answer.status,
        answer.headers["content-type"].startswith("text/html"),
        len(gzip.compress(body)),
    )
    if seen.is_page:
        page.wait_for_load_state("networkidle")
        seen.folded_at_px = page.evaluate(FOLDED_AT)
        page.evaluate(f"{AXE}; undefined")
        for size in (PHONE, DESK):
            page.set_viewport_size(size)  # type: ignore[arg-type]
            seen.faults += [f"{size['width']} px: {one}" for one in page.evaluate(RUN)]
    return seen


@pytest.fixture(scope="module")
def every_page(
    browser: Browser, sqlite_template: Path, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[list[Seen]]:
    """What was found on one address of every rule."""
    folder = tmp_path_factory.mktemp("every")
    settings = Settings(data_dir=folder / "data")
    settings.data_dir.mkdir()
    shutil.copy(sqlite_template, settings.data_dir / "sillbook.db")
    with open_work(settings) as work:
        email, password, job = bare_demo(work, folder / "demo")
        known = keys(work, job)
    app = create_app(settings)
    server = waitress.create_server(app, host="127.0.0.1", port=0, threads=4)
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    address = f"http://127.0.0.1:{server.effective_port}"
    context = browser.new_context(bypass_csp=True, service_workers="block")
    context.set_default_timeout(120_000)
    page = context.new_page()
    found = [look(page, "people.log_in", address, "/login")]
    page.fill("input[name=email]", email)
    page.fill("input[name=password]", password)
    page.click("main button")
    page.wait_for_url(f"{address}/")
    for endpoint, path in addresses(app, known):
        if path.endswith((".pdf", ".ics")) or endpoint in {"photos.original", "sound.original"}:
            continue  # a file to keep, which a browser saves and does not show
        found.append(look(page, endpoint, address, path))
    yield found
    context.close()
    server.close()
    thread.join(timeout=10)
    databases.engine(settings.url).dispose()


def test_every_rule_answers(every_page: list[Seen]) -> None:
    assert len({seen.endpoint for seen in every_page if seen.is_page}) > 45
    assert [(seen.path, seen.status) for seen in every_page if seen.status != 200] == []


def test_axe_finds_nothing(every_page: list[Seen]) -> None:
    assert {seen.path: seen.faults for seen in every_page if seen.faults} == {}


def test_a_page_folds_within_four_screens_of_a_phone(every_page: list[Seen]) -> None:
    long = {
        seen.path: round(seen.folded_at_px / PHONE["height"], 1)
        for seen in every_page
        if seen.folded_at_px > MOST_SCREENS * PHONE["height"]
    }
    assert long == {}


def test_no_page_is_heavier_than_60_kb_sent(every_page: list[Seen]) -> None:
    heavy = {seen.path: seen.size for seen in every_page if seen.is_page and seen.size > MOST_BYTES}
    assert heavy == {}
