"""What a measured recording says, by hand: levels, spoilt ones left out, warnings at their borders."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from scout.assess.sound.recording import (
    HumAnswer,
    ToneAnswer,
    channel_name,
    laeq_swing,
    levels_said,
    recording_answer,
    recording_words,
)
from scout.calc.sound.events import SoundEvent
from scout.calc.sound.recording import Measured
from scout.calc.sound.spectra import Hum, Line
from scout.calc.sound.stream import Faults
from scout.errors import OutOfRange
from scout.values import Figure, Said, Word, said

SOUND = Faults(np.array([0.0]), np.array([0.1]), 0.5, 0.0, False, 0, 0.0, 0)
LINES = (Line(100.0, 1e-6, 18.0), Line(50.0, 1e-7, 8.0))
MEASURED = Measured(
    duration_s=60.0,
    rate_hz=48_000,
    channels=1,
    dead=(),
    faults=SOUND,
    line_hz=np.zeros(0),
    line_square=np.zeros(0),
    laeq_dbfs=-60.0,
    lceq_dbfs=-50.0,
    lzeq_dbfs=-48.0,
    lafmax_dbfs=-40.0,
    la10_dbfs=-57.0,
    la50_dbfs=-61.0,
    la90_dbfs=-64.0,
    octaves_dbfs={"63": -55.0, "16000": None},
    hum=Hum(50.0, 18.0, 1e-6, LINES, 50.0),
    tones=(Line(3_150.0, 1e-7, 12.0),),
    events=(SoundEvent(4.0, 1.5, -40.0, 20.0, "passes"),),
)


def with_faults(measured: Measured = MEASURED, **faults: Any) -> Measured:
    return replace(measured, faults=replace(measured.faults, **faults))


def warned(found: Measured, calibration_db: float | None = 100.0, **more: Any) -> dict[str, Said]:
    answer = recording_answer(found, (), calibration_db, **more)
    return {warning.code: warning for warning in answer.warnings}


def test_levels_are_re_full_scale_and_with_a_calibration_in_decibels() -> None:
    """By hand: 100 dB more each."""
    found = recording_answer(MEASURED, (said("recording.silent"),), 100.0)
    assert (found.laeq_dbfs, found.lceq_dbfs, found.lafmax_dbfs) == (-60.0, -50.0, -40.0)
    assert (found.la10_dbfs, found.la50_dbfs, found.la90_dbfs) == (-57.0, -61.0, -64.0)
    assert (found.laeq_db, found.lceq_db, found.lafmax_db) == (40.0, 50.0, 60.0)
    assert (found.la10_db, found.la50_db, found.la90_db) == (43.0, 39.0, 36.0)
    assert found.bands_dbfs == {"63": -55.0}
    assert found.hum == HumAnswer(50.0, 18.0)
    assert found.tones == (ToneAnswer(3_150.0, 12.0),)
    (event,) = found.events
    assert (event.start_s, event.length_s, event.lafmax_dbfs) == (4.0, 1.5, -40.0)
    assert (event.lafmax_db, event.above_background_db, event.kind) == (60.0, 20.0, "passes")
    assert (found.clipped_share, found.dead_channels, found.duration_s) == (0.0, (), 60.0)
    assert found.warnings == (said("recording.silent"),)
    plain = recording_answer(MEASURED, (), None)
    assert (plain.laeq_db, plain.lafmax_db, plain.events[0].lafmax_db) == (None, None, None)
    assert plain.laeq_dbfs == -60.0
    assert [warning.code for warning in plain.warnings] == ["recording.relative_only"]
    assert (
        recording_answer(replace(MEASURED, octaves_dbfs={"63": None}), (), 1.0).bands_dbfs is None
    )


@pytest.mark.parametrize(
    ("calibration_db", "taken"), [(-50, True), (250, True), (-50.1, False), (250.1, False)]
)
def test_a_calibration_is_a_level(calibration_db: float, taken: bool) -> None:
    if taken:
        assert recording_answer(MEASURED, (), calibration_db).laeq_db == -60.0 + calibration_db
        return
    with pytest.raises(OutOfRange) as refusal:
        recording_answer(MEASURED, (), calibration_db)
    assert refusal.value.path == "calibration_db"


@pytest.mark.parametrize(("share", "spoilt"), [(0.001, False), (0.0011, True)])
def test_clipping_takes_the_highest_level_and_past_a_thousandth_the_mean(
    share: float, spoilt: bool
) -> None:
    """Common practice: the rule's own border."""
    found = recording_answer(with_faults(clipped=True, clipped_share=share), (), 100.0)
    assert (found.lafmax_db, found.events[0].lafmax_db) == (None, None)
    assert (found.laeq_db is None, found.la90_db is None) == (spoilt, spoilt)
    assert (found.hum is None, found.tones == ()) == (spoilt, spoilt)
    assert found.lafmax_dbfs == -40.0
    codes = [warning.code for warning in found.warnings]
    assert codes == ["recording.spoilt" if spoilt else "recording.clipped"]
    shown = found.warnings[0]["share"]
    assert shown == Figure(100 * share, "%")
    if spoilt:
        assert found.warnings[0]["least"] == Figure(40.0, "dBA")


