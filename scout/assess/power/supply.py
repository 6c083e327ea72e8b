"""What a sheet says of its circuits, outlets and lights, made ready for the plugging plan, with
what is assumed of each.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from scout.assess.answers import unmeasured
from scout.assess.setup import country_of_place
from scout.calc.countries import CountryGuess
from scout.calc.power.current import (
    CONTINUOUS_SHARE,
    POWER_FACTOR_ELECTRONIC,
    POWER_FACTOR_FILAMENT,
    limit_a,
)
from scout.calc.power.plugs import most_through_one_plug_a, plugs_at, plugs_of
from scout.records.kit import Charger, Kit, Light
from scout.records.sheet import Circuit, Outlet, RoomRecord, SheetLocation
from scout.values import Figure, Many, Name, Said, names, said

UNRECORDED = "not recorded"
# stands for a breaker nobody has read: the plan may put lights there, and then says that it cannot
# judge
BOUNDLESS_VA = 1e9


@dataclass(frozen=True)
class Source:
    """A circuit as the plan uses it. `missing`: the facts without which its load cannot be judged."""

    id: str
    volts: float | None
    limit_a: float | None
    other_w: float | None
    verified: bool | None
    missing: tuple[str, ...] = ()
    recorded: bool = (
        True  # False for the one circuit that all outlets without one are taken to share
    )
    plug_a: float | None = (
        # the most that one everyday plug of the country may draw here; None when the country or its
        # plugs are not known
        None
    )
    plug: str | None = None  # its name

    @property
    def unknown(self) -> Said | None:
        """Why its load cannot be judged."""
        return unmeasured(*self.missing) if self.missing else None

    @property
    def plug_va(self) -> float:
        """The most one light may take through one plug; boundless when that is not known."""
        return (
            BOUNDLESS_VA if self.plug_a is None or self.volts is None else self.plug_a * self.volts
        )

    @property
    def limit_va(self) -> float:
        """The most it may carry, or a boundless stand-in when the breaker or the voltage is not
        recorded.
        """
        return (
            BOUNDLESS_VA
            if self.limit_a is None or self.volts is None
            else self.limit_a * self.volts
        )


@dataclass(frozen=True)
class Socketed:
    """An outlet with its circuit by number in the list of sources."""

    outlet: Outlet
    source: int
    sockets: int


@dataclass(frozen=True)
class Load:
    """A light or a charger on the mains and what it takes; `va` None: not recorded."""

    id: str
    va: float | None
    is_light: bool = True

    @property
    def path(self) -> str:
        """The fact of the sheet that says what it takes."""
        return f"kit.{'lights' if self.is_light else 'chargers'}.{self.id}.watts"


@dataclass(frozen=True)
class Supplies:
    """All of it, and what is assumed."""

    sources: tuple[Source, ...]
    outlets: tuple[Socketed, ...]
    loads: tuple[Load, ...]
    share: float
    assumed: tuple[Said, ...]
    country: CountryGuess
    on_battery: tuple[str, ...] = ()


def supplies(room: RoomRecord, kit: Kit | None, location: SheetLocation | None = None) -> Supplies:
    """The room's circuits and outlets, the kit's lights and chargers, and what the country's plugs
    may carry.
    """
    share = (
        kit.continuous_share
        if kit is not None and kit.continuous_share is not None
        else CONTINUOUS_SHARE
    )
    assumed = []
    if kit is None or kit.continuous_share is None:
        assumed.append(said("power.share", share=Figure(CONTINUOUS_SHARE * 100, "%")))
    country = country_of_place(location)
    sources = [_source(circuit, share, country) for circuit in room.circuits or ()]
    outlets, about_outlets = _outlets(room.outlets or (), sources)
    lights = (kit.lights if kit is not None else None) or ()
    on_battery = tuple(light.id for light in lights if light.supply == "battery")
    loads, about_loads = _loads(
        [
            *(light for light in lights if light.supply != "battery"),
            *((kit.chargers if kit is not None else None) or ()),
        ]
    )
    if on_battery:
        about_loads.append(said("power.on_battery", lights=names(on_battery)))
    if any(light.supply is None for light in lights):
        about_loads.append(said("power.on_mains"))
    assumed += [
        *_about_circuits(sources, outlets),
        *about_outlets,
        *about_loads,
        *_about_country(country, sources, outlets),
    ]
    return Supplies(
        tuple(sources), tuple(outlets), tuple(loads), share, tuple(assumed), country, on_battery
    )


def _source(circuit: Circuit, share: float, country: CountryGuess) -> Source:
    missing = tuple(
        f"circuits.{circuit.id}.{fact}"
        for fact in ("volts", "breaker_a", "other_load_w")
        if getattr(circuit, fact) is None
    )
    known: list[tuple[float, str]] = []
    if circuit.volts is not None:
        for code in country.codes:
            most = most_through_one_plug_a(code, circuit.volts, circuit.breaker_a)
            if most is not None:
                known.append(
                    (most, max(plugs_at(code, circuit.volts), key=lambda plug: plug.plug_a).name)
                )
    plug_a, plug = max(known, default=(None, None), key=lambda pair: pair[0] or 0.0)
    return Source(
        circuit.id,
        circuit.volts,
        limit_a(circuit.breaker_a, share) if circuit.breaker_a is not None else None,
        circuit.other_load_w,
        circuit.verified,
        missing,
        plug_a=plug_a,
        plug=plug,
    )


def _outlets(outlets: Sequence[Outlet], sources: list[Source]) -> tuple[list[Socketed], list[Said]]:
    """The outlets with their circuits; those without one are put on a circuit of their own, added
    to `sources`.
    """
    assumed = []
    number: dict[str | None, int] = {source.id: i for i, source in enumerate(sources)}
    loose = [outlet.id for outlet in outlets if outlet.circuit is None]
    if loose:
        number[None] = len(sources)
        facts = tuple(f"outlets.{outlet}.circuit" for outlet in loose)
        sources.append(Source(UNRECORDED, None, None, None, False, facts, recorded=False))
        assumed.append(said("power.one_circuit", outlets=names(loose)))
    uncounted = [outlet.id for outlet in outlets if outlet.sockets is None]
    if uncounted:
        assumed.append(said("power.one_socket", outlets=names(uncounted)))
    return [
        Socketed(outlet, number[outlet.circuit], outlet.sockets or 1) for outlet in outlets
    ], assumed


def _loads(lights: Sequence[Light | Charger]) -> tuple[list[Load], list[Said]]:
    loads, guessed = [], dict[float, list[str]]()
    for light in lights:
        is_light = isinstance(light, Light)
        hot = isinstance(light, Light) and light.spectrum == "tungsten"
        factor = light.power_factor
        if factor is None:
            factor = POWER_FACTOR_FILAMENT if hot else POWER_FACTOR_ELECTRONIC
            if light.watts:
                guessed.setdefault(factor, []).append(light.id)
        va = None if light.watts is None else light.watts / factor
        if va is not None and va >= BOUNDLESS_VA:  # more than any light draws: a slip of the pen
            va = None
        loads.append(Load(light.id, va, is_light))
    assumed = []
    if POWER_FACTOR_FILAMENT in guessed:
        assumed.append(said("power.factor_filament", lights=names(guessed[POWER_FACTOR_FILAMENT])))
    if POWER_FACTOR_ELECTRONIC in guessed:
        assumed.append(
            said(
                "power.factor_electronic",
                lights=names(guessed[POWER_FACTOR_ELECTRONIC]),
                factor=Figure(POWER_FACTOR_ELECTRONIC),
            )
        )
    return loads, assumed


def _about_circuits(sources: list[Source], outlets: list[Socketed]) -> list[Said]:
    assumed = []
    if any(source.other_w for source in sources):
        assumed.append(said("power.other_load"))
    if len({source.volts for source in sources if source.volts is not None}) > 1:
        assumed.append(said("power.two_voltages"))
    if outlets:
        assumed.append(said("power.low_mains"))
    return assumed


def _about_country(
    country: CountryGuess, sources: Sequence[Source], outlets: Sequence[Socketed]
) -> list[Said]:
    """What the country's plugs carry, and what is usual there where volts or breaker are not
    recorded: said, never taken.
    """
    used = [sources[n] for n in sorted({socketed.source for socketed in outlets})]
    if not country.codes or not used:
        return []
    codes = names(country.codes, "or")
    assumed = []
    carried = {
        (source.volts or 0.0, source.plug_a, source.plug or "")
        for source in used
        if source.plug_a is not None
    }
    for volts, amperes, plug in sorted(carried):
        assumed.append(
            said(
                "power.country_plug",
                country=codes,
                basis=country.basis,
                amperes=Figure(amperes, "A"),
                volts=Figure(volts, "V"),
                plug=Name(plug),
            )
        )
    bare = [source.id for source in used if source.plug_a is None and source.volts is not None]
    if bare:
        assumed.append(said("power.no_plug", country=codes, circuits=names(bare)))
    volts_usual = {plug.nominal_v for code in country.codes for plug in plugs_of(code)}
    sizes_usual = dict.fromkeys(
        size for code in country.codes for plug in plugs_of(code) for size in plug.breakers_a
    )
    no_volts = [source.id for source in used if source.recorded and source.volts is None]
    no_breaker = [source.id for source in used if source.recorded and source.limit_a is None]
    for circuits, usual in (
        (no_volts, Many(tuple(Figure(volts, "V") for volts in sorted(volts_usual)), "or")),
        (no_breaker, Many(tuple(Figure(size, "A") for size in sizes_usual), "or")),
    ):
        if circuits and len(usual):
            assumed.append(
                said("power.usual_there", country=codes, usual=usual, circuits=names(circuits))
            )
    return assumed
