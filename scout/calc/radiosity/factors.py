"""Which share of the light leaving one patch lands on another: configuration factors of points,
form factors of patches.
"""

from __future__ import annotations

import functools
from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scout.calc.geometry import FloatArray, require
from scout.calc.radiosity.boxes import unhidden
from scout.calc.radiosity.outlines import IntArray, Outlines, outlines
from scout.calc.radiosity.patches import Patches
from scout.calc.radiosity.visibility import inner_walls, is_convex, uncut
from scout.errors import OutOfRange
from scout.values import said

FLAT_M = 1e-9  # a corner nearer to a plane than this lies in it
CHUNK = 30_000  # pairs of point and patch worked on at once: what stays near the processor
SAMPLES, GRID_SAMPLES = 6, 3  # points a side of a patch that one plane, or many, are asked to see
BLIND = 1e-3  # a patch that sees less than this share of a room keeps its light to itself
NEAR = 2.5  # patches nearer than so many of their own diagonals get a finer spread of points


def points_factors(at_m: FloatArray, normal: FloatArray, corners_m: FloatArray) -> FloatArray:
    """Configuration factor from each small plane to each polygon: the share of a uniform sky's
    light that it would stop.

    at_m, normal: (k, 3), the small planes [m], unit normals
    corners_m:    (p, c, 3) [m], anticlockwise as seen from the side that shines
    Returns:      (k, p), 0 to 1; 0 for a polygon seen from behind or behind the plane; what
        hangs below the plane is cut off
    Source:       Lambert 1760; Baum, Rushmeier and Winget 1989: g = (1 / 2 pi) sum of Gamma_i . n,
        Gamma_i as long as the angle between successive corners and square to both. Nothing hides
        anything here: see at_point.
    """
    return _in_chunks(at_m, normal, outlines(corners_m))


