"""Maps as lists: what stands on them, how far apart, a day's way, and whose pictures a page may
fetch.
"""

from __future__ import annotations

import re
from dataclasses import replace
from html import unescape

import pytest
from flask import Flask

from scout.errors import Refused
from scout.settings import Settings
from scout.usecases.work import open_work
from scout.web.app import create_app
from tests.days import film
from tests.web.conftest import WEIR, Browser
from tests.web.page_check import faults_of

# Source: Karney's library quotes Wellington (-41.32, 174.81) to Salamanca (40.96, -5.50) as
# 19 959 679.267 m
WELLINGTON = {"name": "Wellington hall", "latitude_deg": "-41.32", "longitude_deg": "174.81"}
SALAMANCA = {"name": "Salamanca hall", "latitude_deg": "40.96", "longitude_deg": "-5.50"}
TILES = {
    "SILLBOOK_TILES": "https://tiles.example.org/v1/{z}/{x}/{y}.png",
    "SILLBOOK_TILES_BY": "© Example <surveyors>",
}


def words(page: str) -> str:
    """What a page says, without its marks."""
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", page)).split())


def test_the_list_says_how_far_places_lie_and_which_lie_nowhere(ada: Browser) -> None:
    start = ada.done("/locations/new", WELLINGTON)
    ada.done("/locations/new", SALAMANCA)
    ada.done("/locations/new", {"name": "Barn without a pin"})
    page = ada.get(f"/map?from={start.rpartition('/')[2]}")
    assert faults_of(page.text) == []
    assert page.text.count("data-at=") == 2
    assert "19960 km" in words(page.text).replace(",", "")
    assert "/locations/3/edit#latitude_deg" in page.text
    assert ada.get("/map?text=Salamanca").text.count("data-at=") == 1


def test_door_and_parking_are_kept_shown_and_measured(ada: Browser) -> None:
    # by hand: a thousandth of a degree of the meridian at 52 degrees is 111.26 m, of the parallel
    # 68.68 m (a degree of each is 111 262 and 68 678 m on WGS 84); the carry is their hypotenuse
    place = ada.done(
        "/locations/new",
        {
            **WEIR,
            "latitude_deg": "52",
            "longitude_deg": "0.5",
            "door_at-latitude_deg": "52",
            "door_at-longitude_deg": "0.5",
            "parking_at-latitude_deg": "52.001",
            "parking_at-longitude_deg": "0.501",
        },
    )
    page = ada.get(place)
    assert faults_of(page.text) == []
    assert re.findall(r'data-kind="(\w+)"', page.text) == ["place", "door", "parking"]
    assert "Straight from the van to the door: 131 m" in words(page.text)
    assert "The way round is longer" in words(page.text)
    assert 'href="geo:52.001,0.501"' in page.text


def test_half_a_position_is_refused_by_its_field(ada: Browser) -> None:
    answer = ada.post("/locations/new", {**WEIR, "parking_at-latitude_deg": "52"})
    assert answer.status_code == 422
    assert 'href="#parking_at-longitude_deg"' in answer.text
    assert 'value="52"' in answer.text


def test_a_day_s_way_goes_from_place_to_place(app: Flask, ada: Browser) -> None:
    # by hand: Mill and Barn stand on one meridian, a tenth of a degree apart at 52.65 degrees:
    # 11.13 km; by the rule of thumb of the move (a third longer, 40 km/h, 10 min for doors and
    # parking) 10 + 11.13 x 1.3 / 40 x 60 = 31.7 min
    with open_work(app.config["SILLBOOK"]) as work:
        key, _ = film(work)
    page = ada.get(f"/productions/{key}/day")
    assert faults_of(page.text) == []
    way = words(page.text[page.text.index('id="way"') :])
    assert re.search(r"(Mill to Barn|Barn to Mill) 11.1 km straight, about 32 min", way)
    assert "data-route" in page.text


def test_only_a_page_with_a_map_may_fetch_tiles(embedded: Settings, ada: Browser) -> None:
    place = ada.done("/locations/new", WEIR)
    assert "tiles" not in ada.get(place).headers["Content-Security-Policy"]
    given = Settings.from_environment({**TILES, "SILLBOOK_DATA": str(embedded.data_dir)})
    tiled = replace(embedded, tiles=given.tiles, tiles_by=given.tiles_by)
    other = Browser(create_app(tiled).test_client())
    other.log_in()
    page = other.get(place)
    policy = page.headers["Content-Security-Policy"]
    assert "img-src 'self' https://tiles.example.org;" in policy
    assert policy.count("example.org") == 1
    assert "&lt;surveyors&gt;" in page.text
    assert "example.org" not in other.get("/rooms").headers["Content-Security-Policy"]


@pytest.mark.parametrize(
    "tiles",
    [
        "tiles.example.org/{z}/{x}/{y}.png",
        "javascript:alert(1)//{z}{x}{y}",
        "https://tiles.example.org/{z}/{x}.png",
        "https://{s}.example.org/{z}/{x}/{y}.png",
        "https://a; script-src *//{z}/{x}/{y}",
    ],
)
def test_an_address_that_is_none_of_tiles_is_refused(tiles: str) -> None:
    with pytest.raises(Refused, match="SILLBOOK_TILES"):
        Settings.from_environment({**TILES, "SILLBOOK_TILES": tiles})


def test_tiles_name_their_makers() -> None:
    with pytest.raises(Refused, match="SILLBOOK_TILES_BY"):
        Settings.from_environment({"SILLBOOK_TILES": TILES["SILLBOOK_TILES"]})


def test_the_library_comes_from_its_package(ada: Browser) -> None:
    page = ada.get("/map")
    for address in re.findall(r'(?:src|href)="(/leaflet/[^"]+)"', page.text):
        answer = ada.get(address)
        assert answer.status_code == 200
        assert "max-age=31536000" in answer.headers["Cache-Control"]
    assert ada.get("/leaflet/leaflet-src.js").status_code == 404
