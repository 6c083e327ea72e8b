"""Sun patches: six worked examples of the closed form, then brute-force rays in random rooms of any
plan.
"""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from scout.calc.daylight.sun.position import towards
from scout.calc.daylight.window.beam import beam_hits
from scout.calc.daylight.window.pane import Pane, incidence_deg
from scout.calc.daylight.window.sun_patches import SunOnWindow, sun_through
from scout.calc.geometry import rectangle_m, walls
from scout.calc.radiosity import Box
from scout.calc.radiosity.boxes import FACES

Array = NDArray[np.float64]

# Source: closed form by polygon clipping, checked independently by 900 x 900 rays (areas to 0.002
# m2, lit share to 0.0005). The window
# wall is A of a room W wide and D deep; u runs from its left end, d into the room. Columns: facing,
# sun azimuth and elevation, W, D,
# window (u0, sill, width, height), reveal, overhang, gap; then incidence, profile, lit share,
# floor, opposite wall, left wall [m2].
SIX = [
    (
        180.0,
        180,
        30,
        4.0,
        5.0,
        (1, 0.9, 2, 1.5),
        0.0,
        0.0,
        0.0,
        30.0000,
        30.0000,
        1.0,
        5.1962,
        0,
        0,
    ),
    (
        180.0,
        225,
        35,
        4.0,
        5.0,
        (1, 0.9, 2, 1.5),
        0.0,
        0.0,
        0.0,
        54.6037,
        44.7191,
        1.0,
        2.0162,
        0,
        1.0035,
    ),
    (180.0, 190, 10, 4.0, 5.0, (1, 0.9, 2, 1.5), 0.0, 0.0, 0.0, 14.1060, 10.1511, 1.0, 0, 3.0, 0),
    (
        182.6,
        240,
        25,
        4.0,
        5.0,
        (1, 0.9, 2, 1.5),
        0.2,
        0.0,
        0.0,
        60.7716,
        40.8763,
        0.7463,
        0.3602,
        0,
        1.2324,
    ),
    (
        180.0,
        170,
        60,
        4.0,
        5.0,
        (1, 0.9, 2, 1.5),
        0.0,
        0.8,
        0.3,
        60.5013,
        60.3783,
        0.2620,
        0.4469,
        0,
        0,
    ),
    (
        270.0,
        283,
        12,
        3.6,
        6.0,
        (0.4, 0.8, 1.2, 1.3),
        0.3,
        0.6,
        0.2,
        17.6214,
        12.3061,
        0.8948,
        0.9677,
        0.1056,
        4.6748,
    ),
]
# Source: the same; corners (u, d) of the floor patch and, for 3 and 6, (u, z) on the opposite wall.
FLOORS = [
    [(1, 1.559), (3, 1.559), (3, 4.157), (1, 4.157)],
    [(0.091, 0.909), (2.091, 0.909), (0.576, 2.424), (0, 2.424), (0, 1.0)],
    [],
    [(0, 1.040), (1.061, 1.040), (0, 1.719)],
    [(1.090, 0.512), (3.090, 0.512), (3.130, 0.735), (1.130, 0.735)],
    [(0, 3.667), (0.684, 3.667), (0.146, 6), (0, 6)],
]


def areas(sun: SunOnWindow) -> dict[str, float]:
    found: dict[str, float] = {}
    for patch in sun.patches:
        found[patch.surface] = found.get(patch.surface, 0.0) + patch.area_m2
    return found


def same_corners(got: Array, want: list[tuple[float, float]]) -> bool:
    if len(got) != len(want):
        return False
    target = np.array(want)
    return all(np.min(np.linalg.norm(target - corner, axis=1)) < 0.0011 for corner in got)


