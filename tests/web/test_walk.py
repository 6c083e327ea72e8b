"""A walk gone on with: what was changed is merged into what others recorded meanwhile."""

from __future__ import annotations

import html
import json
import re
from collections.abc import Callable
from copy import deepcopy
from typing import Any
from uuid import uuid4

import pytest

from scout.records import LocationRecord, read_sheet
from scout.records.sheet import Window
from scout.settings import Settings
from scout.usecases import locations, rooms, sheets
from scout.usecases.work import open_work
from tests.rooms import PARLOUR
from tests.web.conftest import Browser


@pytest.fixture
def begun(ada: Browser, embedded: Settings) -> tuple[str, dict[str, Any]]:
    """The address of a room's walk, and what a phone that opens it holds."""
    with open_work(embedded) as work:
        path = f"/rooms/{sheets.import_sheet(work, read_sheet(PARLOUR))}/walk"
    found = re.search(r'data-recorded="([^"]*)"', ada.get(path).text)
    assert found is not None
    return path, json.loads(html.unescape(found[1]))


def sent(ada: Browser, path: str, base: Any, yours: Any, once: str = "") -> Any:
    return ada.post(
        path,
        {"walk": json.dumps({"base": base, "yours": yours})},
        headers={"X-Once": once or str(uuid4()), "Accept": "text/html"},
    )


def key_of(path: str) -> int:
    return int(path.split("/")[2])


def test_only_what_changed_is_saved(
    ada: Browser, look: Callable[..., Any], embedded: Settings, begun: tuple[str, dict[str, Any]]
) -> None:
    path, base = begun
    key = key_of(path)
    yours = deepcopy(base)
    yours["room"]["height_m"] = 2.6
    yours["room"]["windows"][0]["sill_m"] = 0.8
    yours["room"]["doors"].append({"id": "D2", "wall": "B", "keep_free": True})
    yours["place"]["contacts"] = [{"name": "Mrs Osei", "phone": "+44 117 496 0000"}]
    yours["place"]["hazards"] = "Low beam"
    heard = {"id": "N9", "conditions": "heard, not measured: fridge on, next door"}
    yours["room"]["noise"] = [*(yours["room"].get("noise") or []), heard]
    yours["measured"] = [{"path": "height_m", "how": "laser", "by": "Ada"}]
    with open_work(embedded) as work:  # somebody else, meanwhile
        page = rooms.room(work, key)
        window = page.parts["windows"][0]
        wider = window.record.model_copy(update={"width_m": 1.9})
        rooms.save_part(work, "windows", window.id, window.version, wider)
        rooms.add_part(work, key, "windows", Window(id="W2", wall="B"))
        other = page.location.record.model_copy(update={"hours": "9 to 5"})
        locations.save_location(work, page.location.id, page.location.version, other)
    once = str(uuid4())
    answer = sent(ada, path, base, yours, once)
    assert answer.status_code == 200, answer.text
    assert answer.get_json()["there"] == f"/rooms/{key}"
    now = look(lambda work: rooms.room(work, key))
    room, place = now.kept.record, now.location.record
    assert room.height_m == 2.6
    assert [(one.id, one.width_m, one.sill_m) for one in room.windows] == [
        ("W1", 1.9, 0.8),
        ("W2", None, None),
    ]
    assert [(one.id, one.keep_free) for one in room.doors] == [("D1", None), ("D2", True)]
    assert room.windows[0].transmittance == 0.7, "what no walk knows of is left alone"
    (silent,) = [one for one in room.noise or () if one.id == "N9"]
    assert (silent.laeq_db, silent.conditions) == (None, heard["conditions"])
    assert (place.hazards, place.hours) == ("Low beam", "9 to 5")
    assert [one.phone for one in place.contacts or ()] == ["+44 117 496 0000"]
    assert [(one.path, one.how) for one in now.measurements] == [("height_m", "laser")]
    assert answer.get_json()["recorded"]["room"]["windows"][1]["id"] == "W2"
    # the same again under its name, and once more under another: nothing is doubled
    assert sent(ada, path, base, yours, once).get_json() == {"there": f"/rooms/{key}"}
    del yours["measured"]
    assert sent(ada, path, base, yours).status_code == 200
    assert look(lambda work: rooms.room(work, key)).kept.record == room


