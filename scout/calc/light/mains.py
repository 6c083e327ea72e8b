"""The frequency of the mains where a place is, by its country."""

from __future__ import annotations

from collections.abc import Iterable

MAINS_HZ = (50.0, 60.0)
# Checked against a list of 246 countries and islands; the Northern Marianas and the two halves of the
# Caribbean Netherlands (Bonaire 50, Saba and Statia 60) from memory of the IEC's World Plugs.
_SIXTY = frozenset(
    [
        "AG",
        "AI",
        "AS",
        "AW",
        "BL",
        "BM",
        "BR",
        "BS",
        "BZ",
        "CA",
        "CO",
        "CR",
        "CU",
        "DO",
        "EC",
        "FM",
        "GT",
        "GU",
        "GY",
        "HN",
        "HT",
        "KN",
        "KR",
        "KY",
        "LR",
        "MF",
        "MH",
        "MP",
        "MS",
        "MX",
        "NI",
        "PA",
        "PE",
        "PF",
        "PH",
        "PR",
        "PW",
        "SA",
        "SR",
        "SV",
        "SX",
        "TC",
        "TT",
        "TW",
        "US",
        "VE",
        "VG",
        "VI",
    ]
)
_BOTH = frozenset({"JP", "BQ"})
# Japan's grids meet along the Fuji and the Itoi rivers: 50 Hz east of them, 60 Hz west (common
# knowledge of the trade); between these meridians both are found.
_JAPAN_WEST_DEG, _JAPAN_EAST_DEG = 137.3, 139.0


def mains_of(countries: Iterable[str], longitude_deg: float | None = None) -> tuple[float, ...]:
    """The frequencies of the mains in countries (ISO 3166), lowest first; both where no country is
    known, or where a country has both and the longitude does not decide.

    Limits: the public grid; a generator may be off it
    """
    found: set[float] = set()
    for country in countries:
        if country == "JP" and longitude_deg is not None:
            found |= {50.0} if longitude_deg > _JAPAN_WEST_DEG else set()
            found |= {60.0} if longitude_deg < _JAPAN_EAST_DEG else set()
        elif country in _BOTH:
            found |= set(MAINS_HZ)
        else:
            found.add(60.0 if country in _SIXTY else 50.0)
    return tuple(sorted(found)) or MAINS_HZ
