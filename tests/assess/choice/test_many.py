"""Many rooms for one scene: the same as judging each, and never stale."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from scout.assess.choice.many import Catalogue
from scout.calc.choice import ranking
from scout.records import RoomRecord, SceneRecord
from scout.records.sheet import NoiseReading
from tests.assess.choice.test_choose import FEE, HEIGHT, QUIET, named, noisy, pounds

SCENE = SceneRecord.read({"name": "Talk", "needs": [HEIGHT, FEE, QUIET]})


def rooms(count: int = 40) -> dict[int, object]:
    chance = np.random.default_rng(2)
    return {
        key: named(
            key,
            room={
                "height_m": float(chance.uniform(2.2, 3.2)),
                **noisy(float(chance.uniform(25, 50))),
            },
            place=pounds(float(chance.integers(50, 700))),
        )
        for key in range(1, count + 1)
    }


def told(catalogue: Catalogue) -> list[tuple[int, int, float, float]]:
    return [
        (one.facts.room_id, one.missed, one.total, one.first_share)
        for one in catalogue.ranked(1000)
    ]


def fresh(facts: dict[int, object]) -> list[tuple[int, int, float, float]]:
    made = Catalogue(SCENE)
    made.judge(facts)  # type: ignore[arg-type]
    return told(made)


def test_a_changed_fact_is_seen_and_only_its_room_is_judged_again() -> None:
    # property: a catalogue that is kept answers as one made anew, whatever fact changed
    facts = rooms()
    held = Catalogue(SCENE)
    assert held.judge(facts) == 40  # type: ignore[arg-type]
    assert held.judge(facts) == 0  # type: ignore[arg-type]
    assert told(held) == fresh(facts)
    chance = np.random.default_rng(4)
    for _ in range(10):
        key = int(chance.integers(1, 41))
        before = facts[key]
        loud = NoiseReading(id="N9", laeq_db=float(chance.uniform(20, 70)), method="meter_class_1")
        room = before.room.model_copy(update={"noise": (loud,)})  # type: ignore[attr-defined]
        facts[key] = dataclasses.replace(before, room=room)  # type: ignore[type-var]
        assert held.judge(facts) == 1  # type: ignore[arg-type]
        assert told(held) == fresh(facts)


def test_rooms_come_and_go() -> None:
    facts = rooms(10)
    held = Catalogue(SCENE)
    held.judge(facts)  # type: ignore[arg-type]
    del facts[3]
    facts[77] = named(77, room={"height_m": 2.9, **noisy(20)}, place=pounds(1))
    assert held.judge(facts) == 1  # type: ignore[arg-type]
    assert {row[0] for row in told(held)} == {*range(1, 11), 77} - {3}
    assert sorted(told(held)) == sorted(fresh(facts))
    assert told(held)[0][0] == 77
    assert Catalogue(SceneRecord(name="Talk")).ranked(5) == []


def test_records_do_not_change_in_place() -> None:
    # what the catalogue relies on: the same record is the same facts
    with pytest.raises(Exception, match="frozen"):
        RoomRecord(name="Hall").name = "Loft"
    assert ranking.SURE == 0
