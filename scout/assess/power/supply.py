"""What a sheet says of its circuits, outlets and lights, made ready for the plugging plan, with
what is assumed of each.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from scout.calc.countries import CountryGuess, country_of
from scout.calc.power.current import (
    CONTINUOUS_SHARE,
    POWER_FACTOR_ELECTRONIC,
    POWER_FACTOR_FILAMENT,
    limit_a,
)
from scout.calc.power.plugs import most_through_one_plug_a, plugs_at, plugs_of
from scout.records.kit import Charger, Kit, Light
from scout.records.sheet import Circuit, Outlet, RoomRecord, SheetLocation

UNRECORDED = "not recorded"
# stands for a breaker nobody has read: the plan may put lights there, and then says that it cannot
# judge
BOUNDLESS_VA = 1e9


@dataclass(frozen=True)
class Source:
    """A circuit as the plan uses it. `unknown` says why its load cannot be judged; `None` when it
    can.
    """

    id: str
    volts: float | None
    limit_a: float | None
    other_w: float | None
    verified: bool | None
    unknown: str | None
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
    """A light or a charger on the mains and what it takes: volt-amperes, or why that is not known."""

    id: str
    va: float | None
    unknown: str | None
    is_light: bool = True


@dataclass(frozen=True)
class Supplies:
    """All of it, and the sentences for `assumed`."""

    sources: tuple[Source, ...]
    outlets: tuple[Socketed, ...]
    loads: tuple[Load, ...]
    share: float
    assumed: tuple[str, ...]
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
    words = []
    if kit is None or kit.continuous_share is None:
        words.append(
            f"A circuit is loaded to {CONTINUOUS_SHARE:.0%} of its breaker at most, as for a load of hours "
            "(NEC 210.20(A); elsewhere common practice)."
        )
    country = (
        CountryGuess((), "")
        if location is None
        else country_of(location.latitude_deg, location.longitude_deg, location.timezone)
    )
    sources = [_source(circuit, share, country) for circuit in room.circuits or ()]
    outlets, outlet_words = _outlets(room.outlets or (), sources)
    lights = (kit.lights if kit is not None else None) or ()
    on_battery = tuple(light.id for light in lights if light.supply == "battery")
    loads, load_words = _loads(
        [
            *(light for light in lights if light.supply != "battery"),
            *((kit.chargers if kit is not None else None) or ()),
        ]
    )
    if on_battery:
        load_words.append(
            f"{listed(on_battery)} {'runs' if len(on_battery) == 1 else 'run'} on a battery and {'draws' if len(on_battery) == 1 else 'draw'} "
            "nothing from the mains; bring it charged, and a second one."
        )
    unsaid = [light.id for light in lights if light.supply is None]
    if unsaid:
        load_words.append(
            "Lights not marked as running on a battery are taken to run on the mains."
        )
    words += [
        *_circuit_words(sources, outlets),
        *outlet_words,
        *load_words,
        *_country_words(country, sources, outlets),
    ]
    return Supplies(
        tuple(sources), tuple(outlets), tuple(loads), share, tuple(words), country, on_battery
    )


def _source(circuit: Circuit, share: float, country: CountryGuess) -> Source:
    needed = (
        (circuit.volts, "volts"),
        (circuit.breaker_a, "breaker_a"),
        (circuit.other_load_w, "other_load_w"),
    )
    missing = [name for value, name in needed if value is None]
    unknown = None
    if missing:
        unknown = f"because {listed(missing)} of circuit {circuit.id} {'is' if len(missing) == 1 else 'are'} not recorded"
    limit = limit_a(circuit.breaker_a, share) if circuit.breaker_a is not None else None
    known: list[tuple[float, str]] = []
    if circuit.volts is not None:
        for code in country.codes:
            most = most_through_one_plug_a(code, circuit.volts, circuit.breaker_a)
            if most is not None:
                known.append(
                    (most, max(plugs_at(code, circuit.volts), key=lambda plug: plug.plug_a).name)
                )
    plug_a, plug = max(known, default=(None, None), key=lambda one: one[0] or 0.0)
    return Source(
        circuit.id,
        circuit.volts,
        limit,
        circuit.other_load_w,
        circuit.verified,
        unknown,
        plug_a=plug_a,
        plug=plug,
    )


def _outlets(outlets: Sequence[Outlet], sources: list[Source]) -> tuple[list[Socketed], list[str]]:
    """The outlets with their circuits; those without one are put on a circuit of their own, added
    to `sources`.
    """
    words = []
    number: dict[str | None, int] = {source.id: i for i, source in enumerate(sources)}
    loose = [outlet.id for outlet in outlets if outlet.circuit is None]
    if loose:
        number[None] = len(sources)
        are = "has no circuit recorded" if len(loose) == 1 else "have no circuit recorded"
        sources.append(
            Source(
                UNRECORDED,
                None,
                None,
                None,
                False,
                f"because {listed(loose)} {are}: find the breaker",
                recorded=False,
            )
        )
        words.append(
            f"{listed(loose)} {are}; all such outlets of the room are taken to share one circuit, not verified."
        )
    unsure = [outlet.id for outlet in outlets if outlet.sockets is None]
    if unsure:
        words.append(f"The sockets of {listed(unsure)} are not counted; one each is taken.")
    return [
        Socketed(outlet, number[outlet.circuit], outlet.sockets or 1) for outlet in outlets
    ], words


def _loads(lights: Sequence[Light | Charger]) -> tuple[list[Load], list[str]]:
    found, words = [], []
    filament: list[str] = []
    electronic: list[str] = []
    for light in lights:
        is_light = isinstance(light, Light)
        named = f"{'light' if is_light else 'charger'} {light.id}"
        if light.watts is None:
            found.append(
                Load(light.id, None, f"because the watts of {named} are not recorded", is_light)
            )
            continue
        hot = isinstance(light, Light) and light.spectrum == "tungsten"
        factor = light.power_factor
        if factor is None and light.watts > 0:
            (filament if hot else electronic).append(light.id)
        if factor is None:
            factor = POWER_FACTOR_FILAMENT if hot else POWER_FACTOR_ELECTRONIC
        va = light.watts / factor
        if va >= BOUNDLESS_VA:
            why = f"because {light.watts:g} W at a power factor of {factor:g} is more than any light draws: check {named}"
            found.append(Load(light.id, None, why, is_light))
            continue
        found.append(Load(light.id, va, None, is_light))
    if filament:
        words.append(f"Power factor of {listed(filament)} not given: 1.0, as for a filament.")
    if electronic:
        words.append(
            f"Power factor of {listed(electronic)} not given: {POWER_FACTOR_ELECTRONIC:g}, as for an electronic supply without correction "
            "(common practice; with correction 0.9, and the current is a third less)."
        )
    return found, words


def _circuit_words(sources: list[Source], outlets: list[Socketed]) -> list[str]:
    words = []
    if any(source.other_w for source in sources):
        words.append(
            "Other loads on a circuit are taken at power factor 1 and running all the time."
        )
    unverified = [source for source in sources if not source.verified and source.recorded]
    named = listed([source.id for source in unverified]) if unverified else ""
    if len(unverified) == 1:
        words.append(
            f"Circuit {named} is not verified: which outlets hang on it is a guess. If other outlets share it, their load counts too."
        )
    elif unverified:
        words.append(
            f"Circuits {named} are not verified: which outlets hang on which is a guess. If they are one circuit, one breaker carries it all."
        )
    volts = {source.volts for source in sources if source.volts is not None}
    if len(volts) > 1:
        words.append(
            "Every light is taken to run on whichever voltage its circuit has; check each fixture's plate."
        )
    if outlets:
        words.append(
            "On low mains (10 % down) electronic supplies draw a tenth more than figured; the wiring before the outlet drops volts of its own."
        )
    return words


def _country_words(
    country: CountryGuess, sources: Sequence[Source], outlets: Sequence[Socketed]
) -> list[str]:
    """What the country's plugs carry, and what is usual there where volts or breaker are not
    recorded: said, never taken.
    """
    used = [sources[n] for n in sorted({socketed.source for socketed in outlets})]
    if not country.codes or not used:
        return []
    words = []
    named, one = listed(country.codes), len(country.codes) == 1
    carried = sorted(
        {
            (source.volts or 0.0, source.plug_a, source.plug)
            for source in used
            if source.plug_a is not None
        }
    )
    for volts, amperes, plug in carried:
        if one:
            words.append(
                f"The country is {named} ({country.basis}): one everyday plug there carries {amperes:g} A at most at {volts:g} V ({plug})."
            )
        else:
            words.append(
                f"The country is one of {named} ({country.basis}): everyday plugs there carry up to {amperes:g} A at {volts:g} V ({plug}), which is "
                "taken as the most for one light; a smaller plug carries less: read it."
            )
    bare = [source.id for source in used if source.plug_a is None and source.volts is not None]
    if bare:
        words.append(
            f"No everyday plug of {named} at the volts of {listed(bare)} is in the table: read what the outlet carries."
        )
    missing = [source for source in used if source.recorded and source.volts is None]
    usual = sorted({plug.nominal_v for code in country.codes for plug in plugs_of(code)})
    if missing and usual:
        words.append(
            f"Everyday mains in {named} is {' or '.join(f'{volts:g}' for volts in usual)} V nominal; that is not taken for "
            f"{listed([source.id for source in missing])}: measure it, or read a plate."
        )
    unread = [source.id for source in used if source.recorded and source.limit_a is None]
    sizes = list(
        dict.fromkeys(
            size for code in country.codes for plug in plugs_of(code) for size in plug.breakers_a
        )
    )
    if unread and sizes:
        words.append(
            f"Breakers before everyday outlets in {named} are usually {' or '.join(f'{size:g}' for size in sizes)} A; that is not taken for "
            f"{listed(unread)}: read the breaker."
        )
    return words


def listed(words: Sequence[str]) -> str:
    """Words as a sentence lists them."""
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
