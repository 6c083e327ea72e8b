"""Pages as they are read: sound HTML, labels, nothing from elsewhere, and whatever people type
stays text.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from datetime import date
from html import escape
from typing import Any

import pytest
from flask import Flask
from sqlalchemy import event

from scout.assess.answers import RoomAssessment
from scout.settings import Settings
from scout.store import engine as databases
from scout.usecases import rooms
from scout.usecases.demo import MARKER
from scout.web.security import API
from tests.web.conftest import PARLOUR, WEIR, Browser, value_of
from tests.web.page_check import faults_of

MARKUP = '"><script>alert(1)</script><img src=x onerror=alert(2)>{{ 7*7 }}'
LONG_WORD = "Lopado" * 50  # a name of one word of 300 letters
EMOJI = "Loft 🎬👩🏽‍🎤 ‮reversed‬"
FULL_WINDOW = {
    "id": "W1",
    "wall": "A",
    "offset_m": "1.5",
    "sill_m": "0.9",
    "width_m": "2",
    "height_m": "1.5",
    "transmittance": "0.7",
}


@pytest.fixture
def world(ada: Browser) -> dict[str, str]:
    """A location, a room with a part of each kind, a production with a scene and a candidate; the
    paths of their pages.
    """
    place = ada.done("/locations/new", {**WEIR, "contacts-0-name": "Ines", "emergency_care": ""})
    room = ada.done(
        f"{place}/rooms/new",
        {
            **PARLOUR,
            "facing-wall": "A",
            "facing-bearing_deg": "182",
            "facing-north": "magnetic",
            "facing-read_on": "2026-05-03",
        },
    )
    ada.done(f"{room}/windows/new", FULL_WINDOW)
    ada.done(
        f"{room}/doors/new",
        {"id": "D1", "wall": "C", "offset_m": "0.4", "width_m": "0.83", "height_m": "2"},
    )
    ada.done(f"{room}/circuits/new", {"id": "K1", "volts": "230", "breaker_a": "16"})
    ada.done(f"{room}/outlets/new", {"id": "P1", "wall": "B", "offset_m": "0.6", "circuit": "K1"})
    ada.done(f"{room}/contents/new", {"material": "curtain_velvet", "area_m2": "4"})
    ada.done(f"{room}/practicals/new", {"id": "L1", "at_m": ["2.5", "3.2", "2.4"], "lumens": "800"})
    ada.done(
        f"{room}/furniture/new",
        {"id": "table", "at_m": ["1", "5"], "width_m": "1.2", "depth_m": "0.8", "turn_deg": "30"},
    )
    ada.done(f"{room}/noise/new", {"id": "N1", "laeq_db": "34", "method": "phone_app"})
    ada.done(f"{room}/surfaces/A", {"colour-srgb": "#c9b79c", "material": "hard_surface"})
    ada.done(
        f"{room}/marks",
        {"subject": ["2.5", "3", "1.2"], "camera": ["2.5", "0.8", "1.4"], "version": "1"},
    )
    ada.done("/room/1/notes/new", {"text": "Radiator ticks.", "audience": "crew"})
    job = ada.done(
        "/productions/new",
        {
            "title": "A film",
            "client": "Marram",
            "shoot_dates": "2026-06-21",
            "kit-lights-0-id": "key",
            "kit-lights-0-watts": "300",
            "crew-0-name": "Rua",
        },
    )
    scene = ada.done(
        f"{job}/scenes/new",
        {
            "name": "The talk",
            "needs-0-topic": "noise",
            "needs-0-strength": "must",
            "needs-0-laeq_db": "30",
            "needs-1-topic": "height",
            "needs-1-strength": "wish",
            "needs-1-height_m": "2.4",
        },
    )
    ada.done(f"{scene}/rooms/1")
    ada.done(f"{place}/codes/new", {"label": "gate", "code": "4711"})
    return {"place": place, "room": room, "job": job, "scene": scene}


PAGES = [
    "/",
    "/locations",
    "/map",
    "/photos",
    "/links",
    "/people",
    "/people/invite",
    "/people/erase",
    "/people/erase?name=Ines",
    "/mine",
    "/code",
    "/changes",
    "/changes/1",
    "/changes?room=1&on=2026-05-03&by=Ada",
    "{job}/light",
    "{job}/links/new",
    "/methods",
    "{room}/scenes",
    "/locations?text=weir",
    "/locations?text=nothing",
    "/rooms",
    "/rooms?setting=interior",
    "/productions",
    "/bin",
    "/words",
    "/sheets/read",
    "/password",
    "/sessions",
    "/tokens",
    "/files/",
    "/api/v1/",
    "/outbox",
    "{job}/day",
    "{job}/day/facts",
    "/locations/new",
    "/productions/new",
    "{place}",
    "{place}/edit",
    "{place}/codes/new",
    "{place}/codes/1",
    "{place}/rooms/new",
    "{place}/walk",
    "{room}/walk",
    "{room}",
    "{room}?on=2026-12-21&at=12:00",
    "{room}/recorded",
    "{room}/light",
    "{room}/sun",
    "{room}/power",
    "{room}/space",
    "{room}/edit",
    "{room}/marks",
    "{room}/surfaces/A",
    "{room}/surfaces/ceiling",
    "{room}/windows/new",
    "{room}/doors/new",
    "{room}/circuits/new",
    "{room}/outlets/new",
    "{room}/contents/new",
    "{room}/practicals/new",
    "{room}/noise/new",
    "{room}/furniture/new",
    "/parts/furniture/1",
    "/parts/windows/1",
    "/parts/doors/1",
    "/parts/circuits/1",
    "/parts/outlets/1",
    "/parts/contents/1",
    "/parts/practicals/1",
    "/parts/noise/1",
    "/notes/1",
    "/room/1/notes/new",
    "{job}",
    "{job}/edit",
    "{job}/scenes/new",
    "{scene}",
    "{scene}/edit",
    "{scene}/propose",
    "{scene}/compare",
    "{scene}/compare?on=2026-12-21",
    "{scene}/client",
    "/find",
    "/find?text=weir&depth=2 m&noise=60&sort=name",
    "{scene}/weigh",
    "/candidates/1",
    "/candidates/1/setups/new",
    "/setups/1",
    "{room}/plan",
    "{room}/plan?candidate=1",
    "{room}/daylight",
    "{room}/daylight?on=2026-12-21&mark=camera",
    "{room}/daylight/facing",
    "{room}/daylight/facing/map",
    "{room}/daylight/facing/shadow",
    "{room}/daylight/skyline",
    "{room}/bounce",
    "{room}/sound",
    "{room}/noises/new",
    "{room}/plan/sheets",
    "{room}/daylight/facing/photo",
]


@pytest.mark.parametrize("units", ["metric", "feet"])
def test_every_page_is_sound(ada: Browser, world: dict[str, str], units: str) -> None:
    ada.done("/units", {"units": units})
    for pattern in PAGES:
        path = pattern.format(**world)
        answer = ada.get(path)
        assert answer.status_code == 200, path
        assert faults_of(answer.text) == [], path
        assert len(answer.data) < 250_000, path


def test_login_and_error_pages_are_sound(
    stranger: Browser, ada: Browser, world: dict[str, str], embedded: Settings
) -> None:
    page = stranger.get("/login").text
    assert faults_of(page) == []
    assert "demonstration" not in page
    # a demonstration says where its password is to be found, and only there
    (embedded.data_dir / MARKER).write_text(json.dumps([["Tea", "Green tiles."]]))
    page = stranger.get("/login").text
    assert "stand where it was" in page
    assert "Green tiles" not in page
    for answer in (
        stranger.log_in(password="wrong"),
        ada.get("/nothing/here"),
        ada.client.post("/logout"),
        ada.post(f"{world['room']}/windows/new", {**FULL_WINDOW, "id": "W2"}),
        ada.post(f"{world['place']}/edit", {**WEIR, "version": "7"}),
    ):
        assert answer.status_code >= 400
        assert faults_of(answer.text) == []


def test_the_walk_covers_every_page_there_is(
    app: Flask, ada: Browser, world: dict[str, str]
) -> None:
    """property: a page added later must be added to the list above."""
    apart = {
        "static",
        "watching.health",
        "watching.metrics",
        "watching.ready",
        "people.log_in",
        "people.first_user",
        "people.join",  # for whoever holds a link: tests/web/test_inviting.py
        "leaving.take",
        "codes.ask",  # after a password: tests/web/test_codes.py
        "sheets.schema",
        "sheets.export",
        "packets.making",
        "packets.progress",
        "packets.download",
        "packets.page",
        "packets.show",
        "packets.standing",
        "card.light",
        "photos.show",
        "photos.picture",
        "photos.original",
        "rooms.drawing",
        "plan.figures",
        "daylight.drawing",
        "sighting.trace",
        "bounce.colour",
        "sound.recording",
        "sound.progress",
        "sound.play",
        "sound.original",
        "day.calendar",
        "day.hours",  # a part of other pages: tests/web/test_day.py
        "day.private_calendar",
        "outbox.worker",
        "files.take",
        "outbox.manifest",
        "outbox.token",
        "measuring.show",  # of a room's photo: tests/web/test_measuring.py
        "shares.shown",
        "shares.page",
        "shares.pdf",
        "shares.picture",
        "sound.spectrogram",
        "map.library",
    }
    walked = set()
    for pattern in PAGES:
        with app.test_request_context(pattern.format(**world)) as context:
            walked.add(context.request.endpoint)
    here = {
        rule.endpoint
        for rule in app.url_map.iter_rules()
        if "GET" in (rule.methods or set())
        and (not rule.rule.startswith(API) or rule.endpoint == "api.show")
    }
    assert here - apart == walked


def test_the_first_page_is_light(ada: Browser, world: dict[str, str]) -> None:
    """The look's promise: first page under 150 kB, with all that it loads."""
    page = ada.get("/")
    loaded = re.findall(r'(?:src|href)="(/static/[^"]+)"', page.text)
    assert loaded
    total = len(page.data) + sum(len(ada.get(path).data) for path in loaded)
    assert total < 150_000