def _in_chunks(at_m: FloatArray, normal: FloatArray, polygons: Outlines) -> FloatArray:
    factors = np.empty((len(at_m), len(polygons.corners_m)))
    for first in range(0, len(at_m), step := max(1, CHUNK // max(1, len(polygons.corners_m)))):
        some = slice(first, first + step)
        factors[some] = _factors(at_m[some], normal[some], polygons)
    return factors


def _factors(at_m: FloatArray, normal: FloatArray, polygons: Outlines) -> FloatArray:
    # Coordinates apart, and corners and edges before points: each step runs over one contiguous
    # (.., k) array. What two neighbours share, a corner or an edge, is reckoned once.
    x, y, z = (
        polygons.corner_m[:, None, axis] - at_m[None, :, axis] for axis in range(3)
    )  # (corners, k)
    nx, ny, nz = (normal[None, :, axis] for axis in range(3))
    above = x * nx
    above += y * ny
    above += z * nz
    i, j = polygons.edge.T
    xi, yi, zi, xj, yj, zj = x[i], y[i], z[i], x[j], y[j], z[j]
    ux, uy, uz = yi * zj - zi * yj, zi * xj - xi * zj, xi * yj - yi * xj  # (edges, k)
    length = np.sqrt(ux * ux + uy * uy + uz * uz)
    gamma = np.arctan2(length, xi * xj + yi * yj + zi * zj)
    gamma *= ux * nx + uy * ny + uz * nz
    gamma /= np.maximum(length, 1e-30)
    total = np.zeros((len(polygons.corners_m), len(at_m)))
    for side in range(polygons.corner.shape[1]):
        total -= gamma[polygons.edge_of[:, side]] * polygons.way[:, side, None]
    factors = total / (2.0 * np.pi)
    heights = above[polygons.corner]  # (p, c, k)
    straddles = heights.min(axis=1) < -FLAT_M
    if np.any(straddles):
        highest = heights.max(axis=1)
        factors[straddles & (highest < FLAT_M)] = 0.0
        p, k = np.nonzero(straddles & (highest >= FLAT_M))
        if len(k):
            factors[p, k] = _clipped(
                polygons.corners_m[p] - at_m[k, None], heights[p, :, k], normal[k]
            )
    first = polygons.corner[:, 0]
    facing = -(
        x[first] * polygons.faces[:, :1]
        + y[first] * polygons.faces[:, 1:2]
        + z[first] * polygons.faces[:, 2:]
    )
    return np.asarray(np.where(facing > FLAT_M, np.maximum(factors, 0.0), 0.0).T)


def _cross(a: FloatArray, b: FloatArray) -> FloatArray:
    out = np.empty(np.broadcast_shapes(a.shape, b.shape))
    out[..., 0] = a[..., 1] * b[..., 2] - a[..., 2] * b[..., 1]
    out[..., 1] = a[..., 2] * b[..., 0] - a[..., 0] * b[..., 2]
    out[..., 2] = a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0]
    return out


def _clipped(ways: FloatArray, above: FloatArray, normal: FloatArray) -> FloatArray:
    """(q,) the contour sum of convex polygons that cross the plane of the point, over the part in
    front of it.

    Each edge is shortened to its part in front; the cut itself, from where the outline goes under
    to where it comes up, is the closing edge.
    """
    high, following_high = above, np.roll(above, -1, axis=-1)
    following = np.roll(ways, -1, axis=-2)
    drop = high - following_high
    share = np.where(np.abs(drop) > 1e-30, high / np.where(np.abs(drop) > 1e-30, drop, 1.0), 0.0)[
        ..., None
    ]
    crossing = ways + share * (following - ways)
    under, comes = (high >= 0) & (following_high < 0), (high < 0) & (following_high >= 0)
    start = np.where((high >= 0)[..., None], ways, crossing)
    end = np.where((following_high >= 0)[..., None], following, crossing)
    gone = ((high < 0) & (following_high < 0))[..., None]
    goes_under = np.sum(np.where(under[..., None], crossing, 0.0), axis=-2)
    comes_up = np.sum(np.where(comes[..., None], crossing, 0.0), axis=-2)
    start = np.concatenate([np.where(gone, 0.0, start), goes_under[:, None]], axis=1)
    end = np.concatenate([np.where(gone, 0.0, end), comes_up[:, None]], axis=1)
    cross = _cross(start, end)
    length = np.sqrt(np.einsum("...x,...x->...", cross, cross))
    angle = np.arctan2(length, np.einsum("...x,...x->...", start, end))
    along = np.einsum("qcx,qx->qc", cross, normal)
    return np.asarray(-np.sum(angle * along / np.maximum(length, 1e-30), axis=-1) / (2.0 * np.pi))


def at_point(patches: Patches, point_m: ArrayLike, normal: ArrayLike) -> FloatArray:
    """Configuration factors of every patch seen from a small plane in the room: its illuminance is
    factors @ exitance.

    point_m: (3,), inside the room [m];  normal: (3,), the way the plane looks, any length
    Returns: (p,), 0 or more; they sum to 1 (to 0.1 % in a plan with corners that turn back,
        where hiding is sampled)
    Raises:  OutOfRange for a point that is not finite or a normal of no length
    """
    return np.asarray(at_point_of(patches, point_m, [normal])[0])


def at_point_of(
    patches: Patches, point_m: ArrayLike, normals: Sequence[ArrayLike] | FloatArray
) -> FloatArray:
    """(n, p) at_point's factors for planes at one place that look n ways."""
    return _at_point(patches, require("point_m", point_m), _unit(normals))


def _unit(normals: Sequence[ArrayLike] | FloatArray) -> FloatArray:
    ways = np.stack([require("normal", normal) for normal in normals])
    length = np.linalg.norm(ways, axis=1, keepdims=True)
    if np.any(length <= 0):
        raise OutOfRange("normal", normals, said("refusal.patches.no_length"))
    return np.asarray(ways / length)


def _at_point(patches: Patches, at: FloatArray, ways: FloatArray) -> FloatArray:
    """(n, p) for planes at one place that look n unit ways."""
    factors = _in_chunks(np.repeat(at[None], len(ways), axis=0), ways, patches.outlines)
    if patches.open:
        return factors
    _, share = patches.points(SAMPLES)
    factors = factors * patches.left * np.sum(patches.seen_from(at, SAMPLES) * share, axis=-1)
    total = factors.sum(axis=1, keepdims=True)
    return np.asarray(factors / np.where(total > 0, total, 1.0))


def at_points(patches: Patches, points_m: FloatArray, normal: ArrayLike) -> FloatArray:
    """(n, p) at_point's factors for many small planes, (n, 3), that look one way; all of them
    inside the room.
    """
    way = _unit([normal])
    found = _in_chunks(points_m, np.repeat(way, len(points_m), axis=0), patches.outlines)
    if patches.open:
        return found
    if not is_convex(patches.plan_m):
        sample_m, sample_of, share = _samples(patches, SAMPLES)
        for first in range(0, len(points_m), step := max(1, CHUNK // len(sample_m))):
            some = slice(first, first + step)
            clear = uncut(inner_walls(patches.plan_m), points_m[some, None, :2], sample_m)
            found[some] *= np.einsum("npk,pk->np", clear[:, sample_of], share)
    if patches.boxes:
        facing = np.flatnonzero(np.any(found > 0, axis=0))
        points, share = (part[facing] for part in patches.drawn_in(GRID_SAMPLES))
        for first in range(0, len(points_m), step := max(1, 10 * CHUNK // share.size)):
            some = slice(first, first + step)
            clear = unhidden(patches.boxes, points_m[some, None, None], points)
            found[some, facing] *= patches.left[facing] * np.einsum("npk,pk->np", clear, share)
    total = found.sum(axis=1, keepdims=True)
    return np.asarray(found / np.where(total > 0, total, 1.0))


def _samples(patches: Patches, per_side: int) -> tuple[FloatArray, IntArray, FloatArray]:
    """(u, 2) places on the plan of the points spread over the patches, each once; (p, k) which of
    them, and (p, k) their shares.

    Only the plan decides what walls hide: floor and ceiling, and patches above each other, share
        their places.
    """
    points, share = patches.drawn_in(per_side)
    places = np.round(points[..., 0] + 1j * points[..., 1], 9)
    once, of = np.unique(places, return_inverse=True)
    return np.stack([once.real, once.imag], axis=-1), of.reshape(share.shape), share


def within_patches(
    patches: Patches, point_m: ArrayLike, normal: ArrayLike, per_side: int = 4
) -> FloatArray:
    """(p, per_side squared) at_point's factors shared out over the points of each patch by how well
    each point is seen.

    Each row sums to the patch's own factor. Where a lamp's spot is smaller than a patch, factors
    point by point times lux point by point keep the first bounce right though patches are coarse.
    """
    return within_patches_of(patches, point_m, [normal], per_side)[0]


def within_patches_of(
    patches: Patches, point_m: ArrayLike, normals: Sequence[ArrayLike], per_side: int = 4
) -> list[FloatArray]:
    """within_patches for planes at one place that look several ways."""
    at, looks = require("point_m", point_m), _unit(normals)
    points, share = patches.points(per_side)
    ways = points - at
    squared = np.maximum(np.einsum("pkx,pkx->pk", ways, ways), 1e-12)
    seen = share * np.maximum(-np.einsum("pkx,px->pk", ways, patches.normal), 0.0) / squared**2
    if not patches.open:
        seen = seen * patches.seen_from(at, per_side)
    found = []
    for whole, look in zip(_at_point(patches, at, looks), looks, strict=True):
        here = seen * np.maximum(ways @ look, 0.0)
        total = here.sum(axis=1, keepdims=True)
        found.append(
            np.asarray(
                whole[:, None] * np.where(total > 0, here / np.where(total > 0, total, 1.0), share)
            )
        )
    return found


def form_factors(patches: Patches) -> FloatArray:
    """Form factors between all patches: [i, j] is the share of what leaves patch i that lands on
    patch j.

    Returns: (p, p); rows sum to 1 and area_i F_ij = area_j F_ji, both to rounding
    Source:  for pairs far apart cos cos / pi r^2 between 2 x 2 Gauss points of both; for pairs that
        are near or of which one reaches behind the other the contour formula of points_factors,
        averaged over Gauss points (2 x 2, near pairs at an angle 4 x 4), from both ends; hiding by
        walls that turn back and by boxes by rays between points; then scaled on both sides alike
        (Sinkhorn and Knopp 1967) until the room is closed
    Limits:  patches smaller than about a quarter of the room's least measure
    """
    area = patches.area_m2
    facing, reaching = _facing(patches)
    exchange = np.where(facing, _apart(patches), 0.0)
    near = _near(patches) & facing
    angled = near & (np.abs(patches.normal @ patches.normal.T) < 0.999999)
    for some, per_side in ((angled, 4), ((near | reaching) & ~angled, 2)):
        rows, columns = np.nonzero(some)
        if len(rows):
            exchange[rows, columns] = area[rows] * _pairs(patches, rows, columns, per_side)
    exchange = (exchange + exchange.T) / 2.0
    if not is_convex(patches.plan_m):
        exchange *= _seen_share(patches)
    if patches.boxes:
        exchange *= patches.left[:, None] * patches.left
        exchange *= _unhidden_share(patches, exchange)
        blind = np.flatnonzero(exchange.sum(axis=1) < BLIND * area)
        exchange[blind], exchange[:, blind] = 0.0, 0.0
        exchange[blind, blind] = area[blind]
    return _close(exchange, area) / area[:, None]


def _facing(patches: Patches) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """(p, p) which patches lie before each other's planes, in part at least; and which of these reach
    behind one.
    """
    level = np.einsum("px,px->p", patches.normal, patches.centre_m)
    before, behind = np.empty((2, len(level), len(level)), dtype=bool)
    for some in _blocks(len(level)):
        heights = [
            patches.normal[some] @ patches.corners_m[:, corner].T - level[some, None]
            for corner in range(patches.corners_m.shape[1])
        ]
        before[some] = functools.reduce(np.maximum, heights) > FLAT_M
        behind[some] = functools.reduce(np.minimum, heights) < -FLAT_M
    facing = before & before.T
    return facing, facing & (behind | behind.T)


def _blocks(count: int) -> Iterator[slice]:
    """Rows of a square of so many, as many at once as stay near the processor."""
    for first in range(0, count, step := max(1, CHUNK // count)):
        yield slice(first, first + step)


def _squared(at_m: FloatArray, to_m: FloatArray) -> FloatArray:
    """(n, p) squared distances of points [m2], to 1e-14 of the room's own."""
    far = at_m @ to_m.T
    far *= -2.0
    far += np.einsum("nx,nx->n", at_m, at_m)[:, None]
    far += np.einsum("px,px->p", to_m, to_m)
    return np.asarray(far)


def _apart(patches: Patches) -> FloatArray:
    """(p, p) area times mean configuration factor [m2] of each patch to each whole one, as between
    their points alone: right for what is far apart and wholly in front of each other.
    """
    points, share = patches.points(2, gauss=True)
    normal, each = patches.normal, share.shape[1]
    leaving = share * patches.area_m2[:, None]
    landing = patches.whole_points(2, gauss=True)[1] * patches.whole_m2[:, None] / np.pi
    level = np.einsum("px,px->p", normal, patches.centre_m)
    exchange = np.zeros((len(points), len(points)))
    for some in _blocks(len(points)):
        for one in range(each):
            at = points[some, one]
            total = np.zeros((len(at), len(points)))
            before = np.maximum(at @ normal.T - level, 0.0)
            for other in range(each):
                to = points[:, other]
                light = normal[some] @ to.T
                light -= level[some, None]
                np.maximum(light, 0.0, out=light)
                far = np.maximum(_squared(at, to), FLAT_M)
                far *= far
                light /= far
                light *= landing[:, other]
                total += light
            total *= before
            total *= leaving[some, one, None]
            exchange[some] += total
    return exchange


def _near(patches: Patches) -> NDArray[np.bool_]:
    """(p, p) which patches are near each other for their size."""
    half = np.max(np.linalg.norm(patches.corners_m - patches.centre_m[:, None], axis=-1), axis=1)
    reach = 0.75 * NEAR * 2.0 * half
    near = np.empty((len(half), len(half)), dtype=bool)
    for some in _blocks(len(half)):
        squared = _squared(patches.centre_m[some], patches.centre_m)
        near[some] = squared < np.maximum(reach[some, None], reach) ** 2
    return near


def _pairs(patches: Patches, rows: IntArray, columns: IntArray, per_side: int) -> FloatArray:
    """(q,) mean configuration factor for listed pairs, over points spread over the row's patch."""
    points, share = patches.points(per_side, gauss=True)
    means = np.empty(len(rows))
    for first in range(0, len(rows), step := max(1, CHUNK // per_side**2)):
        i, j = rows[first : first + step], columns[first : first + step]
        x, y, z = (  # (c, k, q): coordinates apart, as in _factors
            patches.corners_m[j, :, axis].T[:, None] - points[i, :, axis].T for axis in range(3)
        )
        nx, ny, nz = patches.normal[i].T
        above = x * nx + y * ny + z * nz
        total = np.zeros(above.shape[1:])
        for corner in range(len(x)):
            a, b, c = x[corner - 1], y[corner - 1], z[corner - 1]
            d, e, f = x[corner], y[corner], z[corner]
            ux, uy, uz = b * f - c * e, c * d - a * f, a * e - b * d
            length = np.sqrt(ux * ux + uy * uy + uz * uz)
            angle = np.arctan2(length, a * d + b * e + c * f)
            total -= angle * (ux * nx + uy * ny + uz * nz) / np.maximum(length, 1e-30)
        factors = total / (2.0 * np.pi)
        low = above.min(axis=0) < -FLAT_M
        if np.any(low):
            factors[low & (above.max(axis=0) < FLAT_M)] = 0.0
            k, q = np.nonzero(low & (above.max(axis=0) >= FLAT_M))
            ways = np.stack([x[:, k, q], y[:, k, q], z[:, k, q]], axis=-1).swapaxes(0, 1)
            factors[k, q] = _clipped(ways, above[:, k, q].T, patches.normal[i][q])
        facing = -np.einsum("akq,qa->kq", np.stack([x[0], y[0], z[0]]), patches.normal[j])
        factors = np.where(facing > FLAT_M, np.maximum(factors, 0.0), 0.0)
        means[first : first + step] = np.einsum("kq,qk->q", factors, share[i])
    return means


def _seen_share(patches: Patches) -> FloatArray:
    """(p, p) share of the lines between sample points of two patches that no wall cuts.

    Only the plan decides, so patches above each other are asked once.
    """
    outline = np.round(
        np.sort(patches.corners_m[:, :, 0] + 1j * patches.corners_m[:, :, 1], axis=1), 7
    )
    _, first, print_of = np.unique(outline, axis=0, return_index=True, return_inverse=True)
    points, share = (part[first] for part in patches.drawn_in(3))
    seen, inside = np.ones((len(first), len(first))), inner_walls(patches.plan_m)
    rows, columns = np.triu_indices(len(first), 1)
    for start in range(0, len(rows), step := CHUNK // points.shape[1]):
        i, j = rows[start : start + step], columns[start : start + step]
        clear = uncut(inside, points[i][:, :, None], points[j][:, None])
        seen[i, j] = seen[j, i] = np.einsum("qab,qa,qb->q", clear, share[i], share[j])
    return np.asarray(seen[np.ix_(print_of.ravel(), print_of.ravel())])


def _unhidden_share(patches: Patches, exchange: FloatArray) -> FloatArray:
    """(p, p) share of the lines between points of two patches that no box cuts, for pairs that
    exchange anything.

    Each point of one patch is joined to one of the other, in another order, so that nine lines
    sample both of them evenly.
    """
    points, share = patches.drawn_in(3)
    other = (4 * np.arange(9) + 2) % 9
    in_frames = [box.framed(points) for box in patches.boxes]
    touched = np.zeros(exchange.shape, dtype=bool)
    for framed in in_frames:
        touched |= _beside(framed, np.s_[:, None], np.s_[:])
    rows, columns = np.nonzero(touched & np.triu(exchange > 0, 1))
    hidden = np.zeros((len(rows), len(other)), dtype=bool)
    for box, framed in zip(patches.boxes, in_frames, strict=True):
        some = np.flatnonzero(_beside(framed, rows, columns))
        for first in range(0, len(some), step := CHUNK // len(other)):
            pairs = some[first : first + step]
            hidden[pairs] |= box.hides_framed(framed[rows[pairs]], framed[columns[pairs]][:, other])
    seen = np.ones(exchange.shape)
    for first in range(0, len(rows), CHUNK):
        i, j = rows[first : first + CHUNK], columns[first : first + CHUNK]
        weight = share[i] * share[j][:, other]
        whole = np.maximum(weight.sum(axis=1), 1e-30)
        seen[i, j] = seen[j, i] = np.sum(weight * ~hidden[first : first + CHUNK], axis=1) / whole
    return seen


def _beside(framed: FloatArray, rows: Any, columns: Any) -> NDArray[np.bool_]:
    """Which pairs of patches a box may stand between, by their points in its own frame (p, k, 3)."""
    found: NDArray[np.bool_] | bool = True
    for axis in range(3):
        for side in (1.0, -1.0):
            clear = np.any(side * framed[..., axis] < 1.0, axis=1)
            found = found & (clear[rows] | clear[columns])
    return np.asarray(found)


def _close(exchange: FloatArray, area: FloatArray) -> FloatArray:
    """The symmetric exchange areas scaled on both sides by one vector until each row sums to its
    patch's area.
    """
    scale = np.ones(len(area))
    for _ in range(200):
        reached = exchange @ scale
        if np.any(reached <= 0):
            raise OutOfRange("patches", None, said("refusal.patches.blind_patch"))
        wanted = area / reached
        if np.max(np.abs(wanted / scale - 1.0)) < 1e-13:
            break
        scale = np.sqrt(scale * wanted)
    return np.asarray(exchange * scale[:, None] * scale)
