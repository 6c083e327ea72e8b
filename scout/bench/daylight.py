"""Daylight: sun positions beside a library's, a year's carpet, one day of one room, and a grid
beside a path tracer of equal error.

The libraries measured against come with the development extras; without them this suite says so and
stops.
"""

from __future__ import annotations

import importlib
import os
import statistics
import subprocess
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np

from scout.assess.daylight import findings as daylight
from scout.assess.daylight.sun.year import year_carpet
from scout.assess.room import assess_room
from scout.bench.measure import Row, at_most, seconds
from scout.bench.whole import demo_sheet
from scout.calc.daylight.mark.factor_grid import daylight_factors
from scout.calc.daylight.sun.position import sun_position, towards
from scout.calc.daylight.window.glazing import Glazing
from scout.calc.daylight.window.pane import Pane
from scout.calc.geometry import FloatArray, wall_letters
from scout.calc.held import let_go
from scout.calc.radiosity import Box
from scout.errors import Unavailable
from scout.records.pieces import PIECES
from scout.records.sheet import Furniture, RoomSheet, Window

PLACE = (52.2, 0.12)
BOX = ((0.0, 5.0), (4.0, 5.0), (4.0, 0.0), (0.0, 0.0))
REFLECTANCE = (0.5, 0.5, 0.5, 0.5, 0.2, 0.8)
HOLE = Glazing("W", Pane(0, 1.0, 0.9, 2.0, 1.5), 1.0)
KNOWN = ((2.0, 4.0, 1.2), (2.0, 2.5, 1.2), (2.0, 1.0, 1.2))
BOX_REFLECTS = 0.3


@dataclass(frozen=True)
class Scene:
    """What stands in the box, the factors at KNOWN, and their doubt: no error below it can be told."""

    boxes: tuple[Box, ...]
    factors: tuple[float, ...]
    doubt_pct: float


# a path tracer of 36 million paths, to 0.005 of 1.408
BARE = Scene((), (0.12836, 0.02805, 0.01408), 0.4)
# a screen, a shelf and a table top, turned nowhere and clear of the grid's points; a path tracer of
# 18 million paths, good to 0.2 %
FURNISHED = Scene(
    (
        Box("screen", 1.4, 2.5, 0.16, 1.0, 0.0, 0.0, 1.8),
        Box("shelf", 3.8, 2.0, 0.16, 1.6, 0.0, 0.0, 2.0),
        Box("table", 2.5, 1.6, 1.4, 0.8, 0.0, 0.70, 0.74),
    ),
    (0.128074, 0.026621, 0.012864),
    0.4,
)
# Rays enough that the tracer's own scatter is no larger than our error; every point by itself, so
# its time grows with their number.
TRACED = "-u+ -ab 20 -ad 65536 -aa 0 -lw 1e-8 -lr -60"


def rows() -> Iterator[Row]:
    """The figures, each as soon as it is known."""
    yield positions()
    yield carpet()
    yield one_day()
    yield grid()
    yield grid(FURNISHED)
    yield furnished_room()
    yield room_of_bays()


def _needed(name: str) -> Any:
    try:
        return importlib.import_module(name)
    except ImportError:
        raise Unavailable(
            f"{name} is not installed: it comes with the development extras (pip install sillbook[test])"
        ) from None


