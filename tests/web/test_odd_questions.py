"""Questions that do not go together, through the pages: each is said in words that name what to
change, and nothing is lost or lies.
"""

from __future__ import annotations

import html
import re
from datetime import date, timedelta
from typing import Any

import pytest
import vobject

from scout.pages.day.plan import day_plan
from scout.pages.day.setups import setups_of_scene
from scout.records import (
    CandidateRecord,
    LocationRecord,
    ProductionRecord,
    RoomRecord,
    SceneRecord,
    SetupRecord,
)
from scout.records.day import DayRecord, SceneTime
from scout.settings import Settings
from scout.usecases import days, locations, productions, rooms, setups
from scout.usecases.work import open_work
from tests.days import house
from tests.days import scene as timed_scene
from tests.web.conftest import Browser

MUST, WISH = {"strength": "must"}, {"strength": "wish"}


def text(ada: Browser, path: str) -> str:
    page = ada.get(path)
    assert page.status_code == 200, page.text
    main = page.text.partition("<main")[2]
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", main)).split())


def scene_of(settings: Settings, *needs: dict[str, Any], **job: Any) -> int:
    """A scene with three rooms of one mill: 30, 40 and 50 dBA; 2.2, 3 and 3 m high."""
    with open_work(settings) as work:
        place = locations.add_location(work, LocationRecord(name="Mill"))
        production = productions.add_production(work, ProductionRecord(title="Film", **job))
        scene = SceneRecord.read({"name": "Talk", "needs": list(needs) or None})
        key = productions.add_scene(work, production, scene)
        for name, height, noise in (("Cellar", 2.2, 30), ("Loft", 3.0, 40), ("Hall", 3.0, 50)):
            read = {"id": "N1", "laeq_db": noise, "method": "meter_class_1"}
            room = rooms.add_room(
                work, place, RoomRecord.read({"name": name, "height_m": height, "noise": [read]})
            )
            productions.add_candidate(work, key, room, CandidateRecord())
    return key


def test_no_needs(ada: Browser, embedded: Settings) -> None:
    page = text(ada, f"/scenes/{scene_of(embedded)}/compare")
    assert "The scene has no needs yet" in page
    assert "Say what it needs" in page


def test_every_room_fails(ada: Browser, embedded: Settings) -> None:
    quiet = {"topic": "noise", "laeq_db": 35, **MUST}
    high = {"topic": "height", "height_m": 2.5, **MUST}
    page = text(ada, f"/scenes/{scene_of(embedded, quiet, high)}/compare")
    # by hand: two of three are louder than 35, one of three lower than 2.5; without the noise two
    # would do, without the height one
    assert "No room meets all that is required" in page
    assert "Noise: 2 of 3 rooms do not meet it, or nobody measured it" in page
    assert "Were noise not required, Loft and Hall would do" in page


def test_all_weights_nought(ada: Browser, embedded: Settings) -> None:
    high = {"topic": "height", "height_m": 2.5, "weight": 0, **WISH}
    quiet = {"topic": "noise", "laeq_db": 35, "weight": 0, **WISH}
    page = text(ada, f"/scenes/{scene_of(embedded, high, quiet)}/compare")
    assert "All weights are 0, so only what is required counts" in page


def test_contradictory_hours(ada: Browser, embedded: Settings) -> None:
    whens = [
        {"topic": "when", "dates": ["2099-06-20"], "from_time": a, "until_time": b, **MUST}
        for a, b in (("09:00", "11:00"), ("14:00", "16:00"))
    ]
    page = text(ada, f"/scenes/{scene_of(embedded, *whens)}/compare")
    assert "Two needs ask for different hours on 20 Jun 2099" in page


def test_dates_gone_by(ada: Browser, embedded: Settings) -> None:
    past = {"topic": "when", "dates": ["2020-02-03"], **MUST}
    key = scene_of(embedded, past)
    assert "The dates are past: the last was 3 Feb 2020" in text(ada, f"/scenes/{key}/compare")


def test_a_scene_longer_than_its_house_is_open(ada: Browser, embedded: Settings) -> None:
    with open_work(embedded) as work:
        job = productions.add_production(work, ProductionRecord(title="Film"))
        barn = house(work, "Barn")  # open from 09:00 to 18:00
        key = timed_scene(work, job, barn, "Whole", "2099-06-20", ("06:00", "20:00"))
        times = {"scenes": [{"scene_id": key, "length_min": 700}]}
        days.save_day(work, job, 0, DayRecord.read(times))
    page = text(ada, f"/productions/{job}/day")
    assert "Whole" in page
    assert re.search(r"opening hours|is open", page)
    assert "Traceback" not in page


