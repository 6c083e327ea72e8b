"""A room cut into patches: sizes, ways, names and borders by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest

from scout.calc.geometry import rectangle_m
from scout.calc.radiosity import cut
from scout.calc.radiosity.boxes import Box
from scout.calc.radiosity.patches import MOST_PATCHES, Opening, Patches, _breaks
from scout.errors import OutOfRange

L_PLAN = np.array([(0.0, 5.0), (3.0, 5.0), (3.0, 3.0), (6.0, 3.0), (6.0, 0.0), (0.0, 0.0)])
KITE = np.array([(0.0, 3.0), (3.5, 4.0), (5.0, 1.0), (1.0, 0.0)])
WINDOW: Opening = ("W1", 0, 1.0, 0.9, 2.0, 1.5)


def areas(patches: Patches) -> dict[str, float]:
    return dict(zip(patches.names, patches.by_surface(patches.area_m2).tolist(), strict=True))


def test_each_surface_has_its_area() -> None:
    """By hand: 4 by 3 m, 2.5 m high, a window of 2.0 by 1.5 m in wall A."""
    found = areas(cut(rectangle_m(4.0, 3.0), 2.5, [WINDOW], 0.5))
    assert found == pytest.approx(
        {"A": 7.0, "B": 7.5, "C": 10.0, "D": 7.5, "floor": 12.0, "ceiling": 12.0, "W1": 3.0}
    )
    assert list(found) == ["A", "B", "C", "D", "floor", "ceiling", "W1"]


@pytest.mark.parametrize(
    ("plan", "floor_m2", "walls_m"),
    # by hand: L of 6 x 3 and 3 x 2; kite by the shoelace, 12.5
    [
        (L_PLAN, 24.0, [3.0, 2.0, 3.0, 3.0, 6.0, 5.0]),
        (KITE, 12.5, [math.hypot(3.5, 1), math.hypot(1.5, 3), math.hypot(4, 1), math.hypot(1, 3)]),
    ],
)
@pytest.mark.parametrize("patch_m", [0.3, 0.75, 2.0])
def test_any_plan_has_its_area(
    plan: np.ndarray, floor_m2: float, walls_m: list[float], patch_m: float
) -> None:
    patches = cut(plan, 2.4, [], patch_m)
    found = list(areas(patches).values())
    assert found[-2:] == pytest.approx([floor_m2, floor_m2])
    assert found[:-2] == pytest.approx([2.4 * wall for wall in walls_m])
    # property: no side longer than asked (a slanted end may lie across), all round the same way
    sides = np.linalg.norm(np.roll(patches.corners_m, -1, axis=1) - patches.corners_m, axis=-1)
    walls = patches.surface < len(plan)
    assert sides[walls].max() <= patch_m + 1e-9
    a, b, c, d = np.moveaxis(patches.corners_m, 1, 0)
    turn = np.cross(b - a, c - a) + np.cross(c - a, d - a)
    assert np.all(np.einsum("px,px->p", turn, patches.normal) > 0)
    assert np.linalg.norm(patches.normal, axis=1) == pytest.approx(np.ones(len(patches.normal)))


def test_normals_look_into_the_room() -> None:
    # property: from each patch a step along its normal lies nearer to the middle of a convex room
    patches = cut(rectangle_m(4.0, 3.0), 2.5, [WINDOW], 0.5)
    middle = np.array([2.0, 1.5, 1.25])
    assert np.all(np.einsum("px,px->p", middle - patches.centre_m, patches.normal) > 0)
    for name, way in (("floor", (0, 0, 1)), ("ceiling", (0, 0, -1)), ("W1", (0, -1, 0))):
        assert patches.normal[patches.of(name)] == pytest.approx(
            np.broadcast_to(way, (int(patches.of(name).sum()), 3))
        )


@pytest.mark.parametrize(
    ("patch_m", "floor", "wall_b"),
    # by hand: 4 x 3 m and 3 x 2.5 m
    [
        (0.5, 8 * 6, 6 * 5),
        (0.51, 8 * 6, 6 * 5),
        (0.49, 9 * 7, 7 * 6),
        (1.0, 4 * 3, 3 * 3),
        (9.0, 1, 1),
    ],
)
def test_how_many_patches(patch_m: float, floor: int, wall_b: int) -> None:
    patches = cut(rectangle_m(4.0, 3.0), 2.5, [], patch_m)
    count = dict(zip(patches.names, np.bincount(patches.surface).tolist(), strict=True))
    assert (count["floor"], count["ceiling"], count["B"]) == (floor, floor, wall_b)
    assert patches.flat.tolist() == patches.surface.tolist()


def test_walls_are_cut_along_their_openings() -> None:
    """By hand: in wall A (left to right from (0, 3)) the window lies from x 1 to 3, z 0.9 to 2.4."""
    patches = cut(rectangle_m(4.0, 3.0), 2.5, [WINDOW], 1.0)
    corners = patches.corners_m[patches.of("W1")]
    assert corners[..., 0].min() == pytest.approx(1.0)
    assert corners[..., 0].max() == pytest.approx(3.0)
    assert corners[..., 1] == pytest.approx(np.full(corners.shape[:2], 3.0))
    assert (corners[..., 2].min(), corners[..., 2].max()) == pytest.approx((0.9, 2.4))
    assert set(patches.flat[patches.of("W1")]) == {0}
    assert len(corners) == 2 * 2


def test_cuts_run_through_edges_and_no_further_apart() -> None:
    """By hand: 0 to 2 with an edge at 0.7, every 0.5 at most: halves of 0.35, thirds of 0.433."""
    assert _breaks([0.0, 2.0, 0.7], 2.0, 0.5) == pytest.approx(
        [0, 0.35, 0.7, 0.7 + 1.3 / 3, 0.7 + 2.6 / 3, 2]
    )
    # edges a micrometre from another, or from the end, are one
    assert _breaks([0.0, 1.0, 1e-7, 0.5, 0.5 + 1e-7, 1.0 - 1e-7], 1.0, 2.0) == pytest.approx(
        [0, 0.5, 1]
    )
    assert len(_breaks([0.0, 1.0, 0.5, 0.500002], 1.0, 2.0)) == 4


@pytest.mark.parametrize(
    ("right", "wrong", "path"),
    [
        # by hand: half a centimetre and a tenth of a millimetre over the end of 4 m and 2.5 m
        (("W", 0, 2.005, 0.9, 2.0, 1.0), ("W", 0, 2.0052, 0.9, 2.0, 1.0), "openings.W.width_m"),
        (("W", 0, 1.0, 1.505, 2.0, 1.0), ("W", 0, 1.0, 1.5052, 2.0, 1.0), "openings.W.height_m"),
        (("W", 0, 0.0, 0.9, 2.0, 1.0), ("W", 0, -0.1, 0.9, 2.0, 1.0), "openings.W.offset_m"),
        (("W", 0, 0.0, 0.0, 2.0, 1.0), ("W", 0, 0.0, -0.1, 2.0, 1.0), "openings.W.sill_m"),
        (("W", 0, 0.0, 0.0, 1e-5, 1.0), ("W", 0, 0.0, 0.0, 1e-6, 1.0), "openings.W.width_m"),
        (("W", 0, 0.0, 0.0, 1.0, 1e-5), ("W", 0, 0.0, 0.0, 1.0, 1e-6), "openings.W.height_m"),
        (("W", 3, 0.0, 0.9, 2.0, 1.0), ("W", 4, 0.0, 0.9, 2.0, 1.0), "openings.W.wall"),
        (("W", 0, 0.0, 0.9, 2.0, 1.0), ("W", -1, 0.0, 0.9, 2.0, 1.0), "openings.W.wall"),
    ],
)
def test_openings_lie_on_their_wall(right: Opening, wrong: Opening, path: str) -> None:
    plan = rectangle_m(4.0, 3.0)
    assert "W" in cut(plan, 2.5, [right], 1.0).names
    with pytest.raises(OutOfRange) as refusal:
        cut(plan, 2.5, [wrong], 1.0)
    assert refusal.value.path == path


@pytest.mark.parametrize(
    ("other", "overlap"),
    [
        (("W2", 0, 2.995, 0.9, 1.0, 1.5), False),
        (("W2", 0, 2.994, 0.9, 1.0, 1.5), True),
        (("W2", 0, 0.0, 0.9, 1.005, 1.5), False),
        (("W2", 0, 0.0, 0.9, 1.006, 1.5), True),
        (("W2", 0, 1.5, 0.0, 1.0, 0.905), False),
        (("W2", 0, 1.5, 0.0, 1.0, 0.906), True),
        (("W2", 2, 1.0, 0.9, 2.0, 1.5), False),
    ],
)
def test_openings_do_not_overlap(other: Opening, overlap: bool) -> None:
    """By hand: the window lies from 1 to 3 m and from 0.9 to 2.4 m up; half a centimetre is a tape's."""
    plan = rectangle_m(4.0, 3.0)
    if not overlap:
        assert "W2" in cut(plan, 2.5, [WINDOW, other], 1.0).names
        return
    with pytest.raises(OutOfRange) as refusal:
        cut(plan, 2.5, [WINDOW, other], 1.0)
    assert refusal.value.path == "openings.W2.offset_m"


