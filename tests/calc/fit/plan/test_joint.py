"""Key, fill and back chosen together: never worse than one after the other, and what is said to fit
is compatible.
"""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from scout.calc.fit.floor.blocks import Block, hidden_by
from scout.calc.fit.floor.space import Space
from scout.calc.fit.lens.camera import View
from scout.calc.fit.plan.besides import besides
from scout.calc.fit.plan.joint import IN_BEAM, OVERLAP, Player, Trio, choose, in_beam, total
from scout.calc.fit.plan.planned import BesidesOf, PlanLamp
from scout.calc.fit.plan.search import Pool, Spot, back_goal, fill_goal, key_goal
from scout.calc.fit.plan.three_point import Cast, given_up, three_point
from scout.calc.fit.stand.lights import Lamp, Stage
from scout.calc.geometry import distance_to_walls_m, inside, rectangle_m
from scout.calc.power.reach import Reach
from scout.calc.power.run import OnWall
from scout.calc.power.ways import Floor
from scout.calc.power.ways import ring as floor_ring

LAMP = Lamp(1.1, 2.6, 0.35)


def test_a_head_on_the_line_is_in_the_beam() -> None:
    # by hand: half way between (0, 0, 2) and (2, 0, 1) is (1, 0, 1.5); a head of 0.2 m there hides
    # it, 0.25 m above it does not
    heads = [[1.0, 0.0, 1.5], [1.0, 0.0, 1.75], [-0.5, 0.0, 2.25], [2.5, 0.0, 0.75]]
    assert in_beam(heads, 0.2, [[0.0, 0.0, 2.0]], [2.0, 0.0, 1.0])[:, 0].tolist() == [
        True,
        False,
        False,
        False,
    ]


def test_the_best_combination_of_a_few_is_the_best_by_hand() -> None:
    # property: against a plain loop over all combinations that works every cost out afresh, one at
    # a time
    here = Stage(Space(rectangle_m(4.0, 5.0), 2.6), (2.0, 2.8, 1.2), (2.0, 0.6, 1.4), ())
    trio = Trio(
        Player(LAMP, key_goal(here, LAMP)),
        Player(LAMP, fill_goal(here, 3.0)),
        Player(LAMP, back_goal(here, LAMP)),
    )
    random = np.random.default_rng(3)
    pools = [
        np.column_stack(
            [random.uniform(0.5, 3.5, 7), random.uniform(0.5, 4.5, 7), random.uniform(1.2, 2.3, 7)]
        )
        for _ in range(3)
    ]
    found = total(here, trio, pools)
    goals = [player.goal for player in trio.players if player is not None]
    for i, j, k in itertools.product(range(7), repeat=3):
        places = [pools[0][i], pools[1][j], pools[2][k]]
        cost = 0.0
        for place, goal in zip(places, goals, strict=True):
            x, y, z = place - np.array(here.subject_m)
            across = abs(
                math.degrees(math.atan2(x, -y))
            )  # the camera stands straight down the page
            cost += (across - goal.across_deg) ** 2
            if goal.down_deg is not None:
                cost += (math.degrees(math.atan2(z, math.hypot(x, y))) - goal.down_deg) ** 2
            else:
                cost += (20.0 * (place[2] - 1.4)) ** 2
            assert goal.distance_m is not None
            stops = 2.0 * math.log2(math.hypot(x, y, z) / goal.distance_m)
            cost += (
                (goal.further_per_stop_deg if stops > 0 else goal.nearer_per_stop_deg) * stops
            ) ** 2
        for one, other in itertools.permutations(places, 2):
            way = np.array(here.subject_m) - one
            share = float(np.dot(other - one, way) / np.dot(way, way))
            off = float(np.linalg.norm(other - one - share * way))
            cost += IN_BEAM if 0 < share < 1 and off < 0.175 else 0.0
        cost += sum(
            OVERLAP
            for one, other in itertools.combinations(places, 2)
            if math.dist(one[:2], other[:2]) < 1.0
        )
        assert found[i, j, k] == pytest.approx(cost)


def test_two_that_want_one_floor_share_it_out() -> None:
    # by hand: back and fill alone may both take the one best place; together one of them takes its
    # second best, the cheaper of the two ways.
    here = Stage(Space(rectangle_m(9.0, 9.0), None), (4.5, 4.5, 1.2), (4.5, 1.0, 1.4), ())
    trio = Trio(Player(LAMP, key_goal(here, LAMP)), Player(LAMP, fill_goal(here, 3.0)), None)
    key = np.array([[5.5, 3.5, 2.2]])
    fills = np.array([[5.4, 3.4, 1.4], [3.0, 3.0, 1.4]])
    chosen = choose(
        here,
        trio,
        [Pool(key, np.zeros(1), 0, None, True), Pool(fills, np.zeros(2), 0, None, True), None],
    )
    assert np.linalg.norm(chosen[1][:2] - fills[1][:2]) < 0.5


