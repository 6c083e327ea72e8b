"""What daylight and sun come to for a setup: every code, its figures, its acts worked out again."""

from __future__ import annotations

from datetime import date, time, timedelta
from math import log2
from types import SimpleNamespace
from typing import Any

import pytest

from scout.assess.answers import Finding, FitAnswer, PlanLight, WayAnswer
from scout.assess.daylight import findings as daylight
from scout.assess.daylight.sun.findings import STEP_MIN, _joined
from scout.assess.daylight.sun.touch import sun_touches
from scout.assess.setup import Setup
from scout.records.sheet import RoomSheet
from scout.values import Figure, Name, Word, names, said, words
from tests.assess.daylight.test_daylight import JUNE, SHEET, sheet

WINTER = date(2026, 12, 21)
SOUTH = {"room__facing": {"wall": "A", "bearing_deg": 180, "north": "true", "accuracy_deg": 1}}
CAMERA = {"iso": 800, "f_number": 2.8, "shutter_s": 0.02}
LENS = {**CAMERA, "sensor_width_mm": 24.9, "sensor_height_mm": 14.0, "focal_lengths_mm": [24, 85]}
OUTDOORS = {
    "room__setting": "exterior",
    "room__windows": None,
    "room__height_m": None,
    "room__skyline": [],
}


def found_for(
    room: RoomSheet,
    on: date = JUNE,
    begin: time | None = None,
    until: time | None = None,
    key: PlanLight | None = None,
    clamp: WayAnswer | None = None,
    **of: Any,
) -> dict[str, Any]:
    """The findings by code."""
    answers: Any = SimpleNamespace(
        daylight=daylight.marks(room, on),
        events=daylight.events(room.location, on),
        windows=daylight.windows(room, on),
        fit=FitAnswer(plan={} if key is None else {"key": key}),
        ways=() if clamp is None else (clamp,),
    )
    found: tuple[Finding, ...] = daylight.findings(Setup(room, on, begin, until, **of), answers)
    by_code = {finding.code: finding for finding in found}
    assert len(by_code) == len(found)
    for finding in found:
        assert finding.level in finding.levels
    return by_code


# -- light
def test_enough_light_says_until_when_and_by_which_plane() -> None:
    kit = {"camera": {**CAMERA, "iso": 200}}
    room = sheet(**SOUTH, marks__camera=[2.0, 4.8, 1.2], kit=kit)
    light = found_for(room)["light.enough"]
    mark = daylight.marks(room, JUNE).marks["subject"]
    assert light.level == "good"
    assert (light.spell.start, light.spell.end) == (
        mark.camera_enough_from,
        mark.camera_enough_until,
    )
    assert light.plane == Word("plane", "camera")
    # Source: ISO 2720, 250 x 2.8^2 / (0.02 x 200) = 490 lux
    assert mark.camera_overcast_lux_noon is not None
    assert mark.camera_clear_lux_noon is not None
    assert light.cloud.value == pytest.approx(log2(mark.camera_overcast_lux_noon / 490), abs=0.01)
    assert light.sun.value == pytest.approx(log2(mark.camera_clear_lux_noon / 490), abs=0.01)
    part = found_for(room, JUNE, time(12), time(23))["light.enough"]
    assert part.level == "care"
    assert part.spell.start.time() == time(12)
    assert part.spell.end == mark.camera_enough_until


def test_short_by_the_side_that_the_camera_sees_and_what_to_bring() -> None:
    # property: four times the need is two stops more short
    kit = {"camera": {**CAMERA, "iso": 10}}
    room = sheet(**SOUTH, marks__camera=[2.0, 0.2, 1.2], kit=kit)
    light = found_for(room)["light.short"]
    mark = daylight.marks(room, JUNE).marks["subject"]
    assert light.level == "problem"
    # by hand: ISO 2720, 250 x 2.8^2 / (0.02 x 10) = 9800 lux
    seen, level = mark.camera_overcast_lux_noon, mark.overcast_lux_noon
    assert seen is not None
    assert level is not None
    assert mark.camera_clear_lux_noon is not None
    assert light.short.value == pytest.approx(log2(9800 / seen), abs=0.01)
    assert light.short.value > log2(9800 / level)
    assert light.sun.value == pytest.approx(log2(9800 / mark.camera_clear_lux_noon), abs=0.01)
    assert light.needed == Figure(9800.0, "lux")  # by hand: ISO 2720, 250 x 2.8^2 / (0.02 x 10)
    (bring,) = light.acts
    assert (bring.code, bring.who) == ("bring.light", "light")
    assert bring["short"] == light.short
    assert (bring.buys.before, bring.buys.after) == (light.short.value, 0.0)
    dim = {"camera": {**CAMERA, "iso": 2.5}}
    dimmer = found_for(sheet(**SOUTH, marks__camera=[2.0, 0.2, 1.2], kit=dim))["light.short"]
    assert dimmer.short.value == pytest.approx(light.short.value + 2, abs=1e-6)


