"""Bearings that small planes look along through an opening, and what they see between two elevations
along each: weights of light by Gauss and Legendre's rule.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from scout.calc.daylight.window.glass import transmitted_many
from scout.calc.geometry import FloatArray
from scout.calc.quadrature import gauss_legendre
from scout.calc.radiosity.boxes import Box

ALL = slice(None)


@dataclass(frozen=True)
class Fan:
    """Bearings that points look along, those that reach the opening (q) of all points' (k, n) in one
    row: numpy is quick along long rows and slow along many short ones.

    turned:     (k, n) all bearings [rad];  pair, point: (q,) which of them, and of which point
    tan_g, cos_g, dg: (q,) the bearing's tangent and cosine, and its width
    way_on, way_up: (q,) the plane's normal along the bearing, and upwards
    hidden:     what boxes hide: lowest and highest elevation, (q,) each
    """

    turned: FloatArray
    pair: NDArray[np.intp]
    point: NDArray[np.intp]
    tan_g: FloatArray
    cos_g: FloatArray
    dg: FloatArray
    way_on: FloatArray
    way_up: FloatArray
    hidden: list[tuple[FloatArray, FloatArray]]
    transmittance: float
    panes: int

    def some(self, rows: NDArray[np.intp]) -> Fan:
        """Some of the bearings."""
        return replace(
            self,
            pair=self.pair[rows],
            point=self.point[rows],
            tan_g=self.tan_g[rows],
            cos_g=self.cos_g[rows],
            dg=self.dg[rows],
            way_on=self.way_on[rows],
            way_up=self.way_up[rows],
            hidden=[(low[rows], high[rows]) for low, high in self.hidden],
        )

    def cut(
        self, bottom: FloatArray, top: FloatArray
    ) -> tuple[FloatArray, FloatArray, list[tuple[FloatArray, FloatArray]]]:
        """What boxes leave of the elevations from bottom to top, (q,): cut exactly where they hide
        its lower or upper end, and else (the edge of a table top before a window) as stretches to
        pass over node by node.
        """
        hidden = [(low, high) for low, high in self.hidden if np.any((low < top) & (high > bottom))]
        for _ in hidden:  # what one box leaves may begin behind another
            for low, high in hidden:
                bottom = np.where((low <= bottom) & (high > bottom), np.minimum(high, top), bottom)
                top = np.where((high >= top) & (low < top), np.maximum(low, bottom), top)
        gaps = [(low, high) for low, high in hidden if np.any((low > bottom) & (high < top))]
        return bottom, top, gaps

    def spread(self, part: FloatArray, at: NDArray[np.intp] | slice = ALL) -> FloatArray:
        """(k, n, m) what is known (m, q) of some of the bearings, noughts elsewhere."""
        whole = np.zeros((self.turned.size, len(part)))
        whole[self.pair[at]] = part.T
        return whole.reshape(*self.turned.shape, len(part))

    def between(
        self,
        start: FloatArray,
        end: FloatArray,
        count: int,
        gaps: Sequence[tuple[FloatArray, FloatArray]],
    ) -> Band:
        """What is seen between two elevations, (q,) each, summed over so many nodes; only where the
        plane faces any of it.
        """
        low, high = np.tan(start), np.tan(end)
        faces = np.maximum(self.way_up * low, self.way_up * high) > -self.way_on
        at = np.flatnonzero((end > start) & faces)
        span = (end - start)[at]
        gamma, share = heights(start[at], span, count), gauss_legendre(count)[1]
        slope = np.tan(gamma)
        cos_e = cosine(slope)
        bare = self.way_up[at] * slope
        bare += self.way_on[at]
        bare *= cos_e
        np.maximum(bare, 0.0, out=bare)
        for lowest, highest in gaps:
            bare[(gamma > lowest[at]) & (gamma < highest[at])] = 0.0
        bare *= cos_e
        bare *= span * self.dg[at]
        bare *= share[:, None] / 2.0
        cos_e *= self.cos_g[at]
        through = transmitted_many(self.transmittance, cos_e, self.panes)
        through *= bare
        return Band(self, at, gamma, slope, bare, through)


@dataclass(frozen=True)
class Band:
    """What a fan sees between two elevations: by node (m) and, of its bearings, those that see any
    of it (`at`, q): elevations, their tangents, weights without the glass and with it.
    """

    fan: Fan
    at: NDArray[np.intp]
    gamma: FloatArray
    slope: FloatArray
    bare: FloatArray
    through: FloatArray

    def summed(self, part: FloatArray) -> FloatArray:
        """(k,) sums over all that each point sees of it."""
        points = len(self.fan.turned)
        return np.asarray(
            np.bincount(self.fan.point[self.at], part.sum(axis=0), points), dtype=np.float64
        )

    def spread(self, part: FloatArray) -> FloatArray:
        """(k, n, m) with noughts where nothing is seen."""
        return self.fan.spread(part, self.at)


def hidden_by(
    boxes: Sequence[Box],
    at_m: FloatArray,
    point: NDArray[np.intp],
    outward: FloatArray,
    far_m: FloatArray,
) -> list[tuple[FloatArray, FloatArray]]:
    """The stretches of elevation that boxes hide along bearings (q, 2), those that hide any."""
    found = []
    for box in boxes:
        low, high = (np.arctan(part) for part in box.hidden_heights(at_m, point, outward, far_m))
        if np.any(low < high):
            found.append((low, high))
    return found


def nodes_between(
    low: FloatArray, high: FloatArray, count: int, panels: int
) -> tuple[FloatArray, FloatArray]:
    """(k, panels * count) nodes and weights of Gauss and Legendre between low and high, in equal
    panels.
    """
    node, share = gauss_legendre(count)
    unit = ((np.arange(panels)[:, None] + (node + 1.0) / 2.0) / panels).ravel()
    weight = np.tile(share / 2.0 / panels, panels)
    span = (high - low)[:, None]
    return low[:, None] + span * unit, span * weight


def heights(start: FloatArray, span: FloatArray, count: int) -> FloatArray:
    """(count, q) the nodes of elevations from `start` (q,) over `span`."""
    node, _ = gauss_legendre(count)
    return np.asarray(start + span * ((node[:, None] + 1.0) / 2.0))


def cosine(tangent: FloatArray) -> FloatArray:
    """Of angles within a right one; a tangent and a root take a third of the time of a cosine."""
    return np.asarray(1.0 / np.sqrt(1.0 + tangent * tangent))