def test_static_files_keep_to_the_policy(ada: Browser) -> None:
    from scout.web.show import STATIC

    for path in STATIC.iterdir():
        text = path.read_text(encoding="utf-8")
        assert "http://" not in text.replace("http://www.w3.org/2000/svg", ""), path.name
        assert "https://" not in text, path.name
        assert "@import" not in text, path.name


def _contrast(one: str, other: str) -> float:
    """Source: WCAG 2.2, definitions of contrast ratio and relative luminance."""

    def luminance(colour: str) -> float:
        parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
        r, g, b = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
        return 0.2126 * r + 0.7152 * g + 0.0722 * b

    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_inks_stand_out_from_paper_by_day_and_by_night() -> None:
    from scout.web.show import STATIC

    assert _contrast("#000000", "#ffffff") == pytest.approx(21)  # WCAG: black on white is 21:1
    roots = re.findall(r":root \{([^}]*)\}", (STATIC / "sillbook.css").read_text(encoding="utf-8"))
    for root in roots[:2]:
        colour = dict(re.findall(r"--(\w+): (#[0-9a-f]{6})", root))
        for paper in ("ground", "sheet", "wash"):
            for ink in ("ink", "soft", "rust", "green"):
                assert _contrast(colour[ink], colour[paper]) >= 4.5, (
                    ink,
                    paper,
                )  # WCAG 2.2, 1.4.3, level AA
            assert _contrast(colour["box"], colour[paper]) >= 3, (
                paper
            )  # WCAG 2.2, 1.4.11: the edge of a field


