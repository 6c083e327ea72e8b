"""Lengths off a photo of a wall: rendered walls with random cameras, lenses and taps, and real photos
of printed boards.
"""

from __future__ import annotations

import json
import math
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.random import Generator

from scout.calc.photo.camera import FOCAL_SIGMA, LENS_SIGMA, MIDDLE_SIGMA, Camera, camera_of
from scout.calc.photo.model import BUILT_TILT, SHEET_TILT, Shape, View
from scout.calc.photo.wall import WallFit, fit_wall
from scout.errors import OutOfRange

BOARDS = Path(__file__).parents[2] / "open_data" / "chessboards.json"
A4 = (0.210, 0.297)  # ISO 216
WIDE, HIGH = 4032.0, 3024.0  # twelve megapixels, the size of most phones' photos
FILM_MM = 43.2666  # CIPA DCG-001: the diagonal of 36 x 24 mm


def corners(x: float, y: float, wide: float, high: float, tilt: float = 0.0) -> Any:
    """Clockwise from the upper left, y down."""
    half = np.array([(-wide, -high), (wide, -high), (wide, high), (-wide, high)]) / 2
    c, s = math.cos(tilt), math.sin(tilt)
    return np.array([x + wide / 2, y + high / 2]) + half @ np.array([(c, s), (-s, c)])


def turned(yaw: float, pitch: float = 0.0, roll: float = 0.0) -> Any:
    """Of the wall before the camera, in degrees."""
    a, b, c = np.radians([yaw, pitch, roll])
    about_y = np.array([(np.cos(a), 0, np.sin(a)), (0, 1, 0), (-np.sin(a), 0, np.cos(a))])
    about_x = np.array([(1, 0, 0), (0, np.cos(b), -np.sin(b)), (0, np.sin(b), np.cos(b))])
    about_z = np.array([(np.cos(c), -np.sin(c), 0), (np.sin(c), np.cos(c), 0), (0, 0, 1)])
    return about_z @ about_x @ about_y


def photographed(
    places: Any, rotation: Any, away_m: float, focal_px: float, lens: float = 0.0
) -> Any:
    """Pixels of places on a wall, its middle before the lens; farther off until all is in it."""
    while True:
        body = (places - np.mean([places.min(0), places.max(0)], axis=0)) @ rotation[:, :2].T
        body[:, 2] += away_m
        way = focal_px * body[:, :2] / body[:, 2:]
        way *= 1 + lens * np.sum(way**2, axis=1, keepdims=True) / (math.hypot(WIDE, HIGH) / 2) ** 2
        seen = way + np.array([WIDE / 2, HIGH / 2])
        if body[:, 2].min() > 0.3 and np.all(np.abs(way) < [WIDE / 2 - 60, HIGH / 2 - 60]):
            return seen
        away_m *= 1.08


