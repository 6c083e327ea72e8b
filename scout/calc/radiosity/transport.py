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
    found = _carried(
        symmetric,
        require("area_m2", area_m2, above=0),
        rho if rho.ndim == 2 else rho[:, None],
        view[:, None],
        closed,
    )[:, 0]
    return found if rho.ndim == 2 else found[:, 0]


def importances(
    factors: FloatArray,
    area_m2: FloatArray,
    reflectance: FloatArray,
    seen: FloatArray,
    closed: float,
    symmetric: NDArray[np.floating[Any]],
) -> FloatArray:
    """(n, p, bands) `importance` for several receivers, (p, n), in a room of one set of surfaces,
    (p, bands): all of them in one solution.
    """
    rho, _ = _checked(factors, "reflectance", reflectance, "seen", seen[:, 0])
    return np.moveaxis(
        _carried(
            symmetric,
            require("area_m2", area_m2, above=0),
            rho,
            require("seen", seen, least=0),
            closed,
        ),
        1,
        0,
    )


def _carried(
    symmetric: NDArray[np.floating[Any]],
    area_m2: FloatArray,
    rho: FloatArray,
    seen: FloatArray,
    closed: float,
) -> FloatArray:
    """(p, n, bands) for receivers (p, n) and reflectances (p, bands)."""
    kind = symmetric.dtype  # single precision, where given, is worked in throughout
    count, bands = seen.shape[1], rho.shape[1]
    size = np.sqrt(area_m2).astype(kind)
    view = np.repeat(seen.astype(kind), bands, axis=1)  # (p, n bands)
    root = np.tile(np.sqrt(rho.astype(kind)), (1, count))
    right = root * view / size[:, None]
    z = right.copy()
    rest = root * (symmetric @ (root * z))  # right - (I - S) z at the start
    step = rest.copy()
    size_of_rest = np.sum(rest * rest, axis=0)
    enough = closed**2 * np.maximum(np.sum(right * right, axis=0), np.finfo(kind).tiny)
    for _ in range(MOST_ROUNDS):
        if np.all(size_of_rest <= enough):
            break
        image = step - root * (symmetric @ (root * step))
        slope = np.sum(step * image, axis=0)
        length = np.where(slope > 0, size_of_rest / np.where(slope > 0, slope, 1.0), 0.0)
        z += length * step
        rest -= length * image
        after = np.sum(rest * rest, axis=0)
        step = (
            rest
            + np.where(size_of_rest > 0, after / np.where(size_of_rest > 0, size_of_rest, 1.0), 0.0)
            * step
        )
        size_of_rest = after
    else:
        raise OutOfRange("reflectance", float(rho.max()), said("refusal.patches.never_dies"))
    out = view + size[:, None] * (symmetric @ (root * z))
    return np.asarray(out.reshape(len(out), count, bands), dtype=np.float64)


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