def positions() -> Row:
    """A year of sun positions, minute by minute, beside pvlib's `nrel_numpy`; both must name the
    same place in the sky to 0.01 degrees.
    """
    pandas, pvlib = _needed("pandas"), _needed("pvlib")
    at = np.arange(525_600) * 60.0 + 1_767_225_600.0  # from 2026-01-01T00:00Z
    times = pandas.to_datetime(at, unit="s", utc=True)
    kept: dict[str, Any] = {}

    def ours() -> None:
        kept["ours"] = sun_position(at, latitude_deg=PLACE[0], longitude_deg=PLACE[1])

    def theirs() -> None:
        kept["theirs"] = pvlib.solarposition.get_solarposition(times, *PLACE, method="nrel_numpy")

    ours()
    pairs = [(seconds(ours), seconds(theirs)) for _ in range(2)]
    sun, spa = kept["ours"], kept["theirs"]
    apart = np.linalg.norm(
        towards(sun.geometric_elevation_deg, sun.azimuth_deg)
        - towards(spa["elevation"], spa["azimuth"]),
        axis=-1,
    )
    worst = float(np.degrees(apart.max()))
    faster = statistics.median(b / a for a, b in pairs)
    name = f"a year of one-minute sun positions, {worst:.4f} degrees apart at worst"
    return Row(
        name,
        round(1000 * pairs[-1][0], 1),
        "ms",
        "pvlib nrel_numpy",
        round(faster, 2),
        "at least 5, within 0.01 degrees",
        faster >= 5 and worst <= 0.01,
    )


def four_windows() -> RoomSheet:
    """The demonstration's first room with a window in each of its walls."""
    sheet = demo_sheet()
    letters = "ABCD"
    windows = tuple(
        Window(
            id=f"W{k + 1}",
            wall=letter,
            offset_m=0.6,
            sill_m=0.8,
            width_m=1.4,
            height_m=1.3,
            transmittance=0.7,
            reveal_m=0.1,
            overhang_m=0.0,
            covering="none",
            skyline=(),
        )
        for k, letter in enumerate(letters)
    )
    return sheet.model_copy(
        update={"room": sheet.room.model_copy(update={"windows": windows, "doors": ()})}
    )


def furnished_room() -> Row:
    """Everything for one room of four windows with eight pieces in it, against the goal of a bare
    one.
    """
    sheet = four_windows()
    corners = sheet.room.corners_m
    assert corners is not None
    left, low = (min(corner[axis] for corner in corners) for axis in (0, 1))
    right, top = (max(corner[axis] for corner in corners) for axis in (0, 1))
    names = ("sofa", "bookcase", "sideboard", "armchair", "desk", "wardrobe", "chair", "chair")
    spots = [(x, y) for y in (0.12, 0.5, 0.88) for x in (0.15, 0.5, 0.85) if (x, y) != (0.5, 0.5)]
    pieces = tuple(
        Furniture(
            id=f"F{number}",
            at_m=(left + x * (right - left), low + y * (top - low)),
            width_m=0.6,
            depth_m=0.5,
            height_m=PIECES[name].height_m,
            clear_below_m=PIECES[name].clear_below_m,
            reflectance=PIECES[name].reflectance,
        )
        for number, (name, (x, y)) in enumerate(zip(names, spots, strict=True))
    )
    full = sheet.model_copy(update={"room": sheet.room.model_copy(update={"furniture": pieces})})
    return _whole_room("one furnished room assessed, warm: 8 pieces, 4 windows", full, 8.0)


# A hall with four bays: 16 walls, clockwise, and windows 1 m wide, so many a wall: 19.
BAYS = (
    *((0.0, 8.0), (4.0, 8.0), (4.0, 9.5), (8.0, 9.5), (8.0, 8.0), (12.0, 8.0)),
    *((12.0, 5.0), (13.5, 5.0), (13.5, 3.0), (12.0, 3.0), (12.0, 0.0)),
    *((8.0, 0.0), (8.0, -1.5), (4.0, -1.5), (4.0, 0.0), (0.0, 0.0)),
)
IN_BAYS = (2, 1, 2, 0, 2, 1, 0, 1, 0, 1, 2, 0, 2, 0, 2, 3)


def bays() -> RoomSheet:
    """The demonstration's first room with that plan, its colours on all the walls."""
    sheet = four_windows()
    room, letters = sheet.room, wall_letters(len(BAYS))
    (first, *_), surfaces = room.windows or (), dict(room.surfaces or {})
    windows = tuple(
        first.model_copy(
            update={
                "id": f"W{letter}{k}",
                "wall": letter,
                "offset_m": 0.25 + 1.8 * k,
                "width_m": 1.0,
            }
        )
        for letter, several in zip(letters, IN_BAYS, strict=True)
        for k in range(several)
    )
    changed = {
        "plan_m": BAYS,
        "windows": windows,
        "surfaces": surfaces | dict.fromkeys(letters, surfaces["A"]),
        "outlets": None,
    }
    return sheet.model_copy(update={"room": room.model_copy(update=changed)})


