"""Steady light on a scene's dates: its own, else its production's, else a plain refusal."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from scout.errors import NotFound, Refused
from scout.pages.daylight import steady
from scout.pages.daylight.steady import SteadyWanted
from scout.records import LocationRecord, Marks, ProductionRecord, RoomRecord, SceneRecord
from scout.usecases import locations, productions, rooms
from scout.usecases.work import Work
from tests.assess.daylight.test_daylight import SHEET


@pytest.fixture
def room_id(work: Work) -> int:
    place = locations.add_location(
        work,
        LocationRecord(
            name="Mill",
            latitude_deg=52.2,
            longitude_deg=0.12,
            timezone="Europe/London",
            contacts=None,
        ),
    )
    made = rooms.add_room(work, place, RoomRecord.read(SHEET["room"]))
    rooms.save_marks(
        work,
        made,
        rooms.room(work, made).kept.version,
        Marks(subject=(2.0, 2.5, 1.2), camera=(2.0, 0.6, 1.2)),
    )
    return made


def scene(work: Work, needs: list[dict[str, Any]], shoot: list[str]) -> int:
    production = productions.add_production(
        work, ProductionRecord.read({"title": "Tide", "shoot_dates": shoot, "kit": SHEET["kit"]})
    )
    return productions.add_scene(
        work, production, SceneRecord.read({"name": "Letter", "needs": needs})
    )


def test_a_scene_looks_on_its_own_dates_with_its_productions_kit(work: Work, room_id: int) -> None:
    own = scene(
        work,
        [{"topic": "when", "strength": "must", "dates": ["2026-06-20", "2026-06-22"]}],
        ["2026-09-01"],
    )
    found = steady.scene_steady(work, room_id, own, SteadyWanted(30, 0.5, clear=True))
    assert found.unknown is None
    assert {block.on for block in found.blocks} <= {date(2026, 6, 20), date(2026, 6, 22)}
    assert found.blocks
    assert found.needed_lux == pytest.approx(122.5)  # Source: ISO 2720, 250 x 2.8^2 / (0.02 x 800)


def test_without_dates_of_its_own_it_takes_the_shoot_dates(work: Work, room_id: int) -> None:
    found = steady.scene_steady(
        work, room_id, scene(work, [], ["2026-09-01"]), SteadyWanted(30, 0.5, clear=False)
    )
    assert {block.on for block in found.blocks} == {date(2026, 9, 1)}


def test_no_date_at_all_is_refused_and_no_scene_is_not_found(work: Work, room_id: int) -> None:
    with pytest.raises(Refused, match="has no date"):
        steady.scene_steady(work, room_id, scene(work, [], []), SteadyWanted(30, 0.5, clear=True))
    with pytest.raises(NotFound):
        steady.scene_steady(work, room_id, 9999, SteadyWanted(30, 0.5, clear=True))
    with pytest.raises(Refused, match="minutes"):
        steady.scene_steady(
            work,
            room_id,
            scene(work, [], ["2026-09-01"]),
            SteadyWanted(1, 0.5, clear=True),
        )
