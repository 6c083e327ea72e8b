"""What a sheet says of its circuits, outlets and lights, made ready for the plugging plan, with what is assumed of each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from scout.calc.power.current import CONTINUOUS_SHARE, POWER_FACTOR_ELECTRONIC, POWER_FACTOR_FILAMENT, limit_a
from scout.records.sheet import Circuit, Kit, Light, Outlet, RoomRecord

UNRECORDED = "not recorded"
BOUNDLESS_VA = 1e9  # stands for a breaker nobody has read: the plan may put lights there, and then says that it cannot judge


@dataclass(frozen=True)
class Source:
    """A circuit as the plan uses it. `unknown` says why its load cannot be judged; `None` when it can."""

    id: str
    volts: float | None
    limit_a: float | None
    other_w: float | None
    verified: bool | None
    unknown: str | None
    recorded: bool = True  # False for the one circuit that all outlets without one are taken to share

    @property
    def limit_va(self) -> float:
        """The most it may carry, or a boundless stand-in when the breaker or the voltage is not recorded."""
        return BOUNDLESS_VA if self.limit_a is None or self.volts is None else self.limit_a * self.volts


@dataclass(frozen=True)
class Socketed:
    """An outlet with its circuit by number in the list of sources."""

    outlet: Outlet
    source: int
    sockets: int


@dataclass(frozen=True)
class Load:
    """A light and what it takes: volt-amperes, or why that is not known."""

    light: Light
    va: float | None
    unknown: str | None


@dataclass(frozen=True)
class Supplies:
    """All of it, and the sentences for `assumed`."""

    sources: tuple[Source, ...]
    outlets: tuple[Socketed, ...]
    loads: tuple[Load, ...]
    share: float
    assumed: tuple[str, ...]


def supplies(room: RoomRecord, kit: Kit | None) -> Supplies:
    """The room's circuits and outlets and the kit's lights."""
    share = kit.continuous_share if kit is not None and kit.continuous_share is not None else CONTINUOUS_SHARE
    words = []
    if kit is None or kit.continuous_share is None:
        words.append(f"A circuit is loaded to {CONTINUOUS_SHARE:.0%} of its breaker at most, as for a load of hours "
                     "(NEC 210.20(A); elsewhere common practice).")
    sources = [_source(circuit, share) for circuit in room.circuits or ()]
    outlets, outlet_words = _outlets(room.outlets or (), sources)
    loads, load_words = _loads((kit.lights if kit is not None else None) or ())
    words += [*_circuit_words(sources, outlets), *outlet_words, *load_words]
    return Supplies(tuple(sources), tuple(outlets), tuple(loads), share, tuple(words))


def _source(circuit: Circuit, share: float) -> Source:
    needed = ((circuit.volts, "volts"), (circuit.breaker_a, "breaker_a"), (circuit.other_load_w, "other_load_w"))
    missing = [name for value, name in needed if value is None]
    unknown = None
    if missing:
        unknown = f"because {listed(missing)} of circuit {circuit.id} {'is' if len(missing) == 1 else 'are'} not recorded"
    limit = limit_a(circuit.breaker_a, share) if circuit.breaker_a is not None else None
    return Source(circuit.id, circuit.volts, limit, circuit.other_load_w, circuit.verified, unknown)


def _outlets(outlets: Sequence[Outlet], sources: list[Source]) -> tuple[list[Socketed], list[str]]:
    """The outlets with their circuits; those without one are put on a circuit of their own, added to `sources`."""
    words = []
    number: dict[str | None, int] = {source.id: i for i, source in enumerate(sources)}
    loose = [outlet.id for outlet in outlets if outlet.circuit is None]
    if loose:
        number[None] = len(sources)
        are = "has no circuit recorded" if len(loose) == 1 else "have no circuit recorded"
        sources.append(Source(UNRECORDED, None, None, None, False, f"because {listed(loose)} {are}: find the breaker", recorded=False))
        words.append(f"{listed(loose)} {are}; all such outlets of the room are taken to share one circuit, not verified.")
    unsure = [outlet.id for outlet in outlets if outlet.sockets is None]
    if unsure:
        words.append(f"The sockets of {listed(unsure)} are not counted; one each is taken.")
    return [Socketed(outlet, number[outlet.circuit], outlet.sockets or 1) for outlet in outlets], words


def _loads(lights: Sequence[Light]) -> tuple[list[Load], list[str]]:
    found, words = [], []
    filament: list[str] = []
    electronic: list[str] = []
    for light in lights:
        if light.watts is None:
            found.append(Load(light, None, f"because the watts of light {light.id} are not recorded"))
            continue
        factor = light.power_factor
        if factor is None and light.watts > 0:
            (filament if light.spectrum == "tungsten" else electronic).append(light.id)
        if factor is None:
            factor = POWER_FACTOR_FILAMENT if light.spectrum == "tungsten" else POWER_FACTOR_ELECTRONIC
        va = light.watts / factor
        if va >= BOUNDLESS_VA:
            found.append(Load(light, None, f"because {light.watts:g} W at a power factor of {factor:g} is more than any light draws: check light {light.id}"))
            continue
        found.append(Load(light, va, None))
    if filament:
        words.append(f"Power factor of {listed(filament)} not given: 1.0, as for a filament.")
    if electronic:
        words.append(f"Power factor of {listed(electronic)} not given: {POWER_FACTOR_ELECTRONIC:g}, as for an electronic supply without correction "
                     "(common practice; with correction 0.9, and the current is a third less).")
    return found, words


def _circuit_words(sources: list[Source], outlets: list[Socketed]) -> list[str]:
    words = []
    if any(source.other_w for source in sources):
        words.append("Other loads on a circuit are taken at power factor 1 and running all the time.")
    unverified = [source for source in sources if not source.verified and source.recorded]
    named = listed([source.id for source in unverified]) if unverified else ""
    if len(unverified) == 1:
        words.append(f"Circuit {named} is not verified: which outlets hang on it is a guess. If other outlets share it, their load counts too.")
    elif unverified:
        words.append(f"Circuits {named} are not verified: which outlets hang on which is a guess. If they are one circuit, one breaker carries it all.")
    volts = {source.volts for source in sources if source.volts is not None}
    if len(volts) > 1:
        words.append("Every light is taken to run on whichever voltage its circuit has; check each fixture's plate.")
    if outlets:
        words.append("On low mains (10 % down) electronic supplies draw a tenth more than figured; the wiring before the outlet drops volts of its own.")
    return words


def listed(words: Sequence[str]) -> str:
    """Words as a sentence lists them."""
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
