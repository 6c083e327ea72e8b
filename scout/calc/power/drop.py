"""Volt drop along a mains lead, from published conductor resistances.

outlet ====== L ======> light        the current goes out and comes back: 2 L of copper
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Literal

from scout.calc.geometry import require
from scout.calc.published import rows
from scout.errors import OutOfRange
from scout.values import Figure, Many, Said, said

COPPER_PER_C = 0.00393  # rise of copper's resistance for each degree, from 20 degC (IEC 60028)
WARM_C = 70.0  # a loaded PVC or rubber lead at its limit
BRANCH_PCT, WHOLE_PCT = (
    3.0,
    5.0,
)  # NEC 210.19 informational note: 3 % branch, 5 % with the feeder; IEC 60364-5-52 annex G likewise
METRES_PER_KFT = 304.8
SAME_SECTION = 0.02  # a section within 2 % of a printed one is that one (2.1 mm2 for 2.08)


@dataclass(frozen=True)
class Conductor:
    """A copper conductor and its resistance, and which table said so."""

    name: Said
    ohm_per_m: float
    source: Said


@cache
def _iec() -> dict[float, dict[str, float]]:
    return {
        float(row["conductor_mm2"]): {
            "flexible": float(row["flexible_ohm_per_km"]),
            "fixed": float(row["fixed_ohm_per_km"]),
        }
        for row in rows("conductors_iec60228.csv")
    }


@cache
def _nec() -> dict[int, tuple[float, dict[str, float | None]]]:
    return {
        int(row["awg"]): (
            float(row["conductor_mm2"]),
            {
                "solid": float(row["solid_ohm_per_kft"]) if row["solid_ohm_per_kft"] else None,
                "stranded": float(row["stranded_ohm_per_kft"]),
            },
        )
        for row in rows("conductors_nec.csv")
    }


def metric_conductor(
    conductor_mm2: float,
    *,
    copper_c: float = WARM_C,
    kind: Literal["flexible", "fixed"] = "flexible",
) -> Conductor:
    """A conductor by its section.
    conductor_mm2: 0.75, 1, 1.5, 2.5, 4, 6, 10 or 16
    copper_c:      how warm the copper is; the table's 20 degC figure is raised by 0.00393 a
        degree (1.196 at 70 degC)
    kind:          flexible (class 5: leads) or fixed (classes 1 and 2: house wiring)
    Raises:        OutOfRange for a section the table does not print, or copper beyond -40 to
        120 degC
    Source:        IEC 60228, greatest resistance at 20 degC, plain copper
    """
    require("copper_c", copper_c, least=-40, most=120)
    for section, ohm_per_km in _iec().items():
        if abs(section / float(require("conductor_mm2", conductor_mm2, above=0)) - 1.0) <= 1e-6:
            warm = 1.0 + COPPER_PER_C * (copper_c - 20.0)
            return Conductor(
                said("conductor.metric", section=Figure(section)),
                ohm_per_km[kind] / 1000.0 * warm,
                said("conductor.iec", warm=Figure(copper_c)),
            )
    raise OutOfRange("conductor_mm2", conductor_mm2, said("refusal.one_of", choices=_sections()))


def awg_conductor(awg: int, *, kind: Literal["stranded", "solid"] = "stranded") -> Conductor:
    """A conductor by its American gauge, 18 to 4; the table is at 75 degC already and is not warmed
    again.

    Raises OutOfRange for another gauge, or for solid where none is printed. Source: NFPA 70 (NEC),
    chapter 9, table 8.
    """
    gauges = {
        gauge: by_kind[kind] for gauge, (_, by_kind) in _nec().items() if by_kind[kind] is not None
    }
    if (ohm_per_kft := gauges.get(awg)) is None:
        raise OutOfRange("awg", awg, said("refusal.one_of", choices=Many(tuple(gauges), "or")))
    return Conductor(
        said("conductor.gauge", awg=awg), ohm_per_kft / METRES_PER_KFT, said("conductor.nec")
    )


def conductor_of(conductor_mm2: float, *, copper_c: float = WARM_C) -> Conductor:
    """The lead a section in mm2 stands for: a metric size, else the American gauge whose printed
    section is within 2 %.

    Raises OutOfRange, listing both series.
    """
    require("conductor_mm2", conductor_mm2, above=0)
    if any(abs(section / conductor_mm2 - 1.0) <= 1e-6 for section in _iec()):
        return metric_conductor(conductor_mm2, copper_c=copper_c)
    for awg, (section, _) in _nec().items():
        if abs(section / conductor_mm2 - 1.0) <= SAME_SECTION:
            return awg_conductor(awg)
    gauges = (
        said("conductor.gauge_of", section=Figure(section), awg=awg)
        for awg, (section, _) in _nec().items()
    )
    raise OutOfRange(
        "conductor_mm2",
        conductor_mm2,
        said("refusal.one_of", choices=Many((*_sections(), *gauges), "or")),
    )


def _sections() -> Many:
    return Many(tuple(Figure(section) for section in _iec()), "or")


def volt_drop_v(length_m: float, ohm_per_m: float, amperes: float) -> float:
    """Volts lost in a single-phase lead, out and back.
    length_m:  the whole length of the lead, one way [m], 0 or more; leads in series add
    ohm_per_m: of one conductor [ohm/m], above 0
    amperes:   [A], 0 or more
    Returns:   2 L R I [V]
    Limits:    resistance alone, right up to 16 mm2; the house wiring before the outlet adds its own
    """
    require("length_m", length_m, least=0)
    require("ohm_per_m", ohm_per_m, above=0)
    require("amperes", amperes, least=0)
    return 2.0 * length_m * ohm_per_m * amperes


def longest_lead_m(
    volts: float, ohm_per_m: float, amperes: float, most_pct: float = BRANCH_PCT
) -> float:
    """The longest lead that loses no more than most_pct of the voltage [m]; all arguments above 0."""
    for name, value in (
        ("volts", volts),
        ("ohm_per_m", ohm_per_m),
        ("amperes", amperes),
        ("most_pct", most_pct),
    ):
        require(name, value, above=0)
    return volts * most_pct / 100.0 / (2.0 * ohm_per_m * amperes)
