"""The whole job by forms, on each kind of database."""

from __future__ import annotations

import re
from io import BytesIO

from scout.records import Person
from scout.settings import Settings
from scout.usecases import people
from scout.usecases.work import open_work
from scout.web.app import create_app
from tests.web.conftest import PARLOUR, PASSWORD, WEIR, Browser, logged_in
from tests.web.page_check import faults_of


def test_a_scout_does_the_whole_job(settings: Settings, picture: bytes) -> None:
    with open_work(settings) as work:
        people.add_person(work, Person(name="Ada Example", email="ada@example.org"), PASSWORD)
    ada: Browser = logged_in(create_app(settings))
    place = ada.done("/locations/new", {**WEIR, "contacts-0-name": "Ines", "hazards": "deep water"})
    room = ada.done(
        f"{place}/rooms/new",
        {
            **PARLOUR,
            "facing-wall": "A",
            "facing-bearing_deg": "182",
            "facing-north": "true",
            "measured-how": "laser",
        },
    )
    ada.done(
        f"{room}/windows/new",
        {
            "id": "W1",
            "wall": "A",
            "offset_m": "1.5",
            "sill_m": "0.9",
            "width_m": "6' 6\"",
            "height_m": "1.5",
        },
    )
    ada.done(
        f"{room}/noise/new",
        {"id": "N1", "laeq_db": "34", "taken_at": "2026-05-03T10:40", "bands_db-hz_63": "45"},
    )
    ada.done(f"{room}/surfaces/A", {"colour-srgb": "#c9b79c"})
    ada.done(
        f"{room}/marks",
        {"subject": ["2.5", "3", "1.2"], "camera": ["2.5", "0.8", "1.4"], "version": "1"},
    )
    ada.done("/room/1/notes/new", {"text": "Radiator ticks. 🎬", "audience": "crew"})
    sent = ada.post(
        "/room/1/photos",
        {"photos": [(BytesIO(picture), "a.jpg")]},
        content_type="multipart/form-data",
    )
    assert sent.status_code in (200, 303)
    job = ada.done(
        "/productions/new",
        {
            "title": "A film",
            "shoot_dates": "2026-06-21",
            "kit-lights-0-id": "key",
            "kit-lights-0-watts": "300",
        },
    )
    scene = ada.done(
        f"{job}/scenes/new",
        {
            "name": "The talk",
            "needs-0-topic": "noise",
            "needs-0-strength": "must",
            "needs-0-laeq_db": "30",
        },
    )
    ada.done(f"{scene}/rooms/1")
    ada.done("/candidates/1", {"state": "first_choice", "reason": "the light", "version": "1"})
    for path in (
        "/",
        place,
        room,
        job,
        scene,
        f"{scene}/compare",
        "/locations?text=WEIR",
        "/rooms?text=parlour",
        "/photos/1",
    ):
        page = ada.get(path)
        assert page.status_code == 200, path
        assert faults_of(page.text) == [], path
    assert "1 location with" in ada.get("/locations?text=WEIR").text
    assert ada.post(f"{place}/edit", {**WEIR, "version": "9"}).status_code == 409
    ada.done("/parts/windows/1/bin", {"version": "1"})
    ada.done("/bin/windows/1/restore")
    assert re.search(r"1\.98\sm", ada.get(room).text), "by hand: 78 in x 0.0254 = 1.9812 m"