def random_wall(
    rng: Generator, far_sheet: bool, second_photo: bool
) -> tuple[WallFit, float, float, float]:
    """A fit of what a person would tap on a random wall, and the window's true width, height and
    way from a point on its left. The far side of the window is within 2.2 m of the sheet. A second
    photo is by the same phone from anywhere else.
    """
    equivalent_mm = float(rng.choice([24, 26, 28, 35, 50]))
    focal_px = (
        equivalent_mm / FILM_MM * math.hypot(WIDE, HIGH) * math.exp(rng.normal(0, FOCAL_SIGMA))
    )
    wide, high, right = rng.uniform(0.6, 1.6), rng.uniform(0.8, 1.6), rng.random() < 0.5
    gap = rng.uniform(0.1, max(0.15, 2.2 - wide))
    x, y = 0.21 + gap if right else -gap - wide, rng.uniform(-0.8, 0.2)

    def sheet(at_x: float, at_y: float) -> Any:
        # ISO 216: sides within 2 mm
        return corners(at_x, at_y, *(A4 + rng.uniform(-0.002, 0.002, 2)), rng.normal(0, SHEET_TILT))

    drawn = {"sheet": sheet(0.0, 0.0)}
    if far_sheet:
        off = rng.uniform(0.05, 0.4)
        drawn["far"] = sheet(x + wide + off if right else x - 0.21 - off, rng.uniform(-0.3, 0.6))
    drawn["window"] = corners(x, y, wide, high, rng.normal(0, BUILT_TILT))
    left = x - rng.uniform(0.2, 0.6)
    drawn["left"] = np.array([(left, y + rng.uniform(0, high))])
    lens, tap_px = rng.normal(0, LENS_SIGMA), rng.uniform(1, 4)
    camera = camera_of(WIDE, HIGH, equivalent_mm)

    def photo() -> View:
        seen = photographed(
            np.concatenate(list(drawn.values())),
            turned(rng.uniform(-40, 40), rng.uniform(-8, 8), rng.normal(0, 2)),
            rng.uniform(1.6, 3.5) * equivalent_mm / 26,
            focal_px,
            lens,
        )
        seen += rng.normal(0, tap_px, seen.shape)
        seen += rng.normal(0, MIDDLE_SIGMA, 2) * math.hypot(WIDE, HIGH)
        shapes, at = [], 0
        for name, places in drawn.items():
            points = np.clip(seen[at : at + len(places)], 0, [WIDE, HIGH])
            at += len(places)
            known = name in {"sheet", "far"}
            sides = (A4, 0.0012, SHEET_TILT) if known else ()
            shapes.append(Shape(name, points, *sides))
        return View(camera, tuple(shapes), tap_px, "again_")

    view, again = photo(), photo() if second_photo else None
    fit = fit_wall(camera, view.shapes, tap_px=tap_px, again=again)
    return fit, wide, high, x - left


@pytest.mark.parametrize(
    ("far_sheet", "second_photo", "promise_m", "most_m"),
    [
        (False, False, 0.03, 0.025),
        (True, False, 0.018, 0.015),
        # the promise of two photos, and better than one where there are two sheets
        (False, True, 0.019, 0.015),
        (True, True, 0.014, 0.011),
    ],
)
def test_property_what_is_promised_and_the_doubt_that_is_stated(
    far_sheet: bool, second_photo: bool, promise_m: float, most_m: float
) -> None:
    rng = np.random.default_rng(11)
    errors, doubts = [], []
    for _ in range(70 if second_photo else 110):
        fit, wide, high, off = random_wall(rng, far_sheet, second_photo)
        found = [*fit.size("window"), fit.across("left", "window")]
        errors.append([one.m - true for one, true in zip(found, (wide, high, off), strict=True)])
        doubts.append([one.doubt_m for one in found])
    error, doubt = np.abs(errors), np.array(doubts)
    spread = np.percentile(error, [50, 90, 95]) * 100
    held = float(np.mean(error <= doubt))
    sys.stdout.write(f"p50, p90, p95: {spread.round(2)} cm; within the doubt: {held:.3f}\n")
    # nine in ten of the lengths are within the promise, and of the doubts hold the truth
    assert np.percentile(error, 95) < promise_m
    assert np.percentile(error, 90) < most_m
    assert 0.85 <= held <= 0.95


# -- real photos
def upright(rows: Any) -> Any:
    """The corners as they lie in the picture: rows from left to right, from the top down."""
    for quarter in range(4):
        for grid in (np.rot90(rows, quarter), np.rot90(rows, quarter)[:, ::-1]):
            along, down = grid[0, -1] - grid[0, 0], grid[-1, 0] - grid[0, 0]
            if along[0] > abs(along[1]) and down[1] > abs(down[0]):
                return grid
    raise AssertionError


