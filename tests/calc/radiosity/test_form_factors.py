"""Form factors against the catalogue of analytic ones, and against what must hold in any closed
room.
"""

from __future__ import annotations

import numpy as np
import pytest

from scout.calc.geometry import rectangle_m
from scout.calc.radiosity import (
    at_point,
    at_points,
    cut,
    enclosure,
    form_factors,
    points_factors,
    sees,
)
from scout.calc.radiosity.visibility import inner_walls, uncut
from scout.errors import OutOfRange
from scout.values import Said

L_PLAN = np.array([(0.0, 5.0), (3.0, 5.0), (3.0, 3.0), (6.0, 3.0), (6.0, 0.0), (0.0, 0.0)])
KITE = np.array([(0.0, 3.0), (3.5, 4.0), (5.0, 1.0), (1.0, 0.0)])


def between_surfaces(
    dims: tuple[float, float, float], patch_m: float
) -> dict[tuple[str, str], float]:
    patches = cut(rectangle_m(dims[0], dims[1]), dims[2], (), patch_m)
    exchange = patches.area_m2[:, None] * form_factors(patches)
    whole = (
        patches.by_surface(patches.by_surface(exchange).T).T
        / patches.by_surface(patches.area_m2)[:, None]
    )
    return {
        (a, b): whole[i, j]
        for i, a in enumerate(patches.names)
        for j, b in enumerate(patches.names)
    }


# Source: Howell, A Catalog of Radiation Heat Transfer Configuration Factors, C-11 (parallel) and
# C-14 (perpendicular rectangles),
# evaluated with the closed formulas; each row sums to 1. Walls A and C look along y, B and D along
# x.
CATALOGUE = [
    ((1, 1, 1), 0.25, {"AC": 0.19982, "AB": 0.20004, "A.floor": 0.20004, "floor.ceiling": 0.19982}),
    (
        (4, 3, 2.5),
        0.5,
        {
            "BD": 0.11515,
            "BA": 0.20172,
            "B.floor": 0.24070,
            "AC": 0.20895,
            "AB": 0.15129,
            "A.ceiling": 0.24423,
            "floor.ceiling": 0.29207,
            "floor.B": 0.15044,
            "floor.A": 0.20352,
        },
    ),
    (
        (5, 6.5, 2.7),
        0.5,
        {
            "BD": 0.14560,
            "BA": 0.12639,
            "B.floor": 0.30081,
            "AC": 0.08244,
            "AB": 0.16431,
            "A.ceiling": 0.29447,
            "floor.ceiling": 0.43050,
            "floor.B": 0.16244,
            "floor.A": 0.12232,
        },
    ),
    (
        (8, 3, 2.4),
        0.5,
        {
            "BD": 0.03330,
            "BA": 0.21721,
            "B.floor": 0.26614,
            "AC": 0.26761,
            "AB": 0.08145,
            "A.ceiling": 0.28474,
            "floor.ceiling": 0.38473,
            "floor.B": 0.07984,
            "floor.A": 0.22779,
        },
    ),
]


@pytest.mark.parametrize(("dims", "patch_m", "expected"), CATALOGUE)
def test_rectangular_rooms_against_the_catalogue(
    dims: tuple[float, float, float], patch_m: float, expected: dict[str, float]
) -> None:
    found = between_surfaces(dims, patch_m)
    for pair, value in expected.items():
        one, other = pair.split(".") if "." in pair else (pair[0], pair[1])
        assert found[one, other] == pytest.approx(value, abs=0.0002), pair


def test_pairs_far_apart_are_as_the_contour_formula_has_them() -> None:
    # property: points joined to points are as good for far pairs as outlines, whose formula is exact
    # (Baum, Rushmeier and Winget 1989), from 16 points of each patch; patches of unlike sizes
    patches = cut(rectangle_m(4, 3), 2.6, (("window", 1, 0.4, 0.9, 1.1, 1.2),))
    points, share = patches.points(4, gauss=True)
    count, each = share.shape
    normals = np.repeat(patches.normal, each, axis=0)
    seen = points_factors(points.reshape(-1, 3), normals, patches.corners_m)
    mean = np.einsum("pkj,pk->pj", seen.reshape(count, each, count), share)
    exchange = patches.area_m2[:, None] * mean
    reference = (exchange + exchange.T) / 2.0 / patches.area_m2[:, None]
    off = np.abs(form_factors(patches) - reference)
    apart = np.linalg.norm(patches.centre_m[:, None] - patches.centre_m, axis=-1) > 1.4
    assert (off * apart).sum(axis=1).max() < 1e-3  # of all that a patch sends out
    assert (off / np.maximum(reference, 1e-9))[apart & (reference > 1e-5)].max() < 7e-3


