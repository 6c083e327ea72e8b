"""The country of a place, offline: from the zone its coordinates lie in, or from its clocks alone,
by the time zone database's own tables.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from scout.calc.timezones import zone_at
from scout.values import Said, said


@dataclass(frozen=True)
class CountryGuess:
    """Codes (ISO 3166) of the countries a place may lie in: none when not known, several when they
    share its zone; and what that rests on.
    """

    codes: tuple[str, ...]
    basis: Said


@cache
def _zones(table: str) -> dict[str, tuple[str, ...]]:
    """Country codes by zone, of one table of the time zone database."""
    text = (files("tzdata") / "zoneinfo" / table).read_text(encoding="utf-8")
    lines = [line.split("\t") for line in text.splitlines() if line and not line.startswith("#")]
    return {line[2]: tuple(line[0].split(",")) for line in lines if len(line) > 2}


def country_of(
    latitude_deg: float | None, longitude_deg: float | None, timezone: str | None
) -> CountryGuess:
    """The country of a place.

    Returns: one code, several, or none, and what they rest on; coordinates say more than
        clocks, because a zone may serve several countries
    Raises:  OutOfRange for coordinates that are none
    Source:  zone.tab and zone1970.tab of the time zone database (public domain), as the package
        tzdata carries them
    Limits:  borders are good to some hundred metres; close to one the neighbour's mains may be
        meant
    """
    if latitude_deg is not None and longitude_deg is not None:
        guess = zone_at(latitude_deg, longitude_deg)
        if guess.name is not None:
            names = (guess.name, *guess.others)
            codes = tuple(
                dict.fromkeys(code for name in names for code in _zones("zone.tab").get(name, ()))
            )
            if codes:
                return CountryGuess(
                    codes,
                    said("country.coordinates")
                    if not guess.distance_km
                    else said("country.nearest"),
                )
    if timezone is not None:
        codes = tuple(
            dict.fromkeys(
                (*_zones("zone.tab").get(timezone, ()), *_zones("zone1970.tab").get(timezone, ()))
            )
        )
        if codes:
            return CountryGuess(codes, said("country.zone"))
    return CountryGuess((), said("country.unknown"))


# 112 in the European Union: Directive (EU) 2018/1972, article 109. The others from memory of what
# the countries themselves publish; what is not here is not guessed.
_EU = "AT BE BG CY CZ DE DK EE ES FI FR GR HR HU IE IT LT LU LV MT NL PL PT RO SE SI SK"
EMERGENCY: dict[str, tuple[str, ...]] = {
    **dict.fromkeys(_EU.split(), ("112",)),
    **dict.fromkeys(("IS", "LI", "TR", "UA", "IN"), ("112",)),
    **dict.fromkeys(("US", "CA", "MX", "UY", "CR", "PA"), ("911",)),
    **dict.fromkeys(("GB", "IE"), ("999", "112")),
    **dict.fromkeys(("HK", "MY"), ("999",)),
    "NZ": ("111",),
    "AU": ("000",),
    "CH": ("112", "144"),
    "NO": ("112", "113"),
    "JP": ("119", "110"),
    "KR": ("119", "112"),
    "CN": ("120", "110"),
    "SG": ("995", "999"),
    "ZA": ("112", "10177"),
    "IL": ("101", "100"),
    "BR": ("192", "190"),
    "AE": ("998", "999"),
}


def emergency_numbers(codes: Iterable[str]) -> tuple[str, ...]:
    """What is dialled in an emergency, where every country a place may lie in has the same; empty
    where that is not known.
    """
    found = {EMERGENCY.get(code, ()) for code in codes}
    return found.pop() if len(found) == 1 else ()