def unbent(board: dict[str, Any], points: Any) -> Any:
    """Where a lens that bends no lines would have drawn them (a phone takes its own lens out)."""
    if "radial" not in board:
        return points
    bent = (points - board["middle_px"]) / board["focal_px"]
    plain = bent.copy()
    for _ in range(20):
        square = np.sum(plain**2, axis=-1, keepdims=True)
        plain = bent / (1 + board["radial"][0] * square + board["radial"][1] * square**2)
    return plain * board["focal_px"] + [board["width_px"] / 2, board["height_px"] / 2]


@pytest.mark.parametrize(
    ("name", "equivalent_mm", "taps_px", "one_sheet", "two_sheets"),
    # 26 mm is what the maker says of the whole sensor: the photos were cut from it to 16:9;
    # the other's calibration comes to 28.8 mm by the diagonal: a file would say some whole number
    [("pixel", (26,), (1.0, 4.0), 0.04, 0.03), ("left", (28, 29, 30), (0.15, 0.6), 0.02, 0.015)],
)
def test_on_photos_of_printed_boards(
    name: str,
    equivalent_mm: tuple[int, ...],
    taps_px: tuple[float, float],
    one_sheet: float,
    two_sheets: float,
) -> None:
    board = next(b for b in json.loads(BOARDS.read_text())["boards"] if b["name"] == name)
    rng, square = np.random.default_rng(4), 0.105  # m, as if two by three squares were an A4
    within = []
    for two, promise in ((False, one_sheet), (True, two_sheets)):
        errors = []
        grids = [
            upright(unbent(board, np.reshape(flat, (6, 9, 2)))) for flat in board["photos"].values()
        ]
        for grid in grids:
            down, along = grid.shape[:2]
            for _ in range(3):
                tap_px, said_mm = rng.uniform(*taps_px), float(rng.choice(equivalent_mm))
                camera = camera_of(board["width_px"], board["height_px"], said_mm)

                def box(name: str, x: int, y: int, wide: int, high: int, known: bool) -> Shape:
                    four = np.array(
                        [grid[y, x], grid[y, x + wide], grid[y + high, x + wide], grid[y + high, x]]  # noqa: B023
                    )
                    sides = (wide * square, high * square) if known else None
                    seen = four + rng.normal(0, tap_px, (4, 2))  # noqa: B023
                    return Shape(name, seen, sides, 0.0005, math.radians(0.1))

                x, y = rng.integers(0, along - 2), rng.integers(0, down - 3)
                shapes = [box("sheet", x, y, 2, 3, True)]
                if two:
                    shapes.append(box("far", along - 3 - x, down - 4 - y, 2, 3, True))
                shapes.append(
                    box("thing", rng.integers(0, along - 3), rng.integers(0, down - 4), 3, 4, False)
                )
                fit = fit_wall(
                    camera, shapes, tap_px=math.hypot(tap_px, board["rms_px"] / math.sqrt(2))
                )
                for found, true in zip(fit.size("thing"), (3 * square, 4 * square), strict=True):
                    errors.append(abs(found.m / true - 1))
                    within.append(abs(found.m - true) <= found.doubt_m)
        assert np.percentile(errors, 90) < promise
    assert 0.85 <= np.mean(within) <= 0.95


