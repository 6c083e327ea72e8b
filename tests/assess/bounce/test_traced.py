"""Colour that furnished rooms throw on a face, beside a spectral path tracer of our own."""

from __future__ import annotations

import json
from typing import Any

import pytest

from scout.assess.answers import Placement
from scout.assess.bounce.bounce import bounce
from scout.assess.bounce.surround import surround
from tests.assess.bounce.traced import EXPECTED, LIGHTS, SCENES, sheet_of

# own reference: `python -m tests.assess.bounce.traced`, 160,000 paths a row, each row's own scatter
# beside it; nothing is shared with our solver but the sheet, the lamp's spectrum and the observer
ROWS: list[dict[str, Any]] = json.loads(EXPECTED.read_text(encoding="utf-8"))
MOST_PCT, MOST_XY = 3.0, 0.0025


@pytest.mark.parametrize("scene", SCENES)
def test_bounced_light_and_its_colour_with_furniture(scene: str) -> None:
    sheet = sheet_of(scene)
    placed = {
        light["id"]: Placement(light["id"], tuple(light["at_m"]), None, "pinned")  # type: ignore[arg-type]
        for light in LIGHTS
    }
    ours: dict[tuple[str, str], Any] = {(r.light, r.surface): r for r in bounce(sheet, placed)}
    ours |= {(row.light, row.side): row for row in surround(sheet, placed)}
    rows = [row for row in ROWS if row["scene"] == scene]
    assert len(rows) == len(ours) == 16
    for row in rows:
        told = ours[row["light"], row["target"]]
        off_pct = 100 * (told.bounced_lux / row["lux"] - 1)
        assert abs(off_pct) <= MOST_PCT + 2 * row["error_pct"], (row, told.bounced_lux)
        assert told.xy == pytest.approx(row["xy"], abs=MOST_XY), row