def test_a_touch_of_full_scale_is_no_clipping_and_a_small_share_is_said_as_a_thousandth() -> None:
    assert warned(with_faults(clipped=False, clipped_share=0.5)) == {}
    assert warned(with_faults(clipped=True, clipped_share=1e-6))["recording.clipped"][
        "share"
    ] == Figure(0.1, "%")
    spoilt = warned(with_faults(clipped=True, clipped_share=0.2), None)["recording.spoilt"]
    assert (spoilt["share"], spoilt["least"]) == (Figure(20.0, "%"), None)


def test_nothing_recorded_says_only_that() -> None:
    silent = replace(with_faults(bad_samples=7, dropouts=3), laeq_dbfs=None, duration_s=1.0)
    found = warned(silent, None)
    assert list(found) == ["recording.bad_samples", "recording.silent"]
    assert found["recording.bad_samples"]["count"] == 7


@pytest.mark.parametrize(
    ("found", "code"),
    # a thousandth of full scale; common practice
    [
        (with_faults(mean=np.array([0.0009])), None),
        (with_faults(mean=np.array([0.0002, -0.001])), "recording.offset"),
        (replace(MEASURED, duration_s=30.0), None),
        (replace(MEASURED, duration_s=29.9), "recording.short"),
        (with_faults(dropouts=2, dropout_s=3.0), "recording.drops"),
        (with_faults(dropouts=2, dropout_s=3.1), "recording.drops_low"),
        (with_faults(bad_samples=1), "recording.bad_samples"),
        (replace(MEASURED, dead=(1,), channels=2), "recording.dead"),
    ],
)
def test_a_warning_begins_at_its_border(found: Measured, code: str | None) -> None:
    """By hand: a twentieth of a minute is 3 s."""
    assert list(warned(found)) == ([] if code is None else [code])


def test_what_warnings_say() -> None:
    assert warned(with_faults(mean=np.array([0.0002, -0.02])))["recording.offset"][
        "share"
    ] == Figure(2.0, "%")
    drops = warned(with_faults(dropouts=2, dropout_s=1.5))["recording.drops"]
    assert (drops["count"], drops["lost"]) == (2, Figure(1.5, "s"))
    assert warned(replace(MEASURED, duration_s=12.0))["recording.short"]["lasted"] == Figure(
        12.0, "s"
    )
    assert warned(replace(MEASURED, dead=(1,)))["recording.dead"]["channel"] == 2


@pytest.mark.parametrize(
    ("bits", "lzeq_dbfs", "floor"),
    # by hand: 6.02 dB a bit: 16 bits reach down to -96.32; within 6 dB of it is the recorder's own
    [(16, -90.33, True), (16, -90.31, False), (24, -90.33, False), (None, -120.0, False)],
)
def test_a_level_at_the_recorder_s_own_floor(
    bits: int | None, lzeq_dbfs: float, floor: bool
) -> None:
    found = warned(replace(MEASURED, lzeq_dbfs=lzeq_dbfs), bits=bits)
    assert ("recording.floor" in found) == floor
    assert "recording.floor" not in warned(replace(MEASURED, lzeq_dbfs=None), bits=16)


@pytest.mark.parametrize(("duration_s", "swings"), [(2.9, True), (3.0, False)])
def test_a_very_short_recording_says_how_far_it_swings(duration_s: float, swings: bool) -> None:
    """By hand: of -60, -64 and -57 the least and the most."""
    short = replace(MEASURED, duration_s=duration_s)
    assert laeq_swing(short) == ((-64.0, -57.0) if swings else None)
    found = recording_answer(short, (), 100.0)
    assert found.laeq_range_dbfs == ((-64.0, -57.0) if swings else None)
    assert found.laeq_range_db == ((36.0, 43.0) if swings else None)
    assert recording_answer(short, (), None).laeq_range_db is None
    spoilt = with_faults(short, clipped=True, clipped_share=0.1)
    assert recording_answer(spoilt, (), 100.0).laeq_range_db is None
    nothing = replace(short, laeq_dbfs=None, la10_dbfs=None, la90_dbfs=None)
    assert laeq_swing(nothing) is None


@pytest.mark.parametrize(
    ("index", "channels", "name"),
    [(0, 1, "mono"), (0, 2, "left"), (1, 2, "right"), (0, 3, "channel 1"), (3, 4, "channel 4")],
)
def test_channels_have_names(index: int, channels: int, name: str) -> None:
    assert channel_name(index, channels) == name
    found = recording_answer(replace(MEASURED, dead=(index,), channels=channels), (), 100.0)
    assert found.dead_channels == (name,)