@pytest.mark.parametrize(
    ("plan", "high", "patch_m", "path"),
    [
        (rectangle_m(4.0, 3.0)[::-1], 2.5, 1.0, "plan_m"),
        (np.array([(0, 1), (1, 0), (1, 1), (0, 0)]), 2.5, 1.0, "plan_m"),
        (np.zeros((4, 3)), 2.5, 1.0, "plan_m"),
        (rectangle_m(4.0, 3.0), 0.0, 1.0, "height_m"),
        (rectangle_m(4.0, 3.0), 2.5, 0.049, "patch_m"),
    ],
)
def test_what_is_no_room(plan: np.ndarray, high: float, patch_m: float, path: str) -> None:
    with pytest.raises(OutOfRange) as refusal:
        cut(plan, high, [], patch_m)
    assert refusal.value.path.startswith(path)


def test_no_more_patches_than_can_be_held() -> None:
    """By hand: 4 x 3 x 2.5 m has 24 + 35 = 59 m2: 6000 patches are of 0.0992 m."""
    assert MOST_PATCHES == 6000
    plan = rectangle_m(4.0, 3.0)
    assert len(cut(plan, 2.5, [], 0.0993).normal) >= 6000
    with pytest.raises(OutOfRange) as refusal:
        cut(plan, 2.5, [], 0.0991)
    assert refusal.value.path == "patch_m"


