"""Finding rooms: words in any script, never a private note; what they must give; kept searches."""

from __future__ import annotations

import re

import pytest

from tests.web.conftest import Browser


@pytest.fixture
def catalogue(ada: Browser) -> Browser:
    """Three rooms of two places, one of them loud, one of them unread."""
    mill = ada.done(
        "/locations/new",
        {
            "name": "Wéir House",
            "address": "Norwich",
            "latitude_deg": "52.63",
            "longitude_deg": "1.3",
        },
    )
    far = ada.done(
        "/locations/new", {"name": "旧図書館", "latitude_deg": "35.68", "longitude_deg": "139.77"}
    )
    for place, name, tags, noise in (
        (mill, "Long parlour", "brick, north light", "30"),
        (mill, "Cellar", "brick", "50"),
        (far, "ห้องอ่านหนังสือ", "", ""),
    ):
        room = ada.done(
            f"{place}/rooms/new",
            {"name": name, "tags": tags, "width_m": "4", "length_m": "6", "height_m": "3"},
        )
        if noise:
            ada.done(f"{room}/noise/new", {"id": "N1", "laeq_db": noise, "method": "meter_class_1"})
    ada.done("/room/1/notes/new", {"text": "echo under the dome", "audience": "crew"})
    ada.done("/room/2/notes/new", {"text": "owner is broke", "audience": "private"})
    return ada


def found(ada: Browser, query: str) -> list[str]:
    page = ada.get(f"/find?{query}")
    assert page.status_code == 200, page.text
    return re.findall(r'<th scope="row"><a href="[^"]+"\s+dir="auto">([^<]+)</a>', page.text)


@pytest.mark.parametrize(
    ("text", "rooms"),
    [
        ("parlour", ["Long parlour"]),
        ("PARL norw", ["Long parlour"]),  # beginnings, of the room and of its place
        ("dome", ["Long parlour"]),
        ("broke", []),  # a private note is nobody else's
        ("図書", ["ห้องอ่านหนังสือ"]),
        ("อ่าน", ["ห้องอ่านหนังสือ"]),
        ("north light", ["Long parlour"]),
        ("x' or 1=1 -- \"", []),
        ("%", []),
    ],
)
def test_words(catalogue: Browser, text: str, rooms: list[str]) -> None:
    page = catalogue.get("/find", query_string={"text": text})
    assert page.status_code == 200
    names = re.findall(r'<th scope="row"><a href="[^"]+"\s+dir="auto">([^<]+)</a>', page.text)
    assert names == rooms


def test_needs_tags_and_distance(catalogue: Browser) -> None:
    # what is loud is out; what nobody read comes after what is known to be quiet
    assert found(catalogue, "noise=35") == ["Long parlour", "ห้องอ่านหนังสือ"]
    assert found(catalogue, "tags=Brick&sort=name") == ["Cellar", "Long parlour"]
    near = "latitude=52.6&longitude=1.3&within_km=20"
    assert found(catalogue, f"{near}&sort=name") == ["Cellar", "Long parlour"]
    assert found(catalogue, "depth=5.5 m&height=2.9&noise=35&tags=brick") == ["Long parlour"]
    assert found(catalogue, "depth=9") == []


@pytest.mark.parametrize(
    ("query", "field"),
    [
        ("noise=loud", "noise"),
        ("depth=-1", "depth"),
        ("within_km=5", "latitude"),
        ("latitude=95&longitude=0", "latitude"),
        ("latitude=5", "longitude"),
    ],
)
def test_what_cannot_be_sought_is_refused_and_kept(
    catalogue: Browser, query: str, field: str
) -> None:
    page = catalogue.get(f"/find?text=mill&{query}")
    assert page.status_code == 422
    assert f'role="alert">{field}' in page.text or f"{field}" in page.text
    assert 'value="mill"' in page.text


def test_a_search_is_kept_and_deleted(catalogue: Browser) -> None:
    catalogue.done("/find/saved", {"name": "quiet brick", "noise": "35", "tags": "brick"})
    page = catalogue.get("/find").text
    assert "quiet brick" in page
    link = re.findall(r'href="(/find\?[^"]+)"', page)[0].replace("&amp;", "&")
    assert found(catalogue, link.partition("?")[2]) == ["Long parlour"]
    catalogue.done("/find/saved/1/bin", {"version": "1"})
    assert "quiet brick" not in catalogue.get("/find").text
    catalogue.done("/bin/saved_search/1/restore")
    assert "quiet brick" in catalogue.get("/find").text
