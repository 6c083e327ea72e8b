"""How near a microphone must come, whether it is then in the picture, and what the room does to it."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from scout.assess.daylight.findings import marks as light_at_marks
from scout.assess.fit import fit
from scout.assess.setup import Setup
from scout.assess.sound.advice import SoundAdvice, advise, good_within_m
from scout.assess.sound.sound import sound
from scout.records import RoomSheet

ON = date(2026, 6, 21)
SOFT = {name: {"material": "curtain_velvet"} for name in "ABCD"} | {
    "ceiling": {"material": "ceiling_tile"},
    "floor": {"material": "carpet_open_foam"},
}
QUIET = [{"id": "N1", "laeq_db": 20.0, "method": "meter_class_2"}]
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
    setup = Setup(of, ON)
    return advise(setup, sound(setup), fit.fit(of, light_at_marks(of, ON)))


def test_how_near_by_hand() -> None:
    # by hand: 60 dBA at 1 m, 30 at the microphone, 20 dB wanted: 10 dB left, 10^(10/20) = 3.16 m; the
    # room may want it nearer
    far, held = good_within_m(60.0, 30.0, None, None)
    assert far == pytest.approx(3.162, abs=0.001)
    assert held == "noise"
    # by hand, 1 s: 50.1 % comes after 50 ms; C50 of 6 dB wants 3.98 * 0.501 - 0.499 = 1.496 of the
    # reverberation as direct sound: 1 / sqrt(1.496) = 0.818 m
    near, held = good_within_m(60.0, 30.0, 1.0, 1.0)
    assert (near, held) == (pytest.approx(0.818, abs=0.002), "room")
    assert good_within_m(60.0, None, 1.0, 1.0) == (None, None)


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


def test_what_a_placement_is_good_for() -> None:
    far = advice(sheet(mics=[{"id": "camera", "kind": "camera", "distance_m": 3.0}])).placements[0]
    assert (far.level, far.verdict) == ("problem", "unusable")
    near = advice(
        sheet(mics=[{"id": "lav", "kind": "omni_clip", "distance_m": 0.1}], noise=READINGS[1:])
    )
    assert (near.placements[0].level, near.placements[0].held) == ("good", "worn")


def test_a_ceremony_is_for_what_is_not_worn() -> None:
    boom, clip = advice(sheet(surfaces=SOFT, noise=QUIET)).placements
    # by hand: 66 - 20 log10 5 = 52.0 dBA against 20 - 7 with 15 of its own (17.1): 34.9 dB over the
    # noise; in this dry room the boom stands a little inside or outside of its critical distance
    assert boom.ceremony in ("clean", "usable", "repair")
    assert clip.ceremony is None
    assert [mic.ceremony for mic in advice(sheet(noise=None)).placements] == [None, None]


def test_the_floor_hollows_a_voice() -> None:
    near, far = (
        advice(sheet(mics=[{"id": "m", "kind": "omni", "distance_m": away}])).placements[0].comb
        for away in (0.5, 2.0)
    )
    assert near is None  # by hand: sqrt(0.5^2 + 2.4^2) = 2.45 m, 13.8 dB under the voice
    assert far is not None
    # by hand: 2.4 m up and down over 2 m: 3.124 m, 3.87 dB under; 1.124 m further: 343.2 / 2.248
    assert far["under"].value == pytest.approx(3.87, abs=0.01)
    assert far["notch"].value == pytest.approx(152.7, abs=0.2)
    worn = advice(sheet(mics=[{"id": "m", "kind": "omni_clip", "distance_m": 2.0}]))
    assert worn.placements[0].comb is None


def test_unknown_stays_unknown() -> None:
    bare = advice(sheet(noise=None, surfaces=None))
    assert [placement.must_come_m for placement in bare.placements] == [None, None]
    assert bare.critical_distance_m is None
    assert bare.placements[0].level == "unknown"
    assert bare.placements[0].unknown is not None
    no_kit = Setup(sheet().model_copy(update={"kit": None}), ON)
    assert advise(no_kit, sound(no_kit), None).placements == ()


def test_two_microphones_have_rules_between_them() -> None:
    assert [step.code for step in advice(sheet()).steps] == ["mic.one_kind", "mic.three_to_one"]
    assert advice(sheet(mics=MICS[:1])).steps == ()


def test_modes_of_a_rectangle() -> None:
    found = advice(sheet()).modes_words
    assert found is not None
    # by hand: c/2L at 343.2 m/s: 34.3 Hz (5 m), 42.9 Hz (4 m), 66.0 Hz (2.6 m), 68.6 (5 m, second)
    lowest = [hz.value for hz in found["lowest"]]
    assert lowest[:4] == pytest.approx((34.3, 42.9, 66.0, 68.6), abs=0.1)
    assert [hz.value for hz in found["near"]] == pytest.approx((66.0, 68.6), abs=0.1)
    assert len(lowest) == 5
    wide = advice(sheet(width_m=3.0, length_m=5.0, height_m=2.3)).modes_words
    assert wide is not None
    assert wide["near"] is None  # by hand: 34.3, 57.2, 68.6, 74.6, 103, 114 Hz: none within 5 %
    slanting = [[0, 5], [4, 4], [4, 0], [0, 0]]
    assert advice(sheet(plan_m=slanting, width_m=None, length_m=None)).modes_words is None


L_SHAPE = [[0, 5], [4, 5], [4, 3], [2, 3], [2, 0], [0, 0]]


@pytest.mark.parametrize(
    "room",
    [
        {"setting": "exterior", "height_m": None},
        {"setting": "covered"},
        {"height_m": None},
        {"width_m": None},
        {"plan_m": L_SHAPE, "width_m": None, "length_m": None},
    ],
)
def test_no_modes_but_of_a_measured_rectangle_indoors(room: dict[str, Any]) -> None:
    assert advice(sheet(**room)).modes_words is None
    assert advice(sheet(setting=None)).modes_words is not None


@pytest.mark.parametrize(
    ("mouth_m", "hollow"),
    # a mark at 0.3 m or lower is no mouth's; by hand: from 0.31 m the floor's echo of a
    # microphone 2 m away comes over sqrt(4 + 0.38) = 2.09 m, 0.4 dB under the voice
    [(0.3, False), (0.31, True)],
)
def test_only_a_mouth_over_the_floor_is_hollowed(mouth_m: float, hollow: bool) -> None:
    far = sheet(mics=[{"id": "m", "kind": "omni", "distance_m": 2.0}])
    marks = far.marks
    assert marks is not None
    low = marks.model_copy(update={"subject": (2.0, 3.5, mouth_m)})
    found = advice(far.model_copy(update={"marks": low})).placements[0].comb
    assert (found is not None) is hollow
    nowhere = far.model_copy(update={"marks": marks.model_copy(update={"subject": None})})
    assert advice(nowhere).placements[0].comb is None
    unsaid = sheet(mics=[{"id": "m", "kind": "omni", "distance_m": None}])
    assert advice(unsaid).placements[0].comb is None


@pytest.mark.parametrize(
    ("critical_m", "held"),
    # by hand: 3.162 m by the noise, and at 1 s by the room 0.818 of the critical distance (above):
    # 3.162 / 0.818 = 3.866 m; the nearer of the two holds
    [(3.85, "room"), (3.88, "noise"), (None, "noise")],
)
def test_the_nearer_of_noise_and_room_holds(critical_m: float | None, held: str) -> None:
    assert good_within_m(60.0, 30.0, critical_m, 1.0)[1] == held
