"""One address of every rule of the application, seen as a phone and as a desk shows it: what
somebody without eyes, mouse or colours meets there.

Expected: axe-core (the open rules of Deque for WCAG 2.2 A and AA, and its good practice) finds
nothing.
"""

from __future__ import annotations

import shutil
import time
from collections.abc import Iterator
from datetime import UTC, datetime
from functools import partial
from io import BytesIO
from pathlib import Path
from typing import Any

import axe_playwright_python
import pytest
from flask import Flask, url_for
from flask.testing import FlaskClient
from PIL import Image
from playwright.sync_api import Browser, Page, Route
from reportlab.pdfgen.canvas import Canvas
from sqlalchemy import select

from scout.records import GateRecord, LinkRecord, NoteRecord, ProductionRecord, SetupRecord
from scout.records.people import Invited
from scout.settings import Settings
from scout.store import engine as databases
from scout.store import models
from scout.usecases import (
    gates,
    inviting,
    notes,
    people,
    photos,
    printings,
    productions,
    recordings,
    revisions,
    setups,
    sharing,
)
from scout.usecases.packets import Wanted
from scout.usecases.work import Who, Work, open_work
from scout.web.app import create_app
from scout.web.people import HALF
from tests.days import bare_demo, scene
from tests.media.recordings.made import plain_wav, sine

pytestmark = pytest.mark.browser
HERE = "http://sillbook.test"
PHONE, DESK = {"width": 390, "height": 844}, {"width": 1280, "height": 900}
AXE = (Path(axe_playwright_python.__file__).parent / "axe.min.js").read_text(encoding="utf-8")
# colours do not depend on how wide the page is, and take longer than all the rest
RUN = """async (colours) => (await axe.run(document, {
    resultTypes: ["violations"], preload: false, rules: {"label-content-name-mismatch": {enabled: true},
    "color-contrast": {enabled: colours}}})).violations.map(
    (one) => `${one.id}: ${one.nodes.length} x ${one.nodes[0].html.slice(0, 200)}`)"""
# not pages, though their addresses have no ending; the first user's page is gone once there is one
NO_PAGES = {
    *("photos.original", "sound.play", "sound.original", "plan.figures", "files.take"),
    *("leaving.take", "day.hours"),
    *("static", "map.library", "outbox.token", "people.first_user"),
    *("watching.health", "watching.ready", "watching.metrics"),
}
STRANGERS = {"people.log_in", "codes.ask", "people.join", "shares.shown", "packets.standing"}


def given(work: Work) -> dict[str, dict[str, Any]]:
    """A value for each part of an address, of what the demonstration holds and is given here; under
    the name of a rule those that are its own.
    """
    # of the scene with one room alone: what is compared and planned is soon worked out
    candidate = work.db.scalars(select(models.Candidate).order_by(-models.Candidate.id)).first()
    assert candidate is not None
    room, of = candidate.room_id, candidate.scene_id
    window = work.db.scalars(select(models.Window).where(models.Window.room_id == room)).first()
    assert window is not None
    job = productions.add_production(work, ProductionRecord(title="One day"))
    tea = scene(work, job, room, "Tea", "2026-06-20")
    picture = BytesIO()
    Image.new("RGB", (800, 600), (190, 180, 150)).save(picture, "JPEG")
    picture.seek(0)
    sound = BytesIO(plain_wav(sine(48_000, 1, 1000, -20), 48_000))
    note = NoteRecord.read({"text": "Radiator.", "audience": "crew"})
    invited = Invited(name="Rua", email="rua@example.org", role="crew")
    printed, place = printing(work, job), work.db.get_one(models.Room, room).location_id
    return {
        "": {
            "location_id": place,
            "room_id": room,
            "photo_id": photos.add_photo(work, "room", room, picture, "out.jpg").id,
            "production_id": job,
            "scene_id": of,
            "candidate_id": candidate.id,
            "setup_id": setups.add_setup(work, candidate.id, SetupRecord()),
            "gate_id": gates.add(work, place, GateRecord(label="Garden gate", code="4711")),
            "note_id": notes.add_note(work, "room", room, note),
            "part_id": window.id,
            "owner_id": room,
            "owner": "room",
            "kind": "windows",
            "topic": "space",
            "way": "map",
            "name": "A",
            "change_id": 1,
            "packet_id": printed,
            "revision": 1,
            "which": "whole__a4_metric",
            "of": "scenes",
            "key": of,
        },
        "sound.recording": {"key": recordings.add_recording(work, room, sound, "tone.wav")},
        "packets.making": {"key": printings.ask(work, job, Wanted())},
        "packets.standing": {"token": revisions.code_of(work, job)},
        "shares.shown": {"token": sharing.make_link(work, "choice", tea, LinkRecord(name="Ines"))},
        "scenes.client": {"scene_id": tea},  # of one room on one day: soon worked out
        "people.join": {"token": inviting.invite(work, invited)},
    }


