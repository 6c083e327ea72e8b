"""Which light plugs in where: worked optima, and random small cases against trying everything."""

from __future__ import annotations

import itertools
import time

import numpy as np
import pytest

from scout.calc.power.assign import PlugPoint, Supply, assign
from scout.calc.power.packing import Bin, least_overload_va, pack
from scout.errors import OutOfRange

# Source of the four cases: optima found by trying every assignment (exhaustive search), printed to three decimals.


def amps_by_circuit(load_a: list[float], where: tuple[int | None, ...], circuits: int) -> list[float]:
    return [sum(load for load, c in zip(load_a, where, strict=True) if c == circuit) for circuit in range(circuits)]


def test_case_1_six_lights_on_two_american_circuits() -> None:
    loads = [650 / 120, 650 / 120, 300 / 120 / .95, 300 / 120 / .95, 150 / 120 / .9, 60 / 120 / .6]
    assert sum(loads) == pytest.approx(18.32, abs=0.005)
    found = pack(tuple(120 * a for a in loads), (Bin(16 * 120, 150, 6), Bin(12 * 120, 0, 6)))
    held = amps_by_circuit(loads, found.circuit_of, 2)
    assert held == pytest.approx([10.270, 8.048], abs=0.001)
    assert max(held[0] / 14.75, held[1] / 12) == pytest.approx(0.696, abs=0.0005)  # of what is free
    assert found.greatest_share == pytest.approx((10.270 + 1.25) / 16, abs=1e-4)  # of the limit, with the 150 W already there
    assert found.proven


def test_case_2_three_circuits_are_needed() -> None:
    loads = [2000 / 230, 1200 / 230 / .9, 1200 / 230 / .9, 800 / 230, 800 / 230, 400 / 230 / .95]
    found = pack(tuple(230 * a for a in loads), (Bin(12.8 * 230, 0, 6), Bin(10.4 * 230, 0, 6), Bin(12.8 * 230, 0, 6)))
    held = amps_by_circuit(loads, found.circuit_of, 3)
    assert held[1] == pytest.approx(8.696, abs=0.001)
    assert sorted([held[0], held[2]]) == pytest.approx([9.275, 11.106], abs=0.001)
    assert found.greatest_share == pytest.approx(0.868, abs=0.0005)
    for two in ((12.8, 10.4), (12.8, 12.8)):
        assert None in pack(tuple(230 * a for a in loads), tuple(Bin(a * 230, 0, 9) for a in two)).circuit_of


def test_case_3_exactly_full() -> None:
    # First-fit-decreasing asks for a third circuit here; 8 + 4.8 + 3.2 and 6.4 + 6.4 + 3.2 fill two to the last ampere.
    loads = [8, 6.4, 6.4, 4.8, 3.2, 3.2]
    found = pack(tuple(120 * a for a in loads), (Bin(16 * 120, 0, 3), Bin(16 * 120, 0, 3)))
    assert amps_by_circuit(loads, found.circuit_of, 2) == pytest.approx([16, 16])
    assert found.greatest_share == pytest.approx(1.0)


def test_case_4_impossible_though_the_total_would_fit() -> None:
    bins = (Bin(16 * 120, 0, 4), Bin(16 * 120, 0, 4))
    found = pack((1000.0,) * 3, bins)
    assert found.circuit_of.count(None) == 1
    assert found.proven
    left_out = found.circuit_of.index(None)
    short = least_overload_va((1000.0,) * 3, bins, left_out)
    assert short is not None
    assert short[0] / 120 == pytest.approx(0.667, abs=0.0005)


def best_by_trying_all(loads: list[float], supplies: list[Supply], outlets: list[PlugPoint], metres: np.ndarray) -> tuple[int, float, float, float]:
    """(left out, volt-amperes left out, greatest share of a circuit with a light, metres): the least of all assignments."""
    best: tuple[int, float, float, float] | None = None
    for choice in itertools.product([None, *range(len(outlets))], repeat=len(loads)):
        if any(choice.count(o) > outlet.sockets for o, outlet in enumerate(outlets)):
            continue
        held = [supply.already_va for supply in supplies]
        for load, o in zip(loads, choice, strict=True):
            if o is not None:
                held[outlets[o].circuit] += load
        used = {outlets[o].circuit for o in choice if o is not None}
        shares = [held[c] / supplies[c].limit_va for c in used]
        if any(share > 1 + 1e-9 for share in shares):
            continue
        out = [load for load, o in zip(loads, choice, strict=True) if o is None]
        score = (len(out), round(sum(out), 6), round(max(shares, default=0.0), 6), sum(metres[i, o] for i, o in enumerate(choice) if o is not None))
        best = score if best is None else min(best, score)
    assert best is not None
    return best


