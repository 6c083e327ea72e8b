"""What a kit says is asked of its list, never of a tape."""

from __future__ import annotations

import json
from datetime import date
from typing import Any

import pytest

from scout.assess.answers import Finding
from scout.assess.room import assess_room
from scout.records import read_sheet

ROOM: dict[str, Any] = {
    "schema": "room-sheet/1",
    "location": {"latitude_deg": 51.5, "longitude_deg": -0.1, "timezone": "Europe/London"},
    "room": {
        "plan_m": [[0, 0], [0, 4], [5, 4], [5, 0]],
        "height_m": 2.6,
        "setting": "interior",
        "circuits": [{"id": "K1", "breaker_a": 16, "volts": 230}],
        "outlets": [{"id": "P1", "wall": "A", "offset_m": 1, "height_m": 0.3, "circuit": "K1"}],
        "surfaces": {},
    },
    "marks": {"subject": [1.5, 2, 1.2], "camera": [3.7, 2, 1.3]},
}


def found(kit: dict[str, Any] | None, **setup: Any) -> tuple[Finding, ...]:
    sheet = ROOM if kit is None else {**ROOM, "kit": kit}
    return assess_room(read_sheet(json.dumps(sheet).encode()), date(2026, 12, 12), **setup).findings


@pytest.mark.parametrize(("in_scene", "code"), [(False, "propose.room"), (True, "list.kit")])
def test_without_a_kit_all_that_wait_for_one_ask_the_same(in_scene: bool, code: str) -> None:
    # property: nobody measures lights, ISO or a shutter with a tape
    waiting = {
        one.code: [act.code for act in one.acts]
        for one in found(None, in_scene=in_scene)
        if one.code in ("power.unknown", "space.framing_unknown", "space.places_unknown")
    }
    assert waiting == {key: [code] for key in waiting}
    assert len(waiting) == 3
    for one in found(None, in_scene=in_scene):
        for act in one.acts:
            if act.code == "measure":
                assert not [fact for fact in act["facts"] if fact.key.startswith("kit")]


def test_what_a_kit_lacks_is_listed_there() -> None:
    acts = [str(act) for one in found({"camera": {"iso": 800}}) for act in one.acts]
    assert "List in the kit: lights" in acts
    assert not [act for act in acts if act.startswith("Propose")]
