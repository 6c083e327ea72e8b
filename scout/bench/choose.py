"""How long it takes to rank a catalogue of rooms for a scene, and again after one new fact."""

from __future__ import annotations

import dataclasses
import itertools
from collections.abc import Iterator

import numpy as np

from scout.assess.choice.cells import CandidateFacts
from scout.assess.choice.many import NOTHING, Catalogue
from scout.bench.measure import Row, within
from scout.records import CandidateRecord, LocationRecord, RoomRecord, SceneRecord
from scout.records.sheet import NoiseReading

ROOMS = 10_000
SCENE = SceneRecord.read(
    {
        "name": "Interview",
        "needs": [
            {"topic": "height", "strength": "must", "height_m": 2.5},
            {"topic": "noise", "strength": "must", "laeq_db": 35},
            {"topic": "floor", "strength": "must", "width_m": 3, "length_m": 4},
            {"topic": "watts", "strength": "wish", "weight": 3, "watts": 2000},
            {"topic": "sockets", "strength": "wish", "weight": 1, "sockets": 4},
            {"topic": "access", "strength": "wish", "weight": 2, "steps": 10, "carry_m": 50},
            {"topic": "permit", "strength": "wish", "weight": 1, "days": 10},
            {
                "topic": "budget",
                "strength": "wish",
                "weight": 4,
                "amount": 300,
                "currency": "EUR",
            },
        ],
    }
)


def catalogue() -> dict[int, CandidateFacts]:
    """Rooms at random, two to a place, some of their facts missing."""
    chance = np.random.default_rng(11)
    found = {}
    for key in range(ROOMS):
        if key % 2 == 0:
            place = LocationRecord.read(
                {
                    "name": f"Place {key}",
                    "steps": int(chance.integers(0, 30)),
                    "parking_distance_m": float(chance.integers(5, 150)),
                    "permit_lead_days": int(chance.integers(0, 30)),
                    "fee_amount": float(chance.integers(0, 900)),
                    "fee_currency": "EUR",
                }
            )
        room = {
            "name": f"Room {key}",
            "width_m": float(chance.uniform(2, 8)),
            "length_m": float(chance.uniform(2, 10)),
            "height_m": float(chance.uniform(2.2, 4)),
            "circuits": [{"id": "K1", "volts": 230, "breaker_a": 16, "other_load_w": 300}],
            "outlets": [{"id": "P1", "circuit": "K1", "sockets": int(chance.integers(1, 9))}],
        }
        if chance.random() < 0.7:
            level = float(chance.uniform(24, 60))
            room["noise"] = [{"id": "N1", "laeq_db": level, "method": "meter_class_2"}]
        found[key] = CandidateFacts(
            key,
            key,
            f"Room {key}",
            CandidateRecord(),
            place,
            RoomRecord.read(room),
            NOTHING,
            location_id=key // 2,
        )
    return found


def rows() -> Iterator[Row]:
    """The whole catalogue from its records, then with one noise reading more."""
    rooms = catalogue()

    def cold() -> None:
        ranked = Catalogue(SCENE)
        ranked.judge(rooms)
        ranked.ranked(20)

    held = Catalogue(SCENE)
    held.judge(rooms)
    turn = itertools.count()

    def again() -> None:
        key = next(turn) * 37 % ROOMS
        facts = rooms[key]
        reading = NoiseReading(id="N2", laeq_db=33.0, method="meter_class_1")
        room = facts.room.model_copy(update={"noise": (*(facts.room.noise or ()), reading)})
        rooms[key] = dataclasses.replace(facts, room=room)
        assert held.judge(rooms) == 1
        held.ranked(20)

    yield within("10,000 rooms ranked for a scene, from their records", cold, 5.0, times=3)
    yield within("10,000 rooms ranked again after one new fact", again, 0.3)
