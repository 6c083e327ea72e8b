"""Noises that come back against a scene's dates and hours: what falls in, what stays quiet, what
was read at that time of day.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from scout.assess import answers as a
from scout.assess.choice.compare import CandidateFacts, NeedCell
from scout.assess.choice.quiet_when import noises_then
from scout.records.kept import WhenNeed
from scout.records.sounds import NoiseWindowRecord
from tests.assess.choice.test_compare import candidate, judged

MONDAY, TUESDAY, SUNDAY = "2026-06-22", "2026-06-23", "2026-06-21"
SCHOOL = {
    "what": "playground",
    "days": ["mon", "tue", "wed", "thu", "fri"],
    "from_time": "10:30",
    "until_time": "11:00",
    "steady": False,
}
LORRY = {"what": "delivery", "days": ["mon"], "from_time": "10:45", "until_time": "11:15"}


def when(*dates: str, **hours: str) -> WhenNeed:
    return WhenNeed.read({"topic": "when", "strength": "must", "dates": list(dates), **hours})


def windows(*rows: dict[str, Any]) -> tuple[NoiseWindowRecord, ...]:
    return tuple(NoiseWindowRecord.read(row) for row in rows)


def test_what_falls_in_and_what_stays_quiet() -> None:
    # by hand: 09:00 to 12:00 is 180 minutes; 10:30 to 11:15 is noisy (the two overlap): 135 left,
    # the longest 09:00 to 10:30, 90
    found = noises_then(
        when(MONDAY, TUESDAY, SUNDAY, from_time="09:00", until_time="12:00"), windows(SCHOOL, LORRY)
    )
    assert found is not None
    assert found.level == "care"
    assert "on 2 of 3 dates" in found.words
    assert "135 of 180 minutes stay quiet" in found.words
    assert "the longest stretch 90 min from 09:00 to 10:30" in found.words
    assert "playground (10:30 to 11:00, comes and goes: wait for the gaps)" in found.words
    assert "delivery (10:45 to 11:15)" in found.words


@pytest.mark.parametrize(
    ("need", "rows"),
    [
        (when(SUNDAY, from_time="09:00", until_time="12:00"), (SCHOOL,)),  # no school
        (
            when(MONDAY, from_time="11:00", until_time="12:00"),
            (SCHOOL,),
        ),  # it ends as the scene begins
        (when(MONDAY, from_time="09:00", until_time="12:00"), ()),
    ],
)
def test_nothing_falls_in(need: WhenNeed, rows: tuple[dict[str, Any], ...]) -> None:
    assert noises_then(need, windows(*rows)) is None


def test_no_quiet_stretch_and_no_hours_and_through_midnight() -> None:
    # by hand: of 10:25 to 11:05, 40 minutes, 5 and 5 are left: less than a take
    short = noises_then(when(MONDAY, from_time="10:25", until_time="11:05"), windows(SCHOOL))
    assert short is not None
    assert (short.level, "10 of 40 minutes" in short.words) == ("fail", True)
    open_ended = noises_then(when(MONDAY), windows(SCHOOL))
    assert open_ended is not None
    assert "give the hours" in open_ended.words
    assert "minutes stay" not in open_ended.words
    # by hand: Sunday 22:00 to Monday 02:00 is 240 minutes; Monday's bins at 01:00 to 01:30 take 30
    night = noises_then(
        when(SUNDAY, from_time="22:00", until_time="02:00"),
        windows({"what": "bins", "days": ["mon"], "from_time": "01:00", "until_time": "01:30"}),
    )
    assert night is not None
    assert "210 of 240 minutes" in night.words
    assert "180 min from 22:00 to 01:00" in night.words


def loud_in_the_morning() -> CandidateFacts:
    readings = [
        {
            "id": "N1",
            "laeq_db": 46.0,
            "method": "meter_class_2",
            "taken_at": "2026-06-15T08:30:00+01:00",
        },
        {
            "id": "N2",
            "laeq_db": 31.0,
            "method": "meter_class_2",
            "taken_at": "2026-06-15T14:10:00+01:00",
        },
    ]
    return candidate(
        place={"timezone": "Europe/London"},
        room={"noise": readings},
        sound=a.SoundAnswer(laeq_db=46.0, reading="N1", laeq_doubt_db=1.5),
    )


def cell(facts: CandidateFacts, **hours: str) -> NeedCell:
    also = ({"topic": "when", "dates": [MONDAY], **hours},) if hours else ()
    return judged({"topic": "noise", "laeq_db": 35}, facts, also=also)


def test_a_reading_at_the_hours_of_the_scene_counts() -> None:
    # by hand: 46 is 11 over 35 and fails; at 14:10 31 was read, 4 under: worth a second look, no
    # promise
    assert cell(loud_in_the_morning()).level == "fail"
    then = cell(loud_in_the_morning(), from_time="13:00", until_time="17:00")
    assert then.level == "care"
    assert "31.0 dBA was read (N2, 14:10), 4.0 dB under" in then.why
    assert "at other hours 11.0 dB over" in then.why
    assert cell(loud_in_the_morning(), from_time="08:00", until_time="10:00").level == "fail"
    assert (
        "nothing was read at the hours"
        in cell(loud_in_the_morning(), from_time="18:00", until_time="20:00").why
    )


def test_a_noise_that_comes_back_takes_a_pass_down() -> None:
    quiet = candidate(
        room={"noise": [{"id": "N1", "laeq_db": 28.0, "method": "meter_class_2"}]},
        sound=a.SoundAnswer(laeq_db=28.0, reading="N1", laeq_doubt_db=1.5),
    )
    assert cell(quiet, from_time="09:00", until_time="12:00").level == "pass"
    struck = replace(quiet, noises=windows(SCHOOL))
    assert cell(struck, from_time="09:00", until_time="12:00").level == "care"
    assert cell(struck, from_time="10:30", until_time="11:00").level == "fail"
    dates = judged(
        {"topic": "when", "dates": [MONDAY], "from_time": "09:00", "until_time": "12:00"}, struck
    )
    assert "150 of 180 minutes stay quiet" in dates.why
    assert dates.level != "pass"
