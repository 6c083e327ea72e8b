"""A street before a window, against closed formulas of its cross section."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest

from scout.calc.daylight.outside.sky import CLEAR, sky_lux
from scout.calc.daylight.outside.street import STRIPS, Street
from scout.errors import OutOfRange

STREET = Street(width_m=10.0, opposite_m=12.0, own_m=6.0, floor_m=3.0, facade=0.4)


@pytest.mark.parametrize("part", ["width_m", "opposite_m", "own_m"])
def test_a_street_has_its_measures(part: str) -> None:
    measures = {"width_m": 1.0, "opposite_m": 1.0, "own_m": 1.0, "floor_m": 0.0, "facade": 0.5}
    with pytest.raises(OutOfRange) as refusal:
        Street(**{**measures, part: 0.0})
    assert refusal.value.path == f"street.{part}"


@pytest.mark.parametrize(
    ("facade", "fits"), [(-0.01, False), (0.0, True), (1.0, True), (1.01, False)]
)
def test_a_facade_reflects_a_share(facade: float, fits: bool) -> None:
    if fits:
        assert Street(1.0, 1.0, 1.0, 0.0, facade).facade == facade
    else:
        with pytest.raises(OutOfRange, match=r"street\.facade"):
            Street(1.0, 1.0, 1.0, 0.0, facade)


def test_each_surface_is_cut_from_its_foot_to_its_top() -> None:
    """By hand: six strips of 1.0 m, 10/6 m and 2.0 m."""
    begin, end = STREET._ends
    assert begin[[0, 5, 6, 11, 12, 17]] == pytest.approx(
        np.array([[0, 0], [0, 5], [0, 0], [50 / 6, 0], [10, 0], [10, 10]])
    )
    assert end[[0, 5, 6, 11, 12, 17]] == pytest.approx(
        np.array([[0, 1], [0, 6], [10 / 6, 0], [10, 0], [10, 2], [10, 12]])
    )
    assert STREET._normals[[0, 6, 12]].tolist() == [[1, 0], [0, 1], [-1, 0]]


def between(street: Street, one: int, other: int) -> float:
    """The share of what leaves a whole surface that lands on another."""
    mine, its = (slice(k * STRIPS, (k + 1) * STRIPS) for k in (one, other))
    return float(street._factors[mine, its].sum(axis=1).mean())


def test_walls_and_ground_against_hottel() -> None:
    """Source: Hottel's strings (Howell's catalogue C-1 and C-3): plates of one height h, w apart:
    sqrt(1 + (w/h)^2) - w/h; at right angles, of h and w: (1 + w/h - sqrt(1 + (w/h)^2)) / 2.
    """
    even = Street(10.0, 8.0, 8.0, 0.0, 0.4)
    ratio = 10.0 / 8.0
    assert between(even, 0, 2) == pytest.approx(math.sqrt(1 + ratio**2) - ratio)
    assert between(even, 0, 1) == pytest.approx((1 + ratio - math.sqrt(1 + ratio**2)) / 2)
    assert between(even, 1, 2) == pytest.approx((1 + 1 / ratio - math.sqrt(1 + ratio**-2)) / 2)
    # of unlike heights: diagonals less sides, over twice the height
    crossed = math.hypot(10.0, 12.0) + math.hypot(10.0, 6.0) - 10.0 - math.hypot(10.0, 6.0)
    assert between(STREET, 2, 0) == pytest.approx(crossed / 24.0)
    assert between(STREET, 0, 2) == pytest.approx(crossed / 12.0)
    # property: what one gives another, the other gives it
    area = np.linalg.norm(STREET._ends[1] - STREET._ends[0], axis=1)
    exchange = area[:, None] * STREET._factors
    assert exchange == pytest.approx(exchange.T)
    assert not np.any(STREET._factors[:STRIPS, :STRIPS])


def test_how_much_of_a_uniform_sky_each_strip_sees() -> None:
    """By hand: in an endless street half the difference of the sines of both edges, measured from
    the strip's normal.
    """
    *_, weight = STREET._sky
    seen = weight.sum(axis=(1, 2)) / math.pi
    begin, end = STREET._ends
    for strip, (x, y) in enumerate((begin + end) / 2.0):
        if strip < STRIPS:  # own wall: up to the zenith
            edge = math.atan2(12.0 - y, 10.0)
            expected = (1.0 - math.sin(edge)) / 2.0
        elif strip < 2 * STRIPS:
            out, back = math.atan2(12.0, 10.0 - x), math.atan2(6.0, x)
            expected = (math.cos(out) + math.cos(back)) / 2.0
        else:
            edge = math.atan2(max(6.0 - y, 0.0), 10.0)
            expected = (1.0 - math.sin(edge)) / 2.0
        assert seen[strip] == pytest.approx(expected, abs=2e-5), strip


def test_a_street_without_end_is_open_ground_and_a_free_wall() -> None:
    """By hand: open ground of 0.2 sends 0.2 of what falls on it. Source: Littlefair, "Site layout
    planning for daylight and sunlight", BRE 209: a free vertical face has 39.6 % of an overcast
    sky's horizontal light; half of what the ground sends comes to it besides.
    """
    wide = Street(1e6, 0.01, 0.01, 0.0, 0.4)
    ground, foot, rise = wide.overcast(0.2)
    assert ground == pytest.approx(0.2, rel=1e-4)
    assert foot == pytest.approx(0.4 * (0.396 + 0.2 / 2.0), rel=2e-3)
    assert rise == pytest.approx(0.0, abs=1e-4)
    assert wide.overcast(0.0)[0] == 0.0
    dark = Street(1e6, 0.01, 0.01, 0.0, 0.0)
    assert dark.overcast(0.2)[1:] == pytest.approx((0.0, 0.0))


def test_a_narrow_street_is_darker_at_its_foot() -> None:
    # property: taller houses take light from the ground; the facade gains upwards
    ground, foot, rise = STREET.overcast(0.2)
    assert 0.0 < foot < foot + rise
    assert Street(10.0, 18.0, 9.0, 3.0, 0.4).overcast(0.2)[0] < ground < 0.2
    # a room higher up sees more of the ground's far half, and the same facade
    assert Street(10.0, 12.0, 6.0, 9.0, 0.4).overcast(0.2)[0] != pytest.approx(ground, rel=1e-3)


def test_where_the_sun_lands() -> None:
    """By hand: from the facades' top at (10, 12) down at 45 degrees a ray meets the own wall at 2 m:
    strips of 1 m from the third on are lit, by cos 45. From behind, over the own top at (0, 6), it
    meets the ground at 6 m: of the strip from 5 to 6.67 m the points at 6.15, 6.35, 6.56 m are lit,
    three of eight; the facades are lit whole.
    """
    lit = STREET._sun(np.array([0.0, 180.0, 0.0, 0.0]), np.array([45.0, 45.0, 0.0, -5.0]))
    half = math.sqrt(0.5)
    assert lit[0, :STRIPS] == pytest.approx([0, 0, half, half, half, half])
    assert lit[0, STRIPS:] == pytest.approx(np.zeros(2 * STRIPS))
    assert lit[1, :STRIPS] == pytest.approx(np.zeros(STRIPS))
    assert lit[1, STRIPS : 2 * STRIPS] == pytest.approx([0, 0, 0, 3 / 8 * half, half, half])
    assert lit[1, 2 * STRIPS :] == pytest.approx([half] * STRIPS)
    assert not lit[2:].any()


def test_a_sun_along_the_street_lights_the_ground_alone() -> None:
    """By hand: turned 90 degrees it shines along both walls and reaches the ground by sin 30."""
    lit = STREET._sun(np.array([90.0]), np.array([30.0]))[0]
    assert lit[STRIPS : 2 * STRIPS] == pytest.approx([0.5] * STRIPS)
    assert lit[:STRIPS] == pytest.approx(np.zeros(STRIPS), abs=1e-12)


def seen_from(floor_m: float, low: tuple[float, float], high: tuple[float, float]) -> float:
    """Half the difference of the sines of both ends over the eye's level."""
    eye = floor_m + 1.6
    sine = [(y - eye) / math.hypot(x, y - eye) for x, y in (low, high)]
    return abs(sine[1] - sine[0]) / 2.0