def test_two_photos_of_a_printed_board_are_better_than_one() -> None:
    board = next(b for b in json.loads(BOARDS.read_text())["boards"] if b["name"] == "pixel")
    grids = [upright(np.reshape(flat, (6, 9, 2))) for flat in board["photos"].values()]
    rng, square = np.random.default_rng(4), 0.105
    sides = {"sheet": (2 * square, 3 * square)}
    camera = camera_of(board["width_px"], board["height_px"], 26)
    alone, both, within = [], [], []
    for number, grid in enumerate(grids):
        other = grids[(number + 1) % len(grids)]
        if grid.shape != other.shape:
            continue
        down, along = grid.shape[:2]
        for _ in range(4):
            tap_px = rng.uniform(1, 4)
            tap = math.hypot(tap_px, board["rms_px"] / math.sqrt(2))
            spots = {
                "sheet": (rng.integers(0, along - 2), rng.integers(0, down - 3), 2, 3),
                "thing": (rng.integers(0, along - 3), rng.integers(0, down - 4), 3, 4),
            }
            views = []
            for seen in (grid, other):
                fours = {
                    name: np.array([seen[y, x], seen[y, x + w], seen[y + h, x + w], seen[y + h, x]])
                    for name, (x, y, w, h) in spots.items()
                }
                shapes = tuple(
                    Shape(
                        name,
                        four + rng.normal(0, tap_px, (4, 2)),
                        sides.get(name),
                        0.0005,
                        math.radians(0.1),
                    )
                    for name, four in fours.items()
                )
                views.append(View(camera, shapes, tap))
            for of, again in ((alone, None), (both, views[1])):
                fit = fit_wall(camera, views[0].shapes, tap_px=tap, again=again)
                found = zip(fit.size("thing"), (3 * square, 4 * square), strict=True)
                for one, true in found:
                    of.append(abs(one.m / true - 1))
                    if again is not None:
                        within.append(abs(one.m - true) <= one.doubt_m)
    for name, of in (("one photo", alone), ("two", both)):
        spread = np.percentile(of, [50, 90, 95]) * 100
        sys.stdout.write(f"{name}: p50, p90, p95 {spread.round(2)} %\n")
    assert np.percentile(both, 90) < 0.9 * np.percentile(alone, 90)
    assert 0.85 <= np.mean(within) <= 0.95


# -- single walls
PHONE = camera_of(WIDE, HIGH, 26)


def walls(yaw: float = 25.0, focal_px: float = PHONE.focal_px, **places: Any) -> list[Shape]:
    """Shapes as an ideal camera sees them, sheets and doors known by their names."""
    sides = {"sheet": A4, "far": A4, "door": (0.86, 2.01), "tape": (2.0,)}
    seen = photographed(np.concatenate(list(places.values())), turned(yaw), 2.5, focal_px)
    shapes, at = [], 0
    for name, four in places.items():
        shapes.append(Shape(name, seen[at : at + len(four)], sides.get(name), 0.001))
        at += len(four)
    return shapes


SHEET, WINDOW = corners(0, 0, *A4), corners(0.9, -0.4, 1.2, 1.1)


def test_property_an_ideal_camera_gives_the_wall_back() -> None:
    left, floor = np.array([(-0.5, 0.3)]), np.array([(0.2, 1.4)])
    fit = fit_wall(PHONE, walls(sheet=SHEET, window=WINDOW, left=left, floor=floor), tap_px=1.0)
    # by hand: from x -0.5 to 0.9; from y 1.4 up to the sill at -0.4 + 1.1
    assert [one.m for one in fit.size("window")] == pytest.approx([1.2, 1.1], abs=1e-3)
    assert fit.across("left", "window").m == pytest.approx(1.4, abs=1e-3)
    assert fit.above("floor", "window").m == pytest.approx(0.7, abs=1e-3)
    assert fit.above("floor", "left").m == pytest.approx(1.1, abs=1e-3)
    assert fit.equivalent_mm == pytest.approx(26, abs=0.05)
    assert fit.misfit < 0.05


def test_property_a_tape_a_door_or_a_second_sheet_make_it_surer() -> None:
    def doubt(**places: Any) -> float:
        return fit_wall(PHONE, walls(**places, window=WINDOW), tap_px=2.0).size("window")[0].doubt_m

    alone = doubt(sheet=SHEET)
    tape, door = np.array([(0.5, 1.0), (2.5, 1.0)]), corners(-0.4, -0.9, 0.86, 2.01)
    assert doubt(sheet=SHEET, tape=tape) < 0.8 * alone
    assert doubt(sheet=SHEET, far=corners(2.3, 0, *A4)) < 0.8 * alone
    assert doubt(door=door) < 0.8 * alone
    # a tape alone: the window's own right angles tell how the wall is turned
    assert doubt(tape=tape) < alone


