"""Levels in their order, and a finding in the published keys."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime
from enum import Enum
from typing import Any

import numpy as np
import pytest

from scout.assess.answers import as_json
from scout.assess.answers.acts import act
from scout.assess.answers.finding import (
    LEVELS,
    Change,
    When,
    act_json,
    catalogue,
    worst_first,
    worst_level,
)
from scout.assess.power.kinds import NearlyFull
from scout.values import Figure, Name


def full(level: Any = "care", name: str = "C1") -> NearlyFull:
    figures = {"load": Figure(15.0, "A"), "limit": Figure(16.0, "A"), "share": Figure(94.0, "%")}
    return NearlyFull(level=level, about=(Name(name),), rests_on=("circuits.C1",), **figures)


def test_problems_first_and_what_does_not_apply_last() -> None:
    assert LEVELS == ("problem", "care", "unknown", "good", "outside")
    given = [full(level, name) for level, name in zip(LEVELS[::-1], "abcde", strict=True)]
    assert [one.level for one in worst_first(given)] == list(LEVELS)
    # property: of one level, in the order in which they came
    alike = [full("care", name) for name in "cab"]
    assert worst_first(alike) == tuple(alike)
    assert worst_level(["good", "care", "unknown"]) == "care"
    assert worst_level(["good", "outside"]) == "good"
    assert worst_level([]) == "outside"


def test_a_finding_in_its_published_keys() -> None:
    plain = as_json(full())
    assert (plain["code"], plain["topic"], plain["level"]) == ("power.nearly_full", "power", "care")
    assert plain["about"] == ["C1"]
    assert plain["figures"]["load"] == {"value": 15.0, "unit": "A"}
    assert (plain["rests_on"], plain["acts"]) == (["circuits.C1"], [])
    assert plain["line"]
    assert plain["full"]


def test_an_act_in_its_published_keys() -> None:
    noon = datetime(2026, 6, 21, 12, tzinfo=UTC)
    buys = Change("share", "%", 94.0, 40.0)
    plain = act_json(act("bring.splitter", circuit=Name("C1"), buys=buys, when=When("by", noon)))
    assert (plain["code"], plain["who"]) == ("bring.splitter", "light")
    assert plain["when"] == {"kind": "by", "at": "2026-06-21T12:00:00+00:00"}
    assert plain["buys"] == {"figure": "share", "unit": "%", "before": 94.0, "after": 40.0}
    until = act("bring.splitter", circuit=Name("C1"), when=When("between", noon, noon))
    assert act_json(until)["when"]["until"] == act_json(until)["when"]["at"]
    assert act_json(act("bring.splitter", circuit=Name("C1")))["buys"] is None
    with pytest.raises(TypeError, match="knows no wall"):
        act("bring.splitter", wall=Name("A"))


def test_the_catalogue_holds_every_code_once_by_name() -> None:
    codes = list(catalogue())
    assert codes == sorted(set(codes))
    assert {"power.nearly_full", "light.short", "space.flicker", "sound.ring"} & set(codes)


class Colour(Enum):
    RED = "red"


@dataclass(frozen=True)
class Row:
    figure: float
    unknown: Any = None


def test_answers_as_plain_values() -> None:
    moment = datetime(2026, 6, 21, 12, 0, 0, 400_000, tzinfo=UTC)
    assert as_json(moment) == "2026-06-21T12:00:00+00:00"
    assert as_json(date(2026, 6, 21)) == "2026-06-21"
    assert as_json({1: (True, None, "a", 2)}) == {"1": [True, None, "a", 2]}
    assert as_json(np.array([[1.0, 2.0]])) == [[1.0, 2.0]]
    assert as_json(Colour.RED) == "red"
    assert as_json(1.23456789) == 1.234568  # seven digits
    assert as_json(Row(1.0)) == {"figure": 1.0}
    assert as_json(Row(1.0, "why")) == {"figure": 1.0, "unknown": "why"}
    for odd in (float("nan"), float("inf")):
        with pytest.raises(ValueError, match="not finite"):
            as_json(odd)
    with pytest.raises(TypeError, match="set"):
        as_json({1})