@pytest.fixture
def crossing(embedded: Settings) -> tuple[int, list[int]]:
    """A morning in Dover and an afternoon in Calais, an hour ahead."""
    with open_work(embedded) as work:
        dover = house(work, "Dover", latitude_deg=51.13, longitude_deg=1.31)
        calais = house(
            work, "Calais", latitude_deg=50.95, longitude_deg=1.86, timezone="Europe/Paris"
        )
        crew = [{"name": "Ida", "role": "camera"}]
        job = productions.add_production(
            work,
            ProductionRecord.read({"title": "Strait", "shoot_dates": ["2028-06-20"], "crew": crew}),
        )
        keys = [
            timed_scene(work, job, dover, "Cliff", "2028-06-20", ("09:00", "11:00")),
            timed_scene(work, job, calais, "Quay", "2028-06-20", ("13:00", "18:00")),
        ]
        lengths = tuple(SceneTime(scene_id=key, length_min=60) for key in keys)
        days.save_day(work, job, 0, DayRecord(scenes=lengths))
    return job, keys


def test_two_zones_on_one_day(
    ada: Browser, embedded: Settings, crossing: tuple[int, list[int]]
) -> None:
    job, _ = crossing
    with open_work(embedded, reading=True) as work:
        plan = day_plan(work, job)
        zones = [(row.scene, row.zone) for row in plan.rows]
        cliff, quay = plan.rows
        calls = plan.calls
    assert zones == [("Cliff", "Europe/London"), ("Quay", "Europe/Paris")]
    # summer time: UTC + 1 in London, UTC + 2 in Paris (tz database)
    assert cliff.begin.utcoffset() == timedelta(hours=1)
    assert quay.begin.utcoffset() == timedelta(hours=2)
    # each keeps the hours of its own clock
    assert "09:00" <= f"{cliff.begin:%H:%M}" <= f"{cliff.end:%H:%M}" <= "11:00"
    assert "13:00" <= f"{quay.begin:%H:%M}" <= f"{quay.end:%H:%M}" <= "18:00"
    # by hand: 0.18 degrees of latitude are 20.0 km, 0.55 of longitude at 51.04 degrees 38.5 km:
    # 43.4 km; 1.3 times that at 40 km/h and 10 min: 94.6 min, to the next five 95; as instants
    assert quay.move_min == 95
    assert quay.set_up_from - cliff.strike_until >= timedelta(minutes=95)
    # the crew is called by the clock of the first place
    assert [call.at.utcoffset() for call in calls] == [timedelta(hours=1)]
    page = text(ada, f"/productions/{job}/day")
    assert re.search(r"Cliff Dover room, Dover by the clock of Europe/London", page)
    assert re.search(r"Quay Calais room, Calais by the clock of Europe/Paris", page)
    assert f"{quay.begin:%H:%M} to {quay.end:%H:%M}" in page
    assert "95 min" in page
    # the calendar, read by another library, gives the same instants, each with its zone
    file = ada.get(f"/productions/{job}/day.ics")
    assert file.status_code == 200
    events = {event.summary.value: event for event in vobject.readOne(file.text).vevent_list}
    for row in (cliff, quay):
        event = next(one for name, one in events.items() if row.scene in name)
        assert event.dtstart.value == row.begin
        assert event.dtend.value == row.end
        assert event.dtstart.params["X-VOBJ-ORIGINAL-TZID"] == [row.zone]


def test_setups_of_one_room_on_several_dates_are_each_judged(
    ada: Browser, embedded: Settings
) -> None:
    """Opening hours settle it: the mill is shut on the second date."""
    when = {
        "topic": "when",
        "dates": ["2099-06-20", "2099-06-21"],
        "from_time": "10:00",
        "until_time": "12:00",
        **MUST,
    }
    with open_work(embedded) as work:
        # 20 June 2099 is a Saturday (calendar arithmetic of the standard library)
        assert date(2099, 6, 20).weekday() == 5
        week = [{"first": "mon", "last": "sat", "opens": "09:00", "closes": "18:00"}]
        mill = house(work, "Mill House", opening_hours={"week": week})
        job = productions.add_production(work, ProductionRecord(title="Film"))
        scene = SceneRecord.read({"name": "Talk", "needs": [when]})
        key = productions.add_scene(work, job, scene)
        candidate = productions.add_candidate(work, key, mill, CandidateRecord())
    page = text(ada, f"/scenes/{key}/compare")
    assert "Judged on 20 Jun 2099 and 21 Jun 2099" in page
    assert "0 of 1 required" in page
    # one dated setup alone is judged on its own date, not on the scene's first
    with open_work(embedded) as work:
        for one in setups_of_scene(work, key):
            setups.bin_setup(work, one.id, one.version)
        setups.add_setup(work, candidate, SetupRecord.read({"on": "2099-06-21"}))
    page = text(ada, f"/scenes/{key}/compare")
    assert "Judged for 21 Jun 2099" in page
    assert "Judged on" not in page