def test_names_are_told_apart() -> None:
    plan = rectangle_m(4.0, 3.0)
    for name in ("A", "floor"):
        with pytest.raises(OutOfRange) as refusal:
            cut(plan, 2.5, [(name, 0, 0.0, 0.9, 1.0, 1.0)], 1.0)
        assert refusal.value.path == "openings"
    with pytest.raises(OutOfRange) as refusal:
        cut(plan, 2.5, [], 1.0).of("W1")
    assert refusal.value.path == "surface"


@pytest.mark.parametrize(
    ("plan", "per_side", "gauss"),
    [(L_PLAN, 1, False), (L_PLAN, 3, False), (L_PLAN, 1, True), (L_PLAN, 3, True), (KITE, 3, True)],
)
def test_points_spread_over_a_patch(plan: np.ndarray, per_side: int, gauss: bool) -> None:
    # property: shares sum to one and the points' middle is the patch's centroid, of a trapezoid too
    patches = cut(plan, 2.4, [], 0.7)
    points, share = patches.points(per_side, gauss=gauss)
    assert points.shape == (len(patches.normal), per_side**2, 3)
    assert share.sum(axis=1) == pytest.approx(np.ones(len(points)))
    middle = np.einsum("pk,pkx->px", share, points)
    assert middle == pytest.approx(patches.centre_m)
    drawn, _ = patches.drawn_in(per_side, gauss=gauss)
    assert np.einsum("pkx,px->pk", drawn - points, patches.normal).min() > 0
    if gauss and per_side == 3:
        # source: Abramowitz and Stegun 25.4.30: nodes 0 and sqrt(0.6), weights 8/9 and 5/9
        flat = cut(rectangle_m(2.0, 2.0), 2.0, [], 2.0)
        at, weight = flat.points(3, gauss=True)
        low = at[flat.of("floor")][0]
        assert np.unique(np.round(low[:, 0], 9)) == pytest.approx([1 - 0.6**0.5, 1, 1 + 0.6**0.5])
        assert sorted(set(np.round(weight[0], 9))) == pytest.approx([25 / 324, 40 / 324, 64 / 324])


@pytest.mark.parametrize(("low_m", "floor", "faces"), [(0.0, 11.0, 4.2), (0.5, 12.0, 3.2)])
def test_what_a_box_stands_against_counts_for_nothing(
    low_m: float, floor: float, faces: float
) -> None:
    """By hand: 1 x 1 m, up to 0.8 m, on 4 x 3 m: it takes 1 m2 of the floor and has a top of 1 m2 and
    sides of 4 x 0.8 m2; open below up to 0.5 m it takes none and has an underside: 2 + 4 x 0.3 m2.
    """
    box = Box("table", 1.5, 1.5, 1.0, 1.0, 0.0, low_m, 0.8)
    found = areas(cut(rectangle_m(4.0, 3.0), 2.5, [], 0.5, (box,)))
    assert found["floor"] == pytest.approx(floor)
    assert found["table"] == pytest.approx(faces)
    # by the wall: its side there is no longer in the room, nor the wall's part behind it
    beside = Box("table", 0.5, 1.5, 1.0, 1.0, 0.0, 0.0, 0.8)
    found = areas(cut(rectangle_m(4.0, 3.0), 2.5, [], 0.5, (beside,)))
    assert found["table"] == pytest.approx(3.4)
    assert found["D"] == pytest.approx(7.5 - 0.8, abs=0.05)
