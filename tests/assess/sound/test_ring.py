"""A measured reverberation in place of the computed one: where it is good, and only there."""

from __future__ import annotations

import pytest

from scout.assess.sound.ring import Burst, flag_word, measured_ring
from scout.assess.sound.room import room_sound
from scout.assess.sound.sound import judged_by, reverb_level
from scout.calc.sound.decay import Decay
from scout.values import Figure, Many, Name, Word
from tests.assess.sound.test_sound import R1, a_sheet, noted, sound

MICS = [{"id": "boom", "kind": "shotgun", "distance_m": 0.7}]
NOISE = [{"id": "N1", "laeq_db": 30.0, "method": "meter_class_2"}]


def burst(mid_s: float, *, good: bool = True, name: str = "pop.wav") -> Burst:
    return Burst(
        name,
        tuple(
            Decay(hz, mid_s, mid_s, 60.0, () if good else ("curved",), good=good)
            for hz in (125, 250, 500, 1000, 2000, 4000)
        ),
    )


def test_a_good_burst_sets_the_critical_distance_and_the_verdict() -> None:
    ring = measured_ring([burst(0.5)])
    found = sound(a_sheet(R1, NOISE, MICS), ring)
    # by hand: 0.0566 sqrt(2 * 5 * 50 / 0.5) = 1.79 m; direct over reverberant 20 log10(1.79 / 0.7)
    # = 8.2 dB
    assert found.placements[0].critical_distance_m == pytest.approx(1.79, abs=0.01)
    assert found.placements[0].direct_to_reverberant_db == pytest.approx(8.15, abs=0.1)
    assert found.rt60_judged_by == "measured"
    assert found.rt60_mid_s == pytest.approx(
        2.05, abs=0.01
    )  # the computed figure (reference room) stands beside it
    assert found.rt60_s is not None
    assert noted(found, "burst.judged_by")["computed"].value == pytest.approx(2.05, abs=0.01)
    measured = noted(found, "burst.measured")
    assert (measured["mid"], measured["doubt"]) == (Figure(0.5, "s"), Figure(10, "%"))
    assert found.rt60_measured_range_s == pytest.approx((0.45, 0.55))
    used = judged_by(a_sheet(R1).room, room_sound(a_sheet(R1).room), ring)
    assert reverb_level(used) == "good"  # type: ignore[arg-type]
    # by hand: sqrt(2.05 / 0.5) further than by the formula
    plain = sound(a_sheet(R1, NOISE, MICS))
    assert plain.rt60_judged_by == "computed"
    assert plain.placements[0].critical_distance_m == pytest.approx(
        1.79 / (2.05 / 0.5) ** 0.5, abs=0.01
    )


def test_a_poor_burst_changes_nothing_but_says_why() -> None:
    poor = sound(a_sheet(R1, NOISE, MICS), measured_ring([burst(0.5, good=False)]))
    plain = sound(a_sheet(R1, NOISE, MICS))
    assert poor.placements == plain.placements
    assert poor.rt60_judged_by == "computed"
    assert poor.rt60_measured_mid_s is None
    assert poor.rt60_measured_unused is not None
    (fault,) = poor.rt60_measured_unused["faults"]
    assert (fault["burst"], fault["band"], fault["fault"]) == (
        Name("pop.wav"),
        Figure(500, "Hz"),
        Word("decay", "curved"),
    )
    assert noted(poor, "burst.unused")["because"] == poor.rt60_measured_unused
    assert measured_ring([]) is None


def test_bursts_are_averaged_the_poor_left_out_and_disagreement_said() -> None:
    ring = measured_ring(
        [burst(0.5), burst(0.7, name="b.wav"), burst(3.0, good=False, name="c.wav")]
    )
    assert ring is not None
    assert ring.mid_s == pytest.approx(0.6)  # by hand: the mean of 0.5 and 0.7
    told = {note.code: note for note in ring.words}
    assert told["burst.measured"]["bursts"] == Many((Name("pop.wav"), Name("b.wav")))
    assert told["burst.left_out"]["count"] == 1
    mid = told["burst.disagree"]["mid"]
    assert (mid.low, mid.high) == (0.5, 0.7)
    alike = measured_ring([burst(0.5), burst(0.61)])  # by hand: 0.11 of 0.555 is under a fifth
    assert alike is not None
    assert [note.code for note in alike.words] == ["burst.measured"]


def test_a_band_that_could_not_be_read_is_named() -> None:
    half = Burst("x", tuple(band for band in burst(0.5).bands if band.band_hz != 1000))
    ring = measured_ring([half])
    assert ring is not None
    assert ring.because is not None
    (fault,) = ring.because["faults"]
    assert (fault["band"], fault["fault"]) == (Figure(1000, "Hz"), Word("decay", "unread"))
    # what an older version kept as a sentence stays one
    assert flag_word("the fall is bent") == Name("the fall is bent")


def test_it_stands_in_where_the_materials_are_not_known() -> None:
    bare = {key: value for key, value in R1.items() if key != "surfaces"}
    found = sound(a_sheet(bare, NOISE, MICS), measured_ring([burst(0.5)]))
    assert found.rt60_s is None
    assert len(found.unknown_by["room"]["facts"]) == 6
    assert (
        found.placements[0].verdict == "clean"
        # by hand: speech 63 dBA less 25 (30 less 7 for the shotgun, 15 of its own): 39 dB; 8 dB over
        # the room
    )
    # the size is needed all the same
    no_size = sound(a_sheet(bare | {"height_m": None}, NOISE, MICS), measured_ring([burst(0.5)]))
    assert no_size.rt60_judged_by is None
    assert no_size.placements[0].verdict is None