@pytest.mark.parametrize(
    "name", [MARKUP, EMOJI, LONG_WORD], ids=["markup", "emoji", "one long word"]
)
def test_whatever_is_typed_stays_text(ada: Browser, name: str) -> None:
    place = ada.done(
        "/locations/new",
        {
            "name": name,
            "address": name,
            "hazards": name,
            "contacts-0-name": name,
            "contacts-0-phone": name,
        },
    )
    room = ada.done(f"{place}/rooms/new", {**PARLOUR, "name": name, "measured-how": name})
    ada.done(f"{room}/windows/new", {**FULL_WINDOW, "id": name[:40]})
    ada.done("/room/1/notes/new", {"text": name, "audience": "private"})
    job = ada.done(
        "/productions/new",
        {"title": name, "client": name, "crew-0-name": name, "shoot_dates": "2026-06-21"},
    )
    scene = ada.done(
        f"{job}/scenes/new",
        {
            "name": name,
            "seen": name,
            "needs-0-topic": "noise",
            "needs-0-strength": "must",
            "needs-0-laeq_db": "30",
        },
    )
    ada.done(f"{scene}/rooms/1")
    for path in (
        "/",
        "/locations",
        "/rooms",
        "/productions",
        place,
        f"{place}/edit",
        room,
        f"{room}/edit",
        "/parts/windows/1",
        job,
        f"{job}/edit",
        scene,
        f"{scene}/compare",
        f"{scene}/propose",
        "/candidates/1",
        "/candidates/1/setups/new",
        "/setups/1",
        "/notes/1",
        f"/locations?text={name[:80]}",
    ):
        answer = ada.get(path)
        assert answer.status_code == 200, path
        assert faults_of(answer.text) == [], path
        assert "<script>alert" not in answer.text, path
        assert "onerror=alert(2)>" not in answer.text.replace(escape("onerror=alert(2)>"), ""), path
        assert "49" not in re.findall(r"alert\(2\)&gt;(.{0,4})", answer.text), path


