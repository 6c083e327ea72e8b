"""Text that would command, typed into every field that takes text: every page and the packet print
it as typed, and nothing is executed.
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from html.parser import HTMLParser
from io import BytesIO
from typing import Any

import pytest
from pypdf import PdfReader

from scout.cli.work_command import workers
from scout.settings import Settings
from tests.web.conftest import PARLOUR, WEIR, Browser
from tests.web.page_check import faults_of
from tests.web.test_packets_and_sheets import wait
from tests.web.test_sound import TONE, measured, send

# property: each would do something if it were read as HTML, a script, a template, ReportLab's marks
# or an SVG; a number makes each its own
SHORT = [
    "<b onclick=x>{n}",
    "{{{{7*7}}}}{n}",
    "{{%x%}}{n}",
    "</p><i>{n}",
    "&lt;{n}&#60;",
    "\"'>{n}<script>",
    "<para><font>{n}",
    "${{{n}}}`",
    "]]>{n}--><!--",
    "</text><a>{n}",
    "\u202e{n}abc\u2066",
    "a/../{n}?#%2e",
]
LONG = '<script>alert({n})</script><img src=x onerror=alert({n})> </para><a href="javascript:{n}"> {{{{config}}}} &amp; <svg onload=x{n}> \u202e{n}\u2069 end'
PAGES = (
    "/",
    "/locations",
    "/locations/1",
    "/locations/1/edit",
    "/rooms",
    "/rooms/1",
    "/rooms/1/recorded",
    "/rooms/1/light",
    "/rooms/1/scenes",
    "/rooms/1/space",
    "/rooms/1/edit",
    "/rooms/1/marks",
    "/rooms/1/daylight",
    "/rooms/1/bounce",
    "/rooms/1/sound",
    "/rooms/1/plan",
    "/rooms/1/plan/sheets",
    "/rooms/1/plan?candidate=1",
    "/rooms/1/plan/sheets?candidate=1",
    "/parts/windows/1",
    "/parts/doors/1",
    "/parts/circuits/1",
    "/parts/outlets/1",
    "/parts/practicals/1",
    "/parts/furniture/1",
    "/parts/noise/1",
    "/rooms/1?production=1",
    "/productions",
    "/productions/1",
    "/productions/1/edit",
    "/scenes/1",
    "/scenes/1/edit",
    "/scenes/1/compare",
    "/scenes/1/propose",
    "/candidates/1",
    "/notes/1",
    "/notes/2",
    "/photos/1",
    "/photos/1/colour",
    "/recordings/1",
    "/bin",
    "/rooms/1/surfaces/A",
    "/rooms/1/daylight/facing",
    "/rooms/1/daylight/skyline",
    "/locations?text=%3Cscript%3E",
    "/rooms?text=%22%3E%3Cscript%3E",
    "/scenes/1/propose?text=%7B%7B7*7%7D%7D",
)
TYPED = frozenset(
    {"i", "font", "para"}
)  # tags that no page of ours uses: where one stands, what was typed was read as HTML


class Tags(HTMLParser):
    """What a page holds: its tags with their attributes, and its text."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.words: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        self.words += [value for _, value in attrs if value]

    def handle_data(self, data: str) -> None:
        self.words.append(data)