def room_of_bays() -> Row:
    """Everything for a room as real houses have them."""
    return _whole_room("one room of 16 walls and 19 windows assessed, warm", bays(), 40.0)


def _whole_room(name: str, sheet: RoomSheet, goal: float) -> Row:
    random = np.random.default_rng(1)
    matrix, known = np.eye(600) * 600 + random.random((600, 600)), random.random((600, 36))

    def solve() -> None:
        for _ in range(10):
            np.linalg.solve(matrix, known)

    return at_most(
        name,
        lambda: assess_room(sheet, date(2026, 6, 20)),
        "ten dense solves, 600 x 600 with 36 right-hand sides",
        solve,
        goal,
        times=3,
    )


def carpet() -> Row:
    """A year's carpet, a quarter of an hour a cell, four windows, from nothing held but the room's
    form factors.
    """
    sheet, years = four_windows(), iter(range(2030, 2400))
    year_carpet(sheet, 2029)
    value = statistics.median(seconds(lambda: year_carpet(sheet, next(years))) for _ in range(3))
    return _against("a year's carpet, four windows", value, "one second", 1.0)


def one_day() -> Row:
    """Events, direct sun of every window and light at every mark for a date not seen before, the
    room being known.
    """
    sheet, start = demo_sheet(), date(2026, 1, 1)
    days = iter(start + timedelta(days=k) for k in range(1000))

    def whole() -> None:
        on = next(days)
        daylight.events(sheet.location, on)
        daylight.windows(sheet, on)
        daylight.marks(sheet, on)

    whole()
    return _against(
        "one day's full daylight for a room, warm",
        statistics.median(seconds(whole) for _ in range(9)),
        "50 milliseconds",
        0.05,
    )


def _against(name: str, value_s: float, floor: str, floor_s: float) -> Row:
    ratio = value_s / floor_s
    return Row(
        name, round(1000 * value_s, 2), "ms", floor, round(ratio, 3), "at most 1", ratio <= 1
    )


def grid(scene: Scene = BARE) -> Row:
    """Daylight factors on 20 x 20 points, form factors included, beside Radiance at rays enough for
    the same error.

    Errors are the worst at three points of a path tracer's table. The tracer is timed at those
    three alone, for at such settings 400 take a quarter
    of an hour; it works out each by itself (-aa 0), so what three take is counted 400 / 3 times.
    """
    binaries = Path(_needed("pyradiance").__file__).parent / "bin"
    x, y = np.meshgrid((np.arange(20) + 0.5) / 5, (np.arange(20) + 0.5) / 4)
    known, wanted = np.array(KNOWN), np.array(scene.factors)
    points = np.concatenate([np.column_stack([x.ravel(), y.ravel(), np.full(400, 1.2)]), known])
    kept: dict[str, FloatArray] = {}

    def ours() -> None:
        let_go(of_all=True)
        _, whole = daylight_factors(
            BOX,
            3.0,
            (HOLE,),
            points,
            REFLECTANCE,
            ground_reflectance=0.2,
            boxes=scene.boxes,
            box_reflectance=(BOX_REFLECTS,) * len(scene.boxes),
        )
        assert whole is not None
        kept["ours"] = whole[400:]

    with tempfile.TemporaryDirectory(prefix="sillbook-bench-") as folder:
        traced = _Traced(binaries, Path(folder), scene.boxes)

        def theirs() -> None:
            kept["theirs"] = traced.factors(known)

        ours()
        value = statistics.median(seconds(ours) for _ in range(3))
        faster = seconds(theirs) * 400 / len(known) / value
    errors = {name: 100 * float(np.max(np.abs(found / wanted - 1))) for name, found in kept.items()}
    furnished = f", {len(scene.boxes)} pieces in it" if scene.boxes else ""
    name = f"daylight factor on 20 x 20 points{furnished}, error {errors['ours']:.1f} %"
    met = faster >= 50 and errors["ours"] <= max(errors["theirs"], scene.doubt_pct)
    return Row(
        name,
        round(1000 * value, 1),
        "ms",
        f"Radiance rtrace {TRACED}, error {errors['theirs']:.1f} %, three points timed",
        round(faster, 1),
        "at least 50 at equal error",
        met,
    )


