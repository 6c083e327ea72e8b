"""Volt drop against the two published conductor tables."""

from __future__ import annotations

import pytest

from scout.calc.power.drop import (
    awg_conductor,
    conductor_of,
    longest_lead_m,
    metric_conductor,
    volt_drop_v,
)
from scout.errors import OutOfRange
from scout.values import Figure, Many, Said, said

FOOT = 0.3048


def choices_of(refusal: OutOfRange) -> tuple[object, ...]:
    assert isinstance(refusal.because, Said)
    choices: Many = refusal.because["choices"]
    return choices.items


@pytest.mark.parametrize(
    ("section", "flexible", "fixed"),
    [
        # Source: IEC 60228, tables 2 and 3, plain copper at 20 degC, ohm/km.
        (0.75, 26.0, 24.5),
        (1.0, 19.5, 18.1),
        (1.5, 13.3, 12.1),
        (2.5, 7.98, 7.41),
        (4, 4.95, 4.61),
        (6, 3.30, 3.08),
        (10, 1.91, 1.83),
        (16, 1.21, 1.15),
    ],
)
def test_metric_table(section: float, flexible: float, fixed: float) -> None:
    assert metric_conductor(section, copper_c=20).ohm_per_m * 1000 == pytest.approx(flexible)
    assert metric_conductor(section, copper_c=20, kind="fixed").ohm_per_m * 1000 == pytest.approx(
        fixed
    )
    # By hand: 1 + 0.00393 * 50 = 1.196 (5 at the fourth place).
    assert metric_conductor(section).ohm_per_m / metric_conductor(
        section, copper_c=20
    ).ohm_per_m == pytest.approx(1.1965)


@pytest.mark.parametrize(
    ("awg", "solid", "stranded"),
    [
        # Source: NFPA 70 (NEC), chapter 9, table 8, uncoated copper at 75 degC, ohm per 1000 ft.
        (18, 7.77, 7.95),
        (16, 4.89, 4.99),
        (14, 3.07, 3.14),
        (12, 1.93, 1.98),
        (10, 1.21, 1.24),
        (8, 0.764, 0.778),
        (6, None, 0.491),
        (4, None, 0.308),
    ],
)
def test_gauge_table(awg: int, solid: float | None, stranded: float) -> None:
    assert awg_conductor(awg).ohm_per_m * 304.8 == pytest.approx(stranded)
    if solid is None:
        with pytest.raises(OutOfRange, match="awg") as refusal:
            awg_conductor(awg, kind="solid")
        assert choices_of(refusal.value) == (18, 16, 14, 12, 10, 8)
    else:
        assert awg_conductor(awg, kind="solid").ohm_per_m * 304.8 == pytest.approx(solid)


@pytest.mark.parametrize(
    ("awg", "feet", "amperes", "drop", "percent", "longest"),
    [
        # By hand: 2 L R I with the table above, 120 V; and the length that loses 3 %.
        (14, 50, 12, 3.77, 3.14, 14.6),
        (12, 100, 16, 6.34, 5.28, 17.3),
        (10, 100, 16, 3.97, 3.31, 27.7),
        (16, 25, 8, 2.00, 1.66, 13.7),
    ],
)
def test_american_runs(
    awg: int, feet: float, amperes: float, drop: float, percent: float, longest: float
) -> None:
    lead = awg_conductor(awg)
    lost = volt_drop_v(feet * FOOT, lead.ohm_per_m, amperes)
    assert lost == pytest.approx(drop, abs=0.0051)
    assert 100 * lost / 120 == pytest.approx(percent, abs=0.0051)
    assert longest_lead_m(120, lead.ohm_per_m, amperes) == pytest.approx(longest, abs=0.05)


@pytest.mark.parametrize(
    ("section", "length", "amperes", "volts", "cold", "warm", "longest"),
    [
        # By hand: 2 L R I with IEC 60228, at 20 and at 70 degC; and the lengths that lose 3 %.
        (1.5, 25, 10, 230, 6.65, 7.96, (25.9, 21.7)),
        (2.5, 50, 13, 230, 10.37, 12.41, (33.3, 27.8)),
        (1.5, 25, 15, 100, 9.98, 11.94, (7.5, 6.3)),
    ],
)
def test_metric_runs(
    section: float,
    length: float,
    amperes: float,
    volts: float,
    cold: float,
    warm: float,
    longest: tuple[float, float],
) -> None:
    for copper_c, drop, reach in ((20, cold, longest[0]), (70, warm, longest[1])):
        lead = metric_conductor(section, copper_c=copper_c)
        assert volt_drop_v(length, lead.ohm_per_m, amperes) == pytest.approx(drop, abs=0.006)
        assert longest_lead_m(volts, lead.ohm_per_m, amperes) == pytest.approx(reach, abs=0.05)


def test_a_section_finds_its_series() -> None:
    assert conductor_of(1.5).name == said("conductor.metric", section=Figure(1.5))
    for section in (2.08, 2.1, 2.122, 2.04):  # by hand: 2.08 / 1.02 = 2.0392, 2.08 / 0.98 = 2.1224
        assert conductor_of(section).name == said("conductor.gauge", awg=14)
    assert (
        conductor_of(3.3).ohm_per_m == awg_conductor(12).ohm_per_m
    )  # 75 degC already: not warmed again
    for section in (3.0, 2.039, 2.123):
        with pytest.raises(OutOfRange, match="conductor_mm2") as refusal:
            conductor_of(section)
    choices = choices_of(refusal.value)
    assert Figure(1.5) in choices
    assert said("conductor.gauge_of", section=Figure(2.08), awg=14) in choices


def test_refusals() -> None:
    with pytest.raises(OutOfRange, match="conductor_mm2"):
        metric_conductor(3.0)
    with pytest.raises(OutOfRange, match="awg"):
        awg_conductor(13)
    with pytest.raises(OutOfRange, match="length_m"):
        volt_drop_v(-1, 0.01, 10)
    with pytest.raises(OutOfRange, match="amperes"):
        longest_lead_m(230, 0.01, 0)
