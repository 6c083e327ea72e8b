"""A room is worked out once for all who ask for it, and for the scene that uses it."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import UTC, date, datetime, time
from threading import Event
from typing import Any

import pytest

from scout.assess import room as whole
from scout.assess.setup import Setup
from scout.pages import assessing
from scout.pages.once import NotYet, content_key, once, wait_for
from scout.records import (
    CandidateRecord,
    LocationRecord,
    ProductionRecord,
    RoomRecord,
    RoomSheet,
    SceneRecord,
)
from scout.records.plan import StagePlan
from scout.records.sounds import NoiseWindowRecord
from scout.usecases import locations, noise_windows, planning, productions, rooms
from scout.usecases.work import Work

ON = date(2026, 3, 20)
ROOM = {"name": "Asked for thrice", "width_m": 4.0, "length_m": 5.0, "height_m": 2.6}


def setup(**room: Any) -> Setup:
    return Setup(RoomSheet.model_validate({"schema": "room-sheet/1", "room": {**ROOM, **room}}), ON)


def test_a_page_its_packet_and_the_full_figures_share_one_assessment(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    calls: list[Any] = []
    real = whole.of_day

    def counted(*arguments: Any, **more: Any) -> Any:
        calls.append(arguments)
        return real(*arguments, **more)

    monkeypatch.setattr(assessing.whole, "of_day", counted)
    asked = setup(name="Asked for by nobody else")
    plain = assessing.assessed(asked)
    full = assessing.assessed(asked, None, True)
    # property: the same setup is the same question, whoever asks and however it is written
    assert assessing.assessed(in_full=False, at=None, setup=replace(asked)) is plain
    assert assessing.assessed(asked, in_full=True) is full
    assert full.daylight == plain.daylight
    # and of other hours only what they change is worked out
    morning = replace(asked, from_time=time(9), until_time=time(11), noises=(NOISE,))
    early = assessing.assessed(morning)
    assert len(calls) == 1
    assert early == whole.assess_setup(morning)


NOISE = NoiseWindowRecord.read(
    {"what": "School", "days": ["mon"], "from_time": "10:00", "until_time": "10:20"}
)
OTHERS = {
    "a letter of a name": setup(name="Asked for thrice."),
    "a millimetre": setup(width_m=4.001),
    "a window": setup(windows=[]),
    "the date": replace(setup(), on=date(2026, 3, 21)),
    "the hours": replace(setup(), from_time=time(9)),
    "their end": replace(setup(), until_time=time(9)),
    "the framing": replace(setup(), framing="medium"),
    "the lens": replace(setup(), focal_length_mm=35.0),
    "the place": replace(setup(), place=LocationRecord(name="Mill")),
    "a noise": replace(setup(), noises=(NOISE,)),
}


@pytest.mark.parametrize("what", OTHERS)
def test_whatever_changes_makes_another_question(what: str) -> None:
    # property: two setups are told apart by anything in them, and by nothing else
    assert content_key(OTHERS[what]) != content_key(setup())
    assert content_key(OTHERS[what]) == content_key(replace(OTHERS[what]))


def test_what_is_kept_is_told_apart_by_every_argument() -> None:
    asked: list[tuple[Any, ...]] = []

    @once(2)
    def answer(given: Setup, at: datetime | None = None, deep: bool = False) -> int:
        asked.append((given, at, deep))
        return len(asked)

    noon = datetime(2026, 3, 20, 12, tzinfo=UTC)
    assert [answer(setup()), answer(setup(), None), answer(given=setup(), deep=False)] == [1, 1, 1]
    assert [answer(setup(), noon), answer(setup(), at=noon)] == [2, 2]
    assert answer(setup(), deep=True) == 3
    assert answer(setup()) == 4  # the oldest of three was forgotten


def proposed(work: Work, *needs: list[dict[str, Any]]) -> tuple[int, list[int]]:
    """A room proposed for scenes of one production, and their candidates."""
    place = locations.add_location(work, LocationRecord(name="Mill", timezone="Europe/London"))
    noise_windows.add_noise_window(work, place, NOISE)
    room = rooms.add_room(work, place, RoomRecord.read(ROOM))
    job = productions.add_production(work, ProductionRecord(title="Film"))
    return room, [
        productions.add_candidate(
            work,
            productions.add_scene(work, job, SceneRecord.read({"name": f"Scene {i}", "needs": n})),
            room,
            CandidateRecord(),
        )
        for i, n in enumerate(needs)
    ]


WHEN = {"topic": "when", "strength": "must", "dates": ["2026-03-20"]}
NINE_TO_FIVE = {**WHEN, "from_time": "09:00", "until_time": "17:00"}
MEDIUM = {"topic": "framing", "strength": "must", "framing": "medium"}


def test_a_room_is_judged_for_the_newest_scene_that_it_is_proposed_for(work: Work) -> None:
    room, candidates = proposed(work, [WHEN], [NINE_TO_FIVE, MEDIUM])
    found = assessing.setup_of(work, room, ON)
    assert (found.from_time, found.until_time, found.framing) == (time(9), time(17), "medium")
    assert found.place is not None
    assert found.place.name == "Mill"
    assert [noise.what for noise in found.noises] == ["School"]
    first = rooms.room(work, room).candidates[0].scene_id
    alone = assessing.setup_of(work, room, ON, scene_id=first)
    assert (alone.from_time, alone.until_time, alone.framing) == (None, None, None)
    planning.save_plan(work, candidates[0], 1, StagePlan(subject=(2.0, 3.0, 1.2), lens_mm=35.0))
    kept = assessing.setup_of(work, room, ON, scene_id=first)
    assert kept.focal_length_mm == 35.0
    assert kept.sheet.marks is not None
    assert kept.sheet.marks.subject == (2.0, 3.0, 1.2)


def test_a_room_that_nobody_proposed_is_judged_by_itself(work: Work) -> None:
    room, _ = proposed(work)
    found = assessing.setup_of(work, room, ON)
    assert (found.hours, found.framing, found.sheet.kit) == (None, None, None)


@pytest.mark.parametrize(
    ("needs", "hours", "framing"),
    [
        # two needs that do not agree are no hours of the scene, and no framing
        ([NINE_TO_FIVE, {**WHEN, "from_time": "10:00"}], (None, None), None),
        ([MEDIUM, {**MEDIUM, "framing": "wide"}], (None, None), None),
        # from noon to noon is the whole day
        ([{**WHEN, "from_time": "12:00", "until_time": "12:00"}], (None, None), None),
        ([{**WHEN, "until_time": "12:00"}, MEDIUM, MEDIUM], (None, time(12)), "medium"),
    ],
)
def test_hours_and_framing_are_those_that_the_needs_agree_on(
    work: Work, needs: list[dict[str, Any]], hours: tuple[time | None, ...], framing: str | None
) -> None:
    room, _ = proposed(work, needs)
    found = assessing.setup_of(work, room, ON)
    assert (found.from_time, found.until_time) == hours
    assert found.framing == framing


def test_who_asks_while_it_is_worked_out_waits_for_that_one() -> None:
    asked, go = Event(), Event()
    calls: list[int] = []

    @once(4)
    def doubled(number: int) -> int:
        calls.append(number)
        asked.set()
        go.wait(5)
        return 2 * number

    with ThreadPoolExecutor(2) as both:
        first = both.submit(doubled, 4)
        asked.wait(5)
        second = both.submit(doubled, 4)
        go.set()
        # property: two at once get one answer, which was worked out once
        assert (first.result(5), second.result(5), calls) == (8, 8, [4])


def test_who_will_not_wait_is_told_so_and_finds_it_later() -> None:
    go = Event()

    @once(4)
    def halved(number: float) -> float:
        go.wait(5)
        if number < 0:
            raise ValueError(number)
        return number / 2

    try:
        wait_for(0.0)
        for number in (6.0, -6.0):
            with pytest.raises(NotYet):
                halved(number)
        go.set()
        wait_for(5.0)
        assert halved(6.0) == 3.0
        # property: what failed is not kept as an answer
        for _again in range(2):
            with pytest.raises(ValueError, match="-6"):
                halved(-6.0)
    finally:
        wait_for(None)
