"""Eight rooms of a real house, four of them with corners that turn back, against ray tracing and a
published sun position.

Source: the rooms are converted from a sample building of the open repository building-energy/gbxml
(MIT licence, Building Energy Research Group, 2018). Expected values beside them in
`tests/open_data/real_house.json`: facings are the model's azimuths; direct sun by pvlib's SPA;
daylight factors by Radiance rtrace under the CIE overcast sky (ground 0.2).
"""

from __future__ import annotations

import json
from datetime import date, datetime
from pathlib import Path
from typing import Any

import pytest

from scout.assess.room import assess_room
from scout.records import read_sheet

ROOMS: list[dict[str, Any]] = json.loads(
    (Path(__file__).resolve().parents[1] / "open_data" / "real_house.json").read_text()
)["rooms"]


@pytest.mark.parametrize("room", ROOMS, ids=[room["space"] for room in ROOMS])
def test_a_room_of_the_real_house(room: dict[str, Any]) -> None:
    sheet = read_sheet(json.dumps(room["sheet"]).encode())
    expected = room["expect"]
    tolerance_s = expected["direct_sun_tolerance_s"]
    for on, windows in expected["direct_sun"].items():
        found = assess_room(sheet, date.fromisoformat(on))
        spells = {window.id: window.direct_sun for window in found.windows}
        facing = {window.id: window.facing_deg for window in found.windows}
        assert facing == pytest.approx(expected["facing_deg"], abs=0.1)
        for label, given in windows.items():
            assert len(spells[label]) == len(given), (on, label)
            for spell, pair in zip(spells[label], given, strict=True):
                for moment, text in zip(spell, pair, strict=True):
                    apart = abs((moment - datetime.fromisoformat(text)).total_seconds())
                    assert apart <= tolerance_s, (on, label)
    light = found.daylight.marks.get("subject")
    if expected.get("daylight_factor_pct") is not None:
        assert light is not None
        right = expected["daylight_factor_pct"]
        assert light.daylight_factor_pct == pytest.approx(right, abs=max(0.03 * right, 0.05))
        assert light.sky_component_pct == pytest.approx(
            expected["sky_component_pct"], abs=max(0.03 * expected["sky_component_pct"], 0.05)
        )
