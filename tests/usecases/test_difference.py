"""What changed between two revisions, as messages; expected ones by hand from the two states."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scout.packet.content import PacketChange
from scout.units import Units
from scout.usecases.difference import MOST_LINES, differences, line
from scout.values import Figure, Name, Said, Unit, Word, said
from scout.words import Reader, reading


def figure(value: float, unit: Unit = "") -> Figure:
    return Figure(value, unit)


def text(typed: str) -> Said:
    return said("change.text", text=Name(typed))


HEIGHT = Word("fact", "height_m")


@pytest.mark.parametrize(
    ("before", "after", "what"),
    [
        ({}, {"Loft": {}}, said("change.added")),
        ({"Loft": {}}, {}, said("change.gone")),
        (
            {"Loft": {"height_m": 2.4}},
            {"Loft": {"height_m": 2.5}},
            said("change.became", where=HEIGHT, was=figure(2.4, "m"), value=figure(2.5, "m")),
        ),
        (
            {"Loft": {}},
            {"Loft": {"height_m": 2.5}},
            said("change.recorded", where=HEIGHT, value=figure(2.5, "m")),
        ),
        (
            {"Loft": {"height_m": 2.5}},
            {"Loft": {}},
            said("change.part_gone", where=HEIGHT, was=figure(2.5, "m")),
        ),
        (
            {"Loft": {}},
            {"Loft": {"steps": 0}},  # nought is a value
            said("change.recorded", where=Word("fact", "steps"), value=figure(0)),
        ),
        (
            {"Loft": {"verified": False}},
            {"Loft": {"verified": True}},
            said(
                "change.became",
                where=Word("fact", "verified"),
                was=Word("claim", "no"),
                value=Word("claim", "yes"),
            ),
        ),
        (
            {"Loft": {"windows": {"W1": {"sill_m": 1}}}},
            {"Loft": {"windows": {"W1": {"sill_m": 1}, "W2": {"sill_m": 2}}}},
            said(
                "change.part_added",
                where=Said("kind.windows", (("label", Name("W2")),)),
                value=None,
            ),
        ),
        (
            {"Mill": {"crew notes": {}}},
            {"Mill": {"crew notes": {"7": "Ring  twice\n"}}},
            said(
                "change.part_added",
                where=Word("held", "crew notes"),
                value=text("Ring twice"),
            ),
        ),
        (  # what a note said before may be what its author took back
            {"Mill": {"crew notes": {"7": "once"}}},
            {"Mill": {"crew notes": {"7": "twice"}}},
            said("change.changed", where=Word("held", "crew notes"), value=text("twice")),
        ),
        (
            {"Mill": {"photos": {"7": "North wall"}}},
            {"Mill": {"photos": {}}},
            said("change.part_gone", where=Word("held", "photos"), was=None),
        ),
        (
            {"Loft": {"plan_m": [[0, 1]]}},
            {"Loft": {"plan_m": [[0, 2]]}},
            said("change.changed", where=Word("fact", "plan_m"), value=None),
        ),
        (
            {"Talk": {"candidates": {"Loft": {"state": "proposed"}}}},
            {"Talk": {"candidates": {"Loft": {"state": "reserve"}}}},
            said(
                "change.became",
                where=said(
                    "change.within",
                    outer=said(
                        "change.within", outer=Word("fact", "candidates"), inner=Name("Loft")
                    ),
                    inner=Word("fact", "state"),
                ),
                was=Word("state", "proposed"),
                value=Word("state", "reserve"),
            ),
        ),
    ],
)
def test_a_change_is_one_message(before: Any, after: Any, what: Said) -> None:
    (name,) = {*before, *after}
    assert differences(before, after) == [PacketChange(name, what)]


SETUP = {"on": "2026-12-10", "from_time": "09:30", "switched_off": ["fridge"]}


@pytest.mark.parametrize(
    ("before", "after", "told"),
    [  # by hand: setups have no names of their own, so that one of several goes by its number
        ([SETUP], [SETUP | {"from_time": "10:00"}], ["setups from time: “09:30” became “10:00”"]),
        (
            [SETUP],
            [SETUP | {"on": "2026-12-11"}],
            ["setups date: “2026-12-10” became “2026-12-11”"],
        ),
        (
            [SETUP],
            [SETUP | {"switched_off": ["N2", "boiler"]}],
            ["setups switched off: “fridge” became “N2”, “boiler”"],
        ),
        ([SETUP], [SETUP | {"switched_off": list("abcde")}], ["setups switched off changed"]),
        (
            [SETUP],
            [{"on": "2026-12-10", "from_time": "09:30"}],
            ["setups switched off taken out"],
        ),
        (
            [SETUP, SETUP],
            [SETUP, SETUP | {"focal_length_mm": 35}],
            ["setups 2 focal length: 35\u00a0mm, not recorded before"],
        ),
        ([SETUP], [SETUP, SETUP], ["setups: 1 became 2"]),
        ([], [SETUP], ["setups added"]),
    ],
)
def test_what_changed_of_a_setup_is_said(before: Any, after: Any, told: list[str]) -> None:
    with reading(Reader("metric")):
        found = differences({"Talk": {"setups": before}}, {"Talk": {"setups": after}})
        assert [str(one.what) for one in found] == told


def test_order_and_what_is_no_change() -> None:
    assert differences({"A": {"x": 1.0}}, {"A": {"x": 1}}) == []
    assert differences({"B": {}, "A": {}}, {"A": {}, "C": {}}) == [
        PacketChange("C", said("change.added")),
        PacketChange("B", said("change.gone")),
    ]


@pytest.mark.parametrize("units", ["metric", "feet"])
def test_lines_of_changes(units: Units) -> None:
    # by hand: 2.4 m is 94.5 in, 7' 10 1/2"
    with reading(Reader(units)):
        (change,) = differences({"Loft": {"height_m": 2.4}}, {"Loft": {"height_m": 2.5}})
        shown = "2.40 m became 2.50 m" if units == "metric" else "7' 10 1/2\" became 8' 2 1/2\""
        assert line(change).replace("\u00a0", " ") == f"Loft: height: {shown}"
        (change,) = differences(
            {"L": {"facing": {"bearing_deg": 10}}}, {"L": {"facing": {"bearing_deg": 12.5}}}
        )
        assert line(change) == "L: facing bearing: 10° became 12.5°"
        (change,) = differences(
            {"Mill": {"noise": {"key_light": {"laeq_db": 34.25}}}},
            {"Mill": {"noise": {"key_light": {}}}},
        )
        assert line(change) == "Mill: noise reading key_light LAeq taken out (was 34.25\u00a0dB)"


def test_a_text_that_is_gone_is_never_said_again() -> None:
    # property: whatever held it, what was typed and is no longer there stands in no message
    secret = "the owner is ill"
    for before, after in (
        ({"Mill": {"crew notes": {"7": secret}}}, {"Mill": {"crew notes": {}}}),
        ({"Mill": {"crew notes": {"7": secret}}}, {"Mill": {"crew notes": {"7": "ring"}}}),
        ({"Mill": {"photos": {"7": secret}}}, {"Mill": {"photos": {}}}),
        ({"Mill": {"hours": secret}}, {"Mill": {}}),
        ({"Mill": {"hours": secret}}, {}),
    ):
        for change in differences(before, after):
            assert secret not in line(change)
            assert secret not in repr(change)


def test_a_long_text_is_cut_and_many_changes_are_counted() -> None:
    shown = line(differences({"A": {}}, {"A": {"hours": "x" * 5000}})[0])
    assert len(shown) < 130
    assert shown.endswith("…”, not recorded before")
    many = differences({}, {f"Room {i}": {} for i in range(MOST_LINES + 2)})
    assert (len(many), many[-1].what) == (MOST_LINES + 1, said("change.further", n=2))
    assert line(many[-1]) == "and 2 further changes"


PLAIN = st.recursive(
    st.none()
    | st.booleans()
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(max_size=5),
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=4), inner, max_size=3)
    ),
    max_leaves=8,
)
HELD = st.dictionaries(
    st.text(min_size=1, max_size=4),
    st.dictionaries(st.text(max_size=4), PLAIN, max_size=3),
    max_size=3,
)


@given(HELD, HELD)
def test_property_nothing_changed_says_nothing_and_everything_else_can_be_said(
    before: dict[str, Any], after: dict[str, Any]
) -> None:
    assert differences(after, after) == []
    assert all(line(change) for change in differences(before, after))