@pytest.mark.parametrize(
    "text",
    ["x" * 200_000, "é🎬 " * 60_000, "line\n" * 40_000],
    ids=["one word", "letters of four bytes", "lines"],
)
def test_a_note_of_200000_characters_is_kept_whole(
    ada: Browser, parlour: str, look: Callable[..., Any], text: str
) -> None:
    ada.done("/room/1/notes/new", {"text": text, "audience": "crew"})
    assert look(lambda work: rooms.room(work, 1)).notes[0].text == text.strip()
    page = ada.get(f"{parlour}/recorded")
    assert page.status_code == 200
    assert "characters)" in page.text


def test_a_note_past_every_limit_is_refused_and_still_there(ada: Browser, parlour: str) -> None:
    text = "y" * 1_000_001
    answer = ada.post("/room/1/notes/new", {"text": text, "audience": "crew"})
    assert answer.status_code == 422
    assert "is longer than 1,000,000 characters" in answer.text
    assert value_of(answer, "text") == text


def test_a_form_past_its_limit_is_told_the_limit(ada: Browser, parlour: str) -> None:
    answer = ada.post("/room/1/notes/new", {"text": "z" * 17_000_000, "audience": "crew"})
    assert answer.status_code == 413
    assert "16 MB" in answer.text
    assert faults_of(answer.text) == []


def test_emergency_care_not_recorded_is_said_loudly(ada: Browser, world: dict[str, str]) -> None:
    assert 'class="loud"' in ada.get(world["place"]).text
    ada.done(f"{world['place']}/edit", {**WEIR, "emergency_care": "City hospital", "version": "1"})
    page = ada.get(world["place"]).text
    assert 'class="loud"' not in page
    assert "City hospital" in page


def test_whoever_stands_outside_finds_the_place_on_the_rooms_page(
    ada: Browser, world: dict[str, str]
) -> None:
    kept = {
        **WEIR,
        "contacts-0-name": "Ines",
        "contacts-0-role": "caretaker",
        "contacts-0-phone": "+44 1223 555019",
        "emergency_care": "City hospital, Mill Road",
        "parking": "two bays in the yard",
        "load_in": "by the green gate",
        "hazards": "low beam",
        "steps": "12",
        "version": "1",
    }
    bare = ada.get(world["room"]).text
    assert "number not known" not in bare  # 52.2, 0.12 lies in one country
    assert re.search(r"Nearest care</dt>\s*<dd><span class=\"empty\">not recorded", bare)
    ada.done(f"{world['place']}/edit", kept)
    fold = ada.get(world["room"]).text.partition('<details class="getting-there">')[2]
    fold = fold.partition("</details>")[0]
    summary = fold.partition("</summary>")[0]
    assert "parking" in summary
    assert "emergency" in summary
    for typed in ("address", "parking", "load_in", "emergency_care", "hazards"):
        assert kept[typed] in fold, typed
    assert "12 steps" in fold
    assert 'href="tel:+441223555019"' in fold
    assert "caretaker" in fold
    assert 'href="tel:999"' in fold  # what a phone in Britain dials, from memory


def test_a_room_page_says_what_is_unknown(ada: Browser, place: str) -> None:
    room = ada.done(f"{place}/rooms/new", {"name": "Bare"})
    page = ada.get(room)
    assert page.status_code == 200
    assert "not measured" in page.text
    assert "Not measured. Width and length" in page.text
    assert faults_of(page.text) == []


def test_a_location_without_coordinates_or_zone_still_shows_its_rooms(ada: Browser) -> None:
    place = ada.done("/locations/new", {"name": "Nowhere yet"})
    room = ada.done(
        f"{place}/rooms/new", {**PARLOUR, "facing-wall": "A", "facing-bearing_deg": "180"}
    )
    ada.done(f"{room}/windows/new", FULL_WINDOW)
    assert ada.get(room).status_code == 200
    assert ada.get(f"{room}?at=12:00").status_code == 422, (
        "a clock time cannot be placed without a zone"
    )