def test_the_kits_own_key_is_counted_before_more_is_brought() -> None:
    kit = {"camera": {**CAMERA, "iso": 10}}
    room = sheet(**SOUTH, marks__camera=[2.0, 0.2, 1.2], kit=kit)
    short = found_for(room)["light.short"].short
    # by hand: 9800 lux are needed (ISO 2720); what the day lacks of them is left to the lamps
    day = 9800 / 2**short.value

    def acts(lux: float | None, *, fits: bool = True) -> list[Any]:
        key = PlanLight(light="K", fits=fits, lux=lux)
        return list(found_for(room, key=key)["light.short"].acts)

    own, bring = acts(1000.0)
    assert (own.code, own["light"]) == ("light.key", Name("K"))
    left = log2(9800 / (day + 1000))
    assert (own.buys.before, own.buys.after) == (short.value, pytest.approx(left))
    assert bring.code == "bring.light"
    assert bring["short"].value == bring.buys.before == pytest.approx(left)
    # property: just what is lacking is enough, a lux less is not
    assert [act.code for act in acts(9800 - day + 1)] == ["light.key"]
    assert acts(9800 - day + 1)[0].buys.after == 0.0
    assert [act.code for act in acts(9800 - day - 1)] == ["light.key", "bring.light"]
    # one without a place, or whose lux nobody knows, is not counted
    for lux, fits in ((1000.0, False), (None, True)):
        (alone,) = acts(lux, fits=fits)
        assert (alone.code, alone["short"]) == ("bring.light", short)
    # one that stands where it does not work well lights the face all the same
    off = PlanLight(light="K", fits=False, lux=9800.0, at_m=(1.0, 1.0, 2.0))
    (lit,) = found_for(room, key=off)["light.short"].acts
    assert (lit.code, lit["light"]) == ("light.key", Name("K"))
    # where no stand has a place, a clamp may: the kit's own light before one more
    clamp = WayAnswer(
        way="clamp",
        told=said("fit.clamp_lux"),
        possible=True,
        light="K",
        lux=9800.0,
        at_m=(1.0, 1.0, 2.3),
    )
    on_none = PlanLight(light="K", fits=False)
    (up,) = found_for(room, key=on_none, clamp=clamp)["light.short"].acts
    assert (up.code, up["light"], up["height"]) == ("clamp.light", Name("K"), Figure(2.3, "m"))
    assert up.buys.after == 0.0


def test_only_a_clear_sky_is_enough() -> None:
    room = sheet(**SOUTH, marks__camera=[2.0, 4.8, 1.2], kit={"camera": {**CAMERA, "iso": 25}})
    found = found_for(room)
    light = found["light.clear_only"]
    assert light.level == "care"
    assert light.short.value > 0
    assert light.spell.start < light.at < light.spell.end
    assert [act.code for act in light.acts] == ["bring.light"]
    assert "light.short" not in found


def test_outdoors_too_bright_asks_for_nd() -> None:
    # Fault of before: outdoors six to ten stops over was said "good", and no word of ND.
    room = sheet(**SOUTH, **OUTDOORS, marks__camera=[2.0, 0.5, 1.5])
    found = found_for(room)
    assert "light.enough" not in found
    light = found["light.too_bright"]
    mark = daylight.marks(room, JUNE).marks["subject"]
    brightest = max(point.camera_clear_lux or 0 for point in mark.series)
    assert light.level == "care"
    assert light.over.value == pytest.approx(_stops(brightest), abs=0.01)
    assert 6 < light.over.value < 10
    (nd,) = light.acts
    assert (nd.code, nd.who) == ("camera.nd", "camera")
    assert nd["stops"].value == int(light.over.value)
    assert nd.buys.before == light.over.value
    assert nd.buys.after == light.over.value - nd["stops"].value
    assert 0 <= nd.buys.after < 1