@pytest.fixture
def typed(ada: Browser) -> dict[str, str]:
    """A whole job with such text in every field; what was typed, by field."""
    said: dict[str, str] = {}
    numbers: Iterator[int] = iter(range(7101, 9999))

    def short(name: str) -> str:
        n = next(numbers)
        said[name] = SHORT[n % len(SHORT)].format(n=n)
        return said[name]

    def long(name: str) -> str:
        said[name] = LONG.format(n=next(numbers))
        return said[name]

    ada.done(
        "/locations/new",
        {
            **WEIR,
            "name": long("location name"),
            **{
                name: long(f"location {name}")
                for name in (
                    "address",
                    "emergency_care",
                    "hazards",
                    "load_in",
                    "parking",
                    "hours",
                    "permits",
                    "fee_note",
                    "house_rules",
                    "restrooms",
                    "holding",
                )
            },
            **{
                f"contacts-0-{name}": short(f"contact {name}")
                for name in ("name", "role", "phone", "note")
            },
        },
    )
    ada.done(
        "/locations/1/rooms/new",
        {
            **PARLOUR,
            "name": long("room name"),
            "facing-wall": "A",
            "facing-bearing_deg": "180",
            "facing-north": "true",
        },
    )
    parts: dict[str, dict[str, Any]] = {
        "windows": {
            "wall": "A",
            "offset_m": "1.5",
            "sill_m": "0.9",
            "width_m": "2",
            "height_m": "1.5",
        },
        "doors": {"wall": "C", "offset_m": "0.4", "width_m": "0.83", "height_m": "2"},
        "circuits": {"volts": "230", "breaker_a": "16"},
        "practicals": {"at_m": ["2", "2", "2"], "lumens": "800"},
        "furniture": {"at_m": ["4", "5"], "width_m": "1", "depth_m": "0.6", "height_m": "0.7"},
        "noise": {"laeq_db": "31"},
    }
    for kind, rest in parts.items():
        more = {"conditions": long("noise conditions")} if kind == "noise" else {}
        ada.done(
            f"/rooms/1/{kind}/new",
            {
                **rest,
                "id": short(f"{kind} id"),
                **more,
                "measured-by": short(f"{kind} by"),
                "measured-how": short(f"{kind} how"),
            },
        )
    ada.done(
        "/rooms/1/outlets/new",
        {"id": short("outlet id"), "wall": "B", "offset_m": "1", "circuit": said["circuits id"]},
    )
    ada.done(
        "/rooms/1/marks",
        {
            "version": re.findall(r'name="version" value="(\d+)"', ada.get("/rooms/1/marks").text)[
                0
            ],
            "subject": ["2.5", "3", "1.2"],
            "camera": ["2.5", "0.8", "1.4"],
        },
    )
    kit = {
        "kit-name": long("kit name"),
        "kit-notes": long("kit notes"),
        "kit-camera-focal_lengths_mm": "35 85",
        "kit-camera-sensor_width_mm": "24.9",
        "kit-camera-sensor_height_mm": "14",
        "kit-camera-iso": "800",
        "kit-camera-f_number": "2.8",
        "kit-camera-shutter_s": "0.02",
        "kit-lights-0-watts": "150",
        "kit-lights-0-lux_at_1m": "9000",
        "kit-lights-0-beam_deg": "55",
        "kit-lights-0-stand_max_m": "2.4",
        "kit-mics-0-kind": "shotgun",
        "kit-mics-0-distance_m": "0.6",
        "kit-chargers-0-watts": "60",
        "kit-cables-0-length_m": "10",
    }
    kit |= {
        f"kit-{rows}-0-id": short(f"kit {rows}")
        for rows in (
            "lights",
            "other_cameras",
            "modifiers",
            "stands",
            "reflectors",
            "mics",
            "chargers",
        )
    }
    ada.done(
        "/productions/new",
        {
            "title": long("title"),
            "client": long("client"),
            "shoot_dates": "2026-06-21",
            **kit,
            **{f"crew-0-{name}": short(f"crew {name}") for name in ("name", "role", "phone")},
        },
    )
    ada.done(
        "/productions/1/scenes/new",
        {
            "name": long("scene name"),
            "seen": long("seen"),
            "heard": long("heard"),
            "needs-0-topic": "noise",
            "needs-0-strength": "must",
            "needs-0-laeq_db": "30",
        },
    )
    ada.done("/scenes/1/rooms/1")
    ada.done("/candidates/1", {"version": "1", "state": "first_choice", "reason": long("reason")})
    ada.done("/room/1/notes/new", {"text": long("crew note"), "audience": "crew"})
    ada.done(
        "/location/1/notes/new", {"text": "SECRET " + long("private note"), "audience": "private"}
    )
    ada.done(
        "/room/1/notes/new", {"text": "SECRET " + long("private room note"), "audience": "private"}
    )
    measured(
        ada,
        send(
            ada,
            "/rooms/1",
            TONE,
            name="<img src=x onerror=alert(9001)>{{7*7}}\u202e.wav",
            conditions=long("recording conditions"),
        ),
    )
    ada.done(
        "/rooms/1/noises/new",
        {"what": long("noise window"), "from_time": "09:00", "until_time": "10:00"},
    )
    return said