@pytest.mark.parametrize(
    "position",
    [("90", "0"), ("-90", "17"), ("0", "-30"), ("0", "0"), ("78.2", "15.6")],
    ids=["north pole", "south pole", "at sea", "null island", "polar day"],
)
def test_odd_places_show_a_room_page(ada: Browser, position: tuple[str, str]) -> None:
    place = ada.done(
        "/locations/new",
        {
            "name": "Odd",
            "latitude_deg": position[0],
            "longitude_deg": position[1],
            "place_confirmed": ", ".join(position),
        },
    )
    room = ada.done(
        f"{place}/rooms/new",
        {**PARLOUR, "facing-wall": "A", "facing-bearing_deg": "180", "facing-north": "true"},
    )
    ada.done(f"{room}/windows/new", FULL_WINDOW)
    for on in ("2026-06-21", "2026-12-21"):
        page = ada.get(f"{room}?on={on}")
        assert page.status_code == 200
        assert faults_of(page.text) == []
    assert ada.get(place).status_code == 200


@pytest.mark.parametrize(
    "query",
    [
        "on=yesterday",
        "on=2026-02-30",
        "at=25:00",
        "production=abc",
        "production=99999999999999999999",
        "on=9999-12-31",
        "on=0001-01-01",
    ],
)
def test_a_question_that_cannot_be_is_answered_in_words(
    ada: Browser, parlour: str, query: str
) -> None:
    answer = ada.get(f"{parlour}?{query}")
    assert answer.status_code in (200, 422)
    assert faults_of(answer.text) == []


@pytest.mark.parametrize(
    "path",
    [
        "/locations?after=0",
        "/locations?before=999",
        "/locations?after=1&before=1&end=1",
        "/rooms?setting=cellar",
        "/rooms?text=%25_%5C",
        "/productions?after=3",
    ],
)
def test_lists_take_any_address(ada: Browser, place: str, path: str) -> None:
    assert ada.get(path).status_code == 200


def test_lists_are_found_and_paged(ada: Browser) -> None:
    for i in range(23):
        ada.done(
            "/locations/new",
            {"name": f"House {i:02}", "address": "Mill Lane" if i % 2 else "High Street"},
        )
    first = ada.get("/locations")
    assert "20 of 23" in first.text
    (later,) = re.findall(r'rel="next" href="([^"]+)"', first.text)
    second = ada.get(later.replace("&amp;", "&"))
    assert "House 22" in second.text
    assert "House 19" not in second.text
    (earlier,) = re.findall(r'rel="prev" href="([^"]+)"', second.text)
    assert "House 19" in ada.get(earlier.replace("&amp;", "&")).text
    assert "House 22" in ada.get("/locations?end=1").text
    found = ada.get("/locations?text=mill")
    assert "11 locations with" in found.text


def test_what_is_not_there_is_said(ada: Browser, place: str) -> None:
    for path in (
        "/locations/99",
        "/rooms/99",
        "/productions/99",
        "/scenes/99",
        "/photos/99",
        "/photos/99/thumb.jpg",
        "/photos/99/original",
        "/notes/99",
        "/parts/windows/99",
        "/packets/99.pdf",
        "/packets/making/zz",
        "/candidates/99",
        "/rooms/99/room-sheet.json",
        "/rooms/99/plan.svg",
        "/locations/99/rooms/new",
        "/scenes/99/compare",
        "/locations/99999999999999999999",
    ):
        answer = ada.get(path)
        assert answer.status_code == 404, path
        assert "Traceback" not in answer.text


def test_a_fault_of_ours_is_a_page_without_a_trace(
    app: Flask, ada: Browser, parlour: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_args: object, **_named: object) -> RoomAssessment:
        raise ZeroDivisionError("inside")

    monkeypatch.setattr("scout.pages.assessing.assessed", broken)
    answer = ada.get(parlour)
    assert answer.status_code == 500
    assert "inside" not in answer.text
    assert faults_of(answer.text) == []


def test_drawings_can_be_looked_at_closely(ada: Browser, world: dict[str, str]) -> None:
    for which in ("plan", "timeline"):
        answer = ada.get(f"{world['room']}/{which}.svg?on={date(2026, 6, 21)}")
        assert answer.status_code == 200
        assert answer.mimetype == "image/svg+xml"
        assert answer.text.startswith("<svg")


def test_the_comparison_says_each_cell_in_words(ada: Browser, world: dict[str, str]) -> None:
    page = ada.get(f"{world['scene']}/compare").text
    assert "does not pass" in page  # 34 dBA against 30 at most
    assert "passes" in page  # 2.7 m against 2.4 m
    assert "mark-problem" in page
    assert "mark-good" in page