def _stops(lux: float) -> float:
    return log2(lux / 122.5)


def test_beyond_ten_stops_the_strongest_usual_filter_is_offered() -> None:
    kit = {"camera": {**CAMERA, "iso": 12800}}
    light = found_for(sheet(**SOUTH, **OUTDOORS, marks__camera=[2.0, 0.5, 1.5], kit=kit))[
        "light.too_bright"
    ]
    assert light.level == "problem"
    assert light.acts[0]["stops"] == Figure(10.0, "stops")
    assert light.acts[0].buys.after == pytest.approx(light.over.value - 10)


@pytest.mark.parametrize(
    ("stops", "told"), [(1.4, False), (1.6, True), (-1.4, False), (-1.6, True), (3.2, True)]
)
def test_a_reading_that_the_room_cannot_give_is_asked_about(stops: float, told: bool) -> None:
    # common practice: a stop and a half; the meter's own doubt and the room's are less here
    def with_reading(lux: float, **more: Any) -> RoomSheet:
        at = "2026-06-21T10:00:00+01:00"
        row = {"id": "R1", "mark": "subject", "plane": "level", "sky": "overcast", "taken_at": at}
        return sheet(room__readings=[{**row, "lux": lux, "how": "meter", **more}])

    given = daylight.marks(with_reading(1.0), JUNE).readings[0].predicted_lux
    assert given is not None
    found = found_for(with_reading(given * 2.0**stops))
    assert ("light.read_odd" in found) is told
    if told:
        one = found["light.read_odd"]
        assert one.off.value == pytest.approx(stops, abs=0.01)
        assert [(act.code, act["facts"]) for act in one.acts] == [
            ("measure", words("fact", ["room.readings"]))
        ]
        kept_out = with_reading(given * 2.0**stops, counts=False)
        assert "light.read_odd" not in found_for(kept_out)


def test_a_night_is_dark_and_not_too_bright() -> None:
    found = found_for(sheet(**SOUTH), JUNE, time(23, 30), time(1, 0))
    assert found["light.dark"].level == "care"
    assert "light.too_bright" not in found
    assert found["sun.none"].level == "good"


@pytest.mark.parametrize(
    ("change", "facts"),
    [
        ({"marks": None}, ("marks.subject",)),
        ({"kit": None}, ("kit.camera.iso", "kit.camera.f_number", "kit.camera.shutter_s")),
        ({"location": None}, ("location.latitude_deg", "location.longitude_deg")),
        ({"room__windows__0__sill_m": None}, ("windows.W1.sill_m",)),
        ({"room__setting": "covered"}, ()),
    ],
)
def test_what_is_unknown_is_said_as_what_to_measure(
    change: dict[str, Any], facts: tuple[str, ...]
) -> None:
    light = found_for(sheet(**{**SOUTH, **change}))["light.unknown"]
    assert light.level == "unknown"
    assert light.rests_on == facts
    assert [[word.key for word in act["facts"]] for act in light.acts] == (
        [list(facts)] if facts else []
    )
    assert all(act.code == "measure" and act.buys is None for act in light.acts)


def test_a_wall_that_is_not_measured_counts_where_it_decides() -> None:
    # The need lies between what the room gives with its walls dark and with its walls pale.
    bare = {f"room__surfaces__{name}": None for name in "BCD"}
    dim = sheet(**SOUTH, **bare, marks__camera=[2.0, 0.2, 1.2])
    mark = daylight.marks(dim, JUNE).marks["subject"]
    noon = mark.camera_overcast_lux_noon
    assert noon is not None
    # by hand: ISO 2720, 250 x 2.8^2 / (0.02 x S) is the noon's lux at S = 98,000 / lux
    kit = {"camera": {**CAMERA, "iso": 98_000 / noon}}
    light = found_for(sheet(**SOUTH, **bare, marks__camera=[2.0, 0.2, 1.2], kit=kit))
    unknown = light["light.unknown"]
    assert unknown.why.code == "light.depends"
    assert unknown.why["least"].value < 0 < unknown.why["most"].value
    assert unknown.rests_on == tuple(f"surfaces.{name}.light_reflectance" for name in "BCD")
    # where it decides nothing there is a level all the same
    sensitive = {"camera": {**CAMERA, "iso": 25_600}}
    known = found_for(sheet(**SOUTH, **bare, marks__camera=[2.0, 0.2, 1.2], kit=sensitive))
    assert "light.unknown" not in known


