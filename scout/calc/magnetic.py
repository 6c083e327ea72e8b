"""From a magnetic bearing to a true one: the declination at a place on a date, by the World
Magnetic Model.
"""

from __future__ import annotations

import threading
from calendar import isleap
from dataclasses import dataclass
from datetime import date
from functools import cache
from importlib import import_module

from pygeomag import GeoMag

from scout.calc.geometry import require
from scout.values import Figure, Name, Said, said

MODELS: tuple[tuple[int, str], ...] = (
    (2010, "WMM_2010"),
    (2015, "WMM_2015v2"),
    (2020, "WMM_2020"),
    (2025, "WMM_2025"),
)
LIFE_YEARS = 5
FURTHEST_YEARS = 10.0  # beyond this the field's drift is anybody's guess
WEAK_NT, CAUTION_NT = 2000.0, 6000.0  # horizontal field: NOAA's blackout and caution zones
_LOCK = threading.Lock()  # the model keeps work arrays between calls


@dataclass(frozen=True)
class Declination:
    """True bearing = magnetic bearing + degrees. degrees None: unknown, and because says why."""

    degrees: float | None  # east positive
    doubt_deg: (
        float | None
    )  # one standard deviation of the model for undisturbed ground, with what an expired model adds
    model: str  # such as "WMM-2025"
    years_outside: float  # 0 while the model is valid
    notes: tuple[Said, ...]  # where accuracy is lost
    because: Said | None


def declination(
    latitude_deg: float, longitude_deg: float, on: date, elevation_m: float = 0.0
) -> Declination:
    """How far magnetic north lies east of true north.

    latitude_deg, longitude_deg: of the place; on: the date the compass was read; elevation_m:
        above the sea
    Returns: Declination; never fails for a date or a pole: what cannot be known says because
    Raises:  OutOfRange, naming the argument
    Source:  World Magnetic Models 2010 to 2025 (NOAA NCEI and BGS), by pygeomag; its doubt
        after the WMM2025 error model,
             sqrt(0.26^2 + (5417 / H)^2) degrees, H the horizontal field in nT
    Limits:  knows nothing of steel, cars, wiring or magnetic rock, which turn a compass by
        several degrees
    """
    require("latitude_deg", latitude_deg, least=-90, most=90)
    require("longitude_deg", longitude_deg, least=-180, most=180)
    require("elevation_m", elevation_m, least=-1000, most=20_000)
    year = on.year + (on.timetuple().tm_yday - 1) / (366 if isleap(on.year) else 365)
    first = next((start for start, _ in reversed(MODELS) if start <= year), MODELS[0][0])
    model = f"WMM-{first}"
    outside = max(0.0, MODELS[0][0] - year, year - (first + LIFE_YEARS))
    if outside > FURTHEST_YEARS:
        return Declination(
            None,
            None,
            model,
            outside,
            (),
            said(
                "sun.model_out",
                first=Figure(MODELS[0][0]),
                last=Figure(MODELS[-1][0] + LIFE_YEARS),
                on=on,
                years=Figure(outside),
            ),
        )
    degrees, horizontal_nt = _field(first, latitude_deg, longitude_deg, elevation_m, year)
    if horizontal_nt < WEAK_NT:
        return Declination(
            None,
            None,
            model,
            outside,
            (),
            said("sun.compass_useless", field=Figure(horizontal_nt, "count")),
        )
    doubt = (0.26**2 + (5417.0 / horizontal_nt) ** 2) ** 0.5
    notes = []
    if outside > 0:
        drift = abs(
            _turned(
                _field(first, latitude_deg, longitude_deg, elevation_m, year + 1.0)[0] - degrees
            )
        )
        lost = max(0.1, drift) * outside  # the drift itself may change by as much as it is
        doubt = (doubt**2 + lost**2) ** 0.5
        notes.append(
            said(
                "sun.model_old",
                model=Name(model),
                last=Figure(first + LIFE_YEARS),
                on=on,
                years=Figure(outside),
                lost=Figure(lost, "deg"),
            )
        )
    if horizontal_nt < CAUTION_NT:
        notes.append(
            said(
                "sun.weak_field",
                field=Figure(horizontal_nt, "count"),
                doubt=Figure(doubt, "deg"),
            )
        )
    return Declination(degrees, doubt, model, outside, tuple(notes), None)


def _field(
    first: int, latitude_deg: float, longitude_deg: float, elevation_m: float, year: float
) -> tuple[float, float]:
    with _LOCK:
        result = _model(first).calculate(
            glat=latitude_deg,
            glon=longitude_deg,
            alt=elevation_m / 1000.0,
            time=year,
            allow_date_outside_lifespan=True,
        )
    return float(result.d), float(result.h)


@cache
def _model(first: int) -> GeoMag:
    name = dict(MODELS)[first]
    return GeoMag(coefficients_data=getattr(import_module(f"pygeomag.wmm.{name.lower()}"), name))


def _turned(degrees: float) -> float:
    return (degrees + 180.0) % 360.0 - 180.0
