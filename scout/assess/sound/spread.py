"""How far off a computed reverberation may be, and the walls between which sound runs to and fro."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scout.assess.sound.shell import MID_BANDS, Field, Piece, Shell, mid_of
from scout.calc import geometry
from scout.calc.fit.floor.blocks import Block, hidden_by
from scout.calc.geometry import FloatArray
from scout.calc.sound.absorption import ABSORPTION_BANDS_HZ
from scout.calc.sound.boundaries import FLUTTER_LEAST_M, flutter, flutter_warns
from scout.calc.sound.reverberation import arau_puchades_s, eyring_s, pairs_of_walls
from scout.calc.sound.scatter import AXES, ringing_s
from scout.errors import OutOfRange
from scout.values import Figure, Many, Said, said, words

IntArray = NDArray[np.int64]
AT_1K = ABSORPTION_BANDS_HZ.index(1000)
# Ray traced rooms, much scattering: 0.89 to 1.12 of Eyring; little scattering, evenly bare: down to
# 0.79. So:
RANGE_LOW, RANGE_HIGH = 0.8, 1.15
WIDE = 1.2  # bare pairs that ring so much longer than that make the range wide
# The least that hits scatter, 500 Hz and 1 kHz: smooth empty rooms about 0.1 (M. Vorlaender,
# Auralization, from memory); with furniture 0.3 and more (common practice).
SCATTER_BARE, SCATTER_FURNISHED = 0.1, 0.3
SCATTER_DOUBT = 0.25  # of calc.sound.scatter against traced rays
HARD_BELOW = (
    0.15  # absorption at 1 kHz up to which a wall counts as bare for flutter (common practice)
)
# axes: the two pairs of walls are 0 and 1; -1 is a thing on walls, which wall not recorded
UPRIGHT, LEVEL = -1, 2
# lines from wall to wall at the height of mouths and microphones, and how much of them must be clear
# for a flutter to live (common practice)
LINES, SPOKEN_M, CLEAR_SHARE = 24, (1.1, 1.4, 1.7), 0.5
ACROSS = {"A": "C", "B": "D"}


@dataclass(frozen=True)
class FacingWalls:
    """Two bare parallel surfaces between which sound is thrown to and fro."""

    surfaces: Many
    apart_m: float
    decay_s: float
    room_s: float


def range_of(field: Field, mid: float, shell: Shell) -> tuple[tuple[float, float], Said, bool]:
    """Between which times the mid bands lie, why so far apart, and whether that is wide.

    The longer end is the longest of the usual doubt, of the axes each by itself (Arau-Puchades), and
    of what the room rings where its surfaces scatter as little as they may.
    """
    eyring = mid_of(
        eyring_s(
            field.volume_m3,
            field.areas,
            field.rows,
            extra_m2=field.beside_m2,
            air_per_m=field.air,
        )
    )
    low, high = RANGE_LOW * min(eyring, mid), RANGE_HIGH * mid
    scatter = SCATTER_FURNISHED if shell.room.furniture else SCATTER_BARE
    longest = _sparsely(field, shell.corners, mid, scatter)
    if longest is None or longest <= high:
        return (low, high), said("reverb.usual_doubt"), False
    return (
        (low, longest),
        said("reverb.bare_pair", time=Figure(longest, "s"), scatter=Figure(100 * scatter, "%")),
        longest > WIDE * high,
    )


def _sparsely(field: Field, corners: FloatArray, mid: float, scatter: float) -> float | None:
    """How long the mid bands ring where little is scattered from one axis to another."""
    areas, rows, axis = _by_axis(field, corners)
    extra, air = field.beside_m2[list(MID_BANDS)], field.air[list(MID_BANDS)]
    rows = rows[:, list(MID_BANDS)]
    whole = np.array([areas[axis == one].sum() for one in range(AXES)])
    mean = np.array([areas[axis == one] @ rows[axis == one] for one in range(AXES)])
    if not whole.all():
        return None  # what hangs before a pair of walls leaves nothing of it
    try:
        axes = arau_puchades_s(
            field.volume_m3, areas, rows, axis, extra_m2=extra, air_per_m=air
        ).mean()
        turned = ringing_s(
            field.volume_m3,
            whole,
            mean / whole[:, None],
            scatter,
            extra_m2=extra,
            air_per_m=air,
        ).mean()
    except OutOfRange:
        # one pair absorbs all that reaches it: there is no ringing on that axis to put a figure to
        return None
    # where it says what the diffuse figure says, it adds no doubt of its own
    scattered = (1.0 + SCATTER_DOUBT) * turned if turned > RANGE_HIGH * mid else turned
    return float(max(axes, scattered))


def _by_axis(field: Field, corners: FloatArray) -> tuple[FloatArray, FloatArray, IntArray]:
    """Areas, absorption and axis of what the room is made of.

    A curtain whose wall is not recorded is shared out over both pairs of walls by their area, and so
    are the walls of a room with slanting ones, which has no pairs.
    """
    pairs = pairs_of_walls(corners)
    letters = geometry.wall_letters(len(corners))
    axis_of = {"ceiling": LEVEL, "floor": LEVEL}
    if pairs is not None:
        axis_of |= dict(zip(letters, pairs, strict=True))
    axis = np.array([axis_of.get(piece.where, UPRIGHT) for piece in field.pieces])
    bare_m2 = np.array([field.areas[axis == one].sum() for one in range(LEVEL)])
    share = bare_m2 / bare_m2.sum() if bare_m2.sum() > 0 else np.full(LEVEL, 1.0 / LEVEL)
    keep, on_walls = axis != UPRIGHT, axis == UPRIGHT
    areas = [field.areas[keep], *(field.areas[on_walls] * one for one in share)]
    rows = [field.rows[keep], *(field.rows[on_walls] for _ in share)]
    axes = [axis[keep], *(np.full(int(on_walls.sum()), one) for one in range(LEVEL))]
    return np.concatenate(areas), np.concatenate(rows), np.concatenate(axes)


def facing_walls(shell: Shell, bare: Iterable[Piece], room_s: float) -> FacingWalls | None:
    """The pair of bare parallel surfaces that rings longest against the room, unless furniture
    stands between; rectangles only.
    """
    if len(shell.corners) != 4 or pairs_of_walls(shell.corners) is None:
        return None

    def mean(name: str) -> float:
        here = [piece for piece in bare if piece.where == name]
        return sum(piece.area_m2 * float(piece.absorption[AT_1K]) for piece in here) / sum(
            piece.area_m2 for piece in here
        )

    lengths = [wall.length_m for wall in geometry.walls(shell.corners)]
    facing = []
    for one, other, apart in (
        ("A", "C", lengths[1]),
        ("B", "D", lengths[0]),
        ("floor", "ceiling", shell.height_m),
    ):
        if apart < FLUTTER_LEAST_M or max(mean(one), mean(other)) > HARD_BELOW:
            continue
        echo = flutter(apart, mean(one), mean(other))
        if flutter_warns(echo, apart, room_s) and _clear_share(shell, one) >= CLEAR_SHARE:
            facing.append(FacingWalls(words("surface", (one, other)), apart, echo.decay_s, room_s))
    return max(facing, key=lambda pair: pair.decay_s, default=None)


def _clear_share(shell: Shell, name: str) -> float:
    """How much of the way from a surface to the one across stays clear of furniture: of a wall where
    people speak, of the floor all of it. A piece of unknown height hides nothing.
    """
    blocks = [
        Block(piece.id, np.asarray(piece.corners_m, dtype=np.float64), piece.height_m)
        for piece in shell.room.furniture or ()
        if piece.corners_m is not None and piece.height_m is not None
    ]
    if name == "floor":
        covered = sum(geometry.plan_area_m2(block.ring_m) for block in blocks)
        return 1.0 - min(1.0, covered / shell.whole_m2["floor"])
    walls = {wall.letter: wall for wall in geometry.walls(shell.corners)}
    wall, across = walls[name], walls[ACROSS[name]]
    shares = ((np.arange(LINES) + 0.5) / LINES)[:, None]
    ends = [
        np.column_stack(
            [
                np.repeat(side.start_m + along * side.length_m * side.along, len(SPOKEN_M), axis=0),
                np.tile(SPOKEN_M, LINES),
            ]
        )
        for side, along in ((wall, shares), (across, 1.0 - shares))
    ]
    hidden = np.zeros(LINES * len(SPOKEN_M), dtype=np.bool_)
    for block in blocks:
        hidden |= hidden_by(block, *ends)
    return 1.0 - float(np.mean(hidden))