def test_a_doubt_of_what_is_recorded_is_care_whatever_small_thing_is_missing() -> None:
    # property: the frame's reflectance, which nobody measures, moves the light by a hundredth, the
    # recorded glass and walls by a quarter: what is likeliest is said, and the largest doubt asked for
    room = sheet(**SOUTH, marks__camera=[2.0, 0.2, 1.2], room__windows__0__reveal_m=0.1)
    mark = daylight.marks(room, JUNE).marks["subject"]
    assert mark.camera_overcast_lux_noon is not None
    assert any(not fact.recorded for fact in mark.range_from)
    kit = sheet(kit={"camera": {**CAMERA, "iso": 98_000 / mark.camera_overcast_lux_noon}}).kit
    found = found_for(room.model_copy(update={"kit": kit}))
    assert "light.unknown" not in found
    (light,) = (found[code] for code in found if code in ("light.enough", "light.clear_only"))
    assert light.level == "care"
    assert [[word.key for word in one["facts"]] for one in light.acts if one.code == "measure"] == [
        [mark.range_from[0].fact]
    ]


def test_light_that_is_too_much_at_one_end_only_is_enough_at_both() -> None:
    # property: two stops over, give or take the room's doubt, is enough and never "not known"
    room = sheet(**SOUTH, marks__camera=[2.0, 0.2, 1.2])
    noon = daylight.marks(room, JUNE).marks["subject"].camera_overcast_lux_noon
    assert noon is not None
    # by hand: ISO 2720, the noon's lux is 1.93 stops over the need at S = 3.8 x 98,000 / lux
    kit = sheet(kit={"camera": {**CAMERA, "iso": 3.8 * 98_000 / noon}}).kit
    light = found_for(room.model_copy(update={"kit": kit}))["light.enough"]
    assert light.level == "good"
    assert light.cloud.low < light.cloud.value < 2.0 < light.cloud.high


def test_a_dark_room_by_day_says_what_darkens_it() -> None:
    shut = sheet(**SOUTH, room__windows__0__covering="blackout")
    hours = (JUNE, time(10), time(12))
    assert found_for(shut, *hours)["light.dark"].why == said(
        "light.all_shut", windows=names(["W1"])
    )
    assert found_for(shut, JUNE, time(23, 30), time(1, 0))["light.dark"].why is None
    assert found_for(sheet(**SOUTH, room__windows=[]), *hours)["light.dark"].why == said(
        "light.no_windows"
    )


def test_glass_is_asked_for_first_and_three_facts_at_most() -> None:
    room = sheet(
        **SOUTH,
        room__surfaces={},
        room__windows__0__transmittance=None,
        marks__camera=[2, 0.2, 1.2],
    )
    noon = daylight.marks(room, JUNE).marks["subject"].camera_overcast_lux_noon
    assert noon is not None
    kit = {"camera": {**CAMERA, "iso": 98_000 / noon}}
    light = found_for(room.model_copy(update={"kit": sheet(kit=kit).kit}))["light.unknown"]
    assert light.rests_on[0] == "windows.W1.transmittance"
    assert len(light.rests_on) == 7
    # the walls, ceiling and floor are one thing to measure: how light they are
    assert len(light.acts[0]["facts"]) == 7


# -- sun
def test_sun_on_the_face_is_a_problem_and_the_window_is_shut() -> None:
    # The camera stands at the window and looks in: the face looks at the low winter sun.
    room = sheet(**SOUTH, marks__subject=[2.0, 2.5, 1.2], marks__camera=[2.0, 4.8, 1.2])
    sun = found_for(room, WINTER)["sun.on_face"]
    spells = sun_touches(room, WINTER).subject.spells
    assert sun.level == "problem"
    assert [(spell.start, spell.end) for spell in sun.spells] == list(spells)
    assert sun.windows == names(["W1"])
    assert sun.about == (Name("W1"),)
    assert "windows.W1.covering" in sun.rests_on
    (shut,) = sun.acts
    assert (shut.code, shut.who) == ("close.covering", "light")
    assert (shut.when.kind, shut.when.at) == ("by", spells[0][0])
    assert shut.buys.before == sun.lasts.value
    assert shut.buys.after == 0.0
    assert shut.buys.unit == "min"


