"""What one everyday plug may carry, by country: the breaker of a circuit may be far larger than the
plugs that hang on it.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from scout.calc.geometry import require
from scout.calc.published import rows

SAME_VOLTS = 0.12  # a mains within 12 % of a nominal voltage is that one


@dataclass(frozen=True)
class Plug:
    """A plug and socket of a country's everyday mains."""

    country: str
    name: str
    nominal_v: float
    plug_a: float
    breakers_a: tuple[float, ...] = ()  # usually found before it, the commonest first
    single_share: float | None = None  # the part of the breaker that one plugged-in load may take


@cache
def plugs() -> tuple[Plug, ...]:
    """Every plug of calc/tables/plugs.csv; a country may have several, the everyday one first."""
    return tuple(
        Plug(
            row["country"],
            row["plug"],
            float(row["nominal_v"]),
            float(row["plug_a"]),
            tuple(float(a) for a in row["breakers_a"].split()),
            float(row["single_share"]) if row["single_share"] else None,
        )
        for row in rows("plugs.csv")
    )


def plugs_of(country: str) -> tuple[Plug, ...]:
    """The plugs of a country by its two-letter code (ISO 3166); empty when the table has none."""
    return tuple(plug for plug in plugs() if plug.country == country.upper())


def plugs_at(country: str, volts: float) -> tuple[Plug, ...]:
    """The country's plugs for a voltage within 12 % of their nominal one; the nearest nominal
    voltage where a country has two.
    """
    require("volts", volts, above=0)
    near = [plug for plug in plugs_of(country) if abs(plug.nominal_v / volts - 1.0) <= SAME_VOLTS]
    nearest = min((abs(plug.nominal_v - volts) for plug in near), default=0.0)
    return tuple(plug for plug in near if abs(plug.nominal_v - volts) <= nearest + 1e-9)


def most_through_one_plug_a(country: str, volts: float, breaker_a: float | None) -> float | None:
    """The most one plugged-in load may draw there [A]: the largest of the everyday plugs, and the
    part of the breaker allowed to one load.

    None when the table has no plug of that country at that voltage. Source: calc/tables/plugs.csv;
    NEC 210.23(A) for the breaker's part.
    """
    known = plugs_at(country, volts)
    if not known:
        return None
    most = max(plug.plug_a for plug in known)
    share = known[0].single_share
    return most if share is None or breaker_a is None else min(most, share * breaker_a)


def plug_range_a(volts: float) -> tuple[float, float] | None:
    """(smallest, largest) rating of an everyday plug within 12 % of that voltage, or None: for a
    place whose country is not known.
    """
    require("volts", volts, above=0)
    near = [plug.plug_a for plug in plugs() if abs(plug.nominal_v / volts - 1.0) <= SAME_VOLTS]
    return (min(near), max(near)) if near else None
