"""What each remedy buys, how near a microphone must come, and when it is quiet."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from scout.assess.daylight.findings import marks as light_at_marks
from scout.assess.fit import fit
from scout.assess.sound.advice import SoundAdvice, advise, good_within_m
from scout.assess.sound.hours import quiet_hours, steadiness
from scout.assess.sound.sound import sound
from scout.records import RoomSheet
from scout.records.sheet import RoomRecord
from scout.records.sounds import NoiseWindowRecord

HARD = {name: {"material": "brick_rendered"} for name in "ABCD"} | {
    "ceiling": {"material": "concrete_rough"},
    "floor": {"material": "concrete_floor"},
}
MICS = [
    {"id": "boom", "kind": "shotgun", "distance_m": 0.7},
    {"id": "clip", "kind": "omni_clip", "distance_m": 0.2},
]
READINGS = [
    {
        "id": "N1",
        "taken_at": "2026-04-18T10:50:00+01:00",
        "laeq_db": 44.5,
        "method": "meter_class_2",
        "conditions": "fridge on, window shut",
    },
    {
        "id": "N2",
        "taken_at": "2026-04-18T15:56:00+01:00",
        "laeq_db": 34.0,
        "method": "meter_class_2",
        "conditions": "fridge off",
    },
]


def sheet(mics: list[dict[str, Any]] = MICS, **room: Any) -> RoomSheet:
    return RoomSheet.read(
        {
            "schema": "room-sheet/1",
            "room": {
                "name": "Kitchen",
                "setting": "interior",
                "width_m": 4.0,
                "length_m": 5.0,
                "height_m": 2.6,
                "windows": [],
                "doors": [],
                "contents": [],
                "surfaces": HARD,
                "noise": READINGS,
                **room,
            },
            "marks": {"subject": [2.0, 3.5, 1.2], "camera": [2.0, 0.8, 1.4]},
            "kit": {
                "mics": mics,
                "speech_effort": "normal",
                "camera": {
                    "sensor_width_mm": 23.8,
                    "sensor_height_mm": 13.4,
                    "focal_lengths_mm": [24, 50],
                },
            },
        }
    )


def advice(of: RoomSheet) -> SoundAdvice:
    return advise(of, sound(of), fit.fit(of, light_at_marks(of, date(2026, 6, 21))))


def test_how_near_by_hand() -> None:
    # by hand: 60 dBA at 1 m, 30 at the microphone, 20 dB wanted: 10 dB left, 10^(10/20) = 3.16 m; a
    # critical distance of 1 m is nearer
    far, held = good_within_m(60.0, 30.0, None)
    assert far == pytest.approx(3.162, abs=0.001)
    assert held == "noise"
    assert good_within_m(60.0, 30.0, 1.0) == (1.0, "room")
    assert good_within_m(60.0, None, 1.0) == (None, None)


def test_the_fridge_and_what_it_is_worth() -> None:
    found = [remedy for remedy in advice(sheet()).remedies if remedy.cause == "noise"]
    assert len(found) == 1
    assert found[0].buys_db == pytest.approx(10.5)  # by hand: 44.5 - 34.0
    assert found[0].because.startswith("With the fridge switched off: 34 dBA instead of 44")
    # by hand: 10 log10(10^4.45 - 10^3.40) = 44.1
    assert "44 dBA by itself" in found[0].because


def test_one_reading_or_the_same_conditions_say_nothing() -> None:
    assert not [r for r in advice(sheet(noise=READINGS[:1])).remedies if r.cause == "noise"]
    same = [{**READINGS[0], "conditions": "empty"}, {**READINGS[1], "conditions": "empty"}]
    assert not [r for r in advice(sheet(noise=same)).remedies if r.cause == "noise"]


def test_blankets_on_the_wall_that_gains_most() -> None:
    found = [remedy for remedy in advice(sheet()).remedies if remedy.cause == "room"]
    assert len(found) == 1
    assert found[0].buys_s is not None
    assert found[0].buys_s > 0.5
    assert (
        "wall B" in found[0].because or "wall D" in found[0].because
    )  # property: the longer walls hold more cloth


def test_a_dry_room_needs_no_blankets() -> None:
    soft = {name: {"material": "curtain_velvet"} for name in "ABCD"} | {
        "ceiling": {"material": "ceiling_tile"},
        "floor": {"material": "carpet_open_foam"},
    }
    assert not [r for r in advice(sheet(surfaces=soft)).remedies if r.cause == "room"]


def test_a_boom_that_must_come_into_the_picture() -> None:
    boom, clip = advice(sheet()).placements
    assert boom.must_come_m is not None
    assert boom.held_by in ("noise", "room")
    assert clip.framings == ()  # a clip-on is hidden, not held
    assert {framing.framing for framing in boom.framings} >= {"medium", "head_and_shoulders"}
    for framing in boom.framings:
        assert framing.in_frame == (boom.must_come_m < framing.nearest_m)
    nearest = {framing.framing: framing.nearest_m for framing in boom.framings}
    # by hand: 0.6 m high, lips 0.20 + 0.08 * 0.6 under the edge, 0.10 to spare: 0.348 m (0.9 m
    # high: 0.372 m)
    assert nearest["head_and_shoulders"] == pytest.approx(0.348, abs=0.002)
    assert nearest["medium"] == pytest.approx(0.372, abs=0.002)


def test_clip_on_where_nothing_else_will_do() -> None:
    far = advice(sheet(mics=[{"id": "camera", "kind": "camera", "distance_m": 3.0}]))
    assert any(
        remedy.cause == "placement" and "clip-on" in remedy.because for remedy in far.remedies
    )
    assert far.placements[0].use in (
        "fit as a guide track, or a voice to be cleaned up afterwards",
        "not fit for speech; the room's own sound at most",
    )
    assert not any(remedy.cause == "placement" for remedy in advice(sheet()).remedies)


def test_unknown_stays_unknown() -> None:
    bare = advice(sheet(noise=None, surfaces=None))
    assert [placement.must_come_m for placement in bare.placements] == [None, None]
    assert bare.remedies == ()
    assert bare.critical_distance_m is None
    no_kit = sheet().model_copy(update={"kit": None})
    assert advise(no_kit, sound(no_kit), None).placements == ()


def test_modes_of_a_rectangle() -> None:
    found = advice(sheet())
    # by hand: c/2L at 343.2 m/s: 34.3 Hz (5 m), 42.9 Hz (4 m), 66.0 Hz (2.6 m), 68.6 (5 m, second)
    assert found.modes_hz[:4] == pytest.approx((34.3, 42.9, 66.0, 68.6), abs=0.1)
    assert "66 and 69 Hz lie together" in (found.modes_words or "")
    slanting = [[0, 5], [4, 4], [4, 0], [0, 0]]
    assert advice(sheet(plan_m=slanting, width_m=None, length_m=None)).modes_hz == ()


def test_when_it_is_quiet() -> None:
    room = sheet().room
    school = NoiseWindowRecord(
        what="school yard",
        days=("mon", "tue", "wed", "thu", "fri"),
        from_time="10:30",
        until_time="10:50",
        steady=False,
    )
    day = quiet_hours(room, [school], date(2026, 6, 22), "Europe/London")  # a Monday
    assert [hour.reading for hour in day.readings] == ["N1", "N2"]
    assert (
        day.words[0]
        == "Quietest read: 34 dBA at 15:56 (fridge off); loudest: 44 dBA at 10:50 (fridge on, window shut)."
    )
    assert any("school yard from 10:30 to 10:50 (comes and goes)" in words for words in day.words)
    assert quiet_hours(room, [school], date(2026, 6, 21), "Europe/London").windows == ()  # a Sunday
    assert (
        quiet_hours(RoomRecord.read({"noise": READINGS[:1]}), [], date(2026, 6, 22), None).unknown
        is not None
    )
    assert quiet_hours(RoomRecord.read({}), [], date(2026, 6, 22), None).unknown is not None


def test_steadiness() -> None:
    # common practice: within 5 dB steady, over 10 dB intermittent
    assert [steadiness(40, 38), steadiness(45, 38), steadiness(55, 38)] == [
        "steady",
        "varying",
        "intermittent",
    ]
