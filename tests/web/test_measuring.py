"""Measuring on a photo of a room: found, written into a part with its doubt, refused by name."""

from __future__ import annotations

import re
from io import BytesIO
from typing import Any

import numpy as np
import pytest
from PIL import Image

from tests.media.photos.drawn import exif, jpeg, ratio, short, text
from tests.web.conftest import PARLOUR, WEIR, Browser
from tests.web.page_check import faults_of

WIDE, HIGH = 1600, 1200
# by hand: 26 mm of 43.267 mm (CIPA DCG-001) of a diagonal of 2000 px
FOCAL_PX = 26 / 43.2666 * 2000


def seen(*places: tuple[float, float], left_m: float = 1.1, yaw_deg: float = 20.0) -> str:
    """Where a camera 2.5 m from the wall, turned so, sees places on it [m, y down]."""
    lines = []
    c, s = np.cos(np.radians(yaw_deg)), np.sin(np.radians(yaw_deg))
    for x, y in places:
        x, y = x - left_m, y - 0.2
        across, away = c * x, 2.5 - s * x
        lines.append(
            f"{0.5 + FOCAL_PX * across / away / WIDE:.6f}, {0.5 + FOCAL_PX * y / away / HIGH:.6f}"
        )
    return "\n".join(lines)


def box(x: float, y: float, wide: float, high: float, yaw_deg: float = 20.0) -> str:
    corners = (x, y), (x + wide, y), (x + wide, y + high), (x, y + high)
    return seen(*corners, yaw_deg=yaw_deg)


TAPPED = {
    "photo_id": "1",
    "first": "a4_upright",
    "first_at": box(0, 0, 0.21, 0.297),
    "second": "",
    "second_at": "",
    "thing_at": box(0.7, -0.4, 1.2, 1.1),
    "left_at": seen((-0.3, 0.4)),
    "floor_at": seen((0.2, 1.0)),
}


# from the other side; the floor is in the first alone
AGAIN = {
    "again_id": "2",
    "again_first_at": box(0, 0, 0.21, 0.297, -25),
    "again_thing_at": box(0.7, -0.4, 1.2, 1.1, -25),
    "again_left_at": seen((-0.3, 0.4), yaw_deg=-25),
}


def photo(**told: Any) -> bytes:
    """A grey picture as a phone would send it; `told`: fields that differ, None: left out."""
    fields = {
        "original": text(0x9003, "2026:06:21 11:00:00"),
        "width": short(0xA002, WIDE),
        "height": short(0xA003, HIGH),
        "zoom": ratio(0xA404, (1, 1)),
        "equivalent": short(0xA405, 26),
    }
    first = {"software": text(0x0131, "17.5")}
    for name, field in told.items():
        (first if name in first else fields)[name] = field
    main, camera = ([f for f in group.values() if f is not None] for group in (first, fields))
    return jpeg(Image.new("RGB", (WIDE, HIGH), (120, 120, 120)), exif(main, camera))


@pytest.fixture
def room(ada: Browser) -> str:
    place = ada.done("/locations/new", {**WEIR, "emergency_care": ""})
    return ada.done(f"{place}/rooms/new", PARLOUR)


def send(ada: Browser, data: bytes) -> None:
    ada.post("/room/1/photos", {"photos": [(BytesIO(data), "wall.jpg")]})


def sheet(ada: Browser) -> dict[str, Any]:
    return dict(ada.get("/rooms/1/room-sheet.json").json)


def test_a_window_is_measured_and_kept_with_its_doubt(ada: Browser, room: str) -> None:
    send(ada, photo())
    assert "/photos/1/measure" in ada.get("/photos/1").text
    page = ada.get("/photos/1/measure")
    assert faults_of(page.text) == []
    found = ada.post("/photos/1/measure", TAPPED)
    assert found.status_code == 200
    assert faults_of(found.text) == []
    # by hand: the wall as it was drawn; 1.0 down to the floor less 0.7 down to the sill
    for length in ("1.20 m wide", "1.10 m high", "1.00 m from the left end", "0.30 m above"):
        assert length in re.sub(r"\s+", " ", found.text.replace("\u00a0", " "))
    kept = {**TAPPED, "keep": "1", "into": "windows:new", "onto": "A"}
    assert ada.done("/photos/1/measure", kept).endswith("/rooms/1/recorded")
    told = sheet(ada)
    (window,) = told["room"]["windows"]
    assert (window["id"], window["wall"]) == ("W1", "A")
    lengths = {"width_m": 1.2, "height_m": 1.1, "offset_m": 1.0, "sill_m": 0.3}
    assert {name: window[name] for name in lengths} == pytest.approx(lengths, abs=0.003)
    measured = {m["path"]: m for m in told["extra"]["measurements"]}
    width = measured["windows.W1.width_m"]
    assert re.fullmatch(r"[\d.]+ cm", width["accuracy"])
    assert "wall.jpg" in width["how"]
    assert "A4" in width["how"]