@pytest.mark.parametrize("number", range(6))
def test_six_examples(number: int) -> None:
    (
        facing,
        azimuth,
        height,
        w,
        d,
        (u0, sill, width, tall),
        reveal,
        over,
        gap,
        incidence,
        _,
        share,
        floor,
        back,
        left,
    ) = SIX[number]
    pane = Pane(0, u0, sill, width, tall, reveal, over, gap)
    sun = sun_through(
        rectangle_m(w, d), 3.0, pane, facing_deg=facing, azimuth_deg=azimuth, elevation_deg=height
    )
    assert sun.incidence_deg == pytest.approx(incidence, abs=1e-4)
    assert sun.lit_share == pytest.approx(share, abs=1e-4)
    got = areas(sun)
    for surface, want in (("floor", floor), ("C", back), ("D", left)):
        assert got.get(surface, 0.0) == pytest.approx(want, abs=0.001), surface
    floors = [patch.polygon_m for patch in sun.patches if patch.surface == "floor"]
    assert len(floors) == (1 if FLOORS[number] else 0)
    if floors:
        u_d = np.column_stack(
            [floors[0][:, 0], d - floors[0][:, 1]]
        )  # wall A runs along x at y = D
        assert same_corners(u_d, FLOORS[number])
        assert np.all(floors[0][:, 2] == 0)


@pytest.mark.parametrize(
    ("number", "want"),
    [
        (2, [(0.118, 0.005), (2.118, 0.005), (2.118, 1.505), (0.118, 1.505)]),
        (5, [(0, 0), (0.146, 0), (0.146, 0.726), (0, 0.726)]),
    ],
)
def test_patch_on_the_opposite_wall(number: int, want: list[tuple[float, float]]) -> None:
    facing, azimuth, height, w, d, (u0, sill, width, tall), reveal, over, gap = SIX[number][:9]
    pane = Pane(0, u0, sill, width, tall, reveal, over, gap)
    sun = sun_through(
        rectangle_m(w, d), 3.0, pane, facing_deg=facing, azimuth_deg=azimuth, elevation_deg=height
    )
    (patch,) = [patch for patch in sun.patches if patch.surface == "C"]
    assert same_corners(patch.polygon_m[:, [0, 2]], want)
    assert np.allclose(patch.polygon_m[:, 1], 0.0)


L_SHAPE = np.array([(0.0, 6.0), (3.0, 6.0), (3.0, 2.5), (7.0, 2.5), (7.0, 0.0), (0.0, 0.0)])
U_SHAPE = np.array(
    [(0.0, 5.0), (2.0, 5.0), (2.0, 2.0), (5.0, 2.0), (5.0, 5.0), (7.0, 5.0), (7.0, 0.0), (0.0, 0.0)]
)
SLANTED = np.array([(0.0, 4.0), (2.5, 5.5), (6.0, 3.0), (5.0, 0.0), (1.0, -0.5)])