def test_bin_and_restore(ada: Browser, world: dict[str, str]) -> None:
    ada.done("/parts/windows/1/bin", {"version": "1"})
    assert (
        ">W1<"
        not in re.findall(
            r'<details class="part" id="windows">.*?</details>',
            ada.get(f"{world['room']}/recorded").text,
            re.S,
        )[0]
    )
    page = ada.get("/bin")
    assert "W1" in page.text
    ada.done("/bin/windows/1/restore")
    assert ">W1<" in ada.get(f"{world['room']}/recorded").text
    ada.done(f"{world['place']}/bin", {"version": "1"})
    assert ada.get(world["place"]).status_code == 404
    ada.done("/bin/location/1/restore")
    assert ada.get(world["place"]).status_code == 200
    for path, again in (
        ("/notes/1/bin", "note"),
        (f"{world['scene']}/bin", "scene"),
        (f"{world['job']}/bin", "production"),
    ):
        ada.done(path, {"version": "1"})
        ada.done(f"/bin/{again}/1/restore")
    assert ada.post("/bin/kitchens/1/restore").status_code == 404
    assert ada.post("/bin/note/1/restore").status_code == 404, (
        "what is not in the bin cannot be had back from it"
    )


def test_what_no_longer_fits_stays_in_the_bin_and_says_why(
    ada: Browser, world: dict[str, str]
) -> None:
    ada.done("/parts/windows/1/bin", {"version": "1"})
    ada.done(f"{world['room']}/windows/new", {**FULL_WINDOW, "id": "W9"})
    answer = ada.post("/bin/windows/1/restore")
    assert answer.status_code == 422
    assert "overlap" in answer.text
    assert faults_of(answer.text) == []


def test_a_circuit_with_outlets_is_not_binned_in_silence(
    ada: Browser, world: dict[str, str]
) -> None:
    answer = ada.post("/parts/circuits/1/bin", {"version": "1"})
    assert answer.status_code == 422
    assert "has outlets on it (P1)" in answer.text


def _queries(app: Flask, ada: Browser, path: str) -> int:
    engine, count = databases.engine(app.config["SILLBOOK"].url), [0]

    def counted(*_args: object) -> None:
        count[0] += 1

    event.listen(engine, "before_cursor_execute", counted)
    try:
        assert ada.get(path).status_code == 200
    finally:
        event.remove(engine, "before_cursor_execute", counted)
    return count[0]


def test_lists_ask_no_more_questions_for_more_lines(
    app: Flask, ada: Browser, world: dict[str, str]
) -> None:
    """property: what is asked of the database for a page of lines does not grow with its lines."""
    paths = (
        "/",
        "/locations",
        "/rooms",
        "/productions",
        world["place"],
        f"{world['scene']}/propose",
    )
    before = [_queries(app, ada, path) for path in paths]
    for number in range(6):
        ada.done(f"{world['place']}/rooms/new", {**PARLOUR, "name": f"Room {number}"})
        ada.done(
            f"{ada.done('/locations/new', {**WEIR, 'name': f'House {number}'})}/rooms/new", PARLOUR
        )
        ada.done("/productions/new", {"title": f"Film {number}"})
    assert [_queries(app, ada, path) for path in paths] == before


@pytest.mark.parametrize(
    "sent",
    [{}, {"version": "x", "kind": "\0"}, {"version": "9" * 80, "name": "\u202e" * 500}],
    ids=["nothing", "junk", "too much"],
)
def test_no_button_breaks_whatever_is_sent(
    app: Flask, ada: Browser, world: dict[str, str], sent: dict[str, str]
) -> None:
    """property: every address that takes a form answers in words, for records that are there and
    for keys beyond any.
    """
    for rule in app.url_map.iter_rules():
        if "POST" not in (rule.methods or set()) or rule.endpoint in {
            "people.log_out",
            "people.password",
            "leaving.leave",
        }:
            continue
        choices = re.sub(r"<any\(([^),]*)[^)]*\):\w+>", r"\1", rule.rule)
        for key in ("1", "9" * 20):
            answer = ada.post(re.sub(r"<\w+>", "A", re.sub(r"<int:\w+>", key, choices)), sent)
            assert answer.status_code < 500, (rule.rule, key)
            if answer.mimetype == "text/html" and answer.status_code not in (302, 303):
                assert faults_of(answer.text) == [], rule.rule
