"""The shortest way over a floor round what stands on it."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.sparse import csr_array
from scipy.sparse.csgraph import dijkstra

from scout.calc.geometry import cut_by, inside, rectangle_m
from scout.calc.power.ways import COSTS, Floor, Zone, ring, strip

ROOM = ring(rectangle_m(5.0, 6.5))
ELL = ((0.0, 6.0), (3.0, 6.0), (3.0, 3.0), (6.0, 3.0), (6.0, 0.0), (0.0, 0.0))
BOX = Zone("furniture", ((1.0, 2.0), (3.0, 2.0), (3.0, 3.0), (1.0, 3.0)))


def test_round_one_piece_by_hand() -> None:
    # by hand: from (2, 0) past (1, 2) and (1, 3) to (2, 4): root 5, 1 and root 2; the other side is
    # as long, and longer from a place a little to the left
    way = Floor(ROOM, (BOX,)).way((1.9, 0.0), (1.9, 4.0))
    assert way.path_m == ((1.9, 0.0), (1.0, 2.0), (1.0, 3.0), (1.9, 4.0))
    assert way.length_m == pytest.approx(math.hypot(0.9, 2.0) + 1.0 + math.hypot(0.9, 1.0))
    assert way.inside_m == (0.0,)
    assert Floor(ROOM, ()).way((1.9, 0.0), (1.9, 4.0)).length_m == pytest.approx(4.0)


def test_round_the_corner_that_juts_in() -> None:
    # by hand: from (2.5, 5.5) to (5.5, 2.5) the straight line leaves the L; past (3, 3)
    way = Floor(ELL, ()).way((2.5, 5.5), (5.5, 2.5))
    assert way.path_m == ((2.5, 5.5), (3.0, 3.0), (5.5, 2.5))
    assert Floor(ELL, ()).way((2.5, 5.5), (0.5, 0.5)).path_m == ((2.5, 5.5), (0.5, 0.5))


def test_along_what_is_gone_round_is_not_across_it() -> None:
    # by hand: along the side of the box from corner to corner is 2 m and touches it all the way
    way = Floor(ROOM, (BOX,)).way((1.0, 2.0), (3.0, 2.0))
    assert (way.length_m, way.inside_m) == (pytest.approx(2.0), (0.0,))


def test_what_bars_the_whole_floor_is_crossed_where_it_costs_least() -> None:
    # by hand: a walk 0.9 m wide from wall to wall; the way down crosses it squarely, 0.9 m
    walk = Zone("walk", strip((0.0, 3.0), (5.0, 3.0), 0.45, 0.1))
    way = Floor(ROOM, (walk,)).way((2.0, 1.0), (2.0, 5.0))
    assert (way.length_m, way.inside_m) == (pytest.approx(4.0), (pytest.approx(0.9, abs=0.01),))
    # a door's floor beside an exit's, into either wall: the door's is crossed
    exit_zone = Zone("exit", ((-0.1, 2.5), (2.5, 2.5), (2.5, 3.5), (-0.1, 3.5)), "D1")
    door = Zone("door", ((2.4, 2.5), (5.1, 2.5), (5.1, 3.5), (2.4, 3.5)), "D2")
    way = Floor(ROOM, (exit_zone, door)).way((1.0, 1.0), (1.0, 5.0))
    assert way.inside_m[0] == 0.0
    assert way.inside_m[1] == pytest.approx(1.0, abs=0.01)
    assert COSTS["exit"] > COSTS["door"] > COSTS["walk"]


def test_a_place_on_what_is_gone_round_is_reached() -> None:
    # by hand: from below to the middle of the box, half a metre of it and no more
    way = Floor(ROOM, (BOX,)).way((2.0, 0.0), (2.0, 2.5))
    assert way.length_m == pytest.approx(2.5)
    assert way.inside_m == (pytest.approx(0.5, abs=0.01),)


# flush with wall C, from 1 to 3 m along x
SOFA = Zone(
    "furniture",
    ((1.0, 1.0), (3.0, 1.0), (3.0, -0.05), (1.0, -0.05)),
    slots_m=(((1.0, 0.0), (3.0, 0.0)),),
)


def test_no_lead_is_laid_behind_a_piece_that_stands_flush() -> None:
    floor = Floor(ROOM, (SOFA,))
    # by hand: along the wall it would be 3.5 m; it goes round the front: hypot(.5, 1), 2 and root 2
    way = floor.way((0.5, 0.0), (4.0, 0.0))
    assert way.path_m == ((0.5, 0.0), (1.0, 1.0), (3.0, 1.0), (4.0, 0.0))
    # a socket behind it: its lead leaves at the end that is nearer to where it goes
    way = floor.way((1.4, 0.0), (0.2, 2.0))
    assert way.path_m == ((1.4, 0.0), (1.0, 0.0), (0.2, 2.0))
    assert way.length_m == pytest.approx(0.4 + math.hypot(0.8, 2.0))
    assert way.inside_m == (0.0,)
    way = floor.way((1.4, 0.0), (4.0, 0.5))
    assert way.path_m == ((1.4, 0.0), (3.0, 0.0), (4.0, 0.5))
    # in a corner there is one end; property: as long as the lengths of all leads together say
    corner = Zone(
        "furniture",
        ((-0.05, 1.0), (2.0, 1.0), (2.0, -0.05), (-0.05, -0.05)),
        slots_m=(((0.0, 0.0), (2.0, 0.0)), ((0.0, 0.0), (0.0, 1.0))),
    )
    for socket, ends in (((0.5, 0.0), [(2.0, 0.0)]), ((0.0, 0.3), [(0.0, 1.0)])):
        floor = Floor(ROOM, (corner,))
        way = floor.way(socket, (3.0, 4.0))
        assert way.path_m[1] in ends
        given = floor.sources([socket], (0.0,))
        lengths = floor.lengths_m(given, np.array([[3.0, 4.0]]))
        assert lengths == pytest.approx([way.length_m])


def test_a_strip_of_no_length_is_a_square() -> None:
    assert np.array(strip((1.0, 1.0), (1.0, 1.0), 0.5, 0.5)) == pytest.approx(
        np.array([(0.5, 0.5), (0.5, 1.5), (1.5, 1.5), (1.5, 0.5)])
    )


STEP_M = 0.25
MOVES = [
    (dx, dy)
    for dx, dy in itertools.product(range(-3, 4), repeat=2)
    if math.gcd(dx, dy) == 1 and (dx, dy) > (0, 0)
]


def on_a_grid_m(plan: np.ndarray, zones: list[np.ndarray], places: np.ndarray) -> np.ndarray:
    """How long the ways between places are on a grid by Dijkstra's search over neighbours up to three
    steps off: at most 1.4 % longer than straight (by hand: between (1, 0) and (3, 1) it turns by 18
    degrees, half of it either side).
    """
    high = plan.max(axis=0)
    shape = np.round(high / STEP_M).astype(int) + 1
    points = np.stack(np.meshgrid(*(np.arange(n) * STEP_M for n in shape), indexing="ij"), axis=-1)
    flat = points.reshape(-1, 2)

    def taken(at: np.ndarray) -> np.ndarray:
        found = ~inside(plan, at, edge_m=1e-6)
        for corners in zones:
            found |= inside(corners, at, edge_m=-1.0) & _deep(corners, at)
        return found

    number = np.arange(len(flat)).reshape(shape)
    starts, ends = [], []
    for dx, dy in MOVES:
        from_x, to_x = (
            (slice(0, shape[0] - dx), slice(dx, None))
            if dx >= 0
            else (
                slice(-dx, None),
                slice(0, shape[0] + dx),
            )
        )
        from_y, to_y = (
            (slice(0, shape[1] - dy), slice(dy, None))
            if dy >= 0
            else (
                slice(-dy, None),
                slice(0, shape[1] + dy),
            )
        )
        starts.append(number[from_x, from_y].ravel())
        ends.append(number[to_x, to_y].ravel())
    start, end = np.concatenate(starts), np.concatenate(ends)
    free = np.ones(len(start), dtype=bool)
    for share in (0.0, 0.5, 1.0):
        free &= ~taken(flat[start] + share * (flat[end] - flat[start]))
    for corners in (plan, *zones):
        free &= ~cut_by(corners, flat[start], flat[end])
    start, end = start[free], end[free]
    long = np.linalg.norm(flat[end] - flat[start], axis=1)
    graph = csr_array((long, (start, end)), shape=(len(flat), len(flat)))
    at = [int(number[tuple(np.round(place / STEP_M).astype(int))]) for place in places]
    return np.asarray(dijkstra(graph, directed=False, indices=at)[:, at])


def _deep(corners: np.ndarray, at: np.ndarray) -> np.ndarray:
    """Whether points lie more than a hair inside a polygon."""
    edge = np.roll(corners, -1, axis=0) - corners
    away = at[:, None] - corners
    off = np.abs(edge[:, 0] * away[..., 1] - edge[:, 1] * away[..., 0])
    return np.asarray(np.min(off / np.linalg.norm(edge, axis=1), axis=1) > 1e-6)


def turned(x: float, y: float, wide: float, deep: float, turn: float) -> np.ndarray:
    c, s = math.cos(turn), math.sin(turn)
    half = np.array([(-wide, deep), (wide, deep), (wide, -deep), (-wide, -deep)]) / 2.0
    return half @ np.array([[c, s], [-s, c]]) + (x, y)


PIECES = st.lists(
    st.tuples(
        st.floats(0.5, 5.5),
        st.floats(0.5, 5.5),
        st.floats(0.4, 2.5),
        st.floats(0.4, 2.5),
        st.floats(0.0, math.pi),
    ),
    max_size=5,
)


@settings(max_examples=20, deadline=None)
@given(
    PIECES,
    st.booleans(),
    st.lists(st.tuples(st.integers(1, 23), st.integers(1, 23)), min_size=4, max_size=4),
)
def test_property_as_long_as_a_search_over_a_grid(
    pieces: list[tuple[float, ...]], ell: bool, cells: list[tuple[int, int]]
) -> None:
    plan = np.array(ELL if ell else ((0.0, 6.0), (6.0, 6.0), (6.0, 0.0), (0.0, 0.0)))
    rings = [turned(*piece) for piece in pieces]
    places = np.array(cells) * STEP_M
    free = inside(plan, places) & ~np.any(
        [inside(one, places) for one in rings] or [np.zeros(4, bool)], axis=0
    )
    places = places[free]
    assume(len(places) >= 2)
    floor = Floor(ring(plan), tuple(Zone("furniture", ring(one)) for one in rings))
    search = on_a_grid_m(plan, rings, places)
    given_ = floor.sources(places[:1], (0.0,))
    many = floor.lengths_m(given_, places[1:])
    for share in (0.5, 0.99, 1.0, 1.01, 2.0):  # property: within a length where it is no more
        assert (floor.within(given_, places[1:], share * many) == (many <= share * many)).all()
    for other in range(1, len(places)):
        way = floor.way(places[0], places[other])
        assert many[other - 1] == pytest.approx(way.length_m)
        path = np.array(way.path_m)
        assert bool(np.all(inside(plan, path, edge_m=0.011)))
        if max(way.inside_m, default=0.0) > 0.0:
            assert not np.isfinite(search[0, other])  # nothing leads round
        elif np.isfinite(search[0, other]):
            # property: never longer than a way that was found, and as short but for the grid's
            # steps and what is too narrow for them
            assert way.length_m <= search[0, other] + 1e-6
            if not pieces:
                assert search[0, other] <= 1.02 * way.length_m + STEP_M


def test_a_grid_finds_nothing_much_shorter_or_longer() -> None:
    # property: round pieces well apart the two agree within the grid's own error, 1.4 % and a step a
    # corner
    rings = [turned(2.0, 3.0, 2.0, 0.5, 0.4), turned(4.4, 1.5, 0.6, 2.0, 1.0)]
    plan = np.array(ELL)
    places = np.array([(0.5, 5.5), (5.5, 0.5), (2.5, 0.25), (1.0, 1.0)])
    search = on_a_grid_m(plan, rings, places)
    floor = Floor(ELL, tuple(Zone("furniture", ring(one)) for one in rings))
    for one, other in itertools.combinations(range(4), 2):
        way = floor.way(places[one], places[other])
        assert way.length_m <= search[one, other] + 1e-6
        assert search[one, other] <= 1.014 * way.length_m + 2 * STEP_M
