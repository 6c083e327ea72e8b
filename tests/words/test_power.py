"""Power, getting in and needs as they are read, in both units."""

from __future__ import annotations

from datetime import date, time

import pytest

from scout.assess.answers import act
from scout.assess.choice.compare import need_words
from scout.assess.choice.opening import opening_words
from scout.assess.power.kinds import LeadTooShort
from scout.records import SceneRecord
from scout.records.opening import OpeningHours
from scout.units import Units
from scout.values import Figure, names, said
from scout.words import Reader, reading
from scout.words.english.units import NB as NO_BREAK


def plain(text: object) -> str:
    return str(text).replace(NO_BREAK, " ")


@pytest.mark.parametrize(
    ("units", "line", "brought"),
    [
        # by hand: 18.4 m is 60.4 ft; the next lengths sold are 20 m and 100 ft
        ("metric", "No cable reaches a socket from Softbox 90 cm: its way is 18.4 m", "20 m"),
        ("feet", "No cable reaches a socket from Softbox 90 cm: its way is 60 ft", "100 ft"),
    ],
)
def test_a_lead_that_does_not_reach(units: Units, line: str, brought: str) -> None:
    lights = names(["Softbox 90 cm"])
    finding = LeadTooShort(
        level="problem", about=lights.items, need=Figure(18.4, "m"), longest=Figure(10, "m")
    )
    bring = act("bring.lead", lights=lights, lead=Figure(18.4, "m"))
    with reading(Reader(units)):
        assert plain(finding) == line
        assert plain(bring) == f"Bring a {brought} cable for Softbox 90 cm"


def test_one_act_for_several_lights() -> None:
    bring = act("bring.lead", lights=names(["key", "fill"]), lead=Figure(20, "m"))
    assert plain(bring) == "Bring 20 m cables, one each for key and fill"


@pytest.mark.parametrize(
    ("need", "metric", "feet"),
    [
        (
            {
                "topic": "when",
                "dates": ["2026-06-21", "2026-07-02"],
                "from_time": "09:00",
                "until_time": "17:00",
            },
            "21 Jun 2026, 2 Jul 2026, 09:00 to 17:00",
            None,
        ),
        (
            {"topic": "when", "dates": ["2026-06-21"], "until_time": "17:00"},
            "21 Jun 2026, until 17:00",
            None,
        ),
        (
            {"topic": "when", "dates": ["2026-06-21"], "from_time": "17:00"},
            "21 Jun 2026, from 17:00",
            None,
        ),
        (
            {"topic": "when", "dates": [f"2026-06-{d:02d}" for d in range(1, 11)]},
            "1 Jun 2026, 2 Jun 2026, 3 Jun 2026, 4 Jun 2026, 5 Jun 2026, 6 Jun 2026 and 4 more dates",
            None,
        ),
        (
            {"topic": "floor", "width_m": 3, "length_m": 4},
            "clear floor 3.00 m by 4.00 m",
            "clear floor 9' 10\" by 13' 1 1/2\"",
        ),
        # by hand: 140 m is 459.3 ft: a walk has no inches
        (
            {"topic": "access", "steps": 0, "carry_m": 140},
            "access: no steps, carry 140 m at most",
            "access: no steps, carry 459 ft at most",
        ),
        ({"topic": "access", "steps": 1}, "access: 1 step at most", None),
        (
            {"topic": "access", "door_width_m": 0.8},
            "access: doors 0.80 m or wider",
            "access: doors 2' 7 1/2\" or wider",
        ),
        (
            {"topic": "budget", "amount": 1234567, "currency": "JPY"},
            "fee 1,234,567 JPY or less",
            None,
        ),
        ({"topic": "budget", "amount": 10.5, "currency": "EUR"}, "fee 10.50 EUR or less", None),
        ({"topic": "watts", "watts": 2400}, "2,400 W for lights and chargers", None),
        ({"topic": "colour", "risk": "none"}, "no colour cast", None),
        ({"topic": "colour", "risk": "low"}, "colour cast low at most", None),
        ({"topic": "framing", "framing": "head_and_shoulders"}, "framing: close", None),
        ({"topic": "daylight", "want": "shut_out"}, "daylight shut out", None),
        ({"topic": "daylight", "want": "wanted"}, "daylight wanted at the mark", None),
        ({"topic": "noise", "laeq_db": 30}, "room noise 30 dBA or less", None),
        (
            {"topic": "height", "height_m": 2.5},
            "ceiling 2.50 m or more",
            "ceiling 8' 2 1/2\" or more",
        ),
    ],
)
def test_needs_in_words(need: dict[str, object], metric: str, feet: str | None) -> None:
    scene = SceneRecord.read({"name": "Talk", "needs": [{"strength": "must", **need}]})
    assert scene.needs is not None
    asked = need_words(scene.needs[0])
    assert plain(asked) == metric
    with reading(Reader("feet")):
        assert plain(asked) == (feet or metric)


def test_counts_at_the_head_say_what_is_required_and_what_is_preferred() -> None:
    required = said("need.required_met", met=2, of=3, care=1, failed=None, unknown=1)
    assert plain(required) == "2 of 3 required met, 1 of them with care, 1 unknown"
    assert plain(said("need.preferred_met", met=2, of=7)) == "preferred: 2 of 7 by weight"


def test_opening_hours_as_lines() -> None:
    opening = OpeningHours.read(
        {
            "week": [
                {"first": "mon", "last": "fri", "opens": "09:00", "closes": "18:00"},
                {"first": "sat", "opens": "00:00", "closes": "00:00"},
            ],
            "closed_on": ["2026-12-26", "2026-12-25"],
        }
    )
    assert [plain(line) for line in opening_words(opening)] == [
        "Monday to Friday 09:00 to 18:00",
        "Saturday all day",
        "other days closed",
        "closed on 25 Dec 2026, 26 Dec 2026",
    ]
    wanted = said("hours.why.opens", at=time(9), wanted=time(8, 30))
    assert plain(wanted) == "opens 09:00, you want 08:30"
    shut = said("hours.on", day=date(2026, 6, 21), spells=said("hours.shut"))
    assert plain(shut) == "Sunday 21 June 2026: closed"
