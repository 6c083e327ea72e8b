"""The light between lamps and faces of one room for many colours of its surfaces: bounces carried
among a few patterns a surface in place of all its patches.

What falls on a surface is a mix of what each other surface sends it. Colours change how much of
each there is, hardly how it lies: so the parts of one solution span all the others. By the
symmetric factors the patterns send each other light as patches of area 1 do.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from scout.calc.bounce.reach import coarse
from scout.calc.geometry import FloatArray
from scout.calc.radiosity import Enclosure, carried

CLOSED = 1e-3  # what may be left of the light, relative, when bouncing stops
FAINT = 3e-3  # of the strongest pattern of a surface: what is fainter is left out
EVERY = 5  # places of the 5 nm grid from one worked wavelength to the next


def by_surfaces(
    room: Enclosure,
    surface: NDArray[np.intp],
    own: FloatArray,
    drawn: Sequence[FloatArray],
    seen: FloatArray,
    laid: FloatArray,
) -> FloatArray:
    """(draws, n, m, 71) lux that the surfaces bring to each view from each light, for one unit of
    each wavelength; a thousandth off, at the worst wavelength one to two hundredths.

    surface: (p,) the row of `own` that each patch belongs to
    own:     (s, 71) reflectances about which the others are drawn;  drawn: (s, 71) each
    seen:    (p, n) factors of each view;  laid: (p, m) lux of each light straight on the patches,
        taken as even over them
    Source:  the symmetric radiosity equation of `importance` in a basis of its own solutions
        (Galerkin; a reduced basis in the sense of Noor and Peters 1980, from memory)
    """
    size = np.sqrt(room.patches.area_m2)[:, None]
    views, lights = seen / size, laid * size
    if seen.shape[1] <= laid.shape[1]:
        return _joined(room, surface, own, drawn, views, lights)
    return np.swapaxes(_joined(room, surface, own, drawn, lights, views), 1, 2)


def _joined(
    room: Enclosure,
    surface: NDArray[np.intp],
    own: FloatArray,
    drawn: Sequence[FloatArray],
    starts: FloatArray,
    ends: FloatArray,
) -> FloatArray:
    """(draws, starts, ends, 71), solved from the starts (p, n); by reciprocity either may be."""
    patterns, of = _patterns(room, surface, own, starts)
    onward = room.symmetric @ patterns  # (p, q)
    places, fill = coarse(EVERY)
    reflectance = np.stack(drawn)[:, :, places]  # (d, s, b)
    falls = carried(
        patterns.T @ onward,
        np.ones(len(of)),
        reflectance[:, of],
        patterns.T @ starts,
        CLOSED,
    )  # (d, n, q, b)
    sent = np.moveaxis(falls * reflectance[:, None, of], 2, 0)
    shape = sent.shape[1:]
    sent = sent.reshape(len(of), -1)
    found = np.zeros((ends.shape[1], *shape))
    for row in range(len(own)):
        mine = surface == row
        straight = ends[mine].T @ starts[mine]  # (m, n)
        bounced = (ends[mine].T @ onward[mine]) @ sent
        lands = bounced.reshape(-1, *shape) + straight[:, None, :, None]
        found += lands * reflectance[None, :, None, row]
    return np.asarray(np.moveaxis(found, 0, 2) @ fill.T)


def _patterns(
    room: Enclosure, surface: NDArray[np.intp], own: FloatArray, starts: FloatArray
) -> tuple[FloatArray, NDArray[np.intp]]:
    """(p, q) unit patterns, each on one surface, and (q,) whose: what every surface sends to it, and
    what starts on it, in the room of greys as light as its own colours.
    """
    level = np.maximum(starts.max(axis=0), 1e-300)
    even, grey = starts / level, own.mean(axis=1)[surface]
    area = np.ones(len(grey))
    (falls,) = carried(room.symmetric, area, grey[None, :, None], even, CLOSED)
    sent = falls[..., 0].T * grey[:, None]  # (p, n)
    apart = np.zeros((len(grey), len(own), sent.shape[1]), dtype=room.symmetric.dtype)
    apart[np.arange(len(grey)), surface] = sent
    lands = np.hstack([room.symmetric @ apart.reshape(len(grey), -1), even.astype(apart.dtype)])
    found, of = [np.zeros((len(grey), 0), dtype=room.symmetric.dtype)], []
    for row in np.flatnonzero(own.any(axis=1)):
        mine = surface == row
        if not mine.any():
            continue
        shapes, strength, _ = np.linalg.svd(lands[mine], full_matrices=False)
        count = int(np.sum(strength > FAINT * strength[0]))
        on_it = np.zeros((len(grey), count), dtype=room.symmetric.dtype)
        on_it[mine] = shapes[:, :count]
        found.append(on_it)
        of += [row] * count
    return np.hstack(found), np.array(of, dtype=np.intp)