def printing(work: Work, job: int) -> int:
    """The key of a print of a production, as it is kept."""
    row = models.Packet(
        production_id=job,
        revision=1,
        made_at=datetime(2026, 6, 1, tzinfo=UTC),
        edition="whole",
        paper="a4",
        pages=1,
        sha256="0" * 64,
        changes=[],
        held={},
    )
    work.db.add(row)
    work.commit()
    folder = work.settings.data_dir / "packets"
    folder.mkdir()
    paper = Canvas(str(folder / f"{row.id}.pdf"))
    paper.drawString(100, 100, "a print")
    paper.save()
    return row.id


def addresses(app: Flask, known: dict[str, dict[str, Any]]) -> dict[str, str]:
    """One address of every rule whose page can be opened. A new rule without one fails here."""
    found = {}
    with app.test_request_context():
        for rule in app.url_map.iter_rules():
            of_programs = rule.endpoint.startswith("api.") and rule.endpoint != "api.show"
            ending = "." in rule.rule.rpartition("/")[2]
            if "GET" not in (rule.methods or ()) or of_programs or ending:
                continue
            if rule.endpoint in NO_PAGES:
                continue
            values = known[""] | known.get(rule.endpoint, {})
            found[rule.endpoint] = url_for(
                rule.endpoint, **{name: values[name] for name in rule.arguments}
            )
    found["sighting.trace"] += f"?photo={known['']['photo_id']}"
    return found


@pytest.fixture(scope="module")
def every_page(
    browser: Browser, sqlite_template: Path, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[dict[str, list[str]]]:
    """What axe found at each address."""
    folder = tmp_path_factory.mktemp("every")
    settings = Settings(data_dir=folder / "data")
    settings.data_dir.mkdir()
    shutil.copy(sqlite_template, settings.data_dir / "sillbook.db")
    with open_work(settings) as work:
        bare_demo(work, folder / "demo")
        session = people.begin_session(work, 1)
    with open_work(settings, Who(1, "Ada", "ada@example.org", "owner")) as work:
        known = given(work)
    app = create_app(settings)
    nobody, scout = app.test_client(), app.test_client()
    with scout.session_transaction() as kept:
        kept["_user_id"], kept["_fresh"] = session, True
    with nobody.session_transaction() as kept:  # whose password was right, and who owes a code
        kept[HALF] = (1, "ada@example.org", time.time())
    context = browser.new_context(bypass_csp=True, service_workers="block", base_url=HERE)
    context.add_init_script(AXE)
    context.set_default_timeout(120_000)
    page = context.new_page()
    asked = addresses(app, known)
    found = {}
    for endpoint, path in asked.items():
        client = nobody if endpoint in STRANGERS else scout
        context.unroute_all()
        context.route("**/*", partial(answer, client))
        found[path] = look(page, path)
    yield found
    context.close()
    databases.engine(settings.url).dispose()


def answer(client: FlaskClient, route: Route) -> None:
    """What the application answers, without a server between; nobody waits for pictures."""
    asked = route.request
    if asked.resource_type not in ("document", "stylesheet", "script"):
        route.abort()
        return
    with client.get(asked.url.removeprefix(HERE)) as got:
        route.fulfill(status=got.status_code, headers=dict(got.headers), body=got.data)


def look(page: Page, path: str) -> list[str]:
    """Open one page as a phone, then as a desk."""
    page.set_viewport_size(PHONE)  # type: ignore[arg-type]
    answered = page.goto(path)
    assert answered is not None
    found = [] if answered.status == 200 else [f"answers {answered.status}"]
    for size, colours in ((PHONE, True), (DESK, False)):
        page.set_viewport_size(size)  # type: ignore[arg-type]
        found += [f"{size['width']} px: {one}" for one in page.evaluate(RUN, colours)]
    return found


def test_axe_finds_nothing(every_page: dict[str, list[str]]) -> None:
    assert len(every_page) > 65
    assert {path: faults for path, faults in every_page.items() if faults} == {}