def plain(**changes: Any) -> dict[str, Any]:
    return {
        "duration_s": 60.0,
        "la10_dbfs": -57.0,
        "la90_dbfs": -64.0,
        "hum": {"frequency_hz": 50.0, "above_floor_db": 18.0},
        "tones": [
            {"frequency_hz": 3150.0, "above_floor_db": 12.0},
            {"frequency_hz": 5000.0, "above_floor_db": 15.0},
        ],
        "events": [
            {"start_s": 4.0, "length_s": 1.5, "above_background_db": 20.0, "kind": "passes"},
            {"start_s": 30.0, "length_s": 20.0, "above_background_db": 9.0, "kind": "begins"},
        ],
        **changes,
    }


def told(measured: dict[str, Any], **changes: Any) -> dict[str, Said]:
    return {one.code: one for one in recording_words(plain(**changes), measured)}


def test_a_recording_in_words() -> None:
    found = told({"mains_hz": 50, "hum_lines": [[100, 18]]})
    assert list(found) == [
        "recording.steadiness",
        "recording.hum",
        "recording.whine",
        "recording.events",
        "recording.begins",
    ]
    assert found["recording.steadiness"]["spread"] == Figure(7.0, "dB")
    assert found["recording.steadiness"]["way"] == Word("noise_way", "varying")
    hum = found["recording.hum"]
    assert (hum["hum"], hum["above"]) == (Figure(50.0, "Hz"), Figure(18.0, "dB"))
    assert hum["source"] == said("recording.hum_mains", mains=Figure(50, "Hz"))
    whine = found["recording.whine"]
    assert (tuple(whine["tones"]), whine["above"]) == (
        (Figure(3150.0, "Hz"), Figure(5000.0, "Hz")),
        Figure(15.0, "dB"),
    )
    loud = found["recording.events"]
    assert (loud["count"], loud["above"], loud["at"]) == (2, Figure(20.0, "dB"), Figure(4.0, "s"))
    assert (loud["lasted"], loud["kind"]) == (Figure(1.5, "s"), Word("sound_event_is", "passes"))
    assert found["recording.begins"]["at"] == Figure(30.0, "s")


@pytest.mark.parametrize(
    ("measured", "changes", "code"),
    [
        ({"mains_hz": None}, {}, "recording.hum"),
        ({"mains_hz": 50, "hum_lines": [[400, 9]]}, {}, "recording.hum"),
        ({"mains_hz": 50, "hum_lines": [[450, 9]]}, {}, "recording.buzz"),
        ({"mains_hz": None, "hum_lines": [[450, 9]]}, {}, "recording.hum"),
        ({"mains_hz": None}, {"hum": None}, "recording.no_hum"),
        ({"mains_hz": None}, {"hum": None, "duration_s": 8.0}, "recording.no_hum"),
        ({"mains_hz": None}, {"hum": None, "duration_s": 7.9}, "recording.hum_short"),
        ({"mains_hz": None, "hum_known": False}, {"hum": None}, None),
    ],
)
def test_hum_in_words(measured: dict[str, Any], changes: dict[str, Any], code: str | None) -> None:
    found = [one for one in told(measured, **changes) if "hum" in one or "buzz" in one]
    assert found == ([] if code is None else [code])


def test_another_hum_is_nobody_s_mains() -> None:
    assert told({"mains_hz": None})["recording.hum"]["source"] == said("recording.hum_other")
    quiet = told({"mains_hz": 50}, tones=[], events=[])
    assert list(quiet) == ["recording.steadiness", "recording.hum"]
    # the loudest event is not told twice, though it begins something
    begins = [{"start_s": 3.0, "length_s": 1.0, "above_background_db": 9.0, "kind": "begins"}]
    assert "recording.begins" not in told({"mains_hz": 50}, events=begins)


@pytest.mark.parametrize("calibrated", [True, False])
def test_levels_by_their_names(calibrated: bool) -> None:
    ending, unit = ("db", "dB") if calibrated else ("dbfs", "")
    names = ("laeq", "lceq", "lafmax", "la10", "la50", "la90")
    answer: dict[str, Any] = {f"{name}_{ending}": float(k) for k, name in enumerate(names)}
    answer[f"la50_{ending}"] = None
    answer[f"laeq_range_{ending}"] = [-2.0, 3.0]
    found = levels_said(answer, calibrated=calibrated)
    assert list(found) == ["LAeq", "LCeq", "LAFmax", "LA10", "LA50", "LA90"]
    code = "recording.in_db" if calibrated else "recording.in_dbfs"
    assert found["LAeq"] == said(code, level=Figure(0.0, unit, -2.0, 3.0))  # type: ignore[arg-type]
    assert found["LCeq"] == said(code, level=Figure(1.0, unit))  # type: ignore[arg-type]
    assert found["LA50"] == Word("value", "missing")
