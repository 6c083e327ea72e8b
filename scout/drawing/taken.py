"""The places of a sheet that are taken, asked of many outlines of letters at once."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scout.drawing.shapes import Point

Corners = Sequence[Point]
FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]
TOUCH = 1e-6  # of a side's length: outlines that overlap by less only touch


class Taken:
    """Convex outlines, each a box, a line from point to point or a ring, that letters keep off."""

    def __init__(self) -> None:
        self._new: list[tuple[Corners, bool]] = []
        self._hard = np.empty(0, dtype=np.bool_)
        self._known = _measured(np.empty((2, 4, 0)))

    def add(self, corners: Corners, *, hard: bool) -> None:
        """Take an outline; not hard: letters may stand upon it where nothing else is left."""
        self._new.append((tuple(corners), hard))

    def meets(self, outlines: ArrayLike) -> tuple[BoolArray, BoolArray]:
        """(n,) whether boxes (n, 4, 2), level or turned, or lines (n, 2, 2) overlap anything that is
        taken, and anything hard of it: no side of either parts them (separating axes).
        """
        self._note()
        own = np.asarray(outlines, dtype=np.float64).T
        (left_of, bottom_of), (right_of, top_of) = self._known.least, self._known.most
        # A level or upright line has a box of no height or width, which touching counts for.
        (left, bottom), (right, top) = own.min(axis=1)[..., None], own.max(axis=1)[..., None]
        near = (left <= right_of) & (left_of <= right) & (bottom <= top_of) & (bottom_of <= top)
        met, hard = np.zeros((2, len(near)), dtype=np.bool_)
        one, other = np.nonzero(near)
        if not len(one):
            return met, hard
        half = own.shape[1] // 2  # the other sides run the same ways
        normals, slack = (part[..., :half, :] for part in _sides(own))
        own, normals, known = own[..., one], normals[..., one], self._known.of(other)
        apart = _parted(_ends(normals, own), _ends(normals, known.rings), slack[:, one])
        along = _ends(known.normals, own)
        apart |= _parted(along, (known.low, known.high), known.slack)
        one, other = one[~apart], other[~apart]
        met[one] = True
        hard[one[self._hard[other]]] = True
        return met, hard

    def _note(self) -> None:
        """What was taken since the last question, among what can be asked at once."""
        if not self._new:
            return
        known, corners = self._known, [corners for corners, _ in self._new]
        most = max(known.rings.shape[1], *map(len, corners))
        # one with fewer corners than others repeats its last
        rings = np.array([[*one, *[one[-1]] * (most - len(one))] for one in corners]).T
        more = most - known.rings.shape[1]
        if more:
            wider = np.concatenate([known.rings, *[known.rings[:, -1:]] * more], axis=1)
            known = _measured(wider)
        self._known = known.and_(_measured(rings))
        self._hard = np.concatenate([self._hard, [hard for _, hard in self._new]])
        self._new = []


class _Measured(NamedTuple):
    """Outlines with what is asked of all of them; what belongs to one lies along the last axis."""

    rings: FloatArray  # (2, c, n) x and y of the corners
    least: FloatArray  # (2, n) of the boxes round them
    most: FloatArray
    normals: FloatArray  # (2, c, n) of the sides
    slack: FloatArray  # (c, n) of the same
    low: FloatArray  # (c, n) where the outline begins and ends along them
    high: FloatArray

    def of(self, rows: NDArray[np.intp]) -> _Measured:
        """Some of them."""
        return _Measured(*(part[..., rows] for part in self))

    def and_(self, others: _Measured) -> _Measured:
        """Others besides, of as many corners."""
        return _Measured(
            *(np.concatenate(pair, axis=-1) for pair in zip(self, others, strict=True))
        )


def _measured(rings: FloatArray) -> _Measured:
    normals, slack = _sides(rings)
    return _Measured(
        rings, rings.min(axis=1), rings.max(axis=1), normals, slack, *_ends(normals, rings)
    )


def _sides(rings: FloatArray) -> tuple[FloatArray, FloatArray]:
    """(2, c, n) across every side of rings (2, c, n), as long as the side, and (c, n) how far along
    it what overlaps still only touches; a side of no length parts nothing.
    """
    x, y = np.concatenate([rings[:, 1:], rings[:, :1]], axis=1) - rings
    size = np.abs(x) + np.abs(y)
    return np.stack([y, -x]), np.where(size < 1e-9, -np.inf, TOUCH * size)


def _ends(normals: FloatArray, corners: FloatArray) -> tuple[FloatArray, FloatArray]:
    """(a, n) twice: where along normals (2, a, n) corners (2, c, n) begin and end."""
    along = normals[0][:, None] * corners[0] + normals[1][:, None] * corners[1]
    return along.min(axis=1), along.max(axis=1)


def _parted(
    one: tuple[FloatArray, FloatArray], other: tuple[FloatArray, FloatArray], slack: FloatArray
) -> BoolArray:
    """(n,) whether along one of the normals (a, n) the stretches lie beside one another."""
    (low, high), (low_of, high_of) = one, other
    return np.asarray(np.any((high <= low_of + slack) | (high_of <= low + slack), axis=0))
