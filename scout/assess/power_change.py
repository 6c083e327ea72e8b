"""The lights that find no outlet: why, and the least change that would let all of them in.

Least means: the fewest lights touched, and of those the fewest volt-amperes taken off the mains. Where one light is left out,
a smaller one in its place takes less off the mains than a battery does, so that is said first.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from scout.assess.answers import Unplaced
from scout.assess.power_supply import Load, Source, Supplies, listed
from scout.calc.power.packing import Bin, Rise, least_overload_va

TOLERANCE = 1e-9


def left_out(found: Supplies, outlet_of: Mapping[str, int], missing: Sequence[Load]) -> tuple[tuple[Unplaced, ...], str | None]:
    """Every light left out with its shortfall, and the least change that would let all of them in."""
    if not missing:
        return (), None
    numbers = [n for n in range(len(found.sources)) if any(socketed.source == n for socketed in found.outlets)]
    held = {n: found.sources[n].other_w or 0.0 for n in numbers}
    sockets = {n: sum(s.sockets for s in found.outlets if s.source == n) for n in numbers}
    va = {load.light.id: load.va or 0.0 for load in found.loads}
    for light, o in outlet_of.items():
        held[found.outlets[o].source] += va[light]
        sockets[found.outlets[o].source] -= 1
    names = [load.light.id for load in missing]
    battery = f"put {listed(names)} on {'a battery' if len(names) == 1 else 'batteries'}"
    if not any(sockets.values()):
        total = sum(s.sockets for s in found.outlets)
        spare = [n for n in numbers if all(found.sources[n].limit_va - held[n] >= va[name] * (1 - TOLERANCE) for name in names)]
        splitter = f", or on a fused splitter on {_named(found.sources[spare[0]])}, which has current to spare" if spare else ""
        return tuple(Unplaced(name, None, f"because all {total} sockets are taken") for name in names), f"To fit all: {battery}{splitter}."
    if len(missing) == 1:
        rise = _rise(found, numbers, va[names[0]])
        if rise is not None:
            return _one(found, found.sources[numbers[rise.circuit]], names[0], va[names[0]], rise, battery)
    rows = tuple(_row(found, load, va[load.light.id], held, sockets) for load in missing)
    fewest = "" if len(names) == 1 else " (no fewer lights, and no smaller ones, would do)"
    splitter = ", or move it to another circuit with a fused splitter" if len(names) == 1 and rows[0].short_a is None else ""
    return rows, f"To fit all: {battery}{splitter}{fewest}."


def _rise(found: Supplies, numbers: Sequence[int], most_va: float) -> Rise | None:
    bins = [Bin(found.sources[n].limit_va, found.sources[n].other_w or 0.0, sum(s.sockets for s in found.outlets if s.source == n)) for n in numbers]
    return least_overload_va([load.va for load in found.loads if load.va is not None], bins, most_va * (1 + 1e-6) + 1e-6)


def _one(found: Supplies, source: Source, light: str, need: float, rise: Rise, battery: str) -> tuple[tuple[Unplaced, ...], str]:
    """One light too many: what its circuit lacks with all the others placed as best for it, and what would mend that."""
    volts, short = source.volts or 1.0, rise.more_va
    row = Unplaced(light, short / volts, _over(source, need, short))
    everyone = zip((load for load in found.loads if load.va is not None), rise.circuit_of, strict=True)
    there = [load for load, circuit in everyone if circuit == rise.circuit and (load.va or 0.0) > short]
    swap = next((load for load in there if load.light.id == light), max(there, key=lambda load: load.va or 0.0, default=None))
    swapped = f"swap {swap.light.id} for one of {(swap.va or 0.0) - short:.0f} VA or less, or " if swap is not None else ""
    return (row,), f"To fit all: {swapped}free {short:.0f} W on {_named(source)}, or {battery}."


def _row(found: Supplies, load: Load, need: float, held: Mapping[int, float], sockets: Mapping[int, int]) -> Unplaced:
    free = [n for n, count in sockets.items() if count > 0]
    best = max(free, key=lambda n: found.sources[n].limit_va - held[n])
    source = found.sources[best]
    short, volts = need - (source.limit_va - held[best]), source.volts or 1.0
    if short <= 0:
        return Unplaced(load.light.id, None, "because the circuits with current to spare have no free socket")
    return Unplaced(load.light.id, short / volts, _over(source, need, short))


def _over(source: Source, need: float, short: float) -> str:
    volts = source.volts or 1.0
    return f"because it needs {need / volts:.1f} A and {short / volts:.2f} A of that are over what {_named(source)} can still carry"


def _named(source: Source) -> str:
    return f"circuit {source.id}" if source.recorded else "the circuit that is not recorded"
