"""Setups: made with a proposal, following their scene until somebody changes them, judged as the
room will be then.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, time
from typing import Any

import pytest

from scout.assess.choice.dates import telling
from scout.errors import NotFound, RefusedMany, Stale
from scout.pages import assessing
from scout.pages.day import setups as pages
from scout.records import (
    CandidateRecord,
    LocationRecord,
    ProductionRecord,
    RoomRecord,
    SceneRecord,
    SetupRecord,
)
from scout.records.setups import MOST_DATES, in_common, setups_asked
from scout.records.sounds import NoiseWindowRecord
from scout.store import models, translate
from scout.usecases import bin as bins
from scout.usecases import locations, noise_windows, productions, rooms, setups
from scout.usecases.work import Work

ROOM: dict[str, Any] = {
    "name": "Loft",
    "width_m": 4.0,
    "length_m": 5.0,
    "height_m": 2.6,
    "windows": [
        {"id": "W1", "wall": "A", "offset_m": 1, "width_m": 1, "height_m": 1, "covering": "none"},
        {"id": "W2", "wall": "B", "offset_m": 1, "width_m": 1, "height_m": 1, "covering": "none"},
    ],
    "practicals": [{"id": "lamp", "lumens": 800}, {"id": "strip", "lumens": 3000}],
    "noise": [{"id": "fridge on", "laeq_db": 44}, {"id": "fridge off", "laeq_db": 34}],
}
TWO_DAYS = {
    "topic": "when",
    "strength": "must",
    "dates": ["2026-06-20", "2026-06-21"],
    "from_time": "10:00",
    "until_time": "14:00",
}
MEDIUM = {"topic": "framing", "strength": "must", "framing": "medium"}


def scene_of(*needs: dict[str, Any]) -> SceneRecord:
    return SceneRecord.read({"name": "Talk", "needs": list(needs)})


def test_the_dates_that_tell_most() -> None:
    # by hand: of a year's firsts the sun stands lowest on 1 January and highest on 1 July (the ends
    # of its way are 21 December and 21 June); the first of them is what comes next
    firsts = [date(2026, month, 1) for month in range(3, 13)]
    assert telling(firsts) == (date(2026, 3, 1), date(2026, 7, 1), date(2026, 12, 1))
    assert telling([date(2026, 5, 2), date(2026, 5, 1), date(2026, 5, 2)]) == (
        date(2026, 5, 1),
        date(2026, 5, 2),
    )
    assert telling([]) == ()


@pytest.fixture
def job(work: Work) -> tuple[int, int, int]:
    """A production, a scene of two days and a room proposed for it."""
    place = locations.add_location(work, LocationRecord(name="Mill", timezone="Europe/London"))
    for what in ("bells", "school"):
        noise = NoiseWindowRecord(what=what, from_time="11:00", until_time="11:10")
        noise_windows.add_noise_window(work, place, noise)
    room = rooms.add_room(work, place, RoomRecord.read(ROOM))
    production = productions.add_production(work, ProductionRecord(title="Film"))
    scene = productions.add_scene(work, production, scene_of(TWO_DAYS, MEDIUM))
    return production, scene, productions.add_candidate(work, scene, room, CandidateRecord())


def test_a_scene_asks_for_a_setup_a_date() -> None:
    asked = setups_asked(scene_of(TWO_DAYS, MEDIUM))
    assert [(one.on, one.from_time, one.until_time, one.framing) for one in asked] == [
        (date(2026, 6, 20), "10:00", "14:00", "medium"),
        (date(2026, 6, 21), "10:00", "14:00", "medium"),
    ]
    assert setups_asked(SceneRecord(name="Talk")) == (SetupRecord(),)
    # a whole day by the clock is no hours at all
    (day,) = setups_asked(scene_of({**TWO_DAYS, "dates": ["2026-06-20"], "until_time": "10:00"}))
    assert (day.from_time, day.until_time) == (None, None)
    days = [f"2026-06-{day:02}" for day in range(1, MOST_DATES + 2)]
    assert len(setups_asked(scene_of({**TWO_DAYS, "dates": days[:-1]}))) == MOST_DATES
    (open_one,) = setups_asked(scene_of({**TWO_DAYS, "dates": days}))
    assert (open_one.on, open_one.from_time) == (None, "10:00")


def test_what_setups_agree_on() -> None:
    one = SetupRecord(on=date(2026, 6, 20), from_time="10:00", until_time="14:00", framing="wide")
    assert in_common([one]) == one
    later = one.model_copy(update={"until_time": "16:00"})
    # half of somebody's hours are nobody's
    assert in_common([one, later]) == SetupRecord(on=one.on, framing="wide")
    assert in_common([]) == SetupRecord()


def test_a_proposal_brings_its_setups_and_they_follow_the_scene(
    work: Work, job: tuple[int, int, int]
) -> None:
    production, scene, candidate = job
    made = pages.setups_of(work, production)
    assert [one.record for one in made] == list(setups_asked(scene_of(TWO_DAYS, MEDIUM)))
    assert {(one.scene_id, one.candidate_id, one.state) for one in made} == {
        (scene, candidate, "proposed")
    }
    assert (made[0].room_name, made[0].location_name, made[0].timezone) == (
        "Loft",
        "Mill",
        "Europe/London",
    )
    one_day = {**TWO_DAYS, "dates": ["2026-06-20"], "from_time": "12:00"}
    productions.save_scene(work, scene, 1, scene_of(one_day, MEDIUM))
    assert [one.record for one in pages.setups_of(work, production)] == list(
        setups_asked(scene_of(one_day, MEDIUM))
    )
    (only,) = pages.setups_of(work, production)
    mine = only.record.model_copy(update={"set_up_min": 45})
    setups.save_setup(work, only.id, only.version, mine)
    productions.save_scene(work, scene, 2, scene_of(TWO_DAYS, MEDIUM))
    assert [one.record for one in pages.setups_of(work, production)] == [mine]  # somebody's own


def test_setups_are_saved_over_the_version_they_were_opened_at(
    work: Work, job: tuple[int, int, int]
) -> None:
    production, _, candidate = job
    first, second = pages.setups_of(work, production)
    later = SetupRecord(on=date(2026, 6, 22), covers={"W1": "blackout"}, switched_off=("lamp",))
    setups.save_setup(work, first.id, first.version, later)
    with pytest.raises(Stale):
        setups.save_setup(work, first.id, first.version, SetupRecord())
    setups.bin_setup(work, second.id, second.version)
    added = setups.add_setup(work, candidate, SetupRecord(from_time="09:00"))
    work.db.expire_all()
    assert [(one.id, one.record.on) for one in pages.setups_of(work, production)] == [
        (first.id, date(2026, 6, 22)),
        (added, None),  # without a date last
    ]
    assert setups.setup(work, first.id)[0].record == later
    bins.restore(work, "setup", second.id)
    assert len(pages.setups_of(work, production)) == 3
    with pytest.raises(NotFound):
        setups.setup(work, 99)


def test_a_setup_is_judged_as_the_room_will_be(work: Work, job: tuple[int, int, int]) -> None:
    production, _, candidate = job
    first, _ = pages.setups_of(work, production)
    plain = assessing.judged_for(work, first.id)
    assert (plain.on, plain.from_time, plain.until_time, plain.framing) == (
        date(2026, 6, 20),
        time(10),
        time(14),
        "medium",
    )
    assert plain.sheet.room.windows is not None
    assert {window.covering for window in plain.sheet.room.windows} == {"none"}
    changed = first.record.model_copy(
        update={
            "covers": {"W1": "blackout", "W9": "blind"},
            "switched_off": ("lamp", "fridge on", "bells"),
            "focal_length_mm": 35.0,
        }
    )
    setups.save_setup(work, first.id, first.version, changed)
    found = assessing.judged_for(work, first.id)
    room = found.sheet.room
    assert [window.covering for window in room.windows or ()] == ["blackout", "none"]
    assert [lamp.id for lamp in room.practicals or ()] == ["strip"]
    assert [reading.id for reading in room.noise or ()] == ["fridge off"]
    assert [noise.what for noise in found.noises] == ["school"]
    # what was taken away has to be switched off by somebody
    gone = [getattr(one, "id", None) or getattr(one, "what", None) for one in found.off]
    assert gone == ["lamp", "fridge on", "bells"]
    assert found.focal_length_mm == 35.0
    # the room's page judges by the setup of the date too
    assert assessing.setup_of(work, 1, date(2026, 6, 20)) == found
    assert assessing.assessed(assessing.judged_for(work, first.id)) is assessing.assessed(found)
    # on the other date by the other setup
    assert len(assessing.setup_of(work, 1, date(2026, 6, 21)).noises) == 2
    work.now = lambda: datetime(2026, 6, 1, tzinfo=UTC)
    undated = setups.add_setup(work, candidate, SetupRecord(from_time="09:00"))
    assert assessing.judged_for(work, undated).on == date(2026, 6, 20)
    assert assessing.judged_for(work, undated, date(2026, 6, 21)).on == date(2026, 6, 21)


HEARD = [
    {"id": "N1", "conditions": "extraction fan on, band saw off"},
    {"id": "N2", "laeq_db": 45, "conditions": "Fridge on in the kitchen, traffic"},
    {"id": "N3", "laeq_db": 34, "conditions": "fridge off, traffic"},
]


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("n 2", "N2"),
        ("fridge off,  traffic", "N3"),  # all the words of a reading
        ("fridge", "N2"),  # "fridge off" is where it is not heard
        ("FRIDGE ON", "N2"),
        ("Fridge switched off", "N2"),  # what is to be off, not the reading with it off
        ("fridge off", "N2"),
        ("extraction fan", "N1"),
        ("fan-on", "N1"),
        ("Lamp", "lamp"),
        ("BELLS", "bells"),
        ("traffic", None),  # two have it
        ("saw", None),
        ("fri", None),
        ("banana", None),
        ("...", None),
    ],
)
def test_what_is_switched_off_is_something_of_the_room(
    work: Work, job: tuple[int, int, int], typed: str, kept: str | None
) -> None:
    room = rooms.add_room(work, 1, RoomRecord.read({**ROOM, "name": "Hall", "noise": HEARD}))
    candidate = productions.add_candidate(work, job[1], room, CandidateRecord())
    given = SetupRecord(switched_off=(typed, "N1"))
    if kept is not None:
        key = setups.add_setup(work, candidate, given)
        assert setups.setup(work, key)[0].record.switched_off == tuple(dict.fromkeys((kept, "N1")))
        return
    with pytest.raises(RefusedMany) as refused:
        setups.add_setup(work, candidate, given)
    (only,) = refused.value.refusals
    assert (only.path, only.given) == ("switched_off", typed)
    assert "N2 (Fridge on in the kitchen, traffic)" in str(only)
    for name in ("N1", "N3", "bells", "school", "lamp", "strip"):
        assert name in str(only)
    assert ("fits N2 and N3" in str(only)) is (typed == "traffic")


def test_a_room_without_noises_says_so(work: Work, job: tuple[int, int, int]) -> None:
    for window in noise_windows.noise_windows(work, 1):
        noise_windows.bin_noise_window(work, window.id, window.version)
    bare = {key: ROOM[key] for key in ("name", "width_m", "length_m", "height_m")}
    for sheet, says in (
        ({**bare, "practicals": ROOM["practicals"]}, "no noise recorded: record it first, or type"),
        (bare, "no noise and no lamp recorded"),
    ):
        place = rooms.add_room(work, 1, RoomRecord.read({**sheet, "name": says[:12]}))
        candidate = productions.add_candidate(work, job[1], place, CandidateRecord())
        with pytest.raises(RefusedMany, match=says):
            setups.add_setup(work, candidate, SetupRecord(switched_off=("fridge",)))


def test_a_setup_without_length_is_refused() -> None:
    with pytest.raises(RefusedMany) as refused:
        SetupRecord.read({"from_time": "10:00", "until_time": "10:00"}, "setup")
    assert refused.value.refusals[0].because.code == "record.begins"  # type: ignore[union-attr]


def test_every_field_comes_back(work: Work, job: tuple[int, int, int]) -> None:
    given = SetupRecord.read(
        {
            "on": "2026-06-20",
            "from_time": "22:00",
            "until_time": "02:00",
            "set_up_min": 60,
            "strike_min": 30,
            "framing": "wide",
            "focal_length_mm": 24,
            "covers": {"W1": "blind"},
            "switched_off": ["bells"],
            "note": "ask for the key",
        }
    )
    assert set(given.model_fields_set) == set(SetupRecord.model_fields)
    key = setups.add_setup(work, job[2], given)
    work.db.expire_all()
    assert translate.to_record(work.db.get(models.Setup, key)) == given
