"""What is refused, as it is read: lengths in the reader's units, what was given in front.

Expected answers: `by hand:` what was given and what bounds it to the eighth of an inch, what was
worked out to the half: 2.7 m is 8' 10 1/4" (2.7 / 0.0254 = 106.3 inches).
"""

from __future__ import annotations

from typing import Any

import pytest

from scout.errors import NotFound, Refused, RefusedMany, Stale
from scout.records import SceneRecord, read_sheet
from scout.store import models
from scout.store.models.base import Base, Kept
from scout.units import parse_length_m, parse_number
from scout.values import Figure, said
from scout.words import MESSAGES, Reader, reading

METRIC, FEET = Reader(), Reader("feet")
ROOM: dict[str, Any] = {"width_m": 5.0, "length_m": 6.5, "height_m": 2.7}


def told(sheet: dict[str, Any]) -> Refused:
    with pytest.raises(RefusedMany) as refused:
        read_sheet({"schema": "room-sheet/1", **sheet})
    (only,) = refused.value.refusals
    return only


def plain(text: object) -> str:
    return str(text).replace("\u00a0", " ")


@pytest.mark.parametrize(
    ("window", "metric", "feet"),
    [
        (
            {"sill_m": 4.191},
            "4.191 m is above the ceiling, 2.7 m",
            "13' 9\" is above the ceiling, 8' 10 1/4\"",  # by hand: 4.191 / 0.0254 = 165 inches
        ),
        (
            {"width_m": 5.5},
            "5.5 m is wider than wall A, 5.00 m long",
            "18' 1/2\" is wider than wall A, 16' 5\" long",  # by hand: 216.5 and 196.9 inches
        ),
        ({"reveal_m": 7.0}, "7 m must be 5 m or less", "22' 11 5/8\" must be 16' 4 7/8\" or less"),
        ({"width_m": 0.0}, "0 m must be above 0", '0" must be above 0'),
        ({"transmittance": 1.5}, "1.5 must be 1 or less", "1.5 must be 1 or less"),
    ],
)
def test_a_length_is_refused_in_the_reader_s_units(
    window: dict[str, float], metric: str, feet: str
) -> None:
    only = told({"room": {**ROOM, "windows": [{"id": "W1", "wall": "A", **window}]}})
    (field,) = window
    where = f"room.windows[0].{field}: "
    with reading(METRIC):
        assert plain(only) == where + metric
    with reading(FEET):
        assert plain(only) == where + feet


def test_a_place_is_refused_in_the_reader_s_units() -> None:
    only = told({"room": ROOM, "marks": {"subject": [9.144, 0.3048, 1.2192]}})
    with reading(METRIC):
        assert (
            plain(only) == "marks.subject: 9.144 m, 0.3048 m, 1.2192 m lies outside the room's plan"
        )
    with reading(FEET):  # by hand: 30, 1 and 4 feet
        assert str(only).startswith("marks.subject: 30' 0\", 1' 0\", 4' 0\" lies outside")


@pytest.mark.parametrize(
    ("need", "path", "code"),
    [
        ({"topic": "floor", "width_m": 0, "length_m": 2}, "scene.needs[0].width_m", "record.above"),
        ({"topic": "floor", "width_m": 2}, "scene.needs[0].length_m", "record.missing"),
        (
            {"topic": "watts", "watts": -1},
            "scene.needs[0].watts",
            "record.above",
        ),  # key and kind alike
        ({"topic": "watts"}, "scene.needs[0].watts", "record.missing"),
        ({"topic": "warmth"}, "scene.needs[0]", "record.not_one_of"),
        ({"topic": "access"}, "scene.needs[0]", "record.asks_nothing"),
        ({"topic": "when", "dates": []}, "scene.needs[0]", "record.no_dates"),
        ({"topic": "when", "dates": ["soon"]}, "scene.needs[0].dates[0]", "record.no_date"),
    ],
)
def test_the_kind_of_a_need_stands_in_no_path(need: dict[str, Any], path: str, code: str) -> None:
    with pytest.raises(RefusedMany) as refused:
        SceneRecord.read({"name": "Talk", "needs": [{"strength": "must", **need}]}, "scene")
    (only,) = refused.value.refusals
    assert (only.path, only.because.code) == (path, code)  # type: ignore[union-attr]


def test_a_file_gone_wrong_as_a_whole_is_not_told_by_the_megabyte() -> None:
    many = [Refused(f"a[{i}]", None, said("record.missing")) for i in range(201)]
    assert len(RefusedMany(many[:200]).refusals) == 200
    told = RefusedMany(many).refusals
    assert (len(told), told[-1].path, told[-1].because) == (
        201,
        "more",
        said("refusal.more", count=1),
    )
    with pytest.raises(ValueError, match="at least one"):
        RefusedMany([])


def test_what_is_not_there_is_said_by_its_kind() -> None:
    kinds = [mapper.class_ for mapper in Base.registry.mappers if issubclass(mapper.class_, Kept)]
    assert models.NoiseWindow in kinds
    assert [one for one in kinds if f"thing.{one.__name__.lower()}" not in MESSAGES] == []
    assert str(NotFound("noisewindow", 12345)).startswith(
        "there is no noise that comes back 12345 "
    )
    stale = Stale("room", 3, {"name": "Hall"}, {"name": "Loft"}, 4)
    assert str(stale).startswith("this room was changed by somebody else")
    assert (stale.yours, stale.theirs, stale.version) == ({"name": "Hall"}, {"name": "Loft"}, 4)


def test_what_was_given_is_shown_in_one_short_line() -> None:
    because = said("record.no_number")
    assert str(Refused("a", None, because)) == "a: is not a number"
    assert str(Refused("a", " \n", because)) == "a: (empty) is not a number"
    assert str(Refused("a", "x" * 81, because)) == f"a: {'x' * 77}... is not a number"
    assert str(Refused("a", "x" * 80, because)) == f"a: {'x' * 80} is not a number"
    assert str(Refused("a", "one\ntwo", because)) == "a: one two is not a number"
    assert plain(Refused("a", Figure(0.25, "m"), because)) == "a: 0.25 m is not a number"


def test_what_cannot_be_read_says_what_would_do() -> None:
    with pytest.raises(Refused) as refused:
        parse_number("1_000", name="watts")
    assert str(refused.value) == "watts: 1_000 is not a number; give a number such as 3.5 or 3,5"
    with pytest.raises(Refused) as refused:
        parse_length_m("12' 14\"", name="width_m")
    assert refused.value.because == said("typed.inches_over")
