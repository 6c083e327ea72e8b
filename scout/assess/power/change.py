"""The lights that find no outlet: why, and the least change that would let all of them in.

Least means: the fewest lights touched, and of those the fewest volt-amperes taken off the
    mains. Where one light is left out,
a smaller one in its place takes less off the mains than a battery does, so that is said first.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from scout.assess.answers import Unplaced
from scout.assess.power.supply import Load, Source, Supplies, listed
from scout.calc.power.packing import Bin, Rise, least_overload_va

TOLERANCE = 1e-9


def left_out(
    found: Supplies, outlet_of: Mapping[str, int], missing: Sequence[Load], *, proven: bool = True
) -> tuple[tuple[Unplaced, ...], str | None]:
    """Every light left out with its shortfall, and the least change that would let all of them in."""
    if not missing:
        return (), None
    numbers = [
        n
        for n in range(len(found.sources))
        if any(socketed.source == n for socketed in found.outlets)
    ]
    barred = [
        load
        for load in missing
        if all((load.va or 0.0) > found.sources[n].plug_va * (1 + TOLERANCE) for n in numbers)
    ]
    rest = [load for load in missing if load not in barred]
    rows, changes = _too_large_for_a_plug(found, numbers, barred)
    if rest:
        more, change = _too_many(
            found, outlet_of, numbers, rest, {load.id for load in barred}, proven
        )
        rows, changes = (*rows, *more), [*changes, change]
    return rows, f"To fit all: {'; '.join(changes)}."


def _too_large_for_a_plug(
    found: Supplies, numbers: Sequence[int], barred: Sequence[Load]
) -> tuple[tuple[Unplaced, ...], list[str]]:
    rows, changes = [], []
    if barred:
        source = max((found.sources[n] for n in numbers), key=lambda one: one.plug_va)
        volts, most = source.volts or 1.0, source.plug_a or 0.0
        for load in barred:
            amperes = (load.va or 0.0) / volts
            why = f"because it draws {amperes:.1f} A and one plug on {named(source)} may draw {most:g} A ({source.plug})"
            rows.append(Unplaced(load.id, amperes - most, why))
            changes.append(
                f"swap {load.id} for one of {source.plug_va:.0f} VA or less, put it on a battery, "
                "or have a licensed electrician provide an outlet for it"
            )
    return tuple(rows), changes


def _too_many(
    found: Supplies,
    outlet_of: Mapping[str, int],
    numbers: Sequence[int],
    missing: Sequence[Load],
    barred: set[str],
    proven: bool,
) -> tuple[tuple[Unplaced, ...], str]:
    held = {n: found.sources[n].other_w or 0.0 for n in numbers}
    sockets = {n: sum(s.sockets for s in found.outlets if s.source == n) for n in numbers}
    va = {load.id: load.va or 0.0 for load in found.loads}
    for light, o in outlet_of.items():
        held[found.outlets[o].source] += va[light]
        sockets[found.outlets[o].source] -= 1
    names = [load.id for load in missing]
    battery = f"put {listed(names)} on {'a battery' if len(names) == 1 else 'batteries'}"
    if not any(sockets.values()):
        total = sum(s.sockets for s in found.outlets)
        spare = [
            n
            for n in numbers
            if all(
                found.sources[n].limit_va - held[n] >= va[name] * (1 - TOLERANCE) for name in names
            )
        ]
        splitter = (
            f", or on a fused splitter on {named(found.sources[spare[0]])}, which has current to spare"
            if spare
            else ""
        )
        return tuple(
            Unplaced(name, None, f"because all {total} sockets are taken") for name in names
        ), f"{battery}{splitter}"
    if len(missing) == 1:
        everyone = [load for load in found.loads if load.va is not None and load.id not in barred]
        rise = _rise(found, numbers, everyone, va[names[0]])
        if rise is not None:
            return _one(
                found.sources[numbers[rise.circuit]],
                everyone,
                names[0],
                va[names[0]],
                rise,
                battery,
            )
    rows = tuple(_row(found, load, va[load.id], held, sockets) for load in missing)
    how_sure = (
        " (no fewer lights, and no smaller ones, would do)"
        if proven
        else " (smaller ones might do: not all choices were tried)"
    )
    fewest = "" if len(names) == 1 else how_sure
    splitter = (
        ", or move it to another circuit with a fused splitter"
        if len(names) == 1 and rows[0].short_a is None
        else ""
    )
    return rows, f"{battery}{splitter}{fewest}"


def _rise(
    found: Supplies, numbers: Sequence[int], everyone: Sequence[Load], most_va: float
) -> Rise | None:
    bins = [
        Bin(
            found.sources[n].limit_va,
            found.sources[n].other_w or 0.0,
            sum(s.sockets for s in found.outlets if s.source == n),
            found.sources[n].plug_va,
        )
        for n in numbers
    ]
    return least_overload_va(
        [load.va or 0.0 for load in everyone], bins, most_va * (1 + 1e-6) + 1e-6
    )


def _one(
    source: Source, everyone: Sequence[Load], light: str, need: float, rise: Rise, battery: str
) -> tuple[tuple[Unplaced, ...], str]:
    """One light too many: what its circuit lacks with all the others placed as best for it, and
    what would mend that.
    """
    volts, short = source.volts or 1.0, rise.more_va
    row = Unplaced(light, short / volts, _over(source, need, short))
    there = [
        load
        for load, circuit in zip(everyone, rise.circuit_of, strict=True)
        if circuit == rise.circuit and (load.va or 0.0) > short
    ]
    swap = next(
        (load for load in there if load.id == light),
        max(there, key=lambda load: load.va or 0.0, default=None),
    )
    swapped = (
        f"swap {swap.id} for one of {(swap.va or 0.0) - short:.0f} VA or less, or "
        if swap is not None
        else ""
    )
    return (row,), f"{swapped}free {short:.0f} W on {named(source)}, or {battery}"


def _row(
    found: Supplies, load: Load, need: float, held: Mapping[int, float], sockets: Mapping[int, int]
) -> Unplaced:
    free = [n for n, count in sockets.items() if count > 0]
    best = max(free, key=lambda n: found.sources[n].limit_va - held[n])
    source = found.sources[best]
    short, volts = need - (source.limit_va - held[best]), source.volts or 1.0
    if short <= 0:
        return Unplaced(
            load.id, None, "because the circuits with current to spare have no free socket"
        )
    return Unplaced(load.id, short / volts, _over(source, need, short))


def _over(source: Source, need: float, short: float) -> str:
    volts = source.volts or 1.0
    return f"because it needs {need / volts:.1f} A and {short / volts:.2f} A of that are over what {named(source)} can still carry"


def named(source: Source) -> str:
    """A circuit as a sentence names it."""
    return f"circuit {source.id}" if source.recorded else "the circuit that is not recorded"