def test_property_a_socket_far_from_one_sheet_is_doubtful_and_a_window_mends_it() -> None:
    socket = np.array([(2.0, 0.9)])

    def found(**places: Any) -> tuple[float, float]:
        one = fit_wall(PHONE, walls(sheet=SHEET, **places, socket=socket), tap_px=3.0).across(
            "sheet", "socket"
        )
        return one.m, one.doubt_m

    assert found()[1] > 1.4 * found(window=WINDOW)[1]
    assert found(window=WINDOW)[0] == pytest.approx(2.0, abs=0.005)


def again(shapes: list[Shape], camera: Camera = PHONE) -> View:
    return View(camera, tuple(shapes), 1.0, "again_")


def test_property_two_photos_of_an_ideal_camera_give_the_wall_back() -> None:
    left, floor = np.array([(-0.5, 0.3)]), np.array([(0.2, 1.4)])
    first = walls(sheet=SHEET, window=WINDOW)
    # what only the second photo shows comes to the wall through what both show
    second = again(walls(-30.0, window=WINDOW, left=left, floor=floor))
    fit = fit_wall(PHONE, first, tap_px=1.0, again=second)
    # by hand, as above
    assert [one.m for one in fit.size("window")] == pytest.approx([1.2, 1.1], abs=1e-3)
    assert fit.across("left", "window").m == pytest.approx(1.4, abs=1e-3)
    assert fit.above("floor", "window").m == pytest.approx(0.7, abs=1e-3)
    alone = fit_wall(PHONE, first, tap_px=1.0).size("window")[0]
    assert fit.size("window")[0].doubt_m < 0.95 * alone.doubt_m
    # from nearly the same place it tells less
    near = fit_wall(PHONE, first, tap_px=1.0, again=again(walls(24.0, window=WINDOW)))
    assert fit.size("window")[0].doubt_m < near.size("window")[0].doubt_m
    # another camera, whose lens is off by something else
    other = camera_of(WIDE, HIGH, 50)
    second = View(other, tuple(walls(-30, other.focal_px, sheet=SHEET, window=WINDOW)), 1.0)
    fit = fit_wall(PHONE, first, tap_px=1.0, again=second)
    assert [one.m for one in fit.size("window")] == pytest.approx([1.2, 1.1], abs=1e-3)


def test_what_is_refused_of_a_second_photo() -> None:
    first = walls(sheet=SHEET, window=WINDOW)
    second = walls(-30.0, sheet=SHEET, window=WINDOW)
    door = walls(-30.0, door=corners(-1, -1, 0.86, 2.01), window=corners(3, 0, 1, 1))
    wrong = changed(second, "window", second[1].points_px[[1, 2, 3, 0]])
    moved = changed(second, "window", second[1].points_px + np.array([120, 40]))
    for shapes, path, code in (
        (door[:1], "again_targets", "not_both"),
        (wrong, "again_window", "order"),
        (moved, "again_window", "misfit"),
        ([Shape("window", second[1].points_px + np.array([3000, 0]))], "again_window", "outside"),
    ):
        with pytest.raises(OutOfRange) as refused:
            fit_wall(PHONE, first, tap_px=2.0, again=again(shapes))
        named, said_code = refused.value.path, getattr(refused.value.because, "code", "")
        if code == "misfit":  # two photos disagree, and either may be wrong
            named = f"again_{named.removeprefix('again_')}"
        assert (named.replace("sheet", "window"), said_code) == (path, f"refusal.measure.{code}")


