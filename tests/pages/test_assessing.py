"""A room is worked out once for all who ask for it."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from scout.assess import room as whole
from scout.pages import assessing
from scout.records import RoomSheet

ON = date(2026, 3, 20)


def test_a_page_its_packet_and_the_full_figures_share_one_assessment(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    calls: list[Any] = []
    real = whole.assess_room

    def counted(*arguments: Any, **more: Any) -> Any:
        calls.append(arguments)
        return real(*arguments, **more)

    monkeypatch.setattr(assessing.whole, "assess_room", counted)
    sheet = RoomSheet.model_validate(
        {
            "schema": "room-sheet/1",
            "room": {"name": "Asked for thrice", "width_m": 4.0, "length_m": 5.0, "height_m": 2.6},
        }
    )
    assessing.assessed.cache_clear()
    plain = assessing.assessed_sheet(sheet, ON)
    full = assessing.assessed_sheet(sheet, ON, in_full=True)
    # property: the same sheet on the same date is the same question, whoever asks and however fully
    assert assessing.assessed_sheet(sheet, ON, at=None, ring=None) is plain
    assert full.daylight == plain.daylight
    assert len(calls) == 1
