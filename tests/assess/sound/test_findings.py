"""Findings of sound: codes, levels and figures with their borders, and acts worked out again."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, time
from types import SimpleNamespace
from typing import Any, cast, get_args
from zoneinfo import ZoneInfo

import pytest

from scout.assess.answers import (
    BEFORE,
    Act,
    Cover,
    Finding,
    FitAnswer,
    RoomAssessment,
    ViewAnswer,
    WallView,
)
from scout.assess.answers.finding import When
from scout.assess.setup import Setup
from scout.assess.sound import findings as family
from scout.assess.sound.mics import MIC_FACTS
from scout.assess.sound.ring import measured_ring
from scout.assess.sound.sound import sound
from scout.records.sheet import MicKind, NoiseReading, Practical, SheetLocation
from scout.records.sounds import NoiseWindowRecord
from scout.values import Figure, Many, Name, Spell, Word, names, words
from scout.words import MESSAGES
from tests.assess.sound.test_ring import burst
from tests.assess.sound.test_sound import BANDS, MICS, OFFICE, R1, R2, R3, R4, READING, a_sheet

MONDAY, SATURDAY = date(2026, 6, 22), date(2026, 6, 20)
SCHOOL = {
    "what": "school",
    "days": ["mon", "tue", "wed", "thu", "fri"],
    "from_time": "15:25",
    "until_time": "15:50",
}
READ = {"method": "meter_class_2"}
N1 = {"id": "N1", "laeq_db": 33.0, "taken_at": "2026-06-19T10:20:00+01:00", **READ}
N2 = {"id": "N2", "laeq_db": 41.0, "taken_at": "2026-06-19T15:35:00+01:00", **READ}


def a_setup(
    room: dict[str, Any] = R1,
    noise: list[dict[str, Any]] | None = None,
    mics: list[dict[str, Any]] | None = None,
    *windows: dict[str, Any],
    on: date = MONDAY,
    **more: Any,
) -> Setup:
    noises = tuple(NoiseWindowRecord.read(window) for window in windows)
    return Setup(a_sheet(room, noise, mics), on, noises=noises, **more)


def assessed(setup: Setup, fit: Any = None, remedies: Any = None) -> RoomAssessment:
    """As much of an assessment as the sound family reads."""
    others = {"fit": fit or FitAnswer(), "remedies": remedies}
    return cast(RoomAssessment, SimpleNamespace(sound=sound(setup), **others))


def found(*args: Any, fit: Any = None, remedies: Any = None, **more: Any) -> dict[str, Finding]:
    """The findings of a setup, by code."""
    setup = a_setup(*args, **more)
    each = family.findings(setup, assessed(setup, fit, remedies))
    by_code = {finding.code: finding for finding in each}
    assert len(by_code) == len(each)
    return by_code


def levels(findings: dict[str, Finding]) -> dict[str, str]:
    return {code: finding.level for code, finding in findings.items()}


def only(acts: tuple[Act, ...]) -> Act:
    (act,) = acts
    return act


# -- noise
@pytest.mark.parametrize(
    ("laeq_db", "code", "level", "use"),
    [
        (35.0, "sound.quiet", "good", "any"),
        (35.1, "sound.quiet", "good", "near"),
        (40.0, "sound.quiet", "good", "near"),
        (40.1, "sound.noisy", "care", None),
        (50.5, "sound.noisy", "care", None),
        (50.6, "sound.loud", "problem", None),
    ],
)
def test_noise_at_every_border(laeq_db: float, code: str, level: str, use: str | None) -> None:
    # common practice: 35, 40 and 49 dBA; a class 2 meter is good to 1.5 dB
    finding = found(noise=[{"id": "N1", "laeq_db": laeq_db, **READ}])[code]
    assert finding.level == level
    figures = finding.figures()
    assert figures["laeq"] == Figure(laeq_db, "dBA")
    assert figures.get("use") == (None if use is None else Word("mic_use", use))
    assert finding.about == (Name("N1"),)
    assert finding.rests_on == ("room.noise",)


def test_a_doubt_over_two_decibels_is_said_as_a_range() -> None:
    finding = found(noise=[{"id": "N1", "laeq_db": 30.0, "method": "phone_app"}])["sound.quiet"]
    assert finding.figures()["laeq"] == Figure(30.0, "dBA", 25.0, 35.0)
    assert finding.figures()["conditions"] is None
    read = found(noise=[READING])["sound.quiet"].figures()
    assert read["nc"] == Figure(25, "NC")
    assert read["conditions"] == Name("fridge on, windows shut")


def test_no_reading_is_unknown_and_asks_for_one() -> None:
    finding = found()["sound.noise_unknown"]
    assert finding.level == "unknown"
    act = only(finding.acts)
    assert (act.code, act.when, act["hours"], act.buys) == ("measure.noise", BEFORE, None, None)


def test_noise_of_other_days_and_hours_raises_nothing() -> None:
    # A Saturday, 10:00 to 14:00; the school is read on a Friday at 15:35.
    hours = {"from_time": time(10), "until_time": time(14)}
    saturday = found(R2, [N1, N2], None, SCHOOL, on=SATURDAY, **hours)
    assert levels(saturday) == {
        "sound.quiet": "good",
        "sound.reverb_dry": "good",
        "sound.flutter": "care",
    }
    assert saturday["sound.quiet"].about == (Name("N1"),)
    assert "sound.noisy" not in found(R2, [N1, N2], None, SCHOOL, on=SATURDAY)
    friday = found(R2, [N1, N2], None, SCHOOL, on=date(2026, 6, 19))
    assert friday["sound.noisy"].about == (Name("N2"),)
    assert friday["sound.noises_come"].level == "care"


def test_readings_of_other_hours_are_care_at_most_and_asked_for() -> None:
    loud = {**N1, "laeq_db": 60.0}
    evening = found(noise=[loud], from_time=time(18), until_time=time(20))
    assert "sound.loud" not in evening
    assert evening["sound.noisy"].level == "care"
    unread = evening["sound.not_read_then"]
    assert unread.level == "unknown"
    assert unread.figures() == {"hours": Spell(time(18), time(20))}
    assert only(unread.acts)["hours"] == Spell(time(18), time(20))
    morning = found(noise=[loud], from_time=time(9), until_time=time(12))
    assert morning["sound.loud"].level == "problem"
    assert "sound.not_read_then" not in morning
    assert "sound.not_read_then" not in found(noise=[loud])


def test_rumble_over_fifteen_decibels() -> None:
    def rumble(lceq_db: float) -> Finding | None:
        reading = {"id": "N1", "laeq_db": 34.0, "lceq_db": lceq_db, **READ}
        return found(noise=[reading]).get("sound.rumble")

    assert rumble(49.0) is None  # common practice: 15 dB
    finding = rumble(49.1)
    assert finding is not None
    assert finding.level == "care"
    assert finding.figures()["over"].value == pytest.approx(15.1)
    low = dict(zip(BANDS, (58, 50, 44, 38, 33, 28, 22, 18), strict=True))
    # by hand: 58.16 - 41.31
    bands = found(noise=[{"id": "N1", "bands_db": low}])["sound.rumble"]
    assert bands.figures()["over"].value == pytest.approx(16.85, abs=0.01)


def test_having_a_source_off_is_offered_with_what_it_buys() -> None:
    on = {"id": "N1", "laeq_db": 44.5, "conditions": "fridge on", **READ}
    off = {"id": "N2", "laeq_db": 34.0, "conditions": "fridge off", **READ}
    act = only(found(noise=[on, off])["sound.noisy"].acts)
    assert (act.code, act["conditions"], act["level"]) == (
        "have.conditions",
        Name("fridge off"),
        Figure(34.0, "dBA"),
    )
    assert str(act) == "Make it as quiet as in the reading “fridge off” (34\xa0dBA)"
    assert act.buys is not None
    assert (act.buys.figure, act.buys.before, act.buys.after) == ("laeq_db", 44.5, 34.0)
    for readings in (
        [on],
        [on, {**off, "conditions": "fridge on"}],  # the same conditions say nothing
        [on, {**off, "laeq_db": 42.5}],  # 2 dB are not worth the walk
        [on, {**off, "method": "estimate"}],
        [{**on, "method": "phone_app"}, {**off, "laeq_db": 39.5}],  # 5 dB, within its doubt
    ):
        assert found(noise=readings)["sound.noisy"].acts == (), readings
    assert only(found(noise=[on, {**off, "laeq_db": 42.4}])["sound.noisy"].acts)
    assert found(noise=[off])["sound.quiet"].acts == ()


def test_what_a_setup_counts_on_being_off_is_somebodys_deed() -> None:
    on = NoiseReading.model_validate(
        {"id": "N1", "laeq_db": 44.5, "conditions": "fridge on", **READ}
    )
    off = {"id": "N2", "laeq_db": 34.0, "conditions": "fridge off", **READ}
    boiler = NoiseWindowRecord(what="boiler", from_time="14:00", until_time="14:40")
    lamp = Practical(id="strip", lumens=800.0)
    setup = a_setup(R1, [off], None, from_time=time(14, 10), until_time=time(15))
    there = {"location": SheetLocation(name="H", timezone="Europe/London")}
    setup = replace(setup, sheet=setup.sheet.model_copy(update=there), off=(on, boiler, lamp))
    fridge, noise, light = (
        only(finding.acts)
        for finding in family.findings(setup, assessed(setup))
        if finding.code in ("sound.switched_off", "light.lamp_off")
    )
    begins = datetime(2026, 6, 22, 14, 10, tzinfo=ZoneInfo("Europe/London"))
    for act, code, who, before, after in (
        (fridge, "have.conditions", "sound", 44.5, 34.0),
        (noise, "switch.off", "sound", 30.0, 0.0),  # by hand: 14:10 to 14:40
        (light, "practical.off", "light", 800.0, 0.0),
    ):
        assert (act.code, act.who, act.when) == (code, who, When("by", at=begins))
        assert act.buys is not None
        assert (act.buys.before, act.buys.after) == (before, after)
    assert family.switching(setup) == (fridge, noise, light)
    assert str(fridge) == "Make it as quiet as in the reading “fridge off” (34\xa0dBA)"
    assert str(noise) == "Have boiler switched off, and on again after"  # nobody read how quiet
    # nothing to do for a noise that does not come then
    late = replace(setup, off=(boiler,), from_time=time(15), until_time=time(16))
    assert family.switching(late) == ()


def test_a_noise_with_a_switch_is_not_waited_for() -> None:
    coming = {**SCHOOL, "what": "boiler", "can_switch_off": True}
    hours = {"from_time": time(15), "until_time": time(17)}
    act = only(found(R1, [N1, N2], None, coming, **hours)["sound.noises_come"].acts)
    assert str(act) == "Have boiler switched off (33\xa0dBA then), and on again after"
    assert act.buys is not None
    assert (act.buys.before, act.buys.after) == (41.0, 33.0)


# -- noises that come back
def test_a_noise_that_comes_back_is_waited_out() -> None:
    coming = found(R1, [N1, N2], None, SCHOOL, from_time=time(15), until_time=time(17))
    finding = coming["sound.noises_come"]
    # by hand: of 120 minutes 25 are the school's; 15:50 to 17:00 is the longest rest
    assert finding.level == "care"
    assert finding.figures() == {
        "noises": names(["school"]),
        "quiet": Figure(95, "min"),
        "longest": Spell(time(15, 50), time(17)),
    }
    act = only(finding.acts)
    assert (act.code, act["noise"], act["spell"]) == (
        "wait.noise",
        Name("school"),
        Spell(time(15, 25), time(15, 50)),
    )
    assert act.buys is not None  # read with it 41, without it 33
    assert (act.buys.figure, act.buys.before, act.buys.after) == ("laeq_db", 41.0, 33.0)
    assert coming["sound.noisy"].acts == ()  # no conditions: the school is not switched off
    unread = found(R1, [], None, SCHOOL, from_time=time(15), until_time=time(17))
    buys = only(unread["sound.noises_come"].acts).buys
    assert buys is not None
    assert (buys.figure, buys.before, buys.after) == ("noisy_min", 25.0, 0.0)
    short = found(R1, [], None, SCHOOL, from_time=time(15, 20), until_time=time(16))
    assert short["sound.noises_come"].level == "problem"  # 5 and 10 minutes are left
    assert "sound.noises_come" not in found(R1, [], None, SCHOOL, on=SATURDAY)


def test_of_many_noises_three_are_waited_for() -> None:
    many = [{**SCHOOL, "what": f"n{i}", "from_time": "09:00"} for i in range(5)]
    finding = found(R1, [], None, *many)["sound.noises_come"]
    assert len(finding.acts) == 3
    assert len(finding.figures()["noises"]) == 5


# -- reverb
def test_reverb_dry_live_and_unknown() -> None:
    dry = found(R2)["sound.reverb_dry"]
    assert dry.level == "good"
    assert dry.figures()["by"] == Word("reverb_by", "computed")
    time_s = dry.figures()["time"]
    assert time_s.low < time_s.value < time_s.high
    # by hand: R1 rings 2.05 s, R4 1.83 s with a pessimistic end of 3.37
    assert found(R1)["sound.reverb_live"].level == "problem"
    assert found(R4)["sound.reverb_live"].level == "care"
    assert dry.figures()["why"] is None
    # by hand: R3 rings 0.51 s, but up to 0.72 between its bare walls
    doubtful = found(R3)["sound.reverb_dry"]
    assert doubtful.level == "care"
    assert doubtful.figures()["why"].code == "reverb.bare_pair"
    measured = found(R1, ring=measured_ring([burst(0.5)]))["sound.reverb_dry"]
    assert measured.figures()["by"] == Word("reverb_by", "measured")
    assert measured.figures()["time"] == Figure(0.5, "s", 0.45, 0.55)
    unknown = found(R1 | {"height_m": None})["sound.reverb_unknown"]
    assert unknown.level == "unknown"
    assert unknown.figures()["time"] is None
    assert only(unknown.acts)["facts"] == words("fact", ["room.height_m"])
    assert (
        found(R1 | {"contents": [{"material": "person", "count": 200}]})[
            "sound.reverb_unknown"
        ].acts
        == ()
    )


def test_bounds_of_the_reverb_are_said_and_give_a_level_where_both_do() -> None:
    one = found(R1 | {"surfaces": R1["surfaces"] | {"C": None}})["sound.reverb_unknown"]  # type: ignore[operator]
    assert one.figures()["time"].low == pytest.approx(0.44, abs=0.02)
    assert one.figures()["time"].high == pytest.approx(2.42, abs=0.02)
    assert only(one.acts)["facts"] == words("fact", ["surfaces.C.material"])
    hung = R2 | {
        "contents": [{"material": "drapes_cotton"}, {"material": "rockwool", "area_m2": 30}]
    }
    dry = found(hung)["sound.reverb_dry"]  # property: so much is soft that the rest cannot matter
    assert dry.level == "good"


D1 = {"id": "D", "wall": "B", "offset_m": 1.5, "width_m": 0.8, "height_m": 2.0}
HIGH = {"id": "W", "wall": "D", "offset_m": 1.0, "width_m": 2, "height_m": 0.5}


@pytest.mark.parametrize(
    ("sill_m", "seen", "white", "wall", "along"),
    [
        # by hand: B has 1.7 m beyond its door, A and C 5 m, D 4 m under a window from 2 m up
        (2.0, [], [], "A", (0.0, 5.0)),
        # the frame holds A and C from their 1.0 to their 4.5 m, from 1 m up
        (2.0, [("A", 1.0), ("C", 1.0)], [], "D", (0.0, 4.0)),
        (1.9, [("A", 1.0), ("C", 1.0)], [], None, None),
        # only what is higher than a blanket
        (2.0, [("A", 2.0), ("C", 1.0)], [], "A", (0.0, 5.0)),
        # white hangs on A from 0.5 to 2.5 m: 2.5 m are left
        (1.9, [("C", 1.0)], [Cover("A", 0.5, 2.5, 0.0, 2.0)], "A", (2.5, 5.0)),
        (1.9, [("C", 1.0)], [Cover("A", 0.5, 3.5, 0.0, 2.0)], None, None),
    ],
)
def test_blankets_keep_out_of_frame_off_openings_and_clear_of_white(
    sill_m: float,
    seen: list[tuple[str, float]],
    white: list[Cover],
    wall: str | None,
    along: tuple[float, float] | None,
) -> None:
    room = R1 | {"windows": [HIGH | {"sill_m": sill_m}], "doors": [D1]}
    parts = tuple(WallView(letter, 1.0, 4.5, low, 2.5, 0.5) for letter, low in seen)
    fit = FitAnswer(
        judged_mm=(35.0, 50.0),
        views=(
            ViewAnswer(24.0, 60.0, (WallView("A", 0.0, 5.0, 0.0, 2.5, 1.0),), ()),
            ViewAnswer(35.0, 40.0, parts, ()),
        ),
    )
    remedies = [SimpleNamespace(cover=cover) for cover in white]
    acts = found(room, fit=fit, remedies=remedies)["sound.reverb_live"].acts
    if wall is None:
        assert acts == ()
        return
    (act,) = acts
    assert act["surface"] == Word("surface", wall)
    assert (act["along"].low, act["along"].high) == pytest.approx(along)


def test_blankets_leave_sockets_free() -> None:
    # by hand: of the 5 m of A the longer side of a socket at 2.8 m, less 0.15 m; one over their heads
    # or at a place that nobody measured too
    room = R1 | {"windows": [HIGH | {"sill_m": 1.9}], "doors": [D1]}
    socket = {"id": "P", "wall": "A", "offset_m": 2.8, "height_m": 0.3}
    c = {"id": "Q", "wall": "C", "height_m": 0.3}
    for outlets, wall, along in (
        ([socket, c], "A", (0.0, 2.65)),
        ([socket | {"height_m": 2.1}, c], "A", (0.0, 5.0)),
        ([socket | {"height_m": None}, c], "A", (0.0, 2.65)),
    ):
        act = only(found(room | {"outlets": outlets})["sound.reverb_live"].acts)
        assert act["surface"] == Word("surface", wall)
        assert (act["along"].low, act["along"].high) == pytest.approx(along)


@pytest.mark.parametrize("setting", ["exterior", "covered"])
def test_out_of_doors_has_no_reverb_at_all(setting: str) -> None:
    outside = found(R1 | {"setting": setting}, [READING], MICS)
    assert not [code for code in outside if "reverb" in code or "flutter" in code]


def test_flutter_is_care() -> None:
    finding = found(OFFICE)["sound.flutter"]
    assert finding.level == "care"
    assert finding.about == (Word("surface", "B"), Word("surface", "D"))
    assert finding.figures()["apart"].value == pytest.approx(6.0)
    assert finding.figures()["decay"].value == pytest.approx(2.9, abs=0.01)
    assert "sound.flutter" not in found(R1)  # spreading counted, the room outlasts it


def test_as_many_blankets_hang_as_a_crew_hangs() -> None:
    act = only(found(R1)["sound.reverb_live"].acts)
    # common practice: blankets of 2 by 2 m, three side by side at the most. By hand: where the
    # window of A and the door of C sit is not measured, B is 4 m long; 8 m2 add 8 * 0.32 and
    # 8 * 0.42 to 4.03 and 3.83 m2: T = 0.161 * 50 / 6.59 and / 7.19, 1.17 s
    assert (act.code, act["surface"]) == ("hang.blankets", Word("surface", "B"))
    assert act["length"].value == pytest.approx(4.0)
    assert (act["along"].low, act["along"].high) == pytest.approx((0.0, 4.0))
    assert act.buys is not None
    assert (act.buys.figure, act.buys.unit) == ("rt60_mid_s", "s")
    assert act.buys.before == pytest.approx(2.05, abs=0.01)
    assert act.buys.after == pytest.approx(1.17, abs=0.04)
    measured = only(found(R1, ring=measured_ring([burst(1.0)]))["sound.reverb_live"].acts)
    assert measured.buys is not None
    assert measured.buys.before == pytest.approx(1.0)
    # by hand: 1 / (1 / 1.0 + 1 / 1.17 - 1 / 2.05) = 0.73
    assert measured.buys.after == pytest.approx(0.73, abs=0.03)
    # by hand: 12 m2 of 9 m of wall, in its middle; more nobody hangs
    long = R1 | {"width_m": 5, "length_m": 9, "windows": [], "doors": []}
    (wide,) = found(long)["sound.reverb_live"].acts
    assert (wide["along"].low, wide["along"].high) == pytest.approx((1.5, 7.5))
    assert found(R2)["sound.reverb_dry"].acts == ()


# -- microphones
QUIET = [{"id": "N1", "laeq_db": 20.0, **READ}]
DRY = R2 | {"contents": [{"material": "rockwool", "area_m2": 30.0}]}


def mic(kind: str, distance_m: float | None, name: str | None = None) -> dict[str, Any]:
    return {"id": name or kind, "kind": kind, "distance_m": distance_m}


def test_the_best_microphone_is_good_and_the_others_are_said() -> None:
    each = found(R1, [READING], MICS)
    best = each["sound.mic_usable"]
    assert best.level == "good"
    assert best.about == (Name("clip"),)
    # By hand: 74.0 - 34.05 = 39.9 dB over the noise; 0.0566 sqrt(2 * 50 / 2.05) = 0.395 m, 5.9 dB over the
    # reverb; 71.4 % of that comes after 50 ms: C50 10 log10((3.91 + 0.286) / 0.714).
    assert best.figures()["snr"].value == pytest.approx(39.9, abs=0.05)
    assert best.figures()["clarity"].value == pytest.approx(7.7, abs=0.05)
    assert best.figures()["kind"] == Word("mic", "omni_clip")
    assert best.figures()["distance"] == Figure(0.2, "m")
    lost = each["sound.mic_unusable"]
    assert lost.figures() == {"mics": names(["camera_mic"])}
    assert lost.level == "care"  # the lav does it
    assert lost.acts == ()


def test_whoever_holds_only_the_on_camera_mic_reads_it() -> None:
    alone = found(R1, [READING], MICS[2:])
    assert alone["sound.mic_unusable"].level == "problem"
    assert not [
        code for code, finding in alone.items() if finding.level == "good" and "mic" in code
    ]
    act = only(alone["sound.mic_unusable"].acts)
    assert (act.code, act["distance"]) == ("bring.lav", Figure(0.2, "m"))
    assert act.buys is not None
    # by hand: 53.15 - 29.4 = 23.8 dB at the camera, 39.9 with a lav
    assert (act.buys.before, act.buys.after) == (
        pytest.approx(23.8, abs=0.05),
        pytest.approx(39.9, abs=0.05),
    )


@pytest.mark.parametrize(
    ("distance_m", "code", "level"),
    [
        # by hand, in the open with 40 dBA of noise and an omni (40.01 with its own): 60 - 20 log10 d
        # less 40.01 is 30, 20 and 12 dB at 0.316, 0.999 and 2.51 m
        (0.31, "sound.mic_clean", "good"),
        (0.32, "sound.mic_usable", "good"),
        (0.99, "sound.mic_usable", "good"),
        (1.01, "sound.mic_guide_only", "care"),
        (2.50, "sound.mic_guide_only", "care"),
        (2.52, "sound.mic_unusable", "problem"),
    ],
)
def test_a_placement_at_every_border(distance_m: float, code: str, level: str) -> None:
    noise = [{"id": "N1", "laeq_db": 40.0, **READ}]
    each = found({"setting": "exterior"}, noise, [mic("omni", distance_m)])
    mics = {name: one.level for name, one in each.items() if ".mic_" in name}
    assert mics == {code: level}


def test_a_microphone_is_brought_nearer_where_that_helps() -> None:
    noise = [{"id": "N1", "laeq_db": 40.0, **READ}]
    each = found({"setting": "exterior"}, noise, [mic("omni", 1.5), mic("omni_clip", 1.5, "lav")])
    act = only(each["sound.mic_guide_only"].acts)  # the lav is worn: it is not carried
    # by hand: within 0.999 m, to the 5 cm below: 0.95 m; 60.45 - 40.01 = 20.4 dB, 16.5 before
    assert (act.code, act["mic"], act["within"]) == (
        "move.mic",
        Name("omni"),
        Figure(pytest.approx(0.95), "m"),
    )
    assert act.buys is not None
    assert (act.buys.before, act.buys.after) == (
        pytest.approx(16.5, abs=0.05),
        pytest.approx(20.4, abs=0.05),
    )
    loud = [{"id": "N1", "laeq_db": 62.0, **READ}]  # by hand: within 0.079 m: nobody holds that
    far = found({"setting": "exterior"}, loud, [mic("omni", 1.5)])["sound.mic_unusable"]
    assert [one.code for one in far.acts] == []


def test_the_clearer_of_two_alike_is_the_best() -> None:
    each = found(
        {"setting": "exterior"}, QUIET, [mic("omni", 0.3, "far"), mic("omni", 0.2, "near")]
    )
    assert each["sound.mic_clean"].about == (Name("near"),)


def test_microphones_that_cannot_be_judged() -> None:
    each = found(R1 | {"height_m": None}, [READING], [mic("shotgun", 0.7), mic("omni", None)])
    finding = each["sound.mic_unknown"]
    assert finding.level == "unknown"
    assert finding.figures()["mics"] == names(["shotgun", "omni"])
    assert finding.figures()["why"].code == "mic.missing"
    mixed = found(R1, [READING], [mic("camera", 2.2), mic("omni", None)])
    omni = mixed["sound.mic_unknown"]
    assert omni.figures()["alone"] is None
    assert only(omni.acts)["facts"] == words("fact", ["kit.mics.omni.distance_m"])
    assert mixed["sound.mic_unusable"].level == "care"  # the other may do
    assert not [code for code in found(R1, [READING]) if ".mic_" in code]
    # 39.9 and 30.3 dB over the noise are clean, 23.8 on the camera is not (as above)
    bare = R1 | {"surfaces": R1["surfaces"] | {"C": None}}
    for mics, alone in ((MICS[1:2], Word("speech", "clean")), (MICS[1:], None)):
        unknown = found(bare, [READING], mics)["sound.mic_unknown"]
        assert unknown.figures().get("alone") == alone


# -- kinds of microphone
def test_every_kind_of_microphone_has_its_facts_and_its_word() -> None:
    kinds = get_args(MicKind)
    assert set(MIC_FACTS) == set(kinds)
    for kind in kinds:
        assert f"mic.{kind}" in MESSAGES, f"no word for {kind}"
        each = found(R1, [READING], [mic(kind, 0.5)])
        assert [code for code in each if ".mic_" in code], kind
    # common practice; first-order figures by exact integral: omni 1, cardioid 3
    assert {kind: facts.directivity for kind, facts in MIC_FACTS.items()} == {
        "omni": 1,
        "omni_clip": 1,
        "cardioid": 3,
        "camera": 3,
        "shotgun": 5,
    }
    assert {kind for kind, facts in MIC_FACTS.items() if facts.boomed} == {"shotgun", "cardioid"}
    assert {kind: facts.held for kind, facts in MIC_FACTS.items() if facts.held != "free"} == {
        "omni_clip": "worn",
        "camera": "camera",
    }


def test_nothing_recorded_is_unknown_and_no_more() -> None:
    bare = found({"setting": None, "width_m": None})
    assert levels(bare) == {"sound.noise_unknown": "unknown", "sound.reverb_unknown": "unknown"}
    assert isinstance(only(bare["sound.reverb_unknown"].acts)["facts"], Many)