@pytest.mark.parametrize("plan", [rectangle_m(4, 3), L_PLAN, KITE], ids=["rectangle", "L", "kite"])
def test_rows_sum_to_one_and_exchange_is_mutual(plan: np.ndarray) -> None:
    # property: a closed room loses no light, and area_i F_ij = area_j F_ji
    patches = cut(plan, 2.5)
    factors = form_factors(patches)
    assert factors.sum(axis=1) == pytest.approx(np.ones(len(factors)), abs=1e-9)
    exchange = patches.area_m2[:, None] * factors
    assert np.abs(exchange - exchange.T).max() < 1e-12
    assert factors.min() >= 0
    for name in patches.names[: len(plan)]:  # a flat wall does not light itself
        assert factors[np.ix_(patches.of(name), patches.of(name))].max() == 0


def test_point_to_polygon() -> None:
    # Source: Howell C-2 / Lambert: a unit square parallel to a small plane 1 m away over a corner
    square = np.array([[(0.0, 0.0, 1.0), (0.0, 1.0, 1.0), (1.0, 1.0, 1.0), (1.0, 0.0, 1.0)]])
    origin, up = np.zeros((1, 3)), np.array([[0.0, 0.0, 1.0]])
    assert points_factors(origin, up, square)[0, 0] == pytest.approx(0.138532, abs=1e-6)
    # unit square perpendicular to the small plane, near edge in that plane 1 m away, seen from a
    # corner
    upright = np.array([[(1.0, 0.0, 0.0), (1.0, 0.0, 1.0), (1.0, 1.0, 1.0), (1.0, 1.0, 0.0)]])
    assert points_factors(origin, up, upright)[0, 0] == pytest.approx(0.055734, abs=1e-6)
    # property: from behind nothing is seen
    assert points_factors(origin, -up, square)[0, 0] == 0
    assert points_factors(origin, up, square[:, ::-1])[0, 0] == 0


def test_what_hangs_below_the_plane_is_cut_off() -> None:
    # property: the upper half of a square that the plane halves counts, and only it
    whole = np.array([[(1.0, 0.0, -1.0), (1.0, 0.0, 1.0), (1.0, 1.0, 1.0), (1.0, 1.0, -1.0)]])
    upper = np.array([[(1.0, 0.0, 0.0), (1.0, 0.0, 1.0), (1.0, 1.0, 1.0), (1.0, 1.0, 0.0)]])
    corner = np.array(
        [[(1.0, 0.0, -0.5), (1.0, 1.0, 0.5), (1.0, 1.0, -0.5)]]
    )  # a triangle cut to a smaller one
    tip = np.array([[(1.0, 0.5, 0.0), (1.0, 1.0, 0.5), (1.0, 1.0, 0.0)]])
    origin, up = np.zeros((1, 3)), np.array([[0.0, 0.0, 1.0]])
    assert points_factors(origin, up, whole) == pytest.approx(
        points_factors(origin, up, upper), abs=1e-12
    )
    assert points_factors(origin, up, corner) == pytest.approx(
        points_factors(origin, up, tip), abs=1e-12
    )
    assert points_factors(origin, up, corner)[0, 0] > 0


@pytest.mark.parametrize("plan", [rectangle_m(4, 3), L_PLAN, KITE], ids=["rectangle", "L", "kite"])
@pytest.mark.parametrize("normal", [(1, 0, 0), (0, 0, 1), (-0.4, 0.5, -0.7), (0.6, -0.8, 0)])
def test_a_point_in_a_closed_room_sees_a_full_surround(
    plan: np.ndarray, normal: tuple[float, float, float]
) -> None:
    # property: configuration factors sum to 1 inside a closed room
    patches = cut(plan, 2.5, [("W1", 0, 0.4, 0.9, 1.2, 1.1)])
    assert at_point(patches, (1.9, 2.1, 1.2), normal).sum() == pytest.approx(1.0, abs=1e-6)