@pytest.mark.parametrize("seed", range(60))
def test_random_small_cases_against_trying_everything(seed: int) -> None:
    rng = np.random.default_rng(seed)
    circuits, lights = int(rng.integers(1, 4)), int(rng.integers(1, 6))
    supplies = [Supply(float(rng.choice([10, 12.8, 16])) * 120, float(rng.choice([0, 0, 150, 600, 2500]))) for _ in range(circuits)]
    outlets = [PlugPoint(int(rng.integers(circuits)), int(rng.integers(1, 3))) for _ in range(int(rng.integers(1, 5)))]
    loads = [float(rng.choice([100, 300, 300, 650, 800, 1000, rng.uniform(50, 1500)])) for _ in range(lights)]
    metres = np.round(rng.uniform(1, 20, (lights, len(outlets))), 2)
    found = assign(loads, tuple(supplies), tuple(outlets), metres)
    out = [load for load, o in zip(loads, found.outlet_of, strict=True) if o is None]
    expected = best_by_trying_all(loads, supplies, outlets, metres)
    assert (len(out), sum(out)) == pytest.approx(expected[:2])
    assert found.greatest_share == pytest.approx(expected[2], abs=2e-6)
    assert found.cable_m == pytest.approx(expected[3], abs=1e-6)
    assert found.proven


def test_more_lights_than_sockets() -> None:
    found = assign([100, 200, 300], (Supply(3000, 0),), (PlugPoint(0, 2),), np.ones((3, 1)))
    assert found.outlet_of == (None, 0, 0)  # the smallest is left out: the cheapest to put on a battery
    assert least_overload_va((100.0, 200.0, 300.0), (Bin(3000, 0, 2),), 0) is None  # no rise of the limit makes a socket


def test_nothing_to_plug_in_and_nowhere_to_plug() -> None:
    assert assign([], (Supply(1000, 0),), (PlugPoint(0, 1),), np.zeros((0, 1))).outlet_of == ()
    assert assign([100.0], (), (), np.zeros((1, 0))).outlet_of == (None,)
    full = assign([100.0], (Supply(1000, 1200),), (PlugPoint(0, 1),), np.ones((1, 1)))
    assert full.outlet_of == (None,)  # a circuit already over its limit takes nothing more


def test_metres_never_outweigh_the_share() -> None:
    # By hand: two lights of 600 VA; both at the near outlet would load it to 1200/1500 = 0.8; one each is 0.4, whatever the cable.
    found = assign([600, 600], (Supply(1500, 0), Supply(1500, 0)), (PlugPoint(0, 2), PlugPoint(1, 2)), [[1, 30], [2, 30]])
    assert found.greatest_share == pytest.approx(0.4)
    assert found.cable_m == pytest.approx(31)


def test_twenty_lights_on_eight_circuits_in_good_time() -> None:
    rng = np.random.default_rng(7)
    loads = rng.choice([150, 300, 300, 600, 650, 1000, 1200], 20).astype(float)
    supplies = tuple(Supply(230 * 0.8 * float(a), 0.0) for a in (16, 16, 16, 20, 20, 10, 13, 32))
    outlets = tuple(PlugPoint(c, 4) for c in range(8))
    began = time.process_time()
    found = assign(loads, supplies, outlets, rng.uniform(2, 20, (20, 8)))
    assert time.process_time() - began < 5.0  # generous: the machine may be busy
    assert found.proven
    assert None not in found.outlet_of
    # property: no plan can load every circuit less than the mean
    assert found.greatest_share >= loads.sum() / sum(s.limit_va for s in supplies)


def test_refusals() -> None:
    with pytest.raises(OutOfRange, match="load_va"):
        assign([-1.0], (Supply(1000, 0),), (PlugPoint(0, 1),), [[1.0]])
    with pytest.raises(OutOfRange, match="cable_m"):
        assign([1.0], (Supply(1000, 0),), (PlugPoint(0, 1),), [[float("nan")]])
    with pytest.raises(OutOfRange, match="limit_va"):
        pack((1.0,), (Bin(0.0, 0, 1),))
    with pytest.raises(OutOfRange, match="no circuit"):
        assign([1.0], (Supply(1000, 0),), (PlugPoint(3, 1),), [[1.0]])
    with pytest.raises(OutOfRange, match="a row for each"):
        assign([1.0, 2.0], (Supply(1000, 0),), (PlugPoint(0, 1),), [[1.0]])