def test_sun_from_behind_is_care() -> None:
    room = sheet(**SOUTH, marks__subject=[2.0, 2.5, 1.2], marks__camera=[2.0, 0.3, 1.2])
    found = found_for(room, WINTER)
    assert found["sun.on_subject"].level == "care"
    assert "sun.on_face" not in found


def test_the_hours_of_the_scene_decide() -> None:
    room = sheet(**SOUTH, marks__subject=[2.0, 2.5, 1.2], marks__camera=[2.0, 4.8, 1.2])
    ((start, end),) = sun_touches(room, WINTER).subject.spells
    after = found_for(room, WINTER, end.time().replace(microsecond=0, second=0), time(22))
    assert after["sun.on_face"].lasts.value < 1
    assert after["sun.on_face"].level == "care"  # less than the facing is known to
    assert after["sun.on_face"].acts
    # by hand: three minutes are a problem, a second less is none
    for seconds, level in ((180, "problem"), (179, "care")):
        begin = (end - timedelta(seconds=seconds)).time()
        assert found_for(room, WINTER, begin, time(22))["sun.on_face"].level == level
    later = found_for(room, WINTER, time(19), time(22))
    assert set(later) & {"sun.on_face", "sun.on_subject", "sun.in_room"} == set()
    assert later["sun.none"].level == "good"
    half = found_for(room, WINTER, None, time(start.hour, 59))
    assert half["sun.on_face"].spells.items[-1].end.time() == time(start.hour, 59)


def test_only_the_window_that_lets_it_in_is_shut() -> None:
    window = SHEET["room"]["windows"][0]
    west = {**window, "id": "W2", "wall": "D", "offset_m": 1.5}
    room = sheet(
        **SOUTH,
        room__windows=[window, west],
        marks__subject=[2.0, 2.5, 1.2],
        marks__camera=[2.0, 4.8, 1.2],
    )
    sun = found_for(room, WINTER, time(11), time(13))["sun.on_face"]
    assert sun.windows == names(["W1"])


@pytest.mark.parametrize(
    ("covering", "codes"),
    [
        ("none", {"sun.on_face"}),
        (None, {"sun.on_face"}),
        ("sheer", {"sun.none"}),
        ("blind", {"sun.none"}),
        ("blackout", {"sun.none"}),
    ],
)
def test_what_hangs_in_a_window_counts(covering: str | None, codes: set[str]) -> None:
    # Fault of before: the sun's hours of bare glass were told for a window that is blacked out.
    room = sheet(**SOUTH, room__windows__0__covering=covering, marks__camera=[2.0, 4.8, 1.2])
    found = found_for(room, WINTER)
    assert set(found) & {"sun.on_face", "sun.in_room", "sun.none"} == codes
    (row,) = daylight.windows(room, WINTER)
    assert row.unknown is None
    assert bool(row.direct_sun) is (covering in ("none", None, "sheer"))
    assert (row.direct_sun_min == 0.0) is (covering in ("blind", "blackout"))
    noon = daylight.sun_at(room, row.direct_sun[0][0] if row.direct_sun else _noon())[1][0]
    assert noon.unknown is None
    if covering in ("sheer", "blind", "blackout"):
        assert noon.patches == ()
    shut = [message for message in row.assumed if message.code == "sun.shut_out"]
    assert shut == (
        [said("sun.shut_out", window=Name("W1"), covering=Word("covering", covering or ""))]
        if covering in ("blind", "blackout")
        else []
    )


def _noon() -> Any:
    noon = daylight.events(sheet().location, WINTER).noon
    assert noon is not None
    return noon


def test_a_blackout_needs_no_facing() -> None:
    (row,) = daylight.windows(sheet(room__facing=None, room__windows__0__covering="blackout"), JUNE)
    assert (row.unknown, row.direct_sun_min, row.facing_deg) == (None, 0.0, None)
    found = found_for(sheet(room__facing=None, room__windows__0__covering="blackout"))
    assert found["sun.none"].level == "good"