def unwanted(text: str) -> str:
    """Text as a reader sees it, without the marks that turn it and without the breaks between
    lines.
    """
    return re.sub(r"[\s\u00ad\u200b-\u200f\u202a-\u202e\u2060-\u206f]+", "", text)


def test_nothing_typed_is_read_as_anything_but_text(
    ada: Browser, embedded: Settings, typed: dict[str, str], picture: bytes
) -> None:
    name = "<svg onload=alert(9002)>'{{7*7}}\u202e.jpg"
    sent = ada.post(
        "/room/1/photos", {"photos": (BytesIO(picture), name)}, content_type="multipart/form-data"
    )
    assert sent.status_code == 200, sent.text
    caption = LONG.format(n=9003)
    ada.done("/photos/1", {"version": "1", "caption": caption, "in_packet": "yes"})
    seen = ""
    for path in PAGES:
        page = ada.get(path)
        assert page.status_code == 200, path
        assert faults_of(page.text) == [], path
        held = Tags(page.text)
        for tag, given in held.tags:
            assert tag not in TYPED, (path, tag)
            assert tag != "img" or (given.get("src") or "").startswith("/"), (path, given)
            assert not any(key.startswith("on") for key in given), (path, tag, given)
            assert (
                tag != "script"
                or given.get("src", "").startswith(("/static/", "/leaflet/leaflet.js?"))
                or given.get("type") == "application/json"
            ), (path, given)  # type: ignore[union-attr]
            assert not (given.get("href") or "").lower().startswith(("javascript:", "data:")), (
                path,
                given,
            )
        seen += "\n".join(held.words)
    plain = unwanted(seen)
    worked_out = {unwanted(text.replace("{{7*7}}", "49")) for text in typed.values()}
    assert not [text for text in worked_out - {*map(unwanted, typed.values())} if text in plain]
    missing = [
        field
        for field, text in typed.items()
        if unwanted(text) not in plain and not field.endswith(" phone")
    ]
    assert missing == [], "as typed, on some page"

    job = ada.done("/productions/1/packets", {"paper": "a4"})
    with workers(embedded):
        wait(ada, job)
    link = re.search(r'href="(/packets/\d+\.pdf)"', ada.get(job).text)
    assert link is not None, ada.get(job).text
    reader = PdfReader(io.BytesIO(ada.get(link[1]).data))
    printed = unwanted("".join(sheet.extract_text() for sheet in reader.pages))
    assert "SECRET" not in printed
    assert "/JavaScript" not in str(reader.trailer["/Root"])
    links = [
        str(note.get_object()["/A"].get("/URI", ""))
        for sheet in reader.pages
        for note in sheet.get("/Annots") or ()
        if "/A" in note.get_object()
    ]
    assert [
        link
        for link in links
        if not re.match(r"(https://www\.openstreetmap\.org/|geo:|tel:|mailto:|$)", link)
    ] == []
    for field in (
        "location hazards",
        "crew note",
        "kit notes",
        "title",
        "kit lights",
        "circuits id",
    ):
        assert unwanted(typed[field]) in printed, field

    sheet = ada.get("/rooms/1/room-sheet.json?production=1")
    assert "SECRET" not in sheet.text
    assert sheet.json is not None
    assert sheet.json["room"]["circuits"][0]["id"] == typed["circuits id"]