class _Traced:
    """The same room for Radiance: an exact CIE overcast sky of one lux, its ground, and a box with
    a hole.
    """

    def __init__(self, binaries: Path, folder: Path, boxes: tuple[Box, ...]) -> None:
        self.binaries, self.folder = binaries, folder
        self.where = {**os.environ, "RAYPATH": f".:{binaries.parent / 'lib'}"}
        (folder / "sky.cal").write_text("light = if(-Dz, 0.2/PI, (1+2*Dz)/3*9/(7*PI));\n")
        scene = [
            "void brightfunc sky 2 light sky.cal 0 0",
            "sky glow skyglow 0 0 4 1 1 1 0",
            "skyglow source all 0 0 4 0 0 1 360",
        ]
        scene += [
            f"void plastic {name} 0 0 5 {rho} {rho} {rho} 0 0"
            for name, rho in (
                *(("wall", 0.5), ("floor", 0.2), ("ceiling", 0.8)),
                ("piece", BOX_REFLECTS),
            )
        ]
        across, up = (0, 1, 3, 4), (0, 0.9, 2.4, 3)
        front = [
            (a, b, c, d) for a, b in pairwise(across) for c, d in pairwise(up) if (a, c) != (1, 0.9)
        ]
        scene += [
            f"wall polygon front{k} 0 0 12 {a} 5 {c} {b} 5 {c} {b} 5 {d} {a} 5 {d}"
            for k, (a, b, c, d) in enumerate(front)
        ]
        scene += [
            "wall polygon back 0 0 12 0 0 0 4 0 0 4 0 3 0 0 3",
            "wall polygon left 0 0 12 0 0 0 0 5 0 0 5 3 0 0 3",
            "wall polygon right 0 0 12 4 0 0 4 5 0 4 5 3 4 0 3",
            "floor polygon low 0 0 12 0 0 0 4 0 0 4 5 0 0 5 0",
            "ceiling polygon high 0 0 12 0 0 3 4 0 3 4 5 3 0 5 3",
        ]
        for box in boxes:
            low = box.x_m - box.width_m / 2, box.y_m - box.depth_m / 2, box.low_m
            size = box.width_m, box.depth_m, box.high_m - box.low_m
            made = ("piece", box.name, *(f"{length:.3f}" for length in size))
            moved = "-t", *(f"{length:.3f}" for length in low)
            (folder / "piece.rad").write_bytes(self._run("genbox", *made))
            scene.append(self._run("xform", *moved, "piece.rad").decode())
        (folder / "room.rad").write_text("\n".join(scene) + "\n")
        (folder / "room.oct").write_bytes(self._run("oconv", "room.rad"))

    def _run(self, program: str, *arguments: str, given: bytes = b"") -> bytes:
        command = [str(self.binaries / program), *arguments]
        return subprocess.run(  # noqa: S603
            command, cwd=self.folder, env=self.where, input=given, capture_output=True, check=True
        ).stdout

    def factors(self, points: FloatArray) -> FloatArray:
        rays = "".join(f"{px:.6f} {py:.6f} {pz:.6f} 0 0 1\n" for px, py, pz in points)
        text = self._run(
            "rtrace", "-I", "-h", "-w", *TRACED.split(), "room.oct", given=rays.encode()
        ).decode()
        return np.array([float(line.split()[0]) for line in text.splitlines()])