def test_the_tape_wins_until_a_tick_says_otherwise(ada: Browser, room: str) -> None:
    send(ada, photo())
    ada.done(f"{room}/windows/new", {"id": "W1", "wall": "B", "width_m": "1.18"})
    kept = {**TAPPED, "keep": "1", "into": "windows:1"}
    asked = ada.post("/photos/1/measure", kept)
    assert asked.status_code == 422
    assert faults_of(asked.text) == []
    assert 'value="width_m"' in asked.text
    assert 'value="height_m"' not in asked.text
    assert TAPPED["first_at"].splitlines()[0] in asked.text
    assert "height_m" not in sheet(ada)["room"]["windows"][0]
    assert ada.done("/photos/1/measure", {**kept, "replace": "width_m"})
    window = sheet(ada)["room"]["windows"][0]
    assert window["width_m"] == pytest.approx(1.2, abs=0.003)
    assert window["wall"] == "B"


def test_a_socket_by_one_point_and_by_its_plate(ada: Browser, room: str) -> None:
    send(ada, photo())
    point = {**TAPPED, "second": "rectangle", "second_at": TAPPED["thing_at"]}
    point |= {"keep": "1", "into": "outlets:new", "onto": "A", "thing_at": seen((0.5, 0.7))}
    ada.done("/photos/1/measure", point)
    ada.done("/photos/1/measure", {**point, "thing_at": box(0.46, 0.66, 0.08, 0.08)})
    for outlet in sheet(ada)["room"]["outlets"]:
        assert outlet["offset_m"] == pytest.approx(0.8, abs=0.01)
        assert outlet["height_m"] == pytest.approx(0.3, abs=0.01)
    into = ada.post("/photos/1/measure", {**point, "into": "windows:new"})
    assert into.status_code == 422
    assert "four corners" in into.text


def test_photos_that_cannot_be_measured_on(ada: Browser, room: str) -> None:
    photos = [
        (photo(software=text(0x0131, "Adobe Photoshop 25.0")), "worked on with"),
        (photo(width=short(0xA002, 4000)), "cut or made smaller"),
        (photo(equivalent=None), "focal length"),
        (photo(zoom=ratio(0xA404, (2, 1))), "focal length"),
        (photo(width=None), "focal length"),
    ]
    for number, (data, words) in enumerate(photos, start=1):
        send(ada, data)
        answer = ada.post(f"/photos/{number}/measure", TAPPED)
        assert answer.status_code == 422
        assert words in answer.text
        assert TAPPED["thing_at"].splitlines()[2] in answer.text
        assert faults_of(answer.text) == []


