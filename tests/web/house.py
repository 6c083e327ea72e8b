"""An installation with somebody of each role, a place with private facts, and two prints."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from flask import Flask
from reportlab.pdfgen.canvas import Canvas

from scout.records import (
    CandidateRecord,
    GateRecord,
    LocationRecord,
    NoteRecord,
    Person,
    ProductionRecord,
    RoomRecord,
    SceneRecord,
)
from scout.settings import Settings
from scout.store import engine as databases
from scout.store import models
from scout.usecases import gates, locations, notes, people, productions, rooms
from scout.usecases.roles import ROLES
from scout.usecases.work import Who, open_work
from scout.web.app import create_app
from tests.web.conftest import PASSWORD, Browser

# what no crew, client or stranger may read
PRIVATE = ("FEEMARK", "7171.5", "CONTACTMARK", "PRIVATEMARK", "8282.5", "GATEMARK")
GATE = "Zq4711gate"  # a code: on no page at all


@dataclass(frozen=True)
class House:
    """An installation with somebody of each role."""

    app: Flask
    settings: Settings
    keys: dict[str, int]

    sessions: dict[str, Browser] = field(default_factory=dict)
    pages: dict[tuple[int, str], str] = field(default_factory=dict)

    def page(self, browser: Browser, path: str) -> str:
        """What stands on a page, asked for once."""
        key = id(browser), path
        if key not in self.pages:
            self.pages[key] = browser.get(path).text
        return self.pages[key]

    def as_(self, role: str) -> Browser:
        """The session of the person with a role."""
        if role in self.sessions:
            return self.sessions[role]
        browser = Browser(self.app.test_client())
        with browser.client.session_transaction() as session, open_work(self.settings) as work:
            session["_user_id"] = people.begin_session(work, self.keys[role])
            session["_fresh"] = True
        self.sessions[role] = browser
        return browser


def built(template: Path, folder: Path) -> Iterator[House]:
    """A house over a database of its own, for as long as a module's tests ask for it."""
    settings = Settings(data_dir=folder)
    shutil.copy(template, settings.data_dir / "sillbook.db")
    with open_work(settings) as work:
        keys = {
            role: people.add_person(
                work, Person(name=role, email=f"{role}@example.org"), PASSWORD, role=role
            )
            for role in ROLES
        }
    with open_work(settings, Who(1, "owner", "owner@example.org", "owner")) as work:
        place = locations.add_location(
            work,
            LocationRecord.read(
                {
                    "name": "Mill",
                    "latitude_deg": 52.0,
                    "longitude_deg": 0.1,
                    "fee_amount": 7171.5,
                    "fee_currency": "EUR",
                    "fee_note": "FEEMARK",
                    "contacts": [
                        {"name": "Ines", "role": "owner", "phone": "1", "note": "CONTACTMARK"}
                    ],
                }
            ),
        )
        shape = {"name": "Loft", "width_m": 4, "length_m": 5, "height_m": 2.5}
        room = rooms.add_room(work, place, RoomRecord.read({**shape, "setting": "interior"}))
        gates.add(work, place, GateRecord(label="GATEMARK", code=GATE))
        notes.add_note(work, "room", room, NoteRecord(text="PRIVATEMARK", audience="private"))
        notes.add_note(work, "room", room, NoteRecord(text="CREWMARK"))
        job = productions.add_production(
            work, ProductionRecord.read({"title": "Film", "shoot_dates": ["2027-06-20"]})
        )
        budget = {"topic": "budget", "strength": "must", "amount": 8282.5, "currency": "EUR"}
        hours = {"from_time": "10:00", "until_time": "14:00"}
        when = {"topic": "when", "strength": "must", "dates": ["2027-06-20"], **hours}
        scene = productions.add_scene(
            work, job, SceneRecord.read({"name": "Talk", "needs": [budget, when]})
        )
        productions.add_candidate(work, scene, room, CandidateRecord())
    with open_work(settings) as work:
        for number, edition in enumerate(("whole", "production"), 1):
            work.db.add(
                models.Packet(
                    production_id=job,
                    revision=number,
                    made_at=work.now(),
                    edition=edition,
                    paper="a4",
                    pages=1,
                    sha256=str(number) * 64,
                    changes=[],
                    held={},
                )
            )
        work.commit()
        folder = work.settings.data_dir / "packets"
        folder.mkdir(exist_ok=True)
        for number in (1, 2):
            paper = Canvas(str(folder / f"{number}.pdf"))
            paper.drawString(100, 100, f"print {number}")
            paper.save()
    yield House(create_app(settings), settings, keys)
    databases.engine(settings.url).dispose()