def test_l_room_against_rays() -> None:
    # Source: Monte Carlo, cosine-weighted rays from a point round the corner of an L, by hand: x, y
    # walls and both levels
    rng = np.random.default_rng(7)
    count = 200_000
    at = np.array([1.0, 4.2, 1.2])
    phi, r = rng.uniform(0, 2 * np.pi, count), np.sqrt(rng.uniform(0, 1, count))
    side, up, ahead = r * np.cos(phi), r * np.sin(phi), np.sqrt(1 - r**2)
    normal, lateral = np.array([0.8, -0.6, 0.0]), np.array([0.6, 0.8, 0.0])
    way = (
        ahead[:, None] * normal + side[:, None] * lateral + up[:, None] * np.array([0.0, 0.0, 1.0])
    )
    best, hit = np.full(count, np.inf), np.full(count, -1)
    for number, (a, b) in enumerate(zip(L_PLAN, np.roll(L_PLAN, -1, axis=0), strict=True)):
        edge = b - a
        across = way[:, 0] * edge[1] - way[:, 1] * edge[0]
        with np.errstate(divide="ignore", invalid="ignore"):
            t = ((a[0] - at[0]) * edge[1] - (a[1] - at[1]) * edge[0]) / across
            s = ((a[0] - at[0]) * way[:, 1] - (a[1] - at[1]) * way[:, 0]) / across
        nearer = (t > 1e-9) & (s >= 0) & (s <= 1) & (t < best)
        best[nearer], hit[nearer] = t[nearer], number
    with np.errstate(divide="ignore"):
        level = np.where(way[:, 2] > 0, (2.5 - at[2]) / way[:, 2], -at[2] / way[:, 2])
    flat = level < best
    hit[flat] = np.where(way[flat, 2] > 0, 7, 6)
    share = np.bincount(hit, minlength=8) / count
    patches = cut(L_PLAN, 2.5, patch_m=0.25)
    found = patches.by_surface(at_point(patches, at, normal))
    assert found == pytest.approx(share, abs=0.004)  # 0.001 is one standard error of the rays
    assert found[3] > 0.01  # wall D, the far end, is partly seen round the corner
    assert found[2] == 0  # wall C looks the other way


def test_l_room_form_factors_against_rays() -> None:
    # Source: Monte Carlo over random lines between two walls of the L that its corner at (3, 3)
    # partly hides from each other
    rng = np.random.default_rng(11)
    count = 400_000
    here = enclosure(tuple(map(tuple, L_PLAN)), 2.5, (), 0.5)
    exchange = here.patches.by_surface(
        here.patches.by_surface(here.patches.area_m2[:, None] * here.factors).T
    )
    start = np.column_stack(
        [rng.uniform(0, 3, count), np.full(count, 5.0), rng.uniform(0, 2.5, count)]
    )  # on wall A, looking down -y
    far_end = np.column_stack(
        [np.full(count, 6.0), rng.uniform(0, 3, count), rng.uniform(0, 2.5, count)]
    )  # on wall D, looking down -x
    bottom = np.column_stack(
        [rng.uniform(0, 6, count), np.zeros(count), rng.uniform(0, 2.5, count)]
    )  # on wall E, looking up +y
    for end, normal, area_m2, number in (
        (far_end, (-1.0, 0, 0), 7.5, 3),
        (bottom, (0, 1.0, 0), 15.0, 4),
    ):
        way = end - start
        far = np.linalg.norm(way, axis=1)
        at_corner_x = start[:, 0] + way[:, 0] * 2.0 / -way[:, 1]  # x where the line passes y = 3
        kernel = np.where(
            at_corner_x <= 3.0, -way[:, 1] * -(way @ np.array(normal)) / (np.pi * far**4), 0.0
        )
        assert exchange[0, number] / 7.5 == pytest.approx(kernel.mean() * area_m2, abs=0.0005)


@pytest.mark.parametrize("plan", [rectangle_m(4, 3), L_PLAN, KITE], ids=["rectangle", "L", "kite"])
def test_many_points_at_once_see_what_each_sees_alone(plan: np.ndarray) -> None:
    # property: one by one or together is the same question
    patches = cut(plan, 2.5, [("W1", 0, 0.5, 0.9, 1.2, 1.1)])
    places = np.array([(1.2, 1.1, 0.85), (2.4, 1.7, 1.2), (1.7, 2.5, 0.4)])
    for way in ((0.0, 0.0, 1.0), (0.6, -0.8, 0.1)):
        assert at_points(patches, places, way) == pytest.approx(
            np.array([at_point(patches, place, way) for place in places]), abs=1e-12
        )


def test_only_walls_that_turn_back_hide_one_point_of_a_room_from_another() -> None:
    # by hand: of the L only the two walls at its inner corner, (3, 5) to (3, 3) to (6, 3), have
    # some of the room beyond their line
    inner = inner_walls(L_PLAN)
    assert inner.tolist() == [[[3.0, 5.0], [3.0, 3.0]], [[3.0, 3.0], [6.0, 3.0]]]
    assert len(inner_walls(KITE)) == 0
    # property: so leaving out the others changes nothing
    random = np.random.default_rng(7)
    points = random.uniform((0, 0), (6, 5), (300, 2))
    points = points[(points[:, 0] < 3) | (points[:, 1] < 3)]
    found = uncut(inner, points[:, None], points[None])
    assert np.array_equal(found, sees(L_PLAN, points[:, None], points[None]))
    assert 0.5 < found.mean() < 1.0


