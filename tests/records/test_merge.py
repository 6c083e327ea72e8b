"""Two people's changes of one room: merged fact by fact, contradictions kept both."""

from __future__ import annotations

import random
from copy import deepcopy
from typing import Any

import pytest

from scout.records.merge import Conflict, merge, relabelled, with_labels
from tests.rooms import PARLOUR

ROOM: dict[str, Any] = PARLOUR["room"]


def changed(*edits: tuple[str, Any]) -> dict[str, Any]:
    room = deepcopy(ROOM)
    for path, value in edits:
        *way, last = path.split(".")
        here: Any = room
        for key in way:
            here = here[int(key)] if isinstance(here, list) else here[key]
        if value is None and isinstance(here, list):
            del here[int(last)]
        else:
            here[last] = value
    return room


def test_what_each_changed_is_kept() -> None:
    yours = changed(("windows.0.sill_m", 0.8), ("name", "Parlour"))
    theirs = changed(("windows.0.width_m", 2.1), ("height_m", 2.6), ("surfaces.A.finish", "gloss"))
    found = merge(ROOM, yours, theirs)
    assert found.conflicts == ()
    # by hand: all five
    expected = changed(
        ("windows.0.sill_m", 0.8),
        ("name", "Parlour"),
        ("windows.0.width_m", 2.1),
        ("height_m", 2.6),
        ("surfaces.A.finish", "gloss"),
    )
    assert found.plain == {key: value for key, value in expected.items() if value is not None}


@pytest.mark.parametrize(
    ("yours", "theirs", "path", "values"),
    [
        (("height_m", 2.6), ("height_m", 2.8), ("height_m",), (2.6, 2.8)),
        (
            ("windows.0.sill_m", 0.8),
            ("windows.0.sill_m", 1.0),
            ("windows", "W1", "sill_m"),
            (0.8, 1.0),
        ),
        # one taken out that the other changed: half a window is none
        (("doors.0", None), ("doors.0.width_m", 0.9), ("doors",), None),
        # the wall of one and the bearing of another would be a facing that nobody measured
        (("facing.wall", "B"), ("facing.bearing_deg", 90), ("facing",), None),
        (
            ("surfaces.A.colour", {"srgb": "#ffffff"}),
            ("surfaces.A.colour", {"srgb": "#000000"}),
            ("surfaces", "A", "colour"),
            ({"srgb": "#ffffff"}, {"srgb": "#000000"}),
        ),
    ],
)
def test_what_both_changed_otherwise_is_kept_both(
    yours: tuple[str, Any], theirs: tuple[str, Any], path: tuple[str, ...], values: Any
) -> None:
    found = merge(ROOM, changed(yours), changed(theirs))
    (conflict,) = found.conflicts
    assert conflict.path == path
    if values is not None:
        assert conflict == Conflict(path, *values)
    assert merge(ROOM, changed(theirs), changed(theirs)).conflicts == ()


def test_a_part_taken_out_stays_out_unless_it_was_changed_meanwhile() -> None:
    two = changed(("windows", [*ROOM["windows"], {"id": "W2", "wall": "B"}]))
    without = changed(("windows", [{"id": "W2", "wall": "B"}]))
    named = {**two, "name": "Parlour"}
    assert merge(two, without, named).plain["windows"] == [{"id": "W2", "wall": "B"}]
    assert merge(two, named, without).plain["windows"] == [{"id": "W2", "wall": "B"}]
    wider = deepcopy(two)
    wider["windows"][0]["width_m"] = 2.2
    assert merge(two, without, wider).conflicts == (
        Conflict(("windows", "W1"), None, wider["windows"][0]),
    )


def test_two_parts_of_one_label_are_two() -> None:
    yours = changed(
        ("circuits", [*ROOM["circuits"], {"id": "K2", "breaker_a": 32}]),
        ("outlets.0.circuit", "K2"),
    )
    theirs = changed(("circuits", [*ROOM["circuits"], {"id": "K2", "breaker_a": 6}]))
    labels = relabelled(ROOM, yours, theirs)
    assert labels == {"K2": "K3"}
    found = merge(ROOM, with_labels(yours, labels), theirs)
    assert found.conflicts == ()
    assert [(one["id"], one["breaker_a"]) for one in found.plain["circuits"]] == [
        ("K1", 16),
        ("K2", 6),
        ("K3", 32),
    ]
    assert found.plain["outlets"][0]["circuit"] == "K3", "what hangs on it follows it"
    # both caught the same window: one
    assert relabelled(ROOM, theirs, theirs) == {}


def some(chance: random.Random) -> dict[str, Any]:
    """A small document of facts, records and named parts."""
    found: dict[str, Any] = {}
    for key in chance.sample("abcd", chance.randrange(5)):
        labels = chance.sample(["W1", "W2", "W3"], chance.randint(1, 3))
        found[key] = chance.choice(
            [
                chance.randrange(3),
                {name: chance.randrange(3) for name in chance.choice(["x", "y", "xy"])},
                [{"id": label, "w": chance.randrange(3)} for label in sorted(labels)],
            ]
        )
    return found


@pytest.mark.parametrize("seed", range(200))
def test_its_laws(seed: int) -> None:
    chance = random.Random(seed)
    base, yours, theirs = (some(chance) for _ in range(3))
    # property: who changed nothing gets the other's; the same sent twice adds nothing; of two
    # people it does not matter for what they agree on who came first
    assert merge(base, base, theirs).plain == theirs
    assert merge(base, yours, base).plain == yours
    once = merge(base, yours, theirs)
    if not once.conflicts:
        again = merge(base, yours, once.plain)
        assert again.conflicts == ()
        assert again.plain == once.plain
    other = merge(base, theirs, yours)
    assert {c.path for c in other.conflicts} == {c.path for c in once.conflicts}
