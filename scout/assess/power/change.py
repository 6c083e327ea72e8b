"""The lights that find no outlet: why, and where the least change would let them in.

Least means: the fewest lights touched, and of those the fewest volt-amperes taken off the
    mains. Where one light is left out,
a smaller one in its place takes less off the mains than a battery does, so that is said first.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from scout.assess.answers import Unplaced
from scout.assess.power.supply import Load, Source, Supplies
from scout.calc.power.packing import Bin, Rise, least_overload_va
from scout.values import Figure, Name, said

TOLERANCE = 1e-9


def left_out(
    given: Supplies, outlet_of: Mapping[str, int], missing: Sequence[Load]
) -> tuple[Unplaced, ...]:
    """Every light left out with its shortfall, and what would make room for it."""
    numbers = sorted({socketed.source for socketed in given.outlets})
    barred = [
        load
        for load in missing
        if all((load.va or 0.0) > given.sources[n].plug_va * (1 + TOLERANCE) for n in numbers)
    ]
    rest = [load for load in missing if load not in barred]
    rows = _too_large_for_a_plug(given, numbers, barred)
    if rest:
        rows += _too_many(given, outlet_of, numbers, rest, {load.id for load in barred})
    return rows


def _too_large_for_a_plug(
    given: Supplies, numbers: Sequence[int], barred: Sequence[Load]
) -> tuple[Unplaced, ...]:
    source = max((given.sources[n] for n in numbers), key=lambda source: source.plug_va)
    volts, most = source.volts or 1.0, source.plug_a or 0.0
    rows = []
    for load in barred:
        draws_a = (load.va or 0.0) / volts
        because = said(
            "power.because.plug",
            draws=Figure(draws_a, "A"),
            plug=Name(source.plug or ""),
            most=Figure(most, "A"),
        )
        rows.append(
            Unplaced(
                load.id,
                draws_a - most,
                because,
                "plug",
                source.id,
                load.id,
                source.plug_va,
                draws_a=draws_a,
                plug_a=most,
                plug=source.plug,
            )
        )
    return tuple(rows)


def _too_many(
    given: Supplies,
    outlet_of: Mapping[str, int],
    numbers: Sequence[int],
    missing: Sequence[Load],
    barred: set[str],
) -> tuple[Unplaced, ...]:
    held = {n: given.sources[n].other_w or 0.0 for n in numbers}
    sockets = {n: sum(s.sockets for s in given.outlets if s.source == n) for n in numbers}
    va = {load.id: load.va or 0.0 for load in given.loads}
    for light, o in outlet_of.items():
        held[given.outlets[o].source] += va[light]
        sockets[given.outlets[o].source] -= 1
    room_va = {n: given.sources[n].limit_va - held[n] for n in numbers}
    roomy = [
        n
        for n in numbers
        if given.sources[n].recorded
        and all(room_va[n] >= va[load.id] * (1 - TOLERANCE) for load in missing)
    ]
    spare = given.sources[roomy[0]].id if roomy else None
    if not any(sockets.values()):
        total = sum(s.sockets for s in given.outlets)
        because = said("power.because.sockets", sockets=total)
        return tuple(
            Unplaced(load.id, None, because, "sockets", spare_circuit=spare) for load in missing
        )
    if len(missing) == 1:
        everyone = [load for load in given.loads if load.va is not None and load.id not in barred]
        rise = _rise(given, numbers, everyone, va[missing[0].id])
        if rise is not None:
            return (_one(given.sources[numbers[rise.circuit]], everyone, missing[0], rise),)
    free = [n for n in numbers if sockets[n] > 0]
    best = max(free, key=lambda n: room_va[n])
    rows = []
    for load in missing:
        short_va = va[load.id] - room_va[best]
        if short_va > 0:
            rows.append(_short(given.sources[best], load, short_va))
        else:
            because = said("power.because.no_free_socket")
            rows.append(Unplaced(load.id, None, because, "sockets", spare_circuit=spare))
    return tuple(rows)


def _rise(
    given: Supplies, numbers: Sequence[int], everyone: Sequence[Load], most_va: float
) -> Rise | None:
    bins = [
        Bin(
            given.sources[n].limit_va,
            given.sources[n].other_w or 0.0,
            sum(s.sockets for s in given.outlets if s.source == n),
            given.sources[n].plug_va,
        )
        for n in numbers
    ]
    return least_overload_va(
        [load.va or 0.0 for load in everyone], bins, most_va * (1 + 1e-6) + 1e-6
    )


def _one(source: Source, everyone: Sequence[Load], light: Load, rise: Rise) -> Unplaced:
    """One light too many: what its circuit lacks with all the others placed as best for it, and
    which smaller light would mend that.
    """
    short = rise.more_va
    there = [
        load
        for load, circuit in zip(everyone, rise.circuit_of, strict=True)
        if circuit == rise.circuit and (load.va or 0.0) > short
    ]
    swap = light if light in there else max(there, key=lambda load: load.va or 0.0, default=None)
    if swap is None:
        return _short(source, light, short)
    return _short(source, light, short, swap.id, (swap.va or 0.0) - short)


def _short(
    source: Source,
    load: Load,
    short_va: float,
    instead: str | None = None,
    fits_va: float | None = None,
) -> Unplaced:
    volts = source.volts or 1.0
    because = said(
        "power.because.current",
        needs=Figure((load.va or 0.0) / volts, "A"),
        short=Figure(short_va / volts, "A"),
        circuit=Name(source.id),
    )
    return Unplaced(
        load.id,
        short_va / volts,
        because,
        "current",
        source.id,
        instead,
        fits_va,
        draws_a=(load.va or 0.0) / volts,
    )
