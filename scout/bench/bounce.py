"""Bounce: a room's every surface and both sides of the face for three lights; the solver against a
Monte Carlo of equal error.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

import numpy as np

from scout.assess.bounce import bounce, surround
from scout.assess.daylight import findings as daylight
from scout.assess.fit import fit
from scout.bench.measure import Row, in_turn, within
from scout.bench.whole import demo_sheet
from scout.calc.bounce.light import light_spectrum
from scout.calc.bounce.reach import face, lux_of, spots, view
from scout.calc.bounce.spectra import observer
from scout.calc.bounce.surface import of_srgb
from scout.calc.geometry import FloatArray, rectangle_m
from scout.calc.radiosity import Enclosure, enclosure, lobe_exponent
from scout.records.sheet import RoomSheet

FIRST_DAY = date(2026, 6, 20)
ROOM_M = (5.0, 6.5, 2.7)
CODES = (
    "#e8d9b0",
    "#7d2f2a",
    "#e8d9b0",
    "#9fb58a",
    "#8a6f52",
    "#f5f1e6",
)  # walls A to D, floor, ceiling
SUBJECT_M, LOOKS = (2.5, 4.0, 1.2), (0.0, -1.0, 0.0)
LAMP_M, AIMS_M = (
    (2.5, 2.0, 1.7),
    ((2.5, 2.0, 2.7), (5.0, 2.0, 1.7), (0.0, 2.0, 1.7), (2.5, 0.0, 1.7)),
)
LUX_AT_1M, BEAM_DEG = 9000.0, 55.0
WHOLE_S = 0.060  # what it may take, warm
MC_GOAL = 20.0
PATHS, BOUNCES, REFERENCE_BATCHES = 3000, 24, 24


def rows() -> Iterator[Row]:
    """The whole of bounce and surround, warm; then the solver against random paths."""
    sheet = demo_sheet()
    yield from _whole(sheet)
    yield _against_monte_carlo()


def _whole(sheet: RoomSheet) -> Iterator[Row]:
    plan = fit.fit(sheet, daylight.marks(sheet, FIRST_DAY))
    placed = fit.placements(sheet, plan)

    def both() -> None:
        bounce.bounce(sheet, placed)
        surround.surround(sheet, placed)

    yield within(
        "six surfaces and two sides of a face, three lights, warm", both, WHOLE_S, times=15
    )


def _against_monte_carlo() -> Row:
    """The solver as a room is assessed with it, its form factors held, against random paths that
    know nothing of it.

    The truth is the mean of many more paths than are timed (REFERENCE_BATCHES times as many): no
    solver of ours is in it. Its own
    sampling noise is left in the solver's error, which errs against the solver. The Monte Carlo is
    then given as many paths as
    bring its spread to that error, and both are timed in turn.
    """
    spectra = np.stack([of_srgb(code).spectrum for code in CODES])
    light = light_spectrum("led", 5600.0).spectrum
    coarse = _solver(0.5)
    random = np.random.default_rng(7)
    drawn = np.stack([_paths(spectra, light, PATHS, random) for _ in range(REFERENCE_BATCHES)])
    truth = drawn.mean(axis=0)
    error = float(np.sqrt(np.mean((_lux(coarse, spectra, light) / truth - 1.0) ** 2)))
    spread = float(
        np.sqrt(np.mean((drawn / truth - 1.0) ** 2) * REFERENCE_BATCHES / (REFERENCE_BATCHES - 1))
    )
    needed = PATHS * (spread / error) ** 2
    value, ratio = in_turn(
        lambda: _lux(coarse, spectra, light), lambda: _paths(spectra, light, PATHS, random), times=5
    )
    faster = needed / PATHS / ratio
    return Row(
        f"four bounces by patches, {100 * error:.2f} % off {PATHS * REFERENCE_BATCHES} random paths",
        round(value * 1000, 2),
        "ms",
        f"a vectorised Monte Carlo of the same error ({needed:.0f} paths a bounce), same run",
        round(faster, 1),
        f"at least {MC_GOAL:g}",
        faster >= MC_GOAL,
    )


def _solver(patch_m: float) -> Enclosure:
    return enclosure(
        tuple((float(x), float(y)) for x, y in rectangle_m(ROOM_M[0], ROOM_M[1])),
        ROOM_M[2],
        (),
        patch_m,
    )


def _lux(room: Enclosure, spectra: FloatArray, light: FloatArray) -> FloatArray:
    """(aims,) lux on the face, by patches."""
    look = face(room, spectra[room.patches.surface], view(room, SUBJECT_M, LOOKS))
    return np.array(
        [
            float(lux_of(light, look.arriving(laid)))
            for laid in spots(room, LAMP_M, AIMS_M, LUX_AT_1M, BEAM_DEG)
        ]
    )


def _paths(
    spectra: FloatArray, light: FloatArray, count: int, random: np.random.Generator
) -> FloatArray:
    """(aims,) the same by random paths from the lamp, each bounce connected to the face."""
    return np.array([_one(spectra, light, aim, count, random) for aim in AIMS_M])


def _one(
    spectra: FloatArray,
    light: FloatArray,
    aim_m: tuple[float, float, float],
    count: int,
    random: np.random.Generator,
) -> float:
    exponent = lobe_exponent(BEAM_DEG)
    axis = np.array(aim_m) - np.array(LAMP_M)
    way = _lobe(
        np.tile(axis / np.linalg.norm(axis), (count, 1)),
        random.random(count) ** (1.0 / (exponent + 1.0)),
        random,
    )
    at = np.tile(np.array(LAMP_M), (count, 1))
    weight = np.tile(
        light * observer()[:, 1], (count, 1)
    )  # lumens by wavelength, each path its part of the flux
    flux = 2.0 * np.pi * LUX_AT_1M / (exponent + 1.0)
    subject, looks, total = np.array(SUBJECT_M), np.array(LOOKS), 0.0
    for _ in range(BOUNCES):
        at, side, normal = _hit(at, way)
        weight = weight * spectra[side]
        to = subject - at
        squared = np.einsum("nx,nx->n", to, to)
        seen = (
            np.maximum(np.einsum("nx,nx->n", to, normal), 0.0)
            * np.maximum(-(to @ looks), 0.0)
            / (np.pi * squared**2)
        )
        total += float(np.sum(weight.sum(axis=1) * seen))
        if weight.sum(axis=1).max() < 1e-3:
            break
        way = _lobe(normal, np.sqrt(random.random(count)), random)
    return total * flux / count


def _lobe(axis: FloatArray, cosine: FloatArray, random: np.random.Generator) -> FloatArray:
    helper = np.where(np.abs(axis[:, :1]) < 0.9, [[1.0, 0.0, 0.0]], [[0.0, 1.0, 0.0]])
    side = np.cross(axis, helper)
    side /= np.linalg.norm(side, axis=1, keepdims=True)
    turn, sine = 2.0 * np.pi * random.random(len(axis)), np.sqrt(np.maximum(1.0 - cosine**2, 0.0))
    across = np.cos(turn)[:, None] * side + np.sin(turn)[:, None] * np.cross(axis, side)
    return np.asarray(cosine[:, None] * axis + sine[:, None] * across)


# faces of the box in the order x = 0, x = W, y = 0, y = L, floor, ceiling, and which of CODES each
# bears
_SIDE_OF_FACE = np.array([3, 1, 2, 0, 4, 5])


def _hit(at: FloatArray, way: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    size = np.array(ROOM_M)
    with np.errstate(divide="ignore"):
        far = np.where(way > 0, (size - at) / way, np.where(way < 0, -at / way, np.inf))
    far = np.where(far < 1e-9, np.inf, far)
    along = np.argmin(far, axis=1)
    number = np.arange(len(at))
    landed = np.clip(at + far[number, along][:, None] * way, 0.0, size)
    up = way[number, along] > 0
    normal = np.zeros_like(at)
    normal[number, along] = np.where(up, -1.0, 1.0)
    return landed, _SIDE_OF_FACE[2 * along + up], normal