def test_openings_are_patches_of_their_own() -> None:
    patches = cut(
        rectangle_m(5, 6.5), 2.7, [("W1", 0, 1.5, 0.9, 2.0, 1.5), ("D1", 2, 0.4, 0.0, 0.83, 2.0)]
    )
    by_name = dict(zip(patches.names, patches.by_surface(patches.area_m2), strict=True))
    # by hand: W1 2 x 1.5; D1 .83 x 2; A 5 x 2.7 - 3; C 5 x 2.7 - 1.66; floor 5 x 6.5
    assert by_name["W1"] == pytest.approx(3.0)
    assert by_name["D1"] == pytest.approx(1.66)
    assert by_name["A"] == pytest.approx(10.5)
    assert by_name["C"] == pytest.approx(11.84)
    assert by_name["floor"] == pytest.approx(32.5)
    window = patches.corners_m[patches.of("W1")]
    assert window[..., 0].min() == pytest.approx(1.5)  # A runs from (0, L) to (W, L): offset is x
    assert window[..., 0].max() == pytest.approx(3.5)
    door = patches.corners_m[patches.of("D1")]
    assert door[..., 0].max() == pytest.approx(4.6)  # C runs from (W, 0) to (0, 0): 5 - 0.4
    assert np.all(np.ptp(patches.corners_m, axis=1) <= 0.5 + 1e-9)


def test_patches_face_the_room_whatever_its_plan() -> None:
    for plan in (rectangle_m(4, 3), L_PLAN, KITE):
        patches = cut(plan, 2.4)
        a, b, c = patches.corners_m[:, 0], patches.corners_m[:, 1], patches.corners_m[:, 2]
        d = patches.corners_m[:, 3]
        made = np.cross(
            c - a, d - b
        )  # anticlockwise as seen from inside: the right-hand normal points into the room
        made /= np.linalg.norm(made, axis=1, keepdims=True)
        assert made == pytest.approx(patches.normal, abs=1e-9)
        # property: patches tile the surfaces. by hand: two floors and the walls
        x, y = plan.T
        floor = abs(0.5 * np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y))
        walls = np.hypot(*(np.roll(plan, -1, axis=0) - plan).T).sum() * 2.4
        assert patches.area_m2.sum() == pytest.approx(2 * floor + walls)


@pytest.mark.parametrize(
    ("opening", "path"),
    [
        (("W1", 0, 3.5, 0.9, 2.0, 1.0), "openings.W1.width_m"),
        (("W1", 0, 0.5, 2.0, 1.0, 1.0), "openings.W1.height_m"),
        (("W1", 9, 0.5, 1.0, 1.0, 1.0), "openings.W1.wall"),
        (("W1", 0, -0.5, 1.0, 1.0, 1.0), "openings.W1.offset_m"),
        (("W1", 0, float("nan"), 1.0, 1.0, 1.0), "openings.W1.offset_m"),
    ],
)
def test_openings_that_cannot_be_are_refused_by_name(
    opening: tuple[str, int, float, float, float, float], path: str
) -> None:
    with pytest.raises(OutOfRange) as refusal:
        cut(rectangle_m(4, 3), 2.5, [opening])
    assert refusal.value.path == path


def test_overlapping_openings_and_bad_plans_are_refused() -> None:
    both = [("W1", 0, 0.5, 1.0, 1.0, 1.0), ("W2", 0, 1.4, 0.5, 1.0, 1.0)]
    for plan, height_m, openings, path, code in (
        (rectangle_m(4, 3), 2.5, both, "openings.W2.offset_m", "overlap"),
        (rectangle_m(4, 3), 2.5, [both[0], both[0]], "openings", "same_name"),
        (rectangle_m(4, 3), 2.5, [("W1", 4, 0.5, 1.0, 1.0, 1.0)], "openings.W1.wall", "no_wall"),
        (rectangle_m(4, 3)[::-1], 2.5, [], "plan_m", "plan_clockwise"),
        ([(0, 0), (2, 2), (2, 0), (0, 2)], 2.5, [], "plan_m", "plan_crosses"),
        (rectangle_m(100, 60), 6.0, [], "patch_m", "most"),
    ):
        with pytest.raises(OutOfRange) as refusal:
            cut(plan, height_m, openings)
        assert isinstance(refusal.value.because, Said)
        assert (refusal.value.path, refusal.value.because.code) == (
            path,
            f"refusal.patches.{code}",
        )
