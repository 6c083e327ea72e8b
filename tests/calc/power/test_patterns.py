"""What circuits may hold, against every filling there is, and the bounds beside it by hand."""

from __future__ import annotations

import itertools
import random
from collections import Counter
from dataclasses import replace

import numpy as np
import pytest

from scout.calc.power.bounds import by_hand, greatest_share, least_share
from scout.calc.power.packing import (
    _alone,
    _kept,
    _near,
    least_overload_va,
    lowest,
    pack,
    spread,
    usable,
)
from scout.calc.power.patterns import (
    Bin,
    Budget,
    TooWide,
    fillings,
    joined,
    kinds_of,
    patterns_below,
    search,
)
from scout.errors import OutOfRange

PLENTY = 10_000_000


def test_room_and_share_of_a_circuit() -> None:
    """By hand: 80 % of 2300 VA less 400; what is full takes nothing."""
    one = Bin(2300.0, 400.0, 3)
    assert one.room_va(0.8) == pytest.approx(1440.0)
    assert one.room_va(0.1) == 0.0
    assert one.share(750.0) == pytest.approx(0.5)
    assert one.plug_va == float("inf")


@pytest.mark.parametrize(("count", "ends"), [(10, False), (11, True)])
def test_a_budget_is_used_up_past_its_last(count: int, ends: bool) -> None:
    budget = Budget(10)
    if ends:
        with pytest.raises(TooWide):
            budget.take(count)
    else:
        budget.take(count)
        assert budget.left == 0


def test_kinds_are_fields_of_one_number() -> None:
    """By hand: one circuit of each of two kinds takes a bit and a guard each (0, 1; 2, 3), two loads
    of 500 two bits and a guard (4, 5; 6), one of 900 one and a guard (7; 8).
    """
    kinds = kinds_of([500.0, 900.0, 500.0], [Bin(1000.0, 0.0, 2), Bin(2000.0, 0.0, 2)])
    assert kinds is not None
    assert (kinds.sizes, kinds.counts, kinds.bin_counts) == ((500.0, 900.0), (2, 1), (1, 1))
    assert (kinds.bin_at, kinds.size_at) == ((0, 2), (4, 7))
    assert kinds.guards == 0b1_0100_1010
    assert kinds.whole == 0b0_1010_0101
    assert (kinds.field(0), kinds.field(1)) == (0b11_0000, 0b1000_0000)


@pytest.mark.parametrize(("lights", "fits"), [(30, True), (31, False)])
def test_a_number_has_62_bits(lights: int, fits: bool) -> None:
    """By hand: each light of its own size takes two bits, the circuit two."""
    kinds = kinds_of([float(k + 1) for k in range(lights)], [Bin(1e6, 0.0, 99)])
    assert (kinds is not None) == fits


def brute(loads: list[float], one: Bin, most: float, least: float) -> Counter[tuple[float, ...]]:
    """Every choice of loads on one circuit, by their sizes, each once."""
    found = {
        tuple(sorted(choice))
        for number in range(1, min(len(loads), one.sockets) + 1)
        for choice in itertools.combinations(loads, number)
        if least <= sum(choice) <= most and max(choice) <= one.plug_va
    }
    return Counter(found)


@pytest.mark.parametrize("seed", range(12))
def test_fillings_are_all_there_are(seed: int) -> None:
    # property: against every choice, of whole hundreds so that borders are met
    chance = random.Random(seed)
    loads = [100.0 * chance.randint(1, 6) for _ in range(7)]
    one = Bin(2000.0, 0.0, chance.randint(1, 5), chance.choice([400.0, 600.0, float("inf")]))
    kinds = kinds_of(loads, [one, replace(one, limit_va=9.0)])
    assert kinds is not None
    most, least = 100.0 * chance.randint(6, 14), 100.0 * chance.randint(0, 6)
    keys, held, number = fillings(kinds, 0, most, least, one.sockets, Budget(PLENTY))
    found = Counter()  # type: ignore[var-annotated]
    for key, va, count in zip(keys.tolist(), held.tolist(), number.tolist(), strict=True):
        taken = [
            size
            for t, size in enumerate(kinds.sizes)
            for _ in range((key & kinds.field(t)) >> kinds.size_at[t])
        ]
        assert (sum(taken), len(taken)) == (pytest.approx(va), count)
        assert key & 0b11 == 1  # one circuit of its kind, none of the other
        found[tuple(sorted(taken))] += 1
    assert found == brute(loads, one, most, least)


