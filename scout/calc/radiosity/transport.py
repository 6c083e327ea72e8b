"""Light sent on from surface to surface until it is gone: the radiosity equation, forwards and
backwards.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scout.calc.geometry import FloatArray, require
from scout.errors import OutOfRange
from scout.values import said

CLOSED = 1e-8  # what may be left of the light, relative, when bouncing stops
CLOSED_SINGLE = 1e-6  # the same where single precision is worked in
MOST_ROUNDS = 500
BRIGHTEST = 0.999  # a room of reflectance 1 never lets the light go


def solve(factors: FloatArray, reflectance: ArrayLike, emitted: ArrayLike) -> FloatArray:
    """Exitance of every patch when what it sends out first has bounced to the end.

    factors:     (p, p), form factors, rows sum to 1
    reflectance: (p,) or (p, bands), 0 to 0.999 [-]
    emitted:     (p,) or (p, bands), exitance before any bounce: direct light times reflectance,
        or a window's own [lm/m2]
    Returns:     (p,) or (p, bands) [lm/m2]; what lands on the patches from each other is
        factors @ exitance
    Raises:      OutOfRange, naming the argument
    Source:      Goral, Torrance, Greenberg and Battaile 1984: B = M + rho F B, solved as (I -
        rho F) B = M
    """
    rho, sent = _checked(factors, "reflectance", reflectance, "emitted", emitted)
    identity = np.eye(len(factors))
    if rho.ndim == 1:
        return np.asarray(np.linalg.solve(identity - rho[:, None] * factors, sent))
    sent = sent if sent.ndim == 2 else np.repeat(sent[:, None], rho.shape[1], axis=1)
    out = np.empty(sent.shape)
    same, band_of = np.unique(
        rho, axis=1, return_inverse=True
    )  # bands of one reflectance share one solution
    band_of = band_of.ravel()
    for number, column in enumerate(same.T):
        bands = band_of == number
        out[:, bands] = np.linalg.solve(identity - column[:, None] * factors, sent[:, bands])
    return out


def symmetric_factors(factors: FloatArray, area_m2: FloatArray) -> FloatArray:
    """(p, p) sqrt(area_i / area_j) F_ij, which reciprocity makes symmetric; kept beside the factors
    it saves `importance` making it each time.
    """
    size = np.sqrt(require("area_m2", area_m2, above=0))
    symmetric = factors * size[:, None]
    symmetric /= size
    symmetric = symmetric + symmetric.T  # numpy may not add an array to itself turned in place
    symmetric /= 2.0
    return np.asarray(symmetric)


def importance(
    factors: FloatArray,
    area_m2: FloatArray,
    reflectance: ArrayLike,
    seen: ArrayLike,
    closed: float = CLOSED,
    symmetric: NDArray[np.floating[Any]] | None = None,
) -> FloatArray:
    """What a receiver reads for each unit of exitance first sent out by each patch, all later
    bounces counted.

    factors:     (p, p), form factors that keep area_i F_ij = area_j F_ji, as form_factors gives
        them
    area_m2:     (p,), patches [m2];  reflectance: (p,) or (p, bands), 0 to 0.999 [-]
    seen:        (p,), the receiver's factors, as at_point gives them
    closed:      what may be left of the light, relative; 1e-3 is enough to tell which surface
        matters
    symmetric:   (p, p), as symmetric_factors; None: made here; in single precision `closed`
        must be 1e-6 or more and `seen` near 1
    Returns:     (p,) or (p, bands): reading = importance . emitted, whatever is emitted: one
        solution serves every lamp
    Raises:      OutOfRange, naming the argument, also when the rounds run out
    Source:      transpose of the radiosity equation, w = g + F' rho w, so that g (I - rho F)^-1
        M = w M. With reciprocity
                 z = sqrt(rho / area) w solves the symmetric (I - S) z = sqrt(rho / area) g, S =
                 sqrt(rho) G sqrt(rho),
                 G_ij = sqrt(area_i / area_j) F_ij: conjugate gradients, all bands at once (Hestenes
                 and Stiefel 1952)
    """
    rho, view = _checked(factors, "reflectance", reflectance, "seen", seen)
    if view.ndim != 1:
        raise OutOfRange(
            "seen", view.shape, said("refusal.patches.row_a_patch", count=len(factors))
        )
    if symmetric is None:
        symmetric = symmetric_factors(factors, area_m2)
    rows = rho if rho.ndim == 2 else rho[:, None]
    area = require("area_m2", area_m2, above=0)
    found = carried(symmetric, area, rows[None], view[:, None], closed)[0, 0]
    return np.asarray(found if rho.ndim == 2 else found[:, 0])


def importances(
    factors: FloatArray,
    area_m2: FloatArray,
    reflectances: FloatArray,
    seen: FloatArray,
    closed: float,
    symmetric: NDArray[np.floating[Any]],
) -> FloatArray:
    """(m, n, p, bands) `importance` for several receivers, (p, n), in a room of several sets of
    surfaces, (m, p, bands): all of them in one solution, each set as if it were alone.
    """
    for reflectance in reflectances:
        _checked(factors, "reflectance", reflectance, "seen", seen[:, 0])
    area = require("area_m2", area_m2, above=0)
    return carried(symmetric, area, reflectances, require("seen", seen, least=0), closed)


def carried(
    symmetric: NDArray[np.floating[Any]],
    area_m2: FloatArray,
    rho: FloatArray,
    seen: FloatArray,
    closed: float,
) -> FloatArray:
    """`importances` of receivers (p, n) in sets of reflectances (m, p, bands), nothing checked.

    Every row is one column of the equation, set by set, its patches side by side; a set that is
    done leaves the rounds. `got` gathers G sqrt(rho) z as z grows, which is all that is asked of z.
    """
    kind = symmetric.dtype  # single precision, where given, is worked in throughout
    sets, patches, bands = rho.shape
    count = seen.shape[1]
    size = np.sqrt(area_m2).astype(kind)
    view = np.tile(np.repeat(seen.T.astype(kind), bands, axis=0), (sets, 1))  # (m n bands, p)
    root = np.sqrt(np.moveaxis(rho, 2, 1).astype(kind))[:, None]
    root = np.repeat(root, count, axis=1).reshape(-1, patches)
    right = root * view
    right /= size
    carried = np.empty_like(right)
    got = (root * right) @ symmetric
    rest = root * got  # right - (I - S) z at the start, where z is right
    step = rest.copy()
    size_of_rest = _squares(rest)
    enough = closed**2 * np.maximum(_squares(right), np.finfo(kind).tiny)
    left, by = np.arange(len(right)), root  # the rows still worked on
    for _ in range(MOST_ROUNDS):
        done = np.repeat(
            np.all((size_of_rest <= enough).reshape(-1, count * bands), axis=1), count * bands
        )
        if done.any():
            carried[left[done]] = got[done]
            left, go = left[~done], ~done
            if not len(left):
                break
            got, rest, step, by = (part[go] for part in (got, rest, step, by))
            size_of_rest, enough = size_of_rest[go], enough[go]
        sent = (by * step) @ symmetric
        image = by * sent
        np.subtract(step, image, out=image)
        slope = _products(step, image)
        length = np.where(slope > 0, size_of_rest / np.where(slope > 0, slope, 1.0), 0.0)
        sent *= length[:, None]
        got += sent
        image *= length[:, None]
        rest -= image
        after = _squares(rest)
        step *= np.where(
            size_of_rest > 0, after / np.where(size_of_rest > 0, size_of_rest, 1.0), 0.0
        )[:, None]
        step += rest
        size_of_rest = after
    else:
        raise OutOfRange("reflectance", float(rho.max()), said("refusal.patches.never_dies"))
    carried *= size
    carried += view
    apart = np.moveaxis(carried.reshape(sets, count, bands, patches), 2, 3)
    return np.asarray(apart, dtype=np.float64)


def _squares(rows: NDArray[np.floating[Any]]) -> NDArray[np.floating[Any]]:
    return _products(rows, rows)


def _products(
    rows: NDArray[np.floating[Any]], others: NDArray[np.floating[Any]]
) -> NDArray[np.floating[Any]]:
    return np.asarray(np.einsum("kp,kp->k", rows, others))


def _checked(
    factors: FloatArray, name: str, reflectance: ArrayLike, other: str, values: ArrayLike
) -> tuple[FloatArray, FloatArray]:
    rho = require(name, reflectance, least=0, most=BRIGHTEST)
    sent = require(other, values, least=0)
    for label, array in ((name, rho), (other, sent)):
        if array.ndim not in (1, 2) or len(array) != len(factors):
            raise OutOfRange(
                label, array.shape, said("refusal.patches.row_a_patch", count=len(factors))
            )
    if rho.ndim == 2 and sent.ndim == 2 and rho.shape != sent.shape:
        raise OutOfRange(other, sent.shape, said("refusal.patches.bands", count=rho.shape[1]))
    return rho, sent