@settings(max_examples=12, deadline=None)
@given(
    width=st.floats(2.4, 8.0),
    length=st.floats(2.6, 8.0),
    notch=st.floats(0.0, 0.5),
    ceiling=st.floats(2.1, 4.0),
    sx=st.floats(0.15, 0.85),
    sy=st.floats(0.3, 0.9),
    cx=st.floats(0.15, 0.85),
    bx=st.floats(0.1, 0.9),
    by=st.floats(0.1, 0.9),
    high=st.one_of(st.none(), st.floats(0.4, 2.0)),
    turn=st.floats(0, 90),
    focal=st.sampled_from([24.0, 50.0, 85.0]),
    soft=st.sampled_from([0.0, 0.9]),
    lead=st.one_of(st.none(), st.floats(3.0, 12.0)),
    boom=st.one_of(st.none(), st.just(0.7)),
    ratio=st.sampled_from([2.0, 4.0, 8.0]),
)
def test_together_is_never_worse_and_what_fits_is_compatible(
    width: float,
    length: float,
    notch: float,
    ceiling: float,
    sx: float,
    sy: float,
    cx: float,
    bx: float,
    by: float,
    high: float | None,
    turn: float,
    focal: float,
    soft: float,
    lead: float | None,
    boom: float | None,
    ratio: float,
) -> None:
    plan = rectangle_m(width, length)
    if notch > 0.05:
        plan = np.array(
            [
                (0, length),
                (width * (1 - notch), length),
                (width * (1 - notch), length * (1 - notch)),
                (width, length * (1 - notch)),
                (width, 0),
                (0, 0),
            ]
        )
    subject, camera = (sx * width, sy * length, 1.2), (cx * width, 0.5, 1.4)
    assume(
        bool(inside(plan, np.array([subject[:2], camera[:2]])).all())
        and math.dist(subject[:2], camera[:2]) > 0.6
    )
    c, s = math.cos(math.radians(turn)), math.sin(math.radians(turn))
    ring = np.array([(-0.5, 0.3), (0.5, 0.3), (0.5, -0.3), (-0.5, -0.3)]) @ np.array(
        [[c, -s], [s, c]]
    ) + [bx * width, by * length]
    block = Block("F1", ring, high)
    reach = (
        None
        if lead is None
        else Reach(Floor(floor_ring(plan), ()), ((OnWall("P1", "A", 0.3), 0.3),))
    )
    here = Stage(
        Space(plan, ceiling, (), (block,)),
        subject,
        camera,
        (View(camera, subject, 24.9, 14.0, focal),),
        (),
        reach,
    )
    lamp = PlanLamp(Lamp(1.1, 2.6, 0.35, soft, lead), 6000.0)
    leads = None if lead is None else (lead, lead, lead)
    also = BesidesOf(besides(here, lamp.lamp, boom), besides(here, lamp.lamp, boom))
    cast = Cast(here, lamp, lamp, lamp, ratio, leads, also)
    found = three_point(here, lamp, lamp, lamp, ratio, leads_m=leads, besides=also)
    # property: by its own measure no worse than placing key, fill and back one after the other, on
    # either side
    for side in (1, -1):
        assert given_up(cast, found) <= given_up(cast, cast.one_by_one(side)[0])
    spots = [
        placed.spot
        for placed in (found.key, found.fill, found.back)
        if placed is not None and isinstance(placed.spot, Spot)
    ]
    for i, spot in enumerate(spots):
        at = np.array(spot.at_m)
        # by hand: the foot's circle of 0.5 m is off the block, and the middle of the head is not in
        # it
        assert not bool(inside(ring, at[:2]))
        assert found.by_shape or float(distance_to_walls_m(ring, at[:2])) >= 0.5 - 1e-6
        assert not bool(hidden_by(block, at, subject))
        if reach is not None and lead is not None:
            assert float(reach.needed_m(at)) <= lead + 1e-6
        for j, other in enumerate(spots):
            if i != j:
                assert math.dist(spot.at_m[:2], other.at_m[:2]) >= 2 * lamp.lamp.radius_m - 1e-6
                if (
                    spot.fits
                ):  # no other head within its own radius of the straight line to the face, sampled
                    line = at + np.linspace(0.01, 0.99, 200)[:, None] * (np.array(subject) - at)
                    assert (
                        float(np.min(np.linalg.norm(line - np.array(other.at_m), axis=1)))
                        >= max(0.175, soft / 2) - 0.01
                    )
    if found.fill is not None and found.key.lux is not None and found.fill.lux is not None:
        assert found.fill.dim_stops is not None
        assert found.fill.short_stops is not None
        reached = found.key.lux / (found.fill.lux * 2.0**-found.fill.dim_stops)
        assert abs(math.log2(reached / ratio) - found.fill.short_stops) <= 0.1