def test_a_second_photo_of_the_wall_is_offered_and_makes_it_surer(ada: Browser, room: str) -> None:
    def doubts_m(page: str) -> list[float]:
        return [float(one) for one in re.findall(r"±\s+([\d.]+)\s+m\b", page)]

    first = {**TAPPED, "thing_at": box(1.2, -0.4, 1.2, 1.1)}
    second = {**AGAIN, "again_thing_at": box(1.2, -0.4, 1.2, 1.1, -25)}
    send(ada, photo())
    alone = ada.post("/photos/1/measure", first)
    assert "send it to this room" in alone.text, "there is no other yet"
    assert 'name="again_id"' not in alone.text.partition("<main")[2].partition("Show points")[2]
    send(ada, photo(original=text(0x9003, "2026:06:21 11:00:40")))
    offered = ada.post("/photos/1/measure", first)
    assert 'name="along" value="2"' in offered.text
    assert faults_of(offered.text) == []
    chosen = ada.post("/photos/1/measure", {**first, "along": "2"})
    assert chosen.status_code == 200
    assert 'data-measure="again_"' in chosen.text
    assert first["thing_at"].splitlines()[2] in chosen.text
    assert faults_of(chosen.text) == []
    both = ada.post("/photos/1/measure", {**first, **second})
    assert both.status_code == 200
    assert faults_of(both.text) == []
    assert "1.20 m wide" in re.sub(r"\s+", " ", both.text.replace("\u00a0", " "))
    assert len(doubts_m(alone.text)) == 4
    assert sum(doubts_m(both.text)) < 0.7 * sum(doubts_m(alone.text))
    assert 'name="along"' not in both.text, "a third is not asked for"
    kept = {**first, **second, "keep": "1", "into": "windows:new", "onto": "A"}
    ada.done("/photos/1/measure", kept)
    (window,) = sheet(ada)["room"]["windows"]
    assert window["width_m"] == pytest.approx(1.2, abs=0.003)
    how = sheet(ada)["extra"]["measurements"][-1]["how"]
    assert how.count("wall.jpg") == 2


def test_a_second_photo_is_refused_by_name_and_what_was_tapped_is_kept(
    ada: Browser, room: str
) -> None:
    for _ in range(2):
        send(ada, photo())
    ada.done("/locations/new", {**WEIR, "name": "Elsewhere", "emergency_care": ""})
    ada.post("/location/2/photos", {"photos": [(BytesIO(photo()), "elsewhere.jpg")]})
    send(ada, photo(software=text(0x0131, "Adobe Photoshop 25.0")))
    corners = AGAIN["again_thing_at"].splitlines()
    for given, words in (
        ({"again_id": "1"}, "no second photo"),
        ({"again_id": "3"}, "no second photo"),
        ({"again_id": "4"}, "worked on with"),
        ({"again_first_at": "", "again_thing_at": ""}, "on the first photo too"),
        ({"again_thing_at": corners[0]}, "needs 4 points"),
        ({"again_thing_at": "\n".join(reversed(corners))}, "another order"),
        ({"again_thing_at": box(0.5, -0.2, 1.2, 1.1, -25)}, "does not fit the rest"),
        ({"again_second_at": AGAIN["again_first_at"]}, "say what it is"),
    ):
        answer = ada.post("/photos/1/measure", {**TAPPED, **AGAIN, **given})
        assert answer.status_code == 422, given
        assert words in answer.text, given
        assert AGAIN["again_left_at"] in answer.text
        assert faults_of(answer.text) == []
    assert ada.post("/photos/1/measure", {**TAPPED, "again_id": "99"}).status_code == 404


REFUSED = [
    ({"first_at": ""}, "first"),
    ({"first_at": "0.1, 0.1"}, "needs 4 points"),
    ({"first_at": "\n".join(reversed(TAPPED["first_at"].splitlines()))}, "another order"),
    ({"thing_at": "0.1, 0.1\n0.2, 0.2"}, "one point for a socket"),
    ({"thing_at": "1.1, 0.1"}, "outside the picture"),
    ({"second": "tape"}, "say what it is and tap it"),
    ({"second": "tape", "second_at": seen((0, 0.9), (2, 0.9))}, "as the tape says"),
    ({"first": "door"}, "as the tape says"),
    ({"first": "a4_lying"}, "which way up"),
    ({"first": "wardrobe"}, "wardrobe"),
    ({"thing_at": seen((0.5, 0.7)), "left_at": "", "floor_at": ""}, "a single point"),
    ({"keep": "1"}, "choose what it is"),
    ({"keep": "1", "into": "windows:new"}, "wall"),
    ({"keep": "1", "into": "lamps:new"}, "choose what it is"),
]


def test_what_was_tapped_is_refused_by_name_and_kept(ada: Browser, room: str) -> None:
    send(ada, photo())
    for given, words in REFUSED:
        answer = ada.post("/photos/1/measure", {**TAPPED, **given})
        assert answer.status_code == 422, given
        assert words in answer.text, given
        assert TAPPED["floor_at"] in answer.text or "floor_at" in given
        assert faults_of(answer.text) == []
    gone = {**TAPPED, "keep": "1", "into": "windows:99"}
    assert ada.post("/photos/1/measure", gone).status_code == 404