def test_sun_in_the_room_that_misses_the_subject() -> None:
    room = sheet(**SOUTH, marks__subject=[0.3, 0.3, 2.0], marks__camera=[2.0, 1.0, 1.2])
    sun = found_for(room, JUNE)["sun.in_room"]
    (row,) = daylight.windows(room, JUNE)
    assert sun.level == "care"
    assert [(spell.start, spell.end) for spell in sun.spells] == list(row.direct_sun)
    assert sun.lasts.value == pytest.approx(row.direct_sun_min, abs=0.02)
    assert sun.acts == ()


def test_sun_where_the_subject_cannot_be_told() -> None:
    room = sheet(**SOUTH, room__height_m=None)
    found = found_for(room, JUNE)
    assert found["sun.unknown"].rests_on == ("room.height_m",)
    assert found["sun.in_room"].level == "care"


def test_no_windows_and_no_facing() -> None:
    assert found_for(sheet(room__windows=[]))["sun.none"].level == "good"
    # the sun in the room is known where it is not known whom it meets
    nobody = found_for(sheet(**SOUTH, marks=None))
    assert nobody["sun.unknown"].where == said("sun.on_the_subject")
    assert "sun.in_room" in nobody
    assert found_for(sheet(room__facing=None))["sun.unknown"].where is None
    assert found_for(sheet(room__windows=None))["sun.unknown"].rests_on == ("room.windows",)
    assert found_for(sheet(room__facing=None))["sun.unknown"].rests_on == ("room.facing",)
    lost = found_for(sheet(**SOUTH, **OUTDOORS, location=None))["sun.unknown"]
    assert lost.rests_on == ("location.latitude_deg", "location.longitude_deg")


def test_the_sun_in_the_frame_of_the_scenes_lens() -> None:
    # by hand: at noon in winter the sun is 14.4 degrees high: 24 mm on 14 mm sees 16.3 up, 85 mm 4.7
    room = sheet(
        **SOUTH,
        marks__subject=[2.0, 3.5, 1.2],
        marks__camera=[2.0, 2.5, 1.2],
        kit={"camera": LENS},
    )
    wide = found_for(room, WINTER)
    assert wide["sun.in_frame"].level == "problem"
    assert "sun.in_lens" not in wide
    (shut,) = wide["sun.in_frame"].acts
    assert (shut.code, shut["windows"], shut.buys.after) == ("close.covering", names(["W1"]), 0.0)
    long = found_for(room, WINTER, focal_length_mm=85)
    assert long["sun.in_lens"].level == "care"
    assert "sun.in_frame" not in long


def test_outdoors_the_sun_moves_and_stands_low() -> None:
    room = sheet(**SOUTH, **OUTDOORS, marks__camera=[2.0, 0.5, 1.5])
    found = found_for(room)
    day = daylight.events(room.location, JUNE)
    assert found["sun.outdoors"].lasts.value == pytest.approx(day.day_length_min, abs=0.1)
    assert "sun.low" not in found  # each day has it: a scene without hours is told nothing
    evening = found_for(room, JUNE, time(20), time(22))["sun.low"]
    assert (evening.spells.items[0].start, evening.spells.items[0].end) == (
        day.low_sun[-1][0],
        day.low_sun[-1][1],
    )
    walled = {**OUTDOORS, "room__skyline": [{"bearing_deg": 0, "elevation_deg": 80}]}
    assert "sun.outdoors" not in found_for(sheet(**SOUTH, **walled))


def test_spells_of_several_windows_are_joined() -> None:
    day = daylight.events(sheet().location, JUNE)
    assert day.noon is not None
    noon = day.noon.replace(microsecond=0)

    def spell(begin_min: float, end_min: float) -> Any:
        return tuple(later(noon, minutes) for minutes in (begin_min, end_min))

    assert _joined([[spell(0, 10)], [spell(10 + STEP_MIN, 20)]]) == (spell(0, 20),)
    assert _joined([[spell(0, 10)], [spell(10.1 + STEP_MIN, 20)]]) == (
        spell(0, 10),
        spell(10.1 + STEP_MIN, 20),
    )
    assert _joined([[spell(0, 30)], [spell(5, 10)]]) == (spell(0, 30),)


def later(moment: Any, minutes: float) -> Any:
    return moment + timedelta(minutes=minutes)
