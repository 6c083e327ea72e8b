"""`scout findings`: the catalogue as somebody reads it who writes a tool of their own.

Expected answers: `property:` what is listed is what the engines can say.
"""

from __future__ import annotations

from typing import get_args

import pytest

from scout.assess.answers.acts import ACTS
from scout.assess.answers.finding import LEVELS, ROLES, TOPICS, catalogue, figure_types
from scout.cli.findings_command import KINDS, LIKELY, example_finding, example_of, unit_of
from scout.values import (
    Area,
    Figure,
    Length,
    Many,
    Name,
    Spell,
    Stops,
    Unit,
    Word,
    plain_value,
)
from tests.cli.runner import Scout


@pytest.mark.parametrize(
    ("kind", "unit", "value"),
    [
        (Length, "m", Figure(2.4, "m")),
        (Length | None, "m", Figure(2.4, "m")),
        (Area, "m2", Figure(4.0, "m2")),
        (None | Stops, "stops", Figure(1.0, "stops")),
        (Name, "name", Name("key")),
        (Word | None, "word", Word("surface", "B")),
        (int, "count", 2),
    ],
)
def test_a_figure_is_listed_by_its_unit(kind: object, unit: str, value: object) -> None:
    assert (unit_of(kind), example_of(kind)) == (unit, value)


def test_an_example_is_a_value_of_its_kind() -> None:
    assert set(LIKELY) <= set(get_args(Unit))
    for kind, (_, value) in KINDS.items():
        assert isinstance(value, kind)
        assert plain_value(value)["value"] is not None
    assert {Many, Spell} <= set(KINDS)


def test_every_finding_and_act_is_listed_with_its_figures(scout: Scout) -> None:
    done = scout("findings", "--json")
    assert (done.code, done.err) == (0, "")
    listed = done.json
    assert list(listed["findings"]) == list(catalogue())
    assert list(listed["acts"]) == sorted(ACTS)
    assert (listed["levels"], listed["topics"]) == (list(LEVELS), list(TOPICS))
    for code, kind in catalogue().items():
        one = listed["findings"][code]
        assert one["topic"] == kind.topic
        assert set(one["levels"]) == set(kind.levels)
        assert set(one["figures"]) == set(figure_types(kind))
        assert "{" not in one["example"]
        assert example_finding(kind).level == one["levels"][0]  # the worst it can be
    for code, act_kind in ACTS.items():
        one = listed["acts"][code]
        assert one["who"] in ROLES
        assert set(one["figures"]) == set(act_kind.values)


def test_an_act_s_figures_and_example(scout: Scout) -> None:
    listed = scout("findings", "--json").json["acts"]["hang.white"]
    assert listed["figures"] == {
        "surface": "word",
        "area": "m2",
        "along": "m",
        "height": "m",
        "lights": "list",
    }
    assert listed["who"] == "light"
    assert listed["when"] == "load_in"
    assert "wall B" in listed["example"]


def test_the_list_for_people_has_a_line_a_code(scout: Scout) -> None:
    lines = scout("findings").out.splitlines()
    assert len(lines) == 2 + len(catalogue()) + len(ACTS)
    assert [line.split()[0] for line in lines if line.startswith("  ")] == [
        *catalogue(),
        *sorted(ACTS),
    ]
