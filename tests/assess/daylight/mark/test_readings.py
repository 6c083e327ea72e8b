"""Predicted and read: what one reading at the mark makes of the model."""

from __future__ import annotations

from datetime import date
from typing import Any

import numpy as np
import pytest

from scout.assess.answers import DaylightAnswer
from scout.assess.daylight.mark.readings import DOUBT_STOPS, marks
from scout.records.sheet import RoomSheet
from scout.values import said
from tests.assess.daylight.mark.test_doubt import JUNE, ROOMS, at

THIRD = float(np.log(2.0)) / 3.0


def reading(lux: float, hour: int = 10, **more: Any) -> dict[str, Any]:
    return {
        "id": "R1",
        "mark": "subject",
        "plane": "camera",
        "sky": "clear",
        "taken_at": f"2026-06-21T{hour:02d}:00:00+01:00",
        "lux": lux,
        "how": "meter",
        **more,
    }


def read(sheet: RoomSheet, *readings: dict[str, Any], on: date = JUNE) -> DaylightAnswer:
    plain = sheet.plain()
    plain["room"]["readings"] = list(readings)
    return marks(RoomSheet.read(plain), on)


def lux(answer: DaylightAnswer, hour: int, sky: str = "clear") -> float:
    row = answer.marks["subject"]
    value = getattr(row.series[at(row, hour)], f"camera_{sky}_lux")
    assert value is not None
    return float(value)


def other(sheet: RoomSheet, random: np.random.Generator) -> RoomSheet:
    """The same room with other walls and glass: up to twice as dark or half as pale again."""
    plain = sheet.plain()
    for surface in plain["room"]["surfaces"].values():
        level = surface["light_reflectance"] * float(np.exp(random.uniform(-0.6, 0.4)))
        surface["light_reflectance"] = min(level, 0.9)
    plain["room"]["windows"][0]["transmittance"] = float(random.uniform(0.45, 0.9))
    return RoomSheet.read(plain)


@pytest.mark.parametrize(("sky", "then"), [("clear", 13), ("overcast", 16)])
def test_after_one_reading_another_hour_is_right_to_a_third_of_a_stop(sky: str, then: int) -> None:
    # property: in simulated rooms whose walls and glass are not what was recorded, a meter's
    # reading at ten foretells another hour of the same kind of sky in at least 8 of 10
    random = np.random.default_rng(5)
    near, before = [], []
    for k in range(10):
        recorded = ROOMS[(0, 2)[k % 2]]
        true = marks(other(recorded, random), JUNE)
        answer = read(recorded, reading(lux(true, 10, sky), sky=sky, doubt_stops=0.1))
        miss = abs(np.log(lux(answer, then, sky) / lux(true, then, sky)))
        near.append(bool(miss < THIRD))
        plainly = marks(recorded, JUNE)
        before.append(bool(abs(np.log(lux(plainly, then, sky) / lux(true, then, sky))) < THIRD))
    assert sum(near) >= 8
    assert sum(near) > sum(before)


def test_a_reading_stands_beside_its_prediction_and_narrows_the_range() -> None:
    plain = marks(ROOMS[0], JUNE)
    foretold = lux(plain, 10, "overcast")
    answer = read(ROOMS[0], reading(0.9 * foretold, sky="overcast"))
    (row,) = answer.readings
    assert row.predicted_lux == pytest.approx(foretold, abs=0.1)
    assert row.off_stops == pytest.approx(np.log2(0.9), abs=0.01)  # by hand: log2 of 0.9
    assert row.believed_pct is not None
    assert 0 < row.believed_pct < 100
    # between the model and the reading, nearer to the surer one
    assert 0.9 * foretold < lux(answer, 10, "overcast") < foretold
    before, after = (a.marks["subject"].camera_factor_range_pct for a in (plain, answer))
    assert before is not None
    assert after is not None
    assert after[1] / after[0] < before[1] / before[0]
    # another kind of sky stays as it was
    assert lux(answer, 10) == lux(plain, 10)
    assert any(note.code == "light.scaled" for note in answer.assumed)


def test_the_less_sure_a_reading_the_less_it_is_believed() -> None:
    # common practice: a meter, a phone, a card on one photo
    foretold = lux(marks(ROOMS[0], JUNE), 10, "overcast")
    shares = [
        read(ROOMS[0], reading(0.95 * foretold, sky="overcast", how=how)).readings[0].believed_pct
        for how in ("meter", "phone_app", "card_photo")
    ]
    assert None not in shares
    assert shares == sorted(shares, key=lambda share: -(share or 0.0))
    assert list(DOUBT_STOPS.values()) == [0.2, 0.5, 1.0]


def test_a_reading_that_does_not_count_changes_nothing_and_is_shown() -> None:
    # property: reversible
    plain = marks(ROOMS[2], JUNE)
    answer = read(ROOMS[2], reading(50.0, counts=False))
    assert answer.marks == plain.marks
    assert answer.readings[0].off_stops is not None
    assert answer.readings[0].believed_pct == 0.0


def test_a_reading_at_night_is_kept_and_changes_nothing() -> None:
    answer = read(ROOMS[2], reading(3.0, hour=1))
    assert answer.marks == marks(ROOMS[2], JUNE).marks
    (row,) = answer.readings
    assert row.unknown is not None
    assert row.unknown.code == "light.read_at_night"
    assert row.lux == 3.0


def test_what_a_reading_lacks_is_named() -> None:
    given = reading(300.0)
    del given["sky"]
    (row,) = read(ROOMS[2], given).readings
    assert row.unknown is not None
    assert row.unknown.code == said("fact.unmeasured").code or "sky" in repr(row.unknown)