def brute_force(
    plan: Array,
    room_height: float,
    pane: Pane,
    facing: float,
    azimuth: float,
    height: float,
    n: int = 260,
) -> tuple[float, dict[str, float]]:
    """Rays one by one in three dimensions: from points of the pane out to the sun past reveal,
    overhang and wings, and into the room.
    """
    side = walls(plan)
    own = side[pane.wall]
    right, up, out = np.append(own.along, 0.0), np.array([0.0, 0, 1]), np.append(own.outward, 0.0)
    turn, h = np.radians(azimuth - facing), np.radians(height)
    to_sun = np.cos(h) * (np.cos(turn) * out + np.sin(turn) * right) + np.sin(h) * up
    share = (np.arange(n) + 0.5) / n
    u, z = (
        axis.ravel()
        for axis in np.meshgrid(
            pane.offset_m + share * pane.width_m, pane.sill_m + share * pane.height_m
        )
    )
    start = np.append(own.start_m, 0.0) + u[:, None] * right + z[:, None] * up
    lit = np.full(len(u), to_sun @ out > 0)
    if pane.reveal_m > 0:
        at = start + to_sun * (pane.reveal_m / (to_sun @ out))
        across, high = (at - np.append(own.start_m, 0.0)) @ right, at[:, 2]
        lit &= (
            (across > pane.offset_m)
            & (across < pane.offset_m + pane.width_m)
            & (high > pane.sill_m)
            & (high < pane.head_m)
        )
    if pane.overhang_m > 0:
        level = pane.head_m + pane.overhang_gap_m
        way = (level - start[:, 2]) / to_sun[2]
        lit &= ~((way > 0) & (way * (to_sun @ out) < pane.overhang_m + pane.reveal_m))

    def meets(direction: Array) -> tuple[Array, NDArray[np.intp]]:
        best, which = np.full(len(u), np.inf), np.full(len(u), -1)
        for k, wall in enumerate(side):
            if k == pane.wall:
                continue
            edge = wall.end_m - wall.start_m
            cross = direction[0] * edge[1] - direction[1] * edge[0]
            if abs(cross) < 1e-12:
                continue
            gap = wall.start_m - start[:, :2]
            t = (gap[:, 0] * edge[1] - gap[:, 1] * edge[0]) / cross
            s = (gap[:, 0] * direction[1] - gap[:, 1] * direction[0]) / cross
            hit = (t > 1e-9) & (s >= 0) & (s <= 1) & (t < best)
            best[hit], which[hit] = t[hit], k
        return best, which

    t, _ = meets(to_sun)
    lit &= ~(
        np.isfinite(t) & (start[:, 2] + np.where(np.isfinite(t), t, 0) * to_sun[2] < room_height)
    )
    t, which = meets(-to_sun)
    lands = start[:, 2] - np.where(np.isfinite(t), t, 1e9) * to_sun[2]
    one = pane.width_m * pane.height_m / n**2 * (to_sun @ out)
    found = {"floor": float(np.sum(lit & (lands < 0))) * one / to_sun[2]}
    for k, wall in enumerate(side):
        on = float(np.sum(lit & (lands >= 0) & (which == k)))
        if on:
            found[wall.letter] = on * one / abs(float(to_sun[:2] @ wall.outward))
    return float(np.mean(lit)), found


@pytest.mark.parametrize(
    ("plan", "seed"),
    [(rectangle_m(4.0, 5.0), 1), (L_SHAPE, 2), (U_SHAPE, 3), (SLANTED, 4)],
    ids=["box", "L", "U", "slanted"],
)
def test_brute_force_rays_in_random_rooms(plan: Array, seed: int) -> None:
    # Source: rays followed one by one, sharing nothing with the closed form but the room.
    rng = np.random.default_rng(seed)
    tried = 0
    while tried < 14:
        wall = int(rng.integers(len(plan)))
        length = walls(plan)[wall].length_m
        width = float(rng.uniform(0.3, 0.9 * length))
        pane = Pane(
            wall,
            float(rng.uniform(0, length - width)),
            float(rng.uniform(0, 1)),
            width,
            float(rng.uniform(0.5, 1.6)),
            *(float(x) for x in rng.uniform(0, 0.4, 3) * rng.integers(0, 2, 3)),
        )
        facing, g, height = (
            float(rng.uniform(0, 360)),
            float(rng.uniform(-80, 80)),
            float(rng.uniform(3, 75)),
        )
        sun = sun_through(
            plan, 3.0, pane, facing_deg=facing, azimuth_deg=(facing + g) % 360, elevation_deg=height
        )
        share, want = brute_force(plan, 3.0, pane, facing, facing + g, height)
        if share == 0 and sun.lit_share < 0.01:
            continue
        tried += 1
        assert sun.lit_share == pytest.approx(share, abs=0.008)
        got = areas(sun)
        for surface in set(got) | set(want):
            scale = want.get(surface, 0.0) + got.get(surface, 0.0)
            assert got.get(surface, 0.0) == pytest.approx(
                want.get(surface, 0.0), abs=0.01 * scale + 0.03
            ), (surface, pane, g, height)


