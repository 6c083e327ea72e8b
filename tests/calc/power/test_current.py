"""Amperes, limits and plugs."""

from __future__ import annotations

import numpy as np
import pytest

from scout.calc.power.current import current_a, limit_a, plug_range_a, plugs_of
from scout.errors import OutOfRange


@pytest.mark.parametrize(("watts", "volts", "factor", "amperes"), [
    # By hand: W / (V PF).
    (1000, 120, 1.0, 8.33), (300, 120, 0.95, 2.63), (1200, 230, 0.9, 5.80), (2000, 230, 1.0, 8.70), (650, 100, 0.6, 10.83),
])
def test_current(watts: float, volts: float, factor: float, amperes: float) -> None:
    assert float(current_a(watts, volts, factor)) == pytest.approx(amperes, abs=0.005)


def test_currents_broadcast() -> None:
    assert current_a([[1000.0], [500.0]], [100.0, 200.0]) == pytest.approx(np.array([[10, 5], [5, 2.5]]))  # by hand


@pytest.mark.parametrize(("breaker", "limit", "volts", "watts"), [
    # Source: NEC 210.19(A), 210.20(A): 80 % of the breaker for three hours or more; elsewhere common practice.
    (15, 12, 120, 1440), (20, 16, 120, 1920), (16, 12.8, 230, 2944), (13, 10.4, 230, 2392), (10, 8, 230, 1840), (15, 12, 100, 1200),
])
def test_what_may_be_loaded_for_hours(breaker: float, limit: float, volts: float, watts: float) -> None:
    assert limit_a(breaker) == pytest.approx(limit)
    assert limit_a(breaker) * volts == pytest.approx(watts)


def test_plugs_by_country() -> None:
    # Source: NEMA WD 6, BS 1363, CEE 7, AS/NZS 3112, JIS C 8303.
    assert [(plug.plug_a, plug.nominal_v) for plug in plugs_of("US")] == [(15, 120), (20, 120)]
    assert [(plug.name, plug.plug_a) for plug in plugs_of("gb")] == [("BS 1363", 13)]
    assert [plugs_of(code)[0].plug_a for code in ("DE", "AU", "JP")] == [16, 10, 15]
    assert plugs_of("XX") == ()


def test_plug_range_where_the_country_is_not_known() -> None:
    assert plug_range_a(230) == (10, 16)
    assert plug_range_a(240) == (10, 16)  # the old name of the same mains
    assert plug_range_a(100) == (15, 15)
    assert plug_range_a(400) is None


def test_refusals() -> None:
    with pytest.raises(OutOfRange, match="power_factor"):
        current_a(100, 230, 0)
    with pytest.raises(OutOfRange, match="volts"):
        current_a(100, 0)
    with pytest.raises(OutOfRange, match="watts"):
        current_a(float("nan"), 230)
    with pytest.raises(OutOfRange, match="breaker_a"):
        limit_a(0)
    with pytest.raises(OutOfRange, match="continuous_share"):
        limit_a(16, 1.2)