def test_the_window_sees_near_ground_most() -> None:
    """By hand: ground that sends 1 from 5 m outward alone, seen from 4.6 m up."""
    sent = np.zeros(3 * STRIPS)
    sent[STRIPS + 3 : 2 * STRIPS] = 1.0
    whole, far = seen_from(3.0, (0.0, 0.0), (10.0, 0.0)), seen_from(3.0, (5.0, 0.0), (10.0, 0.0))
    assert STREET._seen(sent)[0] == pytest.approx(far / whole)


def test_what_rises_in_a_straight_line_is_seen_as_that_line() -> None:
    """By hand: 0.3 at the foot, 0.8 at the top."""
    sent = np.zeros((2, 3 * STRIPS))
    sent[0, 2 * STRIPS :] = 0.3 + 0.5 * (np.arange(STRIPS) + 0.5) / STRIPS
    sent[1, 2 * STRIPS :] = 0.7
    ground, foot, rise = STREET._seen(sent)
    assert ground.tolist() == [0.0, 0.0]
    assert foot == pytest.approx([0.3, 0.7])
    assert rise == pytest.approx([0.5, 0.0], abs=1e-12)


def test_light_that_falls_in_comes_out_or_goes_up() -> None:
    """By hand: with white walls and ground what leaves to the sky is what fell in: what each strip
    sends, less what others catch of it, adds up to the one unit that fell on one strip.
    """
    white = Street(10.0, 12.0, 6.0, 3.0, 1.0)
    area = np.linalg.norm(white._ends[1] - white._ends[0], axis=1)
    sent = white._carried(1.0)
    lost = 1.0 - white._factors.sum(axis=1)
    assert (area * lost) @ sent == pytest.approx(area)
    # one bounce: black walls send nothing, ground its share of what falls on it
    black = Street(10.0, 12.0, 6.0, 3.0, 0.0)._carried(0.25)
    assert black == pytest.approx(np.diag([0.0] * 6 + [0.25] * 6 + [0.0] * 6))