@pytest.mark.parametrize("number", range(6))
def test_light_through_the_glass_all_lands(number: int) -> None:
    # property: lit glass x cos i = sum over surfaces of area x cosine there (conservation of the
    # beam).
    facing, azimuth, height, w, d, (u0, sill, width, tall), reveal, over, gap = SIX[number][:9]
    sun = sun_through(
        rectangle_m(w, d),
        3.0,
        Pane(0, u0, sill, width, tall, reveal, over, gap),
        facing_deg=facing,
        azimuth_deg=azimuth,
        elevation_deg=height,
    )
    g, h = np.radians(azimuth - facing), np.radians(height)
    cosine = {
        "floor": np.sin(h),
        "C": np.cos(h) * np.cos(g),
        "D": np.cos(h) * np.sin(g),
        "B": -np.cos(h) * np.sin(g),
    }
    landed = sum(area * cosine[surface] for surface, area in areas(sun).items())
    assert landed == pytest.approx(
        sun.lit_share * width * tall * np.cos(np.radians(sun.incidence_deg)), rel=1e-9
    )


def test_sun_behind_the_wall_or_past_the_reveal_lights_nothing() -> None:
    room = rectangle_m(4, 5)
    assert (
        sun_through(
            room, 3, Pane(0, 1, 0.9, 2, 1.5), facing_deg=180, azimuth_deg=0, elevation_deg=30
        ).patches
        == ()
    )
    # by hand: reveal 1 m, g = 70: jamb shadow tan 70 = 2.75 m > 2 m wide.
    assert (
        sun_through(
            room, 3, Pane(0, 1, 0.9, 2, 1.5, 1.0), facing_deg=180, azimuth_deg=250, elevation_deg=30
        ).lit_share
        == 0.0
    )
    assert incidence_deg(180, 30) == pytest.approx(150)


@pytest.mark.parametrize(
    ("azimuth_deg", "elevation_deg"), [(0.0, 30.0), (25.0, 35.0), (-30.0, 20.0), (0.0, 10.0)]
)
def test_furniture_stops_the_sun(azimuth_deg: float, elevation_deg: float) -> None:
    # property: all the light that the glass lets in lands somewhere, and on each thing as much as
    # 160,000 rays followed one by one put there
    plan = ((0.0, 5.0), (4.0, 5.0), (4.0, 0.0), (0.0, 0.0))
    pane = Pane(0, 1.0, 0.9, 2.0, 1.5)
    boxes = (
        Box("table", 2.0, 3.6, 1.2, 0.8, 20.0, 0.7, 0.74),
        Box("sofa", 1.6, 2.2, 0.9, 1.6, 0.0, 0.0, 0.8),
        Box("tall", 3.0, 4.2, 0.3, 0.3, 30.0, 0.0, 1.6),
    )
    lit = sun_through(
        plan,
        2.7,
        pane,
        facing_deg=0.0,
        azimuth_deg=azimuth_deg,
        elevation_deg=elevation_deg,
        boxes=boxes,
    )
    way = towards(elevation_deg, azimuth_deg)
    landed: dict[str, float] = {}
    for patch in lit.patches:
        corners = patch.polygon_m - patch.polygon_m[0]
        turned = 0.5 * np.sum(np.cross(corners, np.roll(corners, -1, axis=0)), axis=0)
        glass_m2 = abs(float(turned @ way)) / float(way[1])  # along the ray, back to the pane
        landed[patch.surface] = landed.get(patch.surface, 0.0) + glass_m2
    assert sum(landed.values()) == pytest.approx(3.0)
    hits = beam_hits(
        plan,
        2.7,
        pane,
        np.array([azimuth_deg]),
        np.array([elevation_deg]),
        per_side=400,
        boxes=boxes,
    )
    names = ["A", "B", "C", "D", "floor", "ceiling", *(b.name for b in boxes for _ in range(FACES))]
    for name, glass_m2 in landed.items():
        rays = [k for k, one in enumerate(names) if one == name]
        area = float(hits.area_m2[np.isin(hits.surface, rays)].sum())
        assert glass_m2 == pytest.approx(area, abs=0.01), name
