"""Amperes, limits and plugs."""

from __future__ import annotations

import pytest
from babel import Locale

from scout.calc.power.current import limit_a
from scout.calc.power.plugs import most_through_one_plug_a, plug_range_a, plugs, plugs_at, plugs_of
from scout.errors import OutOfRange


@pytest.mark.parametrize(
    ("breaker", "limit", "volts", "watts"),
    [
        # Source: NEC 210.19(A), 210.20(A): 80 % of the breaker for three hours or more; elsewhere
        # common practice.
        (15, 12, 120, 1440),
        (20, 16, 120, 1920),
        (16, 12.8, 230, 2944),
        (13, 10.4, 230, 2392),
        (10, 8, 230, 1840),
        (15, 12, 100, 1200),
    ],
)
def test_what_may_be_loaded_for_hours(
    breaker: float, limit: float, volts: float, watts: float
) -> None:
    assert limit_a(breaker) == pytest.approx(limit)
    assert limit_a(breaker) * volts == pytest.approx(watts)


def test_plugs_by_country() -> None:
    # Source: NEMA WD 6, BS 1363, CEE 7, AS/NZS 3112, JIS C 8303.
    assert [(plug.plug_a, plug.nominal_v) for plug in plugs_of("US")] == [(15, 120), (20, 120)]
    assert [(plug.name, plug.plug_a) for plug in plugs_of("gb")] == [("BS 1363", 13)]
    assert [plugs_of(code)[0].plug_a for code in ("DE", "AU", "JP")] == [16, 10, 15]
    assert plugs_of("XX") == ()


def test_plug_range_where_the_country_is_not_known() -> None:
    # from memory: IS 1293 has 6 A plugs at 230 V and NBR 14136 20 A ones at 220 V.
    assert plug_range_a(230) == (6, 20)
    assert plug_range_a(240) == (6, 20)  # the old name of the same mains
    assert plug_range_a(100) == (15, 15)
    assert plug_range_a(400) is None


def test_refusals() -> None:
    with pytest.raises(OutOfRange, match="breaker_a"):
        limit_a(0)
    with pytest.raises(OutOfRange, match="continuous_share"):
        limit_a(16, 1.2)


def test_the_most_through_one_plug() -> None:
    # Source: BS 1363: 13 A a plug, whatever the ring's 32 A; NEC 210.23(A): one cord-and-plug load
    # at most 80 % of the branch.
    assert most_through_one_plug_a("GB", 230, 32) == 13
    assert most_through_one_plug_a("US", 120, 15) == pytest.approx(12)
    assert most_through_one_plug_a("US", 120, 20) == pytest.approx(16)
    assert (
        most_through_one_plug_a("US", 120, None) == 20
    )  # the breaker is not known: the plug alone
    assert (
        most_through_one_plug_a("US", 240, 30) is None
    )  # no everyday plug of that voltage in the table
    assert most_through_one_plug_a("XX", 230, 16) is None
    # from memory, NBR 14136: both mains have plugs of 10 and 20 A; the nearer voltage is the one
    # meant.
    assert {plug.nominal_v for plug in plugs_at("BR", 127)} == {127}
    assert {plug.nominal_v for plug in plugs_at("BR", 220)} == {220}


def test_every_plug_has_a_country_and_sound_figures() -> None:
    for plug in plugs():
        assert plug.country in Locale("en").territories, plug
        assert 90 <= plug.nominal_v <= 250
        assert 5 <= plug.plug_a <= 20
        assert plug.breakers_a
        assert plug.single_share in (None, 0.8)
    assert len({plug.country for plug in plugs()}) > 120