def test_under_a_clear_sky_sun_and_sky_add() -> None:
    """By hand: black walls; ground of 0.5 under a sun from behind at 45 degrees, 80,000 lux square on:
    as in the section above, seen from 4.6 m.
    """
    dark = Street(10.0, 12.0, 6.0, 3.0, 0.0)
    turned, high, sun = np.array([180.0, 180.0]), np.array([45.0, -2.0]), np.array([8e4, 0.0])
    alone = dark.clear(0.5, turned, high, sun, sky=False)
    marks = [(10.0 * k / 6.0, 0.0) for k in range(7)]
    view = np.array([seen_from(3.0, a, b) for a, b in pairwise(marks)])
    lit = np.array([0, 0, 0, 3 / 8, 1, 1]) * math.sqrt(0.5)
    assert alone[0][0] == pytest.approx(0.5 * 8e4 * float(view @ lit / view.sum()))
    assert alone[0][1] == 0.0
    assert alone[1] == pytest.approx([0.0, 0.0])
    sky = dark.clear(0.5, turned, high, np.zeros(2))
    both = dark.clear(0.5, turned, high, sun)
    assert both[0] == pytest.approx(alone[0] + sky[0])
    # a sun at the horizon counts for the sky as one at a tenth of a degree: it is not dark at once
    assert 0.0 < sky[0][1] < sky[0][0]


def test_a_clear_sky_over_open_ground_is_the_sky_s_own_light() -> None:
    """By hand: on open level ground all of the sky's light lands; ninety directions miss the bright
    spot round the sun by some hundredths. 65 suns are reckoned in two lots.
    """
    wide = Street(1e6, 0.01, 0.01, 0.0, 0.0)
    high = np.linspace(5.0, 70.0, 65)
    found = wide.clear(0.3, np.full(65, 40.0), high, np.zeros(65))[0]
    assert found == pytest.approx(0.3 * sky_lux(high, CLEAR), rel=0.05)
