import pytest

from scout.calc.fit.floor.space import Space
from scout.calc.fit.shadow.landing import penumbra_m, shadow_landing
from scout.calc.geometry import rectangle_m
from scout.errors import OutOfRange


def test_shadow_of_a_head_on_the_wall() -> None:
    # by hand: light (3.5, 2, 2.425), head top (2.5, 3, 1.75): the step (-1, 1, -.675) taken twice
    # meets y = 4 at (1.5, 4, 1.075).
    landing = shadow_landing(Space(rectangle_m(5.0, 4.0), 2.7), [3.5, 2.0, 2.425], [2.5, 3.0, 1.75])
    assert landing.surface == "A"
    assert landing.at_m == pytest.approx((1.5, 4.0, 1.075))
    assert landing.beyond_m == pytest.approx(1.567, abs=0.001)  # by hand: sqrt(1 + 1 + .4556)


def test_shadow_of_a_seated_head_reaches_the_floor_first() -> None:
    # by hand: (3.366, 2.134, 2.425) over (2.5, 3.0, 1.35) falls 1.075 in .866: at y = 6.5 it would
    # be at z = -3.0.
    landing = shadow_landing(
        Space(rectangle_m(5.0, 6.5), 2.7), [3.366, 2.134, 2.425], [2.5, 3.0, 1.35]
    )
    assert landing.surface == "floor"


def test_a_low_light_throws_it_on_the_ceiling_and_the_open_sky_takes_it() -> None:
    # by hand: a lamp on the floor 1 m before a head at 1.5 m rises 1.5 a metre: at 2.7 m after 1.8
    # m, before the wall.
    room = Space(rectangle_m(5.0, 6.5), 2.7)
    landing = shadow_landing(room, [2.5, 2.0, 0.0], [2.5, 3.0, 1.5])
    assert landing.surface == "ceiling"
    assert landing.at_m == pytest.approx((2.5, 3.8, 2.7))
    field = shadow_landing(
        Space(rectangle_m(5.0, 6.5), None), [2.5, 2.0, 0.0], [2.5, 3.0, 1.5], has_walls=False
    )
    assert field.surface is None


def test_penumbra() -> None:
    # by hand: a .9 m source with a = b = 1.567 m gives .9 m.
    assert float(penumbra_m(0.9, 1.567, 1.567)) == pytest.approx(0.9)


def test_refusals() -> None:
    with pytest.raises(OutOfRange, match="edge_m"):
        shadow_landing(Space(rectangle_m(5.0, 6.5), 2.7), [1, 1, 1], [1, 1, 1])
    with pytest.raises(OutOfRange, match="light_to_edge_m"):
        penumbra_m(0.9, 0.0, 1.0)