def test_patterns_waste_no_more_than_there_is_to_spare() -> None:
    """By hand: 900 and 600 on two circuits of 1000 leave 500: a circuit holds 500 at least, so 600 or
    900 alone; both are 1500 and too many. Their shares are 0.6 and 0.9.
    """
    one = Bin(1000.0, 0.0, 2)
    kinds = kinds_of([900.0, 600.0], [one, one])
    assert kinds is not None
    found = patterns_below(kinds, 1.0, Budget(PLENTY))
    assert sorted(found.held_va) == [600.0, 900.0]
    assert sorted(found.value) == pytest.approx([0.6, 0.9])
    assert found.bin_kind.tolist() == [0, 0]
    assert len(found) == 2
    with pytest.raises(TooWide):
        patterns_below(kinds, 1.0, Budget(PLENTY), most=1)
    assert len(patterns_below(kinds, 1.0, Budget(PLENTY), most=2)) == 2
    # what a circuit carries already counts to its share; one that is over it takes none
    full = kinds_of([300.0], [Bin(1000.0, 600.0, 2)])
    assert full is not None
    assert patterns_below(full, 1.0, Budget(PLENTY)).value.tolist() == [0.9]
    assert len(patterns_below(full, 0.5, Budget(PLENTY))) == 0
    assert len(joined([])) == 0


def test_the_best_filling_is_found_and_all_that_are_part_of_one() -> None:
    """By hand: 800, 700, 500, 300 on two circuits of 1300: 800 + 300 with 700 + 500 are 1100 and 1200
    (0.923); 800 + 500 with 700 + 300 are 1300 and 1000 (1.0).
    """
    one = Bin(1300.0, 0.0, 2)
    loads = [800.0, 700.0, 500.0, 300.0]
    kinds = kinds_of(loads, [one, one])
    assert kinds is not None
    patterns = patterns_below(kinds, 1.0, Budget(PLENTY))
    room, sockets = [one.room_va(1.0)], usable(kinds, 1.0)
    found = search(kinds, patterns, room, sockets, Budget(PLENTY), every_way=True)
    assert found.value == pytest.approx(1200.0 / 1300.0)
    assert sorted(patterns.held_va[list(found.chosen)]) == [1100.0, 1200.0]
    where = spread(tuple(loads), (one, one), kinds, patterns, found)
    assert where[0] == where[3] != where[1] == where[2]
    ways = sorted(patterns.held_va[found.in_some_way])
    assert ways == [1000.0, 1100.0, 1200.0, 1300.0]
    none = search(kinds, patterns_below(kinds, 0.9, Budget(PLENTY)), room, sockets, Budget(PLENTY))
    assert (none.value, none.chosen) == (None, ())


@pytest.mark.parametrize(("share", "sockets"), [(0.4, 0), (0.5, 3), (0.6, 3)])
def test_a_circuit_over_the_share_has_no_socket(share: float, sockets: int) -> None:
    kinds = kinds_of([100.0], [Bin(1000.0, 500.0, 3)])
    assert kinds is not None
    assert usable(kinds, share) == [sockets]


def best_share(loads: list[float], bins: list[Bin]) -> float | None:
    """The lowest greatest share of all assignments; None where not all fit."""
    best: float | None = None
    for where in itertools.product(range(len(bins)), repeat=len(loads)):
        if any(where.count(b) > one.sockets for b, one in enumerate(bins)):
            continue
        if any(load > bins[b].plug_va for load, b in zip(loads, where, strict=True)):
            continue
        share = greatest_share(loads, bins, where)
        if share <= 1.0 + 1e-9 and (best is None or share < best):
            best = share
    return best


@pytest.mark.parametrize("seed", range(40))
def test_bounds_lie_on_either_side_of_the_best(seed: int) -> None:
    # property: no plan is below the lower bound, the plan made by hand is a plan, and the search
    # finds the best of all
    chance = random.Random(seed)
    loads = [100.0 * chance.randint(1, 9) for _ in range(chance.randint(1, 6))]
    bins = [
        Bin(
            100.0 * chance.randint(6, 16),
            100.0 * chance.randint(0, 4),
            chance.randint(1, 4),
            chance.choice([700.0, float("inf")]),
        )
        for _ in range(chance.randint(1, 3))
    ]
    best = best_share(loads, bins)
    low = least_share(loads, bins)
    made = by_hand(loads, bins)
    found = lowest(tuple(loads), tuple(bins), Budget(PLENTY))
    if best is None:
        assert made is None
        assert found is None
        return
    assert low <= best + 1e-9
    assert found is not None
    assert found.share == pytest.approx(best)
    assert (found.proven, found.bound) == (True, pytest.approx(best))
    if made is not None:
        assert best - 1e-9 <= greatest_share(loads, bins, made) <= 1.0 + 1e-9


@pytest.mark.parametrize(
    ("loads", "bins", "least"),
    [
        # by hand: spread like water: 1200 and the 500 that are there on 2000
        ([50.0] * 24, [Bin(1000.0, 0.0, 20), Bin(1000.0, 500.0, 20)], 0.85),
        # one of two has to stand beside what is there, or both together
        ([600.0, 600.0], [Bin(1000.0, 0.0, 2), Bin(1000.0, 500.0, 2)], 1.1),
        # the third of three of 600 has to stand beside another: 1200 of 1500
        ([600.0] * 3, [Bin(1500.0, 0.0, 3), Bin(1500.0, 0.0, 3)], 0.8),
        # sockets: two of three must be on the one with two
        ([500.0] * 3, [Bin(2000.0, 0.0, 2), Bin(1000.0, 0.0, 1)], 0.5),
        ([], [Bin(1000.0, 0.0, 1)], 0.0),
        ([100.0, 100.0], [Bin(1000.0, 0.0, 1)], float("inf")),
        ([100.0], [Bin(1000.0, 0.0, 0)], float("inf")),
        # more than twice the circuit is only said to be that much
        ([3000.0], [Bin(1000.0, 0.0, 1)], 2.0),
        ([1500.0], [Bin(1000.0, 0.0, 1)], 1.5),
    ],
)
def test_a_share_below_which_no_plan_is(loads: list[float], bins: list[Bin], least: float) -> None:
    assert least_share(loads, bins) == pytest.approx(least)