def test_without_a_focal_length_a_second_target_is_asked_for() -> None:
    nameless = camera_of(WIDE, HIGH, None)
    with pytest.raises(OutOfRange) as refused:
        fit_wall(nameless, walls(sheet=SHEET, window=WINDOW), tap_px=2.0)
    assert (refused.value.path, getattr(refused.value.because, "code", "")) == (
        "targets",
        "refusal.measure.no_focal",
    )
    far = corners(2.3, 0, *A4)
    width, _ = fit_wall(nameless, walls(sheet=SHEET, far=far, window=WINDOW), tap_px=2.0).size(
        "window"
    )
    assert abs(width.m - 1.2) < width.doubt_m


def changed(shapes: list[Shape], name: str, points: Any) -> list[Shape]:
    return [Shape(s.name, points, s.sides_m, s.sigma_m) if s.name == name else s for s in shapes]


def refusal(camera: Camera, shapes: list[Shape]) -> tuple[str, str]:
    with pytest.raises(OutOfRange) as refused:
        fit_wall(camera, shapes, tap_px=2.0)
    return refused.value.path, getattr(refused.value.because, "code", "")


def test_what_is_refused_and_by_which_name() -> None:
    shapes = walls(sheet=SHEET, window=WINDOW)
    four = shapes[0].points_px
    for order in ([1, 2, 3, 0], [0, 3, 2, 1], [0, 2, 1, 3], [2, 3, 0, 1]):
        assert refusal(PHONE, changed(shapes, "sheet", four[order])) == (
            "sheet",
            "refusal.measure.order",
        )
    assert refusal(PHONE, changed(shapes, "window", shapes[1].points_px - [3000, 0])) == (
        "window",
        "refusal.measure.outside",
    )
    small = four.mean(axis=0) + (four - four.mean(axis=0)) / 30
    assert refusal(PHONE, changed(shapes, "sheet", small)) == ("sheet", "refusal.measure.small")
    assert refusal(PHONE, shapes[1:])[1] == "refusal.measure.no_target"
    tape = [Shape("tape", four[:2], (2.0,), 0.002), Shape("socket", four[2:3])]
    assert refusal(PHONE, tape)[1] == "refusal.measure.no_target"
    assert refusal(PHONE, changed(shapes, "sheet", four[:3])) == ("sheet", "refusal.measure.points")


@pytest.mark.parametrize(("yaw", "seen"), [(60.0, True), (75.0, False)])
def test_a_wall_seen_edge_on_is_refused(yaw: float, seen: bool) -> None:
    shapes = walls(yaw, sheet=corners(0, 0, 0.86, 0.86), window=WINDOW)
    shapes[0] = Shape("sheet", shapes[0].points_px, (0.86, 0.86), 0.001)
    if seen:
        assert fit_wall(PHONE, shapes, tap_px=1.0).angle_deg == pytest.approx(60, abs=12)
    else:
        assert refusal(PHONE, shapes)[1] == "refusal.measure.edge_on"


def test_a_sheet_said_to_hang_the_other_way_up_is_refused() -> None:
    lying = walls(sheet=corners(0, 0, 0.297, 0.210), window=WINDOW)
    assert refusal(PHONE, lying)[1] == "refusal.measure.misfit"


def test_the_camera_by_its_equivalent() -> None:
    # by hand: 26 / 43.267 of a diagonal of 5040 px
    assert camera_of(4032, 3024, 26).focal_px == pytest.approx(3028.7, abs=0.5)
    assert camera_of(3024, 4032, 26).focal_px == camera_of(4032, 3024, 26).focal_px
    # the calibration of the board's phone: 2048 px at 1512 by 2688, cut from 4:3
    cut = camera_of(1512, 2688, 26)
    assert abs(math.log(2048.4 / cut.focal_px)) < 1.645 * cut.focal_sigma
    assert cut.focal_sigma > camera_of(4032, 3024, 26).focal_sigma
    assert not camera_of(4032, 3024, None).known
    for wrong in (0.0, 5.0, 2000.0, math.nan):
        with pytest.raises(OutOfRange, match="equivalent_mm"):
            camera_of(4032, 3024, wrong)
