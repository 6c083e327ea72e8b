"""The demonstration's rooms as setups, and those of the real house: what sentences are tried on."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import date, time
from functools import lru_cache
from pathlib import Path
from typing import Any

from scout.assess.answers import RoomAssessment
from scout.assess.room import assess_setup
from scout.assess.setup import Setup
from scout.records import read_sheet
from scout.records.kept import LocationRecord
from scout.records.sounds import NoiseWindowRecord

ROOT = Path(__file__).resolve().parents[1]
IN_THE_SHEET = ("name", "address", "latitude_deg", "longitude_deg", "elevation_m", "timezone")
ON = date(2026, 6, 20)


def _read(path: str) -> Any:
    return json.loads((ROOT / path).read_text(encoding="utf-8"))


def setups() -> Iterator[tuple[str, Setup]]:
    """Each room of the demonstration with its kit, from ten to two on a summer's day, then the
    rooms of the real house, which have no kit, all day.
    """
    scenario, sounds = _read("demo_data/scenario.json"), _read("demo_data/recordings.json")
    kit = scenario["production"]["kit"]
    for place in scenario["locations"]:
        record = LocationRecord.read(place["location"], "location")
        noises = tuple(
            NoiseWindowRecord.read(noise, "noise")
            for noise in sounds.get("noises", {}).get(place["location"]["name"], ())
        )
        where = {key: place["location"][key] for key in IN_THE_SHEET if place["location"].get(key)}
        for room in place["rooms"]:
            sheet = {"schema": "room-sheet/1", "location": where, "room": room["room"], "kit": kit}
            if room.get("marks"):
                sheet["marks"] = room["marks"]
            setup = Setup(
                read_sheet(json.dumps(sheet).encode()),
                ON,
                from_time=time(10),
                until_time=time(14),
                framing="head_and_shoulders",
                place=record,
                noises=noises,
            )
            yield room["room"]["name"], setup
    for room in _read("tests/open_data/real_house.json")["rooms"]:
        yield room["space"], Setup(read_sheet(json.dumps(room["sheet"]).encode()), ON)


@lru_cache(maxsize=1)
def assessed() -> tuple[tuple[str, Setup, RoomAssessment], ...]:
    """All of them worked out in full, once a process."""
    return tuple((name, setup, assess_setup(setup, in_full=True)) for name, setup in setups())