def test_a_light_alone_fits_a_plug_and_a_circuit() -> None:
    """By hand: 600 VA a plug, 1000 less 300 on the circuit."""
    one = Bin(1000.0, 300.0, 1, 600.0)
    assert _alone(600.0, (one,))
    assert not _alone(600.1, (one,))
    assert _alone(700.0, (replace(one, plug_va=9e9),))
    assert not _alone(700.1, (replace(one, plug_va=9e9),))
    assert not _alone(10.0, (replace(one, sockets=0),))


def test_the_smallest_lights_are_left_out_and_every_choice_is_told() -> None:
    """By hand: 900, 700, 700, 400 on 2000: one out leaves 1800 or more: without 900, 1800 fits; without
    700, 2000 fits and is more; of two alike either may stay.
    """
    found = pack([900.0, 700.0, 700.0, 400.0], [Bin(2000.0, 0.0, 4)])
    assert found.circuit_of.count(None) == 1
    assert found.greatest_share == pytest.approx(1.0)
    assert found.proven
    assert (0, 2, 3) in found.kept or (0, 1, 3) in found.kept
    # nothing fits at all
    none = pack([900.0], [Bin(500.0, 0.0, 1)])
    assert (none.circuit_of, none.greatest_share, none.kept) == ((None,), 0.0, ((),))
    assert pack([], [Bin(500.0, 0.0, 1)]).circuit_of == ()
    assert pack([10.0], []).circuit_of == (None,)


def test_what_is_given_is_looked_at() -> None:
    for name, bad in (
        ("limit_va", Bin(0.0, 0.0, 1)),
        ("already_va", Bin(1.0, -1.0, 1)),
        ("sockets", Bin(1.0, 0.0, -1)),
    ):
        with pytest.raises(OutOfRange) as refusal:
            pack([1.0], [bad])
        assert refusal.value.path.startswith(name)
    with pytest.raises(OutOfRange) as refusal:
        pack([-1.0], [Bin(1.0, 0.0, 1)])
    assert refusal.value.path.startswith("load_va")


def test_kept_lights_by_hand() -> None:
    """By hand: of 500, 400, 300 on 800: one out: 500 + 300 is the most that fits."""
    choices, sure = _kept((500.0, 400.0, 300.0), (Bin(800.0, 0.0, 3),), Budget(PLENTY))
    assert (choices, sure) == ([[0, 2]], True)
    # without circuits nobody is kept, and that is sure
    assert _kept((500.0, 400.0), (), Budget(PLENTY)) == ([[]], True)
    # found by halving: choices in the order of what they leave out
    tries = [(2,), (1,), (0,)]
    assert _near((500.0, 400.0, 300.0), (Bin(800.0, 0.0, 3),), tries, [9]) == [0, 2]
    assert _near((500.0, 400.0, 300.0), (Bin(100.0, 0.0, 3),), tries, [9]) == [9]


@pytest.mark.parametrize(
    ("loads", "bins", "most", "more", "circuit"),
    [
        # by hand: 600 + 600 on 1000 of one circuit, the other is full
        ([600.0, 600.0], [Bin(1000.0, 0.0, 2), Bin(500.0, 450.0, 2)], 900.0, 200.0, 0),
        # the smaller of two rises: 600 on 500 beside 600 on 1000
        ([600.0, 600.0], [Bin(1000.0, 0.0, 2), Bin(500.0, 0.0, 2)], 900.0, 100.0, 1),
        # no more than is allowed
        ([600.0, 600.0], [Bin(1000.0, 0.0, 2)], 100.0, None, None),
        # no sockets, no rise
        ([600.0, 600.0], [Bin(1000.0, 0.0, 1)], 900.0, None, None),
        # a circuit over its limit before any light
        ([100.0], [Bin(1000.0, 1200.0, 1)], 900.0, 300.0, 0),
    ],
)
def test_the_least_rise_of_one_circuit(
    loads: list[float], bins: list[Bin], most: float, more: float | None, circuit: int | None
) -> None:
    found = least_overload_va(loads, bins, most)
    if more is None:
        assert found is None
        return
    assert found is not None
    assert (found.more_va, found.circuit) == (pytest.approx(more, abs=1e-3), circuit)
    held = np.array([one.already_va for one in bins])
    np.add.at(held, list(found.circuit_of), loads)
    for b, one in enumerate(bins):
        assert held[b] <= one.limit_va + (found.more_va if b == circuit else 0.0) + 1e-6