def test_what_two_people_say_otherwise_is_shown_and_settled(
    ada: Browser, look: Callable[..., Any], embedded: Settings, begun: tuple[str, dict[str, Any]]
) -> None:
    path, base = begun
    key = key_of(path)
    yours = deepcopy(base)
    yours["room"]["windows"][0]["sill_m"] = 0.8
    yours["room"]["name"] = "Parlour"
    with open_work(embedded) as work:
        window = rooms.room(work, key).parts["windows"][0]
        lower = window.record.model_copy(update={"sill_m": 1.0})
        rooms.save_part(work, "windows", window.id, window.version, lower)
    answer = sent(ada, path, base, yours)
    assert answer.status_code == 409
    (conflict,) = answer.get_json()["conflicts"]
    assert conflict["path"] == ["room", "windows", "W1", "sill_m"]
    assert (conflict["fact"], conflict["yours"], conflict["theirs"]) == (
        "W1 sill",
        "0.80\N{NO-BREAK SPACE}m",
        "1.00\N{NO-BREAK SPACE}m",
    )
    assert conflict["step"] == "openings"
    assert look(lambda work: rooms.room(work, key)).kept.record.name != "Parlour", "all or nothing"
    base["room"]["windows"][0]["sill_m"] = conflict["recorded"]  # mine holds: over what was shown
    assert sent(ada, path, base, yours).status_code == 200
    record = look(lambda work: rooms.room(work, key)).kept.record
    assert (record.name, record.windows[0].sill_m) == ("Parlour", 0.8)


def test_what_cannot_be_is_named_with_its_step(
    ada: Browser, begun: tuple[str, dict[str, Any]]
) -> None:
    path, base = begun
    yours = deepcopy(base)
    yours["room"]["windows"][0]["width_m"] = 9
    yours["room"]["circuits"][0]["breaker_a"] = -1
    (refusal,) = sent(ada, path, base, yours).get_json()["refusals"]
    assert (refusal["path"], refusal["step"]) == ("room.circuits[0].breaker_a", "power")
    yours["room"]["circuits"][0]["breaker_a"] = 16
    (refusal,) = sent(ada, path, base, yours).get_json()["refusals"]
    assert (refusal["path"], refusal["step"]) == ("room.windows[0].width_m", "openings")
    for odd in ("nonsense", '{"base": 1, "yours": {}}', '{"yours": {"room": [1]}}', "[]", "{" * 9):
        answer = ada.post(path, {"walk": odd})
        assert answer.status_code == 422, odd


def test_a_wall_is_offered_what_a_wall_can_be_made_of(
    ada: Browser, begun: tuple[str, dict[str, Any]]
) -> None:
    path, _ = begun
    walk, wall = (ada.get(at).text for at in (path, path.replace("/walk", "/surfaces/A")))
    # common practice: people and seats stand in a room, they are none of its surfaces
    for word, offered in (("hard_surface", True), ("curtain_velvet", True), ("audience", False)):
        assert (f'value="{word}"' in walk, f'value="{word}"' in wall) == (offered, offered), word
    assert re.search(r'value="wood_floor"\s+data-of="floor"', walk)
    assert 'value="wood_floor"' not in wall


def test_two_phones_at_one_place(
    ada: Browser, embedded: Settings, look: Callable[..., Any]
) -> None:
    with open_work(embedded) as work:
        place = locations.add_location(work, LocationRecord(name="Mill"))
    sheet = {"schema": "room-sheet/1", "room": {"name": "Hall"}}
    for name, longitude in (("Hall", -2.58), ("Loft", -2.5801)):
        sheet["room"] = {"name": name}
        here = {"latitude_deg": 51.45, "longitude_deg": longitude}
        walk = {"base": {"place": {}}, "yours": {"place": here}}
        typed = {"sheet": json.dumps(sheet), "walk": json.dumps(walk)}
        ada.done(f"/locations/{place}/walk", typed)
    found = look(lambda work: locations.location(work, place))
    assert (found.kept.record.longitude_deg, found.rooms and len(found.rooms)) == (-2.58, 2)
