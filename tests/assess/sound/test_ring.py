"""A measured reverberation in place of the computed one: where it is good, and only there."""

from __future__ import annotations

import pytest

from scout.assess.sound.advice import advise
from scout.assess.sound.ring import Burst, measured_ring
from scout.assess.sound.sound import sound, verdicts
from scout.calc.sound.decay import Decay
from tests.assess.sound.test_sound import R1, a_sheet

MICS = [{"id": "boom", "kind": "shotgun", "distance_m": 0.7}]
NOISE = [{"id": "N1", "laeq_db": 30.0, "method": "meter_class_2"}]


def burst(mid_s: float, *, good: bool = True, name: str = "pop.wav") -> Burst:
    return Burst(
        name,
        tuple(
            Decay(hz, mid_s, mid_s, 60.0, () if good else ("the fall is bent",), good=good)
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
    said = [verdict.because for verdict in verdicts(found)]
    assert any(
        "rings 0.5 s (measured" in words and "worked out from its surfaces 2.1 s" in words
        for words in said
    )
    assert any("go by the measured time" in words for words in found.assumed)
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
    assert "pop.wav: at 500 Hz the fall is bent" in poor.rt60_measured_unused
    assert measured_ring([]) is None


def test_bursts_are_averaged_the_poor_left_out_and_disagreement_said() -> None:
    ring = measured_ring(
        [burst(0.5), burst(0.7, name="b.wav"), burst(3.0, good=False, name="c.wav")]
    )
    assert ring is not None
    assert ring.mid_s == pytest.approx(0.6)  # by hand: the mean of 0.5 and 0.7
    assert any("One burst more is not used" in words for words in ring.words)
    assert any("disagree, 0.50 to 0.70" in words for words in ring.words)


def test_it_stands_in_where_the_materials_are_not_known() -> None:
    bare = {key: value for key, value in R1.items() if key != "surfaces"}
    found = sound(a_sheet(bare, NOISE, MICS), measured_ring([burst(0.5)]))
    assert found.rt60_s is None
    assert (
        "no material" in found.unknown_by["room"] or "have no material" in found.unknown_by["room"]
    )
    assert (
        found.placements[0].verdict == "clean"
        # by hand: speech 63 dBA less 25 (30 less 7 for the shotgun, 15 of its own): 39 dB; 8 dB over
        # the room
    )
    assert any(
        verdict.level == "good" and "measured" in verdict.because for verdict in verdicts(found)
    )
    # the size is needed all the same
    no_size = sound(a_sheet(bare | {"height_m": None}, NOISE, MICS), measured_ring([burst(0.5)]))
    assert no_size.rt60_judged_by is None
    assert no_size.placements[0].verdict is None


def test_blankets_are_reckoned_from_the_measured_time() -> None:
    # by hand: R1 at 500 Hz and 1 kHz has A 4.03 and 3.83; wall A (5 x 2.5, of which 3 m2 is glass)
    # in velvet: + 9.5 * (0.35-0.03) and (0.45-0.03).
    of = a_sheet(R1, NOISE, MICS)
    ring = measured_ring([burst(1.0)])
    found = [
        remedy
        for remedy in advise(of, sound(of, ring), None, ring).remedies
        if remedy.cause == "room"
    ]
    assert len(found) == 1
    assert "instead of 1.00" in found[0].because
    assert found[0].buys_s is not None
    assert 0.2 < found[0].buys_s < 0.6
